//! The arrows between the crates are those that `ARCHITECTURE.md` lists, no more and no fewer.
//!
//! A fenced block with the info string `arrows` has a line `rig -> quantity finding` for each crate that uses
//! others of the workspace. What only tests use stands in a block of its own, `arrows tests`. A line may end
//! in a `# comment`, and a crate that uses none may stand there with nothing after its arrow.

use std::collections::{BTreeMap, BTreeSet};

use anyhow::Result;

use super::{Project, Remark};
use crate::markdown;
use crate::metadata::Member;

const MAP: &str = "ARCHITECTURE.md";

/// What a crate uses, in one of the two ways.
type Uses = fn(&Member) -> &BTreeSet<String>;

/// The info string of each kind of block, and what of a crate it lists.
const BLOCKS: [(&str, Uses); 2] =
    [("arrows", |member| &member.uses), ("arrows tests", |member| &member.tests_use)];

/// Who uses whom, with the line that says so.
type Arrows<'a> = BTreeMap<(&'a str, &'a str), usize>;

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    if !project.tree.has(MAP) {
        return Ok(vec![Remark::new(MAP, 1, "the map is not there", "a map with a block of `arrows`")]);
    }
    Ok(judge(&project.members, &project.tree.text(MAP)?))
}

fn judge(members: &[Member], map: &str) -> Vec<Remark> {
    let mut remarks = Vec::new();
    if markdown::lines(map).iter().all(|line| line.fence != Some("arrows")) {
        remarks.push(Remark::new(
            MAP,
            1,
            "no fenced block `arrows`",
            "one, with lines `rig -> quantity finding`",
        ));
    }
    for (info, uses) in BLOCKS {
        let listed = listed(map, info, members, &mut remarks);
        for member in members {
            for used in uses(member) {
                if !listed.contains_key(&(member.name.as_str(), used.as_str())) {
                    let manifest = format!("{}/Cargo.toml", member.folder);
                    let what = format!("`{}` uses `{used}`", member.name);
                    remarks.push(Remark::new(
                        &manifest,
                        1,
                        what,
                        format!("what the block `{info}` of {MAP} lists"),
                    ));
                }
            }
        }
        for ((from, to), line) in listed {
            let is_real = members.iter().any(|member| member.name == from && uses(member).contains(to));
            if !is_real {
                let what = format!("`{from} -> {to}` is listed, and no manifest says so");
                remarks.push(Remark::new(MAP, line, what, format!("`{info}` as the manifests have them")));
            }
        }
    }
    remarks
}

/// The arrows of the blocks with one info string; lines that make no sense become remarks.
fn listed<'a>(map: &'a str, info: &str, members: &[Member], remarks: &mut Vec<Remark>) -> Arrows<'a> {
    let mut arrows = Arrows::new();
    for line in markdown::lines(map).into_iter().filter(|line| line.fence == Some(info)) {
        let said = line.text.split('#').next().unwrap_or_default().trim();
        if said.is_empty() {
            continue;
        }
        let Some((from, to)) = said.split_once("->") else {
            remarks.push(Remark::new(
                MAP,
                line.number,
                format!("`{said}` is no arrow"),
                "`rig -> quantity finding`",
            ));
            continue;
        };
        let from = from.trim();
        for name in std::iter::once(from).chain(to.split_whitespace()) {
            if !members.iter().any(|member| member.name == name) {
                let what = format!("`{name}` is no crate of the workspace");
                remarks.push(Remark::new(MAP, line.number, what, "names of crates"));
            }
        }
        for to in to.split_whitespace() {
            if let Some(first) = arrows.insert((from, to), line.number) {
                let what = format!("`{from} -> {to}` is listed on line {first} already");
                remarks.push(Remark::new(MAP, line.number, what, "each arrow once"));
            }
        }
    }
    arrows
}

#[cfg(test)]
mod tests {
    use super::*;

    fn member(name: &str, uses: &[&str], tests_use: &[&str]) -> Member {
        let set = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
        Member {
            name: name.to_owned(),
            folder: format!("crates/{name}"),
            uses: set(uses),
            tests_use: set(tests_use),
        }
    }

    fn members() -> Vec<Member> {
        vec![
            member("checks", &["rig"], &["document"]),
            member("document", &["rig"], &[]),
            member("rig", &[], &[]),
        ]
    }

    fn remarks(real: &str, tests: &str) -> Vec<String> {
        let map = format!("# Map\n```arrows\n{real}\n```\n\n```arrows tests\n{tests}\n```\n");
        judge(&members(), &map).iter().map(ToString::to_string).collect()
    }

    #[test]
    fn fires_on_an_arrow_that_is_not_listed() {
        let told = remarks("checks -> rig", "checks -> document");
        assert_eq!(told.len(), 1);
        assert!(told[0].starts_with("crates/document/Cargo.toml:1: `document` uses `rig`"), "{told:?}");
    }

    #[test]
    fn fires_on_an_arrow_that_is_not_there() {
        let told = remarks("checks -> rig document\ndocument -> rig", "checks -> document");
        assert_eq!(told.len(), 1);
        assert!(told[0].starts_with("ARCHITECTURE.md:3: `checks -> document` is listed"), "{told:?}");
    }

    #[test]
    fn fires_on_an_arrow_of_tests_among_the_others() {
        assert_eq!(remarks("checks -> rig document\ndocument -> rig", "").len(), 2);
    }

    #[test]
    fn fires_on_unknown_names_and_on_what_is_no_arrow() {
        let told = remarks("checks -> rig\ndocument -> rig\nshed\nshed ->", "checks -> document");
        assert!(told.iter().any(|line| line.contains("`shed` is no arrow")), "{told:?}");
        assert!(told.iter().any(|line| line.contains("`shed` is no crate")), "{told:?}");
    }

    #[test]
    fn fires_on_a_map_without_arrows() {
        assert!(judge(&[member("rig", &[], &[])], "# Map\n")[0].what.contains("no fenced block"));
    }

    #[test]
    fn silent() {
        let told = remarks("checks -> rig  # judges it\ndocument -> rig\nrig ->", "checks -> document");
        assert_eq!(told, Vec::<String>::new());
    }
}
