//! Papers: each sheet as a preview, one or all to keep.

use maud::{Markup, html};

use super::frame::Head;
use store::RevisionEntry;

use crate::papers::PaperEntry;

/// The page.
pub(crate) struct Sheets<'a> {
    pub(crate) head: &'a Head,
    pub(crate) papers: Vec<PaperEntry>,
    pub(crate) shown: Option<PaperEntry>,
    pub(crate) open: [usize; 3],
    pub(crate) stamp: String,
    pub(crate) revisions: Vec<RevisionEntry>,
    pub(crate) by: Option<String>,
    /// Whether the shop has prices.
    pub(crate) is_priced: bool,
}

impl Sheets<'_> {
    fn file(&self, name: &str) -> String {
        format!("/job/{}/print/{name}.pdf", self.head.job)
    }

    pub(crate) fn tools(&self) -> Markup {
        html! {
            span { b { (self.papers.len()) } @if self.papers.len() == 1 { " paper" } @else { " papers" } " of revision " (self.head.letter.as_deref().unwrap_or("\u{2014}")) " draft" }
            span.grow {}
            @if self.is_priced {
                a.btn href=(self.file("quote")) { "Quote" }
                a.btn href={ "/job/" (self.head.job) "/print/quote.csv" } download { "Quote as CSV" }
            }
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
                (self.history())
                @if let Some(paper) = &self.shown {
                    iframe.preview src={ (self.file(paper.name)) "?of=" (self.stamp) "#navpanes=0&view=FitH" } title={ "Preview: " (paper.title) } {}
                }
            }
        }
    }

    /// The revisions frozen so far, and a form for the next.
    fn history(&self) -> Markup {
        let head = self.head;
        let letter = head.letter.as_deref().unwrap_or("A");
        html! {
            details.group.revisions data-key="revisions" {
                summary { "Revisions" span.faint { @if self.revisions.is_empty() { "none frozen yet" } @else { (self.revisions.len()) " frozen" } } }
                @if !self.revisions.is_empty() {
                    table.list {
                        thead { tr { th scope="col" { "Revision" } th scope="col" { "Frozen" } th scope="col" { "Why" } th scope="col" { "Agreed by" } th scope="col" { "Document" } } }
                        tbody {
                            @for entry in &self.revisions {
                                tr data-key=(entry.letter) {
                                    th scope="row" { (entry.letter) }
                                    td { (entry.at.chars().take(10).collect::<String>()) }
                                    td { (entry.why) }
                                    td { (entry.by.as_deref().unwrap_or("\u{2014}")) }
                                    @let at = format!("/job/{}/revision/{}", head.job, super::value::query(&entry.letter));
                                    td {
                                        a href=(at) { "as it was" span.sr { " at revision " (entry.letter) } }
                                        @if self.is_priced {
                                            ", " a href={ (at) "/quote.pdf" } { "quote" span.sr { " of revision " (entry.letter) } }
                                            ", " a href={ (at) "/invoice.pdf" } { "invoice" span.sr { " of revision " (entry.letter) } }
                                        }
                                    }
                                }
                            }
                        }
                    }
                }
                form.row method="post" action={ "/job/" (head.job) "/freeze" } data-live="" {
                    input type="hidden" name="base" value=(head.revision);
                    input type="hidden" name="here" value=(head.here());
                    label { "Letter " input name="letter" size="3" maxlength="3" required value=(letter); }
                    label { "Why " input name="why" size="28" maxlength="200" required; }
                    label { "Agreed by " input name="by" size="16" maxlength="80" value=(self.by.as_deref().unwrap_or("")); }
                    button.btn type="submit" { "Freeze this revision" }
                }
                p.faint { "The document, its kinds and settings and the program’s version are kept under the letter; work goes on as a draft of the next." }
            }
        }
    }
}
