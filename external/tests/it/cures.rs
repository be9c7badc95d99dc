//! Cures of rigs that cannot be fed, against every purchase of one or two things, made on the rig itself; each cure written
//! into the document, read again and checked.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use power::verify::verify;
use power::{Candidate, Config, Cure, CureStep, Input, Outcome, Status, solve, stated};
use rig::{Device, FeedKind, PortRef, Rig, Role};

use crate::power::rigs::{self, Dice};

/// Impossible rigs that are compared in the ordinary test; `BOARDWRIGHT_SOAK` asks for as many as it names.
const RIGS: usize = 400;

/// What can be bought: isolated with a mains inlet, strong with an adaptor of its own, alternating of which nobody knows how it gets
/// its mains, a doubler, many small outlets with one negative.
const KINDS: &str = r#"
[device.two-of-nine]
title = "two of nine"
role = "brick"
mass = "300 g"
size = { width = "80 mm", depth = "60 mm", height = "25 mm" }
power = { type = "mains", volts = "230 V" }
port.MAINS = { role = "mains", connector = "iec-c14" }
from = "assumed"
outlet.1 = { type = "dc", setting = [{ volts = "9 V", current = "300 mA" }], sign = "centre-negative", isolation = "isolated", series = true, parallel = true }
outlet.2 = { type = "dc", setting = [{ volts = "9 V", current = "300 mA" }], sign = "centre-negative", isolation = "isolated", series = true, parallel = true }

[device.one-strong]
title = "one strong"
role = "brick"
mass = "500 g"
size = { width = "60 mm", depth = "60 mm", height = "25 mm" }
power = { type = "mains", volts = "230 V" }
port.INLET = { role = "power", connector = "barrel-5.5-2.5" }
from = "assumed"
outlet.1 = { type = "dc", setting = [{ volts = "9 V", current = "600 mA" }, { volts = "12 V", current = "500 mA" }, { volts = "18 V", current = "300 mA" }], sign = "centre-negative", isolation = "isolated" }

[device.one-ac]
title = "one alternating"
role = "brick"
size = { width = "60 mm", depth = "90 mm", height = "25 mm" }
power = { type = "mains", volts = "230 V" }
from = "assumed"
outlet.1 = { type = "ac", setting = [{ volts = "9 V", current = "1000 mA" }], isolation = "isolated" }

[device.doubler]
title = "doubler"
role = "brick"
mass = "120 g"
size = { width = "50 mm", depth = "40 mm", height = "25 mm" }
power = { type = "dc", volts = "9 V", current = "230 mA", sign = "centre-negative", class = "analogue", positive_ground = false }
efficiency = "80 %"
from = "assumed"
outlet.1 = { type = "dc", setting = [{ volts = "18 V", current = "90 mA" }], sign = "centre-negative", isolation = "isolated" }

[device.many-joined]
title = "many joined"
role = "brick"
mass = "300 g"
size = { width = "120 mm", depth = "60 mm", height = "25 mm" }
power = { type = "mains", volts = "230 V" }
from = "assumed"
outlet.1 = { type = "dc", setting = [{ volts = "9 V", current = "100 mA" }], sign = "centre-negative", isolation = "joined" }
outlet.2 = { type = "dc", setting = [{ volts = "9 V", current = "100 mA" }], sign = "centre-negative", isolation = "joined" }
outlet.3 = { type = "dc", setting = [{ volts = "9 V", current = "100 mA" }], sign = "centre-negative", isolation = "joined" }
"#;

const NAMES: [&str; 5] = ["two-of-nine", "one-strong", "one-ac", "doubler", "many-joined"];

