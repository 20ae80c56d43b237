//! What may be wrong with a court, in the trade's words, and which care task mends it.

use super::CareTask;

word_enum! {
    /// Something that is wrong with a court.
    DefectKind {
        /// A place that lies low.
        LowSpot = "low_spot",
        /// A hole.
        Hole = "hole",
        /// A line that is loose.
        LooseLine = "loose_line",
        /// A line tape that has lifted, or a nail that stands up.
        LiftedTape = "lifted_tape",
        /// A net that is torn.
        TornNet = "torn_net",
        /// A net whose cable has slackened.
        LooseNetCable = "loose_net_cable",
        /// A centre strap that is worn.
        WornStrap = "worn_strap",
        /// A sprinkler head that is clogged.
        CloggedSprinkler = "clogged_sprinkler",
        /// Water that does not drain.
        StandingWater = "standing_water",
        /// Weeds or algae.
        WeedsOrAlgae = "weeds_or_algae",
        /// A fence or windscreen that is damaged.
        FenceOrWindscreen = "fence_or_windscreen",
        /// Glass, or something else that is sharp.
        GlassOrSharp = "glass_or_sharp",
        /// Something else.
        Other = "other",
    }
}

/// The care task that mends it; none where none of them does. Common practice, no source.
pub const fn mended_by(kind: DefectKind) -> Option<CareTask> {
    match kind {
        DefectKind::LowSpot | DefectKind::Hole => Some(CareTask::Patch),
        DefectKind::TornNet | DefectKind::LooseNetCable | DefectKind::WornStrap => {
            Some(CareTask::NetAndStrap)
        }
        DefectKind::CloggedSprinkler | DefectKind::StandingWater => Some(CareTask::DrainsAndHeads),
        DefectKind::WeedsOrAlgae => Some(CareTask::EdgesAndWeeds),
        DefectKind::LooseLine
        | DefectKind::LiftedTape
        | DefectKind::FenceOrWindscreen
        | DefectKind::GlassOrSharp
        | DefectKind::Other => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::care::{Caution, facts};

    /// Whatever is mended at a net warns of its cable: it is under tension.
    #[test]
    fn mending_a_net_warns_of_the_cable() {
        for kind in [
            DefectKind::TornNet,
            DefectKind::LooseNetCable,
            DefectKind::WornStrap,
        ] {
            let task = mended_by(kind).expect("a task");
            assert!(
                facts(task).cautions.contains(&Caution::NetTension),
                "{kind}"
            );
        }
    }
}
