//! Two sequences of blocks that say who lies left of and below whom (sequence pair: Murata, Fujiyoshi, Nakatake and
//! Kajitani, IEEE Trans. CAD 15, 1996), and the laying of blocks as near to given places as the relations allow.

/// Who lies left of and below whom. A block lies left of another that it precedes in both sequences, and below one that
/// it precedes in the second only.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Pair {
    pub(crate) first: Vec<u32>,
    pub(crate) second: Vec<u32>,
    /// The place of each block in the two.
    pub(crate) in_first: Vec<u32>,
    pub(crate) in_second: Vec<u32>,
}

/// The side of one block on which another is put.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    Left,
    Right,
    Below,
    Above,
}

impl Pair {
    pub(crate) fn new(first: Vec<u32>, second: Vec<u32>) -> Self {
        let mut pair =
            Self { in_first: vec![0; first.len()], in_second: vec![0; second.len()], first, second };
        pair.number();
        pair
    }

    fn number(&mut self) {
        for (place, block) in (0..).zip(&self.first) {
            self.in_first[*block as usize] = place;
        }
        for (place, block) in (0..).zip(&self.second) {
            self.in_second[*block as usize] = place;
        }
    }

    pub(crate) fn copy_from(&mut self, other: &Self) {
        self.first.copy_from_slice(&other.first);
        self.second.copy_from_slice(&other.second);
        self.in_first.copy_from_slice(&other.in_first);
        self.in_second.copy_from_slice(&other.in_second);
    }

    pub(crate) fn swap_first(&mut self, a: usize, b: usize) {
        let (p, q) = (self.in_first[a], self.in_first[b]);
        self.first.swap(p as usize, q as usize);
        self.in_first.swap(a, b);
    }

    pub(crate) fn swap_second(&mut self, a: usize, b: usize) {
        let (p, q) = (self.in_second[a], self.in_second[b]);
        self.second.swap(p as usize, q as usize);
        self.in_second.swap(a, b);
    }

    /// Takes a block out and puts it right beside another.
    pub(crate) fn put_beside(&mut self, block: usize, other: usize, side: Side) {
        let (after_first, after_second) = match side {
            Side::Left => (false, false),
            Side::Right => (true, true),
            Side::Below => (true, false),
            Side::Above => (false, true),
        };
        shift(&mut self.first, &mut self.in_first, block, other, after_first);
        shift(&mut self.second, &mut self.in_second, block, other, after_second);
    }
}

/// Moves a block within a sequence to right before or after another.
fn shift(list: &mut [u32], places: &mut [u32], block: usize, other: usize, after: bool) {
    let (from, beside) = (places[block] as usize, places[other] as usize);
    let to = match (from < beside, after) {
        (true, false) => beside - 1,
        (false, true) => beside + 1,
        (true, true) | (false, false) => beside,
    };
    let (low, high) = (from.min(to), from.max(to));
    if from < to {
        list[low..=high].rotate_left(1);
    } else {
        list[low..=high].rotate_right(1);
    }
    for (place, block) in (low..).zip(&list[low..=high]) {
        places[*block as usize] = u32::try_from(place).unwrap_or(u32::MAX);
    }
}

/// Greatest value over each prefix of places. It never falls along the places, so that a new value is written up to the
/// first that is as great: at the sizes met here that is a few places, and quicker than a tree.
#[derive(Debug, Clone, Default)]
struct Prefix(Vec<i64>);

impl Prefix {
    fn clear(&mut self, count: usize) {
        self.0.clear();
        self.0.resize(count + 1, 0);
    }

    /// The greatest of the values at places below `end`.
    fn below(&self, end: usize) -> i64 {
        self.0[end]
    }

    fn raise(&mut self, place: usize, value: i64) {
        for known in &mut self.0[place + 1..] {
            if value <= *known {
                break;
            }
            *known = value;
        }
    }
}

/// What laying along one axis needs besides; kept so that nothing is allocated again.
#[derive(Debug, Clone, Default)]
pub(crate) struct Layer {
    most: Prefix,
    latest: Vec<i64>,
}

impl Layer {
    /// Finds the latest place of each block that leaves room for those behind it: `order` runs such that whoever must come
    /// before does, `rank` is the place in the other sequence. Hands back by how much the last stands over `limit`.
    pub(crate) fn reach(
        &mut self,
        order: impl DoubleEndedIterator<Item = u32>,
        rank: impl Fn(usize) -> usize,
        sizes: &[i64],
        limit: i64,
    ) -> i64 {
        let count = sizes.len();
        self.latest.resize(count, 0);
        self.most.clear(count);
        let mut longest = 0;
        for block in order.rev() {
            let block = block as usize;
            // The room that those behind need, and the block itself.
            let place = count - 1 - rank(block);
            let need = self.most.below(place) + sizes[block];
            self.most.raise(place, need);
            self.latest[block] = limit - need;
            longest = longest.max(need);
        }
        (longest - limit).max(0)
    }

    /// Lays the blocks whose latest places were found, in the same order: each comes as near to its `wish` as those before
    /// and those behind let it.
    pub(crate) fn lay(
        &mut self,
        order: impl Iterator<Item = u32>,
        rank: impl Fn(usize) -> usize,
        sizes: &[i64],
        wish: &[i64],
        at: &mut [i64],
    ) {
        self.most.clear(sizes.len());
        for block in order {
            let block = block as usize;
            let place = rank(block);
            let low = self.most.below(place);
            let here = wish[block].min(self.latest[block]).max(low);
            at[block] = here;
            self.most.raise(place, here + sizes[block]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn relations_hold_after_any_shift() {
        let mut pair = Pair::new(vec![0, 1, 2, 3], vec![3, 1, 0, 2]);
        for (block, other, side) in
            [(0, 3, Side::Above), (2, 1, Side::Left), (3, 0, Side::Right), (1, 2, Side::Below)]
        {
            pair.put_beside(block, other, side);
            let (before, below) =
                (pair.in_first[block] < pair.in_first[other], pair.in_second[block] < pair.in_second[other]);
            let expected = match side {
                Side::Left => (true, true),
                Side::Right => (false, false),
                Side::Below => (false, true),
                Side::Above => (true, false),
            };
            assert_eq!((before, below), expected);
            assert_eq!(pair, Pair::new(pair.first.clone(), pair.second.clone()));
        }
    }

    #[test]
    fn blocks_come_as_near_as_the_others_let_them() {
        // Two blocks side by side, the second wishing to lie where the first is.
        let pair = Pair::new(vec![0, 1], vec![0, 1]);
        let mut at = vec![0; 2];
        let mut layer = Layer::default();
        let rank = |block: usize| pair.in_second[block] as usize;
        let over = layer.reach(pair.first.iter().copied(), rank, &[4, 3], 10);
        layer.lay(pair.first.iter().copied(), rank, &[4, 3], &[9, 0], &mut at);
        assert_eq!((over, at), (0, vec![3, 7]));
    }
}
