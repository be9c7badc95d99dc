//! How many values of a rig are given, and how many of these only assumed.

use rig::{Cable, Device, Known, PlugKind, PlugSpec, Provenance, Rig};

/// The count of values by where they come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Count {
    /// Values that are there.
    pub given: usize,
    /// Those of them that are assumed.
    pub assumed: usize,
    /// Values that nobody knows yet.
    pub unknown: usize,
}

impl Count {
    fn add<T>(&mut self, value: &Known<T>) {
        if value.value.is_some() {
            self.given += 1;
            self.assumed += usize::from(value.from == Provenance::Assumed);
        } else {
            self.unknown += 1;
        }
    }

    fn plug(&mut self, plug: Option<&PlugKind>) {
        let Some(plug) = plug else { return };
        for length in [&plug.depth, &plug.width, &plug.tail, &plug.tail_width, &plug.bend, &plug.allowance] {
            self.add(length);
        }
        self.add(&plug.capacitance);
    }

    fn cable(&mut self, cable: Option<&Cable>) {
        let Some(cable) = cable else { return };
        self.add(&cable.diameter);
        self.add(&cable.capacitance_per_metre);
        self.add(&cable.resistance_per_metre);
    }
}

/// Counts every value of the rig. A plug or cable used on many leads counts once.
pub fn count(rig: &Rig) -> Count {
    let mut count = Count::default();
    let board = &rig.board;
    count.add(&board.mass);
    if let Some(lid) = &board.lid {
        count.add(&lid.inside_height);
    }
    if let Some(case) = &board.case {
        count.add(&case.mass);
        for length in [
            &case.inside_width,
            &case.inside_depth,
            &case.outside_width,
            &case.outside_depth,
            &case.outside_height,
        ] {
            count.add(length);
        }
    }
    for deck in &board.decks {
        count.add(&deck.clear_below);
    }
    for device in &rig.devices {
        of_device(&mut count, device);
    }
    for source in &rig.sources {
        count.add(&source.lead);
        let pickup = &source.pickup;
        count.add(&pickup.kind);
        count.add(&pickup.inductance);
        count.add(&pickup.capacitance);
        for ohms in [&pickup.resistance, &pickup.volume_pot, &pickup.tone_pot] {
            count.add(ohms);
        }
        count.add(&pickup.tone_capacitor);
        count.add(&pickup.peak);
    }
    for sink in &rig.sinks {
        count.add(&sink.z);
        count.add(&sink.lead);
        count.add(&sink.earthed);
        count.add(&sink.phantom);
    }
    for (_, mass) in &rig.extra_mass {
        count.add(mass);
    }
    let (plugs, cables) = kinds(rig);
    for plug in plugs {
        count.plug(Some(plug));
    }
    for cable in cables {
        count.cable(Some(cable));
    }
    count
}

/// Every plug and cable kind that the rig uses, once.
fn kinds(rig: &Rig) -> (Vec<&PlugKind>, Vec<&Cable>) {
    let feeds = rig.devices.iter().filter_map(|device| device.feed.as_ref());
    let specs: Vec<&PlugSpec> = rig
        .leads
        .iter()
        .flat_map(|lead| [&lead.from_plug, &lead.to_plug])
        .chain(feeds.flat_map(|feed| [&feed.device_plug, &feed.outlet_plug]))
        .collect();
    let mut plugs: Vec<&PlugKind> = Vec::new();
    let all = specs
        .into_iter()
        .filter_map(|spec| spec.plug.as_ref())
        .chain(rig.runs.iter().filter_map(|run| run.plug.as_ref()))
        .chain(rig.sources.iter().filter_map(|source| source.plug.as_ref()))
        .chain(rig.sinks.iter().filter_map(|sink| sink.plug.as_ref()));
    for plug in all {
        if plugs.iter().all(|known| known.id != plug.id) {
            plugs.push(plug);
        }
    }
    let mut cables: Vec<&Cable> = Vec::new();
    let all = rig
        .leads
        .iter()
        .filter_map(|lead| lead.cable.as_ref())
        .chain(rig.runs.iter().filter_map(|run| run.cable.as_ref()))
        .chain(rig.sources.iter().filter_map(|source| source.cable.as_ref()))
        .chain(rig.sinks.iter().filter_map(|sink| sink.cable.as_ref()));
    for cable in all {
        if cables.iter().all(|known| known.id != cable.id) {
            cables.push(cable);
        }
    }
    (plugs, cables)
}

/// Counts the values of one device.
pub fn count_device(device: &Device) -> Count {
    let mut count = Count::default();
    of_device(&mut count, device);
    count
}

fn of_device(count: &mut Count, device: &Device) {
    count.add(&device.size);
    count.add(&device.knobs);
    if let Some(treadle) = &device.treadle {
        count.add(treadle);
    }
    count.add(&device.bracket);
    count.add(&device.mass);
    count.add(&device.total);
    for port in &device.ports {
        count.add(&port.role);
        count.add(&port.face);
        count.add(&port.offset);
        count.add(&port.height);
        count.add(&port.z);
        count.add(&port.insulated);
        count.add(&port.phantom_safe);
        count.add(&port.behind);
        count.add(&port.level);
        count.add(&port.wiper);
        count.add(&port.track);
        count.add(&port.midi_jack);
    }
    let signal = &device.signal;
    count.add(&signal.bypass);
    count.add(&signal.latency);
    count.add(&signal.gain);
    count.add(&signal.max_input);
    for fact in [
        &signal.bare_pickup,
        &signal.inverts,
        &signal.coil,
        &signal.aerial,
        &signal.tails,
        &signal.transformer,
    ] {
        count.add(fact);
    }
    for at in &signal.at {
        at.gain.iter().for_each(|gain| count.add(gain));
        at.max_input.iter().for_each(|most| count.add(most));
    }
    // Few makers state these; that nobody did is no gap in the rig's record.
    if !signal.noise.is_unknown() {
        count.add(&signal.noise);
    }
    if !signal.turns.is_unknown() {
        count.add(&signal.turns);
    }
    count.add(&signal.bleed);
    if let Some(midi) = &device.midi {
        count.add(&midi.channel);
        count.add(&midi.omni);
        count.add(&midi.bytes);
        count.add(&midi.gap);
    }
    count.add(&device.efficiency);
    let power = &device.power;
    count.add(&power.nature);
    count.add(&power.volts);
    count.add(&power.current);
    count.add(&power.surge);
    count.add(&power.sign);
    count.add(&power.class);
    count.add(&power.positive_ground);
    for outlet in &device.outlets {
        count.add(&outlet.nature);
        count.add(&outlet.set);
        count.add(&outlet.sign);
        count.add(&outlet.isolation);
        count.add(&outlet.parallel);
        count.add(&outlet.series);
        for setting in &outlet.settings {
            count.add(&setting.current);
        }
    }
    for bank in &device.banks {
        count.add(&bank.current);
    }
}
