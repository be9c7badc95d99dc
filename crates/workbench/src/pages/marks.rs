//! Small marks in line with text: severities, provenance, ticks.

use finding::Severity;
use maud::{Markup, PreEscaped, html};
use rig::Provenance;

/// The shape of a severity; the word stands beside it, or is said in its place.
pub(crate) fn severity(severity: Severity, size: u32) -> Markup {
    let name = severity.word();
    html! {
        svg.i width=(size) height=(size) aria-hidden="true" { (PreEscaped(format!("<use href=\"#{name}\"/>"))) }
    }
}

/// A shape with its word for those who do not see it.
pub(crate) fn counted(of: Severity, count: usize) -> Markup {
    html! {
        span.count { (severity(of, 14)) (count) span.sr { " " (of.word()) } }
    }
}

pub(crate) fn tick() -> Markup {
    html! {
        svg.i width="14" height="14" aria-hidden="true" { (PreEscaped("<use href=\"#pass\"/>")) }
    }
}

pub(crate) fn padlock() -> Markup {
    html! {
        svg.i width="14" height="14" role="img" aria-label="locked" { (PreEscaped("<use href=\"#lock\"/>")) }
    }
}

/// The letter for where a value comes from.
pub(crate) fn letter(from: Provenance) -> Markup {
    html! { abbr.pv data-from=(from.word()) title=(from.word()) { (from.letter()) } }
}

/// What the letters mean.
pub(crate) fn letters() -> Markup {
    html! {
        p.key {
            @for from in [Provenance::Measured, Provenance::Printed, Provenance::Assumed, Provenance::Unknown] {
                span { (letter(from)) " " (from.word()) } " "
            }
        }
    }
}

/// The shapes, once on every page.
pub(crate) fn shapes() -> Markup {
    PreEscaped(SHAPES.to_owned())
}

const SHAPES: &str = r#"<svg width="0" height="0" class="shapes" aria-hidden="true"><defs>
<symbol id="stop" viewBox="0 0 16 16"><path d="M5 .8h6L15.2 5v6L11 15.2H5L.8 11V5z" fill="var(--stop)"/><path d="M4 8h8" stroke="var(--onstop)" stroke-width="2.4"/></symbol>
<symbol id="look" viewBox="0 0 16 16"><path d="M8 1.2 15.3 14.6H.7z" fill="var(--lookfill)" stroke="var(--look)" stroke-width="1.1" stroke-linejoin="round"/><path d="M8 5.6v4.6M8 11.6v1.5" stroke="var(--onlook)" stroke-width="1.7"/></symbol>
<symbol id="note" viewBox="0 0 16 16"><circle cx="8" cy="8" r="6.6" fill="none" stroke="var(--note)" stroke-width="1.5"/><path d="M8 7.2v4.2M8 4.4v1.5" stroke="var(--note)" stroke-width="1.7"/></symbol>
<symbol id="pass" viewBox="0 0 16 16"><path d="M3 8.4l3.4 3.4L13 4.6" fill="none" stroke="currentColor" stroke-width="1.8"/></symbol>
<symbol id="lock" viewBox="0 0 16 16"><path d="M4 7V5a4 4 0 0 1 8 0v2" fill="none" stroke="currentColor" stroke-width="1.6"/><path d="M2.6 7h10.8v8H2.6z" fill="currentColor"/></symbol>
<symbol id="unlock" viewBox="0 0 16 16"><path d="M4 7V5a4 4 0 0 1 7.6-1.7" fill="none" stroke="currentColor" stroke-width="1.6"/><path d="M3.3 7.7h9.4v6.6H3.3z" fill="none" stroke="currentColor" stroke-width="1.4"/></symbol>
</defs></svg>"#;
