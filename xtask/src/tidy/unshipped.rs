//! What is public is used by what ships: a function, type or constant that only tests, benches and examples reach
//! checks nothing that anybody runs.
//!
//! Found by name, from the programs' `main` on: an item counts as used when its name stands in an item that is used.
//! Two things of one name are therefore taken for one; the check says too little rather than something false. A public
//! module counts as used when a path of another module, or of another crate, goes through it.

use std::collections::BTreeSet;

use anyhow::Result;

use super::{Project, Remark};
use crate::rust::items::{Item, Kind, items, without_tests};
use crate::rust::paths::named;
use crate::rust::tokens::{Token, tokens};

/// Lines `file name` below a line `## REASON`.
const TABLE: &str = "xtask/tables/unshipped.txt";

/// Where the crates of the product stand.
const PRODUCT: &str = "crates/";

/// A source file of the product.
struct Source<'a> {
    path: &'a str,
    items: Vec<Item<'a>>,
    /// Imports, and paths outside of them.
    paths: Vec<Vec<&'a str>>,
    /// Words of the imports that it does not hand on.
    imports: BTreeSet<&'a str>,
}

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    let table = if project.tree.has(TABLE) { project.tree.text(TABLE)? } else { String::new() };
    let texts = project.tree.texts(&["rs"])?;
    let (shipped, beside): (Vec<_>, Vec<_>) =
        texts.iter().filter(|(path, _)| !path.starts_with("xtask/")).partition(|(path, _)| is_shipped(path));
    let sources: Vec<(&str, &str)> = shipped.iter().map(|(path, text)| (*path, text.as_str())).collect();
    let beside: Vec<&str> = beside.iter().map(|(_, text)| text.as_str()).collect();
    Ok(judge(&sources, &beside, &table))
}

fn is_shipped(path: &str) -> bool {
    path.strip_prefix(PRODUCT)
        .and_then(|path| path.split('/').nth(1))
        .is_some_and(|at| matches!(at, "src" | "build.rs"))
}

fn judge(sources: &[(&str, &str)], beside: &[&str], table: &str) -> Vec<Remark> {
    let unused = unused(sources, beside);
    let mut listed: Vec<(&str, usize)> = Vec::new();
    let mut remarks = Vec::new();
    let mut reason = "";
    for (index, line) in table.lines().enumerate() {
        if let Some(heading) = line.strip_prefix("## ") {
            reason = heading.trim();
        } else if !line.trim().is_empty() && !line.starts_with('#') {
            listed.push((line.trim(), index + 1));
            if reason.is_empty() {
                remarks.push(Remark::new(
                    TABLE,
                    index + 1,
                    "an exception without a reason",
                    "one below a line `## REASON`",
                ));
            }
        }
    }
    for (entry, line) in &listed {
        if !unused.iter().any(|found| found.entry() == *entry) {
            let what = format!("`{entry}` is listed, and is gone or used");
            remarks.push(Remark::new(TABLE, *line, what, "exceptions that are needed; strike the line"));
        }
    }
    for found in &unused {
        let entry = found.entry();
        if !listed.iter().any(|(listed, _)| *listed == entry) {
            let who = if found.is_tested { "only tests, benches or examples use" } else { "nothing uses" };
            let what = format!("`{}` is public, and {who} it", found.name);
            remarks.push(Remark::new(
                found.path,
                found.line,
                what,
                format!("what ships, or a line `{entry}` with a reason in {TABLE}"),
            ));
        }
    }
    remarks
}

/// A public item that no program reaches.
struct Unused<'a> {
    path: &'a str,
    line: usize,
    name: String,
    is_tested: bool,
}

impl Unused<'_> {
    fn entry(&self) -> String {
        format!("{} {}", self.path, self.name)
    }
}

fn unused<'a>(texts: &[(&'a str, &'a str)], beside: &[&'a str]) -> Vec<Unused<'a>> {
    let mut tested: BTreeSet<&str> = beside.iter().flat_map(|text| words(&tokens(text))).collect();
    let sources: Vec<Source<'_>> = texts
        .iter()
        .map(|(path, text)| {
            let all = tokens(text);
            let shipped = without_tests(&all);
            let kept: BTreeSet<usize> = shipped.iter().map(|token| token.line).collect();
            tested.extend(words(
                &all.iter().filter(|token| !kept.contains(&token.line)).copied().collect::<Vec<_>>(),
            ));
            let named = named(&shipped);
            let kept = named.imports.iter().filter(|import| !import.is_handed_on);
            let imports = kept.flat_map(|import| import.path.iter().copied()).collect();
            let mut paths = named.paths;
            paths.extend(named.imports.into_iter().map(|import| import.path));
            Source { path, items: items(&shipped), paths, imports }
        })
        .collect();
    let alive = alive(&sources);
    let mut unused = Vec::new();
    for (source, alive) in sources.iter().zip(alive) {
        for (item, alive) in source.items.iter().zip(alive) {
            let is_used = match item.kind {
                Kind::Named => alive,
                Kind::Module => is_way(&sources, source.path, item.name),
                _ => continue,
            };
            if item.is_public && !is_used {
                let name = item.owner.map_or(item.name.to_owned(), |owner| format!("{owner}::{}", item.name));
                unused.push(Unused {
                    path: source.path,
                    line: item.line,
                    name,
                    is_tested: tested.contains(item.name),
                });
            }
        }
    }
    unused
}

fn words<'a>(tokens: &[Token<'a>]) -> BTreeSet<&'a str> {
    tokens.iter().filter(|token| token.is_word).map(|token| token.text).collect()
}

