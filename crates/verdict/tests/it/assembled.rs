//! The work order, put together act by act: nothing is stuck but what the order says cannot be reached.

use std::collections::BTreeSet;
use std::path::PathBuf;

use design::{Building, Design, Step};
use verdict::{Obstacle, Stuck, assembled};

use crate::rigs::Dice;

/// Random boards tried; the soak gives larger numbers.
fn seeds() -> std::ops::Range<u64> {
    let number = |name: &str| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let first = number("BOARDWRIGHT_SEED").unwrap_or(0).wrapping_mul(1 << 32);
    first..first + number("BOARDWRIGHT_SOAK").unwrap_or(120)
}

/// Sizes that pedals are of.
const PEDALS: [(&str, u64); 6] = [
    ("compact-42x93x52", 42),
    ("compact-66x122x50", 66),
    ("compact-73x129x59", 73),
    ("low-93x51x60", 93),
    ("medium-103x120x60", 103),
    ("large-146x121x60", 146),
];

/// A board with one deck or two, two bricks beneath, and rows of pedals with gaps between from none to wide.
fn random(seed: u64) -> String {
    let mut dice = Dice(seed);
    let two = dice.below(2) == 0;
    let mut text = String::from(
        "format = 1\n[job]\ntitle = \"random\"\nmains = { volts = \"230 V\", hertz = \"50 Hz\" }\n\
         [source.guitar]\npickup = \"single-coil\"\nlead = \"5 m\"\n[sink.amp]\nkind = \"amp\"\nlead = \"3 m\"\n\
         [leads]\nsignal = { cable = \"patch-4\", plug = \"jack-flat\" }\n\
         dc = { cable = \"dc-0.22\", plug = \"barrel-2.1-angled\" }\n\
         [board]\ntitle = \"random\"\n[board.deck.main]\nsize = { width = \"700 mm\", depth = \"480 mm\" }\n\
         thickness = \"4 mm\"\nclear_below = \"60 mm\"\n",
    );
    if dice.below(3) == 0 {
        text += "riser.back = { x = \"0 mm\", y = \"160 mm\", width = \"700 mm\", depth = \"150 mm\", height = \"25 mm\" }\n";
    }
    if two {
        text += "[board.deck.rear]\nsize = { width = \"700 mm\", depth = \"160 mm\" }\ny = \"320 mm\"\nlevel = \"95 mm\"\n\
                 thickness = \"5 mm\"\nclear_below = \"90 mm\"\n\
                 passage.one = { x = \"10 mm\", y = \"55 mm\", width = \"75 mm\", depth = \"40 mm\", grommet = true }\n";
        if dice.below(3) == 0 {
            text += "hinge = { edge = \"back\", swing = 90 }\n";
        }
    }
    let deck_of_bricks = if two { "rear" } else { "main" };
    let apart = 5 + dice.below(80);
    for (index, x) in [60, 60 + 240 + apart].into_iter().enumerate() {
        text += &format!(
            "[[device]]\ntag = \"S{index}\"\nkind = \"brick-8x100-4x500\"\n\
             place = {{ deck = \"{deck_of_bricks}\", x = \"{x} mm\", y = \"{} mm\", under = true }}\n",
            20 + dice.below(40),
        );
    }
    let mut stops: Vec<String> = Vec::new();
    let mut outlet = 0;
    let rows: &[(&str, u64)] = if two {
        &[("main", 2), ("main", 150), ("rear", 8)]
    } else {
        &[("main", 2), ("main", 150), ("main", 300)]
    };
    for (deck, front) in rows {
        let mut right = 690 - dice.below(30);
        let count = 2 + dice.below(4);
        for _ in 0..count {
            let (kind, width) = PEDALS[usize::try_from(dice.below(6)).unwrap_or(0)];
            let gap = [18, 36, 36, 44, 60, 90][usize::try_from(dice.below(6)).unwrap_or(0)];
            if right < width + gap + 40 {
                break;
            }
            let x = right - width;
            right = x - gap;
            let y = front + dice.below(8);
            let tag = format!("D{}", stops.len());
            text += &format!(
                "[[device]]\ntag = \"{tag}\"\nkind = \"{kind}\"\nplace = {{ deck = \"{deck}\", x = \"{x} mm\", y = \"{y} mm\" }}\n"
            );
            if outlet < 16 && dice.below(4) != 0 {
                let (brick, number) = (outlet / 8, outlet % 8 + 1);
                text += &format!("feed = {{ outlets = [\"S{brick}.{number}\"] }}\n");
                outlet += 1;
            }
            stops.push(tag);
        }
    }
    // Not always along the rows.
    for _ in 0..dice.below(4) {
        let (a, b) = (dice.below(stops.len() as u64), dice.below(stops.len() as u64));
        stops.swap(usize::try_from(a).unwrap_or(0), usize::try_from(b).unwrap_or(0));
    }
    let stops: Vec<String> = stops.iter().map(|tag| format!("\"{tag}\"")).collect();
    text + &format!("[[run]]\nname = \"main\"\nstops = [\"guitar\", {}, \"amp\"]\n", stops.join(", "))
}

