//! Devices and their parts.

use quantity::{Length, Volts};
use rig::{
    AtVolts, Bank, Control, Device, Fasten, Insert, Known, Loop, Midi, Outlet, Place, Port, PortRole,
    PowerNeed, Provenance, Setting, Signal, Size, Switch,
};

use super::node::{Body, Node};
use super::overlay::overlay;
use super::reader::{Gone, Reader};
use crate::problem::{Problem, shown};

impl Reader<'_> {
    pub(super) fn device(&mut self, tag: &str, node: &Node) -> Device {
        let node = &super::sockets::written_out(node);
        let outlets: Vec<Outlet> =
            present(node, "outlet").map(|(name, node)| self.outlet(name, node)).collect();
        let mut ports: Vec<Port> = present(node, "port").map(|(name, node)| self.port(name, node)).collect();
        self.keep_gone(tag, node);
        for (name, outlet) in present(node, "outlet") {
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
            role: node.word("role").unwrap_or_default(),
            owner: node.text("owner"),
            serial: node.text("serial"),
            note: node.text("note"),
            size: node.get("size").map_or_else(Known::default, size),
            corner: node.plain("corner").unwrap_or(Length::ZERO),
            knobs: node.known("knobs"),
            treadle: node.get("treadle").map(|_| node.known("treadle")),
            bracket: node.known("bracket"),
            mass: node.known("mass"),
            switches: present(node, "switch").map(|(name, node)| self.switch(name, node)).collect(),
            controls: node.get("controls").map(|_| {
                let named = node.named("controls").iter();
                named
                    .map(|(name, at)| Control {
                        name: name.clone(),
                        at: at.as_text().unwrap_or_default().trim().to_owned(),
                    })
                    .collect()
            }),
            inserts: present(node, "insert")
                .map(|(name, node)| self.insert(tag, name, node, &ports))
                .collect(),
            loops: present(node, "loop")
                .map(|(name, node)| {
                    let (send, back) = self.pair(tag, ("loop", name), node, &ports);
                    Loop { name: name.clone(), send, back }
                })
                .collect(),
            ports,
            signal: node.get("signal").map(|node| self.signal(tag, node)).unwrap_or_default(),
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
            fasten: self.fasten_of(node).as_ref().map(|node| self.fasten(tag, node)),
            place: node.get("place").map(place),
            outside: node.switch("outside"),
        }
    }

    /// What holds a device: as it or its kind says, else as the shop does it. Where it says how, the shop only adds on
    /// which side the hooks are.
    fn fasten_of(&self, node: &Node) -> Option<Node> {
        // What hangs under a deck hangs in a bracket, unless it says otherwise itself.
        let hangs = node.get("place").is_some_and(|place| place.switch("under"));
        let on_board = !node.switch("outside") && !hangs && node.text("role").as_deref() != Some("panel");
        let shop = self.fasten.as_ref().filter(|_| on_board);
        let (Some(own), Some(shop)) = (node.get("fasten"), shop) else {
            return node.get("fasten").or(shop).cloned();
        };
        if own.get("type").is_none() {
            return Some(overlay(shop, own));
        }
        let mut own = own.clone();
        if let (Body::Table(entries), Some(hooks)) = (&mut own.body, shop.get("hooks"))
            && !entries.iter().any(|(key, _)| key == "hooks")
        {
            entries.push(("hooks".to_owned(), hooks.clone()));
        }
        Some(own)
    }

    /// What holds a device; nothing holds nothing.
    fn fasten(&mut self, tag: &str, node: &Node) -> Fasten {
        let held = fasten(node);
        if held.count.value == Some(0) {
            let at = node.get("count").map_or(&node.at, |count| &count.at).clone();
            let message = format!("{} is held by none", shown(tag));
            self.problems
                .push(Problem::new(at, message).help("write how many, `\"unknown\"` where nobody knows yet"));
        }
        held
    }

    fn switch(&mut self, name: &str, node: &Node) -> Switch {
        let mut side = |key: &str| {
            node.plain(key).unwrap_or_else(|| {
                if node.get(key).is_none() {
                    self.problems.push(
                        Problem::new(
                            node.at.clone(),
                            format!("`{key}` is missing in switch {}", shown(name)),
                        )
                        .help("a foot switch has both `x` and `y`, from the body's front left corner"),
                    );
                }
                Length::ZERO
            })
        };
        Switch { name: name.to_owned(), x: side("x"), y: side("y"), does: node.text("does") }
    }

    /// Remembers the ports and outlets that a document takes away from a kind, for who still refers to them.
    fn keep_gone(&mut self, tag: &str, node: &Node) {
        for key in ["port", "outlet"] {
            for (name, node) in node.named(key).iter().filter(|(_, node)| is_absent(node)) {
                let at = node.get("absent").map_or(&node.at, |absent| &absent.at).clone();
                let is_inlet = node.text("role").as_deref() == Some("power");
                self.gone.insert((tag.to_owned(), name.clone()), Gone { key, at, is_inlet });
            }
        }
    }

    fn port(&mut self, name: &str, node: &Node) -> Port {
        Port {
            name: name.to_owned(),
            legend: node.text("legend").filter(|legend| !legend.trim().is_empty()),
            role: node.known_word("role"),
            connector: self.connector(node.get("connector")),
            face: node.known_word("face"),
            offset: node.known("offset"),
            height: node.known("height"),
            z: node.known("z"),
            z_bypassed: node.known("z_bypassed"),
            capacitance: node.known("capacitance"),
            coupling: node.known("coupling"),
            service: node.switch("service"),
            level: node.known("level"),
            wiper: node.known_word("wiper"),
            track: node.known("track"),
            midi_jack: node.known_word("midi_jack"),
            insulated: node.known_switch("insulated"),
            lifted: node.known_switch("lifted"),
            phantom_safe: node.known_switch("phantom_safe"),
            behind: node.known("behind"),
            inside: node.word("inside"),
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
            nature: node.known_word("type"),
            settings,
            set,
            sign: node.known_word("sign"),
            isolation: node.known_word("isolation"),
            bank: node.text("bank"),
            parallel: node.known_switch("parallel"),
            series: node.known_switch("series"),
        }
    }

    /// What a device does to signal: turns are those of a passive transformer, and each voltage stands once.
    fn signal(&mut self, tag: &str, node: &Node) -> Signal {
        let signal = signal(node);
        let is_transformer = signal.passive && signal.transformer.value == Some(true);
        if let Some(turns) = node.get("turns").filter(|_| !signal.turns.is_unknown() && !is_transformer) {
            let message = format!("{} has `turns`, and is no passive transformer", shown(tag));
            let help = "write `passive = true` and `transformer = true`, or take `turns` out";
            self.problems.push(Problem::new(turns.at.clone(), message).help(help));
        }
        for (index, entry) in node.items("at").iter().enumerate() {
            let Some(volts) = entry.plain::<Volts>("volts") else { continue };
            let before = &node.items("at")[..index];
            if before.iter().any(|other| other.plain::<Volts>("volts") == Some(volts)) {
                let message = format!("{} has two entries at {volts}", shown(tag));
                let help = format!("write one entry at {volts}, with `gain` and `max_input` in it");
                self.problems.push(Problem::new(entry.at.clone(), message).help(help));
            }
            if entry.get("gain").is_none() && entry.get("max_input").is_none() {
                let message = format!("the entry of {} at {volts} says nothing", shown(tag));
                let help = "write `gain`, `max_input` or both, or take the entry out";
                self.problems.push(Problem::new(entry.at.clone(), message).help(help));
            }
        }
        signal
    }

    fn insert(&mut self, tag: &str, name: &str, node: &Node, ports: &[Port]) -> Insert {
        let (send, back) = self.pair(tag, ("insert", name), node, ports);
        let one_jack = !send.is_empty() && send == back;
        if let Some(wiring) = node.get("wiring").filter(|_| !one_jack) {
            let message = format!(
                "insert {} has a jack each for send and return; `wiring` is for one jack",
                shown(name)
            );
            self.say(&wiring.at, message);
        }
        if let Some(z) = node.get("return_z").filter(|_| !one_jack) {
            let message = format!(
                "insert {} has a jack each for send and return; `return_z` is for one jack, write `z` of the port that returns",
                shown(name)
            );
            self.say(&z.at, message);
        }
        if let Some(normal) = node.get("normal").filter(|node| one_jack && node.as_text() == Some("half")) {
            let problem = Problem::new(
                normal.at.clone(),
                format!(
                    "insert {} is on one jack; its plug cannot leave half the normal closed",
                    shown(name)
                ),
            );
            self.problems.push(problem.help("write `full` or `open`"));
        }
        let connector = ports.iter().find(|port| port.name == send).and_then(|port| port.connector.as_ref());
        if let Some(short) = connector.filter(|connector| one_jack && connector.contacts < 3) {
            let problem = Problem::new(
                node.at.clone(),
                format!(
                    "insert {} is on one jack, and {} is {}, which has {} contacts",
                    shown(name),
                    shown(&send),
                    shown(&short.id),
                    short.contacts
                ),
            );
            self.problems
                .push(problem.help(
                    "one jack that sends and returns wants tip, ring and sleeve: say which jack it is",
                ));
        }
        Insert {
            name: name.to_owned(),
            send,
            back,
            normal: node.known_word("normal"),
            wiring: node.known_word("wiring"),
            return_z: node.known("return_z"),
        }
    }

    fn pair(
        &mut self,
        tag: &str,
        (list, pair): (&str, &str),
        node: &Node,
        ports: &[Port],
    ) -> (String, String) {
        let mut read = |key: &str| {
            let name = node.text(key).unwrap_or_default();
            let at = node.get(key).map(|node| node.at.clone());
            if name.is_empty() {
                self.say(&node.at, format!("`{key}` is missing; write the name of a port"));
            } else if let Some(at) = at.filter(|_| !ports.iter().any(|port| port.name == name)) {
                let problem = if let Some(gone) = self.gone.get(&(tag.to_owned(), name.clone())) {
                    let message = format!(
                        "{list} {} of {} needs port {}, which is taken away here",
                        shown(pair),
                        shown(tag),
                        shown(&name)
                    );
                    Problem::new(gone.at.clone(), message).help(format!(
                        "take the {list} away too: `{list}.{} = {{ absent = true }}`",
                        shown(pair)
                    ))
                } else {
                    let names = ports.iter().map(|port| port.name.as_str()).collect::<Vec<_>>().join(", ");
                    let message =
                        format!("there is no port `{}` on this device; there are {names}", shown(&name));
                    Problem::new(at, message)
                };
                self.problems.push(problem);
            }
            name
        };
        (read("send"), read("return"))
    }
}

