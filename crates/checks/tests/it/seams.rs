//! Where one part of the program hands over to another: each case is a small document that once broke there.

use design::Design;
use document::edit::apply;

fn derived(text: &str) -> Design {
    match document::read_text("rig.toml", text, None) {
        Ok(job) => design::derive(job.rig, job.limits),
        Err(document::ReadError::Problems { problems, .. }) => panic!("{problems:#?}\n{text}"),
        Err(error) => panic!("{error}"),
    }
}

/// What a rule says of a document.
fn said(text: &str, rule: &str) -> Vec<String> {
    let findings = checks::check(&derived(text).laid());
    findings.into_iter().filter(|finding| finding.rule == rule).map(|finding| finding.message).collect()
}

const ENDS: &str = "format = 1\n[job]\ntitle = \"t\"\nmains = { volts = \"230 V\", hertz = \"50 Hz\" }\n\
    [source.guitar]\npickup = \"active\"\nlead = \"5 m\"\ncable = \"instrument\"\nplug = \"jack-straight\"\n\
    [sink.amp]\nkind = \"amp\"\nlead = \"3 m\"\ncable = \"instrument\"\nplug = \"jack-straight\"\n[board]\nkind = \"flat-560x330\"\n\
    [leads]\nsignal = { cable = \"patch-4\", plug = \"jack-flat\" }\ndc = { cable = \"dc-0.22\", plug = \"barrel-2.1-angled\" }\n";

/// What is plugged into a device's own insert takes the path out and brings it back: it meets no branch beside it. A bypass
/// contact goes past it only while the device is off.
#[test]
fn what_is_in_an_insert_meets_nothing() {
    let rig = |bypass: &str, normal: &str| {
        format!(
            "{ENDS}[[device]]\ntag = \"A1\"\nkind = \"compact-66x122x50\"\nsignal = {{ bypass = \"{bypass}\", inverts = false }}\n\
             port.INS = {{ role = \"send\", connector = \"jack-6.35-trs\", face = \"left\", offset = \"30 mm\", height = \"20 mm\" }}\n\
             insert.L = {{ send = \"INS\", return = \"INS\", normal = \"{normal}\", wiring = \"tip-send\" }}\n\
             [[device]]\ntag = \"FX\"\nkind = \"compact-66x122x50\"\nsignal = {{ bypass = \"hard\", inverts = true }}\n\
             [[run]]\nname = \"main\"\nstops = [\"guitar\", \"A1.IN\", \"A1.OUT\", \"amp\"]\n\
             [[run]]\nname = \"insert\"\nstops = [\"A1.INS\", \"FX\", \"A1.INS\"]\n\
             [[state]]\nname = \"effect alone\"\nengaged = [\"FX\"]\n"
        )
    };
    for bypass in ["always-on", "buffered", "hard", "relay"] {
        for normal in ["full", "open"] {
            assert_eq!(said(&rig(bypass, normal), "polarity"), [""; 0], "{bypass}, {normal}");
        }
    }
}

/// The lead of an adaptor that is left whole reaches, or is told.
#[test]
fn a_whole_lead_of_an_adaptor_that_is_too_short_is_told() {
    let rig = |lead: &str| {
        format!(
            "{ENDS}[[device]]\ntag = \"A1\"\nkind = \"compact-66x122x50\"\npower = {{ type = \"ac\", volts = \"9 V\", current = \"1000 mA\" }}\n\
             feed = {{ type = \"adaptor\", outlets = [\"STRIP.S1\"], adaptor = {{ prongs = \"plug-c\", lead = \"{lead}\" }} }}\nplace = {{ x = \"440 mm\", y = \"20 mm\" }}\n\
             [[device]]\ntag = \"STRIP\"\nrole = \"strip\"\nsize = {{ width = \"240 mm\", depth = \"60 mm\", height = \"45 mm\" }}\n\
             sockets = {{ pattern = \"socket-f\", count = 5, face = \"front\", first = \"40 mm\", pitch = \"40 mm\", height = \"22 mm\" }}\nplace = {{ x = \"20 mm\", y = \"250 mm\" }}\n"
        )
    };
    let told = said(&rig("150 mm"), "adaptor-lead");
    assert!(told.len() == 1 && told[0].contains("does not reach: it is 150 mm long, at least "), "{told:?}");
    assert_eq!(said(&rig("1800 mm"), "adaptor-lead"), [""; 0]);
}

