//! Photographs of a job's gear that its shop keeps, for papers.

use std::path::Path;

use design::Design;
use papers::Photograph;

/// Pixels of the longer side on paper: 300 to an inch at the size that they are printed in.
const ON_PAPER: usize = 600;

/// One of each device on the board whose kind was measured by photo in this shop. What cannot be read is left out: a file
/// that somebody laid there is no reason to be without papers.
pub(crate) fn photographs(shop: Option<&Path>, design: &Design) -> Vec<Photograph> {
    let Some(shop) = shop else { return Vec::new() };
    let of = |device: &rig::Device| {
        let jpeg = of_kind(shop, device.kind.as_deref()?)?;
        Some(Photograph { tag: device.tag.clone(), jpeg })
    };
    design.rig.devices.iter().filter_map(of).collect()
}

/// The device alone, or the whole picture from above where nothing else was kept.
fn of_kind(shop: &Path, kind: &str) -> Option<Vec<u8>> {
    let folder = store::pictures_of(shop, kind).ok()?;
    [store::PORTRAIT, "above"].into_iter().find_map(|name| {
        let path = folder.join(format!("{name}.jpg"));
        let size = path.metadata().ok().filter(std::fs::Metadata::is_file)?.len();
        if u64::try_from(pictures::LARGEST_FILE).ok()? < size {
            return None;
        }
        let taken = pictures::read(&std::fs::read(&path).ok()?).ok()?;
        pictures::jpeg(&taken.picture, ON_PAPER).ok()
    })
}
