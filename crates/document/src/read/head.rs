//! Job, brief, states, acceptances, and what stands outside the board.

use quantity::Quantity as _;
use rig::{
    Acceptance, Brief, Job, Mains, Moment, Pickup, PluggedIn, QuoteOption, QuoteTerms, Requirement, Sink,
    Source, State, Switching,
};

use super::node::Node;
use super::overlay::overlay;
use super::reader::Reader;
use crate::catalogue::Family;

pub(super) fn job(tree: &Node) -> Job {
    let Some(node) = tree.get("job") else { return Job::default() };
    let mains = node
        .get("mains")
        .and_then(|mains| Some(Mains { volts: mains.plain("volts")?, hertz: mains.plain("hertz")? }));
    Job {
        title: node.text("title").unwrap_or_default(),
        number: node.text("number"),
        player: node.text("player"),
        workshop: node.text("workshop"),
        drawn_by: node.text("drawn_by"),
        date: node.text("date"),
        revision: node.text("revision"),
        mains,
    }
}

pub(super) fn brief(tree: &Node) -> Brief {
    let Some(node) = tree.get("brief") else { return Brief { carriers: 1, ..Brief::default() } };
    Brief {
        music: node.text("music"),
        venues: node.text("venues"),
        carried: node.text("carried"),
        touring: node.switch("touring"),
        carriers: node.count("carriers").unwrap_or(1).max(1),
        mass_limit: node.plain("mass_limit"),
        countries: texts(node, "countries"),
        budget: node.text("budget"),
        due: node.text("due"),
        shoe_width: node.known("shoe_width"),
        requirements: node
            .items("requirements")
            .iter()
            .map(|item| Requirement {
                id: item.text("id").unwrap_or_default(),
                text: item.text("text").unwrap_or_default(),
                wishes: item.items("wants").iter().filter_map(super::wishes::wish).collect(),
            })
            .collect(),
        note: node.text("note"),
    }
}

pub(crate) fn texts(node: &Node, key: &str) -> Vec<String> {
    node.texts(key)
}

/// What the job says of its quote.
pub(super) fn quote(tree: &Node) -> QuoteTerms {
    let Some(node) = tree.get("quote") else { return QuoteTerms::default() };
    QuoteTerms {
        discount: node.plain("discount"),
        discount_sum: node.plain("discount_sum"),
        discount_for: node.text("discount_for"),
        margin: node.plain("margin"),
        valid: node.text("valid"),
        ready: node.text("ready"),
        excluded: texts(node, "excluded"),
        options: node.items("option").iter().map(option).collect(),
    }
}

fn option(node: &Node) -> QuoteOption {
    let counts = node.named("pieces").iter();
    let lengths = node.named("lengths").iter();
    QuoteOption {
        title: node.text("title").unwrap_or_default(),
        pieces: counts.filter_map(|(name, node)| Some((name.clone(), node.as_count()?))).collect(),
        lengths: lengths
            .filter_map(|(name, node)| Some((name.clone(), quantity::Length::parse(node.as_text()?).ok()?)))
            .collect(),
        without: texts(node, "without"),
        spare_leads: texts(node, "spare_leads"),
        minutes: node.count("minutes").unwrap_or_default(),
        minutes_less: node.count("minutes_less").unwrap_or_default(),
    }
}

pub(super) fn states(tree: &Node) -> Vec<State> {
    tree.named("state")
        .iter()
        .map(|(name, node)| State { name: name.clone(), engaged: texts(node, "engaged") })
        .collect()
}

pub(super) fn switching(tree: &Node) -> Vec<Switching> {
    tree.named("switching")
        .iter()
        .filter_map(|(name, node)| {
            Some(Switching { name: name.clone(), way: node.word("way")?, devices: texts(node, "devices") })
        })
        .collect()
}

pub(super) fn moments(tree: &Node) -> Vec<Moment> {
    tree.named("moment")
        .iter()
        .map(|(name, node)| Moment {
            name: name.clone(),
            from: node.text("before").unwrap_or_default(),
            to: node.text("after").unwrap_or_default(),
        })
        .collect()
}

pub(super) fn uses(tree: &Node) -> Vec<PluggedIn> {
    tree.named("use")
        .iter()
        .map(|(name, node)| PluggedIn { name: name.clone(), ends: texts(node, "ends") })
        .collect()
}

pub(super) fn acceptances(tree: &Node) -> Vec<Acceptance> {
    tree.named("accept")
        .iter()
        .enumerate()
        .map(|(index, (_, node))| {
            let mut devices = texts(node, "devices");
            devices.sort();
            devices.dedup();
            Acceptance {
                rule: node.text("rule").unwrap_or_default(),
                devices,
                class: node.text("class"),
                whole_job: node.switch("whole_job"),
                reason: node.text("reason").unwrap_or_default(),
                by: node.text("by"),
                index,
            }
        })
        .collect()
}

impl Reader<'_> {
    pub(super) fn sources(&mut self, tree: &Node) -> Vec<Source> {
        let mut sources = Vec::new();
        for (id, node) in tree.named("source") {
            let kind = self.entry(Family::Pickup, node.get("pickup")).map(|(_, entry)| entry);
            let electrics = match (&kind, node.get("electrics")) {
                (Some(kind), Some(own)) => Some(overlay(kind, own)),
                (Some(kind), None) => Some(kind.clone()),
                (None, own) => own.cloned(),
            };
            let pickup = electrics.as_ref().map(pickup).unwrap_or_default();
            sources.push(Source {
                id: id.clone(),
                title: node
                    .text("title")
                    .or_else(|| kind.as_ref().and_then(|kind| kind.text("title")))
                    .unwrap_or_default(),
                pickup,
                volume: node.known("volume"),
                tone: node.known("tone"),
                lead: node.known("lead"),
                cable: self.cable(node.get("cable")),
                plug: self.plug(node.get("plug")),
            });
        }
        sources
    }

    pub(super) fn sinks(&mut self, tree: &Node) -> Vec<Sink> {
        let mut sinks = Vec::new();
        for (id, node) in tree.named("sink") {
            let kind = self.entry(Family::Input, node.get("kind")).map(|(_, entry)| entry);
            let merged = kind.as_ref().map_or_else(|| node.clone(), |kind| overlay(kind, node));
            sinks.push(Sink {
                id: id.clone(),
                title: merged.text("title").unwrap_or_default(),
                amp: merged.known_switch("amp").value,
                z: merged.known("z"),
                lead: merged.known("lead"),
                cable: self.cable(node.get("cable")),
                plug: self.plug(node.get("plug")),
                earthed: merged.known_switch("earthed"),
                phantom: merged.known_switch("phantom"),
            });
        }
        sinks
    }
}

fn pickup(node: &Node) -> Pickup {
    Pickup {
        kind: node.known_word("type"),
        inductance: node.known("inductance"),
        resistance: node.known("resistance"),
        capacitance: node.known("capacitance"),
        volume_pot: node.known("volume_pot"),
        tone_pot: node.known("tone_pot"),
        tone_capacitor: node.known("tone_capacitor"),
        peak: node.known("peak"),
    }
}