/// Where the cable leaves a plug at an outlet is a matter of the outlet: it is the same whichever of two devices says it,
/// and it stays there when the devices change places.
#[test]
fn exits_stay_with_their_outlets() {
    let pedal = |tag: &str, milliamps: u32, outlet: u32, exit: &str, x: u32| {
        format!(
            "[[device]]\ntag = \"{tag}\"\nkind = \"compact-66x122x50\"\npower = {{ type = \"dc\", volts = \"9 V\", current = \"{milliamps} mA\", sign = \"centre-negative\", class = \"analogue\" }}\n\
             feed = {{ outlets = [\"SUP.{outlet}\"]{exit} }}\nplace = {{ x = \"{x} mm\", y = \"20 mm\" }}\n"
        )
    };
    let brick = "[[device]]\ntag = \"SUP\"\nkind = \"brick-4x100-1x500\"\nplace = { x = \"150 mm\", y = \"220 mm\" }\n";
    let shared = |first: &str, second: &str| {
        let design = derived(&format!("{ENDS}{first}{second}{brick}")).laid();
        let mut lead: Vec<String> = design
            .routes()
            .outcome
            .leads
            .iter()
            .map(|laid| {
                let from = &design.routes().input.leads[laid.lead].from.port;
                format!("{from} {:.0} mm", laid.cut_mm)
            })
            .collect();
        lead.sort();
        lead
    };
    let (one, two) = (pedal("A1", 9, 1, ", outlet_exit = \"up\"", 380), pedal("A2", 9, 1, "", 180));
    assert_eq!(shared(&one, &two), shared(&two, &one));

    let text = format!(
        "{ENDS}{}{}{brick}",
        pedal("A1", 400, 1, ", outlet_exit = \"left\"", 380),
        pedal("A2", 9, 5, ", outlet_exit = \"right\"", 180)
    );
    let design = derived(&text);
    let after = apply(&text, &power::edits(design.feeds())).expect("it can be written");
    let exit = |tag: &str| {
        let design = derived(&after);
        let feed = design.rig.device(tag).and_then(|device| device.feed.clone()).expect("it is fed");
        (feed.outlets[0].to_string(), feed.outlet_plug.exit.map(rig::Exit::word))
    };
    assert_eq!(exit("A1"), ("SUP.5".to_owned(), Some("right")), "{after}");
    let (outlet, said) = exit("A2");
    assert_eq!(said, (outlet == "SUP.1").then_some("left"), "{after}");
}

/// A lead that was cut from one cable and is written with another is cut again; what the shop has cut and the document
/// forgot is named.
#[test]
fn what_the_shop_has_cut_and_the_document_says_agree_or_are_told() {
    let rig = |lead: &str| {
        format!(
            "{ENDS}[[device]]\ntag = \"A1\"\nkind = \"compact-66x122x50\"\nplace = {{ x = \"380 mm\", y = \"20 mm\" }}\n\
             [[device]]\ntag = \"A2\"\nkind = \"compact-66x122x50\"\nplace = {{ x = \"180 mm\", y = \"20 mm\" }}\n\
             [[run]]\nname = \"main\"\nstops = [\"guitar\", \"A1\", \"A2\", \"amp\"]\n{lead}"
        )
    };
    let booked = design::CutLead { lead: "L07".into(), cable: Some("patch-4".into()), mm: 300 };
    let shelf = design::Shelf { cut: vec![booked], ..design::Shelf::default() };
    let entry = "[[lead]]\nfrom = \"A1.OUT\"\nto = \"A2.IN\"\ntag = \"L07\"\ncut = \"300 mm\"\n";
    let cuts = |text: &str| -> Vec<String> {
        let plans = design::cut_plans(&derived(text).laid(), &shelf);
        plans.iter().flat_map(|plan| plan.pieces.iter().map(|piece| piece.id.clone())).collect()
    };
    let forgotten = |text: &str| design::forgotten(&derived(text).rig, &shelf).len();
    assert_eq!((cuts(&rig(entry)), forgotten(&rig(entry))), (Vec::new(), 0));
    assert_eq!(cuts(&rig(&format!("{entry}cable = \"balanced-4\"\n"))), ["L07"]);
    assert_eq!(forgotten(&rig("")), 1);
    // The number that is in the shop's list goes to no other lead.
    let text = rig("");
    let design = derived(&text);
    let after = apply(&text, &design::retire_edit(&design.rig, &shelf)).expect("retired");
    assert!(derived(&after).leads.iter().all(|lead| lead.tag != "L07"), "{after}");
    assert!(after.contains("retired = [\"L07\"]"), "{after}");
}

