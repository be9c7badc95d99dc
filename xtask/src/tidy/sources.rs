//! Every source that a formula, a constant or a catalogue value names is listed, and every listed one is used.
//!
//! A key is used as `[src:KEY]` and listed in `docs/sources.md` at the start of a heading, a list item or a
//! table row as `**KEY**`. It is made of letters, digits, `.` and at least one `-`: without the `-` rustdoc
//! would take the marker for a link.

use std::collections::BTreeMap;

use anyhow::Result;

use super::{Project, Remark, external_checks};

/// The file whose tests use keys that are not there.
const OWN_FILE: &str = "xtask/src/tidy/sources.rs";

const SOURCES: &str = "docs/sources.md";

const EXTENSIONS: &[&str] = &["rs", "toml", "py", "typ"];

const MARK: &str = "[src:";

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    let mut texts = project.tree.texts(EXTENSIONS)?;
    texts.retain(|(path, _)| *path != OWN_FILE);
    // Its rows name the sources of published values.
    if project.tree.has(external_checks::TABLE) {
        texts.push((external_checks::TABLE, project.tree.text(external_checks::TABLE)?));
    }
    let listed = if project.tree.has(SOURCES) { project.tree.text(SOURCES)? } else { String::new() };
    Ok(judge(&texts, &listed))
}

fn judge(texts: &[(&str, String)], listing: &str) -> Vec<Remark> {
    let mut remarks = Vec::new();
    let mut listed: BTreeMap<&str, usize> = BTreeMap::new();
    for (index, line) in listing.lines().enumerate() {
        let Some(key) = listed_key(line) else { continue };
        if let Some(first) = listed.insert(key, index + 1) {
            let what = format!("source `{key}` is listed on line {first} already");
            remarks.push(Remark::new(SOURCES, index + 1, what, "one entry per key"));
        }
    }
    let mut unused = listed.clone();
    for (path, text) in texts {
        for (index, line) in text.lines().enumerate() {
            for (at, mark) in line.match_indices(MARK) {
                let after = &line[at + mark.len()..];
                let key = after.split(']').next().unwrap_or(after).trim_end_matches('\\');
                if !after.contains(']') || !is_key(key) {
                    let what = format!("`{key}` is no source key");
                    let allowed = "`[src:KEY]` with letters, digits, `.` and at least one `-`";
                    remarks.push(Remark::new(path, index + 1, what, allowed));
                } else if !listed.contains_key(key) {
                    let what = format!("source `{key}` is not listed");
                    remarks.push(Remark::new(
                        path,
                        index + 1,
                        what,
                        format!("a key that {SOURCES} lists as `**KEY**`"),
                    ));
                }
                unused.remove(key);
            }
        }
    }
    for (key, line) in unused {
        let what = format!("source `{key}` is used nowhere");
        remarks.push(Remark::new(
            SOURCES,
            line,
            what,
            format!("a key that a formula or value names as `{MARK}KEY]`"),
        ));
    }
    remarks
}

/// The key that a line of the listing begins with.
fn listed_key(line: &str) -> Option<&str> {
    let line = line.trim_start();
    let entry = match line
        .strip_prefix("- ")
        .or_else(|| line.strip_prefix("* "))
        .or_else(|| line.strip_prefix('|'))
    {
        Some(entry) => entry,
        None => line.starts_with('#').then(|| line.trim_start_matches('#'))?,
    };
    let (key, _) = entry.trim_start().strip_prefix("**")?.split_once("**")?;
    is_key(key).then_some(key)
}

fn is_key(text: &str) -> bool {
    text.contains('-')
        && text.chars().all(|letter| letter.is_ascii_alphanumeric() || matches!(letter, '.' | '-'))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn remarks(code: &str, listing: &str) -> Vec<String> {
        judge(&[("a.rs", code.to_owned())], listing).iter().map(ToString::to_string).collect()
    }

    #[test]
    fn fires() {
        assert!(remarks("// [src:IEC-1]", "")[0].starts_with("a.rs:1: source `IEC-1` is not listed"));
        assert!(
            remarks("", "# Sources\n- **IEC-1** a standard")[0]
                .contains("sources.md:2: source `IEC-1` is used nowhere")
        );
        assert!(remarks("// [src:IEC-1]", "- **IEC-1** a\n- **IEC-1** b")[0].contains("line 1 already"));
        assert!(remarks("// [src:IEC 1]", "")[0].contains("no source key"));
        assert!(remarks("// [src:IEC]", "")[0].contains("no source key"));
        assert!(remarks("// [src:IEC-1", "- **IEC-1** a")[0].contains("no source key"));
    }

    #[test]
    fn silent() {
        let listing = "# Sources\n\n## **IEC-1** a standard\n- **paper-2.3** a paper\n| **table-4** | a table |\n- **Note** prose\n";
        assert_eq!(
            remarks("/// [src:IEC-1] [src:paper-2.3]\n// [src:table-4]", listing),
            Vec::<String>::new()
        );
        assert_eq!(remarks("fn a() {}", ""), Vec::<String>::new());
    }
}
