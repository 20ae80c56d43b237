//! How people begin work in heat.

use serde::{Deserialize, Serialize};

/// Who is not used to the heat yet, and on which day of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Newcomer {
    /// New to the work: its day, from 1.
    New(u32),
    /// Back after a week or more away: the day back, from 1.
    Returning(u32),
}

/// How much of a day's work in heat somebody may do, percent: new people 20, 40, 60, 80 and then 100; those
/// back from a week away 50, 60, 80 and then 100.
///
/// Advice of the US National Institute for Occupational Safety and Health, from memory; not law.
pub const fn heat_share_pct(who: Newcomer) -> i64 {
    match who {
        Newcomer::New(0 | 1) => 20,
        Newcomer::New(2) => 40,
        Newcomer::New(3) | Newcomer::Returning(2) => 60,
        Newcomer::Returning(0 | 1) => 50,
        Newcomer::New(4) | Newcomer::Returning(3) => 80,
        Newcomer::New(_) | Newcomer::Returning(_) => 100,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Steps of the Institute's advice, from memory.
    #[test]
    fn whoever_is_new_or_was_away_starts_on_less() {
        let new = [1, 2, 3, 4, 5, 6].map(|day| heat_share_pct(Newcomer::New(day)));
        assert_eq!(new, [20, 40, 60, 80, 100, 100]);
        let back = [1, 2, 3, 4, 5].map(|day| heat_share_pct(Newcomer::Returning(day)));
        assert_eq!(back, [50, 60, 80, 100, 100]);
    }
}
