//! Second factors: a secret shared with somebody's phone, sealed, and codes for the day the phone is lost.

use diesel::prelude::*;

use super::db::Conn;
use super::schema::{recovery_codes, second_factors};
use super::{Instant, Result};

/// Somebody's second factor.
#[derive(Clone, Debug, Queryable, Selectable)]
#[diesel(table_name = second_factors)]
pub struct SecondFactorRow {
    /// Whose it is.
    pub user_id: i64,
    /// The secret, sealed.
    pub sealed: Vec<u8>,
    /// The key it is sealed under.
    pub sealed_under: String,
    /// Since when it is asked for; none while nobody proved that their phone has it.
    pub confirmed_at: Option<Instant>,
    /// The time step of the last code that was taken: a code is good once.
    pub last_step: i64,
}

/// Somebody's second factor, confirmed or not.
pub fn second_factor_read(conn: &mut Conn, user_id: i64) -> Result<Option<SecondFactorRow>> {
    Ok(second_factors::table
        .filter(second_factors::user_id.eq(user_id))
        .select(SecondFactorRow::as_select())
        .first(conn)
        .optional()?)
}

/// Begins a second factor anew. What was confirmed must be taken away first.
pub fn second_factor_begin(
    conn: &mut Conn,
    user_id: i64,
    sealed: &[u8],
    sealed_under: &str,
    now: Instant,
) -> Result<()> {
    second_factor_remove(conn, user_id)?;
    diesel::insert_into(second_factors::table)
        .values((
            second_factors::user_id.eq(user_id),
            second_factors::sealed.eq(sealed),
            second_factors::sealed_under.eq(sealed_under),
            second_factors::last_step.eq(0),
            second_factors::created_at.eq(now),
        ))
        .execute(conn)?;
    Ok(())
}

/// Takes the code of a time step; false where one of it, or of a later one, was taken before.
pub fn second_factor_step(conn: &mut Conn, user_id: i64, step: i64) -> Result<bool> {
    let unused = second_factors::table.filter(
        second_factors::user_id
            .eq(user_id)
            .and(second_factors::last_step.lt(step)),
    );
    let rows = diesel::update(unused)
        .set(second_factors::last_step.eq(step))
        .execute(conn)?;
    Ok(rows == 1)
}

/// Confirms a second factor, with the codes for the day the phone is lost.
pub fn second_factor_confirm(
    conn: &mut Conn,
    user_id: i64,
    code_hashes: &[String],
    now: Instant,
) -> Result<()> {
    diesel::update(second_factors::table.filter(second_factors::user_id.eq(user_id)))
        .set(second_factors::confirmed_at.eq(now))
        .execute(conn)?;
    for hash in code_hashes {
        diesel::insert_into(recovery_codes::table)
            .values((
                recovery_codes::user_id.eq(user_id),
                recovery_codes::hash.eq(hash),
            ))
            .execute(conn)?;
    }
    Ok(())
}

/// Takes somebody's second factor away, and its codes.
pub fn second_factor_remove(conn: &mut Conn, user_id: i64) -> Result<()> {
    diesel::delete(recovery_codes::table.filter(recovery_codes::user_id.eq(user_id)))
        .execute(conn)?;
    diesel::delete(second_factors::table.filter(second_factors::user_id.eq(user_id)))
        .execute(conn)?;
    Ok(())
}

/// The recovery codes somebody has left: ids, and Argon2id hashes as PHC strings.
pub fn recovery_codes_unused(conn: &mut Conn, user_id: i64) -> Result<Vec<(i64, String)>> {
    Ok(recovery_codes::table
        .filter(
            recovery_codes::user_id
                .eq(user_id)
                .and(recovery_codes::used_at.is_null()),
        )
        .order(recovery_codes::id)
        .select((recovery_codes::id, recovery_codes::hash))
        .load(conn)?)
}

/// Uses a recovery code; false where somebody was faster.
pub fn recovery_code_use(conn: &mut Conn, id: i64, now: Instant) -> Result<bool> {
    let unused = recovery_codes::table.filter(
        recovery_codes::id
            .eq(id)
            .and(recovery_codes::used_at.is_null()),
    );
    let rows = diesel::update(unused)
        .set(recovery_codes::used_at.eq(now))
        .execute(conn)?;
    Ok(rows == 1)
}

/// How many recovery codes somebody has left.
pub fn recovery_codes_left(conn: &mut Conn, user_id: i64) -> Result<i64> {
    Ok(recovery_codes::table
        .filter(
            recovery_codes::user_id
                .eq(user_id)
                .and(recovery_codes::used_at.is_null()),
        )
        .count()
        .get_result(conn)?)
}

/// The second factors that are sealed under another key than this one.
pub fn second_factors_not_under(conn: &mut Conn, key_id: &str) -> Result<Vec<SecondFactorRow>> {
    Ok(second_factors::table
        .filter(second_factors::sealed_under.ne(key_id))
        .order(second_factors::id)
        .select(SecondFactorRow::as_select())
        .load(conn)?)
}

/// Seals a second factor anew, where it is still sealed as it was read.
pub fn second_factor_reseal(
    conn: &mut Conn,
    was: &SecondFactorRow,
    sealed: &[u8],
    sealed_under: &str,
) -> Result<()> {
    let same = second_factors::table.filter(
        second_factors::user_id
            .eq(was.user_id)
            .and(second_factors::sealed.eq(&was.sealed)),
    );
    diesel::update(same)
        .set((
            second_factors::sealed.eq(sealed),
            second_factors::sealed_under.eq(sealed_under),
        ))
        .execute(conn)?;
    Ok(())
}
