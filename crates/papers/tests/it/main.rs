//! What papers promise: pages, words, a check bar that measures, the same bytes for the same input.

#[path = "../../../drawing/tests/it/rigs.rs"]
mod rigs;

mod bench;
mod derived;
mod layout;
mod reading;
mod set;

use design::{Design, derive};
use finding::{Acceptance, Evidence, Field, Finding, Severity};
use papers::{Paper, PaperSize, PapersInput, papers};
use quantity::{Grams, Length};
use rig::Limits;

/// The papers of a design as the program would make them.
fn input<'a>(design: &'a Design, findings: &'a [Finding], paper: PaperSize) -> PapersInput<'a> {
    PapersInput {
        program_version: "0.1.0",
        input_hash: "3f9a41c2",
        ..PapersInput::new(design, findings, paper)
    }
}

/// One paper of the set.
fn one(input: &PapersInput<'_>, name: &'static str) -> Paper {
    let set = papers(input, &[name]).expect("it is set");
    set.papers.into_iter().find(|paper| paper.name == name).expect("it is in the set")
}

/// The board of two decks.
fn board() -> Design {
    derive(rigs::two_decks(), Limits::default())
}

/// One finding of every sort.
fn findings() -> Vec<Finding> {
    let mm = Length::from_mm;
    let mut answered = Finding::new("row-distance", Severity::Look, "the rows of `VOL` and `DLY` are close")
        .about(["VOL", "DLY"]);
    answered.accepted = Some(Acceptance {
        reason: "the player plays in socks".into(),
        by: Some("O. Fenlow".into()),
        covers: finding::Scope::WholeJob,
    });
    vec![
        answered,
        Finding::new(
            "plugs-too-close",
            Severity::Stop,
            "the cable from `FUZ` has no room to leave the plug of `OCT`",
        )
        .about(["FUZ", "OCT"])
        .with(Evidence::at_least(mm(-9), mm(0)))
        .assuming([Field::of("plug", "flat-angled", "bend")])
        .remedy("move OCT 12 mm to the left"),
        Finding::new("not-placed", Severity::Stop, "`LOP` has no place")
            .about(["LOP"])
            .remedy("place it, or mark it outside"),
        Finding::new("mass-one-person", Severity::Look, "the board with its case is heavy for one person")
            .with(Evidence::at_most(Grams::of(17_250.0), Grams::of(16_000.0)))
            .remedy("agree on two carriers"),
        Finding::new("sign", Severity::Look, "cannot tell whether the inlet of `MOD` suits its outlet")
            .about(["MOD"])
            .lacking([Field::device("MOD", "power.sign")])
            .remedy("read the print beside the inlet"),
        Finding::new("spare-outlet", Severity::Note, "one outlet of `SUP` is spare").about(["SUP"]),
    ]
}