/// A document of one or two weak bricks, a strip and devices that want more.
fn document_of(dice: &mut Dice) -> String {
    let mut text = "format = 1\n[job]\ntitle = \"t\"\n[board]\nkind = \"flat-560x330\"\n".to_owned();
    let mut outlets = Vec::new();
    for brick in 0..dice.between(1, 2) {
        let _ = write!(
            text,
            "\n[[device]]\ntag = \"S{brick}\"\nrole = \"brick\"\npower = {{ type = \"mains\" }}\n"
        );
        for number in 1..=dice.between(1, 3) {
            let (volts, current) = dice.of(&[(9, 100), (9, 100), (9, 200), (9, 300), (12, 200)]);
            let isolation = if dice.chance(70) { "isolated" } else { "joined" };
            let _ = writeln!(
                text,
                "outlet.{number} = {{ type = \"dc\", setting = [{{ volts = \"{volts} V\", current = \"{current} mA\" }}], sign = \"centre-negative\", isolation = \"{isolation}\", series = {} }}",
                dice.chance(50)
            );
            outlets.push(format!("S{brick}.{number}"));
        }
    }
    let sockets = dice.between(0, 3);
    if 0 < sockets {
        text.push_str("\n[[device]]\ntag = \"W\"\nrole = \"strip\"\noutside = true\n");
        for socket in 1..=sockets {
            let _ = writeln!(text, "port.M{socket} = {{ role = \"mains\", connector = \"fixed\" }}");
        }
    }
    for number in 0..dice.between(2, 5) {
        let _ = write!(text, "\n[[device]]\ntag = \"A{number}\"\nsignal = {{ gain = \"10 dB\" }}\n");
        let volts = dice.of(&["9 V", "9 V", "9 V", "9 V", "9 V to 18 V", "12 V", "18 V", "18 V", "24 V"]);
        let digital = dice.chance(50);
        let current = dice.between(1, if digital { 50 } else { 9 }) * 10;
        let class = if digital { "digital" } else { "analogue" };
        if dice.chance(12) {
            let _ = writeln!(
                text,
                "power = {{ type = \"ac\", volts = \"9 V\", current = \"{current} mA\", class = \"{class}\" }}"
            );
        } else {
            let _ = writeln!(
                text,
                "power = {{ type = \"dc\", volts = \"{volts}\", current = \"{current} mA\", sign = \"centre-negative\", class = \"{class}\", positive_ground = {} }}",
                dice.chance(8)
            );
            if dice.chance(15) {
                let names: Vec<&str> = outlets.iter().map(String::as_str).collect();
                let locked = dice.chance(70);
                let _ = writeln!(text, "feed = {{ outlets = [\"{}\"], locked = {locked} }}", dice.of(&names));
            }
        }
    }
    text
}

fn read(folder: &Path, text: &str) -> document::Job {
    std::fs::write(folder.join("rig.toml"), text).expect("written");
    document::read(folder, Some(folder)).unwrap_or_else(|error| panic!("{error:?}\n{text}"))
}

/// What a purchase costs, in the order that is promised: whether something finds no socket, without price, money, count, of
/// unknown mass, grams, square millimetres.
type Cost = (bool, usize, i64, usize, usize, i64, i64);

#[derive(Clone, Debug)]
enum Buy {
    Brick(usize),
    Instead(String, usize),
    Adaptor(String),
}

struct Stock {
    kinds: Vec<Device>,
    prices: Vec<Option<i64>>,
    adaptor: Option<i64>,
}

impl Stock {
    fn cost(&self, buys: &[Buy]) -> Cost {
        let mut sum = (false, 0, 0, 0, 0, 0, 0);
        for buy in buys {
            let (price, mass, area) = match buy {
                Buy::Brick(kind) | Buy::Instead(_, kind) => {
                    let device = &self.kinds[*kind];
                    let size = device.size.value.expect("a size");
                    // No connector has a place, so no plug stands out.
                    let area = size.width.nm() / 1_000_000 * (size.depth.nm() / 1_000_000);
                    #[expect(clippy::cast_possible_truncation, reason = "whole grams")]
                    let mass = device.mass.value.map(|mass| mass.get().round() as i64);
                    (self.prices[*kind], mass, area)
                }
                Buy::Adaptor(_) => (self.adaptor, None, 0),
            };
            sum.1 += usize::from(price.is_none());
            sum.2 += price.unwrap_or(0);
            sum.3 += 1;
            sum.4 += usize::from(mass.is_none());
            sum.5 += mass.unwrap_or(0);
            sum.6 += area;
        }
        sum
    }

