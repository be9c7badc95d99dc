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
