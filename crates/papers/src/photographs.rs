//! Photographs of the gear that the shop keeps, as blocks of a paper.

use design::Design;

use crate::block::{Block, Tile};
use crate::sheet::Lie;
use crate::text;

/// A photograph of a device, seen from above.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photograph {
    /// The tag of the device.
    pub tag: String,
    /// The file, as JPEG that can be read.
    pub jpeg: Vec<u8>,
}

/// Each device of which there is a photograph, under a head; nothing where there is none.
pub(crate) fn photographs(design: &Design, kept: &[Photograph], lie: Lie) -> Vec<Block> {
    let tiles: Vec<Tile> = design
        .rig
        .devices
        .iter()
        .filter_map(|device| {
            let found = kept.iter().find(|one| one.tag == device.tag)?;
            let serial = device.serial.as_deref().map(text::serial).unwrap_or_default();
            Some(Tile {
                jpeg: found.jpeg.clone(),
                head: format!("{} {}", device.tag, device.title).trim().to_owned(),
                line: serial,
            })
        })
        .collect();
    if tiles.is_empty() {
        return Vec::new();
    }
    let across = if matches!(lie, Lie::Landscape) { 6 } else { 4 };
    vec![
        Block::Head(text::PHOTOGRAPHS.to_owned(), text::PHOTOGRAPHS_NOTE.to_owned()),
        Block::Tiles(across, tiles),
    ]
}
