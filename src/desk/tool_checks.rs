//! The weekly check in the shed: lengths at several points, and what the eye says of what is not measured.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use trade::calendar::work_date;
use trade::wear::Doubt;
use utoipa::ToSchema;

use super::access::{CheckTool, Permit};
use super::booking::Rates;
use super::error::{FieldFault, is_missing};
use super::happened::happened;
use super::nets::{NetGauged, NetTold, Seen, gauge, mend, net_told_faults};
use super::once::Once;
use super::stops::actor;
use super::wear::{Measure, keep};
use super::{Error, Office, Result};
use crate::store::audit::{Deed, Touch, audit_append_about};
use crate::store::courts::court_read;
use crate::store::crews::person_read;
use crate::store::sites::site_read;
use crate::store::tool_checks::{
    EyeVerdict, NewToolCheck, ReadIn, eye_check_add, points_add, tool_check_add,
};
use crate::store::tools::{WearPartRow, tool_read, wear_part_read};
use crate::store::{self, Conn, Instant, Scope, Tx};

/// The most points at which one part is measured.
const MOST_POINTS: usize = 9;
/// The most parts of one check.
const MOST_PARTS: usize = 100;

/// A check of a tool, or of a court.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ToolCheckTold {
    /// The tool; this or `court_id` is needed.
    pub tool_id: Option<i64>,
    /// The court.
    pub court_id: Option<i64>,
    /// Who looked.
    pub person_id: Option<i64>,
    /// Lengths that were measured.
    #[serde(default)]
    pub readings: Vec<LengthTold>,
    /// What the eye says.
    #[serde(default)]
    pub by_eye: Vec<EyeTold>,
    /// The court's net, where it was gauged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub net: Option<NetTold>,
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
}

/// A length that was measured at one point or several.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LengthTold {
    /// The part.
    pub wear_part_id: i64,
    /// How long it is at each point, µm, 1 to 9 of them: their mean is the reading.
    pub points_um: Vec<i64>,
    /// The unit it was read off in.
    pub read_in: ReadIn,
}

/// What the eye says of a part.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EyeTold {
    /// The part.
    pub wear_part_id: i64,
    /// What the eye says.
    pub verdict: EyeVerdict,
}

/// A check as it was taken.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[schema(as = ToolCheck)]
pub struct ToolCheckView {
    /// Id.
    pub id: i64,
    /// The tool, or null.
    pub tool_id: Option<i64>,
    /// The court, or null.
    pub court_id: Option<i64>,
    /// Who looked.
    pub person_id: Option<i64>,
    /// When.
    pub happened_at: Instant,
    /// When the office learned of it.
    pub learned_at: Instant,
    /// The readings it came to.
    pub readings: Vec<CheckedReading>,
    /// What the eye said.
    pub by_eye: Vec<EyeTold>,
    /// The net, where it was gauged.
    #[serde(default)]
    pub net: Option<NetGauged>,
    /// The defects that were raised: what is not by the rules at the net, and parts of it that are to be changed now.
    #[serde(default)]
    pub defects: Vec<i64>,
}

/// A reading of a check.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct CheckedReading {
    /// Id of the reading.
    pub id: i64,
    /// The part.
    pub wear_part_id: i64,
    /// The mean of its points, µm.
    pub length_um: i64,
    /// What speaks against it: it counts once somebody confirms it, or a further one says the same.
    #[serde(default)]
    #[schema(value_type = Option<String>, example = "too_long")]
    pub doubt: Option<Doubt>,
}

/// Takes a check of a tool or a court.
pub fn tool_check(
    office: &Office,
    permit: &Permit<CheckTool>,
    client_key: String,
    told: &ToolCheckTold,
) -> Result<ToolCheckView> {
    let once = Once::new(client_key, "tool-checks".into(), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| take(tx, permit, told, &once.client_key))
    })
}

