//! Pictures that a kind was measured by: they stay in the shop.

use std::path::{Path, PathBuf};

use crate::{Store, StoreError};

/// The name of the picture of the device alone, seen from straight above.
pub const PORTRAIT: &str = "device";

/// The folder of a kind's pictures in a shop. A name that no kind has is refused.
pub fn pictures_of(shop: &Path, kind: &str) -> Result<PathBuf, StoreError> {
    crate::names::check(kind)?;
    Ok(shop.join("pictures").join(kind))
}

impl Store {
    /// Keeps pictures of a kind, each under its name and as JPEG. Those it had before under the same names go.
    pub fn keep_pictures(&self, kind: &str, pictures: &[(&str, Vec<u8>)]) -> Result<(), StoreError> {
        let folder = pictures_of(self.folder(), kind)?;
        let _turn = self.turn()?;
        for made in folder.parent().into_iter().chain([folder.as_path()]) {
            if made.symlink_metadata().is_err() {
                std::fs::create_dir(made).map_err(|error| StoreError::file(made, error))?;
            }
            self.is_inside(made)?;
        }
        for (name, bytes) in pictures {
            crate::names::check(name)?;
            let path = folder.join(format!("{name}.jpg"));
            let beside = folder.join(format!("{name}.jpg.new"));
            std::fs::write(&beside, bytes).map_err(|error| StoreError::file(&beside, error))?;
            std::fs::rename(&beside, &path).map_err(|error| StoreError::file(&path, error))?;
        }
        Ok(())
    }
}
