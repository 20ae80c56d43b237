//! The care tasks and what is known of each.

use std::num::NonZeroU16;

use serde::Serialize;

use super::{Cadence, GroundNeed};
use crate::units::Seconds;
use crate::whole::{Overflow, scaled};

word_enum! {
    /// One thing to be done to a court. The steps of a turnaround stand first, in their order.
    CareTask {
        /// Take leaves off.
        LeavesOff = "leaves_off",
        /// Look the court over and tread holes firm.
        LookOver = "look_over",
        /// Loosen packed baselines, shallow.
        Loosen = "loosen",
        /// Raise the net out of the way.
        RaiseNet = "raise_net",
        /// Wet a powdery court lightly and wait until it can be groomed damp.
        LightWetting = "light_wetting",
        /// Groom the whole surface, edges included.
        Groom = "groom",
        /// Clear the lines.
        ClearLines = "clear_lines",
        /// Lower the net and check it.
        LowerNet = "lower_net",
        /// Start the soak.
        Soak = "soak",
        /// Water by hand.
        HandWatering = "hand_watering",
        /// The walk before first play.
        OpeningWalk = "opening_walk",
        /// The round that closes the day.
        ClosingRound = "closing_round",
        /// Roll.
        Roll = "roll",
        /// Check net height and strap by gauge.
        NetAndStrap = "net_and_strap",
        /// Clear drains, look at the reach of sprinkler heads.
        DrainsAndHeads = "drains_and_heads",
        /// Work the edges so that weeds and algae do not settle.
        EdgesAndWeeds = "edges_and_weeds",
        /// Find and mark low spots.
        LowSpots = "low_spots",
        /// Fill and level a marked spot.
        Patch = "patch",
        /// Spread new top dressing in two layers, watered and rolled.
        TopDressing = "top_dressing",
        /// Spread calcium chloride and water it in.
        CalciumChloride = "calcium_chloride",
    }
}

word_enum! {
    /// A caution that an order shows.
    Caution {
        /// Dust of crushed stone.
        Dust = "dust",
        /// Heavy work in the heat.
        Heat = "heat",
        /// Chemicals: the label comes first.
        Chemicals = "chemicals",
        /// Rollers.
        Roller = "roller",
        /// Net cables under tension.
        NetTension = "net_tension",
        /// Towing with a cart.
        Towing = "towing",
        /// Pumps fed from the mains.
        MainsPump = "mains_pump",
        /// A tool pulled too fast hops and leaves ridges.
        Pace = "pace",
    }
}

word_enum! {
    /// Where a fact comes from.
    Source {
        /// Common practice, no source.
        CommonPractice = "common_practice",
        /// How often and on what ground: read in a public club's maintenance page; the minutes are common practice.
        MaintenancePage = "maintenance_page",
    }
}

word_enum! {
    /// Whether more hands make a task shorter.
    Sharing {
        /// One person with one tool, or a wait: more hands do not help.
        Alone = "alone",
        /// It goes faster with more hands, each helping less than the one before.
        Shared = "shared",
    }
}

/// What is known of one care task, as a care standard starts from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
pub struct TaskFacts {
    /// The task.
    pub task: CareTask,
    /// How often it is usual.
    pub cadence: Cadence,
    /// What ground it needs.
    pub ground: GroundNeed,
    /// What the order warns of.
    pub cautions: &'static [Caution],
    /// The fewest people who may do it.
    pub min_hands: u8,
    /// The work of one person on a court of 60 by 120 ft.
    pub base: Seconds,
    /// Whether more hands make it shorter.
    pub sharing: Sharing,
    /// Where this comes from.
    pub source: Source,
}

const TWO_WEEKS: NonZeroU16 = NonZeroU16::new(14).expect("fourteen is not zero");