fn derived(name: &str, text: &str) -> Design {
    match document::read_text("rig.toml", text, None) {
        Ok(job) => design::derive(job.rig, job.limits),
        Err(problems) => panic!("{name} does not read: {problems:?}\n{text}"),
    }
}

/// What is stuck, without what the order itself tells, and without devices that stand in one another, which no order mends.
fn stuck(design: &Design, building: &Building) -> (Vec<Obstacle>, usize) {
    let steps: Vec<&Step> = building.steps().collect();
    let known: BTreeSet<&str> = building.unreached.iter().map(|one| one.end.as_str()).collect();
    let name = |at: usize| {
        let owner = &design.solids.boxes[at].owner;
        owner.device().map_or_else(|| owner.to_string(), str::to_owned)
    };
    let overlap = design.conflicts.iter().filter(|conflict| conflict.found < quantity::Length::ZERO);
    let crossed: BTreeSet<[String; 2]> = overlap
        .flat_map(|conflict| {
            let (of, from) = (name(conflict.of), name(conflict.from));
            [[of.clone(), from.clone()], [from, of]]
        })
        .collect();
    // What it is of, and what is in its way: the device that a port belongs to, or a part of the board.
    let device = |of: &str| {
        let port = of.rsplit(" at ").next().unwrap_or(of);
        port.split('.').next().unwrap_or(port).to_owned()
    };
    let of_crossed = |one: &Obstacle| crossed.contains(&[device(&one.of), device(&one.by)]);
    let all = assembled(design, &steps).into_iter().filter(|one| !known.contains(one.of.as_str()));
    let (told, crossed): (Vec<Obstacle>, Vec<Obstacle>) =
        all.partition(|one| one.stuck == Stuck::Order || !of_crossed(one));
    (told, crossed.len())
}

/// What each act needs stands before it, each act stands once, and two people do the same acts in a time that they can.
fn ordered(name: &str, building: &Building) {
    let steps: Vec<&Step> = building.steps().collect();
    let ids: BTreeSet<&str> = steps.iter().map(|step| step.id.as_str()).collect();
    assert_eq!(ids.len(), steps.len(), "{name}: an act stands twice");
    for at in 0..steps.len() {
        let late: Vec<usize> = building.rests_on(at).iter().copied().filter(|need| at <= *need).collect();
        assert!(late.is_empty(), "{name}: {} before {:?}", steps[at].id, steps[late[0]].id);
    }
    let minutes: u32 = steps.iter().map(|step| step.minutes).sum();
    assert_eq!(building.alone, minutes, "{name}");
    let critical: u32 = building.critical.iter().map(|at| steps[*at].minutes).sum();
    assert_eq!(building.critical_minutes, critical, "{name}");
    assert!(building.bound <= building.two && building.two <= building.alone, "{name}: {}", building.two);
    let mut busy: [Vec<(u32, u32)>; 2] = [Vec::new(), Vec::new()];
    for (at, hand) in building.hands.iter().enumerate() {
        let end = hand.start + steps[at].minutes;
        for need in building.rests_on(at).iter().copied() {
            let done = building.hands[need].start + steps[need].minutes;
            assert!(done <= hand.start, "{name}: {} waits for {}", steps[at].id, steps[need].id);
        }
        let own = &mut busy[hand.person];
        assert!(own.iter().all(|(from, to)| end <= *from || *to <= hand.start), "{name}: {}", steps[at].id);
        own.push((hand.start, end));
        assert!(end <= building.two, "{name}");
    }
}

#[test]
fn random_boards_go_together_in_their_order() {
    let (mut acts, mut in_hand, mut before, mut unreached, mut boards, mut crossed) = (0, 0, 0, 0, 0, 0);
    for seed in seeds() {
        let name = format!("seed {seed}");
        let design = derived(&name, &random(seed));
        let building = design::building(&design);
        ordered(&name, &building);
        let (stuck, of_crossed) = stuck(&design, &building);
        assert!(stuck.is_empty(), "{name}: {stuck:#?}\n{}", random(seed));
        crossed += of_crossed;
        boards += 1;
        acts += building.steps().count();
        in_hand += building.steps().filter(|step| step.text.contains("is in your hand")).count();
        before += building.steps().filter(|step| step.text.contains("goes down beside it")).count();
        unreached += building.unreached.len();
    }
    assert!(0 < in_hand && 0 < before, "some plug of {boards} boards depends on its neighbours");
    println!(
        "soak: {boards} boards, {acts} acts: {in_hand} plugs in the hand, {before} before a neighbour, {unreached} not reached; no \
         act stuck, but {crossed} on devices that stand in one another"
    );
}

#[test]
fn the_examples_go_together_in_their_order() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let mut names: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the examples")
        .filter_map(|entry| Some(entry.ok()?.path()))
        .collect();
    names.sort();
    let mut count = 0;
    for path in names.into_iter().filter(|path| path.join("rig.toml").is_file()) {
        let name = path.display().to_string();
        let text = std::fs::read_to_string(path.join("rig.toml")).expect("a job");
        let plain = derived(&name, &text);
        for design in [plain.clone(), plain.laid()] {
            let building = design::building(&design);
            ordered(&name, &building);
            assert!(building.unreached.is_empty(), "{name}: {:?}", building.unreached);
            let (stuck, _) = stuck(&design, &building);
            assert!(stuck.is_empty(), "{name}: {stuck:#?}");
            count += 1;
        }
    }
    assert!(24 <= count, "{count} examples");
}

