//! The one generator of chance: xoshiro256++ (Blackman and Vigna, ACM TOMS 47, 2021), seeded by splitmix64.

/// A stream of chance that its seed repeats.
#[derive(Debug, Clone)]
pub struct Random([u64; 4]);

impl Random {
    /// The stream of a seed and a number that tells streams of one seed apart.
    pub fn new(seed: u64, stream: u64) -> Self {
        let mut mixed = seed ^ stream.wrapping_mul(0xA076_1D64_78BD_642F).rotate_left(17);
        let mut next = || {
            mixed = mixed.wrapping_add(0x9E37_79B9_7F4A_7C15);
            let mut z = mixed;
            z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
            z ^ (z >> 31)
        };
        Self([next(), next(), next(), next()])
    }

    fn next(&mut self) -> u64 {
        let s = &mut self.0;
        let result = s[0].wrapping_add(s[3]).rotate_left(23).wrapping_add(s[0]);
        let t = s[1] << 17;
        s[2] ^= s[0];
        s[3] ^= s[1];
        s[1] ^= s[2];
        s[0] ^= s[3];
        s[2] ^= t;
        s[3] = s[3].rotate_left(45);
        result
    }

    /// Below `end`; nought when `end` is nought.
    #[expect(clippy::cast_possible_truncation, reason = "the high half of the product is below `end`")]
    pub fn below(&mut self, end: usize) -> usize {
        ((u128::from(self.next()) * end as u128) >> 64) as usize
    }

    /// From `low` to `high`, both included; `low` when there is nothing between.
    pub fn between(&mut self, low: i64, high: i64) -> i64 {
        if high <= low {
            return low;
        }
        let span = u128::from(high.abs_diff(low)) + 1;
        low + ((u128::from(self.next()) * span) >> 64) as i64
    }

    /// From nought up to one, one excluded.
    #[expect(clippy::cast_precision_loss, reason = "53 bits fit a float exactly")]
    pub fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 * (1.0 / 9_007_199_254_740_992.0)
    }

    /// Whether a thing of these odds happens.
    pub fn chance(&mut self, odds: f64) -> bool {
        self.unit() < odds
    }

    /// One of a list; `None` when it is empty.
    pub fn pick<'a, T>(&mut self, list: &'a [T]) -> Option<&'a T> {
        list.get(self.below(list.len()))
    }
}

/// How much worse a step may be at this temperature: exponential with it as mean (Metropolis et al., J. Chem. Phys. 21,
/// 1953, drawn once per step).
pub(crate) fn tolerance(random: &mut Random, temperature: f64) -> f64 {
    -temperature * libm::log(1.0 - random.unit())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_seed_repeats_and_streams_differ() {
        let draw = |seed, stream| {
            let mut random = Random::new(seed, stream);
            (0..8).map(|_| random.below(1000)).collect::<Vec<_>>()
        };
        assert_eq!(draw(7, 0), draw(7, 0));
        assert_ne!(draw(7, 0), draw(7, 1));
        assert_ne!(draw(7, 0), draw(8, 0));
    }

    #[test]
    fn ends_are_kept() {
        let mut random = Random::new(1, 0);
        for _ in 0..1000 {
            assert!((-3..=3).contains(&random.between(-3, 3)));
            assert!(random.below(5) < 5);
            assert!((0.0..1.0).contains(&random.unit()));
        }
        assert_eq!(random.below(0), 0);
        assert_eq!(random.between(4, 2), 4);
    }
}
