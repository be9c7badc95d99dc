//! The printed set: every paper a template, the data it shows, and the drawings on it, as PDF.
//!
//! [`PAPERS`] lists the papers there are; [`papers()`] makes them all, [`layout_sheet`] the one for approval.
//! Text from a document reaches a template as a value and never as source. Fonts are embedded, nothing is
//! read from the machine, and the same input gives the same bytes.
//!
//! A new paper is a template in `templates/`, a module that builds its data, and a line in [`PAPERS`]; frame,
//! title block, check bar and tables come from `templates/sheet.typ` and the `sheet` module.

mod cautions;
mod error;
mod given;
mod layout;
mod lists;
mod sheet;
mod text;
mod world;

pub use error::PaperError;
pub use layout::{LayoutInput, layout_sheet};
pub use sheet::PaperSize;

/// A finished paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Paper {
    /// Its name in the set, fit for a file name: `layout`.
    pub name: &'static str,
    /// The PDF.
    pub pdf: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
}

/// One kind of paper: its name, what it is for, and the function that makes it.
#[derive(Debug, Clone, Copy)]
pub struct PaperKind {
    /// Its name in the set.
    pub name: &'static str,
    /// What it is for, for lists and menus.
    pub title: &'static str,
    /// Makes it.
    pub make: fn(&LayoutInput<'_>) -> Result<Paper, PaperError>,
}

/// Every paper there is, in the order of the set.
pub const PAPERS: &[PaperKind] = &[PaperKind { name: "layout", title: text::LAYOUT, make: layout_sheet }];

/// Makes every paper of the set.
pub fn papers(input: &LayoutInput<'_>) -> Result<Vec<Paper>, PaperError> {
    PAPERS.iter().map(|kind| (kind.make)(input)).collect()
}
