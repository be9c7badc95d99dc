//! What names something else must name something that is there.

use rig::{Adaptor, ConnectorFamily, Device, FLOOR, Feed, FeedKind, LeadClass, Nature, PortRef, Rig, Role};

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
                if let Some(outlet) = self.outlet_named(rig, tag, kind, item) {
                    outlets.push(outlet);
                }
            }
            let wanted = if matches!(kind, FeedKind::SeriesPair | FeedKind::ParallelPair) { 2 } else { 1 };
            let written = node.items("outlets").len();
            if written != wanted {
                let at = node.get("outlets").map_or(&node.at, |outlets| &outlets.at).clone();
                let message = format!(
                    "the feed of {} names {written} outlets; {} {} has {wanted}",
                    shown(tag),
                    article(kind.word()),
                    kind.word()
                );
                self.say(&at, message);
            }
            if let [a, b] = &outlets[..]
                && a == b
            {
                self.say(&node.at, format!("the feed of {} names outlet {a} twice", shown(tag)));
            }
            let barrel_adaptor = self.plug(node.get("barrel_adaptor"));
            let class =
                outlets.first().map_or(LeadClass::Dc, |outlet| supply_class(rig, index, kind, outlet));
            let has_own_end = outlets.first().is_some_and(|outlet| has_own_end(rig, outlet));
            let mut outlet_plug = self.feed_plug(node, class, "outlet_plug", "outlet_exit");
            if has_own_end && node.get("outlet_plug").is_none() {
                outlet_plug.plug = None;
            }
            let adaptor = node.get("adaptor").map(|adaptor| self.adaptor(adaptor, tag, kind));
            let is_loose = |adaptor: &Adaptor| adaptor.held.value == Some(rig::Held::Loose);
            if node.switch("clamped") && adaptor.as_ref().is_some_and(is_loose) {
                let message = format!("the adaptor of {} is said to be clamped and to be loose", shown(tag));
                let help = "take `clamped` out, or say in `held` what holds it";
                self.problems.push(Problem::new(node.at.clone(), message).help(help));
            }
            let feed = Feed {
                kind,
                outlets,
                crossing: node.switch("crossing"),
                barrel_adaptor,
                locked: node.switch("locked"),
                clamped: node.switch("clamped"),
                adaptor,
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
        let size = adaptor.size.value;
        let beyond = [
            ("prongs_left", adaptor.prongs_left.value, size.map(|size| size.width)),
            ("prongs_up", adaptor.prongs_up.value, size.map(|size| size.height)),
        ];
        for (key, at, most) in beyond {
            if let (Some(prongs), Some(most)) = (at, most)
                && most < prongs
            {
                let at = node.get(key).map_or(&node.at, |node| &node.at).clone();
                self.say(&at, format!("the prongs at {prongs} are beyond the adaptor’s body of {most}"));
            }
        }
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

    fn outlet_named(&mut self, rig: &Rig, fed: &str, kind: FeedKind, item: &Node) -> Option<PortRef> {
        let text = item.as_text()?;
        if let Some((tag, name)) = text.rsplit_once('.')
            && let Some(brick) = rig.device(tag)
        {
            // Of mains ports only a strip's are sockets; a brick's own is its inlet.
            let is_strip = brick.role == rig::Role::Strip;
            let is_socket = is_strip && brick.mains_sockets().any(|socket| socket == name);
            if brick.outlet(name).is_some() || is_socket {
                self.problems.extend(wrong_kind(rig, fed, kind, brick, name, item));
                return Some(PortRef::new(tag, name));
            }
            let mut names: Vec<&str> = brick.outlets.iter().map(|outlet| outlet.name.as_str()).collect();
            if is_strip {
                names.extend(brick.mains_sockets());
            }
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
        if let Some(strip) = rig.device(text).filter(|device| device.role == Role::Strip) {
            let sockets: Vec<String> = strip.mains_sockets().map(|name| format!("`{text}.{name}`")).collect();
            self.problems.push(problem.help(format!("write one of {}", sockets.join(", "))));
            return None;
        }
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
                // A loop is engaged as `TAG.loop`.
                let is_loop = tag.rsplit_once('.').is_some_and(|(tag, name)| {
                    rig.device(tag).is_some_and(|device| device.loops.iter().any(|one| one.name == name))
                });
                if rig.device(tag).is_none() && !is_loop {
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
        for (_, node) in tree.named("use") {
            for name in node.texts("ends") {
                if rig.sink(&name).is_none() {
                    let there = rig.sinks.iter().map(|sink| sink.id.as_str()).collect::<Vec<_>>().join(", ");
                    let at = node.get("ends").map_or_else(|| node.at.clone(), |item| item.at.clone());
                    self.problems.push(
                        Problem::new(at, format!("`{}` is not a sink of this rig", shown(&name)))
                            .help(format!("there are {there}")),
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

/// `a` or `an`, as the word after it begins.
pub(super) fn article(word: &str) -> &'static str {
    if word.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" }
}

/// A feed that cannot come from where it says: a lead of ours in a mains socket, or an adaptor in a brick's outlet.
fn wrong_kind(
    rig: &Rig,
    fed: &str,
    kind: FeedKind,
    brick: &Device,
    name: &str,
    item: &Node,
) -> Option<Problem> {
    let (fed, at) = (shown(fed), format!("{}.{}", shown(&brick.tag), shown(name)));
    let such = |text: Option<String>| text.map_or_else(String::new, |text| format!(", such as `{text}`"));
    let Some(outlet) = brick.outlet(name) else {
        if kind == FeedKind::Adaptor {
            return None;
        }
        let mut bricks = rig.devices.iter().filter(|device| device.role != Role::Strip);
        let outlet = bricks.find_map(|brick| Some(format!("{}.{}", brick.tag, brick.outlets.first()?.name)));
        let message = format!("{at} is a mains socket, and no lead of ours goes from there to {fed}");
        return Some(Problem::new(item.at.clone(), message).help(format!(
            "name an outlet of a brick{}; write `type = \"adaptor\"` where the own adaptor of {fed} sits in the socket; \
             what has a mains inlet is reached by a run that carries mains",
            such(outlet)
        )));
    };
    // An adaptor that the document writes as a unit has the one outlet at the end of its lead.
    if kind == FeedKind::Adaptor && outlet.nature.value != Some(Nature::Mains) && 1 < brick.outlets.len() {
        let mut strips = rig.devices.iter().filter(|device| device.role == Role::Strip);
        let socket =
            strips.find_map(|strip| Some(format!("{}.{}", strip.tag, strip.mains_sockets().next()?)));
        let message = format!("{at} is an outlet of a brick, and no adaptor sits there");
        return Some(Problem::new(item.at.clone(), message).help(format!(
            "name the mains socket that the adaptor sits in{}; or take `type` out where the brick feeds {fed}",
            such(socket)
        )));
    }
    None
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