    /// The rig with the things bought, and whether one of them finds no socket; `None` where they do not go together.
    fn bought(&self, rig: &Rig, buys: &[Buy]) -> Option<(Rig, bool)> {
        let mut rig = rig.clone();
        let mut unplugged = false;
        // What comes in the place of another first, adaptors last.
        let order = |buy: &&Buy| match buy {
            Buy::Instead(..) => 0,
            Buy::Brick(_) => 1,
            Buy::Adaptor(_) => 2,
        };
        let mut sorted: Vec<&Buy> = buys.iter().collect();
        sorted.sort_by_key(order);
        for (number, buy) in sorted.into_iter().enumerate() {
            match buy {
                Buy::Brick(kind) => {
                    let mut new = Device { tag: format!("N{number}"), ..self.kinds[*kind].clone() };
                    // Outlets are ports too: an inlet says how it gets its mains.
                    let inlet = |port: &rig::Port| {
                        matches!(port.role.value, Some(rig::PortRole::Mains | rig::PortRole::Power))
                    };
                    let wants =
                        new.power.nature.value == Some(rig::Nature::Mains) && new.ports.iter().any(inlet);
                    if wants && has_strip(&rig) {
                        match free_socket(&rig) {
                            Some(at) => {
                                new.feed = Some(rigs::feed(FeedKind::Adaptor, &[&at.to_string()], false));
                            }
                            None => unplugged = true,
                        }
                    }
                    rig.devices.push(new);
                }
                Buy::Instead(old, kind) => {
                    let place = rig.devices.iter().position(|device| device.tag == *old)?;
                    let mut new = Device { tag: old.clone(), ..self.kinds[*kind].clone() };
                    // What is locked stays where it is, at the voltage it has.
                    let locked = rig.devices.iter().filter_map(|device| device.feed.as_ref());
                    for at in locked.filter(|feed| feed.locked).flat_map(|feed| &feed.outlets) {
                        if at.device == *old {
                            let set = rig.devices[place].outlet(&at.port)?.set.value;
                            let outlet = new.outlets.iter_mut().find(|outlet| outlet.name == at.port)?;
                            outlet.settings.retain(|setting| set.is_none_or(|set| set == setting.volts));
                        }
                    }
                    rig.devices[place] = new;
                }
                Buy::Adaptor(tag) => {
                    let free = free_socket(&rig)?.to_string();
                    let device = rig.devices.iter_mut().find(|device| device.tag == *tag)?;
                    if device.feed.as_ref().is_some_and(|feed| feed.locked) {
                        return None;
                    }
                    device.feed = Some(rigs::feed(FeedKind::Adaptor, &[free.as_str()], false));
                }
            }
        }
        Some((rig, unplugged))
    }
}

fn has_strip(rig: &Rig) -> bool {
    rig.devices.iter().any(|device| device.role == Role::Strip)
}

/// The first socket that nothing sits in.
fn free_socket(rig: &Rig) -> Option<PortRef> {
    let feeds = rig.devices.iter().filter_map(|device| device.feed.as_ref());
    let taken: Vec<PortRef> = feeds.flat_map(|feed| feed.outlets.clone()).collect();
    let strip = rig.devices.iter().find(|device| device.role == Role::Strip)?;
    let sockets = strip.ports.iter().map(|port| PortRef::new(&strip.tag, &port.name));
    sockets.into_iter().find(|at| !taken.contains(at))
}

/// The same with every lock given up.
fn unlocked(rig: &Rig) -> Rig {
    let mut rig = rig.clone();
    for feed in rig.devices.iter_mut().filter_map(|device| device.feed.as_mut()) {
        feed.locked = false;
    }
    rig
}

fn feeds_all(rig: &Rig, limits: &rig::Limits) -> bool {
    let input = Input::from_rig(rig, limits);
    let outcome = solve(&input, &Config { conflicts: 0, nodes_length: 0, ..Config::standard() });
    assert_eq!(verify(&input, &outcome.allocation).breaches, []);
    outcome.unserved.is_empty()
}

