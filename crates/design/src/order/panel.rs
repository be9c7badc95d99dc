//! Panels: plates marked, drilled and fitted, their loom soldered and metered, then fixed.

use ::build::What;
use rig::geometry::EndKind;
use rig::{Device, InsertWiring, Role};

use super::stage::{Stage, names};
use super::{power, rates};
use crate::panel::plates;
use crate::{Design, Lead, Making, Plate, spans};

pub(super) fn panel(design: &Design) -> Stage {
    let mut stage = Stage::new("panel", "Panel");
    for plate in plates(design) {
        self::plate(&plate, &mut stage);
    }
    for device in design.rig.devices.iter().filter(|device| device.role == Role::Panel) {
        loom(design, device, &mut stage);
        stage.place = None;
    }
    stage
}

/// A plate, from its template to its jacks.
fn plate(plate: &Plate, stage: &mut Stage) {
    let panel = plate.panel.as_str();
    stage.place = Some(panel.to_owned());
    let name = format!("{panel} {}", plate.face.word());
    let key = format!("{panel}:{}", plate.face.word());
    let holes = u32::try_from(plate.holes.len()).unwrap_or(u32::MAX);
    let screws: usize = plate.holes.iter().map(|hole| hole.fixings.len()).sum();
    let centres = holes + u32::try_from(screws).unwrap_or(u32::MAX);
    stage
        .act(format!("bar:{key}"), rates::BAR, format!("{name}: measure the template’s bar, 100 mm"))
        .about(panel)
        .hand(names(&["steel rule"]))
        .gives(What::Prepared, &format!("bar {key}"));
    stage
        .act(
            format!("glue:{key}"),
            rates::GLUE,
            format!("{name}: glue the template to the FRONT of the plate"),
        )
        .about(panel)
        .wants(What::Prepared, &format!("bar {key}"))
        .gives(What::Prepared, &format!("glue {key}"));
    stage
        .act(
            format!("punch:{key}"),
            rates::PUNCH + rates::CENTRE * centres,
            format!("{name}: punch {centres} centres, check with calliper"),
        )
        .about(panel)
        .hand(names(&["centre punch", "calliper"]))
        .tool("punch")
        .wants(What::Prepared, &format!("glue {key}"))
        .gives(What::Marked, &key);
    stage
        .act(
            format!("drill:{key}"),
            rates::DRILL * holes,
            format!("{name}: clamp it, eyes protected; pilot, then drill to size"),
        )
        .about(panel)
        .hand(names(&["drill", "clamps", "goggles"]))
        .tool("drill")
        .wants(What::Marked, &key)
        .gives(What::Drilled, &key);
    stage
        .act(
            format!("deburr:{key}"),
            rates::DEBURR * holes,
            format!("{name}: deburr both sides of every hole"),
        )
        .about(panel)
        .hand(names(&["countersink"]))
        .tool("countersink")
        .wants(What::Drilled, &key)
        .gives(What::Deburred, &key);
    stage
        .act(
            format!("jacks:{key}"),
            rates::JACK * holes,
            format!("{name}: fit jacks, insulated ones with both washers"),
        )
        .about(panel)
        .hand(names(&["nut driver"]))
        .tool("nut driver")
        .wants(What::Deburred, &key)
        .gives(What::Fitted, panel);
}

/// What is soldered behind the plates of a panel, its test, and the panel on the board.
fn loom(design: &Design, device: &Device, stage: &mut Stage) {
    let panel = device.tag.as_str();
    stage.place = Some(panel.to_owned());
    for lead in &design.leads {
        for (leg, end) in lead.ends.iter().enumerate() {
            if end.is_wired() && end.port.device == device.tag && lead.making == Making::Made {
                let id = format!("wire:{}:{}", lead.tag, end.port);
                let goes = lead.others(leg);
                let at = contact(device, lead, end);
                let text = format!("Solder {} to {at}{} (goes to {goes})", lead.part(leg), end.port);
                let step = stage.act(id, rates::WIRE, text);
                step.of([lead.tag.as_str()]).tool("iron").plugs(&lead.tag, &end.port);
                step.wants(What::Fitted, panel).wants(What::Metered, &lead.tag).gives(What::Wired, panel);
            }
        }
    }
    let behind = signal::Contacts::new(&design.rig);
    for (from, to) in behind.wires().iter().filter(|(from, _)| from.device == device.tag) {
        let text = format!(
            "Solder a piece of wire behind the plate from {from} to {to}, signal to signal; it is in no lead"
        );
        let step = stage.act(format!("wire:{from}:{to}"), rates::WIRE, text);
        step.hand(names(&["hook-up wire"])).tool("iron").wants(What::Fitted, panel).gives(What::Wired, panel);
    }
    let soldered: Vec<&str> = design
        .leads
        .iter()
        .filter(|lead| lead.making == Making::Made)
        .filter(|lead| lead.ends.iter().any(|end| end.is_wired() && end.port.device == device.tag))
        .map(|lead| lead.tag.as_str())
        .collect();
    if !soldered.is_empty() {
        let text = format!(
            "Meter what is soldered to {}, from each jack to the other end: {}; fill in the test sheet",
            device.tag,
            spans(&soldered)
        );
        let minutes = rates::METER * u32::try_from(soldered.len()).unwrap_or(u32::MAX);
        let step = stage.act(format!("meter:panel:{panel}"), minutes, text);
        step.of(soldered.iter().copied()).tool("meter");
        step.wants(What::Wired, panel).gives(What::Metered, &format!("panel {panel}"));
    }
    power::terminals(design, device, stage);
    let step = stage.act(format!("fix:{panel}"), rates::FIX, format!("Fix {panel} to the board"));
    step.stands(panel).at("board");
    step.wants(What::Fitted, panel).wants(What::Wired, panel).wants(What::Earthed, panel);
    step.wants(What::Metered, &format!("panel {panel}"));
}

/// The contact of a jack that both sends and returns which a lead is soldered to: `the ring of `. Nothing where the jack
/// has one signal contact, or the lead has legs for both.
fn contact(device: &Device, lead: &Lead, end: &crate::LeadEndAt) -> &'static str {
    let insert = device.insert_on_jack(&end.port.port).filter(|_| !lead.is_joined());
    let Some(insert) = insert else { return "" };
    // What arrives at a panel's jack goes out of it to the device at the insert: it is on the contact that sends.
    match (insert.wiring.value, end.kind) {
        (Some(InsertWiring::TipSend), EndKind::To) | (Some(InsertWiring::RingSend), EndKind::From) => {
            "the tip of "
        }
        (Some(InsertWiring::RingSend), EndKind::To) | (Some(InsertWiring::TipSend), EndKind::From) => {
            "the ring of "
        }
        (None, _) => "tip or ring, which nobody has said yet, of ",
    }
}
