//! Leads that are cut stay where they reach: what changes elsewhere on the board makes none of them too short.

use design::{CutLead, Design, Making};
use document::edit::apply;

fn derived(text: &str) -> Design {
    match document::read_text("rig.toml", text, None) {
        Ok(job) => design::derive(job.rig, job.limits),
        Err(document::ReadError::Problems { problems, .. }) => panic!("{problems:#?}\n{text}"),
        Err(error) => panic!("{error}"),
    }
}

/// An example with every lead that is made here cut to what it needs.
fn all_cut(name: &str) -> Design {
    let path = format!("{}/../../examples/{name}/rig.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("an example");
    let text = apply(&text, &design::issue_edit(&derived(&text))).expect("numbers");
    let laid = derived(&text).laid();
    let made = laid.leads.iter().filter(|lead| lead.laid && lead.making == Making::Made);
    let pieces = made.flat_map(|lead| {
        let length = |leg: usize| lead.legs.get(leg).map_or(lead.cut, |leg| leg.cut);
        lead.parts().into_iter().enumerate().filter_map(move |(leg, part)| {
            #[expect(clippy::cast_possible_truncation, reason = "whole millimetres of a lead")]
            let mm = length(leg).value?.as_mm().ceil() as i64;
            Some(CutLead { lead: part, cable: None, mm })
        })
    });
    let edit = design::cut_edit(&laid.rig, &pieces.collect::<Vec<_>>(), true);
    derived(&apply(&text, &edit).expect("cut"))
}

/// The made leads that do not reach, but for those at a device.
fn short(design: &Design, but: &str) -> Vec<String> {
    let others = design.leads.iter().filter(|lead| lead.ends.iter().all(|end| end.port.device != but));
    let short = others.filter_map(|lead| design::spare(lead).map(|spare| (lead, spare)));
    let short = short.filter(|(_, spare)| *spare < quantity::Length::ZERO);
    short.map(|(lead, spare)| format!("{} by {}", lead.tag, -spare)).collect()
}

#[test]
fn made_leads_reach_whatever_changes_beside_them() {
    let mut tried = 0;
    for name in ["session-two-deck-corrected", "baritone-ambient-corrected", "church-bass-corrected"] {
        let cut = all_cut(name);
        let today = cut.clone().laid();
        assert_eq!(short(&today, ""), [""; 0], "{name}");
        let joints = |design: &Design| -> Vec<(String, Option<String>)> {
            let joined = design.leads.iter().filter(|lead| lead.is_joined());
            let mut all: Vec<_> = joined.map(|lead| (lead.tag.clone(), design.joint_words(lead))).collect();
            all.sort();
            all
        };
        // The order in which devices stand in the document is no matter of the bench.
        let mut rig = cut.rig.clone();
        rig.devices.reverse();
        let turned = design::derive(rig, cut.limits.clone()).laid();
        assert_eq!(short(&turned, ""), [""; 0], "{name}, devices in reverse");
        assert_eq!(joints(&turned), joints(&today), "{name}, devices in reverse");
        let placed = cut.rig.devices.iter().filter(|device| device.place.is_some());
        for tag in placed.map(|device| device.tag.clone()).step_by(4) {
            let mut rig = cut.rig.clone();
            let gone = rig.devices.iter_mut().find(|device| device.tag == tag).expect("it is there");
            gone.place = None;
            let without = design::derive(rig, cut.limits.clone()).laid();
            assert_eq!(short(&without, &tag), [""; 0], "{name} without {tag}");
            tried += 1;
        }
    }
    assert!(9 <= tried, "{tried}");
}

/// Of a splitter with a new leg only that is cut and got; what is plugged in is made, though nobody wrote its length.
#[test]
fn what_is_left_of_a_lead_is_cut_alone() {
    let rig = |entry: &str| {
        let pedal = |tag: &str, x: u32| {
            format!(
                "[[device]]\ntag = \"{tag}\"\nkind = \"compact-66x122x50\"\nfeed = {{ outlets = [\"SUP.1\"] }}\nplace = {{ x = \"{x} mm\", y = \"20 mm\" }}\n"
            )
        };
        let text = format!(
            "format = 1\n[job]\ntitle = \"t\"\n[board]\nkind = \"flat-560x330\"\n[leads]\ndc = {{ cable = \"dc-0.22\", plug = \"barrel-2.1-angled\" }}\n\
             [[device]]\ntag = \"SUP\"\nkind = \"brick-4x100-1x500\"\nplace = {{ x = \"200 mm\", y = \"230 mm\" }}\n{}{}[[lead]]\nends = [\"SUP.1\", \"A1.DC\", \"A2.DC\"]\ntag = \"D01\"\n{entry}\n",
            pedal("A1", 120),
            pedal("A2", 360)
        );
        derived(&text).laid()
    };
    let told = |design: &Design| -> (i64, String, usize) {
        let needs = design::needs(design);
        let cable = needs.iter().find(|need| need.group == design::BillGroup::Cable).expect("cable");
        let stages = design::work_order(design);
        let cut = stages.iter().flat_map(|stage| &stage.steps).find(|step| step.id.starts_with("cut:"));
        let plans = design::cut_plans(design, &design::Shelf::default());
        let pieces = plans.iter().map(|plan| plan.pieces.len()).sum();
        (cable.to_get().units() / 1_000_000, cut.expect("an act").text.clone(), pieces)
    };
    let open = told(&rig(""));
    assert_eq!((open.1.as_str(), open.2), ("Batch 1: cut D01 to length", 3));
    let some = told(&rig("legs = { \"SUP.1\" = \"600 mm\", \"A1.DC\" = \"500 mm\" }"));
    assert_eq!((some.1.as_str(), some.2), ("Batch 1: cut D01 C to length; cut already: D01 A, D01 B", 1));
    assert!(0 < some.0 && some.0 < open.0, "{some:?} of {open:?}");
    for entry in
        ["fitted = true", "legs = { \"SUP.1\" = \"600 mm\", \"A1.DC\" = \"500 mm\", \"A2.DC\" = \"500 mm\" }"]
    {
        let none = told(&rig(entry));
        assert_eq!(none, (0, "Batch 1: D01: cut already; check the lengths".to_owned(), 0), "{entry}");
    }
}

/// What is cut is neither got nor cut once more: bill and work order say what is left.
#[test]
fn what_is_cut_is_not_got_again() {
    let (cut, open) = (all_cut("church-bass-corrected").laid(), {
        let path = format!("{}/../../examples/church-bass-corrected/rig.toml", env!("CARGO_MANIFEST_DIR"));
        derived(&std::fs::read_to_string(path).expect("an example")).laid()
    });
    let cable = |design: &Design| {
        let needs = design::needs(design);
        needs.into_iter().filter(|need| need.group == design::BillGroup::Cable).collect::<Vec<_>>()
    };
    assert!(cable(&open).iter().all(|need| need.left.is_none() && need.to_get() == need.wanted()));
    assert!(!cable(&cut).is_empty());
    for need in cable(&cut) {
        assert_eq!(need.to_get().units(), 0, "{}", need.title);
        assert!(0 < need.wanted().units(), "{}: what it costs stays", need.title);
    }
    let acts = |design: &Design| -> Vec<String> {
        let stages = design::work_order(design).into_iter().filter(|stage| stage.id == "leads");
        let steps = stages.flat_map(|stage| stage.steps);
        steps.map(|step| step.text).filter(|text| text.contains("cut")).collect()
    };
    assert!(acts(&open).iter().all(|text| text.ends_with(" to length")), "{:?}", acts(&open));
    assert!(acts(&cut).iter().all(|text| text.contains("cut already")), "{:?}", acts(&cut));
}

/// A hungry device on a supply lead of four metres, cut and plugged in; its outlet is the only one.
const LONG: &str = r#"
format = 1
[job]
title = "t"
mains = { volts = "230 V", hertz = "50 Hz" }
[board]
kind = "frame-480x190"
[leads]
dc = { cable = "dc-0.22", plug = "barrel-2.1-angled" }

[[device]]
tag = "S"
role = "brick"
from = "printed"
size = { width = "180 mm", depth = "75 mm", height = "20 mm" }
power = { type = "mains", volts = "100 V to 240 V" }
port.MAINS = { role = "mains", connector = "iec-c14", face = "left", offset = "30 mm", height = "10 mm" }
place = { x = "150 mm", y = "50 mm", under = true }
outlet.1 = { type = "dc", setting = [{ volts = "9 V", current = "1000 mA" }], isolation = "isolated", connector = "barrel-5.5-2.1", face = "back", offset = "40 mm", height = "10 mm", sign = "centre-negative" }

[[device]]
tag = "A"
from = "printed"
size = { width = "60 mm", depth = "100 mm", height = "50 mm" }
power = { type = "dc", volts = "9 V", current = "900 mA", sign = "centre-negative", class = "digital", positive_ground = false }
port.DC = { role = "power", connector = "barrel-5.5-2.1", face = "back", offset = "20 mm", height = "10 mm" }
signal = { gain = "0 dB" }
place = { x = "@X", y = "10 mm" }
feed = { outlets = ["S.1"] }

[[lead]]
from = "S.1"
to = "A.DC"
tag = "L1"
cut = "4 m"
fitted = true
"#;

fn stops(text: &str) -> Vec<String> {
    let found = checks::check_stated(&derived(text));
    let drops = found.into_iter().filter(|finding| finding.rule == "supply-drop");
    drops.map(|finding| finding.message).collect()
}

#[test]
fn a_made_lead_that_loses_too_much_is_made_anew_by_a_cure() {
    let near = LONG.replace("@X", "150 mm");
    assert_eq!(stops(&near).len(), 1, "{:?}", stops(&near));
    let cables = document::Catalogue::standard().cables();
    let cure = |text: &str| {
        let outcome = derived(text).feeds_with(&[], &cables, None);
        outcome.cures.into_iter().find(|cure| cure.price.unmade == 1 && cure.edit.is_some())
    };
    assert_eq!(derived(&near).allocation().unmade, [""; 0], "it stays until somebody makes it anew");
    let shorter = cure(&near).expect("the lead is made anew");
    assert!(shorter.name.contains("make lead L1 of A anew, shorter (about"));
    assert!(shorter.name.contains("; now cut to 4000 mm)"), "{}", shorter.name);
    let after = apply(&near, shorter.edit.as_ref().expect("it can be pressed")).expect("applies");
    assert!(!after.contains("cut = ") && !after.contains("fitted") && after.contains("tag = \"L1\""));
    assert_eq!(stops(&after), [""; 0], "{after}");
    // Far away shorter is not enough: then its cable is thicker.
    let far = LONG.replace("@X", "-1800 mm").replace("900 mA", "600 mA");
    let thicker = cure(&far).expect("the lead is made anew");
    assert!(thicker.name.contains("anew, of thicker cable"), "{}", thicker.name);
    let after = apply(&far, thicker.edit.as_ref().expect("it can be pressed")).expect("applies");
    assert!(after.contains("cable = \"dc-"), "{after}");
    assert_eq!(stops(&after), [""; 0], "{after}");
}

/// A board with a brick and devices, and entries for their leads: what is drawn at 9 V, or at 18 V where that is said.
fn made_rig(outlets: &str, devices: &[(&str, &str, u32, u32, &str)], leads: &str) -> String {
    let mut text = format!(
        r#"
format = 1
[job]
title = "t"
mains = {{ volts = "230 V", hertz = "50 Hz" }}
[board]
title = "b"
deck.main = {{ size = {{ width = "900 mm", depth = "400 mm" }}, thickness = "4 mm", clear_below = "80 mm" }}
[leads]
dc = {{ cable = "dc-0.22", plug = "barrel-2.1-angled" }}
[[device]]
tag = "S"
role = "brick"
from = "printed"
bracket = "3 mm"
size = {{ width = "200 mm", depth = "75 mm", height = "25 mm" }}
power = {{ type = "mains", volts = "100 V to 240 V" }}
port.MAINS = {{ role = "mains", connector = "iec-c14", face = "left", offset = "30 mm", height = "10 mm" }}
total = "40 W"
place = {{ x = "80 mm", y = "300 mm", under = true }}
{outlets}
"#
    );
    for (tag, volts, draw, x, feed) in devices {
        text.push_str(&format!(
            r#"
[[device]]
tag = "{tag}"
from = "printed"
size = {{ width = "70 mm", depth = "120 mm", height = "50 mm" }}
power = {{ type = "dc", volts = "{volts}", current = "{draw} mA", sign = "centre-negative", class = "digital", positive_ground = false, surge = "{draw} mA" }}
port.DC = {{ role = "power", connector = "barrel-5.5-2.1", face = "back", offset = "35 mm", height = "10 mm" }}
signal = {{ gain = "0 dB" }}
place = {{ x = "{x} mm", y = "60 mm" }}
{feed}
"#
        ));
    }
    text + leads
}

fn made_outlet(name: u32, current: u32, more: &str) -> String {
    format!(
        "outlet.{name} = {{ type = \"dc\", setting = [{{ volts = \"9 V\", current = \"{current} mA\" }}], sign = \"centre-negative\", \
         isolation = \"isolated\", connector = \"barrel-5.5-2.1\", face = \"front\", offset = \"{} mm\", height = \"10 mm\"{more} }}\n",
        20 + 30 * (name - 1)
    )
}

fn made_lead(tag: &str, outlet: u32, device: &str, cut: u32) -> String {
    format!(
        "[[lead]]\nfrom = \"S.{outlet}\"\nto = \"{device}.DC\"\ntag = \"{tag}\"\ncut = \"{cut} mm\"\nfitted = true\n"
    )
}

/// A strong and a weaker device, each on the outlet for it.
fn two_leads(first: u32, second: u32) -> String {
    made_rig(
        &(made_outlet(1, 1500, "") + &made_outlet(2, 500, "")),
        &[
            ("A", "9 V", 1400, 100, "feed = { outlets = [\"S.1\"] }"),
            ("E", "9 V", 450, 300, "feed = { outlets = [\"S.2\"] }"),
        ],
        &(made_lead("D01", 1, "A", first) + &made_lead("D04", 2, "E", second)),
    )
}

fn outcome(text: &str) -> power::Outcome {
    derived(text).feeds_with(&[], &document::Catalogue::standard().cables(), None)
}

#[test]
fn two_made_leads_are_made_anew_together() {
    let text = two_leads(2500, 6000);
    assert_eq!(stops(&text), ["cable dc-0.22 loses too much voltage on leads D01 and D04"]);
    let found = outcome(&text);
    let cure = found.cures.first().expect("both leads made anew");
    assert!(cure.name.contains("lead D01 of A") && cure.name.contains("lead D04 of E"), "{}", cure.name);
    assert_eq!((cure.price.unmade, cure.price.buys, cure.leaves.len()), (2, 0, 0), "{}", cure.name);
    assert_eq!(cure.refed, [""; 0], "nothing is moved");
    let after = apply(&text, cure.edit.as_ref().expect("it can be pressed")).expect("applies");
    assert!(!after.contains("cut = "), "{after}");
    assert_eq!(stops(&after), [""; 0], "{after}");
    assert_eq!(outcome(&after).unserved.len(), 0);
}

#[test]
fn a_made_lead_is_made_anew_beside_a_purchase() {
    // E lacks an outlet of 18 V, A a shorter lead.
    let text =
        two_leads(2500, 300).replace("volts = \"9 V\", current = \"450", "volts = \"18 V\", current = \"450");
    let job = document::read_text("rig.toml", &text, None).expect("a rig");
    let (kinds, cables) = (job.catalogue.devices(), job.catalogue.cables());
    let found = design::derive(job.rig, job.limits).feeds_with(&kinds, &cables, None);
    let is_both = |cure: &&power::Cure| cure.name.contains("lead D01 of A") && cure.price.buys == 1;
    let cure = found.cures.iter().find(is_both).expect("a brick, and the lead anew");
    assert_eq!(cure.leaves.len(), 0, "{}", cure.name);
}

/// One brick of the catalogue without a strip: nothing makes the lead of A short enough.
#[test]
fn a_partial_cure_that_feeds_nobody_is_none() {
    let text = made_rig(
        &made_outlet(1, 3000, ""),
        &[("A", "9 V", 2000, 800, "feed = { outlets = [\"S.1\"] }")],
        &made_lead("D01", 1, "A", 2500),
    );
    let found = outcome(&text);
    assert_eq!(found.missing, 1, "one device, whose lead is made and which nobody locked");
    assert!(found.cures.is_empty(), "{:?}", found.cures.iter().map(|cure| &cure.name).collect::<Vec<_>>());
    assert!(found.uncured().is_some());
    assert_eq!(found.edit.changes.len(), 0, "its feed stays");
}

#[test]
fn a_made_lead_that_loses_too_much_is_named_as_the_cause() {
    let words = |text: &str| {
        let found = outcome(text);
        found.conflicts.iter().map(|conflict| conflict.words.clone()).collect::<Vec<_>>()
    };
    let cause = "too much of the voltage is lost along lead";
    let series = ", series = true";
    let pair = made_rig(
        &(made_outlet(3, 400, series) + &made_outlet(4, 400, series)),
        &[("D", "18 V", 390, 400, "feed = { type = \"series-pair\", outlets = [\"S.3\", \"S.4\"] }")],
        "[[lead]]\nends = [\"S.3\", \"S.4\", \"D.DC\"]\ntag = \"D03\"\nfitted = true\n\
         legs = { \"S.3\" = \"4000 mm\", \"S.4\" = \"4000 mm\", \"D.DC\" = \"3000 mm\" }\n",
    );
    let legs = "with legs cut to 4000 mm, 4000 mm and 3000 mm";
    assert_eq!(words(&pair), [format!("{cause} D03 of D, {legs}: make it anew, shorter")]);
    let cure = outcome(&pair).cures.into_iter().next().expect("it is made anew");
    assert!(cure.name.contains(legs) && cure.name.contains("from outlet to device"), "{}", cure.name);
    // Only one of the two leads is at fault.
    let one = two_leads(300, 6000);
    assert_eq!(words(&one), [format!("{cause} D04 of E, cut to 6000 mm: make it anew, shorter")]);
}

/// Both legs of one lead lose too much: that is one lead.
#[test]
fn one_lead_that_loses_too_much_twice_is_told_once() {
    let shared = |tag: &'static str, x: u32| (tag, "9 V", 240, x, "feed = { outlets = [\"S.1\"] }");
    let text = made_rig(
        &made_outlet(1, 500, ""),
        &[shared("B", 200), shared("C", 300)],
        "[[lead]]\nends = [\"S.1\", \"B.DC\", \"C.DC\"]\ntag = \"D02\"\nfitted = true\n\
         legs = { \"S.1\" = \"2000 mm\", \"B.DC\" = \"1500 mm\", \"C.DC\" = \"1700 mm\" }\n",
    );
    assert_eq!(stops(&text), ["cable dc-0.22 loses too much voltage on lead D02"]);
}

#[test]
fn what_is_made_is_not_told_as_locked() {
    let text = two_leads(300, 300)
        .replace("[\"S.1\"] }", "[\"S.2\"] }")
        .replace("feed = { outlets = [\"S.2\"] }\n\n[[device]]\ntag = \"E\"", "\n[[device]]\ntag = \"E\"");
    let text = text
        .replace("current = \"1400 mA\"", "current = \"400 mA\"")
        .replace("surge = \"1400 mA\"", "surge = \"400 mA\"");
    let text = text.replace(&made_lead("D01", 1, "A", 300), "");
    let found = outcome(&text);
    let why = &found.feeds.iter().find(|feed| feed.device == "A").expect("A is fed").why;
    assert_eq!(why, "S.2 feeds E, whose lead is made");
}
