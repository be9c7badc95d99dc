//! What requirements wish: each wish is of one kind, says all that kind needs, and names what is there.

use rig::{Carries, Rig, Wish};

use super::node::Node;
use super::reader::Reader;
use crate::problem::{Problem, nearest, shown};

/// One kind of wish, by the key that says it.
struct Kind {
    key: &'static str,
    /// Keys that must stand beside it.
    needs: &'static [&'static str],
    /// Keys that may.
    takes: &'static [&'static str],
    /// The key with the tags.
    devices: &'static str,
    /// The fewest and the most tags.
    count: (usize, usize),
}

const ANY: usize = usize::MAX;

const fn kind(
    key: &'static str,
    needs: &'static [&'static str],
    takes: &'static [&'static str],
    devices: &'static str,
    count: (usize, usize),
) -> Kind {
    Kind { key, needs, takes, devices, count }
}

const KINDS: &[Kind] = &[
    kind("order", &[], &["run"], "order", (2, ANY)),
    kind("place", &["of"], &[], "of", (1, ANY)),
    kind("beside", &[], &[], "beside", (2, 2)),
    kind("together", &[], &[], "together", (2, ANY)),
    kind("apart", &["by"], &[], "apart", (2, ANY)),
    kind("spare", &[], &["deck"], "", (0, 0)),
    kind("mass", &[], &["cased"], "", (0, 0)),
    kind("plays", &["without"], &["from"], "without", (1, ANY)),
    kind("mono", &[], &[], "", (0, 0)),
    kind("use", &["of"], &[], "of", (1, ANY)),
];

/// The one kind that a wish is of, and otherwise all that it says.
fn kind_of(node: &Node) -> Result<&'static Kind, Vec<&'static str>> {
    let said: Vec<&Kind> = KINDS.iter().filter(|kind| node.get(kind.key).is_some()).collect();
    match said.as_slice() {
        [one] => Ok(one),
        several => Err(several.iter().map(|kind| kind.key).collect()),
    }
}

/// A wish as read; `None` where it does not say enough, which [`Reader::wishes`] tells.
pub(super) fn wish(node: &Node) -> Option<Wish> {
    let kind = kind_of(node).ok()?;
    let devices = node.texts(kind.devices);
    Some(match kind.key {
        "order" => Wish::Order { devices, run: node.text("run") },
        "place" => Wish::Place { at: node.word("place")?, devices },
        "beside" => Wish::Beside { devices: devices.try_into().ok()? },
        "together" => Wish::Together { devices },
        "apart" => Wish::Apart { devices, by: node.plain("by")? },
        "spare" => {
            let size = node.get("spare")?;
            Wish::Spare { width: size.plain("width")?, depth: size.plain("depth")?, deck: node.text("deck") }
        }
        "mass" => Wish::Mass { most: node.plain("mass")?, cased: node.switch("cased") },
        "plays" => Wish::Plays { sink: node.text("plays")?, without: devices, from: node.text("from") },
        "mono" => Wish::Mono { sink: node.text("mono")? },
        _ => Wish::Use { how: node.word("use")?, devices },
    })
}

