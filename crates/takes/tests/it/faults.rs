//! Planted faults are named: first in nine of ten and more, and among the first three in 98 of a hundred.
//!
//! Most of those that are not named first are devices that stay in or out: in one state alone that may look like another fault.

use std::collections::BTreeMap;

use rig::Bypass;
use signal::grid::frequencies;
use signal::{Config, Sweep};
use takes::signals::{Side, played};
use takes::{Evidence, Fault, Level, Question, bands, compare, suspects};

use crate::recorded::{Lot, after, curve, heard, through, with_noise};
use crate::rigs::{Chain, Dry, tag};

/// Boards with a fault in the ordinary test; `BOARDWRIGHT_SOAK` asks for as many as it names, 500 where it names none.
const BOARDS: usize = 60;

/// Of them, boards that are recorded and read as files.
const RECORDED: usize = 12;

/// A fault shows when it moves the response by as much somewhere, in dB.
const SHOWS: f64 = 1.5;

/// A board that was planned, and one that was built.
struct Case {
    planned: Chain,
    built: Chain,
    truth: Fault,
}

fn lead(chain: &Chain, at: usize) -> String {
    let (from, to) = &chain.leads()[at];
    format!("{from} > {to}")
}

/// Plants one fault; `None` where the board has no room for it.
fn plant(kind: usize, lot: &mut Lot) -> Option<Case> {
    let planned = Chain::by_lot(lot);
    let mut built = planned.clone();
    let count = planned.pedals.len();
    // Cable is never quite what its maker says.
    for cut in &mut built.cuts[1..count] {
        *cut *= lot.between(0.97, 1.03);
    }
    let at = lot.below(count);
    let is_on = planned.on.contains(&at);
    let pedal = &mut built.pedals[at];
    let truth = match kind {
        0 => {
            let at = 1 + lot.below(count - 1);
            let more = lot.between(3e3, 9e3);
            built.cuts[at] += more;
            Fault::Capacitance { lead: lead(&planned, at), farads: more * 100e-15, planned: 0.0 }
        }
        1 => {
            if pedal.bypass != Bypass::Buffered || is_on {
                return None;
            }
            pedal.bypass = Bypass::Hard;
            Fault::NoBuffer { device: tag(at) }
        }
        2 => {
            if !is_on {
                return None;
            }
            pedal.inverts = !pedal.inverts;
            Fault::Inverts { device: tag(at) }
        }
        3 => {
            if built.dry == Dry::None {
                return None;
            }
            built.dry = Dry::Broken;
            Fault::Broken { lead: "X1.OUT_B > X2.IN_B".to_owned() }
        }
        4 => {
            if pedal.travel.is_some() {
                return None;
            }
            if is_on {
                built.on.retain(|other| *other != at);
            } else {
                built.on.push(at);
            }
            Fault::Stays { name: tag(at), is_in: !is_on }
        }
        _ => {
            if pedal.travel.is_some() || !(is_on || pedal.bypass == Bypass::Buffered) {
                return None;
            }
            let more = [22e3, 47e3, 100e3, 150e3][lot.below(4)];
            pedal.ohms = pedal.ohms * more / (pedal.ohms + more);
            Fault::Load { port: format!("{}.IN", tag(at)), ohms: more }
        }
    };
    Some(Case { planned, built, truth })
}

fn level(chain: &Chain) -> Level {
    if chain.on.is_empty() { Level::Counts } else { Level::Free }
}

/// What a perfect recording of a built board would show, where its fault shows at all.
fn shows(case: &Case) -> Option<(Vec<f64>, bool)> {
    let (planned, built) = (case.planned.board(), case.built.board());
    let expected = planned.response(&case.planned.engaged())?;
    let own = built.response(&case.built.engaged())?;
    let straight = planned.straight();
    let hertz = frequencies();
    let over = |values: &[signal::Complex]| -> Vec<f64> {
        values.iter().zip(&straight).map(|(a, b)| a.decibels() - b.decibels()).collect()
    };
    let sign = |values: &[signal::Complex]| {
        let pairs = values.iter().zip(&straight).zip(&hertz);
        let middle = pairs.filter(|(_, f)| (100.0..2_000.0).contains(*f));
        middle.map(|((a, b), _)| (a.re * b.re + a.im * b.im) / a.size() / b.size()).sum::<f64>() < 0.0
    };
    let (should, does) = (over(&expected), over(&own));
    let shift = if level(&case.planned) == Level::Free {
        let low = hertz.iter().position(|f| 200.0 < *f).expect("it is there");
        should[low] - does[low]
    } else {
        0.0
    };
    let off = should
        .iter()
        .zip(&does)
        .zip(&hertz)
        .filter(|(_, f)| (40.0..16_000.0).contains(*f))
        .map(|((a, b), _)| (b + shift - a).abs())
        .fold(0.0, f64::max);
    (SHOWS < off || sign(&expected) != sign(&own)).then(|| (does, sign(&own)))
}

