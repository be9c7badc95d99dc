//! Every word the papers bring along, in one place for later languages.

mod bench;
mod client;
mod measuring;
mod money;

pub(crate) use bench::*;
pub(crate) use client::*;
pub(crate) use measuring::*;
pub(crate) use money::*;

pub(crate) const PROGRAM: &str = "Boardwright";
pub(crate) const LAYOUT_ALL: &str = "Layout, all decks";
pub(crate) const LAYOUT_ONE: &str = "Layout";
pub(crate) const DASH: &str = "—";

// Title block.
pub(crate) const TITLE: &str = "Title";
pub(crate) const NUMBER: &str = "Number";
pub(crate) const REVISION: &str = "Revision";
pub(crate) const SHEET: &str = "Sheet";
pub(crate) const JOB: &str = "Job";
pub(crate) const DATE: &str = "Date of issue";
pub(crate) const STATUS: &str = "Status";
pub(crate) const WORKSHOP: &str = "Workshop";
pub(crate) const DRAWN_BY: &str = "Drawn by";
pub(crate) const SCALE: &str = "Scale";
pub(crate) const TYPE: &str = "Type";
pub(crate) const APPROVED: &str = "Approved by, date";
pub(crate) const DATUM: &str = "Datum";
pub(crate) const DATUM_PLACE: &str = "front left, seen by the player";
pub(crate) const DRAFT: &str = "draft";
pub(crate) const FOR_APPROVAL: &str = "for approval";
pub(crate) const INVOICED: &str = "issued";
pub(crate) const TYPE_LAYOUT: &str = "layout";
pub(crate) const INPUT: &str = "input";
pub(crate) const OF: &str = "of";

pub(crate) const SUPERSEDES: &str = "Supersedes";
pub(crate) const BENCH_BINDING: &str = "For the bench";
pub(crate) const OFFICE_BINDING: &str = "For the office";
pub(crate) const CLIENT_BINDING: &str = "For the client";
pub(crate) const BENCH_PAGE: &str = "bench page";
pub(crate) const OFFICE_PAGE: &str = "office page";
pub(crate) const CLIENT_PAGE: &str = "client page";
pub(crate) const UNKNOWN: &str = "?";
pub(crate) const NONE: &str = "None.";
pub(crate) const CSV_GROUP: &str = "group";
pub(crate) const CSV_UNNAMED: &str = "value";
pub(crate) const CSV_UNIT: &str = "unit";
pub(crate) const CSV_REMARK: &str = "remark";
pub(crate) const CSV_AT_LEAST: &str = "at least";
pub(crate) const CSV_UNKNOWN: &str = "not known";
pub(crate) const CSV_ASSUMED: &str = "assumed";
pub(crate) const CONTENTS_PAPER: &str = "paper";
pub(crate) const CONTENTS_READER: &str = "for";
pub(crate) const CONTENTS_PAGE: &str = "page";
pub(crate) const YES: &str = "yes";
pub(crate) const NO: &str = "no";

/// What a revision replaces, when the revisions before it are not written down.
pub(crate) fn all_before(revision: &str) -> String {
    format!("all before {revision}")
}
pub(crate) const NOTHING: &str = "first issue";

/// The word of a severity, as lists show it.
pub(crate) fn severity(severity: finding::Severity) -> &'static str {
    match severity {
        finding::Severity::Stop => "Stop",
        finding::Severity::Look => "Look",
        finding::Severity::Note => "Note",
    }
}

/// A job for its player.
pub(crate) fn job_for(title: &str, player: &str) -> String {
    format!("{title}, for {player}")
}

// First page of the layout.
pub(crate) const PLAN: &str = "Plan";
pub(crate) const PLAN_ALL: &str = "Plan, all decks";
pub(crate) const VIEW_A: &str = "View A";
pub(crate) const VIEW_A_LID: &str = "View A, with the lid";
pub(crate) const LEGEND: &str = "Legend";
pub(crate) const GAPS: &str = "Gaps";
pub(crate) const MM: &str = "mm";
pub(crate) const FOUND: &str = "found";
pub(crate) const LEAST: &str = "least";
pub(crate) const SPARE: &str = "spare";
pub(crate) const NO_GAPS: &str = "none to number";
pub(crate) const LID: &str = "lid";
pub(crate) const DOTTED: &str = "Dotted: assumed. Measure before drilling.";
pub(crate) const WAYS: &str = "Leads on the ways they are laid; narrow where they run below a deck.";
pub(crate) const BEHIND: &str = "jack behind";
pub(crate) const TO_AGREE: &str = "To agree";
pub(crate) const MASS_BARE: &str = "Mass, bare";
pub(crate) const MASS_CASED: &str = "Mass, cased";
pub(crate) const ASSUMED_VALUES: &str = "Assumed values";
pub(crate) const OPEN_FINDINGS: &str = "Open findings";
pub(crate) const ANSWERED_COUNT: &str = "Answered for";
pub(crate) const NOT_JUDGED: &str = "Not checked";

/// How many values of how many.
pub(crate) fn of_count(count: usize) -> String {
    format!("of {count}")
}

/// How many masses a sum lacks.
pub(crate) fn unknown_masses(count: usize) -> String {
    format!("kg, {count} unknown")
}

// Cautions.
pub(crate) const CAUTIONS: &str = "Cautions";
pub(crate) const CAUTION_MAINS: &str = "Mains: use approved mains units as they come. Fixed mains wiring follows local \
     codes and is for a competent person, licensed where the law asks for it. Never lift a protective earth.";
/// The same for the foot of every page of a board with a strip or an adaptor.
pub(crate) const CAUTION_FOOT: &str =
    "Mains: unplug first; approved units as they come; local code and a competent person decide.";
pub(crate) const CAUTION_HOT: &str =
    "Supplies run hot and hold charge: unplug and wait before opening, keep air around them.";
pub(crate) const CAUTION_SOLDER: &str =
    "Soldering: heat, fumes and, in some solders, lead. Ventilate, wash hands, protect your eyes.";
pub(crate) const CAUTION_HEAVY: &str = "Heavy: lift with bent knees or with two.";
pub(crate) const CAUTION_PHANTOM: &str = "Phantom power: mute before plugging.";