/// The cheapest one or two things that feed every device.
fn cheapest(rig: &Rig, limits: &rig::Limits, stock: &Stock) -> Option<(Cost, Vec<Buy>)> {
    let mut all: Vec<Buy> = (0..stock.kinds.len()).map(Buy::Brick).collect();
    for device in &rig.devices {
        if !device.outlets.is_empty() {
            all.extend((0..stock.kinds.len()).map(|kind| Buy::Instead(device.tag.clone(), kind)));
        } else if device.role != Role::Strip {
            all.push(Buy::Adaptor(device.tag.clone()));
        }
    }
    let mut sets: Vec<Vec<Buy>> = all.iter().map(|buy| vec![buy.clone()]).collect();
    for (index, first) in all.iter().enumerate() {
        for second in &all[index..] {
            let clash = match (first, second) {
                (Buy::Instead(a, _), Buy::Instead(b, _)) | (Buy::Adaptor(a), Buy::Adaptor(b)) => a == b,
                _ => false,
            };
            if !clash {
                sets.push(vec![first.clone(), second.clone()]);
            }
        }
    }
    let bought = |set: Vec<Buy>| {
        let (rig, unplugged) = stock.bought(rig, &set)?;
        let cost = stock.cost(&set);
        Some(((unplugged, cost.1, cost.2, cost.3, cost.4, cost.5, cost.6), set, rig))
    };
    let mut all: Vec<(Cost, Vec<Buy>, Rig)> = sets.into_iter().filter_map(bought).collect();
    all.sort_by_key(|(cost, _, _)| *cost);
    all.into_iter().find(|(_, _, rig)| feeds_all(rig, limits)).map(|(cost, set, _)| (cost, set))
}

fn cost_of(cure: &Cure) -> Cost {
    let price = &cure.price;
    (!cure.fits, price.unpriced, price.money, price.buys, price.unweighed, price.mass_g, price.space_mm2)
}

/// Whose locks a cure gives up.
fn unlocks(change: &CureStep) -> Vec<String> {
    match change {
        CureStep::Unlock(tags) => tags.clone(),
        CureStep::Several(steps) => steps.iter().flat_map(unlocks).collect(),
        _ => Vec::new(),
    }
}

/// Presses a cure and looks at what the document says then.
fn pressed(folder: &Path, text: &str, before: &Rig, cure: &Cure) {
    let Some(edit) = &cure.edit else { return };
    let after = document::edit::apply(text, edit).unwrap_or_else(|error| panic!("{}: {error}", cure.name));
    let job = read(folder, &after);
    let given_up = unlocks(&cure.change);
    for device in before.devices.iter().filter(|device| !given_up.contains(&device.tag)) {
        let Some(feed) = device.feed.as_ref().filter(|feed| feed.locked) else { continue };
        let now = job.rig.device(&device.tag).and_then(|device| device.feed.as_ref());
        let stays = now.is_some_and(|now| now.locked && now.outlets == feed.outlets);
        assert!(stays, "{}: the lock of {} goes without a word\n{after}", cure.name, device.tag);
    }
    let input = Input::from_rig(&job.rig, &job.limits);
    let verdict = verify(&input, &stated(&input));
    // Whoever goes without has no feed, or the locked one that does not suit it.
    let locked = |tag: &String| input.needs.iter().any(|need| need.tag == *tag && need.lock().is_some());
    let held: Vec<&String> = cure.leaves.iter().filter(|tag| locked(tag)).collect();
    let excused = |breach: &power::verify::Breach| breach.devices.iter().all(|tag| held.contains(&tag));
    assert!(verdict.breaches.iter().all(excused), "{}: {:?}\n{after}", cure.name, verdict.breaches);
    let without: Vec<&String> = cure.leaves.iter().filter(|tag| !held.contains(tag)).collect();
    assert_eq!(verdict.unfed.iter().collect::<Vec<_>>(), without, "{}\n{after}", cure.name);
    for line in &cure.follows {
        let (tag, how) = line.split_once(": ").expect("who and how");
        let device = job.rig.device(tag).expect("it is there");
        let feed = device.feed.as_ref().expect("it is fed");
        assert!(feed.outlets.iter().all(|at| how.contains(&at.to_string())), "{line}\n{after}");
    }
    assert_eq!(solve(&input, &Config::standard()).unserved.len(), cure.leaves.len(), "{}", cure.name);
}

fn outcome_of(job: &document::Job, stock: &Stock) -> Outcome {
    let candidates =
        stock.kinds.iter().zip(&stock.prices).filter_map(|(kind, &price)| Candidate::new(kind, price));
    let config =
        Config { candidates: candidates.collect(), adaptor_price: stock.adaptor, ..Config::standard() };
    solve(&Input::from_rig(&job.rig, &job.limits), &config)
}

