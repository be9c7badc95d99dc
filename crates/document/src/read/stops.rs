//! Runs and leads: from texts like `A1.OUT` to ports.

use rig::{Carries, PortRef, Rig, Run};

use super::node::Node;
use super::pass::{Named, Written, pass, ports_of};
use super::reader::Reader;
use crate::problem::{Problem, nearest, shown};

impl Reader<'_> {
    pub(super) fn runs(&mut self, tree: &Node, rig: &mut Rig) {
        for (name, node) in tree.named("run") {
            let carries: Carries = node.word("carries").unwrap_or_default();
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
            // Of a run without a list of stops that is told already.
            if items.len() < 2 && node.get("stops").is_some() {
                let has = if items.is_empty() { "no stop" } else { "one stop" };
                self.say(&node.at, format!("run `{}` has {has}; a run needs two or more", shown(name)));
            }
            for pair in items.windows(2).filter(|pair| pair[0].as_text() == pair[1].as_text()) {
                let stop = pair[1].as_text().unwrap_or_default();
                self.say(&pair[1].at, format!("the run stops at `{}` twice running", shown(stop)));
            }
            let (stops, problems) = pass(rig, name, carries, &written);
            self.problems.extend(problems);
            let class = carries.class();
            let cable = self.cable(node.get("cable")).or_else(|| self.default_cable(class));
            let plug = self.plug(node.get("plug")).or_else(|| self.default_plug(class));
            let purpose = node.word("for");
            rig.runs.push(Run { name: name.clone(), carries, purpose, stops, cable, plug });
        }
    }

    pub(super) fn named(&mut self, rig: &Rig, text: &str, node: &Node) -> Option<Named> {
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
                    problem.help(format!("did you mean `{tag}.{near}`? It has {}", ports_of(rig, tag)))
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
            format!("`{}` is not a device, source or sink of this rig", shown(text)),
        );
        self.problems.push(match nearest(wanted, names.clone()) {
            Some(near) => problem.help(format!("did you mean `{near}`?")),
            None => problem.help(format!("there are {}", names.take(40).collect::<Vec<_>>().join(", "))),
        });
        None
    }
}
