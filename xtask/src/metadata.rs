//! What cargo knows of the workspace: its members, who uses whom, and under which licence.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, Result, anyhow};
use serde_json::Value;

use crate::{console, process};

/// A crate of the workspace.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Member {
    pub(crate) name: String,
    /// Relative to the root, as `crates/rig`.
    pub(crate) folder: String,
    /// Names of the workspace crates that it, or its build script, uses.
    pub(crate) uses: BTreeSet<String>,
    /// Names of the workspace crates that only its tests use.
    pub(crate) tests_use: BTreeSet<String>,
}

/// A package that the workspace is made of or depends on.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Package {
    pub(crate) name: String,
    pub(crate) version: String,
    pub(crate) licence: Option<String>,
}

/// The crates of the workspace, sorted by name.
pub(crate) fn members(root: &Path) -> Result<Vec<Member>> {
    let metadata = read(root, &["--no-deps"])?;
    let packages = packages_of(&metadata)?;
    let names: BTreeSet<&str> = packages.iter().filter_map(|package| package["name"].as_str()).collect();
    let mut members = packages
        .iter()
        .map(|package| {
            let name = word(package, "name")?;
            let folder = Path::new(&word(package, "manifest_path")?)
                .parent()
                .and_then(|folder| folder.strip_prefix(root.canonicalize().ok()?).ok())
                .map(|folder| folder.to_string_lossy().replace('\\', "/"))
                .with_context(|| format!("{name} lies outside the workspace"))?;
            let mut uses = BTreeSet::new();
            let mut tests_use = BTreeSet::new();
            for dependency in package["dependencies"].as_array().into_iter().flatten() {
                let used = word(dependency, "name")?;
                if !names.contains(used.as_str()) {
                    continue;
                }
                if dependency["kind"] == "dev" {
                    tests_use.insert(used)
                } else {
                    uses.insert(used)
                };
            }
            // What is used anyway is no extra arrow of the tests.
            let tests_use = tests_use.difference(&uses).cloned().collect();
            Ok(Member { name, folder, uses, tests_use })
        })
        .collect::<Result<Vec<_>>>()?;
    members.sort();
    Ok(members)
}

/// Every package, of whatever platform, that the lock file may pull in; sorted.
///
/// That needs the packages of other platforms too. When they cannot be had (no network), those of this
/// platform are read instead, and said so.
pub(crate) fn packages(root: &Path) -> Result<Vec<Package>> {
    let metadata = if let Ok(metadata) = read(root, &[]) {
        metadata
    } else {
        console::say(
            "tidy: packages of other platforms cannot be had; licences are judged for this one only",
        );
        let platform = platform()?;
        read(root, &["--offline", "--filter-platform", &platform])?
    };
    let mut packages = packages_of(&metadata)?
        .iter()
        .map(|package| {
            let licence = package["license"].as_str().map(str::to_owned);
            Ok(Package { name: word(package, "name")?, version: word(package, "version")?, licence })
        })
        .collect::<Result<Vec<_>>>()?;
    packages.sort();
    Ok(packages)
}

/// A package that goes into a program.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Shipped {
    pub(crate) name: String,
    pub(crate) version: String,
    pub(crate) licence: String,
    pub(crate) authors: Vec<String>,
    /// Where its source is on this machine.
    pub(crate) folder: PathBuf,
}

/// What goes into the program of a member on a platform: the member itself, and all that it uses without tests and
/// build scripts; sorted.
pub(crate) fn shipped(root: &Path, member: &str, platform: &str) -> Result<Vec<Shipped>> {
    let metadata = read(root, &["--filter-platform", platform])?;
    let packages: BTreeMap<&str, &Value> = packages_of(&metadata)?
        .iter()
        .filter_map(|package| Some((package["id"].as_str()?, package)))
        .collect();
    let nodes: BTreeMap<&str, &Value> = metadata["resolve"]["nodes"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|node| Some((node["id"].as_str()?, node)))
        .collect();
    let first = packages.iter().find(|(_, package)| package["name"] == member && package["source"].is_null());
    let mut open = vec![*first.with_context(|| format!("no member is called {member}"))?.0];
    let mut seen = BTreeSet::new();
    while let Some(id) = open.pop() {
        if !seen.insert(id) {
            continue;
        }
        let used = nodes.get(id).and_then(|node| node["deps"].as_array()).into_iter().flatten();
        let used = used.filter(|dependency| {
            dependency["dep_kinds"]
                .as_array()
                .is_none_or(|kinds| kinds.iter().any(|kind| kind["kind"].is_null()))
        });
        open.extend(used.filter_map(|dependency| dependency["pkg"].as_str()));
    }
    let mut shipped = seen
        .iter()
        .filter_map(|id| packages.get(id))
        .map(|package| {
            let manifest = PathBuf::from(word(package, "manifest_path")?);
            let authors = package["authors"].as_array().into_iter().flatten();
            Ok(Shipped {
                name: word(package, "name")?,
                version: word(package, "version")?,
                licence: word(package, "license")?,
                authors: authors.filter_map(Value::as_str).map(str::to_owned).collect(),
                folder: manifest.parent().map(Path::to_path_buf).unwrap_or_default(),
            })
        })
        .collect::<Result<Vec<_>>>()?;
    shipped.sort();
    Ok(shipped)
}

/// The platform that the compiler builds for.
pub(crate) fn platform() -> Result<String> {
    let text = String::from_utf8(process::stdout(Command::new("rustc").arg("-vV"))?)?;
    text.lines()
        .find_map(|line| line.strip_prefix("host: "))
        .map(str::to_owned)
        .context("`rustc -vV` tells no host")
}

fn read(root: &Path, arguments: &[&str]) -> Result<Value> {
    let mut command = process::cargo(root, &["metadata", "--quiet", "--format-version", "1"]);
    let printed = process::stdout(command.args(arguments))?;
    serde_json::from_slice(&printed).context("`cargo metadata` printed no JSON")
}

fn packages_of(metadata: &Value) -> Result<&Vec<Value>> {
    metadata["packages"].as_array().context("`cargo metadata` lists no packages")
}

fn word(value: &Value, key: &str) -> Result<String> {
    value[key].as_str().map(str::to_owned).ok_or_else(|| anyhow!("`cargo metadata` gives no {key}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_ships_is_what_the_program_uses() {
        let root = crate::tree::root().unwrap();
        let shipped = shipped(&root, "boardwright", &platform().unwrap()).unwrap();
        let has = |name: &str| shipped.iter().any(|package| package.name == name);
        assert!(has("boardwright") && has("leads") && has("typst") && has("libm"));
        assert!(!has("insta") && !has("criterion") && !has("xtask") && !has("windows-sys"));
    }

    #[test]
    fn this_crate_is_a_member_and_stands_alone() {
        let members = members(&crate::tree::root().unwrap()).unwrap();
        let own = members.iter().find(|member| member.name == "xtask").unwrap();
        assert_eq!(own.folder, "xtask");
        assert!(own.uses.is_empty() && own.tests_use.is_empty());
    }
}