/// Named tables of a device, less those that the document takes away.
fn present<'a>(node: &'a Node, key: &str) -> impl Iterator<Item = &'a (String, Node)> {
    node.named(key).iter().filter(|(_, node)| !is_absent(node))
}

/// Whether the document takes away what the kind brings.
pub(super) fn is_absent(node: &Node) -> bool {
    node.switch("absent")
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
        bypass: node.known_word("bypass"),
        passive: node.switch("passive"),
        bare_pickup: node.known_switch("bare_pickup"),
        inverts: node.known_switch("inverts"),
        latency: node.known("latency"),
        gain: node.known("gain"),
        max_input: node.known("max_input"),
        at: node.items("at").iter().filter_map(at_volts).collect(),
        noise: node.known("noise"),
        coil: node.known_switch("coil"),
        aerial: node.known_switch("aerial"),
        tails: node.known_switch("tails"),
        transformer: node.known_switch("transformer"),
        turns: node.known("turns"),
        bleed: node.known("bleed"),
        travel: node.known("travel"),
    }
}

/// What a device does at one supply voltage.
fn at_volts(node: &Node) -> Option<AtVolts> {
    Some(AtVolts {
        volts: node.plain("volts")?,
        gain: node.get("gain").map(|_| node.known("gain")),
        max_input: node.get("max_input").map(|_| node.known("max_input")),
    })
}

fn power(node: &Node) -> PowerNeed {
    PowerNeed {
        nature: node.known_word("type"),
        volts: node.known("volts"),
        current: node.known("current"),
        surge: node.known("surge"),
        sign: node.known_word("sign"),
        class: node.known_word("class"),
        positive_ground: node.known_switch("positive_ground"),
        earthed: node.known_switch("earthed"),
        hertz: node.known_word("hertz"),
        has_selector: node.get("selector").is_some(),
        selector: node.known("selector"),
    }
}

fn fasten(node: &Node) -> Fasten {
    Fasten {
        kind: node.known_word("type"),
        count: node.known_count("count"),
        length: node.known("length"),
        width: node.known("width"),
        stated_area: node.known("area"),
        hooks: node.known_word("hooks"),
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