/// An answer that names a part of what is found together says what it has to name.
#[test]
fn an_answer_to_a_part_says_what_is_missing() {
    let text = format!(
        "{ENDS}[[device]]\ntag = \"A1\"\nkind = \"compact-66x122x50\"\nplace = {{ x = \"100 mm\", y = \"20 mm\" }}\n\
         [[device]]\ntag = \"A2\"\nkind = \"compact-66x122x50\"\nplace = {{ x = \"120 mm\", y = \"30 mm\" }}\n\
         [[accept]]\nrule = \"clearance\"\ndevices = [\"A1\"]\nreason = \"one on the other\"\n"
    );
    let told = said(&text, "acceptance");
    assert!(told.iter().any(|said| said.contains("found on A1 and A2 at once; name them all")), "{told:?}");
}

/// Cable is judged by what goes along it: mains is a stop, all else a look; what nobody said is not judged.
#[test]
fn cable_suits_what_it_carries() {
    let rig = |cable: &str| {
        let ends =
            ENDS.replace("signal = { cable = \"patch-4\"", &format!("signal = {{ cable = \"{cable}\""));
        format!(
            "{ends}[[device]]\ntag = \"A1\"\nkind = \"compact-66x122x50\"\n[[device]]\ntag = \"A2\"\nkind = \"compact-66x122x50\"\n\
             [[run]]\nname = \"main\"\nstops = [\"guitar\", \"A1\", \"A2\", \"amp\"]\n"
        )
    };
    let told = |cable: &str| -> Vec<String> {
        let findings = checks::check(&derived(&rig(cable)));
        let of_cable = findings.into_iter().filter(|finding| finding.rule == "lead-cable");
        of_cable.map(|finding| format!("{} {}", finding.severity.word(), finding.message)).collect()
    };
    assert_eq!(told("patch-4"), [""; 0]);
    assert!(
        told("mains")[0].starts_with("stop lead L02 carries signal, and its cable, mains cable"),
        "{:?}",
        told("mains")
    );
    assert!(told("dc-0.22")[0].starts_with("look lead L02 carries signal"), "{:?}", told("dc-0.22"));
}

/// A lead that was made with a joint has it with two ends left too: it is laid, cut and judged leg by leg.
#[test]
fn a_joint_with_two_ends_left_is_laid_leg_by_leg() {
    let rig = |leg: &str| {
        format!(
            "{ENDS}[[device]]\ntag = \"SUP\"\nkind = \"brick-4x100-1x500\"\nplace = {{ x = \"200 mm\", y = \"230 mm\" }}\n\
             [[device]]\ntag = \"A1\"\nkind = \"compact-66x122x50\"\nfeed = {{ outlets = [\"SUP.1\"] }}\nplace = {{ x = \"440 mm\", y = \"20 mm\" }}\n\
             [[lead]]\nends = [\"SUP.1\", \"-\", \"A1.DC\"]\ntag = \"D05\"\nlegs = {{ \"SUP.1\" = \"{leg}\", \"A1.DC\" = \"400 mm\" }}\n"
        )
    };
    let design = derived(&rig("400 mm")).laid();
    let laid: Vec<&str> = design.routes().outcome.leads.iter().map(|laid| laid.id.as_str()).collect();
    assert_eq!(laid, ["D05 A", "D05 C"]);
    let lead = design.leads.iter().find(|lead| lead.tag == "D05").expect("it is there");
    assert!(lead.laid && lead.made && design.joint_words(lead).is_some());
    assert_eq!(said(&rig("400 mm"), "lead-short"), [""; 0]);
    let told = said(&rig("30 mm"), "lead-short");
    assert!(told.len() == 1 && told[0].starts_with("lead D05 A is cut to 30 mm"), "{told:?}");
}

