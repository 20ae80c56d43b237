//! The planner's only source of chance: a 64-bit generator seeded by the caller.
//!
//! The step is `SplitMix64` (Steele, Lea & Flood, "Fast splittable pseudorandom number generators", 2014):
//! one addition and one mix, the same on every machine.

/// A seeded generator.
#[derive(Clone, Debug)]
pub(crate) struct Rng(u64);

impl Rng {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Another generator, that goes its own way.
    pub(crate) fn fork(&mut self) -> Self {
        Self(self.next())
    }

    /// A number below `n`, 0 where `n` is 0.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        let wide = u128::from(self.next()) * (n as u128);
        usize::try_from(wide >> 64).unwrap_or(0)
    }

    /// A number in `[0, 1)`.
    #[expect(
        clippy::cast_precision_loss,
        reason = "53 bits are exactly what an f64 holds"
    )]
    pub(crate) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// True once in `n` times.
    pub(crate) fn once_in(&mut self, n: usize) -> bool {
        self.below(n) == 0
    }

    pub(crate) fn shuffle<T>(&mut self, list: &mut [T]) {
        for i in (1..list.len()).rev() {
            list.swap(i, self.below(i + 1));
        }
    }
}
