//! The words for the sides of a device or a board.

use rig::Face;

pub(super) const FACES: &[(&str, Face)] =
    &[("front", Face::Front), ("right", Face::Right), ("back", Face::Back), ("left", Face::Left)];

pub(super) fn face(words: &[(&str, Face)], text: &str) -> Option<Face> {
    words.iter().find(|(word, _)| *word == text).map(|(_, face)| *face)
}
