//! What is told of play and of what shuts it out.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::store::Instant;
use crate::store::columns::words;
use crate::store::play_changes::SessionSet;

words! {
    /// Which turnaround will do after a session.
    Turnaround {
        /// The full one.
        Full = "full",
        /// The short one will do where time is short.
        Short = "short",
    }
}

/// A session, wherever it is played.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Play {
    /// What the site calls it, 1 to 80 characters.
    pub name: String,
    /// When it begins.
    pub starts_at: Instant,
    /// When it is over; of an open-ended one, when it is expected to be.
    pub ends_at: Instant,
    /// Which turnaround will do after it.
    pub turnaround: Turnaround,
    /// Nobody knows yet when it ends.
    #[serde(default)]
    pub open_ended: bool,
    /// The short turnaround will do also where the one before it on the court was short.
    #[serde(default)]
    pub short_ok: bool,
    /// The players brush and sweep the court themselves after it.
    #[serde(default)]
    pub players_brush: bool,
}

impl Play {
    /// It, as set on a court.
    pub(super) fn on(&self, court_id: i64) -> SessionSet {
        SessionSet {
            court_id,
            name: self.name.trim().to_owned(),
            starts_at: self.starts_at,
            ends_at: self.ends_at,
            short_turnaround: self.turnaround == Turnaround::Short,
            players_brush: self.players_brush,
            open_ended: self.open_ended,
            short_ok: self.short_ok,
        }
    }
}

/// One session on each of several courts.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewSessions {
    /// The courts, 1 to 100.
    pub court_ids: Vec<i64>,
    /// What is played on each.
    pub play: Play,
}

/// A session as it is to be.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SessionEdit {
    /// The court.
    pub court_id: i64,
    /// What is played there.
    pub play: Play,
}

/// Play is over.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PlayOver {
    /// When it was over; now where it is not given.
    pub happened_at: Option<Instant>,
}

/// A time when several courts are shut.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewClosures {
    /// The courts, 1 to 100.
    pub court_ids: Vec<i64>,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// Why, 1 to 200 characters.
    pub reason: String,
}
