//! Devices and their parts.

use quantity::{Length, Volts};
use rig::{
    Bank, Bypass, Class, Device, Face, Fitting, Insert, Isolation, Known, Loop, Midi, MidiJack, Nature,
    Normal, Outlet, Place, Port, PortRole, PowerNeed, Provenance, Role, Setting, Sign, Signal, Size, Switch,
    Wiper,
};

use super::node::Node;
use super::resolve::Reader;

pub(super) const FACES: &[(&str, Face)] =
    &[("front", Face::Front), ("right", Face::Right), ("back", Face::Back), ("left", Face::Left)];

const SIGNS: &[(&str, Sign)] =
    &[("centre-negative", Sign::CentreNegative), ("centre-positive", Sign::CentrePositive)];

const INSIDE: &[(&str, Fitting)] = &[
    ("plugged", Fitting::Plugged),
    ("soldered", Fitting::Soldered),
    ("terminals", Fitting::Terminals),
    ("captive", Fitting::Captive),
];

const ROLES: &[(&str, PortRole)] = &[
    ("in", PortRole::In),
    ("out", PortRole::Out),
    ("send", PortRole::Send),
    ("return", PortRole::Return),
    ("through", PortRole::Through),
    ("power", PortRole::Power),
    ("mains", PortRole::Mains),
    ("expression", PortRole::Expression),
    ("control", PortRole::Control),
    ("midi-in", PortRole::MidiIn),
    ("midi-out", PortRole::MidiOut),
    ("midi-thru", PortRole::MidiThru),
    ("usb", PortRole::Usb),
];

pub(super) fn face(words: &[(&str, Face)], text: &str) -> Option<Face> {
    words.iter().find(|(word, _)| *word == text).map(|(_, face)| *face)
}

impl Reader<'_> {
    pub(super) fn device(&mut self, tag: &str, node: &Node) -> Device {
        let outlets: Vec<Outlet> =
            node.named("outlet").iter().map(|(name, node)| self.outlet(name, node)).collect();
        let mut ports: Vec<Port> =
            node.named("port").iter().map(|(name, node)| self.port(name, node)).collect();
        for (name, outlet) in node.named("outlet") {
            if ports.iter().any(|port| port.name == *name) {
                self.say(
                    &outlet.at,
                    format!("{tag} has both a port and an outlet `{name}`; give one another name"),
                );
                continue;
            }
            let mut port = self.port(name, outlet);
            port.role = Known::new(PortRole::Outlet, Provenance::Printed);
            port.may_stay_empty = true;
            ports.push(port);
        }
        Device {
            tag: tag.to_owned(),
            title: node.text("title").unwrap_or_default(),
            kind: node.text("kind"),
            role: match node.text("role").as_deref() {
                Some("brick") => Role::Brick,
                Some("panel") => Role::Panel,
                Some("strip") => Role::Strip,
                Some("other") => Role::Other,
                _ => Role::Pedal,
            },
            owner: node.text("owner"),
            serial: node.text("serial"),
            note: node.text("note"),
            size: node.get("size").map_or_else(Known::default, size),
            corner: node.plain("corner").unwrap_or(Length::ZERO),
            knobs: node.known("knobs"),
            treadle: node.get("treadle").map(|_| node.known("treadle")),
            bracket: node.known("bracket"),
            mass: node.known("mass"),
            switches: node
                .named("switch")
                .iter()
                .map(|(name, node)| Switch {
                    name: name.clone(),
                    x: node.plain("x").unwrap_or(Length::ZERO),
                    y: node.plain("y").unwrap_or(Length::ZERO),
                })
                .collect(),
            inserts: node
                .named("insert")
                .iter()
                .map(|(name, node)| self.insert(name, node, &ports))
                .collect(),
            loops: node
                .named("loop")
                .iter()
                .map(|(name, node)| {
                    let (send, back) = self.pair(node, &ports);
                    Loop { name: name.clone(), send, back }
                })
                .collect(),
            ports,
            signal: node.get("signal").map(signal).unwrap_or_default(),
            power: node.get("power").map(power).unwrap_or_default(),
            feed: None,
            outlets,
            banks: node
                .named("bank")
                .iter()
                .map(|(name, node)| Bank { name: name.clone(), current: node.known("current") })
                .collect(),
            total: node.known("total"),
            efficiency: node.known("efficiency"),
            midi: node.get("midi").map(midi),
            place: node.get("place").map(place),
            outside: node.switch("outside"),
        }
    }

    fn port(&mut self, name: &str, node: &Node) -> Port {
        Port {
            name: name.to_owned(),
            role: node.known_word("role", ROLES),
            connector: self.connector(node.get("connector")),
            face: node.known_word("face", FACES),
            offset: node.known("offset"),
            height: node.known("height"),
            z: node.known("z"),
            service: node.switch("service"),
            level: node.known("level"),
            wiper: node.known_word("wiper", &[("tip", Wiper::Tip), ("ring", Wiper::Ring)]),
            track: node.known("track"),
            midi_jack: node.known_word(
                "midi_jack",
                &[("type-a", MidiJack::TypeA), ("type-b", MidiJack::TypeB), ("tip-only", MidiJack::TipOnly)],
            ),
            insulated: node.known_switch("insulated"),
            lifted: node.known_switch("lifted"),
            phantom_safe: node.known_switch("phantom_safe"),
            behind: node.known("behind"),
            inside: node.text("inside").and_then(|word| {
                INSIDE.iter().find(|(known, _)| *known == word).map(|(_, fitting)| *fitting)
            }),
            may_stay_empty: node.switch("may_stay_empty"),
        }
    }

    fn outlet(&mut self, name: &str, node: &Node) -> Outlet {
        let settings: Vec<Setting> = node
            .items("setting")
            .iter()
            .filter_map(|item| Some(Setting { volts: item.plain("volts")?, current: item.known("current") }))
            .collect();
        let mut set: Known<Volts> = node.known("set");
        if set.is_unknown() && node.get("set").is_none() && settings.len() == 1 {
            set = settings
                .first()
                .map_or_else(Known::default, |setting| Known::new(setting.volts, Provenance::Printed));
        }
        if let (Some(volts), Some(at)) = (set.value, node.get("set").map(|node| &node.at))
            && !settings.is_empty()
            && !settings.iter().any(|setting| setting.volts == volts)
        {
            let choices =
                settings.iter().map(|setting| setting.volts.to_string()).collect::<Vec<_>>().join(", ");
            self.say(at, format!("outlet `{name}` is set to {volts}; it can be set to {choices}"));
        }
        Outlet {
            name: name.to_owned(),
            nature: node.known_word("type", &[("dc", Nature::Dc), ("ac", Nature::Ac)]),
            settings,
            set,
            sign: node.known_word("sign", SIGNS),
            isolation: node
                .known_word("isolation", &[("isolated", Isolation::Isolated), ("joined", Isolation::Joined)]),
            bank: node.text("bank"),
            parallel: node.known_switch("parallel"),
            series: node.known_switch("series"),
        }
    }

    fn insert(&mut self, name: &str, node: &Node, ports: &[Port]) -> Insert {
        let (send, back) = self.pair(node, ports);
        Insert {
            name: name.to_owned(),
            send,
            back,
            normal: node.known_word(
                "normal",
                &[("full", Normal::Full), ("half", Normal::Half), ("open", Normal::Open)],
            ),
        }
    }

    fn pair(&mut self, node: &Node, ports: &[Port]) -> (String, String) {
        let mut read = |key: &str| {
            let name = node.text(key).unwrap_or_default();
            if name.is_empty() {
                self.say(&node.at, format!("`{key}` is missing; write the name of a port"));
            } else if let Some(at) = node.get(key).map(|node| node.at.clone())
                && !ports.iter().any(|port| port.name == name)
            {
                let names = ports.iter().map(|port| port.name.as_str()).collect::<Vec<_>>().join(", ");
                self.say(
                    &at,
                    format!(
                        "there is no port `{}` on this device; there are {names}",
                        crate::problem::shown(&name)
                    ),
                );
            }
            name
        };
        (read("send"), read("return"))
    }
}

