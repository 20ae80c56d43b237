//! What a check of a net does of the care standard's work, and by when that work is due whatever the standard says.

use std::collections::BTreeMap;
use std::num::NonZeroU16;

use chrono::NaiveDate;
use chrono_tz::Tz;
use trade::calendar::{day_start, work_date};
use trade::care::{CareTask, Rule};

use crate::desk::settings::Settings;
use crate::desk::settings::known::{NET_GAUGE_DAYS, NET_LOOK_DAYS};
use crate::store::care::CareTaskRow;
use crate::store::net_checks::{NetPart, gauged_last, net_parts};
use crate::store::tools::WearPartKind;
use crate::store::{Conn, Result, Scope};

/// The care task that gauging a net is.
pub(super) const GAUGE: &str = CareTask::NetAndStrap.as_str();
/// The care task that looking along a net's strap and cable is.
pub(super) const LOOK: &str = "strap_and_cable";

/// How a site counts its days.
#[derive(Clone, Copy, Debug)]
pub(in crate::desk) struct Calendar {
    /// The site's zone.
    pub zone: Tz,
    /// The site's own date on which it was set up.
    pub founded_on: NaiveDate,
}

/// By when a task of this code is due at the latest, whatever its own rule says; none for most.
pub(in crate::desk) fn at_latest(settings: &Settings, code: &str) -> Option<Rule> {
    let days = match code {
        GAUGE => settings.number(NET_GAUGE_DAYS),
        LOOK => settings.number(NET_LOOK_DAYS),
        _ => return None,
    };
    let days = u16::try_from(days).ok().and_then(NonZeroU16::new)?;
    Some(Rule::EveryDays(days))
}

/// The days before `before` on which checks did the work of these tasks last: task, court, day. At most two queries; none
/// where the standard has neither task.
pub(in crate::desk) fn done_by_checks(
    conn: &mut Conn,
    scope: &Scope,
    tasks: &[CareTaskRow],
    calendar: Calendar,
    before: NaiveDate,
) -> Result<Vec<(i64, i64, NaiveDate)>> {
    let of = |code: &str| tasks.iter().find(|task| task.code == code);
    let until = day_start(calendar.zone, before).into();
    let mut done = Vec::new();
    if let Some(task) = of(GAUGE) {
        for (court, at) in gauged_last(conn, scope, until)? {
            done.push((task.id, court, work_date(calendar.zone, at.utc())));
        }
    }
    if let Some(task) = of(LOOK) {
        let parts = net_parts(conn, scope, until)?;
        let looked = looked_over(&parts, calendar).into_iter();
        done.extend(looked.map(|(court, on)| (task.id, court, on)));
    }
    Ok(done)
}

/// On which day each net was last looked over: all its parts, a strap and a cable among them. The part that was looked at
/// longest ago tells; one that nobody looked at counts from when it was fitted, as far as the office saw that.
pub(super) fn looked_over(parts: &[NetPart], calendar: Calendar) -> BTreeMap<i64, NaiveDate> {
    let mut courts: BTreeMap<i64, Vec<&NetPart>> = BTreeMap::new();
    for part in parts {
        courts.entry(part.court_id).or_default().push(part);
    }
    let looked = |part: &&NetPart| match part.looked_at {
        Some(at) => Some(work_date(calendar.zone, at.utc())),
        None => Some(part.fitted_on).filter(|on| *on >= calendar.founded_on),
    };
    courts
        .into_iter()
        .filter_map(|(court, parts)| {
            let has = |kind| parts.iter().any(|part| part.kind == kind);
            let is_whole = has(WearPartKind::CentreStrap) && has(WearPartKind::Cable);
            let days: Option<Vec<NaiveDate>> = parts.iter().map(looked).collect();
            let first = days?.into_iter().min()?;
            is_whole.then_some((court, first))
        })
        .collect()
}
