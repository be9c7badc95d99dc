//! Boards that a builder would sign: the corrected examples, arranged by default from nothing, beside the same laid by hand.

use std::path::PathBuf;

use document::Job;
use finding::{Finding, Severity};
use layout::verify::rows;
use layout::{Config, Input, NeverCancelled, NoProgress, Outcome};
use quantity::Length;
use rig::{FLOOR, Role};

use crate::held::{check, input};

/// An example with what it may come to.
struct Board {
    name: &'static str,
    /// Millimetres of cable on the board where treadles and what is set once count little: the reference.
    cable_mm: f64,
    /// Findings to look at that the board laid by hand has not, at most.
    looks: usize,
    /// Cable in addition to that, in hundredths: 15 is the aim; a board that is known to take more says how much.
    more: f64,
    /// Treadles that are known not to reach the front edge.
    behind: &'static [&'static str],
}

/// Pairs with one front edge, in hundredths of those laid by hand.
const PAIRS: usize = 80;

const BOARDS: [Board; 7] = [
    Board { name: "baritone-ambient", cable_mm: 17_230.0, looks: 1, more: 15.0, behind: &[] },
    Board { name: "cabin-board", cable_mm: 2_830.0, looks: 0, more: 15.0, behind: &[] },
    Board { name: "church-bass", cable_mm: 8_845.0, looks: 2, more: 15.0, behind: &[] },
    Board { name: "session-two-deck", cable_mm: 18_500.0, looks: 2, more: 15.0, behind: &[] },
    Board { name: "theatre-pit", cable_mm: 17_255.0, looks: 0, more: 15.0, behind: &[] },
    Board { name: "two-voice-acoustic", cable_mm: 10_560.0, looks: 1, more: 20.0, behind: &[] },
    Board { name: "wet-dry-touring", cable_mm: 27_445.0, looks: 3, more: 15.0, behind: &["D3", "D13"] },
];

fn example(name: &str) -> Job {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    document::read(&folder, None).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// What is said of a board, at this severity: rule and, where it names any, its first lead.
fn said(findings: &[Finding], severity: Severity) -> Vec<&Finding> {
    findings.iter().filter(|finding| finding.severity == severity && finding.accepted.is_none()).collect()
}

/// Treadles on a deck that do not begin at its front edge, or with a body or a lead before them.
fn treadles(outcome: &Outcome, design: &design::Design, behind: &[&str]) -> Vec<String> {
    let near = Length::from_mm(5);
    let rig = &outcome.rig;
    let plans: Vec<_> = rig
        .devices
        .iter()
        .filter(|device| device.place.as_ref().is_some_and(|place| place.deck != FLOOR && !place.under))
        .filter_map(|device| Some((device, rig::geometry::standing(rig, device)?.at)))
        .collect();
    let mut out = Vec::new();
    for (device, at) in plans.iter().filter(|(device, _)| device.treadle.is_some()) {
        if behind.contains(&device.tag.as_str()) {
            continue;
        }
        if near < at.y {
            out.push(format!("{} begins {} behind the front edge", device.tag, at.y));
        }
        for (other, there) in &plans {
            if there.y < at.y && there.x < at.right() && at.x < there.right() {
                out.push(format!("{} stands before {}", other.tag, device.tag));
            }
        }
        let (left, right) = (at.x.as_mm(), at.right().as_mm());
        for laid in &design.routes().outcome.leads {
            let before = |point: &[f64; 3]| {
                left < point[0] && point[0] < right && point[1] < at.y.as_mm() && 0.0 <= point[2]
            };
            if laid.path.iter().any(before) {
                out.push(format!("lead {} lies before {}", laid.id, device.tag));
            }
        }
    }
    out
}

/// The edges that panels face.
fn edges(rig: &rig::Rig) -> Vec<(String, u8)> {
    let panels = rig.devices.iter().filter(|device| device.role == Role::Panel);
    panels.filter_map(|panel| Some((panel.tag.clone(), panel.place.as_ref()?.quarters))).collect()
}

#[test]
fn arranged_examples_are_boards_that_a_builder_would_sign() {
    let mut wrong = Vec::new();
    for Board { name, cable_mm, looks, more, behind } in BOARDS {
        let job = example(&format!("{name}-corrected"));
        let today = check(&job);
        let by_hand: Input = input(&job);
        let config = Config { alternatives: 0, relax: false, ..Config::of_shop(&job.limits) };
        let hand = rows(&job.rig);
        let free = by_hand.clone().unplaced();
        let found = verdict::arrange(&job, &today, &free, &config, &NoProgress, &NeverCancelled);
        let Some(verdict) = found.verdict.as_ref().filter(|_| found.fits()) else {
            wrong.push(format!("{name}: no placement that passes: {:?}", found.bars()));
            continue;
        };
        let outcome = &found.outcome;
        let is = rows(&outcome.rig);
        if is.pairs * 100 < hand.pairs * PAIRS {
            wrong.push(format!("{name}: {} pairs with one front edge, by hand {}", is.pairs, hand.pairs));
        }
        if 0 < is.near_misses {
            wrong.push(format!("{name}: {} pairs nearly in one line", is.near_misses));
        }
        let then = checks::check(&verdict.design);
        let stops = said(&then, Severity::Stop);
        if !stops.is_empty() {
            wrong.push(format!("{name}: {stops:?}"));
        }
        let fresh: Vec<&Finding> =
            verdict.beside.iter().filter(|one| one.severity == Severity::Look).collect();
        if looks < fresh.len() {
            let rules: Vec<&str> = fresh.iter().map(|finding| finding.rule).collect();
            wrong.push(format!("{name}: {} new looks, at most {looks}: {rules:?}", fresh.len()));
        }
        wrong.extend(
            treadles(outcome, &verdict.design, behind).into_iter().map(|what| format!("{name}: {what}")),
        );
        if edges(&job.rig) != edges(&outcome.rig) {
            wrong.push(format!("{name}: a panel at another edge"));
        }
        wrong.extend(outcome.unmet.iter().map(|unmet| format!("{name}: {}", unmet.words())));
        let cable: f64 = verdict.design.routes().outcome.leads.iter().map(|laid| laid.cut_mm).sum();
        if cable_mm * (1.0 + more / 100.0) < cable {
            wrong.push(format!("{name}: {cable:.0} mm of cable, the reference is {cable_mm:.0}"));
        }
        if std::env::var_os("BOARDWRIGHT_SOAK").is_some() {
            println!(
                "soak: {name}: {} pairs with one front edge (by hand {}), {} near misses, {} new looks, {cable:.0} mm of cable (reference {cable_mm:.0})",
                is.pairs,
                hand.pairs,
                is.near_misses,
                fresh.len()
            );
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
