//! What was mended or lent out: a form on a phone, and what was written before.

use faults::Symptom;
use maud::{Markup, html};
use store::Repair;

use super::frame::alone;
use super::value::query;

/// The page.
pub(crate) struct Mended<'a> {
    pub(crate) job: &'a str,
    /// What can be at fault: id and what a person calls it.
    pub(crate) parts: &'a [(String, String)],
    pub(crate) repairs: &'a [Repair],
    /// What a walk found.
    pub(crate) part: Option<&'a str>,
    /// What was heard.
    pub(crate) symptom: Option<Symptom>,
}

impl Mended<'_> {
    pub(crate) fn html(&self) -> String {
        let to = format!("/job/{}/fault", query(self.job));
        let body = html! {
            body.fault.mended {
                header { a.back href=(to) aria-label="Back to the question" { "←" } b { "Mended" } }
                main {
                    form method="post" action={ (to) "/mended" } {
                        label { span { "What was at fault" } select name="part" required { option value="" { "choose" } @for (id, title) in self.parts {
                            option value=(id) selected[self.part == Some(id.as_str())] { (id) @if title != id { ", " (title) } }
                        } } }
                        label { span { "What was heard" } select name="symptom" { option value="" { "not said" } @for (symptom, word, title) in Symptom::ALL {
                            option value=(word) selected[self.symptom == Some(symptom)] { (title) }
                        } } }
                        label { span { "What was found" } input name="found" maxlength="200" autocomplete="off" placeholder="core off at the plug"; }
                        label { span { "What was done" } input name="did" maxlength="200" autocomplete="off" placeholder="soldered again, metered"; }
                        label { span { "Lent meanwhile, or where it is" } input name="lent" maxlength="200" autocomplete="off"; }
                        label { span { "By" } input name="by" maxlength="60" autocomplete="name"; }
                        label { span { "Day" } input name="on" maxlength="10" placeholder="today" inputmode="numeric"; }
                        button.write type="submit" { "Write it down" }
                    }
                    h2 { "Before" }
                    @if self.repairs.is_empty() { p { "Nothing is written down of this board." } }
                    ul.repairs { @for repair in self.repairs.iter().rev() {
                        li {
                            (one(repair))
                            form method="post" action={ (to) "/mended" } { input type="hidden" name="back" value=(repair.id); button type="submit" aria-label={ "Take back " (repair.part) " of " (repair.on) } { "Take back" } }
                        }
                    } }
                    p.never { "What is written here makes the rows of the test sheet that were measured before due again, stands in the player’s book, and tells this shop what breaks." }
                }
            }
        };
        alone("Mended", "fault.css", &body)
    }
}

/// One repair in a line or two.
fn one(repair: &Repair) -> Markup {
    html! {
        span { b { (repair.part) } " " (repair.on) @if let Some(by) = &repair.by { ", " (by) } br;
            (crate::mended::words(repair)) }
    }
}

/// What was mended before, the last first.
pub(crate) fn list(repairs: &[Repair]) -> Markup {
    html! { ul.repairs { @for repair in repairs.iter().rev() { li { (one(repair)) } } } }
}
