//! No text tells of one machine: no absolute path of a developer's disk, no host of a package registry.

use anyhow::Result;

use super::{Project, Remark};

/// The file that has to name what is refused.
const OWN_FILE: &str = "xtask/src/tidy/machine.rs";

const EXTENSIONS: &[&str] = &["rs", "md", "toml", "py", "typ", "txt"];

const FOLDERS: &[&str] = &["/work/", "/root/", "/home/", "/tmp/", "/Users/"];

const HOSTS: &[&str] =
    &["crates.io", "pypi.org", "pythonhosted.org", "npmjs.org", "npmjs.com", "deb.debian.org"];

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    let texts = project.tree.texts(EXTENSIONS)?;
    Ok(texts
        .iter()
        .filter(|(path, _)| *path != OWN_FILE)
        .flat_map(|(path, text)| judge(path, text))
        .collect())
}

fn judge(path: &str, text: &str) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for (index, line) in text.lines().enumerate() {
        for folder in FOLDERS {
            if line.match_indices(folder).any(|(at, _)| is_absolute(&line[..at])) {
                let allowed = "a path from the project's root, or a temporary folder asked from the system";
                remarks.push(Remark::new(path, index + 1, format!("the machine path `{folder}`"), allowed));
            }
        }
        for host in HOSTS.iter().filter(|host| line.contains(*host)) {
            let what = format!("the registry host `{host}`");
            remarks.push(Remark::new(path, index + 1, what, "the package's name and version"));
        }
    }
    remarks
}

/// Whether a `/` after this text begins a path, rather than going on with a relative one or an address.
fn is_absolute(before: &str) -> bool {
    before.ends_with("file://")
        || before.chars().next_back().is_none_or(|last| {
            !(last.is_alphanumeric() || matches!(last, '.' | '_' | '-' | '~' | '/' | '>' | '}'))
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fires() {
        for line in [
            "let path = \"/tmp/rig.toml\";",
            "see /home/someone/rigs",
            "path = '/root/.cargo'",
            "file:///work/rig.toml",
            "https://crates.io/crates/rig",
            "--index-url https://pypi.org/simple",
        ] {
            assert_eq!(judge("a.md", line).len(), 1, "{line}");
        }
    }

    #[test]
    fn silent() {
        for line in
            ["https://example.org/home/a", "docs/work/a.md", "../tmp/x", "{folder}/tmp/x", "at work/home"]
        {
            assert!(judge("a.md", line).is_empty(), "{line}");
        }
    }
}
