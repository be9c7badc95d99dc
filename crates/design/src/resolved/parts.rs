//! Limits, ends, runs, leads, loads and masses.

use indexmap::IndexMap;
use quantity::{Farads, Grams, Milliamps, Ohms};
use rig::geometry::EndKind;
use rig::{LIMITS, LimitValue, Limits, Run, Sink, Source};

use super::wire::{self, Given, known_mm, mm};
use crate::{Design, Lead, LeadEndAt, Mass, OutletLoad};

pub(super) fn limits(limits: &Limits) -> IndexMap<String, f64> {
    let mut out = IndexMap::new();
    for limit in LIMITS {
        let Some(value) = limits.get(limit.key) else { continue };
        let (unit, number) = match value {
            LimitValue::Length(length) => ("mm", mm(length)),
            LimitValue::Ratio(ratio) => ("ratio", ratio.get()),
            LimitValue::Decibels(level) => ("db", level.get()),
            LimitValue::Ohms(ohms) => ("ohm", ohms.get()),
            LimitValue::Seconds(seconds) => ("s", seconds.get()),
            LimitValue::Grams(grams) => ("g", grams.get()),
            LimitValue::Milliamps(current) => ("ma", current.get()),
            LimitValue::Watts(watts) => ("w", watts.get()),
            LimitValue::Area(area) => ("cm2", area.get()),
            LimitValue::Devices(devices) => ("devices", devices.get()),
        };
        out.insert(format!("{}_{unit}", limit.key), number);
    }
    out
}

pub(super) fn source(source: &Source) -> wire::Source<'_> {
    let pickup = &source.pickup;
    let kind = |kind| match kind {
        rig::PickupKind::Coil => "coil",
        rig::PickupKind::Piezo => "piezo",
        rig::PickupKind::Active => "active",
    };
    wire::Source {
        id: &source.id,
        title: &source.title,
        kind: Given::of(pickup.kind, kind),
        inductance_h: Given::of(pickup.inductance, quantity::Henries::get),
        resistance_ohm: Given::of(pickup.resistance, Ohms::get),
        capacitance_f: Given::of(pickup.capacitance, Farads::get),
        volume_pot_ohm: Given::of(pickup.volume_pot, Ohms::get),
        tone_pot_ohm: Given::of(pickup.tone_pot, Ohms::get),
        tone_capacitor_f: Given::of(pickup.tone_capacitor, Farads::get),
        lead_mm: known_mm(source.lead),
        cable: source.cable.as_ref().map(|cable| cable.id.as_str()),
    }
}

pub(super) fn sink(sink: &Sink) -> wire::Sink<'_> {
    wire::Sink {
        id: &sink.id,
        title: &sink.title,
        z_ohm: Given::of(sink.z, Ohms::get),
        lead_mm: known_mm(sink.lead),
        cable: sink.cable.as_ref().map(|cable| cable.id.as_str()),
        earthed: Given::of(sink.earthed, |earthed| earthed),
        phantom: Given::of(sink.phantom, |phantom| phantom),
    }
}

pub(super) fn run(run: &Run) -> wire::Run<'_> {
    let stops = run.stops.iter().map(|stop| wire::Stop {
        text: &stop.text,
        arrives: stop.arrives.as_ref().map(ToString::to_string),
        leaves: stop.leaves.as_ref().map(ToString::to_string),
    });
    wire::Run { name: &run.name, carries: run.carries.word(), stops: stops.collect() }
}

/// Where a lead comes from, in a word.
fn making(lead: &Lead) -> &'static str {
    match lead.making {
        rig::Making::Made => "made",
        rig::Making::Bought => "bought",
        rig::Making::Captive => "captive",
        rig::Making::Theirs => "theirs",
    }
}

pub(super) fn lead<'a>(design: &'a Design, lead: &'a Lead) -> wire::Lead<'a> {
    let wiring = crate::wiring(&design.rig, lead);
    let contact =
        |(end, contact): (usize, crate::Contact)| format!("{} {}", lead.ends[end].port, contact.word());
    let wiring = wiring.iter().map(|wire| wire::Wire { from: contact(wire.from), to: contact(wire.to) });
    wire::Lead {
        tag: &lead.tag,
        run: lead.run.as_deref(),
        class: lead.class.word(),
        issued: lead.issued,
        rests_on: crate::rests_on(design, lead).iter().map(ToString::to_string).collect(),
        shape: lead.shape.word(),
        making: making(lead),
        from: lead.words_of(EndKind::From),
        to: lead.words_of(EndKind::To),
        ends: lead.ends.iter().enumerate().map(|(leg, at)| end(lead, leg, at)).collect(),
        wiring: wiring.collect(),
        cable: lead.cable.as_ref().map(|cable| cable.id.as_str()),
        straight_mm: known_mm(lead.straight),
        cut_mm: known_mm(lead.cut),
        outside: lead.outside,
        through: lead.through.iter().map(ToString::to_string).collect(),
        sleeves: crate::sleeves(&lead.tag).into_iter().map(crate::Colour::letters).collect(),
    }
}

fn end<'a>(lead: &'a Lead, leg: usize, end: &'a LeadEndAt) -> wire::End<'a> {
    wire::End {
        leg: lead.part(leg),
        port: end.port.to_string(),
        end: if end.kind == EndKind::From { "from" } else { "to" },
        fitting: end.fitting.word(),
        plug: end.plug.plug.as_ref().filter(|_| end.has_plug()).map(|plug| plug.id.as_str()),
        cut_mm: lead.legs.get(leg).map(|leg| known_mm(leg.cut)),
    }
}

pub(super) fn outlet_load(load: &OutletLoad) -> wire::OutletLoad<'_> {
    wire::OutletLoad {
        outlet: load.outlet.to_string(),
        devices: &load.devices,
        load_ma: Given::of(load.load, Milliamps::get),
        limit_ma: Given::of(load.limit, Milliamps::get),
    }
}

pub(super) fn mass(mass: &Mass) -> wire::Mass<'_> {
    let items = mass
        .items
        .iter()
        .map(|item| wire::MassItem { name: &item.name, mass_g: Given::of(item.mass, Grams::get) });
    wire::Mass {
        bare_g: mass.bare.get(),
        cased_g: mass.cased.get(),
        from: mass.from.word(),
        items: items.collect(),
    }
}
