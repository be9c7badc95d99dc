//! The map is true: each crate's folder is named in `ARCHITECTURE.md`, and each path that a page for
//! newcomers names is in the tree.
//!
//! A code span is taken for a path when it has a `/` in it or ends as a Rust, TOML or Markdown file does, and
//! is no command, pattern, address, option or absolute path. A folder in capitals (`src/rules/NAME.rs`) or in
//! angle brackets is a placeholder: what stands before it must be there. A bare file name may stand anywhere
//! in the tree.

use anyhow::Result;

use super::{Project, Remark};
use crate::markdown;
use crate::metadata::Member;
use crate::tree::holds;

const MAP: &str = "ARCHITECTURE.md";
const PAGES: &[&str] = &[MAP, "README.md", "CONTRIBUTING.md"];

/// Folders that builds make; git does not list them.
const MADE: &[&str] = &["target/", "out/"];

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    let tree = &project.tree;
    let mut remarks = Vec::new();
    for page in PAGES {
        if tree.has(page) {
            remarks.extend(paths(page, &tree.text(page)?, tree.files()));
        } else {
            remarks.push(Remark::new(page, 1, "the page is not there", "a page for newcomers"));
        }
    }
    if tree.has(MAP) {
        remarks.extend(crates(&project.members, &tree.text(MAP)?));
    }
    Ok(remarks)
}

/// The crates that the map does not name.
fn crates(members: &[Member], map: &str) -> Vec<Remark> {
    let words: Vec<&str> = map
        .split(|letter: char| !(letter.is_ascii_alphanumeric() || matches!(letter, '/' | '_' | '-' | '.')))
        .collect();
    members
        .iter()
        .filter(|member| {
            let own_name = member.folder.rsplit('/').next().unwrap_or(&member.folder);
            let in_a_drawn_tree = format!("{own_name}/");
            !words.iter().any(|word| {
                *word == in_a_drawn_tree
                    || word
                        .strip_prefix(&member.folder)
                        .is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
            })
        })
        .map(|member| {
            let what = format!("the folder `{}` is not named", member.folder);
            Remark::new(MAP, 1, what, format!("a map with `{}/` in it", member.folder))
        })
        .collect()
}

/// The paths of a page that are not in the tree.
fn paths(page: &str, text: &str, files: &[String]) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for line in markdown::lines(text).iter().filter(|line| line.fence.is_none()) {
        let spans = markdown::code_spans(line.text).into_iter().filter(|span| is_path(span));
        let links = markdown::links(line.text).into_iter().filter(|target| !target.contains(':'));
        for path in spans.chain(links) {
            if !is_there(path, files) {
                let what = format!("`{path}` is not in the tree");
                remarks.push(Remark::new(page, line.number, what, "paths that are, from the project's root"));
            }
        }
    }
    remarks
}

/// Whether a code span means a file or folder of the project.
fn is_path(span: &str) -> bool {
    let looks_so = span.contains('/') || [".rs", ".toml", ".md"].iter().any(|end| span.ends_with(end));
    // `.ci/run` is a path from the root; `./a`, `../a` and the bare ending `.toml` are not.
    let is_other = span.starts_with(['-', '/', '~', '#'])
        || span.starts_with("./")
        || span.starts_with("../")
        || (span.starts_with('.') && !span.contains('/'))
        || span.contains("://")
        || span.contains("::")
        || span.contains(|letter: char| letter.is_whitespace() || "*?{}[]()|$=\"'…,;@\\".contains(letter));
    looks_so && !is_other
}

fn is_there(path: &str, files: &[String]) -> bool {
    // `src/lib.rs:12` names a line.
    let path = match path.rsplit_once(':') {
        Some((file, line)) if line.chars().all(|digit| digit.is_ascii_digit()) => file,
        _ => path,
    };
    if holds(files, path) || MADE.iter().any(|made| path.starts_with(made)) {
        return true;
    }
    if !path.trim_end_matches('/').contains('/') {
        return files.iter().any(|file| file.rsplit('/').next() == Some(path));
    }
    let parts: Vec<&str> = path.split('/').collect();
    match parts.iter().position(|part| is_placeholder(part)) {
        Some(0) => true,
        Some(index) => holds(files, &parts[..index].join("/")),
        None => false,
    }
}

fn is_placeholder(part: &str) -> bool {
    let stem = part.split('.').next().unwrap_or(part);
    part.contains('<')
        || (stem.chars().any(|letter| letter.is_ascii_uppercase())
            && stem.chars().all(|letter| letter.is_ascii_uppercase() || matches!(letter, '_' | '-')))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: &str) -> Vec<String> {
        let files = [
            "README.md",
            ".ci/run",
            "crates/checks/src/rules.rs",
            "crates/checks/src/rules/spare.rs",
            "examples/chapel/rig.toml",
        ]
        .map(str::to_owned);
        paths("README.md", text, &files).iter().map(ToString::to_string).collect()
    }

    fn member(folder: &str) -> Member {
        Member {
            name: "any".to_owned(),
            folder: folder.to_owned(),
            uses: std::collections::BTreeSet::new(),
            tests_use: std::collections::BTreeSet::new(),
        }
    }

    #[test]
    fn fires_on_paths_that_are_not_there() {
        for text in [
            "`crates/cheks/src/rules.rs`",
            "`crates/shed/`",
            "`ARCHITECURE.md`",
            "`crates/shed/src/NAME.rs`",
            "`.ci/walk`",
            "[read](docs/guide.md)",
        ] {
            assert_eq!(told(text).len(), 1, "{text}");
        }
        assert!(told("first\n`a/b.rs`")[0].starts_with("README.md:2: `a/b.rs` is not in the tree"));
    }

    #[test]
    fn silent_on_paths_that_are() {
        for text in [
            "`crates/checks/src/rules.rs` `crates/checks/` `.ci/run` `README.md` `rig.toml`",
            "`crates/checks/src/rules/NAME.rs` `crates/checks/src/rules/<name>.rs` `crates/checks/src/rules.rs:3`",
            "`target/venv` `KIND/NAME.toml`",
            "[read](README.md#use)",
        ] {
            assert_eq!(told(text), Vec::<String>::new(), "{text}");
        }
    }

    #[test]
    fn silent_on_what_is_no_path() {
        for text in [
            "`cargo test -p crates/shed`",
            "`catalogue/*.toml`",
            "`cases/{fires,silent}.toml`",
            "`https://example.org/a`",
            "`/rig/new`",
            "`--out=a/b`",
            "`.toml`",
            "[site](https://example.org/a)",
            "```text\n`a/b.rs`\n```",
            "a/b without backticks",
        ] {
            assert_eq!(told(text), Vec::<String>::new(), "{text}");
        }
    }

    #[test]
    fn fires_on_a_crate_that_is_not_named() {
        assert_eq!(crates(&[member("crates/rig")], "a rig, and crates/rigging").len(), 1);
    }

    #[test]
    fn silent_on_a_crate_that_is_named() {
        for map in ["`crates/rig`", "crates/\n  rig/   devices", "see crates/rig/src/lib.rs"] {
            assert!(crates(&[member("crates/rig")], map).is_empty(), "{map}");
        }
    }
}