/// What is wrong with a document, as the reader says it.
fn refused(text: &str) -> Vec<String> {
    match document::read_text("rig.toml", text, None) {
        Ok(_) => Vec::new(),
        Err(document::ReadError::Problems { problems, .. }) => {
            problems.into_iter().map(|problem| problem.message).collect()
        }
        Err(error) => panic!("{error}"),
    }
}

/// A brick on a strip, and the wall; the feed of a pedal and the mains run to the brick as they are given.
fn on_a_strip(feed: &str, stops: &str) -> String {
    format!(
        "{ENDS}[[device]]\ntag = \"A1\"\nkind = \"compact-66x122x50\"\nfeed = {feed}\n\
         [[device]]\ntag = \"SUP\"\nkind = \"brick-4x100-4x500\"\n\
         [[device]]\ntag = \"STRIP\"\nrole = \"strip\"\nsize = {{ width = \"240 mm\", depth = \"60 mm\", height = \"45 mm\" }}\npower = {{ type = \"mains\", volts = \"230 V\" }}\n\
         port.IN = {{ role = \"mains\", connector = \"fixed\", face = \"right\", offset = \"27 mm\", height = \"30 mm\" }}\n\
         sockets = {{ pattern = \"socket-f\", count = 3, face = \"front\", first = \"40 mm\", pitch = \"60 mm\", height = \"22 mm\" }}\n\
         [[run]]\nname = \"mains\"\ncarries = \"mains\"\nstops = [{stops}]\n"
    )
}

/// No lead of ours goes into a mains socket, and no adaptor into a brick's outlet.
#[test]
fn what_feeds_is_what_can_feed() {
    let run = "\"STRIP.S1\", \"SUP.MAINS\"";
    assert_eq!(refused(&on_a_strip("{ outlets = [\"SUP.1\"] }", run)), [""; 0]);
    assert_eq!(refused(&on_a_strip("{ type = \"adaptor\", outlets = [\"STRIP.S2\"] }", run)), [""; 0]);
    for (feed, told) in [
        (
            "{ outlets = [\"STRIP.S2\"] }",
            "STRIP.S2 is a mains socket, and no lead of ours goes from there to A1",
        ),
        (
            "{ type = \"adaptor\", outlets = [\"SUP.1\"] }",
            "SUP.1 is an outlet of a brick, and no adaptor sits there",
        ),
        ("{ outlets = [\"STRIP.IN\"] }", "STRIP has no outlet `IN`"),
        ("{ type = \"adaptor\", outlets = [\"STRIP.IN\"] }", "STRIP has no outlet `IN`"),
    ] {
        assert_eq!(refused(&on_a_strip(feed, run)), [told], "{feed}");
    }
}

/// Mains goes in by the inlet and out by the socket that is named.
#[test]
fn mains_passes_one_way() {
    for (stops, told) in [
        ("\"STRIP\", \"SUP\"", "the run leaves STRIP but there is no port for it"),
        ("\"STRIP.IN\", \"SUP.MAINS\"", "STRIP.IN is"),
        ("\"SUP.MAINS\", \"STRIP.S2\"", "SUP.MAINS is"),
    ] {
        let problems = refused(&on_a_strip("{ outlets = [\"SUP.1\"] }", stops));
        assert!(problems.first().is_some_and(|problem| problem.starts_with(told)), "{stops}: {problems:?}");
    }
    let rig = on_a_strip("{ outlets = [\"SUP.1\"] }", "\"STRIP.S1\", \"SUP\"");
    assert!(derived(&rig).leads.iter().any(|lead| lead.name == "STRIP.S1 > SUP.MAINS"));
}

