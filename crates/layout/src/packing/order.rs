//! Whether bodies can be packed in a rectangle, by every relation of who stands left of and before whom.

/// A search over who stands left of and before whom.
pub(super) struct Search {
    pub(super) room: [i64; 2],
    /// Of each body, the plans it may have.
    pub(super) sizes: Vec<Vec<[i64; 2]>>,
    /// Relations left to try.
    pub(super) left: u64,
}

impl Search {
    /// Whether the bodies can be packed; `None` when it was not decided.
    pub(super) fn packs(&mut self) -> Option<bool> {
        self.turns(&mut Vec::new())
    }

    fn turns(&mut self, sizes: &mut Vec<[i64; 2]>) -> Option<bool> {
        if sizes.len() == self.sizes.len() {
            let count = sizes.len();
            return self.relate(sizes, &mut [Vec::new(), Vec::new()], 0, 1, count);
        }
        let mut decided = true;
        let room = self.room;
        let fits = |plan: &[i64; 2]| (0..2).all(|axis| plan[axis] <= room[axis]);
        for plan in self.sizes[sizes.len()].clone().into_iter().filter(fits) {
            sizes.push(plan);
            match self.turns(sizes) {
                Some(true) => return Some(true),
                Some(false) => {}
                None => decided = false,
            }
            sizes.pop();
        }
        decided.then_some(false)
    }

    fn relate(
        &mut self,
        sizes: &[[i64; 2]],
        before: &mut [Vec<(usize, usize)>; 2],
        i: usize,
        j: usize,
        count: usize,
    ) -> Option<bool> {
        if self.left == 0 {
            return None;
        }
        self.left -= 1;
        if count <= j {
            return Some(true);
        }
        let next = if i + 1 == j { (0, j + 1) } else { (i + 1, j) };
        let mut decided = true;
        for axis in 0..2 {
            for pair in [(i, j), (j, i)] {
                before[axis].push(pair);
                if reach(sizes, &before[axis], axis).is_some_and(|reach| reach <= self.room[axis]) {
                    match self.relate(sizes, before, next.0, next.1, count) {
                        Some(true) => return Some(true),
                        Some(false) => {}
                        None => decided = false,
                    }
                }
                before[axis].pop();
            }
        }
        decided.then_some(false)
    }
}

/// How far the last body reaches along an axis; `None` when the relations run in a ring.
fn reach(sizes: &[[i64; 2]], before: &[(usize, usize)], axis: usize) -> Option<i64> {
    let mut at = vec![0; sizes.len()];
    for round in 0..=sizes.len() {
        let mut changed = false;
        for &(first, second) in before {
            let least = at[first] + sizes[first][axis];
            if at[second] < least {
                at[second] = least;
                changed = true;
            }
        }
        if !changed {
            return (0..sizes.len()).map(|body| at[body] + sizes[body][axis]).max();
        }
        if round == sizes.len() {
            return None;
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn packs(room: [i64; 2], sizes: &[[i64; 2]]) -> Option<bool> {
        let sizes = sizes.iter().map(|size| vec![*size, [size[1], size[0]]]).collect();
        Search { room, sizes, left: 300_000 }.packs()
    }

    #[test]
    fn what_goes_together_and_what_does_not() {
        // Five dominoes of a pinwheel fill a square of three with the middle.
        let pinwheel = [[2, 1], [2, 1], [2, 1], [2, 1], [1, 1]];
        assert_eq!(packs([3, 3], &pinwheel), Some(true));
        assert_eq!(packs([3, 2], &[[2, 1], [2, 1], [2, 1], [1, 1]]), Some(false));
        assert_eq!(packs([5, 1], &[[3, 1], [2, 1]]), Some(true));
        assert_eq!(packs([4, 1], &[[3, 1], [2, 1]]), Some(false));
    }
}
