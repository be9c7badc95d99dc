//! One module per command.

pub(crate) mod accept;
pub(crate) mod arrange;
mod bar;
pub(crate) mod bench;
pub(crate) mod change;
pub(crate) mod check;
pub(crate) mod choices;
pub(crate) mod explain;
pub(crate) mod export;
pub(crate) mod feed;
pub(crate) mod generate;
pub(crate) mod handed_out;
pub(crate) mod kinds;
pub(crate) mod leads;
pub(crate) mod new;
pub(crate) mod number;
pub(crate) mod order;
pub(crate) mod papers;
pub(crate) mod priced;
pub(crate) mod quote;
pub(crate) mod shop;
pub(crate) mod signal;
pub(crate) mod signal_text;
pub(crate) mod stock;
pub(crate) mod take;
pub(crate) mod take_text;
pub(crate) mod which_board;
