//! What requirements wish: read, refused with what to write, kept through edits, renamed.

use document::edit::{apply, requirements};
use document::{ReadError, read_text};
use finding::{Change, Edit, Field};
use quantity::{Grams, Length};
use rig::{Frequency, Named, Spot, Wish};

use crate::refusals::told;

/// A job of two pedals, a guitar, an amp, a deck and two runs, with these requirements.
fn text(requirements: &str) -> String {
    format!(
        "format = 1
[job]
title = \"t\"
[brief]
requirements = {requirements}
[source.guitar]
pickup = \"single-coil\"
[sink.amp]
z = \"1 MΩ\"
[board.deck.main]
size = {{ width = \"400 mm\", depth = \"200 mm\" }}
[[device]]
tag = \"A1\"
port.IN = {{ role = \"in\" }}
port.OUT = {{ role = \"out\" }}
port.MIDI = {{ role = \"midi-in\" }}
[[device]]
tag = \"A2\"
port.IN = {{ role = \"in\" }}
port.OUT = {{ role = \"out\" }}
port.MIDI = {{ role = \"midi-out\" }}
[[run]]
name = \"main\"
stops = [\"guitar\", \"A1\", \"A2\", \"amp\"]
[[run]]
name = \"clock\"
carries = \"midi\"
stops = [\"A2.MIDI\", \"A1.MIDI\"]
"
    )
}

fn one(wish: &str) -> String {
    text(&format!("[{{ id = \"R1\", text = \"quiet\", wants = [{{ {wish} }}] }}]"))
}

fn read(text: &str) -> Result<Vec<Wish>, ReadError> {
    let job = read_text("rig.toml", text, None)?;
    Ok(job.rig.brief.requirements.into_iter().flat_map(|requirement| requirement.wishes).collect())
}

/// Every kind, as written and as read.
fn kinds() -> Vec<(&'static str, Wish)> {
    let tags = |tags: &[&str]| tags.iter().map(|tag| (*tag).to_owned()).collect::<Vec<_>>();
    let both = || tags(&["A1", "A2"]);
    vec![
        ("order = [\"A1\", \"A2\"]", Wish::Order { devices: both(), run: None }),
        (
            "order = [\"A1\", \"A2\"], run = \"main\"",
            Wish::Order { devices: both(), run: Some("main".into()) },
        ),
        ("place = \"by-feel\", of = [\"A1\"]", Wish::Place { at: Spot::ByFeel, devices: tags(&["A1"]) }),
        ("beside = [\"A2\", \"A1\"]", Wish::Beside { devices: ["A2".into(), "A1".into()] }),
        ("together = [\"A1\", \"A2\"]", Wish::Together { devices: both() }),
        (
            "apart = [\"A1\", \"A2\"], by = \"4 in\"",
            Wish::Apart { devices: both(), by: Length::from_nm(101_600_000) },
        ),
        (
            "spare = { width = \"73 mm\", depth = \"129 mm\" }, deck = \"main\"",
            Wish::Spare {
                width: Length::from_mm(73),
                depth: Length::from_mm(129),
                deck: Some("main".into()),
            },
        ),
        ("mass = \"12 kg\"", Wish::Mass { most: Grams::of(12e3), cased: false }),
        ("mass = \"12 kg\", cased = true", Wish::Mass { most: Grams::of(12e3), cased: true }),
        (
            "plays = \"amp\", without = [\"A2\"], from = \"guitar\"",
            Wish::Plays { sink: "amp".into(), without: tags(&["A2"]), from: Some("guitar".into()) },
        ),
        ("mono = \"amp\"", Wish::Mono { sink: "amp".into() }),
        (
            "use = \"set-and-forget\", of = [\"A1\", \"A2\"]",
            Wish::Use { how: Frequency::SetAndForget, devices: both() },
        ),
    ]
}

#[test]
fn every_kind_of_wish_is_read() {
    for (written, wish) in kinds() {
        match read(&one(written)) {
            Ok(found) => assert_eq!(found, [wish], "{written}"),
            Err(error) => panic!("{written}: {}", told(&error)),
        }
    }
}

#[test]
fn slips_of_wishes_are_told_with_what_to_write() {
    let mut out = String::new();
    for wish in [
        "",
        "of = [\"A1\"]",
        "mono = \"amp\", mass = \"1 kg\"",
        "order = [\"A1\"]",
        "order = [\"A1\", \"A3\"]",
        "order = [\"A1\", \"A1\"]",
        "order = [\"A1\", \"A2\"], run = \"mian\"",
        "order = [\"A1\", \"A2\"], run = \"clock\"",
        "order = [\"A1\", \"A2\"], by = \"1 mm\"",
        "place = \"front\", of = [\"A1\"]",
        "place = \"front-row\"",
        "place = \"front-row\", of = []",
        "beside = [\"A1\", \"A2\", \"A1\"]",
        "apart = [\"A1\", \"A2\"]",
        "apart = [\"A1\", \"A2\"], by = 100",
        "apart = [\"A1\", \"A2\"], by = \"100 g\"",
        "spare = { width = \"73 mm\" }",
        "spare = { width = \"73 mm\", depth = \"129 mm\" }, deck = \"upper\"",
        "plays = \"amp\"",
        "plays = \"desk\", without = [\"A1\"]",
        "plays = \"amp\", without = [\"A1\"], from = \"bass\"",
        "mono = \"A1\"",
        "use = \"often\", of = [\"amp\"]",
        "quiet = true",
    ] {
        let said = match read(&one(wish)) {
            Ok(_) => "reads\n".to_owned(),
            Err(error) => told(&error),
        };
        out.push_str(&format!("# {wish}\n{said}\n"));
    }
    insta::assert_snapshot!(out);
}

#[test]
fn an_edit_of_the_prose_keeps_the_wishes() {
    let wants: Vec<String> = kinds().iter().map(|(written, _)| format!("    {{ {written} }},\n")).collect();
    let before = text(&format!(
        "[\n  {{ id = \"R1\", text = \"quiet\" }}, # first\n  {{ id = \"R2\", text = \"easy\", wants = [\n{}  ] }},\n]",
        wants.concat()
    ));
    let job = read_text("rig.toml", &before, None).expect("it reads");
    let mut all = job.rig.brief.requirements;
    let write =
        |all: &[rig::Requirement]| apply(&before, &Edit::new("x", [requirements(all)])).expect("applies");
    assert_eq!(write(&all), before, "what says the same is written the same");
    all[1].text = "easy to reach".into();
    assert_eq!(write(&all), before.replace("\"easy\"", "\"easy to reach\""));
    // One that goes takes its own wishes along and no others.
    all.remove(0);
    let after = write(&all);
    assert_eq!(read_text("rig.toml", &after, None).expect("it reads").rig.brief.requirements, all);
}

#[test]
fn wishes_are_renamed_with_what_they_name() {
    let all: Vec<String> = kinds().iter().map(|(written, _)| format!("{{ {written} }}")).collect();
    let before = text(&format!("[{{ id = \"R1\", text = \"quiet\", wants = [{}] }}]", all.join(", ")));
    let changes = [
        Change::rename(Field::of("device", "A1", ""), "DRV"),
        Change::rename(Field::of("run", "main", ""), "first"),
    ];
    let after = apply(&before, &Edit::new("x", changes)).expect("applies");
    assert!(!after.contains("A1\"") && after.contains("run = \"first\""), "{after}");
    assert_eq!(read(&after).map_err(|error| told(&error)).expect("it reads").len(), kinds().len());
}

#[test]
fn headers_do_as_well_as_brackets() {
    let brief = "[[brief.requirements]]
id = \"R1\"
text = \"quiet\"
[[brief.requirements.wants]]
mono = \"amp\"
[[brief.requirements.wants]]
order = [\"A1\", \"A2\"]
";
    let text = text("[]").replace("requirements = []\n", brief);
    assert_eq!(read(&text).map_err(|error| told(&error)).expect("it reads").len(), 2);
    let renamed = apply(&text, &Edit::new("x", [Change::rename(Field::of("device", "A1", ""), "DRV")]));
    assert!(renamed.expect("applies").contains("order = [\"DRV\", \"A2\"]"));
}

#[test]
fn a_requirement_is_found_by_its_id() {
    let text = text("[{ id = \"R1\", text = \"quiet\" },\n{ id = \"R2\", text = \"easy\" }]");
    let job = read_text("rig.toml", &text, None).expect("it reads");
    let at = job.locate(&Field::new(["brief", "requirements", "R2"]));
    assert_eq!(job.files.line_column(&at), (6, 1));
}

#[test]
fn what_is_left_of_a_wish_stays_when_a_device_goes() {
    let left: Vec<bool> =
        kinds().iter().map(|(_, wish)| wish.without(Named::Device("A1")).is_some()).collect();
    let stays = |wish: &Wish| match wish {
        Wish::Spare { .. }
        | Wish::Mass { .. }
        | Wish::Mono { .. }
        | Wish::Plays { .. }
        | Wish::Use { .. } => true,
        Wish::Order { .. }
        | Wish::Place { .. }
        | Wish::Beside { .. }
        | Wish::Together { .. }
        | Wish::Apart { .. } => false,
    };
    assert_eq!(left, kinds().iter().map(|(_, wish)| stays(wish)).collect::<Vec<_>>());
    let three =
        Wish::Order { devices: vec!["A1".into(), "A2".into(), "A3".into()], run: Some("main".into()) };
    let two = Wish::Order { devices: vec!["A2".into(), "A3".into()], run: Some("main".into()) };
    assert_eq!(three.without(Named::Device("A1")), Some(two));
    // What else goes takes along what names it, and nothing else.
    for (gone, least) in [
        (Named::Run("main"), 1),
        (Named::Deck("main"), 1),
        (Named::Source("guitar"), 1),
        (Named::Sink("amp"), 2),
        (Named::Sink("desk"), 0),
    ] {
        let gone_with_it = kinds().into_iter().filter(|(_, wish)| wish.without(gone).is_none()).count();
        assert_eq!(gone_with_it, least, "{gone:?}");
    }
}