fn take(
    tx: &mut Tx<'_>,
    scope: &Scope,
    told: &ToolCheckTold,
    client_key: &str,
) -> Result<ToolCheckView> {
    let happened_at = happened(tx.now(), told.happened_at, "/happened_at")?;
    let site = site_read(tx.conn(), scope)?;
    let zone = site.zone()?;
    let date = work_date(zone, happened_at.utc());
    let faults = faults(tx.conn(), scope, told, date)?;
    if !faults.is_empty() {
        return Err(Error::Refused(faults));
    }
    let user_id = actor(scope)?;
    let new = NewToolCheck {
        tool_id: told.tool_id,
        court_id: told.court_id,
        person_id: told.person_id,
        happened_at,
        user_id,
        client_key,
    };
    let id = tool_check_add(tx, scope, &new)?;
    let mut readings = Vec::new();
    // A check by eye needs none of the site's measures.
    if !told.readings.is_empty() {
        let rates = Rates::read(tx.conn(), scope)?;
        for reading in &told.readings {
            readings.push(measured(tx, scope, &rates, reading, (id, date, user_id))?);
        }
    }
    let mut looks = Vec::new();
    for eye in &told.by_eye {
        let said = (eye.wear_part_id, eye.verdict);
        let look = eye_check_add(tx, scope, id, said, happened_at)?;
        looks.push((eye.wear_part_id, eye.verdict, look));
    }
    let (mut net, mut defects) = (None, Vec::new());
    if let Some(court) = told.court_id {
        let seen = Seen {
            check: id,
            court,
            person_id: told.person_id,
            user_id,
            happened_at,
            client_key,
            units: site.units.into(),
        };
        let mut wrong = BTreeMap::new();
        if let Some(told) = &told.net {
            net = Some(gauge(tx, scope, &seen, told, &mut wrong)?);
        }
        defects = mend(tx, scope, &seen, wrong, &looks)?;
    }
    let deed = Deed {
        verb: "told",
        subject: "tool_check",
        id,
        data: serde_json::json!({
            "tool": told.tool_id, "court": told.court_id, "happened_at": happened_at,
            "readings": readings, "by_eye": told.by_eye, "net": net,
        }),
    };
    let tool = told.tool_id.map(|tool| ("tool", tool));
    let court = told.court_id.map(|court| ("court", court));
    let about: Vec<Touch> = tool.into_iter().chain(court).collect();
    audit_append_about(tx, scope, &deed, &about)?;
    Ok(ToolCheckView {
        id,
        tool_id: told.tool_id,
        court_id: told.court_id,
        person_id: told.person_id,
        happened_at,
        learned_at: tx.now(),
        readings,
        by_eye: told.by_eye.clone(),
        net,
        defects,
    })
}

/// Keeps one length of a check, with the points that it is the mean of.
fn measured(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    told: &LengthTold,
    (check, on, user_id): (i64, NaiveDate, i64),
) -> Result<CheckedReading> {
    let length_um = mean(&told.points_um);
    let length = Measure {
        part: told.wear_part_id,
        on,
        length_um,
        order_id: None,
        user_id,
        learned_at: tx.now(),
    };
    let (id, doubt) = keep(tx, scope, rates, length)?;
    points_add(tx, scope, check, id, (&told.points_um, told.read_in))?;
    Ok(CheckedReading {
        id,
        wear_part_id: told.wear_part_id,
        length_um,
        doubt,
    })
}

