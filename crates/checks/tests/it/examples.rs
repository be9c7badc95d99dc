//! The examples of the format's page: each reads, nothing in it is a stop, and what it shows follows from it.

use design::{Amount, Design, Heard};
use document::format::EXAMPLES;
use document::{ReadError, read_text};
use finding::Severity;
use quantity::Length;

fn design_of(name: &str) -> Design {
    let example = EXAMPLES.iter().find(|example| example.name == name).expect("the example is there");
    let job = read_text(example.name, example.text, None).expect("it reads");
    design::derive(job.rig, job.limits)
}

#[test]
fn every_example_of_the_page_reads_and_has_no_stop() {
    let mut wrong = Vec::new();
    for example in EXAMPLES {
        match read_text(example.name, example.text, None) {
            Err(ReadError::Problems { problems, files }) => wrong.extend(
                problems.iter().map(|problem| format!("{}: {}", files.place(&problem.at), problem.message)),
            ),
            Err(other) => wrong.push(other.to_string()),
            Ok(job) => {
                let findings = checks::check(&design::derive(job.rig, job.limits).laid());
                let stops = findings.iter().filter(|finding| finding.severity == Severity::Stop);
                wrong.extend(
                    stops.map(|stop| format!("{}: stop {}: {}", example.name, stop.rule, stop.message)),
                );
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn an_insert_on_one_jack_is_empty_or_has_its_lead() {
    let tables = design::insert_tables(&design_of("insert"));
    let [table] = &tables[..] else { panic!("one insert: {tables:?}") };
    assert!(table.is_on_one_jack());
    let cases: Vec<_> = table.cases().collect();
    let (empty, plugged) =
        (design::Plugged { send: false, back: false }, design::Plugged { send: true, back: true });
    assert_eq!(cases, [(empty, Heard::Through), (plugged, Heard::Inserted)]);
    assert_eq!(table.plugged, plugged);
    assert_eq!(table.case_words(table.plugged), "insert lead plugged");
}

#[test]
fn of_the_wishes_on_the_page_one_waits_for_masses_and_the_rest_are_met() {
    let judged = checks::wishes(&design_of("wishes"));
    let open: Vec<&str> = judged
        .iter()
        .filter(|judged| !matches!(judged.verdict, finding::Verdict::Met))
        .map(|judged| judged.wish.as_str())
        .collect();
    assert_eq!((judged.len(), open), (5, vec!["at most 4 kg without the case"]), "{judged:?}");
}

#[test]
fn what_holds_the_devices_is_in_the_bill() {
    let bill = design::bill(&design_of("fastening"));
    let line = |word: &str| bill.iter().find(|line| line.item.contains(word)).expect("it is in the bill");
    let strip = line("strip");
    assert_eq!(strip.needed, Amount::Length(Length::from_mm(200)));
    assert_eq!(strip.serves, "A1");
    assert!(strip.item.contains("25 mm wide, hooks on the device"), "{}", strip.item);
    assert_eq!(line("screw").needed, Amount::Pieces(4));
}

#[test]
fn a_legend_is_printed_where_the_name_was() {
    let plates = design::plates(&design_of("legend"));
    let holes = plates.iter().flat_map(|plate| &plate.holes);
    let printed: Vec<_> = holes.map(|hole| (hole.port.as_str(), hole.legend.as_str())).collect();
    assert_eq!(printed, [("IN", "GUITAR"), ("OUT", "TO AMP (front)")]);
}

#[test]
fn what_an_adaptor_covers_stays_empty() {
    let design = design_of("own-adaptor");
    let sockets: Vec<(String, String)> = design
        .sockets()
        .iter()
        .map(|socket| (socket.at.to_string(), design::socket_words(&socket.state)))
        .collect();
    let said: Vec<(&str, &str)> = sockets.iter().map(|(at, state)| (at.as_str(), state.as_str())).collect();
    assert_eq!(
        said,
        [
            ("STRIP.S1", "covered by the adaptor of A1 in STRIP.S2"),
            ("STRIP.S2", "used by A1"),
            ("STRIP.S3", "free"),
            ("STRIP.S4", "free"),
            ("STRIP.S5", "free"),
        ]
    );
    let input = design.power_input();
    let strip = input.strips.iter().find(|strip| strip.tag == "STRIP").expect("the strip is there");
    assert_eq!(strip.free, ["S2", "S3", "S4", "S5"], "power counts what the geometry leaves");
    let steps: Vec<String> =
        design::work_order(&design).into_iter().flat_map(|stage| stage.steps).map(|step| step.text).collect();
    assert!(steps.iter().any(|text| text == "Keep STRIP.S1 empty: covered by the adaptor of A1 in STRIP.S2"));
    let lead = design.leads.iter().find(|lead| lead.tag == "M01").expect("the strip's lead");
    assert_eq!(lead.route_words(), "WALL.S1 to STRIP.IN through PNL.MAINS");
    let fittings: Vec<&str> = lead.ends.iter().map(|end| end.fitting.word()).collect();
    assert_eq!(fittings, ["plugged", "captive"]);
}

/// The screens wait for these findings after every edit: no engine may be asked for them.
#[test]
fn what_is_stated_is_told_without_an_engine() {
    for example in EXAMPLES {
        let (name, design) = (example.name, design_of(example.name));
        checks::check_stated(&design);
        let kept = format!("{design:?}");
        for engine in ["signal", "feeds", "routes"] {
            assert!(kept.contains(&format!("{engine}: OnceLock(<uninit>)")), "{name}: {engine} was asked");
        }
    }
}

#[test]
fn each_core_of_an_insert_lead_is_metered_by_itself() {
    let design = design_of("insert");
    let lead = design.leads.iter().find(|lead| lead.shape == rig::LeadShape::Insert).expect("it has one");
    let whole = design::lead_capacitance(lead).value.expect("all is known").get();
    let cores = design::conductor_capacitances(&design.rig, lead);
    let told: Vec<(&str, &[usize])> =
        cores.iter().map(|(core, _)| (core.contact.word(), core.ends.as_slice())).collect();
    // Tip goes out to FX.IN, ring comes back from FX.OUT; the jack is their common end.
    assert_eq!(told, [("tip", &[0, 1][..]), ("ring", &[0, 2][..])]);
    for (core, farads) in &cores {
        let farads = farads.value.expect("all is known").get();
        assert!(farads < whole, "{core:?}: {farads} of {whole}");
    }
    let lines = design::tests(&design);
    let told =
        lines.iter().filter(|line| line.subject == lead.tag && line.what.starts_with("core to screen"));
    let told: Vec<&str> = told.map(|line| line.what.as_str()).collect();
    assert_eq!(told, ["core to screen, tip to leg B", "core to screen, ring to leg C"]);
    assert_eq!(lead.route_words(), "A1.INS to FX.IN + FX.OUT");
}

/// Nothing is metered that has no mains yet, and nothing is touched while it has.
#[test]
fn mains_is_in_before_outlets_are_metered_and_off_before_anything_is_plugged() {
    let design = design_of("brick-on-strip");
    let steps: Vec<String> =
        design::work_order(&design).into_iter().flat_map(|stage| stage.steps).map(|step| step.id).collect();
    let way = [
        "plug:M02:STRIP.S2",
        "plug:M02:SUP.MAINS",
        "hold:mains",
        "on:outlets",
        "hold:outlets",
        "off:outlets",
        "plug:D01:SUP.1",
        "on:test",
        "hold:test",
    ];
    let at = |id: &&str| {
        steps.iter().position(|step| step == id).unwrap_or_else(|| panic!("no {id} in {steps:#?}"))
    };
    let places: Vec<usize> = way.iter().map(at).collect();
    assert!(places.is_sorted(), "{steps:#?}");
    // The wall is told by the acts that switch, and by no other.
    assert!(!steps.iter().any(|step| step.starts_with("plug:M01:WALL")), "{steps:#?}");
}
