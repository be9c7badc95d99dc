//! Papers: each sheet as a preview, one or all to keep.

use maud::{Markup, html};

use super::frame::Head;
use crate::papers::PaperEntry;

/// The page.
pub(crate) struct Sheets<'a> {
    pub(crate) head: &'a Head,
    pub(crate) papers: Vec<PaperEntry>,
    pub(crate) shown: Option<PaperEntry>,
    pub(crate) open: [usize; 3],
    pub(crate) stamp: String,
}

impl Sheets<'_> {
    fn file(&self, name: &str) -> String {
        format!("/job/{}/print/{name}.pdf", self.head.job)
    }

    pub(crate) fn tools(&self) -> Markup {
        html! {
            span { b { (self.papers.len()) } @if self.papers.len() == 1 { " paper" } @else { " papers" } " of revision " (self.head.letter.as_deref().unwrap_or("\u{2014}")) " draft" }
            span.grow {}
            a.btn.first href={ "/job/" (self.head.job) "/print/all.zip" } download { "Download all" }
        }
    }

    pub(crate) fn main(&self) -> Markup {
        html! {
            div.page.papers-page {
                @if self.open[0] > 0 { p.warn { b.stop-word { "Stop" } " " (self.open[0]) " open; they stand on the sheets too." } }
                ul.sheets {
                    @for paper in &self.papers {
                        @let is = self.shown.as_ref() == Some(paper);
                        li .pick[is] {
                            a href={ (self.head.to(self.head.place)) "?sheet=" (paper.name) } aria-current=[is.then_some("true")] { (paper.title) }
                            a.btn.small href=(self.file(paper.name)) download={ (self.head.job) "-" (paper.name) ".pdf" } { "Download" span.sr { " " (paper.title) } }
                        }
                    }
                }
                @if let Some(paper) = &self.shown {
                    iframe.preview src={ (self.file(paper.name)) "?of=" (self.stamp) "#view=FitH" } title={ "Preview: " (paper.title) } {}
                }
            }
        }
    }
}