/// Whether a path of what ships goes through the module that a file declares, from outside of it.
fn is_way(sources: &[Source<'_>], declared_in: &str, name: &str) -> bool {
    let folder = declared_in.rsplit_once('/').map_or("", |(folder, _)| folder);
    let stem = declared_in.strip_suffix(".rs").unwrap_or(declared_in);
    let around = if ["lib", "main", "mod"].iter().any(|end| stem.ends_with(&format!("/{end}"))) {
        folder
    } else {
        stem
    };
    let (file, inside) = (format!("{around}/{name}.rs"), format!("{around}/{name}/"));
    let member = declared_in.split('/').nth(1).unwrap_or_default();
    sources.iter().filter(|source| source.path != file && !source.path.starts_with(&inside)).any(|source| {
        let is_own = source.path.split('/').nth(1) == Some(member);
        source.paths.iter().any(|path| path.contains(&name) && (is_own || path.contains(&member)))
    })
}

/// Which items of each file the programs reach.
fn alive(sources: &[Source<'_>]) -> Vec<Vec<bool>> {
    let named = sources.iter().flat_map(|source| &source.items).filter(|item| item.kind == Kind::Named);
    let ours: BTreeSet<&str> = named.filter(|item| item.owner.is_none()).map(|item| item.name).collect();
    let mut known: BTreeSet<&str> = BTreeSet::new();
    let mut alive: Vec<Vec<bool>> = sources.iter().map(|source| vec![false; source.items.len()]).collect();
    loop {
        let mut grew = false;
        for (source, alive) in sources.iter().zip(&mut alive) {
            for (item, alive) in source.items.iter().zip(alive.iter_mut()) {
                if !*alive && is_reached(source.path, item, &known, &ours) {
                    *alive = true;
                    grew = true;
                    known.extend(&item.words);
                }
            }
            // What a file imports serves what of it is used, be it only for the functions of a trait.
            if alive.contains(&true) {
                known.extend(&source.imports);
            }
        }
        if !grew {
            return alive;
        }
    }
}

fn is_reached(path: &str, item: &Item<'_>, known: &BTreeSet<&str>, ours: &BTreeSet<&str>) -> bool {
    let is_known = |name: &str| known.contains(name) || !ours.contains(name);
    match item.kind {
        _ if path.ends_with("/build.rs") => true,
        Kind::Named if item.name == "main" => path.ends_with("/src/main.rs"),
        Kind::Named => known.contains(item.name) && item.owner.is_none_or(is_known),
        Kind::Alias => known.contains(item.name),
        Kind::TraitImpl => is_known(item.name) && item.owner.is_none_or(is_known),
        Kind::Call => true,
        Kind::Module => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MAIN: (&str, &str) =
        ("crates/a/src/main.rs", "use b::{run, Told as _};\nfn main() { run().told(); }");

    fn told(library: &str, beside: &str, table: &str) -> Vec<String> {
        let sources = [MAIN, ("crates/b/src/lib.rs", library)];
        judge(&sources, &[beside], table)
            .iter()
            .map(|remark| format!("{} {}", remark.line, remark.what))
            .collect()
    }

    #[test]
    fn fires() {
        assert_eq!(
            told("pub fn run() {}\npub fn peer() {}", "b::peer()", ""),
            ["2 `peer` is public, and only tests, benches or examples use it"]
        );
        assert_eq!(
            told("pub fn run() {}\npub fn peer() {}", "", ""),
            ["2 `peer` is public, and nothing uses it"]
        );
        // What only the unused use is unused, and so is what stands in tests beside the code.
        let chain = "pub fn run() {}\npub fn peer() { far() }\npub fn far() {}\n#[cfg(test)]\nmod tests { fn t() { super::peer() } }";
        assert_eq!(told(chain, "", "").len(), 2);
        let method = "pub fn run() -> S { S }\npub struct S;\nimpl S {\n    pub fn peer(&self) {}\n}\nimpl fmt::Display for S { fn fmt(&self) {} }";
        assert_eq!(told(method, "", ""), ["4 `S::peer` is public, and nothing uses it"]);
        let module = "pub mod far;\npub fn run() {}";
        assert_eq!(
            told(module, "b::far::Peer", ""),
            ["1 `far` is public, and only tests, benches or examples use it"]
        );
        assert_eq!(told("pub fn run() {}", "", "## why\ncrates/b/src/lib.rs run\n").len(), 1);
        assert_eq!(
            told("pub fn run() {}\npub fn peer() {}", "", "crates/b/src/lib.rs peer\n"),
            ["1 an exception without a reason"]
        );
    }

    #[test]
    fn silent() {
        for library in [
            "pub fn run() { far() }\npub fn far() {}",
            "pub use inner::begin as run;\nmod inner { pub fn begin() { format!(\"{FAR}\"); } pub const FAR: u8 = 1; }",
            "pub fn run() -> S { S }\npub struct S;\npub trait Told { fn told(&self); }\nimpl Told for S { fn told(&self) { far() } }\npub fn far() {}",
            "pub fn run() {}\nmake! { pub fn peer }",
            "pub fn run() {}\npub(crate) fn peer() {}",
            "pub mod far;\npub fn run() { far::there() }",
        ] {
            assert_eq!(told(library, "b::peer()", ""), Vec::<String>::new(), "{library}");
        }
        let excepted = told(
            "pub fn run() {}\npub fn peer() {}",
            "",
            "# The list.\n\n## why\n\ncrates/b/src/lib.rs peer\n",
        );
        assert_eq!(excepted, Vec::<String>::new());
    }
}