/// Whether two faults are the same one, in kind and place.
fn is_same(found: &Fault, truth: &Fault) -> bool {
    match (found, truth) {
        (Fault::Capacitance { lead: a, .. }, Fault::Capacitance { lead: b, .. })
        | (Fault::Load { port: a, .. }, Fault::Load { port: b, .. }) => a == b,
        _ => found == truth,
    }
}

/// Whether the size that was found is the truth's, as far as cable within 3 % lets one know.
fn is_sized(found: &Fault, truth: &Fault) -> bool {
    match (found, truth) {
        (Fault::Capacitance { farads: a, .. }, Fault::Capacitance { farads: b, .. }) => {
            (a - b).abs() < 60e-12 + 0.1 * b
        }
        (Fault::Load { ohms: a, .. }, Fault::Load { ohms: b, .. }) => (a / b - 1.0).abs() < 0.25,
        _ => true,
    }
}

/// At which place the truth is named, from 0, and whether its size is right.
fn rank(case: &Case, change_db: Vec<f64>, inverts: Option<bool>) -> (Option<usize>, bool, String) {
    let board = case.planned.board();
    let (input, config) = (board.input(), Config::default());
    let way = Question { input: &input, config: &config, source: "guitar", sink: "amp" };
    let evidence = Evidence {
        engaged: case.planned.engaged(),
        sink: "amp".to_owned(),
        change_db,
        inverts,
        level: level(&case.planned),
    };
    let found = suspects(way, &[evidence]).expect("signal arrives");
    let place = found.list.iter().position(|suspect| {
        is_same(&suspect.fault, &case.truth) || suspect.or.iter().any(|other| is_same(other, &case.truth))
    });
    let sized = place.is_none_or(|at| {
        let suspect = &found.list[at];
        std::iter::once(&suspect.fault)
            .chain(&suspect.or)
            .any(|one| is_same(one, &case.truth) && is_sized(one, &case.truth))
    });
    let named: Vec<String> = found
        .list
        .iter()
        .take(3)
        .map(|one| format!("{:?} {:.2} leaves {:.2}", one.fault, one.share, one.leaves_db))
        .collect();
    (
        place,
        sized,
        format!(
            "{:?} dry {:?} on {:?}: {}",
            case.truth,
            case.planned.dry,
            case.planned.on,
            named.join(" | ")
        ),
    )
}

#[test]
fn the_culprit_is_named_first() {
    let boards = std::env::var("BOARDWRIGHT_SOAK").map_or(BOARDS, |text| text.parse().unwrap_or(500));
    // Not the lot that odds and penalties were chosen on.
    let mut lot = Lot(71_113);
    let (mut met, mut first, mut three, mut sized) = (0, 0, 0, 0);
    let mut missed = Vec::new();
    let mut kinds: BTreeMap<usize, (usize, usize)> = BTreeMap::new();
    let mut draws = 0;
    while met < boards {
        draws += 1;
        let kind = draws % 6;
        let Some(case) = plant(kind, &mut lot) else { continue };
        let Some((change, inverts)) = shows(&case) else { continue };
        met += 1;
        let change = change.iter().map(|db| db + 0.05 * lot.normal()).collect();
        let (place, is_right, words) = rank(&case, change, Some(inverts));
        let of = kinds.entry(kind).or_default();
        of.0 += 1;
        sized += usize::from(is_right);
        match place {
            Some(0) => {
                first += 1;
                three += 1;
                of.1 += 1;
            }
            Some(1 | 2) => {
                three += 1;
                missed.push(words);
            }
            _ => missed.push(format!("MISSED {words}")),
        }
    }
    assert!(kinds.values().all(|(met, _)| boards <= 30 * met), "{kinds:?}");
    let said = format!("{first} first, {three} in three, {sized} sized of {met}; {kinds:?}");
    println!("soak: {said}\n{}", missed.join("\n"));
    assert!(90 * met <= 100 * first && 98 * met <= 100 * three, "{said}\n{}", missed.join("\n"));
    assert!(95 * met <= 100 * sized, "{said}");
}

