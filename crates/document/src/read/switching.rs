//! What one switch works: each name is a device or a loop, each entry has two or more, and no two contradict.

use rig::{Rig, SwitchingWay};

use super::node::Node;
use super::reader::Reader;
use crate::problem::{Problem, nearest, shown};

/// A name that stands in an entry for things worked together, and that entry.
struct Worked<'a> {
    name: &'a str,
    by: &'a str,
}

impl Reader<'_> {
    /// A state is asked for by its name: none may be called what means another one already.
    pub(super) fn state_names(&mut self, tree: &Node, rig: &Rig) {
        let is_switched = |name: &str| {
            let (tag, circuit) =
                name.rsplit_once('.').map_or((name, None), |(tag, circuit)| (tag, Some(circuit)));
            rig.device(name).is_some()
                || rig
                    .device(tag)
                    .is_some_and(|device| device.loops.iter().any(|one| Some(one.name.as_str()) == circuit))
        };
        for (name, node) in tree.named("state") {
            let means = if ["everything off", "everything on"].contains(&name.as_str()) {
                "that state is answered for anyway"
            } else if name.split(',').all(|part| is_switched(part.trim())) {
                "that asks for the state in which just those devices are on"
            } else {
                continue;
            };
            let message = format!("a state is called {}: {means}", shown(name));
            self.problems.push(Problem::new(node.at.clone(), message).help("give it another name"));
        }
    }

    /// What is named must be there, and be named once where twice means nothing.
    pub(super) fn switching(&mut self, tree: &Node, rig: &Rig) {
        let mut worked: Vec<Worked<'_>> = Vec::new();
        for (by, node) in tree.named("switching") {
            let Some(way) = node.word::<SwitchingWay>("way") else { continue };
            let items = node.items("devices");
            if let Some(list) = node.get("devices").filter(|_| items.len() < 2) {
                let message = format!("switch {} works {}", shown(by), counted(items.len()));
                let help = "name two or more: `devices = [\"A1\", \"A2\"]`; what is switched by itself needs no entry";
                self.problems.push(Problem::new(list.at.clone(), message).help(help));
            }
            let mut named: Vec<&str> = Vec::new();
            for item in items {
                let Some(name) = item.as_text() else { continue };
                if let Some(problem) = not_switched(rig, name, item) {
                    self.problems.push(problem);
                    continue;
                }
                if named.contains(&name) {
                    let message = format!("switch {} names {} twice", shown(by), shown(name));
                    self.problems.push(Problem::new(item.at.clone(), message).help("name it once"));
                    continue;
                }
                named.push(name);
                let other = worked.iter().find(|other| other.name == name);
                if let Some(other) = other.filter(|_| way == SwitchingWay::Together) {
                    let message = format!(
                        "{} is worked together by two switches, {} and {}",
                        shown(name),
                        shown(other.by),
                        shown(by)
                    );
                    let help = "write all that go on and off with it in one entry";
                    self.problems.push(Problem::new(item.at.clone(), message).help(help));
                }
            }
            if way == SwitchingWay::Together {
                worked.extend(named.into_iter().map(|name| Worked { name, by }));
            }
        }
        self.contradictions(tree, &worked);
    }

    /// Two things that one switch works together cannot be on one at a time.
    fn contradictions(&mut self, tree: &Node, worked: &[Worked<'_>]) {
        for (by, node) in tree.named("switching") {
            if node.word::<SwitchingWay>("way") != Some(SwitchingWay::OneAtATime) {
                continue;
            }
            let mut met: Vec<&Worked<'_>> = Vec::new();
            for item in node.items("devices") {
                let Some(here) = worked.iter().find(|here| Some(here.name) == item.as_text()) else {
                    continue;
                };
                if let Some(other) = met.iter().find(|other| other.by == here.by && other.name != here.name) {
                    let message = format!(
                        "{} and {} are one at a time by switch {}, and together by switch {}",
                        shown(other.name),
                        shown(here.name),
                        shown(by),
                        shown(here.by)
                    );
                    let help = "take one of them out of one of the two entries";
                    self.problems.push(Problem::new(item.at.clone(), message).help(help));
                }
                met.push(here);
            }
        }
    }
}

fn counted(count: usize) -> &'static str {
    if count == 0 { "nothing" } else { "only one device" }
}

/// Why a name is nothing that a switch works.
fn not_switched(rig: &Rig, name: &str, item: &Node) -> Option<Problem> {
    let (tag, loop_name) = match name.split_once('.') {
        Some((tag, loop_name)) => (tag, Some(loop_name)),
        None => (name, None),
    };
    let Some(device) = rig.device(tag) else {
        let problem = Problem::new(item.at.clone(), format!("`{}` is not a device of this rig", shown(tag)));
        return Some(match nearest(tag, rig.devices.iter().map(|device| device.tag.as_str())) {
            Some(near) => problem.help(format!("did you mean `{near}`?")),
            None => problem,
        });
    };
    let loops: Vec<String> = device.loops.iter().map(|one| format!("`{tag}.{}`", one.name)).collect();
    let one_of = || match loops.as_slice() {
        [] => "it has no loops; write its tag alone".to_owned(),
        [one] => format!("write {one}"),
        all => format!("write one of {}", all.join(", ")),
    };
    match loop_name {
        Some(loop_name) if device.loops.iter().all(|one| one.name != loop_name) => {
            let message = format!("{} has no loop `{}`", shown(tag), shown(loop_name));
            Some(Problem::new(item.at.clone(), message).help(one_of()))
        }
        None if !loops.is_empty() => {
            let message = format!("{} switches loops, and is not switched itself", shown(tag));
            Some(Problem::new(item.at.clone(), message).help(one_of()))
        }
        _ => None,
    }
}
