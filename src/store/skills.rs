//! What people may be given that not everybody may, and until when each such skill is in date.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::columns::json;
use super::db::{Conn, Tx};
use super::schema::{people, skill_dates};
use super::{Error, Result, Scope};

/// Until when a person's skills are in date, by skill; one of which the site keeps no date is not among them.
pub fn skill_date_list(
    conn: &mut Conn,
    scope: &Scope,
    person_id: i64,
) -> Result<Vec<(String, NaiveDate)>> {
    Ok(skill_dates::table
        .filter(
            skill_dates::site_id
                .eq(scope.site_id())
                .and(skill_dates::person_id.eq(person_id)),
        )
        .order(skill_dates::skill)
        .select((skill_dates::skill, skill_dates::valid_until))
        .load(conn)?)
}

/// Until when a person's skill is in date; none where the site keeps no date of it.
pub fn skill_until(
    conn: &mut Conn,
    scope: &Scope,
    person_id: i64,
    skill: &str,
) -> Result<Option<NaiveDate>> {
    let all = skill_date_list(conn, scope, person_id)?;
    let of_skill = all.into_iter().find(|(name, _)| name == skill);
    Ok(of_skill.map(|(_, until)| until))
}

/// Gives a person that still has `version` these skills and no others, each with the last day on which it is in date.
/// [`Error::Stale`] where the person was changed since.
pub fn skills_put(
    tx: &mut Tx<'_>,
    scope: &Scope,
    person_id: i64,
    version: i64,
    skills: &[(String, Option<NaiveDate>)],
) -> Result<()> {
    let names: Vec<&String> = skills.iter().map(|(name, _)| name).collect();
    let rows = diesel::update(
        people::table.filter(
            people::site_id
                .eq(scope.site_id())
                .and(people::id.eq(person_id))
                .and(people::version.eq(version)),
        ),
    )
    .set((
        people::skills.eq(json(&names)?),
        people::version.eq(people::version + 1),
    ))
    .execute(tx.conn())?;
    if rows == 0 {
        return Err(Error::Stale);
    }
    diesel::delete(
        skill_dates::table.filter(
            skill_dates::site_id
                .eq(scope.site_id())
                .and(skill_dates::person_id.eq(person_id)),
        ),
    )
    .execute(tx.conn())?;
    for (name, until) in skills {
        let Some(until) = until else { continue };
        diesel::insert_into(skill_dates::table)
            .values((
                skill_dates::site_id.eq(scope.site_id()),
                skill_dates::person_id.eq(person_id),
                skill_dates::skill.eq(name),
                skill_dates::valid_until.eq(until),
            ))
            .execute(tx.conn())?;
    }
    Ok(())
}
