//! The walks in `ARCHITECTURE.md` lead somewhere: each item that a step names stands in the file that its path says.
//!
//! A walk is a heading `### Walk: …` with a numbered list below it, one step a line, six at most. A step begins with the
//! item in a code span, `crate::module::NAME` or `crate::module::Type::NAME`; the modules lead to the file.

use anyhow::Result;

use super::{Project, Remark};
use crate::markdown;
use crate::rust::items::{Kind, items};
use crate::rust::tokens::tokens;

const MAP: &str = "ARCHITECTURE.md";

const HEADING: &str = "### Walk: ";

/// The walks that have to be there, by a word of their heading.
const WALKS: &[&str] = &["width", "cut length", "edit", "feed"];

/// What somebody new can keep in mind.
const MOST_STEPS: usize = 6;

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    let tree = &project.tree;
    let map = if tree.has(MAP) { tree.text(MAP)? } else { String::new() };
    let read = |path: &str| if tree.has(path) { tree.text(path).ok() } else { None };
    Ok(judge(&map, &read))
}

fn judge(map: &str, read: &dyn Fn(&str) -> Option<String>) -> Vec<Remark> {
    let mut remarks = Vec::new();
    // Heading, its line, steps so far.
    let mut walks: Vec<(&str, usize, usize)> = Vec::new();
    let mut is_open = false;
    for line in markdown::lines(map).iter().filter(|line| line.fence.is_none()) {
        if line.text.starts_with('#') {
            let heading = line.text.strip_prefix(HEADING);
            is_open = heading.is_some();
            walks.extend(heading.map(|heading| (heading, line.number, 0)));
            continue;
        }
        let (true, Some(step), Some(walk)) = (is_open, numbered(line.text), walks.last_mut()) else {
            continue;
        };
        walk.2 += 1;
        let spans = markdown::code_spans(step);
        let Some(item) = spans.first().filter(|_| step.starts_with('`')) else {
            let what = "a step without an item";
            remarks.push(Remark::new(MAP, line.number, what, "`crate::module::NAME` in front"));
            continue;
        };
        if !stands(item, read) {
            let what = format!("`{item}` is not in the source");
            remarks.push(Remark::new(
                MAP,
                line.number,
                what,
                "`crate::module::NAME`, as it stands in that file",
            ));
        }
    }
    for (heading, line, steps) in &walks {
        if !(1..=MOST_STEPS).contains(steps) {
            let what = format!("{steps} steps of the walk `{heading}`");
            remarks.push(Remark::new(MAP, *line, what, format!("1 to {MOST_STEPS}")));
        }
    }
    for wanted in WALKS.iter().filter(|wanted| !walks.iter().any(|(heading, ..)| heading.contains(*wanted))) {
        let what = format!("no walk of `{wanted}`");
        remarks.push(Remark::new(MAP, 1, what, format!("a heading `{HEADING}…` with it")));
    }
    remarks
}

/// What stands behind the number of a list's item.
fn numbered(line: &str) -> Option<&str> {
    let (number, rest) = line.split_once(". ")?;
    (!number.is_empty() && number.chars().all(|digit| digit.is_ascii_digit())).then(|| rest.trim_start())
}

/// Whether the path's item stands in the file that its modules lead to.
fn stands(path: &str, read: &dyn Fn(&str) -> Option<String>) -> bool {
    let parts: Vec<&str> = path.split("::").collect();
    let [member, between @ .., name] = parts.as_slice() else { return false };
    let is_type = |part: &&str| part.starts_with(|first: char| first.is_ascii_uppercase());
    let (modules, owner) = match between {
        [modules @ .., owner] if is_type(owner) => (modules, Some(*owner)),
        modules => (modules, None),
    };
    let files = match modules {
        [] => ["lib.rs", "main.rs"].map(str::to_owned),
        modules => [format!("{}.rs", modules.join("/")), format!("{}/mod.rs", modules.join("/"))],
    };
    files.iter().filter_map(|file| read(&format!("crates/{member}/src/{file}"))).any(|text| {
        let tokens = tokens(&text);
        items(&tokens)
            .iter()
            .any(|item| item.kind == Kind::Named && item.name == *name && item.owner == owner)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(path: &str) -> Option<String> {
        let text = match path {
            "crates/rig/src/lib.rs" => "pub struct Rig;\nmod device;",
            "crates/rig/src/device.rs" => {
                "pub struct Size { pub width: u8 }\nimpl Size { pub fn turned(self) -> Self { self } }\n\
                 pub(crate) fn read() {}\n#[cfg(test)]\nmod tests { fn proof() {} }"
            }
            "crates/drawing/src/plan/mod.rs" => "pub const SCALE: u8 = 1;\npub enum Weight { Thin }",
            _ => return None,
        };
        Some(text.to_owned())
    }

    fn told(steps: &str) -> Vec<String> {
        let map = format!(
            "## Walks\n\n### Walk: a width\n\n{steps}\n\n### Walk: a cut length\n\n1. `rig::Rig`\n\n### Walk: an edit\n\n\
             1. `rig::Rig`\n\n### Walk: a feed\n\n1. `rig::Rig`\n\n## Next\n\n1. `no::such::Thing`\n"
        );
        judge(&map, &read).iter().map(ToString::to_string).collect()
    }

    #[test]
    fn fires_on_a_name_that_is_not_there() {
        for item in [
            "rig::device::Sise",
            "rig::Size",
            "rig::devices::Size",
            "rigs::device::Size",
            "rig::device::Size::shrunk",
            "rig::device::turned",
            "drawing::plan::Scale",
            "Size",
            "rig",
        ] {
            let told = told(&format!("1. `{item}`: width"));
            assert_eq!(told.len(), 1, "{item}: {told:?}");
            assert!(
                told[0].starts_with(&format!("ARCHITECTURE.md:5: `{item}` is not in the source")),
                "{told:?}"
            );
        }
    }

    #[test]
    fn fires_on_a_walk_that_is_none() {
        assert!(told("1. then `rig::Rig`")[0].contains("a step without an item"));
        assert!(told("")[0].contains("0 steps of the walk `a width`"));
        assert!(told(&"1. `rig::Rig`\n".repeat(7))[0].contains("7 steps of the walk `a width`"));
        assert_eq!(judge("# No walks", &read).len(), WALKS.len());
    }

    #[test]
    fn silent() {
        for item in [
            "rig::Rig",
            "rig::device::Size",
            "rig::device::Size::turned",
            "rig::device::read",
            "drawing::plan::SCALE",
            "drawing::plan::Weight",
        ] {
            assert_eq!(
                told(&format!("1. `{item}`: what it does with `rig::Nothing`")),
                Vec::<String>::new(),
                "{item}"
            );
        }
    }
}
