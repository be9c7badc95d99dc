//! Every package may be passed on under terms that we accept.

use anyhow::{Result, bail};

use super::{Project, Remark};
use crate::metadata::{self, Package};

/// Terms that ask for no more than a notice, or that stay with the file they came with (MPL-2.0).
const ACCEPTED: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "MPL-2.0",
    "OFL-1.1",
    "Unicode-3.0",
    "Unicode-DFS-2016",
    "Unlicense",
    "Zlib",
];

const LOCK: &str = "Cargo.lock";

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    let lock = if project.tree.has(LOCK) { project.tree.text(LOCK)? } else { String::new() };
    Ok(metadata::packages(project.tree.root())?.iter().filter_map(|package| judge(package, &lock)).collect())
}

fn judge(package: &Package, lock: &str) -> Option<Remark> {
    let Package { name, version, licence } = package;
    let what = match licence.as_deref().map(|licence| (licence, accepted(licence))) {
        Some((_, Ok(true))) => return None,
        Some((licence, Ok(false))) => format!("`{name}` {version} is under `{licence}`"),
        Some((licence, Err(error))) => {
            format!("`{name}` {version}: the licence `{licence}` cannot be read, {error}")
        }
        None => format!("`{name}` {version} names no licence"),
    };
    Some(Remark::new(LOCK, line_of(name, version, lock), what, ACCEPTED.join(", ")))
}

/// The line of the lock file that names the package; the first when none does.
fn line_of(name: &str, version: &str, lock: &str) -> usize {
    let lines: Vec<&str> = lock.lines().collect();
    let wanted = [format!("name = \"{name}\""), format!("version = \"{version}\"")];
    lines.windows(2).position(|pair| pair == wanted).map_or(1, |index| index + 1)
}

/// Whether an SPDX expression lets us choose accepted terms only. `/` is read as the old way to write `OR`.
fn accepted(expression: &str) -> Result<bool> {
    let spaced = expression.replace('/', " OR ").replace('(', " ( ").replace(')', " ) ");
    let mut words = Words(spaced.split_whitespace().collect());
    let verdict = either(&mut words)?;
    match words.next() {
        None => Ok(verdict),
        Some(word) => bail!("`{word}` is not expected"),
    }
}

/// The words of an expression that are still to be read.
struct Words<'a>(std::collections::VecDeque<&'a str>);

impl<'a> Words<'a> {
    fn next(&mut self) -> Option<&'a str> {
        self.0.pop_front()
    }

    /// Takes the word if it is the next one.
    fn take(&mut self, word: &str) -> bool {
        let is_next = self.0.front().is_some_and(|next| next.eq_ignore_ascii_case(word));
        if is_next {
            self.0.pop_front();
        }
        is_next
    }
}

fn either(words: &mut Words<'_>) -> Result<bool> {
    let mut verdict = both(words)?;
    while words.take("OR") {
        verdict |= both(words)?;
    }
    Ok(verdict)
}

fn both(words: &mut Words<'_>) -> Result<bool> {
    let mut verdict = one(words)?;
    while words.take("AND") {
        verdict &= one(words)?;
    }
    Ok(verdict)
}

fn one(words: &mut Words<'_>) -> Result<bool> {
    if words.take("(") {
        let verdict = either(words)?;
        if !words.take(")") {
            bail!("a bracket stays open");
        }
        return Ok(verdict);
    }
    let Some(id) = words.next() else { bail!("it ends too early") };
    if matches!(id, ")" | "OR" | "AND" | "WITH") {
        bail!("`{id}` stands where a licence should");
    }
    if !words.take("WITH") {
        return Ok(ACCEPTED.contains(&id));
    }
    let Some(exception) = words.next() else { bail!("it ends too early") };
    Ok(ACCEPTED.contains(&format!("{id} WITH {exception}").as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    const LOCKED: &str = "[[package]]\nname = \"plug\"\nversion = \"1.0.0\"\n";

    fn package(licence: Option<&str>) -> Package {
        Package { name: "plug".to_owned(), version: "1.0.0".to_owned(), licence: licence.map(str::to_owned) }
    }

    #[test]
    fn fires() {
        for licence in [
            "GPL-3.0-only",
            "MIT AND GPL-3.0-only",
            "(MIT OR Apache-2.0) AND GPL-2.0-only",
            "GPL-2.0-only WITH Classpath-exception-2.0",
            "MIT OR",
            "(MIT",
            "MIT Apache-2.0",
            "",
        ] {
            let remark = judge(&package(Some(licence)), LOCKED);
            assert_eq!(remark.map(|remark| remark.line), Some(2), "{licence}");
        }
        assert!(judge(&package(None), LOCKED).is_some());
    }

    #[test]
    fn silent() {
        for licence in [
            "MIT",
            "MIT/Apache-2.0",
            "GPL-3.0-only OR MIT",
            "(MIT OR GPL-3.0-only) AND Unicode-3.0",
            "Apache-2.0 WITH LLVM-exception OR GPL-2.0-only",
            "GPL-2.0-only AND GPL-3.0-only OR Zlib",
        ] {
            assert_eq!(judge(&package(Some(licence)), LOCKED), None, "{licence}");
        }
    }
}
