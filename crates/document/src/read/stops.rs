//! Runs and leads: from texts like `A1.OUT` to ports.

use quantity::{Length, Quantity as _};
use rig::{Carries, Exit, LeadClass, LeadSpec, PlugSpec, PortRef, Rig, Run};

use super::node::Node;
use super::pass::{Named, Written, pass, ports_of};
use super::resolve::Reader;
use crate::problem::{Problem, nearest, shown};

const EXITS: &[(&str, Exit)] = &[
    ("toe", Exit::Toe),
    ("heel", Exit::Heel),
    ("left", Exit::Left),
    ("right", Exit::Right),
    ("up", Exit::Up),
    ("down", Exit::Down),
];

const CARRIES: &[(&str, Carries)] = &[
    ("signal", Carries::Signal),
    ("expression", Carries::Expression),
    ("control", Carries::Control),
    ("midi", Carries::Midi),
    ("usb", Carries::Usb),
    ("mains", Carries::Mains),
];

impl Reader<'_> {
    pub(super) fn runs(&mut self, tree: &Node, rig: &mut Rig) {
        for (name, node) in tree.named("run") {
            let carries = node
                .text("carries")
                .and_then(|word| CARRIES.iter().find(|(w, _)| *w == word).map(|(_, carries)| *carries))
                .unwrap_or_default();
            let items = node.items("stops");
            let written: Vec<Written> = items
                .iter()
                .map(|item| {
                    let text = item.as_text().unwrap_or_default();
                    let missing = || Named::Missing(text.split('.').next().unwrap_or_default().to_owned());
                    let what = self.named(rig, text, item).unwrap_or_else(missing);
                    Written { text: text.to_owned(), what, at: item.at.clone() }
                })
                .collect();
            if items.len() == 1 {
                self.say(&node.at, format!("run `{}` has one stop; a run needs two or more", shown(name)));
            }
            let (stops, problems) = pass(rig, name, carries, &written);
            self.problems.extend(problems);
            let class = carries.class();
            let cable = self.cable(node.get("cable")).or_else(|| self.default_cable(class));
            let plug = self.plug(node.get("plug")).or_else(|| self.default_plug(class));
            rig.runs.push(Run { name: name.clone(), carries, stops, cable, plug });
        }
    }

    fn named(&mut self, rig: &Rig, text: &str, node: &Node) -> Option<Named> {
        if rig.source(text).is_some() || rig.sink(text).is_some() {
            return Some(Named::End(text.to_owned()));
        }
        if rig.device(text).is_some() {
            return Some(Named::Device(text.to_owned()));
        }
        if let Some((tag, port)) = text.rsplit_once('.')
            && let Some(device) = rig.device(tag)
        {
            if device.port(port).is_some() {
                return Some(Named::Port(PortRef::new(tag, port)));
            }
            let problem =
                Problem::new(node.at.clone(), format!("{} has no port `{}`", shown(tag), shown(port)));
            if let Some(gone) = self.gone.get(&(tag.to_owned(), port.to_owned())) {
                let help = format!(
                    "the document takes it away with `{}.{}.absent`; {} has {}",
                    gone.key,
                    shown(port),
                    shown(tag),
                    ports_of(rig, tag)
                );
                self.problems.push(problem.help(help));
                return None;
            }
            let near = nearest(port, device.ports.iter().map(|port| port.name.as_str()));
            self.problems.push(match near {
                Some(near) => {
                    problem.help(format!("the nearest is `{tag}.{near}`; it has {}", ports_of(rig, tag)))
                }
                None => problem.help(format!("it has {}", ports_of(rig, tag))),
            });
            return None;
        }
        let names = rig
            .devices
            .iter()
            .map(|device| device.tag.as_str())
            .chain(rig.sources.iter().map(|source| source.id.as_str()))
            .chain(rig.sinks.iter().map(|sink| sink.id.as_str()));
        let wanted = text.split('.').next().unwrap_or(text);
        let problem = Problem::new(
            node.at.clone(),
            format!("`{}` is no device, source or sink of this rig", shown(text)),
        );
        self.problems.push(match nearest(wanted, names.clone()) {
            Some(near) => problem.help(format!("the nearest is `{near}`")),
            None => problem.help(format!("there are {}", names.take(40).collect::<Vec<_>>().join(", "))),
        });
        None
    }

    pub(super) fn leads(&mut self, tree: &Node, rig: &mut Rig) {
        for (_, node) in tree.named("lead") {
            let (Some(from), Some(to)) = (self.lead_end(rig, node, "from"), self.lead_end(rig, node, "to"))
            else {
                continue;
            };
            let exit = |key: &str| {
                node.text(key).and_then(|word| EXITS.iter().find(|(w, _)| *w == word).map(|(_, exit)| *exit))
            };
            let from_plug = PlugSpec { plug: self.plug(node.get("from_plug")), exit: exit("from_exit") };
            let to_plug = PlugSpec { plug: self.plug(node.get("to_plug")), exit: exit("to_exit") };
            if rig.leads.iter().any(|lead| lead.from == from && lead.to == to) {
                self.say(&node.at, format!("the lead from {from} to {to} has two entries; keep one"));
                continue;
            }
            let spec = LeadSpec {
                from,
                to,
                tag: node.text("tag"),
                cable: self.cable(node.get("cable")),
                from_plug,
                to_plug,
                crossed: node.switch("crossed"),
                cut: node.plain("cut"),
                ties: self.ties(node),
                service: node.plain("service"),
            };
            rig.leads.push(spec);
        }
    }

    /// The tie points of a lead: two lengths each.
    fn ties(&mut self, node: &Node) -> Vec<[Length; 2]> {
        let mut out = Vec::new();
        for item in node.items("ties") {
            let Some(text) = item.as_text() else { continue };
            match tie_point(text) {
                Some(tie) => out.push(tie),
                None => self.problems.push(
                    Problem::new(item.at.clone(), format!("`{}` is no place of a tie point", shown(text)))
                        .help("two lengths from the board's front left corner, as `120 mm, 80 mm`"),
                ),
            }
        }
        out
    }

    fn lead_end(&mut self, rig: &Rig, node: &Node, key: &str) -> Option<PortRef> {
        let item = node.get(key)?;
        let text = item.as_text()?.to_owned();
        match self.named(rig, &text, item)? {
            Named::Missing(_) => None,
            Named::End(id) => Some(PortRef::new(id, "")),
            Named::Port(port) => Some(port),
            Named::Device(tag) => {
                let ports = ports_of(rig, &tag);
                self.problems.push(
                    Problem::new(
                        item.at.clone(),
                        format!("the end of a lead names a port, not the whole of {}", shown(&tag)),
                    )
                    .help(format!("it has {ports}")),
                );
                None
            }
        }
    }

    pub(super) fn exit(node: &Node, key: &str) -> Option<Exit> {
        let word = node.text(key)?;
        EXITS.iter().find(|(w, _)| *w == word).map(|(_, exit)| *exit)
    }

    /// The plug of a DC lead: stated at the feed, else the default of its class.
    pub(super) fn feed_plug(&mut self, node: &Node, plug: &str, exit: &str) -> PlugSpec {
        PlugSpec {
            plug: self.plug(node.get(plug)).or_else(|| self.default_plug(LeadClass::Dc)),
            exit: Self::exit(node, exit),
        }
    }
}

/// The place a text of `ties` stands for: two lengths from the board's front left corner.
pub fn tie_point(text: &str) -> Option<[Length; 2]> {
    let (x, y) = text.split_once(',')?;
    Some([Length::parse(x.trim()).ok()?, Length::parse(y.trim()).ok()?])
}