#[test]
fn the_culprit_is_named_from_recordings() {
    let mut lot = Lot(77);
    let rate = 44_100;
    let (mut met, mut first) = (0, 0);
    let mut missed = Vec::new();
    let mut draws = 0;
    while met < RECORDED {
        draws += 1;
        let Some(case) = plant(draws % 6, &mut lot) else { continue };
        if shows(&case).is_none() {
            continue;
        }
        met += 1;
        let (planned, built) = (case.planned.board(), case.built.board());
        let own = built.response(&case.built.engaged()).expect("it arrives");
        let lead = planned.straight();
        // The player runs 5 Hz fast: 113 ppm; hum and noise come in at the end.
        let through_board =
            |values| through(&played(rate + 5, Side::Left), rate + 5, curve(frequencies(), values));
        let hum = |mut samples: Vec<f64>, net: f64| {
            for (n, value) in (0_u32..).zip(&mut samples) {
                *value += 2e-4 * libm::sin(std::f64::consts::TAU * net * f64::from(n) / f64::from(rate));
            }
            samples
        };
        let net = lot.between(49.9, 60.1);
        let board = hum(with_noise(through_board(own), 3e-5, &mut lot), net);
        let straight = with_noise(through_board(lead), 1e-5, &mut lot);
        let board = heard(rate, &[&after(1.3, rate, &board)]).expect("it is read");
        let straight = heard(rate, &[&after(0.2, rate, &straight)]).expect("it is read");
        let take = compare(&board, &straight).expect("two recordings").remove(0);
        let (place, _, words) = rank(&case, take.change_db, take.inverts);
        if place == Some(0) {
            first += 1;
        } else {
            missed.push(words);
        }
    }
    assert!(90 * met <= 100 * first, "{first} of {met}:\n{}", missed.join("\n"));
}

#[test]
fn a_board_as_it_was_planned_passes_every_band() {
    let mut lot = Lot(5);
    for _ in 0..60 {
        let chain = Chain::by_lot(&mut lot);
        let board = chain.board();
        let (input, config) = (board.input(), Config::default());
        let way = Question { input: &input, config: &config, source: "guitar", sink: "amp" };
        let expected = way.expected(&chain.engaged(), &Sweep::new(frequencies())).expect("it arrives");
        let own = board.response(&chain.engaged()).expect("it arrives");
        let straight = board.straight();
        let change: Vec<f64> = own.iter().zip(&straight).map(|(a, b)| a.decibels() - b.decibels()).collect();
        for band in bands(&change, &expected, level(&chain)) {
            assert!(band.off_db().abs() < 0.01 && band.passes(), "{band:?}");
        }
    }
}

#[test]
fn a_passive_pedal_bares_its_lead_and_the_lead_is_named() {
    // A volume pedal half down before a lead with 340 pF too much.
    let mut lot = Lot(8);
    let mut planned = Chain::by_lot(&mut lot);
    planned.pedals.truncate(3);
    planned.cuts = vec![3_000.0, 300.0, 600.0, 7_000.0];
    (planned.on, planned.dry) = (Vec::new(), Dry::None);
    for (pedal, (bypass, travel)) in planned.pedals.iter_mut().zip([
        (Bypass::Buffered, None),
        (Bypass::AlwaysOn, Some(0.5)),
        (Bypass::Buffered, None),
    ]) {
        pedal.bypass = bypass;
        pedal.travel = travel;
        pedal.ohms = if travel.is_some() { 250e3 } else { 1e6 };
        (pedal.out, pedal.inverts) = (1e3, false);
    }
    let mut built = planned.clone();
    built.cuts[2] += 3_400.0;
    let truth = Fault::Capacitance { lead: "D2.OUT > D3.IN".to_owned(), farads: 340e-12, planned: 0.0 };
    let case = Case { planned, built, truth };
    let (change, inverts) = shows(&case).expect("it shows");
    let (place, is_sized, words) = rank(&case, change, Some(inverts));
    assert!(place == Some(0) && is_sized, "{words}");
}