/// The judge notices: an order with its acts swapped is told.
#[test]
fn an_order_that_is_spoilt_is_noticed() {
    let path =
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples/church-bass-corrected/rig.toml");
    let design = derived("church", &std::fs::read_to_string(path).expect("a job"));
    let building = design::building(&design);
    let steps: Vec<&Step> = building.steps().collect();
    assert_eq!(assembled(&design, &steps), []);
    let at = |id: &str| steps.iter().position(|step| step.id == id).unwrap_or_else(|| panic!("no {id}"));
    let swapped = |a: usize, b: usize| {
        let mut steps = steps.clone();
        let step = steps.remove(a);
        steps.insert(b, step);
        assembled(&design, &steps)
    };
    // A plug that goes in before its neighbour comes, after it.
    let late = steps.iter().position(|step| step.text.contains("goes down beside it")).expect("one");
    let found = swapped(late, at("hold:test") - 1);
    assert!(found.iter().any(|one| matches!(one.stuck, Stuck::Plug | Stuck::Hand)), "{found:?}");
    // A device that is set down twice, one that never comes, and a plug while mains is on.
    let mut twice = steps.clone();
    twice.push(steps[at("fix:B1")]);
    assert_eq!(assembled(&design, &twice).last().map(|one| one.of.as_str()), Some("B1"));
    let without: Vec<&Step> = steps.iter().copied().filter(|step| step.id != "fix:B1").collect();
    assert!(assembled(&design, &without).iter().any(|one| one.of == "B1" && one.stuck == Stuck::Order));
    let on = at("on:outlets");
    assert!(swapped(late, on + 1).iter().any(|one| one.by == "mains is on"));
    // A lead that is plugged before it is soldered.
    let solder = steps.iter().position(|step| step.id.starts_with("solder:signal")).expect("one");
    assert!(swapped(solder, steps.len() - 1).iter().any(|one| one.by == "it is not made yet"));
}

/// Two devices on two decks, and a hole that lets the cable through and no plug.
const PULLED: &str = r#"
format = 1
[job]
title = "pulled through"
[source.guitar]
pickup = "single-coil"
lead = "5 m"
[sink.amp]
kind = "amp"
lead = "3 m"
[leads]
signal = { cable = "patch-4", plug = "jack-flat" }
[board]
title = "two decks"
[board.deck.main]
size = { width = "700 mm", depth = "400 mm" }
thickness = "4 mm"
clear_below = "30 mm"
[board.deck.rear]
size = { width = "700 mm", depth = "260 mm" }
y = "140 mm"
level = "95 mm"
thickness = "5 mm"
clear_below = "90 mm"
passage.one = { x = "340 mm", y = "60 mm", width = "20 mm", depth = "14 mm", grommet = true }
[[device]]
tag = "A"
kind = "compact-66x122x50"
place = { deck = "main", x = "400 mm", y = "4 mm" }
[[device]]
tag = "B"
kind = "compact-66x122x50"
place = { deck = "rear", x = "200 mm", y = "60 mm" }
[[run]]
name = "main"
stops = ["guitar", "A", "B", "amp"]
"#;

#[test]
fn a_lead_whose_plug_does_not_pass_is_finished_after_it_is_pulled_through() {
    let design = derived("pulled", PULLED).laid();
    let building = design::building(&design);
    let steps: Vec<&Step> = building.steps().collect();
    let lead = design.leads.iter().find(|lead| lead.from().port.device == "A").expect("it leads on");
    let at = |id: String| {
        let found = steps.iter().position(|step| step.id == id);
        found.unwrap_or_else(|| {
            panic!("no {id}: {:#?}", steps.iter().map(|step| &step.text).collect::<Vec<_>>())
        })
    };
    let tag = &lead.tag;
    let solder = steps.iter().position(|step| step.id.starts_with("solder:") && step.leads.contains(tag));
    let order = [
        solder.expect("it is soldered"),
        at(format!("plug:{tag}:A.OUT")),
        at("raise:rear".to_owned()),
        at(format!("finish:{tag}")),
        at(format!("plug:{tag}:B.IN")),
    ];
    assert!(order.is_sorted(), "{order:?}");
    assert!(
        steps[order[0]]
            .text
            .ends_with(&format!("of {tag} one end only: it is pulled through its hole first"))
    );
    assert!(
        steps[order[3]].text.starts_with(&format!("Pull {tag} through hole one of deck rear")),
        "{}",
        steps[order[3]].text
    );
    let minutes = |building: &Building| building.alone;
    let plain = design::building(&derived("pulled", PULLED));
    assert_eq!(minutes(&building), minutes(&plain), "the same work, in another order");
    assert_eq!(stuck(&design, &building).0, []);
}
