//! What the document says of single leads.

use quantity::{Length, Quantity as _};
use rig::{Exit, GONE_END, LeadClass, LeadSpec, PlugSpec, PortRef, Rig, Word};

use super::node::Node;
use super::pass::{Named, ports_of};
use super::reader::Reader;
use crate::problem::{Problem, shown};

/// What an entry is known by: `A1.OUT > A2.IN`, or `A1.OUT + B1.IN + C1.IN` with a joint.
pub(super) fn id(lead: &Node) -> String {
    let ends = lead.items("ends");
    if ends.is_empty() {
        let end = |key: &str| lead.text(key).unwrap_or_default();
        return format!("{} > {}", end("from"), end("to"));
    }
    ends.iter().filter_map(Node::as_text).collect::<Vec<_>>().join(" + ")
}

/// Whether an entry of `ends` stands for one that is gone.
fn is_gone(item: &Node) -> bool {
    item.as_text() == Some(GONE_END)
}

impl Reader<'_> {
    pub(super) fn leads(&mut self, tree: &Node, rig: &mut Rig) {
        let retired = tree.get("leads").map_or(&[][..], |leads| leads.items("retired"));
        rig.retired = retired.iter().filter_map(Node::as_text).map(str::to_owned).collect();
        for (_, node) in tree.named("lead") {
            let said = self.problems.len();
            let Some(ends) = self.ends_of_lead(rig, node) else {
                self.of_a_device_that_is_gone(rig, node, said);
                continue;
            };
            let written = node.items("ends").iter().enumerate();
            let gone = written.filter(|(_, item)| is_gone(item)).map(|(place, _)| place).collect();
            let mut specs: Vec<PlugSpec> = ends.iter().map(|end| self.plug_of(node, end)).collect();
            let joined = !node.items("ends").is_empty();
            if joined {
                for key in ["from_plug", "from_exit", "to_plug", "to_exit", "cut"] {
                    if let Some(node) = node.get(key) {
                        let help =
                            if key == "cut" { "`legs`, by end" } else { "`plugs` and `exits`, by end" };
                        self.problems.push(
                            Problem::new(node.at.clone(), format!("a lead with a joint has no `{key}`"))
                                .help(format!("write {help}: `{{ \"{}\" = … }}`", ends[0])),
                        );
                    }
                }
            } else {
                for key in ["plugs", "exits", "legs", "joint"] {
                    if let Some(node) = node.get(key) {
                        let help = match key {
                            "plugs" => "write `from_plug` and `to_plug`",
                            "exits" => "write `from_exit` and `to_exit`",
                            "legs" => "write `cut`",
                            _ => "a lead with a joint names its ends in `ends`",
                        };
                        let message = format!("a lead of two ends has no `{key}`");
                        self.problems.push(Problem::new(node.at.clone(), message).help(help));
                    }
                }
                specs = ["from", "to"]
                    .map(|end| PlugSpec {
                        plug: self.plug(node.get(&format!("{end}_plug"))),
                        exit: Self::exit(node, &format!("{end}_exit")),
                    })
                    .into();
            }
            let legs = self.legs(node, &ends);
            let spec = LeadSpec {
                branches: ends.iter().cloned().zip(specs.iter().cloned()).skip(2).collect(),
                from: ends[0].clone(),
                to: ends[1].clone(),
                tag: node.text("tag"),
                cable: self.cable(node.get("cable")),
                from_plug: std::mem::take(&mut specs[0]),
                to_plug: std::mem::take(&mut specs[1]),
                crossed: node.switch("crossed"),
                cut: node.plain("cut"),
                legs,
                fitted: node.switch("fitted"),
                joint: self.joint(node),
                ties: self.ties(node),
                service: node.plain("service"),
                gone,
            };
            let same = |other: &&LeadSpec| {
                let (mut a, mut b): (Vec<_>, Vec<_>) = (other.ends().collect(), spec.ends().collect());
                if joined {
                    a.sort();
                    b.sort();
                }
                a == b
            };
            if rig.leads.iter().any(|lead| same(&lead)) {
                self.say(&node.at, format!("the lead {} has two entries; keep one", spec.name()));
                continue;
            }
            if let Some(tag) = &spec.tag
                && let Some(other) = rig.leads.iter().find(|lead| lead.tag.as_ref() == Some(tag))
            {
                let at = node.get("tag").map_or(&node.at, |tag| &tag.at).clone();
                self.problems.push(
                    Problem::new(at, format!("two leads have the number {}", shown(tag)))
                        .help(format!("{} has it already", other.name())),
                );
            }
            if let Some(tag) = spec.tag.as_ref().filter(|tag| rig.retired.contains(tag)) {
                let at = node.get("tag").map_or(&node.at, |tag| &tag.at).clone();
                self.problems.push(Problem::new(at, format!("the number {} is retired", shown(tag))).help(
                    "take it out of `leads.retired`, or leave `tag` out: the lead gets the next free one",
                ));
            }
            rig.leads.push(spec);
        }
    }

    /// An entry with a number may be left over from a device that is gone: then nothing near it is meant.
    fn of_a_device_that_is_gone(&mut self, rig: &Rig, node: &Node, said: usize) {
        let Some(tag) = node.text("tag") else { return };
        let ends = ["from", "to"].into_iter().filter_map(|key| node.get(key)).chain(node.items("ends"));
        let is_gone = |text: &str| {
            let name = text.split('.').next().unwrap_or(text);
            text != GONE_END
                && rig.device(name).is_none()
                && rig.source(name).is_none()
                && rig.sink(name).is_none()
        };
        if !ends.filter_map(Node::as_text).any(is_gone) {
            return;
        }
        for problem in self.problems.iter_mut().skip(said) {
            let near = problem.help.take().map(|help| format!("; otherwise {help}")).unwrap_or_default();
            problem.help = Some(format!(
                "if the device is gone, remove this entry and write \"{}\" into `leads.retired`{near}",
                shown(&tag)
            ));
        }
    }

    /// The ends of an entry, two or more; nothing where they cannot be read.
    fn ends_of_lead(&mut self, rig: &Rig, node: &Node) -> Option<Vec<PortRef>> {
        let items = node.items("ends");
        if items.is_empty() {
            if node.get("from").is_none() || node.get("to").is_none() {
                self.problems.push(
                    Problem::new(node.at.clone(), "this lead has no ends")
                        .help("write `from` and `to`, or `ends = [\"A1.OUT\", \"B1.IN\", \"C1.IN\"]`"),
                );
                return None;
            }
            let (from, to) = (self.lead_end(rig, node.get("from")?), self.lead_end(rig, node.get("to")?));
            return Some(vec![from?, to?]);
        }
        if node.get("from").is_some() || node.get("to").is_some() {
            self.say(&node.at, "a lead has either `ends` or `from` and `to`, not both");
            return None;
        }
        let left: Vec<&Node> = items.iter().filter(|item| !is_gone(item)).collect();
        if items.len() < 3 || left.len() < 2 {
            let (message, help) = if items.len() < 3 {
                ("`ends` names fewer than three ports", "a lead of two ends has `from` and `to`")
            } else {
                (
                    "`ends` names fewer than two ports that are there",
                    "a lead of which one end is left is not a lead",
                )
            };
            self.problems.push(Problem::new(node.at.clone(), message).help(help));
            return None;
        }
        let items = left;
        let ends: Vec<Option<PortRef>> = items.iter().map(|item| self.lead_end(rig, item)).collect();
        let ends: Vec<PortRef> = ends.into_iter().collect::<Option<_>>()?;
        for (index, end) in ends.iter().enumerate() {
            if ends[..index].contains(end) {
                self.say(&items[index].at, format!("the lead names {end} twice"));
                return None;
            }
        }
        Some(ends)
    }

    /// The plug and exit at one end of a lead with a joint.
    fn plug_of(&mut self, node: &Node, end: &PortRef) -> PlugSpec {
        let of = |key: &str| node.get(key).and_then(|table| table.get(&end.to_string()));
        let exit = of("exits").and_then(Node::as_text).and_then(Exit::of);
        PlugSpec { plug: self.plug(of("plugs")), exit }
    }

    /// What the legs were cut to; a name that is no end of the lead is a problem.
    fn legs(&mut self, node: &Node, ends: &[PortRef]) -> Vec<(PortRef, Length)> {
        for key in ["plugs", "exits", "legs"] {
            for (name, entry) in node.named(key) {
                if ends.iter().all(|end| end.to_string() != *name) {
                    let all: Vec<String> = ends.iter().map(ToString::to_string).collect();
                    self.problems.push(
                        Problem::new(
                            entry.at.clone(),
                            format!("`{}` is not an end of this lead", shown(name)),
                        )
                        .help(format!("its ends are {}", all.join(", "))),
                    );
                }
            }
        }
        let of = |end: &PortRef| node.get("legs")?.plain(&end.to_string());
        ends.iter().filter_map(|end| Some((end.clone(), of(end)?))).collect()
    }

    /// Where the document puts the joint.
    fn joint(&mut self, node: &Node) -> Option<[Length; 2]> {
        let item = node.get("joint")?;
        let text = item.as_text()?;
        let at = tie_point(text);
        if at.is_none() {
            self.problems.push(
                Problem::new(item.at.clone(), format!("`{}` is not a place for a joint", shown(text)))
                    .help("two lengths from the board's front left corner, as `120 mm, 80 mm`"),
            );
        }
        at
    }

    /// The tie points of a lead: two lengths each.
    fn ties(&mut self, node: &Node) -> Vec<[Length; 2]> {
        let mut out = Vec::new();
        for item in node.items("ties") {
            let Some(text) = item.as_text() else { continue };
            match tie_point(text) {
                Some(tie) => out.push(tie),
                None => self.problems.push(
                    Problem::new(
                        item.at.clone(),
                        format!("`{}` is not a place for a tie point", shown(text)),
                    )
                    .help("two lengths from the board's front left corner, as `120 mm, 80 mm`"),
                ),
            }
        }
        out
    }

    fn lead_end(&mut self, rig: &Rig, item: &Node) -> Option<PortRef> {
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
        node.word(key)
    }

    /// The plug of a supply lead: stated at the feed, else the default of its class.
    pub(super) fn feed_plug(&mut self, node: &Node, class: LeadClass, plug: &str, exit: &str) -> PlugSpec {
        PlugSpec {
            plug: self.plug(node.get(plug)).or_else(|| self.default_plug(class)),
            exit: Self::exit(node, exit),
        }
    }
}

/// The place a text of `ties` stands for: two lengths from the board's front left corner.
pub fn tie_point(text: &str) -> Option<[Length; 2]> {
    let (x, y) = text.split_once(',')?;
    Some([Length::parse(x.trim()).ok()?, Length::parse(y.trim()).ok()?])
}
