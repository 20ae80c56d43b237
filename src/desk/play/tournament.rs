//! Tournament days: a short service between matches, and the order in which the courts reopen.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use serde_json::json;
use utoipa::ToSchema;

use super::check::Check;
use crate::desk::access::{EditPlay, Permit, SeePlay};
use crate::desk::once::Once;
use crate::desk::{Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::tournaments::{TournamentCourt, tournament_courts_between, tournament_set};

/// A tournament day.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Tournament {
    /// Its courts, the first to reopen first; none where no tournament is played.
    pub court_ids: Vec<i64>,
}

/// The tournament of a date.
pub fn tournament_read(
    office: &Office,
    permit: &Permit<SeePlay>,
    date: NaiveDate,
) -> Result<Tournament> {
    let courts = office
        .db
        .read(|conn| tournament_courts_between(conn, permit, date, date))?;
    Ok(told(courts))
}

/// Makes a date the tournament day of these courts, or an ordinary day again. The change says what it was before.
pub fn tournament_tell(
    office: &Office,
    permit: &Permit<EditPlay>,
    date: NaiveDate,
    client_key: String,
    new: &Tournament,
) -> Result<Tournament> {
    let once = Once::new(client_key, format!("tournament of {date}"), new)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let mut check = Check::default();
            if !new.court_ids.is_empty() {
                check.courts(tx.conn(), permit, &new.court_ids)?;
            }
            check.end()?;
            let before = told(tournament_courts_between(tx.conn(), permit, date, date)?);
            tournament_set(tx, permit, date, &new.court_ids)?;
            let deed = Deed {
                verb: "set",
                subject: "tournament",
                id: permit.site_id(),
                data: json!({ "date": date, "before": before.court_ids, "court_ids": new.court_ids }),
            };
            audit_append(tx, permit, &deed)?;
            Ok(new.clone())
        })
    })
}

fn told(courts: Vec<TournamentCourt>) -> Tournament {
    Tournament {
        court_ids: courts.into_iter().map(|court| court.court_id).collect(),
    }
}