impl Reader<'_> {
    /// Each wish says one thing whole, and what it names is there.
    pub(super) fn wishes(&mut self, tree: &Node, rig: &Rig) {
        let requirements = tree.get("brief").map_or(&[][..], |brief| brief.items("requirements"));
        for node in requirements.iter().flat_map(|requirement| requirement.items("wants")) {
            // A value that was refused is told already, and is no missing one.
            if self.refused.iter().any(|at| at.is_within(&node.at)) {
                continue;
            }
            match kind_of(node) {
                Ok(kind) => {
                    self.keys_of_wish(node, kind);
                    self.devices_of_wish(node, kind, rig);
                    self.names_of_wish(node, rig);
                }
                Err(said) => {
                    let found = if said.is_empty() { "none".to_owned() } else { said.join(" and ") };
                    let all: Vec<&str> = KINDS.iter().map(|kind| kind.key).collect();
                    let help = if said.is_empty() {
                        "write such as `order = [\"A1\", \"A2\"]`"
                    } else {
                        "write a wish of its own for each"
                    };
                    let message =
                        format!("a wish says exactly one of {}; this one says {found}", all.join(", "));
                    self.problems.push(Problem::new(node.at.clone(), message).help(help));
                }
            }
        }
    }

    /// What stands beside the key of the kind belongs to it, and nothing is missing.
    fn keys_of_wish(&mut self, node: &Node, kind: &Kind) {
        for (key, value) in node.entries() {
            let key = key.as_str();
            if key == kind.key || kind.needs.contains(&key) || kind.takes.contains(&key) {
                continue;
            }
            let owners: Vec<&str> = KINDS
                .iter()
                .filter(|other| other.needs.contains(&key) || other.takes.contains(&key))
                .map(|other| other.key)
                .collect();
            let message =
                format!("`{key}` belongs to a wish of {}; this is one of {}", owners.join(" or "), kind.key);
            self.problems.push(Problem::new(value.at.clone(), message).help(format!("take `{key}` out")));
        }
        for key in kind.needs.iter().filter(|key| node.get(key).is_none()) {
            let example = match *key {
                "by" => "by = \"100 mm\"".to_owned(),
                key => format!("{key} = [\"A1\"]"),
            };
            let message = format!("`{key}` is missing in a wish of {}", kind.key);
            self.problems.push(Problem::new(node.at.clone(), message).help(format!("write `{example}`")));
        }
    }

    fn devices_of_wish(&mut self, node: &Node, kind: &Kind, rig: &Rig) {
        let Some(list) = node.get(kind.devices) else { return };
        let items = node.items(kind.devices);
        let (least, most) = kind.count;
        if items.len() < least || most < items.len() {
            let wanted = match (least, most) {
                (2, 2) => "two",
                (2, _) => "two or more",
                _ => "one or more",
            };
            let found = match items.len() {
                0 => "no device".to_owned(),
                1 => "one device".to_owned(),
                count => format!("{count} devices"),
            };
            let message = format!("`{}` names {found}; it takes {wanted}", kind.devices);
            self.say(&list.at, message);
        }
        let mut named: Vec<&str> = Vec::new();
        for item in items {
            let Some(tag) = item.as_text() else { continue };
            if named.contains(&tag) {
                let message = format!("`{}` names {} twice", kind.devices, shown(tag));
                self.problems.push(Problem::new(item.at.clone(), message).help("name it once"));
            } else if rig.device(tag).is_none() {
                let tags = rig.devices.iter().map(|device| device.tag.as_str());
                self.problems.push(not_there(item, tag, "a device", tags));
            }
            named.push(tag);
        }
    }

    /// Runs, decks, sinks and sources that a wish names.
    fn names_of_wish(&mut self, node: &Node, rig: &Rig) {
        let text = |key: &str| node.get(key).and_then(|item| Some((item, item.as_text()?)));
        if let Some((item, name)) = text("run") {
            match rig.runs.iter().find(|run| run.name == name) {
                Some(run) if run.carries == Carries::Signal => {}
                Some(run) => {
                    let message = format!(
                        "run `{}` carries {}, and an order is one of signal",
                        shown(name),
                        run.carries.word()
                    );
                    self.say(&item.at, message);
                }
                None => {
                    let runs = rig.runs.iter().filter(|run| run.carries == Carries::Signal);
                    let names = runs.map(|run| run.name.as_str());
                    self.problems.push(not_there(item, name, "a run", names));
                }
            }
        }
        if let Some((item, name)) = text("deck")
            && rig.board.deck(name).is_none()
        {
            let names = rig.board.decks.iter().map(|deck| deck.name.as_str());
            self.problems.push(not_there(item, name, "a deck", names));
        }
        for (item, name) in ["plays", "mono"].into_iter().filter_map(text) {
            if rig.sink(name).is_none() {
                let names = rig.sinks.iter().map(|sink| sink.id.as_str());
                self.problems.push(not_there(item, name, "a sink", names));
            }
        }
        if let Some((item, name)) = text("from")
            && rig.source(name).is_none()
            && rig.device(name).is_none()
        {
            let names = rig.sources.iter().map(|source| source.id.as_str());
            self.problems.push(not_there(item, name, "a source or device", names));
        }
    }
}

/// `what` of this name is not there, and what is.
fn not_there<'a>(
    item: &Node,
    name: &str,
    what: &str,
    there: impl Iterator<Item = &'a str> + Clone,
) -> Problem {
    let problem = Problem::new(item.at.clone(), format!("`{}` is not {what} of this rig", shown(name)));
    match nearest(name, there.clone()) {
        Some(near) => problem.help(format!("did you mean `{near}`?")),
        None => {
            let there: Vec<&str> = there.collect();
            problem.help(match there.as_slice() {
                [] => "there is none".to_owned(),
                [one] => format!("there is {one}"),
                all => format!("there are {}", all.join(", ")),
            })
        }
    }
}