pub(super) fn size(node: &Node) -> Known<Size> {
    let (width, depth, height) = (node.known("width"), node.known("depth"), node.known("height"));
    match (width.value, depth.value, height.value) {
        (Some(w), Some(d), Some(h)) => {
            let from = width.from.max(depth.from).max(height.from);
            Known::new(Size { width: w, depth: d, height: h }, from)
        }
        _ => Known::default(),
    }
}

fn midi(node: &Node) -> Midi {
    Midi {
        channel: node.known_count("channel"),
        omni: node.known_switch("omni"),
        bytes: node.known_count("bytes"),
        gap: node.known("gap"),
    }
}

fn signal(node: &Node) -> Signal {
    Signal {
        bypass: node.known_word(
            "bypass",
            &[
                ("hard", Bypass::Hard),
                ("buffered", Bypass::Buffered),
                ("relay", Bypass::Relay),
                ("always-on", Bypass::AlwaysOn),
            ],
        ),
        passive: node.switch("passive"),
        bare_pickup: node.known_switch("bare_pickup"),
        inverts: node.known_switch("inverts"),
        latency: node.known("latency"),
        gain: node.known("gain"),
        max_input: node.known("max_input"),
        coil: node.known_switch("coil"),
        aerial: node.known_switch("aerial"),
        tails: node.known_switch("tails"),
        transformer: node.known_switch("transformer"),
        bleed: node.known("bleed"),
    }
}

fn power(node: &Node) -> PowerNeed {
    PowerNeed {
        nature: node.known_word(
            "type",
            &[("dc", Nature::Dc), ("ac", Nature::Ac), ("mains", Nature::Mains), ("none", Nature::None)],
        ),
        volts: node.known("volts"),
        current: node.known("current"),
        surge: node.known("surge"),
        sign: node.known_word("sign", SIGNS),
        class: node.known_word("class", &[("analogue", Class::Analogue), ("digital", Class::Digital)]),
        positive_ground: node.known_switch("positive_ground"),
    }
}

fn place(node: &Node) -> Place {
    Place {
        deck: node.text("deck").unwrap_or_default(),
        x: node.plain("x").unwrap_or(Length::ZERO),
        y: node.plain("y").unwrap_or(Length::ZERO),
        quarters: u8::try_from(node.count("turn").unwrap_or(0) / 90).unwrap_or(0),
        under: node.switch("under"),
        locked: node.switch("locked"),
    }
}
