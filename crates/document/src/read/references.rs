//! What names something else must name something that is there.

use rig::{Adaptor, ConnectorFamily, FLOOR, Feed, FeedKind, LeadClass, Nature, PortRef, Rig};

use super::node::Node;
use super::reader::Reader;
use crate::problem::{Problem, nearest, shown};

impl Reader<'_> {
    /// Feeds: which outlets each device hangs on.
    pub(super) fn feeds(&mut self, tree: &Node, rig: &mut Rig) {
        for (index, (tag, node)) in tree.named("device").iter().enumerate() {
            let Some(node) = node.get("feed") else { continue };
            self.feed_without_inlet(tag, node, rig);
            let kind = node.word("type").unwrap_or(FeedKind::Single);
            let mut outlets = Vec::new();
            for item in node.items("outlets") {
                if let Some(outlet) = self.outlet_named(rig, item) {
                    outlets.push(outlet);
                }
            }
            let wanted = if matches!(kind, FeedKind::SeriesPair | FeedKind::ParallelPair) { 2 } else { 1 };
            let written = node.items("outlets").len();
            if written != wanted {
                let at = node.get("outlets").map_or(&node.at, |outlets| &outlets.at).clone();
                let message = format!(
                    "the feed of {} names {written} outlets; a {} has {wanted}",
                    shown(tag),
                    kind.word()
                );
                self.say(&at, message);
            }
            if let [a, b] = &outlets[..]
                && a == b
            {
                self.say(&node.at, format!("the feed of {} names outlet {a} twice", shown(tag)));
            }
            let barrel_adaptor = self.plug(node.get("barrel_adaptor")).map(|plug| plug.id);
            let class =
                outlets.first().map_or(LeadClass::Dc, |outlet| supply_class(rig, index, kind, outlet));
            let has_own_end = outlets.first().is_some_and(|outlet| has_own_end(rig, outlet));
            let mut outlet_plug = self.feed_plug(node, class, "outlet_plug", "outlet_exit");
            if has_own_end && node.get("outlet_plug").is_none() {
                outlet_plug.plug = None;
            }
            let feed = Feed {
                kind,
                outlets,
                crossing: node.switch("crossing"),
                barrel_adaptor,
                locked: node.switch("locked"),
                clamped: node.switch("clamped"),
                adaptor: node.get("adaptor").map(|adaptor| self.adaptor(adaptor, tag, kind)),
                device_plug: self.feed_plug(node, class, "plug", "exit"),
                outlet_plug,
            };
            rig.devices[index].feed = Some(feed);
        }
    }

    /// The adaptor that a device brings.
    fn adaptor(&mut self, node: &Node, tag: &str, kind: FeedKind) -> Adaptor {
        if kind != FeedKind::Adaptor {
            self.problems.push(
                Problem::new(node.at.clone(), format!("the feed of {} is not an adaptor", shown(tag)))
                    .help("write `type = \"adaptor\"`, or take `adaptor` out"),
            );
        }
        let adaptor = Adaptor {
            size: node.get("size").map_or_else(rig::Known::default, super::device::size),
            prongs: self.plug(node.get("prongs")),
            prongs_left: node.known("prongs_left"),
            prongs_up: node.known("prongs_up"),
            lies: node.known_word("lies"),
            mass: node.known("mass"),
            lead: node.known("lead"),
            shortened: node.plain("shortened"),
            consent: node.text("consent"),
            held: node.known_word("held"),
        };
        if let (Some(left), Some(whole)) = (adaptor.shortened, adaptor.lead.value)
            && whole < left
        {
            let at = node.get("shortened").map_or(&node.at, |node| &node.at).clone();
            self.say(&at, format!("the adaptor's lead of {whole} cannot be shortened to {left}"));
        }
        adaptor
    }

    /// A feed wants an inlet, which the document may have taken away.
    fn feed_without_inlet(&mut self, tag: &str, node: &Node, rig: &Rig) {
        let is_inlet = |port: &rig::Port| port.role.value == Some(rig::PortRole::Power);
        if rig.device(tag).is_some_and(|device| device.ports.iter().any(is_inlet)) {
            return;
        }
        let gone = self.gone.iter().find(|((of, _), gone)| of == tag && gone.is_inlet);
        if let Some(((_, name), _)) = gone {
            let message = format!("{} has a feed, but its inlet {} is taken away", shown(tag), shown(name));
            let help = "take the feed out, or keep the inlet";
            self.problems.push(Problem::new(node.at.clone(), message).help(help));
        }
    }

    fn outlet_named(&mut self, rig: &Rig, item: &Node) -> Option<PortRef> {
        let text = item.as_text()?;
        if let Some((tag, name)) = text.rsplit_once('.')
            && let Some(brick) = rig.device(tag)
        {
            // Of mains ports only a strip's are sockets; a brick's own is its inlet.
            let is_socket = brick.role == rig::Role::Strip
                && brick.port(name).is_some_and(|p| p.role.value == Some(rig::PortRole::Mains));
            if brick.outlet(name).is_some() || is_socket {
                return Some(PortRef::new(tag, name));
            }
            let names: Vec<&str> = brick.outlets.iter().map(|outlet| outlet.name.as_str()).collect();
            let mut there = if names.is_empty() {
                "it has none".to_owned()
            } else {
                format!("it has {}", names.join(", "))
            };
            if self.gone.contains_key(&(tag.to_owned(), name.to_owned())) {
                there = format!("the document takes it away; {there}");
            }
            self.problems.push(
                Problem::new(item.at.clone(), format!("{} has no outlet `{}`", shown(tag), shown(name)))
                    .help(there),
            );
            return None;
        }
        let bricks: Vec<&str> = rig
            .devices
            .iter()
            .filter(|device| !device.outlets.is_empty())
            .map(|device| device.tag.as_str())
            .collect();
        let problem =
            Problem::new(item.at.clone(), format!("`{}` is not an outlet of this rig", shown(text)));
        self.problems.push(match nearest(text.split('.').next().unwrap_or(text), bricks.iter().copied()) {
            Some(near) => problem.help(format!("write brick and outlet, such as `{near}.1`")),
            None if bricks.is_empty() => problem.help("the rig has no brick with outlets yet"),
            None => problem.help(format!("write brick and outlet; bricks are {}", bricks.join(", "))),
        });
        None
    }

    /// Places: the deck must be there.
    pub(super) fn places(&mut self, tree: &Node, rig: &Rig) {
        let decks: Vec<&str> = rig.board.decks.iter().map(|deck| deck.name.as_str()).collect();
        for (tag, node) in tree.named("device") {
            let Some(place) = node.get("place") else { continue };
            let Some(deck) = place.get("deck") else {
                if decks.is_empty() {
                    self.say(&place.at, format!("{} is placed, but the board has no deck", shown(tag)));
                }
                continue;
            };
            let Some(name) = deck.as_text() else { continue };
            if name != FLOOR && !decks.contains(&name) {
                let problem =
                    Problem::new(deck.at.clone(), format!("the board has no deck `{}`", shown(name)));
                let there = if decks.is_empty() {
                    "it has none".to_owned()
                } else {
                    format!("it has {} and {FLOOR}", decks.join(", "))
                };
                self.problems.push(problem.help(there));
            }
        }
        for (name, node) in tree.get("board").map_or(&[][..], |board| board.named("deck")) {
            if node.get("size").is_none() && node.items("shape").is_empty() {
                self.problems.push(
                    Problem::new(node.at.clone(), format!("deck `{}` has no outline", shown(name)))
                        .help("write `size = { width = \"480 mm\", depth = \"190 mm\" }` or a `shape`"),
                );
            }
        }
    }

    /// States name devices; names of devices, sources and sinks differ.
    pub(super) fn names(&mut self, tree: &Node, rig: &Rig) {
        for (_, node) in tree.named("state") {
            for item in node.items("engaged") {
                let Some(tag) = item.as_text() else { continue };
                if rig.device(tag).is_none() {
                    let problem = Problem::new(
                        item.at.clone(),
                        format!("`{}` is not a device of this rig", shown(tag)),
                    );
                    self.problems.push(
                        match nearest(tag, rig.devices.iter().map(|device| device.tag.as_str())) {
                            Some(near) => problem.help(format!("did you mean `{near}`?")),
                            None => problem,
                        },
                    );
                }
            }
        }
        for (_, node) in tree.named("accept") {
            let given: Vec<&str> = ["devices", "class", "whole_job"]
                .into_iter()
                .filter(|key| node.get(key).is_some() && (*key != "whole_job" || node.switch(key)))
                .collect();
            if given.len() != 1 {
                let found = if given.is_empty() { "none".to_owned() } else { given.join(" and ") };
                self.say(
                    &node.at,
                    format!(
                        "an answer covers exactly one of devices, class and whole_job; this one gives {found}"
                    ),
                );
            }
        }
        for (_, node) in tree.named("moment") {
            for key in ["before", "after"] {
                let Some(item) = node.get(key) else { continue };
                let name = item.as_text().unwrap_or_default();
                if !rig.states.iter().any(|state| state.name == name) {
                    let there =
                        rig.states.iter().map(|state| state.name.as_str()).collect::<Vec<_>>().join(", ");
                    self.problems.push(
                        Problem::new(
                            item.at.clone(),
                            format!("`{}` is not a state of this rig", shown(name)),
                        )
                        .help(if there.is_empty() {
                            "there are none".to_owned()
                        } else {
                            format!("there are {there}")
                        }),
                    );
                }
            }
        }
        for part in ["source", "sink"] {
            for (id, node) in tree.named(part) {
                let twice = rig.device(id).is_some() || (part == "sink" && rig.source(id).is_some());
                if twice {
                    self.say(
                        &node.at,
                        format!(
                            "`{}` names two things; devices, sources and sinks each have their own name",
                            shown(id)
                        ),
                    );
                }
            }
        }
    }
}

/// Whether the plug at an outlet follows from the outlet itself, not from what the job's leads usually end in: a mains
/// socket takes the plug of its pattern, a captive lead none.
fn has_own_end(rig: &Rig, outlet: &PortRef) -> bool {
    let connector = rig.port(outlet).and_then(|port| port.connector.as_ref());
    connector.is_some_and(|connector| connector.is_socket() || connector.family == ConnectorFamily::Fixed)
}

/// What a feed's lead carries, as far as plugs are chosen by it.
fn supply_class(rig: &Rig, device: usize, kind: FeedKind, outlet: &PortRef) -> LeadClass {
    let given = rig.device(&outlet.device).and_then(|brick| brick.outlet(&outlet.port));
    let nature = match given.and_then(|outlet| outlet.nature.value) {
        None | Some(Nature::Mains) if kind == FeedKind::Adaptor => rig.devices[device].power.nature.value,
        nature => nature,
    };
    if nature == Some(Nature::Ac) { LeadClass::Ac } else { LeadClass::Dc }
}
