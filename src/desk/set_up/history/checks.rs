//! What the checks in the shed and on the courts found, of a site that was just laid.

use std::collections::HashMap;

use chrono::{Days, NaiveDate, NaiveTime};
use trade::calendar::local_to_instant;

use super::season::Season;
use crate::desk::Result;
use crate::desk::set_up::files::{FoundEntry, ShedFile};
use crate::store::tool_checks::{
    EyeVerdict, NewToolCheck, ReadIn, eye_check_add, points_add, tool_check_add,
};
use crate::store::tools::{WearPartRow, newest_readings};
use crate::store::wear::{NewReading, PartLife, part_lives, reading_add, used_until};
use crate::store::{Instant, Scope, Tx};

/// Courts were looked over by eye, and one brush was measured across.
pub fn checks_past(tx: &mut Tx<'_>, scope: &Scope, season: &Season, shed: &ShedFile) -> Result<()> {
    let lives = part_lives(tx.conn(), scope)?;
    let mut by_court: HashMap<&str, Vec<&WearPartRow>> = HashMap::new();
    for one in &lives {
        if let Some(court) = &one.court {
            by_court.entry(court).or_default().push(&one.part);
        }
    }
    let mut courts: Vec<_> = by_court.into_iter().collect();
    courts.sort_by_key(|(_, parts)| parts.first().map(|part| part.court_id));
    if let Some(days) = shed.court_parts.days_since_looked_at {
        for (court, parts) in &courts {
            looked(
                tx,
                scope,
                season,
                (court, parts),
                (days, &shed.court_parts.found),
            )?;
        }
    }
    for uneven in &shed.uneven {
        let of_tool = |one: &&PartLife| {
            let number = one.tool.as_ref().map(|(_, number)| number);
            number == Some(&uneven.number) && one.part.start_um.is_some()
        };
        if let Some(brush) = lives.iter().find(of_tool) {
            across(tx, scope, season, &brush.part, &uneven.off_um)?;
        }
    }
    Ok(())
}

/// Each of a court's parts was sound so many days ago, but what was found otherwise.
fn looked(
    tx: &mut Tx<'_>,
    scope: &Scope,
    season: &Season,
    (court, parts): (&str, &[&WearPartRow]),
    (days, found): (i64, &[FoundEntry]),
) -> Result<()> {
    let of = |part: &WearPartRow| {
        let mut found = found.iter();
        found.find(|one| one.court == court && one.kind == part.kind)
    };
    let mut by_day: HashMap<i64, Vec<(i64, EyeVerdict)>> = HashMap::new();
    for part in parts {
        let (ago, verdict) =
            of(part).map_or((days, EyeVerdict::Sound), |one| (one.days_ago, one.verdict));
        by_day.entry(ago).or_default().push((part.id, verdict));
    }
    let mut by_day: Vec<_> = by_day.into_iter().collect();
    by_day.sort_by_key(|(ago, _)| std::cmp::Reverse(*ago));
    for (ago, said) in by_day {
        let at = morning(season, ago);
        let court_id = parts.first().and_then(|part| part.court_id);
        let check = check(tx, scope, season, (None, court_id), at)?;
        for one in said {
            eye_check_add(tx, scope, check, one, at)?;
        }
    }
    Ok(())
}

/// The newest length of a brush was the mean of several across it.
fn across(
    tx: &mut Tx<'_>,
    scope: &Scope,
    season: &Season,
    part: &WearPartRow,
    off_um: &[i64],
) -> Result<()> {
    let newest = newest_readings(tx.conn(), scope, &[part.id])?;
    let Some(last) = newest.first() else {
        return Ok(());
    };
    let at = morning(season, 1);
    let measured_on = day(season, 1);
    let check = check(tx, scope, season, (part.tool_id, None), at)?;
    let new = NewReading {
        wear_part_id: part.id,
        measured_on,
        used_mm: used_until(tx.conn(), scope, part.id, measured_on)?,
        length_um: last.length_um,
        order_id: None,
        user_id: season.lead,
        booked_at: tx.now(),
        doubt: None,
    };
    let reading = reading_add(tx, scope, &new)?;
    let points: Vec<i64> = off_um.iter().map(|off| last.length_um + off).collect();
    points_add(tx, scope, check, reading, (&points, ReadIn::Millimetres))?;
    Ok(())
}

fn check(
    tx: &mut Tx<'_>,
    scope: &Scope,
    season: &Season,
    (tool_id, court_id): (Option<i64>, Option<i64>),
    happened_at: Instant,
) -> Result<i64> {
    let key = uuid::Uuid::new_v4().to_string();
    let new = NewToolCheck {
        tool_id,
        court_id,
        person_id: None,
        happened_at,
        user_id: season.lead,
        client_key: &key,
    };
    Ok(tool_check_add(tx, scope, &new)?)
}

fn day(season: &Season, ago: i64) -> NaiveDate {
    season.today - Days::new(ago.unsigned_abs())
}

fn morning(season: &Season, ago: i64) -> Instant {
    let time = NaiveTime::from_hms_opt(7, 30, 0).unwrap_or_default();
    local_to_instant(season.zone, day(season, ago), time).into()
}
