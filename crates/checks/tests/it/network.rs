//! The network as it is wired: small rigs with what `signal` answers and what the rules say of them.
//!
//! A case is a folder with `rig.toml` and `expected.txt`, one expectation a line:
//! `change STATE: SOURCE to SINK at HZ Hz X dB` against the player's reference; `reaches SINK`, `silent SINK`, either
//! `from SOURCE`; `meets PORT to PORT` and `parted PORT from PORT`; `loss PORT to PORT X dB` with what is between off;
//! `notches DEVICE HZ …`; `lacks FIELD`; `finding RULE TEXT` and `no finding RULE TEXT`; `no note TEXT`.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use design::Design;
use finding::Finding;
use signal::Outcome;

#[test]
fn every_rig_is_wired_as_its_document_says() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/network");
    let mut cases: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the cases are there")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    cases.sort();
    assert!(10 < cases.len(), "the cases are there");
    let mut wrong = String::new();
    for case in cases {
        let text = std::fs::read_to_string(case.join("rig.toml")).expect("the rig is there");
        let expected = std::fs::read_to_string(case.join("expected.txt")).expect("what is expected is there");
        let job = document::read_text("rig.toml", &text, None)
            .unwrap_or_else(|error| panic!("{}: {error:?}", case.display()));
        let design = design::derive(job.rig, job.limits).laid_on(design::Routes::none());
        let findings = checks::check(&design);
        for line in expected.lines() {
            if let Err(found) = holds(&design, design.signal(), &findings, line) {
                let _ = writeln!(wrong, "{}: {line}\n    found {found}", case.display());
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// Whether a line holds; what is found instead.
fn holds(design: &Design, outcome: &Outcome, findings: &[Finding], line: &str) -> Result<(), String> {
    let tell = |fine: bool, found: String| if fine { Ok(()) } else { Err(found) };
    let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
    match word {
        "change" => change(outcome, rest),
        "reaches" | "silent" => {
            let (sink, source) = rest.split_once(" from ").map_or((rest, None), |(a, b)| (a, Some(b)));
            let arrives = outcome
                .ways
                .iter()
                .any(|way| way.sink == sink && source.is_none_or(|source| way.source == source));
            tell(arrives == (word == "reaches"), format!("{:?}", outcome.notes))
        }
        "meets" | "parted" | "loss" => {
            let (from, rest) =
                rest.split_once(if word == "parted" { " from " } else { " to " }).expect("two ports");
            let (to, figure) = rest.split_once(' ').map_or((rest, None), |(to, figure)| (to, Some(figure)));
            let found = outcome.junctions.iter().find(|junction| junction.from == from && junction.to == to);
            match (word, found, figure) {
                ("parted", found, _) => tell(found.is_none(), format!("{found:?}")),
                (_, None, _) => Err("no junction".to_owned()),
                ("loss", Some(junction), Some(figure)) => {
                    let told = format!("{:.2} dB", junction.off_db.unwrap_or(f64::NAN));
                    tell(told == figure, told)
                }
                _ => Ok(()),
            }
        }
        "notches" => {
            let mut words = rest.split(' ');
            let (at, wanted) = (words.next(), words.collect::<Vec<_>>().join(" "));
            let found = outcome.branches.iter().find(|branches| branches.meets.as_deref() == at);
            let found = found.map(|branches| {
                branches.notches.iter().map(|hertz| format!("{hertz:.0}")).collect::<Vec<_>>().join(" ")
            });
            tell(found.as_deref().is_some_and(|found| found.starts_with(&wanted)), format!("{found:?}"))
        }
        "lacks" => {
            let found: Vec<String> = outcome.lacks.iter().map(ToString::to_string).collect();
            tell(found.iter().any(|field| field == rest), format!("{found:?}"))
        }
        "finding" | "no" => {
            let rest = rest.strip_prefix("finding ").unwrap_or(rest);
            if let Some(text) = rest.strip_prefix("note ") {
                return tell(
                    !outcome.notes.iter().any(|note| note.contains(text)),
                    format!("{:?}", outcome.notes),
                );
            }
            let (rule, text) = rest.split_once(' ').expect("a rule and a text");
            let own: Vec<&str> = findings
                .iter()
                .filter(|finding| finding.rule == rule)
                .map(|finding| finding.message.as_str())
                .collect();
            let there = own.iter().any(|message| message.contains(text));
            tell(there == (word == "finding"), format!("{own:?} in {}", design.rig.job.title))
        }
        other => panic!("`{other}` is no expectation"),
    }
}

fn change(outcome: &Outcome, rest: &str) -> Result<(), String> {
    let (state, rest) = rest.split_once(": ").expect("a state");
    let (ends, rest) = rest.split_once(" at ").expect("a frequency");
    let (hertz, figure) = rest.split_once(" Hz ").expect("a figure");
    let (source, sink) = ends.split_once(" to ").expect("two ends");
    let wanted: f64 = hertz.parse().expect("a number");
    let k = outcome.frequencies.iter().position(|f| (f - wanted).abs() < 1e-6).expect("in the grid");
    let way = outcome.ways.iter().find(|way| way.source == source && way.sink == sink).ok_or("no way")?;
    let found = way.states.iter().find(|one| one.name == state).ok_or("no state")?;
    let level = *found.level_db().get(k).ok_or("silence")?;
    let told = format!("{:.2} dB", level - way.reference_db[k]);
    if told == figure { Ok(()) } else { Err(told) }
}
