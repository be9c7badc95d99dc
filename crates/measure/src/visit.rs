//! Every value of a rig that the checks may read, with its address and what it belongs to.

use finding::Field;
use rig::{Cable, Connector, Device, PlugKind, PortRole, Rig};

use crate::cell::{Cell, Side};

/// What a value acts on: which rules have to be asked again when it is another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Acts {
    /// Boxes, and with them how leads run.
    Space,
    /// Thickness of cable and what it loses, plugs' inner length: leads as they run.
    Lead,
    /// What arrives where.
    Signal,
    /// What feeds what.
    Power,
    /// What has to be carried.
    Mass,
}

/// Where a value stands.
pub(crate) struct Spot<'a> {
    /// The outermost parts of its address.
    pub(crate) list: &'static str,
    pub(crate) id: &'a str,
    /// A named thing below, such as a jack.
    pub(crate) below: Option<(&'static str, &'a str)>,
    /// The last part.
    pub(crate) key: &'static str,
    pub(crate) acts: Acts,
    /// Words by which the class of the thing is known: its kind, then what it is called.
    pub(crate) class: [&'a str; 2],
    /// Whether a lead or a run uses it; a jack that nothing goes into is not.
    pub(crate) role: &'static str,
}

impl Spot<'_> {
    /// Its address in the document.
    pub(crate) fn field(&self) -> Field {
        match (self.list, self.below) {
            ("board", Some((list, name))) => Field::new(["board", list, name, self.key]),
            ("board", None) => {
                Field::new(["board"].into_iter().chain(self.key.split('.')).filter(|part| !part.is_empty()))
            }
            ("mass", _) => Field::new(["mass", self.id]),
            (list, Some((below, name))) => Field::of(list, self.id, below).below(name).below(self.key),
            (list, None) => Field::of(list, self.id, self.key),
        }
    }

    /// The key under which its plausible range stands.
    pub(crate) fn range_key(&self) -> String {
        match (self.list, self.below) {
            ("device", None) => self.key.to_owned(),
            ("device", Some((below, _))) => format!("{below}.{}", self.key),
            (list, Some((below, _))) => format!("{list}.{below}.{}", self.key),
            (list, None) => format!("{list}.{}", self.key),
        }
    }
}

