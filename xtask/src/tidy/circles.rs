//! Circles of imports between the files of one crate: none but those listed, and the list only grows shorter.
//!
//! A file uses another when it names something that stands in the other: what is only handed on (`pub use`) leads
//! through to where it stands, and handing on is no use. Files that use each other, directly or round about, are a
//! circle: none of them can be read, tested or moved alone.

use std::collections::{BTreeMap, BTreeSet};

use anyhow::Result;

use super::{Project, Remark};
use crate::rust::items::{Kind, items, without_tests};
use crate::rust::paths::{Import, Named, named};
use crate::rust::tokens::tokens;

/// A line `crate: file file` for each circle, files from the crate's `src` on; `rules/*` is every file of a folder, for a
/// table and what it lists.
const TABLE: &str = "xtask/tables/circles.txt";

/// A circle of a crate.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Circle {
    member: String,
    files: BTreeSet<String>,
}

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    let table = if project.tree.has(TABLE) { project.tree.text(TABLE)? } else { String::new() };
    let texts = project.tree.texts(&["rs"])?;
    let mut found = Vec::new();
    for member in &project.members {
        let source = format!("{}/src/", member.folder);
        let files: Vec<(&str, &str)> = texts
            .iter()
            .filter_map(|(path, text)| Some((path.strip_prefix(source.as_str())?, text.as_str())))
            .collect();
        let circles = circles(&files).into_iter();
        found.extend(circles.map(|files| Circle { member: member.name.clone(), files }));
    }
    Ok(judge(&found, &table))
}

fn judge(found: &[Circle], table: &str) -> Vec<Remark> {
    let mut listed = BTreeMap::new();
    for (index, line) in table.lines().enumerate() {
        let said = line.split('#').next().unwrap_or_default();
        let Some((member, files)) = said.split_once(':') else { continue };
        let files = files.split_whitespace().map(str::to_owned).collect();
        listed.insert(Circle { member: member.trim().to_owned(), files }, index + 1);
    }
    let mut remarks = Vec::new();
    for circle in found.iter().filter(|circle| !listed.keys().any(|listed| is_same(listed, circle))) {
        let what = format!("a circle of imports that is not listed, `{}`", told(circle));
        remarks.push(Remark::new(
            TABLE,
            1,
            what,
            "imports that run one way, or a circle listed before, made smaller",
        ));
    }
    for (circle, line) in
        listed.iter().filter(|(circle, _)| !found.iter().any(|found| is_same(circle, found)))
    {
        let what = format!("`{}` is no circle any more", told(circle));
        remarks.push(Remark::new(TABLE, *line, what, "the circles that are there; strike the line"));
    }
    remarks
}

/// Whether a circle has the files that a line lists, and no other.
fn is_same(listed: &Circle, found: &Circle) -> bool {
    let fits = |pattern: &str, file: &str| match pattern.strip_suffix('*') {
        Some(folder) => file.strip_prefix(folder).is_some_and(|name| !name.contains('/')),
        None => pattern == file,
    };
    listed.member == found.member
        && found.files.iter().all(|file| listed.files.iter().any(|pattern| fits(pattern, file)))
        && listed.files.iter().all(|pattern| found.files.iter().any(|file| fits(pattern, file)))
}

fn told(circle: &Circle) -> String {
    let files: Vec<&str> = circle.files.iter().map(String::as_str).collect();
    format!("{}: {}", circle.member, files.join(" "))
}

/// A module of a crate: one file.
struct Module<'a> {
    file: &'a str,
    /// Names that stand in the file itself.
    own: BTreeSet<&'a str>,
    named: Named<'a>,
}

/// The modules of a crate by their path from its root.
type Modules<'a> = BTreeMap<Vec<&'a str>, Module<'a>>;

/// The groups of files that use each other.
fn circles(files: &[(&str, &str)]) -> Vec<BTreeSet<String>> {
    let modules: Modules<'_> = files
        .iter()
        .map(|(file, text)| {
            let tokens = without_tests(&tokens(text));
            let own = items(&tokens)
                .iter()
                .filter(|item| item.kind == Kind::Named && item.owner.is_none())
                .map(|item| item.name)
                .collect();
            (place(file), Module { file, own, named: named(&tokens) })
        })
        .collect();
    let uses: BTreeMap<&str, BTreeSet<&str>> =
        modules.iter().map(|(path, module)| (module.file, used(&modules, path, module))).collect();
    let reached: BTreeMap<&str, BTreeSet<&str>> =
        uses.keys().map(|file| (*file, reach(&uses, file))).collect();
    let groups: BTreeSet<BTreeSet<String>> = reached
        .iter()
        .filter(|(file, to)| to.contains(**file))
        .map(|(file, to)| {
            to.iter().filter(|other| reached[**other].contains(file)).map(|f| (*f).to_owned()).collect()
        })
        .collect();
    groups.into_iter().collect()
}

/// The module that a file is: `a/b.rs` and `a/b/mod.rs` are `a::b`.
fn place(file: &str) -> Vec<&str> {
    let stem = file.strip_suffix(".rs").unwrap_or(file);
    let mut path: Vec<&str> = stem.split('/').collect();
    if path.last() == Some(&"mod") || matches!(stem, "lib" | "main") {
        path.pop();
    }
    path
}

