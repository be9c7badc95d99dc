//! Packages come from the registry with a checksum, some never come, and no new package comes in two versions.

use std::collections::BTreeMap;

use anyhow::Result;

use super::{Project, Remark};

const LOCK: &str = "Cargo.lock";

/// How the place that packages come from is written: a registry, no repository and no folder.
const REGISTRY: &str = "registry+";

/// Packages that are not taken, and why.
const BANNED: &[(&str, &str)] = &[
    ("native-tls", "it links the system's cryptography, and the program calls nobody"),
    ("openssl-sys", "it links the system's cryptography, and the program calls nobody"),
    ("reqwest", "the program calls nobody"),
    ("ureq", "the program calls nobody"),
    (
        "rand",
        "seeds are given, numbers come from our own generator; the typesetter and tests have it by themselves",
    ),
    ("lazy_static", "the standard library has `LazyLock`"),
    ("once_cell", "the standard library has `OnceLock`"),
];

/// Of the banned ones, those that other packages bring; no crate of ours may name them.
const BROUGHT: &[&str] = &["lazy_static", "once_cell", "rand"];

/// Packages that are there in more than one version, each asked for by packages that we do not choose.
const TWICE: &[&str] = &[
    "base64",
    "bit-set",
    "bit-vec",
    "cookie",
    "cpufeatures",
    "fearless_simd",
    "foldhash",
    "hashbrown",
    "hayro-ccitt",
    "http",
    "icu_collections",
    "icu_provider",
    "icu_segmenter",
    "icu_segmenter_data",
    "litemap",
    "miniz_oxide",
    "quick-xml",
    "rand",
    "rand_core",
    "roxmltree",
    "syn",
    "synstructure",
    "thiserror",
    "thiserror-impl",
    "tinystr",
    "toml_datetime",
    "toml_edit",
    "vello_common",
    "winnow",
    "writeable",
    "yoke",
    "yoke-derive",
    "zerovec",
    "zerovec-derive",
];

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    let lock = if project.tree.has(LOCK) { project.tree.text(LOCK)? } else { String::new() };
    Ok(judge(&locked(&lock)))
}

/// A package of the lock file.
#[derive(Debug, Default, PartialEq, Eq)]
struct Locked<'a> {
    name: &'a str,
    line: usize,
    version: &'a str,
    /// Nothing for a crate of ours.
    source: Option<&'a str>,
    has_checksum: bool,
    /// Names of the packages it asks for.
    asks: Vec<&'a str>,
}

fn locked(lock: &str) -> Vec<Locked<'_>> {
    let mut found: Vec<Locked<'_>> = Vec::new();
    for (index, line) in lock.lines().enumerate() {
        if line == "[[package]]" {
            found.push(Locked::default());
        }
        let Some(package) = found.last_mut() else { continue };
        let quoted = line.split('"').nth(1).unwrap_or_default();
        match line.split(' ').next().unwrap_or_default() {
            "name" => (package.name, package.line) = (quoted, index + 1),
            "version" => package.version = quoted,
            "source" => package.source = Some(quoted),
            "checksum" => package.has_checksum = true,
            "" if !quoted.is_empty() => package.asks.extend(quoted.split(' ').next()),
            _ => {}
        }
    }
    found
}

fn judge(packages: &[Locked<'_>]) -> Vec<Remark> {
    let mut remarks = Vec::new();
    let mut versions: BTreeMap<&str, Vec<&Locked<'_>>> = BTreeMap::new();
    for package in packages {
        versions.entry(package.name).or_default().push(package);
        let name = package.name;
        if package.source.is_some_and(|source| !source.starts_with(REGISTRY) || !package.has_checksum) {
            let what = format!("`{name}` {} comes from elsewhere, or without a checksum", package.version);
            remarks.push(Remark::new(LOCK, package.line, what, "packages of the registry, and our own"));
        }
        if let Some((_, why)) = BANNED.iter().find(|(banned, _)| *banned == name && !BROUGHT.contains(banned))
        {
            remarks.push(Remark::new(LOCK, package.line, format!("`{name}` is banned"), *why));
        }
        if package.source.is_none() {
            for (banned, why) in BANNED.iter().filter(|(banned, _)| package.asks.contains(banned)) {
                remarks.push(Remark::new(
                    LOCK,
                    package.line,
                    format!("`{name}` asks for `{banned}`, which is banned"),
                    *why,
                ));
            }
        }
    }
    for (name, found) in versions {
        let told = found.iter().map(|package| package.version).collect::<Vec<_>>().join(", ");
        match (found.len() > 1, TWICE.contains(&name)) {
            (true, false) => {
                let what = format!("`{name}` is there in more than one version: {told}");
                remarks.push(Remark::new(
                    LOCK,
                    found[0].line,
                    what,
                    "one, or a name in TWICE of xtask/src/tidy/bans.rs",
                ));
            }
            (false, true) => {
                let what =
                    format!("`{name}` is there once, {told}, and listed in TWICE of xtask/src/tidy/bans.rs");
                remarks.push(Remark::new(
                    LOCK,
                    found[0].line,
                    what,
                    "names of packages that are there twice",
                ));
            }
            _ => {}
        }
    }
    remarks
}

#[cfg(test)]
mod tests {
    use super::*;

    fn package(name: &str, version: &str, source: &str) -> String {
        format!("[[package]]\nname = \"{name}\"\nversion = \"{version}\"\n{source}\n")
    }

    const GOOD: &str = "source = \"registry+https://example.org/index\"\nchecksum = \"00\"\ndependencies = [\n \"rand 0.8.8\",\n]";

    fn told(lock: &str) -> Vec<String> {
        judge(&locked(lock)).iter().map(|remark| format!("{} {}", remark.line, remark.what)).collect()
    }

    #[test]
    fn fires() {
        let from_git = package("plug", "1.0.0", "source = \"git+https://example.org/plug\"");
        assert_eq!(told(&from_git), ["2 `plug` 1.0.0 comes from elsewhere, or without a checksum"]);
        assert_eq!(told(&package("reqwest", "1.0.0", GOOD)), ["2 `reqwest` is banned"]);
        let asks = package("ours", "0.1.0", "dependencies = [\n \"rand 0.8.8\",\n]");
        assert_eq!(told(&asks), ["2 `ours` asks for `rand`, which is banned"]);
        let twice = package("plug", "1.0.0", GOOD) + &package("plug", "2.0.0", GOOD);
        assert_eq!(told(&twice), ["2 `plug` is there in more than one version: 1.0.0, 2.0.0"]);
        assert!(told(&package("syn", "2.0.0", GOOD))[0].contains("listed in TWICE"));
    }

    #[test]
    fn silent() {
        let lock =
            package("plug", "1.0.0", GOOD) + &package("ours", "0.1.0", "dependencies = [\n \"plug\",\n]");
        assert_eq!(told(&lock), Vec::<String>::new());
        let twice = package("syn", "2.0.0", GOOD) + &package("syn", "3.0.0", GOOD);
        assert_eq!(told(&twice), Vec::<String>::new());
    }
}
