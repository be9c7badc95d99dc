//! Pieces on sources that end: the fewest of them, by the search for the fewest bins.
//!
//! Sources of one length are that problem itself. Where they differ, every bin is as long as the longest and some more, and
//! each source has a filler as long as what it lacks, too long for two to share a bin: then as many bins as sources hold
//! all pieces and fillers just when the sources hold the pieces.

use super::number::{count, place};
use super::pack::{Certificate, Packing, PackingEffort, Size, pack};

/// What was found for the pieces of some sizes and the rooms of some sources.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Filling {
    /// For each room that is used its place and the sizes that lie in it, one entry per piece.
    pub(super) rooms: Vec<(usize, Vec<usize>)>,
    /// No filling uses fewer.
    pub(super) bound: usize,
    /// Why, where all rooms are alike.
    pub(super) certificate: Certificate,
    /// Whether the bound is one more than the certificate says, because everything was tried.
    pub(super) exhausted: bool,
}

/// The fewest rooms that hold all pieces, the shortest of them that will do. `None` where none were found.
pub(super) fn fill(sizes: &[i64], left: &[i64], rooms: &[i64], effort: PackingEffort) -> Option<Filling> {
    let mut longest_first: Vec<usize> = (0..rooms.len()).collect();
    longest_first.sort_by_key(|&at| (std::cmp::Reverse(rooms[at]), at));
    let longest = rooms[*longest_first.first()?];
    let items: Vec<Size> =
        sizes.iter().zip(left).map(|(&size, &times)| Size { size, times: times.max(0) }).collect();
    let alike = pack(&items, longest, effort);
    if !alike.too_large.is_empty() {
        return None;
    }
    let bound = place(alike.bound);
    let certificate = alike.certificate.clone();
    if rooms.iter().all(|&room| room == longest) {
        let exhausted = alike.exhausted;
        let bins = Some(alike.bins).filter(|bins| bins.len() <= rooms.len())?;
        return Some(Filling { rooms: (0..).zip(bins).collect(), bound, certificate, exhausted });
    }
    // So many of the longest hold whatever so many others hold.
    let mut least = bound;
    for many in bound.max(1)..=rooms.len() {
        let taken = &longest_first[..many];
        match among(&items, taken.iter().map(|&at| rooms[at]), longest, effort) {
            Among::Found(bins) => {
                let rooms = shortest(sizes, bins, rooms);
                return Some(Filling { rooms, bound: least, certificate, exhausted: least != bound });
            }
            Among::Impossible if least == many => least += 1,
            Among::Impossible | Among::Unknown => {}
        }
    }
    None
}

enum Among {
    Found(Vec<Vec<usize>>),
    Impossible,
    Unknown,
}

/// Whether these rooms hold all items.
fn among(items: &[Size], rooms: impl Iterator<Item = i64>, longest: i64, effort: PackingEffort) -> Among {
    let filler = longest + 1;
    let mut all = items.to_vec();
    all.extend(rooms.map(|room| Size { size: longest - room + filler, times: 1 }));
    let many = all.len() - items.len();
    let Packing { bins, bound, .. } = pack(&all, longest + filler, effort);
    if bins.len() <= many {
        let pieces = |bin: Vec<usize>| bin.into_iter().filter(|&at| at < items.len()).collect();
        Among::Found(bins.into_iter().map(pieces).collect())
    } else if count(many) < bound {
        Among::Impossible
    } else {
        Among::Unknown
    }
}

/// The shortest room for each bin, the emptiest bin first: what is left are the longest.
fn shortest(sizes: &[i64], mut bins: Vec<Vec<usize>>, rooms: &[i64]) -> Vec<(usize, Vec<usize>)> {
    let used = |bin: &Vec<usize>| bin.iter().map(|&size| sizes[size]).sum::<i64>();
    bins.retain(|bin| !bin.is_empty());
    bins.sort_by_key(|bin| (used(bin), bin.clone()));
    let mut free: Vec<usize> = (0..rooms.len()).collect();
    free.sort_by_key(|&at| (rooms[at], at));
    bins.into_iter()
        .filter_map(|bin| {
            let at = free.iter().position(|&at| used(&bin) <= rooms[at])?;
            Some((free.remove(at), bin))
        })
        .collect()
}
