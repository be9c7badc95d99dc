//! What a job says of its quote, beyond what follows from the model.

use quantity::{Length, Share, Sum};

/// The terms of a quote that belong to one job.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct QuoteTerms {
    /// A share that is taken off.
    pub discount: Option<Share>,
    /// A sum that is taken off, in the shop's currency.
    pub discount_sum: Option<Sum>,
    /// Why something is taken off.
    pub discount_for: Option<String>,
    /// Another margin than the shop's.
    pub margin: Option<Share>,
    /// Until when the quote holds, as written.
    pub valid: Option<String>,
    /// When it is ready, as written.
    pub ready: Option<String>,
    /// What is not included.
    pub excluded: Vec<String>,
    /// What the client may take or leave.
    pub options: Vec<QuoteOption>,
}

/// Something the client may take or leave.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct QuoteOption {
    /// What it is.
    pub title: String,
    /// Pieces it needs, by what the price file knows them by.
    pub pieces: Vec<(String, u32)>,
    /// Lengths it needs.
    pub lengths: Vec<(String, Length)>,
    /// Parts that fall away.
    pub without: Vec<String>,
    /// Numbers of leads that are made a second time.
    pub spare_leads: Vec<String>,
    /// Minutes of work beyond those of its leads.
    pub minutes: u32,
    /// Minutes that fall away.
    pub minutes_less: u32,
}
