//! Devices with their ports, feeds and outlets.

use quantity::{Decibels, Grams, Milliamps, Ohms, Ratio, Seconds, Turns, Volts, Watts};
use rig::geometry::{port_direction, port_point, standing};
use rig::{Adaptor, Device, Feed, Outlet, Port, Size};

use super::lengths::{known_mm, mm};
use super::wire::{self, Given};
use crate::Design;

pub(super) fn device<'a>(design: &'a Design, device: &'a Device) -> wire::Device<'a> {
    let rig = &design.rig;
    let switches = device.switches.iter().map(|switch| wire::Switch {
        name: &switch.name,
        x_mm: mm(switch.x),
        y_mm: mm(switch.y),
        does: switch.does.as_deref(),
    });
    let banks = device
        .banks
        .iter()
        .map(|bank| wire::Bank { name: &bank.name, current_ma: Given::of(bank.current, Milliamps::get) });
    wire::Device {
        tag: &device.tag,
        title: &device.title,
        kind: device.kind.as_deref(),
        role: format!("{:?}", device.role).to_lowercase(),
        outside: device.outside,
        size_mm: Given::of(device.size, size),
        corner_mm: mm(device.corner),
        knobs_mm: known_mm(device.knobs),
        treadle_mm: device.treadle.map(known_mm),
        bracket_mm: known_mm(device.bracket),
        mass_g: Given::of(device.mass, Grams::get),
        place: device.place.as_ref().map(place),
        base_mm: standing(rig, device).map(|at| mm(at.base)),
        switches: switches.collect(),
        controls: device.controls.as_ref().map(|controls| {
            controls.iter().map(|control| wire::Control { name: &control.name, at: &control.at }).collect()
        }),
        ports: device.ports.iter().map(|item| port(design, device, item)).collect(),
        signal: signal(rig, device),
        power: power(device),
        feed: device.feed.as_ref().map(feed),
        outlets: device.outlets.iter().map(outlet).collect(),
        banks: banks.collect(),
        total_w: Given::of(device.total, Watts::get),
        efficiency_ratio: Given::of(device.efficiency, Ratio::get),
    }
}

fn size(size: Size) -> [f64; 3] {
    [mm(size.width), mm(size.depth), mm(size.height)]
}

fn place(place: &rig::Place) -> wire::Place<'_> {
    wire::Place {
        deck: &place.deck,
        x_mm: mm(place.x),
        y_mm: mm(place.y),
        turn_deg: u32::from(place.quarters) * 90,
        under: place.under,
        locked: place.locked,
    }
}

fn signal(rig: &rig::Rig, device: &Device) -> wire::Signal {
    let signal = &device.signal;
    wire::Signal {
        bypass: Given::of(signal.bypass, rig::Bypass::word),
        passive: signal.passive,
        bare_pickup: Given::of(signal.bare_pickup, |wants| wants),
        inverts: Given::of(signal.inverts, |inverts| inverts),
        latency_s: Given::of(signal.latency, Seconds::get),
        gain_db: Given::of(rig.gain(device).value, Decibels::get),
        max_input_v: Given::of(rig.max_input(device).value, Volts::get),
        at: signal.at.iter().map(at_volts).collect(),
        noise_v: Given::of(signal.noise, Volts::get),
        turns_ratio: Given::of(signal.turns, Turns::ratio),
    }
}

fn at_volts(at: &rig::AtVolts) -> wire::AtVolts {
    wire::AtVolts {
        volts_v: at.volts.get(),
        gain_db: at.gain.map(|gain| Given::of(gain, Decibels::get)),
        max_input_v: at.max_input.map(|most| Given::of(most, Volts::get)),
    }
}

