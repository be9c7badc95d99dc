//! What the pages show: one struct and one template for each place, and the parts they share.

pub(crate) mod allocate;
pub(crate) mod arrange;
pub(crate) mod band;
pub(crate) mod brief;
pub(crate) mod build;
pub(crate) mod cuts;
pub(crate) mod deck;
pub(crate) mod drawn;
pub(crate) mod enter;
pub(crate) mod fields;
pub(crate) mod findings;
pub(crate) mod frame;
pub(crate) mod gear;
pub(crate) mod lead;
pub(crate) mod leads;
pub(crate) mod marks;
pub(crate) mod overlay;
pub(crate) mod panel;
pub(crate) mod papers;
pub(crate) mod path;
pub(crate) mod phone;
pub(crate) mod picked;
pub(crate) mod power;
pub(crate) mod sheet;
pub(crate) mod shop;
pub(crate) mod value;
