//! The licences of everything that is in the program, as one text.

use std::collections::BTreeMap;
use std::path::Path;

use anyhow::{Context as _, Result};

use crate::metadata::Shipped;

/// How the names of files with a licence or a notice begin.
const NAMES: &[&str] = &["licence", "license", "copying", "copyright", "notice", "unlicense", "ofl"];

/// Folders deeper than this are not looked into.
const DEPTH: usize = 3;

/// The list of packages with their terms, then each text once with the packages that bring it.
pub(super) fn text(shipped: &[Shipped]) -> Result<String> {
    let mut list = String::new();
    let mut texts: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for package in shipped {
        let Shipped { name, version, licence, .. } = package;
        let mut found = Vec::new();
        files(&package.folder, DEPTH, &mut found)?;
        let by = if package.authors.is_empty() {
            String::new()
        } else {
            format!(", by {}", package.authors.join(", "))
        };
        let note = if found.is_empty() { "; brings no text of its own" } else { "" };
        list.push_str(&format!("{name} {version}: {licence}{by}{note}\n"));
        for text in found {
            texts.entry(text).or_default().push(format!("{name} {version}"));
        }
    }
    let mut out = format!(
        "Packages in this program, with the terms that each is offered under. Where `OR` gives a choice, we take MIT, else\n\
         Apache-2.0, else the first. The Rust standard library is under MIT OR Apache-2.0. What brings no text of its own\n\
         stands under the text of the same name further down. The fonts' texts are among those of the packages that carry\n\
         them.\n\n{list}"
    );
    let rule = "=".repeat(80);
    for (text, mut packages) in texts {
        packages.dedup();
        out.push_str(&format!("\n{rule}\n{}\n{rule}\n\n{text}\n", packages.join("\n")));
    }
    Ok(out)
}

/// Texts of the files below a folder that are licences or notices by their name, line ends and edges made alike.
fn files(folder: &Path, depth: usize, found: &mut Vec<String>) -> Result<()> {
    let listed = std::fs::read_dir(folder).with_context(|| format!("cannot list {}", folder.display()))?;
    let mut paths = listed.map(|entry| Ok(entry?.path())).collect::<Result<Vec<_>>>()?;
    paths.sort();
    for path in paths {
        let name = path.file_name().map(|name| name.to_string_lossy().to_lowercase()).unwrap_or_default();
        if path.is_dir() {
            if depth > 1 && !name.starts_with('.') && !matches!(name.as_str(), "src" | "tests" | "target") {
                files(&path, depth - 1, found)?;
            }
        } else if NAMES.iter().any(|begin| name.starts_with(begin))
            && path.extension().is_none_or(|ending| ending != "rs")
        {
            let bytes = std::fs::read(&path).with_context(|| format!("cannot read {}", path.display()))?;
            let text = String::from_utf8_lossy(&bytes).replace("\r\n", "\n");
            found.push(text.trim_matches('\n').trim_end().to_owned());
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A package whose folder holds these files.
    fn package(name: &str, place: &Path, content: &[(&str, &str)]) -> Shipped {
        let folder = place.join(name);
        std::fs::create_dir_all(&folder).unwrap();
        for (file, text) in content {
            std::fs::write(folder.join(file), text).unwrap();
        }
        let (version, licence) = ("1.0.0".to_owned(), "MIT".to_owned());
        Shipped { name: name.to_owned(), version, licence, authors: vec!["A. Writer".to_owned()], folder }
    }

    #[test]
    fn each_text_stands_once_with_all_that_bring_it() {
        let place = std::env::temp_dir().join(format!("boardwright-licences-{}", std::process::id()));
        let shipped = [
            package("one", &place, &[("LICENSE-MIT", "Terms.\r\nMore.\n"), ("lib.rs", "x")]),
            package("two", &place, &[("licence.txt", "\nTerms.\nMore.")]),
            package("three", &place, &[("README.md", "x")]),
        ];
        let text = text(&shipped).unwrap();
        std::fs::remove_dir_all(&place).unwrap();
        assert_eq!(text.matches("Terms.\nMore.\n").count(), 1);
        assert!(text.contains("one 1.0.0\ntwo 1.0.0\n="));
        assert!(text.contains("three 1.0.0: MIT, by A. Writer; brings no text of its own\n"));
    }

    #[test]
    fn what_ships_brings_its_terms() {
        let root = crate::tree::root().unwrap();
        let platform = crate::metadata::platform().unwrap();
        let shipped = crate::metadata::shipped(&root, "boardwright", &platform).unwrap();
        let text = text(&shipped).unwrap();
        for words in [
            "typst 0.15",
            "Bitstream Vera",
            "SIL OPEN FONT LICENSE",
            "Permission is hereby granted",
            "Apache License",
        ] {
            assert!(text.to_lowercase().contains(&words.to_lowercase()), "{words}");
        }
    }
}
