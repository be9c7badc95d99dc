//! What papers show is derived in `design`: clocking, inserts, holes, counts, the order of acts.

use design::{
    BillGroup, Clocking, Design, Heard, bill, clocking, derive, heard, labels, lead_capacitance, plates,
    spans, work_order,
};
use quantity::Length;
use rig::{Exit, Limits, Normal, Role};

use super::{board, rigs};

fn angle(design: &Design, from: &str) -> Clocking {
    let lead = design.leads.iter().find(|lead| lead.from().port.to_string() == from).expect(from);
    clocking(&design.rig, lead)
}

#[test]
fn a_lead_bent_like_a_u_has_both_tips_the_same_way() {
    // Out at the left of one, in at the right of the next, both cables towards the toe.
    assert_eq!(angle(&board(), "TUN.OUT"), Clocking::Turned(0));
}

#[test]
fn a_lead_bent_like_an_s_has_its_tips_opposite() {
    // The cable leaves towards the heel and arrives from the toe.
    assert_eq!(angle(&board(), "OCT.OUT"), Clocking::Turned(180));
}

#[test]
fn a_quarter_turn_is_counted_clockwise_along_the_cable() {
    let mut rig = rigs::two_decks();
    let spec = rig.leads.iter_mut().find(|lead| lead.from.device == "TUN").expect("the lead");
    spec.to_plug.exit = Some(Exit::Up);
    // By hand: tip to the right, cable to the toe, along to the left, then down into the second plug. The
    // first tip is carried to point to the toe, and stays there; the second points to the left. Looking down
    // along the cable, from the toe to the left is a quarter turn anticlockwise.
    assert_eq!(angle(&derive(rig, Limits::default()), "TUN.OUT"), Clocking::Turned(270));
}

#[test]
fn straight_soldered_and_open_ends_have_no_angle() {
    let mut rig = rigs::two_decks();
    rig.leads.iter_mut().find(|lead| lead.from.device == "TUN").expect("it").to_plug.exit = None;
    let design = derive(rig, Limits::default());
    assert_eq!(angle(&design, "TUN.OUT"), Clocking::Open, "an exit is not decided");
    assert_eq!(angle(&design, "PAN.IN"), Clocking::Free, "soldered behind the panel");
}

#[test]
fn inserts_tell_what_is_heard_in_four_cases() {
    use Heard::{Inserted, ReturnAlone, SendAlone, Silence, Through, ThroughAndSend, Unknown};
    for (normal, expected) in [
        (Some(Normal::Full), [Through, SendAlone, ReturnAlone, Inserted]),
        (Some(Normal::Half), [Through, ThroughAndSend, ReturnAlone, Inserted]),
        (Some(Normal::Open), [Silence, SendAlone, ReturnAlone, Inserted]),
        (None, [Unknown, Unknown, ReturnAlone, Inserted]),
    ] {
        assert_eq!(design::CASES.map(|case| heard(normal, case)), expected, "{normal:?}");
    }
}

#[test]
fn capacitance_is_length_times_cable_and_fifteen_a_plug() {
    let design = board();
    let mut lead = design.leads.iter().find(|lead| lead.from().port.device == "TUN").expect("it").clone();
    for end in &mut lead.ends {
        end.plug.plug.as_mut().expect("it has a plug").capacitance = rig::Known::default();
    }
    let metres = lead.cut.value.expect("estimated").as_mm() / 1000.0;
    let farads = lead_capacitance(&lead).value.expect("all is known").get();
    assert!((farads - (metres * 95e-12 + 2.0 * 15e-12)).abs() < 1e-15, "{farads}");
}

#[test]
fn holes_count_from_the_datum_as_the_front_shows_it() {
    let mut rig = rigs::two_decks();
    let panel = rig.devices.iter_mut().find(|device| device.role == Role::Panel).expect("the panel");
    for port in &mut panel.ports {
        port.face.value = Some(rig::Face::Back);
    }
    let size = panel.size.value.as_mut().expect("it has a size");
    (size.width, size.depth) = (Length::from_mm(120), Length::from_mm(4));
    let design = derive(rig, Limits::default());
    let plate = &plates(&design)[0];
    // The player sees 30, 62, 98 from the left; who stands behind sees the last one first.
    let across: Vec<Option<Length>> = plate.holes.iter().map(|hole| hole.x.value).collect();
    assert_eq!(across, [22, 58, 90].map(|mm| Some(Length::from_mm(mm))));
    assert_eq!(plate.holes[0].port, "MAINS");
}