fn power(device: &Device) -> wire::Power {
    let power = &device.power;
    wire::Power {
        nature: Given::of(power.nature, rig::Nature::word),
        volts_v: Given::of(power.volts, |window| [window.low().get(), window.high().get()]),
        current_ma: Given::of(power.current, Milliamps::get),
        surge_ma: Given::of(power.surge, Milliamps::get),
        sign: Given::of(power.sign, rig::Sign::word),
        class: Given::of(power.class, |class| format!("{class:?}").to_lowercase()),
        positive_ground: Given::of(power.positive_ground, |positive| positive),
        hertz: Given::of(power.hertz, rig::MainsHertz::word),
        selector_v: Given::of(power.selector, Volts::get),
    }
}

fn feed(feed: &Feed) -> wire::Feed<'_> {
    wire::Feed {
        kind: feed.kind.word(),
        outlets: feed.outlets.iter().map(ToString::to_string).collect(),
        crossing: feed.crossing,
        locked: feed.locked,
        barrel_adaptor: feed.barrel_adaptor.as_ref().map(|plug| plug.id.as_str()),
        plug: feed.device_plug.plug.as_ref().map(plug),
        outlet_plug: feed.outlet_plug.plug.as_ref().map(plug),
        adaptor: feed.adaptor.as_ref().map(|adaptor| self::adaptor(adaptor)),
    }
}

pub(super) fn plug(plug: &rig::PlugKind) -> wire::FeedPlug<'_> {
    wire::FeedPlug { id: &plug.id, fits: plug.fits.iter().map(String::as_str).collect() }
}

fn adaptor(adaptor: &Adaptor) -> wire::Adaptor<'_> {
    wire::Adaptor {
        size_mm: Given::of(adaptor.size, size),
        prongs: adaptor.prongs.as_ref().map(|prongs| prongs.id.as_str()),
        prongs_left_mm: known_mm(adaptor.prongs_left),
        prongs_up_mm: known_mm(adaptor.prongs_up),
        lies: Given::of(adaptor.lies, rig::Lie::word),
        lead_mm: known_mm(adaptor.lead),
        shortened_mm: adaptor.shortened.map(mm),
        held: Given::of(adaptor.held, rig::Held::word),
        mass_g: Given::of(adaptor.mass, Grams::get),
    }
}

fn port<'a>(design: &Design, device: &Device, port: &'a Port) -> wire::Port<'a> {
    let connector = port.connector.as_ref();
    wire::Port {
        name: &port.name,
        role: Given::of(port.role, rig::PortRole::word),
        connector: connector.map(|connector| connector.id.as_str()),
        nut_mm: connector.map(|connector| known_mm(connector.nut)),
        hole_mm: connector.map(|connector| known_mm(connector.hole)),
        hole_height_mm: connector.map(|connector| known_mm(connector.hole_height)),
        face: Given::of(port.face, rig::Face::word),
        offset_mm: known_mm(port.offset),
        height_mm: known_mm(port.height),
        behind_mm: known_mm(port.behind),
        service: port.service,
        z_ohm: Given::of(port.z, Ohms::get),
        at_mm: port_point(&design.rig, device, &port.name).map(|point| point.map(mm)),
        looks: port_direction(device, &port.name).map(rig::Face::word),
    }
}

fn outlet(outlet: &Outlet) -> wire::Outlet<'_> {
    let settings = outlet.settings.iter().map(|setting| wire::Setting {
        volts_v: setting.volts.get(),
        current_ma: Given::of(setting.current, Milliamps::get),
    });
    wire::Outlet {
        name: &outlet.name,
        nature: Given::of(outlet.nature, rig::Nature::word),
        settings: settings.collect(),
        set_v: Given::of(outlet.set, Volts::get),
        sign: Given::of(outlet.sign, rig::Sign::word),
        isolation: Given::of(outlet.isolation, |isolation| format!("{isolation:?}").to_lowercase()),
        bank: outlet.bank.as_deref(),
        parallel: Given::of(outlet.parallel, |may| may),
        series: Given::of(outlet.series, |may| may),
    }
}