#[test]
fn a_cure_is_found_wherever_two_purchases_help_and_it_is_the_cheapest() {
    let scratch = tempfile::tempdir().expect("a folder");
    let folder = scratch.path();
    std::fs::create_dir(folder.join("catalogue")).expect("a folder");
    std::fs::write(folder.join("catalogue/kinds.toml"), KINDS).expect("written");
    std::fs::write(folder.join("shop.toml"), "").expect("written");
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let number = |name: &str| std::env::var(name).ok()?.parse::<u64>().ok();
    let wanted = number("BOARDWRIGHT_SOAK").and_then(|count| usize::try_from(count).ok()).unwrap_or(RIGS);
    let first = number("BOARDWRIGHT_SEED").unwrap_or(0).wrapping_mul(1 << 32);
    let mut compared = 0;
    for seed in first.. {
        if compared == wanted {
            break;
        }
        let mut dice = Dice::new(3_000_000 + seed);
        let text = document_of(&mut dice);
        let job = read(folder, &text);
        let all = job.catalogue.devices();
        let kind = |name: &&str| {
            all.iter().find(|device| device.kind.as_deref() == Some(name)).expect("a kind").clone()
        };
        let listed = dice.chance(50);
        let stock = Stock {
            kinds: NAMES.iter().map(kind).collect(),
            prices: NAMES.iter().map(|_| listed.then(|| dice.between(20, 120) * 100)).collect(),
            adaptor: listed.then(|| dice.between(5, 60) * 100),
        };
        let outcome = outcome_of(&job, &stock);
        if outcome.status != Status::Impossible {
            continue;
        }
        compared += 1;
        for cure in &outcome.cures {
            pressed(folder, &text, &job.rig, cure);
            let kind = match &cure.change {
                _ if !cure.leaves.is_empty() => "partial",
                CureStep::Several(_) => "several",
                CureStep::OwnAdaptors(tags) if 1 < tags.len() => "adaptors",
                CureStep::OwnAdaptors(_) => "adaptor",
                CureStep::Add(_) => "add",
                CureStep::Replace { .. } => "replace",
                _ => "free",
            };
            *counts.entry(kind).or_insert(0) += 1;
        }
        let told = |keeps: bool| {
            let whole = outcome.cures.iter().filter(|cure| cure.leaves.is_empty() && 0 < cure.price.buys);
            whole.filter(|cure| !keeps || unlocks(&cure.change).is_empty()).map(cost_of).min()
        };
        let best = cheapest(&job.rig, &job.limits, &stock);
        let free = unlocked(&job.rig);
        // Where locks alone are enough, nothing is bought besides giving them up.
        let with_locks =
            (!feeds_all(&free, &job.limits)).then(|| cheapest(&free, &job.limits, &stock)).flatten();
        let is_less = |(cost, _): &(Cost, Vec<Buy>)| best.as_ref().is_none_or(|(best, _)| cost < best);
        if let Some((cost, buys)) = with_locks.filter(is_less) {
            let told = told(false);
            let three = told.is_some_and(|told| 2 < told.3 && told < cost);
            assert!(
                three || told == Some(cost),
                "seed {seed}: {buys:?} and a lock cost {cost:?}, {told:?} is told\n{text}"
            );
            *counts.entry("a lock as well").or_insert(0) += 1;
        }
        match (&best, told(true)) {
            // Three things or more may still cost less than two.
            (Some((cost, _)), Some(told)) if 2 < told.3 && told < *cost => {}
            // What costs more than six others is not listed.
            (Some(_), None) if outcome.cures.len() == Config::standard().cures => {}
            (Some((cost, buys)), told) => assert_eq!(Some(*cost), told, "seed {seed}: {buys:?}\n{text}"),
            (None, Some(told)) => assert!(2 < told.3, "seed {seed}: no two things help: {told:?}\n{text}"),
            (None, None) => *counts.entry("no cure").or_insert(0) += 1,
        }
        *counts.entry(if best.is_some() { "two at most" } else { "more than two" }).or_insert(0) += 1;
    }
    let soak = if std::env::var_os("BOARDWRIGHT_SOAK").is_some() { "soak: " } else { "" };
    println!("{soak}{compared} impossible rigs: {counts:?}");
    for kind in [
        "partial",
        "several",
        "adaptors",
        "adaptor",
        "add",
        "replace",
        "free",
        "two at most",
        "a lock as well",
    ] {
        assert!(counts.contains_key(kind), "{kind} among {counts:?}");
    }
}