/// A panel lets mains in by an inlet and out by a socket; a strip is fed by something else than itself.
#[test]
fn where_mains_comes_from() {
    let panel = |connector: &str, stops: &str| {
        on_a_strip("{ outlets = [\"SUP.1\"] }", stops)
            + &format!(
                "[[device]]\ntag = \"PNL\"\nrole = \"panel\"\nsize = {{ width = \"120 mm\", depth = \"2 mm\", height = \"40 mm\" }}\npower = {{ type = \"none\" }}\n\
                 port.MAINS = {{ role = \"mains\", connector = \"{connector}\", face = \"back\", offset = \"60 mm\", height = \"20 mm\", behind = \"30 mm\" }}\n\
                 [[device]]\ntag = \"WALL\"\nrole = \"strip\"\noutside = true\nport.S1 = {{ role = \"mains\", connector = \"socket-f\" }}\n"
            )
    };
    let from_wall = "\"WALL.S1\", \"PNL.MAINS\", \"STRIP.IN\"";
    assert_eq!(refused(&panel("gland-m20", from_wall)), [""; 0]);
    assert_eq!(refused(&panel("iec-c14", from_wall)), [""; 0]);
    for socket in ["socket-f", "iec-c13-outlet"] {
        let problems = refused(&panel(socket, from_wall));
        assert!(problems.len() == 1 && problems[0].starts_with("PNL.MAINS is"), "{socket}: {problems:?}");
    }
    let told = |text: &str| -> Vec<String> {
        said(text, "no-feed").into_iter().filter(|told| told.contains("STRIP")).collect()
    };
    assert_eq!(told(&panel("gland-m20", from_wall)), [""; 0]);
    let unfed = told(&panel("gland-m20", "\"STRIP.S1\", \"SUP.MAINS\""));
    assert!(unfed.len() == 1 && unfed[0].contains("how STRIP gets its mains"), "{unfed:?}");
    assert_eq!(
        told(&panel("gland-m20", "\"STRIP.S1\", \"PNL.MAINS\", \"STRIP.IN\"")),
        ["run mains leads from STRIP.S1 back into STRIP: it gets no mains"]
    );
}

/// A strip for 230 V is right at 220 V, and wrong at 120 V.
#[test]
fn one_voltage_stands_for_its_mains() {
    let at = |countries: &str| {
        let text = on_a_strip("{ outlets = [\"SUP.1\"] }", "\"STRIP.S1\", \"SUP.MAINS\"");
        let told = said(&format!("{text}[brief]\ncountries = [{countries}]\n"), "mains-voltage");
        told.into_iter().filter(|told| told.contains("STRIP")).count()
    };
    assert_eq!(at("\"TH\""), 0);
    assert_eq!(at("\"US\""), 1);
}

/// A selector that is right at home is set again on tour, before it burns; where the lists disagree one asks there.
#[test]
fn on_tour_selectors_are_set_and_questions_asked() {
    let at = |mains: &str, power: &str, countries: &str| -> Vec<String> {
        let text = format!(
            "{ENDS}[[device]]\ntag = \"LUMP\"\nrole = \"brick\"\noutside = true\npower = {{ type = \"mains\", {power} }}\n\
             [brief]\ncountries = [{countries}]\n"
        );
        said(&text.replacen("volts = \"230 V\"", &format!("volts = \"{mains}\""), 1), "mains-voltage")
    };
    let two = |set: &str| format!("volts = \"100 V to 240 V\", selector = \"{set}\"");
    assert_eq!(
        at("120 V", &two("115 V"), "\"GB\""),
        [
            "the selector of LUMP stands at 115 V, the mains in United Kingdom is 230 V; set it before the plug goes into a wall there: it is destroyed otherwise"
        ]
    );
    assert_eq!(
        at("230 V", &two("230 V"), "\"US\""),
        ["the selector of LUMP stands at 230 V, the mains in United States is 120 V; set it there"]
    );
    assert_eq!(at("230 V", &two("230 V"), "\"DE\", \"TH\""), [""; 0]);
    let asked = at("230 V", "volts = \"230 V\"", "\"ID\"");
    assert!(asked.len() == 1 && asked[0].starts_with("the lists of mains differ on Indonesia"), "{asked:?}");
    assert_eq!(at("230 V", "volts = \"100 V to 240 V\"", "\"ID\""), [""; 0]);
}

