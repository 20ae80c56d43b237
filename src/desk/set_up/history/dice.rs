//! Chance that falls the same way twice.

/// Chance from a seed: `SplitMix64` (Steele, Lea & Flood, "Fast splittable pseudorandom number
/// generators", 2014).
pub struct Dice(u64);

impl Dice {
    /// The dice of one day: another throw for each day of a seed, whatever happened on the others.
    pub fn of(seed: u64, day: u64) -> Self {
        let mut dice = Self(seed ^ day.wrapping_mul(0xd1b5_4a32_d192_ed03));
        dice.next();
        dice
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number from `least` to `most`, both included.
    pub fn between(&mut self, least: i64, most: i64) -> i64 {
        let sides = most
            .saturating_sub(least)
            .max(0)
            .unsigned_abs()
            .saturating_add(1);
        let thrown = (u128::from(self.next()) * u128::from(sides)) >> 64;
        least.saturating_add(i64::try_from(thrown).unwrap_or(0))
    }

    /// True once in `n` times.
    pub fn once_in(&mut self, n: i64) -> bool {
        self.between(1, n) == 1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_day_of_a_seed_is_thrown_alike_and_another_is_not() {
        let throws = |seed, day| {
            let mut dice = Dice::of(seed, day);
            (0..20)
                .map(|_| dice.between(0, 1_000_000))
                .collect::<Vec<_>>()
        };
        assert_eq!(throws(1, 5), throws(1, 5));
        assert_ne!(throws(1, 5), throws(1, 6));
        assert_ne!(throws(1, 5), throws(2, 5));
    }

    #[test]
    fn both_ends_are_thrown_and_nothing_beyond() {
        let mut dice = Dice::of(3, 1);
        let mut seen: Vec<i64> = (0..200).map(|_| dice.between(-1, 2)).collect();
        seen.sort_unstable();
        seen.dedup();
        assert_eq!(seen, [-1, 0, 1, 2]);
    }
}