/// The other files that a module uses.
fn used<'a>(modules: &Modules<'a>, at: &[&'a str], module: &Module<'a>) -> BTreeSet<&'a str> {
    let taken = module.named.imports.iter().filter(|import| !import.is_handed_on && import.name.is_some());
    let paths = taken.map(|import| &import.path).chain(&module.named.paths);
    let mut files: BTreeSet<&str> =
        paths.filter_map(|path| home(modules, at, path, &mut BTreeSet::new())).collect();
    files.remove(module.file);
    files
}

/// The file in which stands what a path names, seen from a module; nothing for a module or what is not of the crate.
fn home<'a>(
    modules: &Modules<'a>,
    at: &[&'a str],
    path: &[&'a str],
    seen: &mut BTreeSet<(Vec<&'a str>, &'a str)>,
) -> Option<&'a str> {
    let (mut here, mut rest) = match *path.first()? {
        "crate" => (Vec::new(), &path[1..]),
        "self" => (at.to_vec(), &path[1..]),
        "super" => (at[..at.len().checked_sub(1)?].to_vec(), &path[1..]),
        _ => (at.to_vec(), path),
    };
    while rest.first() == Some(&"super") {
        here.pop()?;
        rest = &rest[1..];
    }
    while let Some(name) = rest.first() {
        let mut inner = here.clone();
        inner.push(name);
        if !modules.contains_key(&inner) {
            break;
        }
        here = inner;
        rest = &rest[1..];
    }
    let name = rest.first()?;
    let module = modules.get(&here)?;
    if module.own.contains(name) {
        return Some(module.file);
    }
    if !seen.insert((here.clone(), name)) {
        return None;
    }
    let import = |import: &Import<'a>| -> Option<&'a str> {
        let mut path = import.path.clone();
        // Through a module that was imported, or a glob, the way goes on.
        path.extend(if import.name.is_some() { &rest[1..] } else { rest });
        home(modules, &here, &path, &mut seen.clone())
    };
    let by_name = module.named.imports.iter().filter(|found| found.name == Some(name));
    let by_glob = module.named.imports.iter().filter(|found| found.name.is_none());
    by_name.chain(by_glob).find_map(import)
}

/// The files that a file leads to.
fn reach<'a>(uses: &BTreeMap<&'a str, BTreeSet<&'a str>>, from: &str) -> BTreeSet<&'a str> {
    let mut reached = BTreeSet::new();
    let mut open: Vec<&str> = uses[from].iter().copied().collect();
    while let Some(file) = open.pop() {
        if reached.insert(file) {
            open.extend(&uses[file]);
        }
    }
    reached
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(files: &[(&str, &str)]) -> Vec<String> {
        circles(files).iter().map(|files| files.iter().cloned().collect::<Vec<_>>().join(" ")).collect()
    }

    #[test]
    fn files_that_use_each_other_are_a_circle() {
        let direct =
            [("a.rs", "use crate::b::g;\npub fn f() { g() }"), ("b.rs", "pub fn g() { crate::a::f() }")];
        assert_eq!(found(&direct), ["a.rs b.rs"]);
        let through_the_root = [
            ("lib.rs", "mod a;\nmod b;\npub use a::A;\npub use b::B;"),
            ("a.rs", "use crate::B;\npub struct A(B);"),
            ("b.rs", "use super::A;\npub struct B(A);"),
        ];
        assert_eq!(found(&through_the_root), ["a.rs b.rs"]);
        let round_about = [
            ("x/mod.rs", "mod y;\nuse crate::z;\npub fn f() { z::h() }"),
            ("x/y.rs", "pub fn g() { super::f() }"),
            ("z.rs", "pub use crate::x::*;\npub fn h() { crate::x::y::g() }"),
        ];
        assert_eq!(found(&round_about), ["x/mod.rs x/y.rs z.rs"]);
    }

    #[test]
    fn imports_that_run_one_way_are_none() {
        let one_way = [
            ("lib.rs", "mod a;\nmod b;\npub use a::f;\npub struct S;"),
            ("a.rs", "use crate::{S, b::g};\nuse std::fmt;\npub fn f(_: S) { g() }"),
            ("b.rs", "pub fn g() {}\n#[cfg(test)]\nmod tests { use crate::a::f; }"),
        ];
        assert_eq!(found(&one_way), Vec::<String>::new());
    }

    #[test]
    fn the_list_is_held_to_what_is_there() {
        let circle = |files: &[&str]| Circle {
            member: "rig".to_owned(),
            files: files.iter().map(|f| (*f).to_owned()).collect(),
        };
        let there = [circle(&["a.rs", "b.rs"])];
        assert_eq!(judge(&there, "# why\nrig: b.rs a.rs # reason\n"), []);
        assert!(judge(&there, "").iter().any(|remark| remark.what.contains("not listed")));
        let table = [circle(&["r.rs", "r/a.rs", "r/b.rs"])];
        assert_eq!(judge(&table, "rig: r.rs r/*\n"), []);
        assert_eq!(judge(&table, "rig: r/*\n").len(), 2);
        assert_eq!(judge(&[circle(&["r.rs", "r/a/b.rs"])], "rig: r.rs r/*\n").len(), 2);
        let stale = judge(&[], "# why\nrig: a.rs b.rs\n");
        assert_eq!((stale.len(), stale[0].line), (1, 2));
    }
}