#[test]
fn plugs_are_counted_from_the_leads() {
    let design = board();
    let lines = bill(&design);
    let plugs: i64 = lines
        .iter()
        .filter(|line| line.group == BillGroup::Plugs)
        .map(|line| match line.needed {
            design::Amount::Pieces(count) => count,
            design::Amount::Length(_) => 0,
        })
        .sum();
    let ends: usize = design
        .leads
        .iter()
        .filter(|lead| lead.making == design::Making::Made)
        .map(|lead| lead.ends.iter().filter(|end| end.has_plug()).count())
        .sum();
    assert_eq!(plugs, i64::try_from(ends).expect("a count"), "one for each end that is not soldered");
    let cable = lines.iter().find(|line| line.item.contains("thin patch")).expect("the cable");
    assert!(cable.estimated, "lengths are estimated, and the bill says so");
}

#[test]
fn tags_in_a_row_are_told_as_from_and_to() {
    assert_eq!(spans(&["L01", "L02", "L03", "L05", "D01", "D02"]), "L01–L03, L05, D01, D02");
    assert_eq!(spans(&["L09", "L10", "L11"]), "L09–L11");
    assert_eq!(spans(&["main"]), "main");
}

#[test]
fn both_ends_of_a_lead_are_labelled_side_by_side() {
    let labels = labels(&board());
    let ends: Vec<_> = labels.iter().filter(|label| label.kind == design::LabelKind::LeadEnd).collect();
    assert_eq!(ends.len() % 2, 0);
    assert!(ends.chunks(2).all(|pair| pair[0].of == pair[1].of && pair[0].lines[1] != pair[1].lines[1]));
}

#[test]
fn a_lead_is_plugged_before_the_neighbour_that_would_be_in_the_way() {
    let design = board();
    let stages = work_order(&design);
    let steps: Vec<_> = stages.iter().flat_map(|stage| &stage.steps).collect();
    let at = |id: &str| {
        steps.iter().rposition(|step| step.id.starts_with(id)).unwrap_or_else(|| panic!("no step {id}"))
    };
    let lead = design.leads.iter().find(|lead| lead.from().port.device == "FUZ").expect("it");
    // FUZ and OCT stand 16 mm apart: no plug goes in between the two once both are down.
    let plug = at(&format!("plug:{}:FUZ.OUT", lead.tag));
    assert!(plug < at("fix:OCT").max(at("fix:FUZ")), "FUZ.OUT is plugged before the second of the two");
    assert!(at("hold:outlets") < at("fix:TUN"), "outlets are metered before anything is plugged");
    for lead in design.leads.iter().filter(|lead| lead.class.is_supply() && lead.ends.len() == 2) {
        let place = |device: &str| design.rig.device(device).and_then(|device| device.place.as_ref());
        if place(&lead.to().port.device).is_some_and(|place| place.deck == "front") {
            for end in lead.ends.iter().filter(|end| end.has_plug()) {
                let plugged = at(&format!("plug:{}:", lead.tag));
                assert!(plugged < at("hold:front"), "{} at {} is in before listening", lead.tag, end.port);
            }
        }
    }
    assert!(at("hold:front") < at("fix:DRV"), "the front deck is listened to before the rear one goes on");
    let mut ids: Vec<&str> = steps.iter().map(|step| step.id.as_str()).collect();
    ids.sort_unstable();
    let count = ids.len();
    ids.dedup();
    assert_eq!(ids.len(), count, "ids are single");
    let late = |tag: &str| steps.iter().any(|step| step.leads.iter().any(|lead| lead == tag));
    for lead in design.leads.iter().filter(|l| l.making == design::Making::Made) {
        assert!(late(&lead.tag), "{} is somewhere in the order", lead.tag);
    }
}

#[test]
fn ids_of_steps_survive_a_change_elsewhere() {
    let ids = |design: &Design| -> Vec<String> {
        work_order(design).into_iter().flat_map(|stage| stage.steps).map(|step| step.id).collect()
    };
    let before = ids(&board());
    let mut rig = rigs::two_decks();
    rig.devices.iter_mut().find(|device| device.tag == "DLY").expect("it").title = "another delay".into();
    assert_eq!(before, ids(&derive(rig, Limits::default())));
}