/// Both contacts of a panel's insert are wired from behind, or neither.
#[test]
fn half_an_insert_behind_the_wall_is_told() {
    let rig = |stops: &str, jacks: &str| {
        format!(
            "{ENDS}[[device]]\ntag = \"A1\"\nkind = \"compact-66x122x50\"\npower = {{ type = \"none\" }}\nplace = {{ x = \"360 mm\", y = \"40 mm\" }}\n\
             [[device]]\ntag = \"A2\"\nkind = \"compact-66x122x50\"\npower = {{ type = \"none\" }}\nplace = {{ x = \"180 mm\", y = \"40 mm\" }}\n\
             [[device]]\ntag = \"PNL\"\nrole = \"panel\"\nsize = {{ width = \"120 mm\", depth = \"2 mm\", height = \"40 mm\" }}\npower = {{ type = \"none\" }}\n{jacks}\
             place = {{ x = \"260 mm\", y = \"328 mm\" }}\n[[run]]\nname = \"main\"\nstops = [{stops}]\n"
        )
    };
    let two = "port.SEND = { role = \"send\", connector = \"jack-6.35-ts\", face = \"back\", offset = \"35 mm\", height = \"20 mm\", behind = \"30 mm\", insulated = true }\n\
               port.RET = { role = \"return\", connector = \"jack-6.35-ts\", face = \"back\", offset = \"85 mm\", height = \"20 mm\", behind = \"30 mm\", insulated = true }\n\
               insert.P = { send = \"SEND\", return = \"RET\", normal = \"full\" }\n";
    let one = "port.INS = { role = \"send\", connector = \"jack-6.35-trs\", face = \"back\", offset = \"60 mm\", height = \"20 mm\", behind = \"30 mm\", insulated = true }\n\
               insert.P = { send = \"INS\", return = \"INS\", normal = \"full\", wiring = \"tip-send\" }\n";
    for whole in [
        rig("\"guitar\", \"A1\", \"PNL.SEND\", \"PNL.RET\", \"A2\", \"amp\"", two),
        rig("\"guitar\", \"A1\", \"PNL.INS\", \"A2\", \"amp\"", one),
    ] {
        assert_eq!(said(&whole, "insert-open"), [""; 0]);
        let design = derived(&whole);
        let device = design.rig.device("PNL").expect("it is there");
        let contacts = signal::Contacts::new(&design.rig);
        // With nothing plugged from outside the normal closes the path, on one jack as on two.
        assert!(contacts.insert(device, &device.inserts[0]).closed, "{whole}");
    }
    // A second insert right behind the first is wired jack to jack.
    let more = two.replace("SEND", "S2").replace("RET", "R2").replace("insert.P", "insert.Q");
    let row = rig(
        "\"guitar\", \"A1\", \"PNL.SEND\", \"PNL.RET\", \"PNL.S2\", \"PNL.R2\", \"A2\", \"amp\"",
        &format!("{two}{}", more.replace("35 mm", "60 mm").replace("85 mm", "105 mm")),
    );
    assert_eq!(said(&row, "insert-open"), [""; 0]);
    assert_eq!(
        said(&rig("\"guitar\", \"A1\", \"PNL.SEND\"", two), "insert-open"),
        [
            "insert P of PNL has a lead behind its send and none behind its return: what arrives at the send goes nowhere"
        ]
    );
    assert_eq!(
        said(&rig("\"PNL.RET\", \"A2\", \"amp\"", two), "insert-open"),
        [
            "insert P of PNL has a lead behind its return and none behind its send: nothing arrives for it to give on"
        ]
    );
}