/// What is known of the task.
#[rustfmt::skip]
pub const fn facts(task: CareTask) -> TaskFacts {
    use Cadence::{AfterEachSession, AsFound, Daily, EveryDays, Weekly, Yearly};
    use CareTask as T;
    use GroundNeed as G;
    use Sharing::{Alone, Shared};
    use Source::{CommonPractice, MaintenancePage};
    let (cadence, ground, min_hands, base, sharing, source) = match task {
        T::LeavesOff       => (AsFound,              G::FIRM,    1,    600, Shared, CommonPractice),
        T::LookOver        => (AfterEachSession,     G::ANY,     1,    270, Shared, CommonPractice),
        T::Loosen          => (AsFound,              G::DAMP,    1,    480, Shared, CommonPractice),
        T::RaiseNet        => (AfterEachSession,     G::FIRM,    1,     60, Alone,  CommonPractice),
        T::LightWetting    => (AsFound,              G::DRAINED, 1,    600, Alone,  CommonPractice),
        T::Groom           => (AfterEachSession,     G::DAMP,    1,    600, Alone,  MaintenancePage),
        T::ClearLines      => (AfterEachSession,     G::NOT_WET, 1,    480, Shared, MaintenancePage),
        T::LowerNet        => (AfterEachSession,     G::FIRM,    1,    180, Alone,  CommonPractice),
        T::Soak            => (AfterEachSession,     G::DRAINED, 1,     60, Alone,  CommonPractice),
        T::HandWatering    => (Daily,                G::DRAINED, 1,  1_200, Alone,  MaintenancePage),
        T::OpeningWalk     => (Daily,                G::ANY,     1,    300, Shared, CommonPractice),
        T::ClosingRound    => (Daily,                G::ANY,     1,    360, Shared, CommonPractice),
        T::Roll            => (Weekly,               G::DAMP,    1,  1_500, Alone,  MaintenancePage),
        T::NetAndStrap     => (Weekly,               G::FIRM,    1,    300, Alone,  CommonPractice),
        T::DrainsAndHeads  => (Weekly,               G::FIRM,    1,    600, Shared, CommonPractice),
        T::EdgesAndWeeds   => (Weekly,               G::NOT_WET, 1,  1_500, Shared, CommonPractice),
        T::LowSpots        => (Weekly,               G::FIRM,    1,    600, Shared, MaintenancePage),
        T::Patch           => (AsFound,              G::NOT_WET, 1,  1_500, Shared, MaintenancePage),
        T::TopDressing     => (Yearly,               G::NOT_WET, 3, 32_000, Shared, MaintenancePage),
        T::CalciumChloride => (EveryDays(TWO_WEEKS), G::NOT_WET, 2,  2_700, Shared, MaintenancePage),
    };
    TaskFacts { task, cadence, ground, cautions: cautions(task), min_hands, base: Seconds(base), sharing, source }
}

/// What an order for the task warns of.
const fn cautions(task: CareTask) -> &'static [Caution] {
    use Caution::{Chemicals, Dust, Heat, MainsPump, NetTension, Pace, Roller, Towing};
    match task {
        CareTask::LeavesOff | CareTask::Loosen | CareTask::ClearLines | CareTask::EdgesAndWeeds => {
            &[Dust]
        }
        CareTask::Groom => &[Dust, Pace, Towing],
        CareTask::LowerNet | CareTask::NetAndStrap => &[NetTension],
        CareTask::Soak | CareTask::ClosingRound | CareTask::DrainsAndHeads => &[MainsPump],
        CareTask::Roll => &[Roller],
        CareTask::Patch => &[Dust, Roller],
        CareTask::TopDressing => &[Dust, Heat, Roller, Towing],
        CareTask::CalciumChloride => &[Chemicals],
        CareTask::LookOver
        | CareTask::RaiseNet
        | CareTask::LightWetting
        | CareTask::HandWatering
        | CareTask::OpeningWalk
        | CareTask::LowSpots => &[],
    }
}

/// Share of one person's time that so many hands need, in hundredths. Common practice, no source.
const SHARES: [i64; 5] = [100, 58, 45, 38, 35];

/// Seconds that 1, 2, … up to `hands` people need for what takes one of them `base`: entry `h - 1` is for `h` hands.
/// More than five go no faster than five. `hands` of 0 counts as 1.
pub fn service_s(base: Seconds, sharing: Sharing, hands: usize) -> Result<Vec<Seconds>, Overflow> {
    (0..hands.max(1))
        .map(|more| match sharing {
            Sharing::Alone => Ok(base),
            Sharing::Shared => scaled(base.0, SHARES[more.min(SHARES.len() - 1)], 100).map(Seconds),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_task_has_a_time_and_somebody_to_do_it() {
        for task in CareTask::ALL {
            let known = facts(*task);
            assert_eq!(known.task, *task);
            assert!(known.base > Seconds::ZERO && known.min_hands > 0, "{task}");
        }
    }

    #[test]
    fn more_hands_are_never_slower_and_each_helps_less_than_the_one_before() {
        let times = service_s(Seconds(10_000), Sharing::Shared, 7).unwrap();
        let gains: Vec<i64> = times.windows(2).map(|pair| pair[0].0 - pair[1].0).collect();
        assert!(gains.windows(2).all(|pair| pair[0] >= pair[1]), "{gains:?}");
        assert!(gains.iter().all(|gain| *gain >= 0));
        assert_eq!(
            service_s(Seconds(60), Sharing::Alone, 3),
            Ok(vec![Seconds(60); 3])
        );
    }

    // Common practice, no source: top dressing takes three people half a day.
    #[test]
    fn three_people_top_dress_a_court_in_half_a_day() {
        let known = facts(CareTask::TopDressing);
        assert_eq!(known.min_hands, 3);
        assert_eq!(
            service_s(known.base, known.sharing, 3).unwrap()[2],
            Seconds(4 * 3_600)
        );
    }

    // Calcium chloride every 10 to 14 days in dry weather: a public club's maintenance page.
    #[test]
    fn chemicals_take_two_people_and_come_with_their_caution() {
        let known = facts(CareTask::CalciumChloride);
        assert_eq!(
            (known.min_hands, known.cautions),
            (2, &[Caution::Chemicals] as &[_])
        );
        assert_eq!(known.cadence.to_string(), "every_14_days");
    }
}