type Each<'e> = &'e mut dyn FnMut(&Spot<'_>, &mut dyn Cell);

/// Calls `each` with every value, in an order that the rig alone decides. A plug or a cable that is used often comes
/// often, each time under the same address.
pub(crate) fn visit(rig: &mut Rig, each: Each<'_>) {
    let board = &mut rig.board;
    let kind = board.kind.clone().unwrap_or_default();
    let mut of_board = |key: &'static str, acts, cell: &mut dyn Cell, below: Option<(&'static str, &str)>| {
        each(&Spot { list: "board", id: "", below, key, acts, class: [&kind, ""], role: "" }, cell);
    };
    of_board("mass", Acts::Mass, &mut board.mass, None);
    if let Some(lid) = &mut board.lid {
        of_board("lid.inside_height", Acts::Space, &mut lid.inside_height, None);
    }
    if let Some(case) = &mut board.case {
        of_board("case.mass", Acts::Mass, &mut case.mass, None);
        of_board("case.inside_width", Acts::Space, &mut case.inside_width, None);
        of_board("case.inside_depth", Acts::Space, &mut case.inside_depth, None);
        of_board("case.outside_width", Acts::Mass, &mut case.outside_width, None);
        of_board("case.outside_depth", Acts::Mass, &mut case.outside_depth, None);
        of_board("case.outside_height", Acts::Mass, &mut case.outside_height, None);
    }
    for deck in &mut board.decks {
        let name = deck.name.clone();
        of_board("clear_below", Acts::Space, &mut deck.clear_below, Some(("deck", &name)));
    }
    for device in &mut rig.devices {
        self::device(device, each);
    }
    for source in &mut rig.sources {
        let id = source.id.clone();
        let title = source.title.to_lowercase();
        let mut put = |key, cell: &mut dyn Cell| {
            each(
                &Spot {
                    list: "source",
                    id: &id,
                    below: None,
                    key,
                    acts: Acts::Signal,
                    class: ["", &title],
                    role: "",
                },
                cell,
            );
        };
        put("lead", &mut source.lead);
        let pickup = &mut source.pickup;
        put("electrics.inductance", &mut pickup.inductance);
        put("electrics.resistance", &mut pickup.resistance);
        put("electrics.capacitance", &mut pickup.capacitance);
        put("electrics.volume_pot", &mut pickup.volume_pot);
        put("electrics.tone_pot", &mut pickup.tone_pot);
        put("electrics.tone_capacitor", &mut pickup.tone_capacitor);
        put("electrics.peak", &mut pickup.peak);
        source.plug.iter_mut().for_each(|plug| self::plug(plug, each));
        source.cable.iter_mut().for_each(|cable| self::cable(cable, each));
    }
    for sink in &mut rig.sinks {
        let is_amp = sink.is_amp();
        let id = sink.id.clone();
        let title = sink.title.to_lowercase();
        let mut put = |key, cell: &mut dyn Cell| {
            each(
                &Spot {
                    list: "sink",
                    id: &id,
                    below: None,
                    key,
                    acts: Acts::Signal,
                    class: ["", &title],
                    role: "",
                },
                cell,
            );
        };
        put("z", &mut sink.z);
        put("lead", &mut sink.lead);
        put("earthed", &mut sink.earthed);
        // An amp puts none on its jack.
        if !is_amp {
            put("phantom", &mut sink.phantom);
        }
        sink.plug.iter_mut().for_each(|plug| self::plug(plug, each));
        sink.cable.iter_mut().for_each(|cable| self::cable(cable, each));
    }
    for (name, mass) in &mut rig.extra_mass {
        let spot = Spot {
            list: "mass",
            id: name,
            below: None,
            key: "mass",
            acts: Acts::Mass,
            class: ["", ""],
            role: "",
        };
        each(&spot, mass);
    }
    rig.plugs.values_mut().for_each(|plug| self::plug(plug, each));
    rig.cables.values_mut().for_each(|cable| self::cable(cable, each));
    for run in &mut rig.runs {
        run.plug.iter_mut().for_each(|plug| self::plug(plug, each));
        run.cable.iter_mut().for_each(|cable| self::cable(cable, each));
    }
    for lead in &mut rig.leads {
        let specs = [&mut lead.from_plug, &mut lead.to_plug];
        let branches = lead.branches.iter_mut().map(|(_, spec)| spec);
        specs
            .into_iter()
            .chain(branches)
            .filter_map(|spec| spec.plug.as_mut())
            .for_each(|plug| self::plug(plug, each));
        lead.cable.iter_mut().for_each(|cable| self::cable(cable, each));
    }
}

/// The same with the values of one device alone.
pub(crate) fn visit_only(rig: &mut Rig, tag: Option<&str>, each: Each<'_>) {
    if let Some(device) = rig.devices.iter_mut().find(|device| Some(device.tag.as_str()) == tag) {
        self::device(device, each);
    }
}

fn plug(plug: &mut PlugKind, each: Each<'_>) {
    let id = plug.id.clone();
    let mut put = |key, acts, cell: &mut dyn Cell| {
        each(&Spot { list: "plug", id: &id, below: None, key, acts, class: ["", ""], role: "" }, cell);
    };
    put("depth", Acts::Space, &mut plug.depth);
    put("width", Acts::Space, &mut plug.width);
    put("tail", Acts::Space, &mut plug.tail);
    put("tail_width", Acts::Space, &mut plug.tail_width);
    put("bend", Acts::Space, &mut plug.bend);
    put("allowance", Acts::Lead, &mut plug.allowance);
    put("capacitance", Acts::Signal, &mut plug.capacitance);
}

