//! Who may read a file stays as it was when its text is replaced.

use std::fs::{File, OpenOptions};
use std::io::Result;
use std::path::Path;

/// Makes a new file with the owner and the permissions of `like`, where that is there.
#[cfg(unix)]
pub(super) fn make(path: &Path, like: &Path) -> Result<File> {
    use std::fs::Permissions;
    use std::os::unix::fs::{MetadataExt, OpenOptionsExt, PermissionsExt, fchown};
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    let Ok(like) = std::fs::metadata(like) else { return options.open(path) };
    // Nobody else reads it before it has its permissions.
    let file = options.mode(0o600).open(path)?;
    let fresh = file.metadata()?;
    let mut mode = like.mode() & 0o7777;
    if (like.uid(), like.gid()) != (fresh.uid(), fresh.gid())
        && fchown(&file, Some(like.uid()), Some(like.gid())).is_err()
        && fchown(&file, None, Some(like.gid())).is_err()
    {
        // What one group was allowed is no permission for another.
        mode &= 0o707;
    }
    file.set_permissions(Permissions::from_mode(mode))?;
    Ok(file)
}

#[cfg(not(unix))]
pub(super) fn make(path: &Path, _: &Path) -> Result<File> {
    OpenOptions::new().write(true).create_new(true).open(path)
}