/// Every fault of a check, not only the first.
fn faults(
    conn: &mut Conn,
    scope: &Scope,
    told: &ToolCheckTold,
    date: NaiveDate,
) -> Result<Vec<FieldFault>> {
    let of_net = told.net.iter();
    let of_net = of_net.flat_map(|net| net_told_faults(net, told.court_id.is_some()));
    let mut faults: Vec<FieldFault> = of_net.collect();
    let mut fault = |code: &'static str, field: String, detail: String| {
        faults.push(FieldFault::new(field, detail).coded(code));
    };
    let none = |what: &str| format!("this site has no {what} with this id");
    match (told.tool_id, told.court_id) {
        (Some(tool), None) => {
            if is_missing(tool_read(conn, scope, tool))? {
                fault("tool_unknown", "/tool_id".into(), none("tool"));
            }
        }
        (None, Some(court)) => {
            if is_missing(court_read(conn, scope, court))? {
                fault("court_unknown", "/court_id".into(), none("court"));
            }
        }
        _ => fault(
            "tool_unknown",
            "/tool_id".into(),
            "name either the tool or the court that was checked".into(),
        ),
    }
    if let Some(person) = told.person_id
        && is_missing(person_read(conn, scope, person))?
    {
        fault("person_unknown", "/person_id".into(), none("person"));
    }
    let parts = told.readings.len() + told.by_eye.len();
    if (parts == 0 && told.net.is_none()) || parts > MOST_PARTS {
        fault(
            "nothing_checked",
            "/readings".into(),
            format!("tell of 1 to {MOST_PARTS} parts, measured or by eye"),
        );
        return Ok(faults);
    }
    for (at, reading) in told.readings.iter().enumerate() {
        let of_part = format!("/readings/{at}/wear_part_id");
        let of_points = format!("/readings/{at}/points_um");
        if reading.points_um.is_empty() || reading.points_um.len() > MOST_POINTS {
            let mend = format!("give 1 to {MOST_POINTS} lengths");
            fault("points_range", of_points, mend);
            continue;
        }
        match part_of(conn, scope, told, reading.wear_part_id, date)? {
            Err((code, why)) => fault(code, of_part, why),
            Ok(part) => match part.start_um {
                None => fault(
                    "part_by_eye",
                    of_part,
                    "this part is judged by eye, not measured".into(),
                ),
                Some(new) => {
                    let outside = |length: &i64| !(0..=new).contains(length);
                    if let Some(point) = reading.points_um.iter().position(outside) {
                        fault(
                            "longer_than_new",
                            format!("{of_points}/{point}"),
                            format!("the part was {new} µm long when new: give 0 to {new}"),
                        );
                    }
                }
            },
        }
    }
    for (at, eye) in told.by_eye.iter().enumerate() {
        if let Err((code, why)) = part_of(conn, scope, told, eye.wear_part_id, date)? {
            fault(code, format!("/by_eye/{at}/wear_part_id"), why);
        }
    }
    Ok(faults)
}

/// A part of what was checked that was fitted then; else why it is none.
fn part_of(
    conn: &mut Conn,
    scope: &Scope,
    told: &ToolCheckTold,
    id: i64,
    date: NaiveDate,
) -> store::Result<std::result::Result<WearPartRow, (&'static str, String)>> {
    let part = match wear_part_read(conn, scope, id) {
        Ok(part) => part,
        Err(store::Error::NotFound) => {
            let why = "this site has no wear part with this id";
            return Ok(Err(("part_unknown", why.into())));
        }
        Err(why) => return Err(why),
    };
    if (part.tool_id, part.court_id) != (told.tool_id, told.court_id) {
        let why = "this part is on another tool or court";
        return Ok(Err(("part_unknown", why.into())));
    }
    if part.fitted_on > date || part.retired_on.is_some_and(|off| off < date) {
        let why = format!("this part was not fitted on {date}");
        return Ok(Err(("part_not_fitted", why)));
    }
    Ok(Ok(part))
}

/// The mean of some lengths, µm, to the nearest; none of them is far from what a part can be.
fn mean(points_um: &[i64]) -> i64 {
    let count = i64::try_from(points_um.len()).unwrap_or(1).max(1);
    (points_um.iter().sum::<i64>() + count / 2) / count
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn the_mean_of_one_point_is_the_point_and_a_half_goes_up() {
        assert_eq!(mean(&[77_000]), 77_000);
        assert_eq!(mean(&[1, 2]), 2);
        assert_eq!(mean(&[90_000, 80_000, 70_001]), 80_000);
    }

    proptest! {
        #[test]
        fn a_mean_lies_within_its_points(points in proptest::collection::vec(0_i64..1_000_000, 1..=MOST_POINTS)) {
            let (least, most) = (points.iter().min().copied(), points.iter().max().copied());
            prop_assert!(Some(mean(&points)) >= least && Some(mean(&points)) <= most);
        }
    }
}