fn cable(cable: &mut Cable, each: Each<'_>) {
    let id = cable.id.clone();
    let mut put = |key, acts, cell: &mut dyn Cell| {
        each(&Spot { list: "cable", id: &id, below: None, key, acts, class: ["", ""], role: "" }, cell);
    };
    put("diameter", Acts::Space, &mut cable.diameter);
    put("capacitance_per_metre", Acts::Signal, &mut cable.capacitance_per_metre);
    put("resistance_per_metre", Acts::Lead, &mut cable.resistance_per_metre);
}

fn connector(connector: &mut Connector, each: Each<'_>) {
    let id = connector.id.clone();
    let mut put = |key, acts, cell: &mut dyn Cell| {
        each(&Spot { list: "connector", id: &id, below: None, key, acts, class: ["", ""], role: "" }, cell);
    };
    put("nut", Acts::Space, &mut connector.nut);
    put("hole", Acts::Space, &mut connector.hole);
    put("hole_height", Acts::Space, &mut connector.hole_height);
    put("room", Acts::Space, &mut connector.room);
    connector.usual.iter_mut().for_each(|usual| plug(usual, each));
}

#[expect(clippy::too_many_lines, reason = "one line for each value of a device")]
fn device(device: &mut Device, each: Each<'_>) {
    let (tag, kind, title) =
        (device.tag.clone(), device.kind.clone().unwrap_or_default(), device.title.to_lowercase());
    let class = [kind.as_str(), title.as_str()];
    let role = device.role.word();
    let spot = |key, acts| Spot { list: "device", id: &tag, below: None, key, acts, class, role };
    for (axis, key) in ["size.width", "size.depth", "size.height"].into_iter().enumerate() {
        each(&spot(key, Acts::Space), &mut Side { size: &mut device.size, axis });
    }
    each(&spot("knobs", Acts::Space), &mut device.knobs);
    if let Some(treadle) = &mut device.treadle {
        each(&spot("treadle", Acts::Space), treadle);
    }
    if device.place.as_ref().is_some_and(|place| place.under) {
        each(&spot("bracket", Acts::Space), &mut device.bracket);
    }
    each(&spot("mass", Acts::Mass), &mut device.mass);
    each(&spot("total", Acts::Power), &mut device.total);
    each(&spot("efficiency", Acts::Power), &mut device.efficiency);
    for port in &mut device.ports {
        let name = port.name.clone();
        let role = port.role.value.map_or("", rig::PortRole::word);
        let at = |key, acts| Spot { below: Some(("port", &name)), role, ..spot(key, acts) };
        each(&at("offset", Acts::Space), &mut port.offset);
        each(&at("height", Acts::Space), &mut port.height);
        // Only a panel has room behind its wall that matters.
        if device.role == rig::Role::Panel {
            each(&at("behind", Acts::Space), &mut port.behind);
        }
        let is = |roles: &[PortRole]| port.role.value.is_none_or(|role| roles.contains(&role));
        let (takes, gives) = (is(&[PortRole::In, PortRole::Return]), is(&[PortRole::Out, PortRole::Send]));
        if takes || gives {
            each(&at("z", Acts::Signal), &mut port.z);
        }
        if takes || gives || is(&[PortRole::Through]) {
            each(&at("insulated", Acts::Signal), &mut port.insulated);
        }
        if gives {
            each(&at("phantom_safe", Acts::Signal), &mut port.phantom_safe);
            each(&at("level", Acts::Signal), &mut port.level);
        }
        if is(&[PortRole::Expression]) {
            each(&at("wiper", Acts::Signal), &mut port.wiper);
            each(&at("track", Acts::Signal), &mut port.track);
        }
        if is(&[PortRole::MidiIn, PortRole::MidiOut, PortRole::MidiThru]) {
            each(&at("midi_jack", Acts::Signal), &mut port.midi_jack);
        }
        port.connector.iter_mut().for_each(|connector| self::connector(connector, each));
    }
    for insert in &mut device.inserts {
        let name = insert.name.clone();
        let at = |key, acts| Spot { below: Some(("insert", &name)), ..spot(key, acts) };
        each(&at("normal", Acts::Signal), &mut insert.normal);
    }
    let signal = &mut device.signal;
    each(&spot("signal.bypass", Acts::Signal), &mut signal.bypass);
    each(&spot("signal.latency", Acts::Signal), &mut signal.latency);
    each(&spot("signal.gain", Acts::Signal), &mut signal.gain);
    each(&spot("signal.max_input", Acts::Signal), &mut signal.max_input);
    each(&spot("signal.bare_pickup", Acts::Signal), &mut signal.bare_pickup);
    each(&spot("signal.inverts", Acts::Signal), &mut signal.inverts);
    each(&spot("signal.coil", Acts::Signal), &mut signal.coil);
    each(&spot("signal.aerial", Acts::Signal), &mut signal.aerial);
    each(&spot("signal.tails", Acts::Signal), &mut signal.tails);
    each(&spot("signal.transformer", Acts::Signal), &mut signal.transformer);
    each(&spot("signal.bleed", Acts::Signal), &mut signal.bleed);
    if let Some(midi) = &mut device.midi {
        each(&spot("midi.omni", Acts::Signal), &mut midi.omni);
        each(&spot("midi.gap", Acts::Signal), &mut midi.gap);
    }
    let power = &mut device.power;
    each(&spot("power.type", Acts::Power), &mut power.nature);
    each(&spot("power.volts", Acts::Power), &mut power.volts);
    each(&spot("power.current", Acts::Power), &mut power.current);
    each(&spot("power.surge", Acts::Power), &mut power.surge);
    each(&spot("power.sign", Acts::Power), &mut power.sign);
    each(&spot("power.class", Acts::Power), &mut power.class);
    each(&spot("power.positive_ground", Acts::Power), &mut power.positive_ground);
    for outlet in &mut device.outlets {
        let name = outlet.name.clone();
        let at = |key, acts| Spot { below: Some(("outlet", &name)), ..spot(key, acts) };
        each(&at("set", Acts::Power), &mut outlet.set);
        each(&at("sign", Acts::Power), &mut outlet.sign);
        each(&at("isolation", Acts::Power), &mut outlet.isolation);
        each(&at("parallel", Acts::Power), &mut outlet.parallel);
        each(&at("series", Acts::Power), &mut outlet.series);
        for setting in &mut outlet.settings {
            each(&at("current", Acts::Power), &mut setting.current);
        }
    }
    for bank in &mut device.banks {
        let name = bank.name.clone();
        let at = |key, acts| Spot { below: Some(("bank", &name)), ..spot(key, acts) };
        each(&at("current", Acts::Power), &mut bank.current);
    }
    let Some(feed) = &mut device.feed else { return };
    if let Some(adaptor) = &mut feed.adaptor {
        for (axis, key) in ["feed.adaptor.size.width", "feed.adaptor.size.depth", "feed.adaptor.size.height"]
            .into_iter()
            .enumerate()
        {
            each(&spot(key, Acts::Space), &mut Side { size: &mut adaptor.size, axis });
        }
        each(&spot("feed.adaptor.mass", Acts::Mass), &mut adaptor.mass);
        each(&spot("feed.adaptor.lead", Acts::Power), &mut adaptor.lead);
    }
    let specs = [&mut feed.device_plug, &mut feed.outlet_plug];
    specs.into_iter().filter_map(|spec| spec.plug.as_mut()).for_each(|plug| self::plug(plug, each));
    feed.barrel_adaptor.iter_mut().for_each(|plug| self::plug(plug, each));
}
