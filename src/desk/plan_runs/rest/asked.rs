//! What is asked: what happened, what somebody decides by hand, and whether to take what comes of it.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::store::Instant;
use crate::store::day_changes::ChangeKind;

/// Something that happened in the day.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Happened {
    /// It rains: nobody works on a court meanwhile.
    Rain {
        /// From when; now, where it is not told.
        from: Option<Instant>,
        /// Until when.
        until: Instant,
    },
    /// A crew goes home.
    CrewAway {
        /// The crew.
        crew_id: i64,
        /// When; now, where it is not told.
        from: Option<Instant>,
    },
    /// Somebody goes home, or did not come.
    PersonAway {
        /// Who.
        person_id: i64,
    },
    /// A court is shut.
    CourtShut {
        /// The court.
        court_id: i64,
        /// From when; now, where it is not told.
        from: Option<Instant>,
        /// Until when.
        until: Instant,
        /// Why, 1 to 200 characters.
        reason: String,
    },
    /// A tool is out of service.
    ToolBroken {
        /// The tool.
        tool_id: i64,
    },
    /// Play on a court ends at another time.
    PlayRunsOver {
        /// The session.
        session_id: i64,
        /// When it is over.
        until: Instant,
    },
    /// Work that is under way takes longer.
    WorkRunsOver {
        /// The order.
        order_id: i64,
        /// When it is done.
        until: Instant,
    },
}

/// What somebody decides about a visit.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HandChange {
    /// What is decided.
    pub kind: ChangeKind,
    /// The visit's name, as its order tells it; not with `add`.
    pub visit_key: Option<String>,
    /// The crew, of a pin.
    pub crew_id: Option<i64>,
    /// When it starts, of a pin that says so.
    pub start_at: Option<Instant>,
    /// The court, with `add`.
    pub court_id: Option<i64>,
    /// The care task, with `add`.
    pub care_task_id: Option<i64>,
}

/// Which trial was shown: it is taken only while it still holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Shown {
    /// The moment it was made for.
    pub at: Instant,
    /// Of what state of the day it was made.
    #[schema(example = "5f70bf18a086007016e948b04aed3b82103a36bea41755b6cddfaf10ace3c6ef")]
    pub basis: String,
}

/// The rest of a day is to be planned anew.
#[derive(Clone, Debug, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReplanAsk {
    /// What happened, in words, at most 200 characters.
    #[serde(default)]
    pub because: String,
    /// What happened, at most 20; empty where it was told elsewhere: play, closures, courts, tools.
    #[serde(default)]
    #[schema(max_items = 20)]
    pub happened: Vec<Happened>,
    /// What is decided by hand, at most 20.
    #[serde(default)]
    #[schema(max_items = 20)]
    pub changes: Vec<HandChange>,
    /// Whether it is taken; else only what would change is told.
    #[serde(default)]
    pub take: bool,
    /// The trial that was shown; where it is given, that one is taken or none.
    pub shown: Option<Shown>,
}

/// What planning the rest of a day anew changes.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct Replanned {
    /// The date.
    pub date: NaiveDate,
    /// Whether it was taken: the day has a new plan.
    pub taken: bool,
    /// Names this trial: send it back to take it.
    pub shown: Shown,
    /// What the rest of the day costs as it was planned, cents.
    pub cost_before_cents: i64,
    /// What it costs then, cents.
    pub cost_cents: i64,
    /// Of the first the pay for work and walks, overtime included, cents.
    pub pay_before_cents: i64,
    /// The same of the second.
    pub pay_cents: i64,
    /// What becomes of the visits, those that stay as they are left out.
    pub moves: Vec<MoveTold>,
    /// How many visits stay as they are.
    pub kept: usize,
    /// What could not be kept, as words and what they are about.
    pub notes: Vec<NoteTold>,
}

crate::store::columns::words! {
    /// What becomes of a visit.
    BecameKind {
        /// The same crew does it at another time.
        Retimed = "retimed",
        /// Another crew does it.
        Moved = "moved",
        /// The same crew does it another way.
        OtherWay = "other_way",
        /// It was planned and is left out now.
        LeftOut = "left_out",
        /// It was not planned and is now.
        BroughtIn = "brought_in",
    }
}

/// What becomes of a visit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct MoveTold {
    /// The visit's name.
    pub visit_key: String,
    /// Name of its court or bank.
    pub place: String,
    /// What it is, as people say it.
    pub title: String,
    /// What becomes of it.
    pub became: BecameKind,
    /// Name of the crew that was to do it; null where it was left out.
    pub from_crew: Option<String>,
    /// When it was to start.
    pub was_at: Option<Instant>,
    /// Name of the crew that does it; null where it is left out.
    pub to_crew: Option<String>,
    /// When it starts.
    pub starts_at: Option<Instant>,
    /// Why it is left out: a reason of the day plan.
    pub reason: Option<String>,
}

/// Something of the day that could not be kept.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct NoteTold {
    /// What, as one word.
    pub kind: String,
    /// What it is about: the place and the work, or the crew.
    pub about: String,
}
