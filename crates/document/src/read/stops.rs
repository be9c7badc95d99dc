//! Runs: from texts like `A1.OUT` to ports.

use rig::{Carries, Device, PortRef, PortRole, Rig, Run, Stop};

use super::node::Node;
use super::resolve::Reader;
use crate::problem::{Problem, nearest, shown};

const CARRIES: &[(&str, Carries)] = &[
    ("signal", Carries::Signal),
    ("expression", Carries::Expression),
    ("control", Carries::Control),
    ("midi", Carries::Midi),
    ("usb", Carries::Usb),
    ("mains", Carries::Mains),
];

/// What a stop's text names.
pub(super) enum Named {
    End(String),
    Device(String),
    Port(PortRef),
}

impl Reader<'_> {
    pub(super) fn runs(&mut self, tree: &Node, rig: &mut Rig) {
        for (name, node) in tree.named("run") {
            let carries = node
                .text("carries")
                .and_then(|word| CARRIES.iter().find(|(w, _)| *w == word).map(|(_, carries)| *carries))
                .unwrap_or_default();
            let named: Vec<Option<(String, Named)>> = node
                .items("stops")
                .iter()
                .map(|item| {
                    item.as_text().and_then(|text| Some((text.to_owned(), self.named(rig, text, item)?)))
                })
                .collect();
            if node.items("stops").len() == 1 {
                self.say(&node.at, format!("run `{}` has one stop; a run needs two or more", shown(name)));
            }
            let stops = self.stops(rig, carries, node, &named);
            let class = carries.class();
            let cable = self.cable(node.get("cable")).or_else(|| self.default_cable(class));
            let plug = self.plug(node.get("plug")).or_else(|| self.default_plug(class));
            rig.runs.push(Run { name: name.clone(), carries, stops, cable, plug });
        }
    }

    fn stops(
        &mut self,
        rig: &Rig,
        carries: Carries,
        node: &Node,
        named: &[Option<(String, Named)>],
    ) -> Vec<Stop> {
        let device_of = |index: usize| match named.get(index)?.as_ref()? {
            (_, Named::End(id) | Named::Device(id)) => Some(id.as_str()),
            (_, Named::Port(port)) => Some(port.device.as_str()),
        };
        let last = named.len().saturating_sub(1);
        let mut stops = Vec::new();
        for (index, entry) in named.iter().enumerate() {
            let Some((text, what)) = entry else { continue };
            let here = device_of(index);
            let from_same = 0 < index && device_of(index - 1) == here;
            let to_same = index < last && device_of(index + 1) == here;
            let (mut arrives, mut leaves) = match what {
                Named::End(id) => {
                    let end = PortRef::new(id, "");
                    (Some(end.clone()), Some(end))
                }
                Named::Device(tag) => match rig.device(tag) {
                    Some(device) => (default_in(device, carries), default_out(device, carries)),
                    None => (None, None),
                },
                Named::Port(port) => {
                    match (rig.device(&port.device), rig.port(port).and_then(|port| port.role.value)) {
                        (Some(device), Some(role)) => {
                            let own = Some(port.clone());
                            if role.takes_signal() == role.gives_signal() {
                                (own.clone(), own)
                            } else if role.takes_signal() {
                                (own.clone(), if to_same { own } else { default_out(device, carries) })
                            } else {
                                (if from_same { own.clone() } else { default_in(device, carries) }, own)
                            }
                        }
                        // A port of unknown role is taken as it stands; a rule says that its role is unknown.
                        _ => (Some(port.clone()), Some(port.clone())),
                    }
                }
            };
            if index == 0 {
                arrives = None;
            } else if index == last {
                leaves = None;
            }
            let item = node.items("stops").get(index);
            let lacking = (arrives.is_none() && 0 < index, leaves.is_none() && index < last);
            if let (Named::Device(tag), Some(item)) = (what, item)
                && (lacking.0 || lacking.1)
            {
                let side = if lacking.0 { "enters" } else { "leaves" };
                let ports = ports_of(rig, tag);
                self.problems.push(
                    Problem::new(
                        item.at.clone(),
                        format!("the run {side} {} but there is no port for it", shown(tag)),
                    )
                    .help(format!("name the port, such as `{tag}.NAME`; {tag} has {ports}")),
                );
            }
            stops.push(Stop { text: text.clone(), arrives, leaves });
        }
        stops
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
}

pub(super) fn ports_of(rig: &Rig, tag: &str) -> String {
    let names: Vec<&str> = rig
        .device(tag)
        .map(|device| device.ports.iter().map(|port| port.name.as_str()).collect())
        .unwrap_or_default();
    if names.is_empty() { "no ports".to_owned() } else { names.join(", ") }
}

/// The port by which a run enters a device it names without a port: the first that takes what it carries.
fn default_in(device: &Device, carries: Carries) -> Option<PortRef> {
    let roles: &[PortRole] = match carries {
        Carries::Signal => &[PortRole::In, PortRole::Through],
        Carries::Expression => &[PortRole::Expression],
        Carries::Control => &[PortRole::Control],
        Carries::Midi => &[PortRole::MidiIn],
        Carries::Usb => &[PortRole::Usb],
        Carries::Mains => &[PortRole::Mains],
    };
    first(device, roles)
}

/// The port by which a run leaves a device it names without a port.
fn default_out(device: &Device, carries: Carries) -> Option<PortRef> {
    let roles: &[PortRole] = match carries {
        Carries::Signal => &[PortRole::Out, PortRole::Through],
        Carries::Expression => &[PortRole::Expression],
        Carries::Control => &[PortRole::Control],
        Carries::Midi => &[PortRole::MidiThru, PortRole::MidiOut],
        Carries::Usb => &[PortRole::Usb],
        Carries::Mains => &[PortRole::Mains],
    };
    first(device, roles)
}

fn first(device: &Device, roles: &[PortRole]) -> Option<PortRef> {
    roles.iter().find_map(|role| {
        let port = device.ports.iter().find(|port| port.role.value == Some(*role))?;
        Some(PortRef::new(&device.tag, &port.name))
    })
}