/// An entry that reaches no lead is said, whatever the slip was.
#[test]
fn an_entry_of_a_lead_that_is_none_stops() {
    let rig = |entry: &str| {
        format!(
            "{ENDS}[[device]]\ntag = \"A1\"\nkind = \"compact-66x122x50\"\nfeed = {{ outlets = [\"SUP.1\"] }}\n\
             [[device]]\ntag = \"A2\"\nkind = \"compact-66x122x50\"\nfeed = {{ outlets = [\"SUP.1\"] }}\n\
             [[device]]\ntag = \"SUP\"\nkind = \"brick-4x100-1x500\"\n\
             [[run]]\nname = \"main\"\nstops = [\"guitar\", \"A1\", \"A2\", \"amp\"]\n{entry}"
        )
    };
    let entry = |keys: &str| format!("[[lead]]\n{keys}\n");
    for (entry, told) in [
        (entry("from = \"A1.OUT\"\nto = \"A2.IN\""), None),
        (
            entry("from = \"A2.IN\"\nto = \"A1.OUT\""),
            Some("lead A2.IN > A1.OUT is written the wrong way round: it goes A1.OUT > A2.IN"),
        ),
        (
            entry("from = \"A1.OUT\"\nto = \"amp\""),
            Some("lead A1.OUT > amp is written, but nothing runs there; there is A1.OUT to A2.IN"),
        ),
        (
            entry("ends = [\"SUP.1\", \"A1.DC\", \"A2.DC\"]\ntag = \"D01\"")
                + &entry("from = \"SUP.1\"\nto = \"A2.DC\"\ntag = \"D44\"\ncut = \"300 mm\""),
            Some("lead D44, SUP.1 > A2.DC is a second entry for ends of lead D01, SUP.1 to A1.DC + A2.DC"),
        ),
    ] {
        assert_eq!(said(&rig(&entry), "lead-gone").first().map(String::as_str), told, "{entry}");
    }
}

/// A jack that is written at the place of another one is found, though its plug is still open.
#[test]
fn two_jacks_at_one_point_are_told() {
    let rig = |offset: &str| {
        format!(
            "{ENDS}[[device]]\ntag = \"A1\"\nkind = \"compact-66x122x50\"\npower = {{ type = \"none\" }}\nplace = {{ x = \"200 mm\", y = \"40 mm\" }}\n\
             port.IN2 = {{ role = \"in\", connector = \"jack-6.35-ts\", face = \"front\", offset = \"{offset}\", height = \"20 mm\" }}\n\
             port.OUT2 = {{ role = \"out\", connector = \"jack-6.35-ts\", face = \"front\", offset = \"40 mm\", height = \"20 mm\" }}\n\
             [[run]]\nname = \"main\"\nstops = [\"guitar\", \"A1.IN2\", \"A1.OUT2\", \"amp\"]\n"
        )
    };
    let told = |offset: &str| {
        let open = rig(offset)
            .replace("lead = \"3 m\"\ncable = \"instrument\"\nplug = \"jack-straight\"", "lead = \"3 m\"");
        said(&open, "clearance").into_iter().filter(|told| told.contains("at one point")).collect::<Vec<_>>()
    };
    assert_eq!(told("40 mm"), ["A1.IN2 and A1.OUT2 are at one point of A1"]);
    let beyond = said(&rig("140 mm"), "clearance");
    assert!(beyond.contains(&"A1.IN2 is 140 mm along a side of 66 mm".to_owned()), "{beyond:?}");
    let above = said(&rig("20 mm").replace("height = \"20 mm\"", "height = \"120 mm\""), "clearance");
    assert!(above.contains(&"A1.IN2 is 120 mm up a side of 50 mm".to_owned()), "{above:?}");
    assert_eq!(told("20 mm"), [""; 0]);
}
