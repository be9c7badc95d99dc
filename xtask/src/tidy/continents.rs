//! No folder and no file is named as a place for whatever has no place.

use super::{Project, Remark};

const NAMES: &[&str] = &["utils", "util", "common", "helpers", "helper", "misc"];

pub(super) fn check(project: &Project) -> Vec<Remark> {
    project.tree.files().iter().filter_map(|path| judge(path)).collect()
}

fn judge(path: &str) -> Option<Remark> {
    let continent = path.split('/').find(|part| {
        let stem = part.split('.').next().unwrap_or(part);
        NAMES.contains(&stem.to_lowercase().as_str())
    })?;
    Some(Remark::new(
        path,
        1,
        format!("`{continent}` names no idea"),
        "a name from the trade; a helper lives with the idea it serves",
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fires() {
        for path in ["crates/rig/src/utils.rs", "crates/common/src/lib.rs", "docs/Misc/a.md", "helpers.typ"] {
            assert!(judge(path).is_some(), "{path}");
        }
    }

    #[test]
    fn silent() {
        for path in ["crates/rig/src/plug.rs", "crates/rig/src/common_ground.rs", "docs/utility.md"] {
            assert_eq!(judge(path), None, "{path}");
        }
    }
}
