//! Each kind of wish: met, not met and why, and what is missing where nobody can say.

use checks::wishes;
use finding::{Judged, Verdict};
use quantity::{Grams, Length};
use rig::{
    Case, Deck, FLOOR, Face, Frequency, Known, Loop, PortRole, Rect, Requirement, Rig, Riser, Spot, State,
    Wish,
};

use crate::build::{at, clean, design, device, jack, know, mm, port, port_of, run, sink, stop, three};

/// What is done to the rig, what is wished, and what is said of it.
type Wished = (fn(&mut Rig), Wish, &'static str);

fn tags<const N: usize>(tags: [&str; N]) -> Vec<String> {
    tags.map(str::to_owned).to_vec()
}

pub(crate) fn order<const N: usize>(devices: [&str; N], run: Option<&str>) -> Wish {
    Wish::Order { devices: tags(devices), run: run.map(str::to_owned) }
}

fn place<const N: usize>(at: Spot, devices: [&str; N]) -> Wish {
    Wish::Place { at, devices: tags(devices) }
}

pub(crate) fn beside(a: &str, b: &str) -> Wish {
    Wish::Beside { devices: [a.to_owned(), b.to_owned()] }
}

pub(crate) fn together<const N: usize>(devices: [&str; N]) -> Wish {
    Wish::Together { devices: tags(devices) }
}

fn apart<const N: usize>(devices: [&str; N], by: i64) -> Wish {
    Wish::Apart { devices: tags(devices), by: mm(by) }
}

pub(crate) fn spare(width: i64, depth: i64, deck: Option<&str>) -> Wish {
    Wish::Spare { width: mm(width), depth: mm(depth), deck: deck.map(str::to_owned) }
}

fn mass(most: f64, cased: bool) -> Wish {
    Wish::Mass { most: Grams::of(most), cased }
}

fn plays<const N: usize>(sink: &str, without: [&str; N], from: Option<&str>) -> Wish {
    Wish::Plays { sink: sink.into(), without: tags(without), from: from.map(str::to_owned) }
}

fn mono(sink: &str) -> Wish {
    Wish::Mono { sink: sink.into() }
}

fn used<const N: usize>(how: Frequency, devices: [&str; N]) -> Wish {
    Wish::Use { how, devices: tags(devices) }
}

pub(crate) fn wanting(mut rig: Rig, wishes: impl IntoIterator<Item = Wish>) -> Rig {
    let (id, text) = ("R1".to_owned(), "as agreed".to_owned());
    rig.brief.requirements = vec![Requirement { id, text, wishes: wishes.into_iter().collect() }];
    rig
}

fn said(judged: &Judged) -> String {
    match &judged.verdict {
        Verdict::Met => "met".to_owned(),
        Verdict::NotMet { why, .. } => format!("not met: {why}"),
        Verdict::NotKnown { missing, .. } => format!("not known: {missing}"),
    }
}

fn as_is(_: &mut Rig) {}

fn sizeless(rig: &mut Rig, tag: &str) {
    device(rig, tag).size = Known::default();
}

fn moved(rig: &mut Rig, tag: &str, x: i64, y: i64) {
    device(rig, tag).place = at("main", x, y);
}

/// An upper deck over the back of the main one.
pub(crate) fn upper(rig: &mut Rig) {
    rig.board.decks.push(Deck {
        name: "upper".into(),
        y: mm(300),
        z: mm(80),
        shape: vec![Rect { x: mm(0), y: mm(0), width: mm(600), depth: mm(200) }],
        thickness: mm(10),
        clear_below: know(mm(70)),
        ..Deck::default()
    });
}

fn risers(rig: &mut Rig) {
    let at = Rect { x: mm(0), y: mm(0), width: mm(300), depth: mm(500) };
    rig.board.decks[0].risers.push(Riser { name: "step".into(), at, height: mm(25) });
}

/// A splitter in A1 to a second sink, by way of A3.
fn two_ends(rig: &mut Rig) {
    device(rig, "A1").ports.push(port("OUT2", PortRole::Out, Face::Front, 35, jack()));
    rig.sinks.push(sink("desk"));
    rig.runs = vec![run("main", &["guitar.", "A1", "A2", "amp."]), run("wet", &["A1.OUT2", "A3", "desk."])];
    rig.states.push(State { name: "solo".into(), engaged: tags(["A2", "A3"]) });
}

/// A2 in a loop of A1.
fn looped(rig: &mut Rig) {
    let a1 = device(rig, "A1");
    a1.ports.push(port("S1", PortRole::Send, Face::Front, 20, jack()));
    a1.ports.push(port("R1", PortRole::Return, Face::Front, 50, jack()));
    a1.loops.push(Loop { name: "L1".into(), send: "S1".into(), back: "R1".into() });
    let stops = [
        stop("guitar", None, Some("")),
        stop("A1", Some("IN"), Some("S1")),
        stop("A2", Some("IN"), Some("OUT")),
        stop("A1", Some("R1"), Some("OUT")),
        stop("A3", Some("IN"), Some("OUT")),
        stop("amp", Some(""), None),
    ];
    rig.runs[0].stops = stops.to_vec();
}

fn order_and_place() -> Vec<Wished> {
    use Frequency::{Often, SetAndForget, Sometimes};
    use Spot::{BackRow, ByFeel, Flat, FrontRow, LeftEnd, RightEnd, UnderDeck, UpperDeck};
    vec![
        (as_is, order(["A1", "A3"], None), "met"),
        (as_is, order(["A1", "A2", "A3"], Some("main")), "met"),
        (as_is, order(["A3", "A1"], None), "not met: in run main A1 comes before A3"),
        (as_is, order(["A1", "SUP"], None), "not met: no run passes both A1 and SUP"),
        (two_ends, order(["A1", "A3"], Some("main")), "not met: run main does not pass both A1 and A3"),
        (two_ends, order(["A1", "A3"], Some("wet")), "met"),
        (looped, order(["A2", "A3"], None), "met"),
        (as_is, place(RightEnd, ["A1"]), "met"),
        (as_is, place(RightEnd, ["A2", "A1"]), "met"),
        (as_is, place(RightEnd, ["A2"]), "not met: A1 stands further right than A2"),
        (as_is, place(LeftEnd, ["A1"]), "not met: A2 and A3 stand further left than A1"),
        (as_is, place(LeftEnd, ["A3"]), "met"),
        // What no foot works may stand further out.
        (|rig| device(rig, "A1").switches.clear(), place(RightEnd, ["A2"]), "met"),
        // It begins where A1 ends, so it is further right whatever its size.
        (
            |rig| {
                moved(rig, "A2", 480, 40);
                sizeless(rig, "A2");
            },
            place(RightEnd, ["A1"]),
            "not met: A2 stands further right than A1",
        ),
        (|rig| sizeless(rig, "A2"), place(RightEnd, ["A1"]), "not known: size of A2"),
        (|rig| sizeless(rig, "A1"), place(RightEnd, ["A1"]), "not known: size of A1"),
        (|rig| device(rig, "A1").place = None, place(RightEnd, ["A1"]), "not known: place of A1"),
        (
            |rig| device(rig, "A1").place = at(FLOOR, 0, -200),
            place(RightEnd, ["A1"]),
            "not met: A1 stands beside the board",
        ),
        (as_is, place(FrontRow, ["A1", "A2", "A3"]), "met"),
        (|rig| moved(rig, "A1", 230, 200), place(FrontRow, ["A1"]), "not met: A2 stands in front of A1"),
        // Side by side in x, so nothing is in front.
        (|rig| moved(rig, "A1", 270, 200), place(FrontRow, ["A1"]), "met"),
        (
            |rig| moved(rig, "A1", 400, 250),
            place(FrontRow, ["A1"]),
            "not met: A1 stands 250 mm from the front edge of deck main",
        ),
        (
            |rig| {
                moved(rig, "A1", 230, 200);
                sizeless(rig, "A2");
            },
            place(FrontRow, ["A1"]),
            "not known: size of A2",
        ),
        (as_is, place(FrontRow, ["SUP"]), "not met: SUP hangs under deck main"),
        (|rig| moved(rig, "A1", 400, 300), place(BackRow, ["A1"]), "met"),
        (as_is, place(BackRow, ["A1"]), "not met: A1 stands 340 mm from the back edge of deck main"),
        (
            |rig| {
                moved(rig, "A1", 230, 200);
                moved(rig, "A2", 200, 330);
            },
            place(BackRow, ["A1"]),
            "not met: A2 stands behind A1",
        ),
        (as_is, place(UnderDeck, ["SUP"]), "met"),
        (as_is, place(UnderDeck, ["A1"]), "not met: A1 stands on deck main"),
        (|rig| device(rig, "A1").place = None, place(UnderDeck, ["A1"]), "not known: place of A1"),
        (
            |rig| {
                upper(rig);
                device(rig, "A1").place = at("upper", 400, 0);
            },
            place(UpperDeck, ["A1"]),
            "met",
        ),
        (upper, place(UpperDeck, ["A1"]), "not met: A1 stands on deck main"),
        (upper, place(UpperDeck, ["SUP"]), "not met: SUP hangs under deck main"),
        (risers, place(Flat, ["A1"]), "met"),
        (risers, place(Flat, ["A2"]), "not met: A2 stands on riser step"),
        (
            |rig| {
                risers(rig);
                sizeless(rig, "A1");
            },
            place(Flat, ["A1"]),
            "not known: size of A1",
        ),
        (as_is, place(Flat, ["SUP"]), "not met: SUP hangs under deck main"),
        (as_is, place(ByFeel, ["A1", "A3"]), "met"),
        (
            as_is,
            place(ByFeel, ["A2"]),
            "not met: A2 stands in the middle of the front row, between A3 and A1",
        ),
        // A second row beyond it does not count.
        (
            |rig| moved(rig, "A1", 270, 200),
            place(ByFeel, ["A2"]),
            "not met: A2 stands in the middle of the front row, between A3 and A1",
        ),
        (|rig| moved(rig, "A1", 280, 300), place(ByFeel, ["A2"]), "met"),
        (|rig| sizeless(rig, "A2"), place(ByFeel, ["A2"]), "not known: size of A2"),
        (as_is, used(Often, ["A1"]), "met"),
        (|rig| moved(rig, "A1", 230, 200), used(Often, ["A1"]), "not met: A2 stands in front of A1"),
        (|rig| moved(rig, "A1", 230, 200), used(Sometimes, ["A1"]), "met"),
        (as_is, used(SetAndForget, ["A1", "SUP"]), "met"),
    ]
}

fn near() -> Vec<Wished> {
    vec![
        // 130 mm lie between A1 and A2, 90 mm between A2 and A3.
        (as_is, beside("A1", "A2"), "not met: 130 mm lie between them, 60 mm at most"),
        (|rig| moved(rig, "A1", 330, 100), beside("A1", "A2"), "met"),
        (|rig| moved(rig, "A1", 330, 160), beside("A1", "A2"), "not met: A1 and A2 are not in one row"),
        (as_is, beside("A1", "SUP"), "not met: A1 and SUP are not on one level"),
        (
            |rig| {
                moved(rig, "A1", 330, 40);
                moved(rig, "A3", 280, 150);
                device(rig, "A3").size = know(rig::Size { width: mm(40), depth: mm(40), height: mm(40) });
            },
            beside("A2", "A1"),
            "not met: A3 stands between them",
        ),
        (|rig| sizeless(rig, "A2"), beside("A1", "A2"), "not known: size of A2"),
        (|rig| device(rig, "A2").outside = true, beside("A1", "A2"), "not met: A2 stands beside the board"),
        (as_is, together(["A2", "A3"]), "met"),
        (as_is, together(["A1", "A2", "A3"]), "not met: 130 mm lie between A1 and A2, 100 mm at most"),
        (|rig| moved(rig, "A1", 370, 40), together(["A3", "A1", "A2"]), "met"),
        // A2 may join the two others once it has a place.
        (|rig| device(rig, "A2").place = None, together(["A1", "A2", "A3"]), "not known: place of A2"),
        (as_is, apart(["A1", "A2", "A3"], 90), "met"),
        (as_is, apart(["A1", "A2", "A3"], 100), "not met: A2 and A3 are 90 mm apart"),
        (|rig| sizeless(rig, "A1"), apart(["A1", "A2", "A3"], 100), "not met: A2 and A3 are 90 mm apart"),
        (|rig| sizeless(rig, "A1"), apart(["A1", "A2"], 100), "not known: size of A1"),
    ]
}

fn room_and_mass() -> Vec<Wished> {
    vec![
        (as_is, spare(73, 129, None), "met"),
        // Plugs stand 20 mm out behind the pedals, whose backs are at 160 mm.
        (as_is, spare(600, 320, Some("main")), "met"),
        (as_is, spare(600, 321, Some("main")), "not met: no such place is left on deck main"),
        (as_is, spare(601, 10, None), "not met: no such place is left on any deck"),
        // Under the upper deck no foot finds room.
        (upper, spare(600, 200, Some("main")), "not met: no such place is left on deck main"),
        (upper, spare(600, 200, Some("upper")), "met"),
        // Half on a riser is no place.
        (risers, spare(300, 320, None), "met"),
        (risers, spare(301, 300, None), "not met: no such place is left on any deck"),
        (|rig| device(rig, "A2").place = None, spare(73, 129, None), "not known: place of A2"),
        (|rig| sizeless(rig, "A2"), spare(73, 129, None), "not known: size of A2"),
        (as_is, mass(5000.0, false), "met"),
        (as_is, mass(4900.0, false), "not met: it weighs 5 kg"),
        (cased, mass(5000.0, false), "met"),
        (cased, mass(5000.0, true), "not met: it weighs 9 kg"),
        (|rig| device(rig, "A1").mass = Known::default(), mass(5000.0, false), "not known: mass of A1"),
        (
            |rig| device(rig, "A1").mass = Known::default(),
            mass(4000.0, false),
            "not met: it weighs at least 4.6 kg",
        ),
    ]
}

fn cased(rig: &mut Rig) {
    rig.board.case = Some(Case { mass: know(Grams::of(4000.0)), ..Case::default() });
}

fn signal() -> Vec<Wished> {
    vec![
        (two_ends, plays("amp", ["A3"], None), "met"),
        (two_ends, plays("amp", ["A3"], Some("guitar")), "met"),
        (two_ends, plays("desk", ["A2", "A3"], None), "not met: every route to desk passes A3"),
        (two_ends, plays("amp", ["A3"], Some("A2")), "not met: no run leads from A2 to amp"),
        (looped, plays("amp", ["A2"], None), "met"),
        (looped, plays("amp", ["A2", "A3"], None), "not met: every route to amp passes A3"),
        // The direct branch plays on, and so does the other.
        (summed, plays("amp", ["A3"], None), "met"),
        (
            |rig| {
                summed(rig);
                rig.runs.reverse();
            },
            plays("amp", ["A3"], None),
            "met",
        ),
        (summed, plays("amp", ["A2", "A3"], None), "not met: every route to amp passes A2"),
        (selected, plays("amp", ["A1"], Some("mandolin")), "met"),
        (selected, plays("amp", ["A3"], Some("mandolin")), "not met: every route to amp passes A3"),
        (selected, plays("amp", ["A1"], None), "met"),
        (as_is, mono("amp"), "met"),
        (two_ends, mono("amp"), "not met: only desk has A3"),
        // What only one has is on in no state.
        (
            |rig| {
                two_ends(rig);
                rig.states[0].engaged.clear();
            },
            mono("amp"),
            "met",
        ),
        (
            |rig| {
                two_ends(rig);
                rig.runs.truncate(1);
            },
            mono("desk"),
            "not met: no signal reaches desk",
        ),
        (
            |rig| {
                summed(rig);
                device(rig, "A3").signal.inverts = know(true);
            },
            mono("amp"),
            "not met: the direct branch and the branch through A3 meet inverted at A2 in state solo",
        ),
        (
            |rig| {
                summed(rig);
                device(rig, "A3").signal.inverts = Known::default();
            },
            mono("amp"),
            "not known: whether A3 inverts",
        ),
        (summed, mono("amp"), "met"),
    ]
}

/// A mandolin at a second input of A2.
fn selected(rig: &mut Rig) {
    device(rig, "A2").ports.push(port("IN2", PortRole::In, Face::Front, 35, jack()));
    rig.sources.push(rig::Source { id: "mandolin".into(), ..rig.sources[0].clone() });
    rig.runs.push(run("mandolin", &["mandolin.", "A2.IN2"]));
}

/// A1 gives two ways that meet in A2.
fn summed(rig: &mut Rig) {
    device(rig, "A1").ports.push(port("OUT2", PortRole::Out, Face::Front, 35, jack()));
    device(rig, "A2").ports.push(port("IN2", PortRole::In, Face::Front, 35, jack()));
    port_of(rig, "A2", "IN2").z = know(quantity::Ohms::of(1e6));
    rig.runs = vec![run("main", &["guitar.", "A1", "A2", "amp."]), run("wet", &["A1.OUT2", "A3", "A2.IN2"])];
    rig.states.push(State { name: "solo".into(), engaged: tags(["A2", "A3"]) });
}

#[test]
fn each_kind_of_wish_is_met_is_not_and_cannot_be_told() {
    let mut wrong = Vec::new();
    for (spoil, wish, expected) in [order_and_place(), near(), room_and_mass(), signal()].concat() {
        let mut rig = three();
        spoil(&mut rig);
        let rig = wanting(rig, [wish.clone()]);
        let judged = wishes(&design(rig));
        let [one] = judged.as_slice() else { panic!("one wish, one verdict") };
        if said(one) != expected {
            wrong.push(format!("{wish:?}\n  expected {expected}\n  found    {}", said(one)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn what_is_set_once_stands_in_nobodys_way() {
    let often = used(Frequency::Often, ["A1"]);
    let once = used(Frequency::SetAndForget, ["A2"]);
    let verdicts = |place: (i64, i64)| {
        let mut rig = three();
        moved(&mut rig, "A1", place.0, place.1);
        let judged = wishes(&design(wanting(rig, [once.clone(), often.clone()])));
        said(&judged[0])
    };
    assert_eq!(verdicts((400, 40)), "met");
    assert_eq!(verdicts((230, 200)), "not met: A2 stands in front of A1, which is used often");
}

#[test]
fn a_wish_reads_as_a_client_says_it() {
    let mut rig = three();
    device(&mut rig, "A1").title = "echo, digital".into();
    device(&mut rig, "A2").title = "reverb".into();
    rig.sinks[0].title = "house desk".into();
    let all = [
        (order(["A1", "A2"], None), "the reverb (A2) after the echo (A1)"),
        (order(["A1", "A2", "A3"], Some("main")), "the echo (A1), then the reverb (A2), then A3 in run main"),
        (place(Spot::ByFeel, ["A1"]), "the echo (A1) where the foot finds it blind"),
        (place(Spot::RightEnd, ["A1", "A3"]), "the echo (A1) and A3 at the right end"),
        (beside("A1", "A2"), "the echo (A1) beside the reverb (A2)"),
        (together(["A1", "A2"]), "the echo (A1) and the reverb (A2) together"),
        (apart(["A1", "A2"], 100), "the echo (A1) and the reverb (A2) at least 100 mm apart"),
        (spare(73, 129, Some("main")), "a free place 73 mm wide and 129 mm deep on deck main"),
        (mass(12e3, true), "at most 12 kg with the case"),
        (mass(12e3, false), "at most 12 kg without the case"),
        (
            plays("amp", ["A1"], Some("guitar")),
            "the house desk (amp) to play without the echo (A1), from guitar",
        ),
        (mono("amp"), "nothing lost where only the house desk (amp) is heard"),
        (used(Frequency::Often, ["A1"]), "the echo (A1) in easy reach, used often"),
        (used(Frequency::SetAndForget, ["A1"]), "the echo (A1) out of the way, set once"),
    ];
    let rig = wanting(rig, all.iter().map(|(wish, _)| wish.clone()));
    let words: Vec<String> = wishes(&design(rig)).into_iter().map(|judged| judged.wish).collect();
    assert_eq!(words, all.map(|(_, words)| words.to_owned()));
}

#[test]
fn a_wish_that_is_not_met_is_a_finding_of_its_own() {
    let rig = wanting(three(), [order(["A3", "A1"], None), order(["A1", "A3"], None), mass(5000.0, false)]);
    let found: Vec<String> = checks::check(&design(rig))
        .into_iter()
        .filter(|finding| finding.rule == "brief-wish")
        .map(|finding| {
            format!("{:?} {} {:?}", finding.severity, finding.message, finding.marks[0].field.parts())
        })
        .collect();
    assert_eq!(
        found,
        [r#"Look R1 wants A1 after A3: in run main A1 comes before A3 ["brief", "requirements", "R1"]"#]
    );
}

/// Every kind, on rigs whose devices stand in the document in another order: the same verdicts.
#[test]
fn where_devices_stand_in_the_document_decides_no_wish() {
    let cases = [order_and_place(), near(), room_and_mass(), signal()].concat();
    for spoil in [as_is, two_ends, looped, summed, upper, risers] {
        let mut rig = three();
        spoil(&mut rig);
        let wished = cases.iter().map(|(_, wish, _)| wish.clone()).filter(|wish| {
            !matches!(wish, Wish::Mono { sink } | Wish::Plays { sink, .. } if rig.sink(sink).is_none())
        });
        let mut rig = wanting(rig.clone(), wished);
        let all = |rig: &Rig| {
            let judged = wishes(&design(rig.clone()));
            judged.iter().map(|judged| format!("{}: {}", judged.wish, said(judged))).collect::<Vec<_>>()
        };
        let first = all(&rig);
        for _ in 0..rig.devices.len() {
            rig.devices.rotate_left(1);
            assert_eq!(all(&rig), first);
            rig.devices.swap(0, 1);
            assert_eq!(all(&rig), first);
        }
        rig.runs.reverse();
        rig.brief.requirements[0].wishes.reverse();
        let mut back = all(&rig);
        back.reverse();
        let same = |one: &String| one.split(": ").nth(1).map(str::to_owned);
        assert_eq!(back.iter().map(same).collect::<Vec<_>>(), first.iter().map(same).collect::<Vec<_>>());
    }
}

#[test]
fn a_free_place_is_found_wherever_one_was_left() {
    // Four pedals around a hole of 100 × 120 mm.
    let mut rig = clean();
    rig.devices.truncate(2);
    rig.runs.clear();
    for (tag, x, y, width, depth) in [("A1", 0, 0, 200, 500), ("A2", 300, 0, 300, 500)] {
        let device = device(&mut rig, tag);
        device.place = at("main", x, y);
        device.ports.clear();
        device.feed = None;
        device.size = know(rig::Size { width: mm(width), depth: mm(depth), height: mm(50) });
    }
    let mut block = rig.devices[0].clone();
    for (tag, y, depth) in [("A3", 0, 200), ("A4", 320, 180)] {
        block.tag = tag.into();
        block.place = at("main", 200, y);
        block.size = know(rig::Size { width: mm(100), depth: mm(depth), height: mm(50) });
        rig.devices.push(block.clone());
    }
    let nm = Length::from_nm(1);
    for (width, depth, is_left) in
        [(mm(100), mm(120), true), (mm(100) + nm, mm(1), false), (mm(1), mm(120) + nm, false)]
    {
        let wish = Wish::Spare { width, depth, deck: None };
        let judged = wishes(&design(wanting(rig.clone(), [wish])));
        assert_eq!(matches!(judged[0].verdict, Verdict::Met), is_left, "{width} × {depth}");
    }
}

/// What an example wishes follows from its prose, and it is met.
#[test]
fn the_examples_meet_what_they_wish() {
    let folder = std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let (mut wishing, mut wrong) = (0, Vec::new());
    let mut names: Vec<_> = std::fs::read_dir(folder)
        .expect("the examples are there")
        .filter_map(|entry| Some(entry.ok()?.path()).filter(|path| path.join("rig.toml").is_file()))
        .collect();
    names.sort();
    for path in names {
        let job = document::read(&path, None).expect("it is read");
        let judged = wishes(&design::derive(job.rig, job.limits).laid());
        wishing += usize::from(!judged.is_empty());
        let unmet = judged.iter().filter(|judged| !matches!(judged.verdict, Verdict::Met));
        wrong.extend(unmet.map(|judged| {
            format!("{}: {} wants {}: {}", path.display(), judged.requirement, judged.wish, said(judged))
        }));
    }
    assert!(8 <= wishing, "{wishing}");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
