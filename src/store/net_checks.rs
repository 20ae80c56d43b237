//! Nets that were gauged, and when the parts of a net were last looked at.

use diesel::prelude::*;

use super::db::{Conn, Tx};
use super::schema::{eye_checks, net_checks, wear_parts};
use super::tool_checks::{EyeVerdict, ReadIn};
use super::tools::WearPartKind;
use super::{Instant, Result, Scope};

/// The parts that make up a net.
const OF_A_NET: [WearPartKind; 4] = [
    WearPartKind::CentreStrap,
    WearPartKind::Net,
    WearPartKind::Headband,
    WearPartKind::Cable,
];

/// A net as it was gauged.
#[derive(Clone, Copy, Debug, Queryable)]
pub struct NetCheckRow {
    /// Id.
    pub id: i64,
    /// The court.
    pub court_id: i64,
    /// Its height at the centre, µm.
    pub height_um: i64,
    /// The width of its strap, where that was measured, µm.
    pub strap_um: Option<i64>,
    /// When.
    pub happened_at: Instant,
}

/// A net that was gauged, to be kept.
#[derive(Clone, Copy, Debug)]
pub struct NewNetCheck {
    /// The check in which it was.
    pub tool_check_id: i64,
    /// The court.
    pub court_id: i64,
    /// Its height at the centre, µm.
    pub height_um: i64,
    /// The width of its strap, where that was measured, µm.
    pub strap_um: Option<i64>,
    /// The unit both were read off in.
    pub read_in: ReadIn,
    /// When.
    pub happened_at: Instant,
}

/// Keeps how a net was gauged; gives the id.
pub fn net_check_add(tx: &mut Tx<'_>, scope: &Scope, new: &NewNetCheck) -> Result<i64> {
    let seq = tx.next_seq();
    Ok(diesel::insert_into(net_checks::table)
        .values((
            net_checks::site_id.eq(scope.site_id()),
            net_checks::seq.eq(seq),
            net_checks::tool_check_id.eq(new.tool_check_id),
            net_checks::court_id.eq(new.court_id),
            net_checks::height_um.eq(new.height_um),
            net_checks::strap_um.eq(new.strap_um),
            net_checks::read_in.eq(new.read_in),
            net_checks::happened_at.eq(new.happened_at),
        ))
        .returning(net_checks::id)
        .get_result(tx.conn())?)
}

/// How the net of each court, or of one, was gauged last: what happened last, and of that what was told last. One query.
pub fn newest_net_checks(
    conn: &mut Conn,
    scope: &Scope,
    court: Option<i64>,
) -> Result<Vec<NetCheckRow>> {
    let other = diesel::alias!(net_checks as other);
    let newest = other
        .filter(
            other
                .field(net_checks::site_id)
                .eq(scope.site_id())
                .and(other.field(net_checks::court_id).eq(net_checks::court_id)),
        )
        .order((
            other.field(net_checks::happened_at).desc(),
            other.field(net_checks::seq).desc(),
        ))
        .select(other.field(net_checks::id))
        .limit(1)
        .single_value();
    let mut query = net_checks::table
        .filter(
            net_checks::site_id
                .eq(scope.site_id())
                .and(net_checks::id.nullable().eq(newest)),
        )
        .into_boxed();
    if let Some(court) = court {
        query = query.filter(net_checks::court_id.eq(court));
    }
    Ok(query
        .order(net_checks::court_id)
        .select((
            net_checks::id,
            net_checks::court_id,
            net_checks::height_um,
            net_checks::strap_um,
            net_checks::happened_at,
        ))
        .load(conn)?)
}

/// When the net of each court was gauged last before `before`: one query.
pub fn gauged_last(conn: &mut Conn, scope: &Scope, before: Instant) -> Result<Vec<(i64, Instant)>> {
    let rows: Vec<(i64, Option<Instant>)> = net_checks::table
        .filter(
            net_checks::site_id
                .eq(scope.site_id())
                .and(net_checks::happened_at.lt(before)),
        )
        .group_by(net_checks::court_id)
        .select((
            net_checks::court_id,
            diesel::dsl::max(net_checks::happened_at),
        ))
        .load(conn)?;
    let gauged = rows.into_iter();
    Ok(gauged
        .filter_map(|(court, at)| Some((court, at?)))
        .collect())
}

/// A part of a net that is on, and what the eye said of it last.
#[derive(Clone, Copy, Debug, Queryable)]
pub struct NetPart {
    /// The part.
    pub wear_part_id: i64,
    /// Its court.
    pub court_id: i64,
    /// What it is.
    pub kind: WearPartKind,
    /// When it was fitted.
    pub fitted_on: chrono::NaiveDate,
    /// What the eye said; none where nobody looked.
    pub verdict: Option<EyeVerdict>,
    /// When.
    pub looked_at: Option<Instant>,
}

/// The parts of all nets that are on, with what the eye said of each last before `before`, by court and part: one query.
pub fn net_parts(conn: &mut Conn, scope: &Scope, before: Instant) -> Result<Vec<NetPart>> {
    let other = diesel::alias!(eye_checks as other);
    let newest = other
        .filter(
            other
                .field(eye_checks::site_id)
                .eq(scope.site_id())
                .and(other.field(eye_checks::wear_part_id).eq(wear_parts::id))
                .and(other.field(eye_checks::happened_at).lt(before)),
        )
        .order((
            other.field(eye_checks::happened_at).desc(),
            other.field(eye_checks::seq).desc(),
        ))
        .select(other.field(eye_checks::id))
        .limit(1)
        .single_value();
    Ok(wear_parts::table
        .left_join(eye_checks::table.on(eye_checks::id.nullable().eq(newest)))
        .filter(
            wear_parts::site_id
                .eq(scope.site_id())
                .and(wear_parts::court_id.is_not_null())
                .and(wear_parts::kind.eq_any(OF_A_NET))
                .and(wear_parts::retired_on.is_null()),
        )
        .order((wear_parts::court_id, wear_parts::id))
        .select((
            wear_parts::id,
            wear_parts::court_id.assume_not_null(),
            wear_parts::kind,
            wear_parts::fitted_on,
            eye_checks::verdict.nullable(),
            eye_checks::happened_at.nullable(),
        ))
        .load(conn)?)
}
