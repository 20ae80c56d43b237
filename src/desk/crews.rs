//! People, crews and shifts.

use std::collections::HashMap;

use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::access::{EditCrews, Permit, SeeCrews, SeeDay};
use super::error::Named;
use super::site_words::{LANGUAGE_MEND, language_tag};
use super::{Error, Office, Result, is_plain_year};
use crate::store::audit::{Change, Deed, audit_edit};
use crate::store::crews::{self, CrewMemberRow, CrewRow, PersonRow, ShiftPersonRow, ShiftRow};
use crate::store::{Page, Paged};

/// A crew with its people.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct CrewView {
    /// The crew itself.
    #[serde(flatten)]
    pub crew: CrewRow,
    /// Everybody who is, was or will be in it, in order of their first day.
    pub members: Vec<CrewMemberRow>,
}

/// A shift with its people.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ShiftView {
    /// The shift itself.
    #[serde(flatten)]
    pub shift: ShiftRow,
    /// Who is on it, in order of name.
    pub people: Vec<ShiftPersonRow>,
}

/// The site's crews.
pub fn crew_list(office: &Office, permit: &Permit<SeeCrews>, page: Page) -> Result<Paged<CrewRow>> {
    Ok(office
        .db
        .read(|conn| crews::crew_list(conn, permit, page))?)
}

/// One crew, with its people.
pub fn crew_read(office: &Office, permit: &Permit<SeeCrews>, id: i64) -> Result<CrewView> {
    office.db.read(|conn| {
        let crew = crews::crew_read(conn, permit, id).named("crew")?;
        let members = crews::crew_member_list(conn, permit, id)?;
        Ok(CrewView { crew, members })
    })
}

/// The site's people.
pub fn person_list(
    office: &Office,
    permit: &Permit<SeeCrews>,
    page: Page,
) -> Result<Paged<PersonRow>> {
    Ok(office
        .db
        .read(|conn| crews::person_list(conn, permit, page))?)
}

/// One person.
pub fn person_read(office: &Office, permit: &Permit<SeeCrews>, id: i64) -> Result<PersonRow> {
    office
        .db
        .read(|conn| crews::person_read(conn, permit, id).named("person"))
}

/// What is personal of a person.
const PERSONAL: &[&str] = &["name"];

/// What is to be changed of a person.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PersonEdit {
    /// Their first day at work here; null where it is not known. Who is new starts on shorter work in the heat.
    #[serde(deserialize_with = "Option::deserialize")]
    #[schema(required)]
    pub came_on: Option<NaiveDate>,
    /// The language they are spoken to in (BCP 47); left out, it stays as it is.
    #[schema(example = "es")]
    pub language: Option<String>,
}

/// Changes a person that still has `version`.
pub fn person_edit(
    office: &Office,
    permit: &Permit<EditCrews>,
    id: i64,
    version: i64,
    edit: &PersonEdit,
) -> Result<PersonRow> {
    if edit.came_on.is_some_and(|on| !is_plain_year(on.year())) {
        return Err(Error::refused(
            "/came_on",
            "give a date between 1970 and 2199",
        ));
    }
    office.db.write(permit, |tx| {
        let before = crews::person_read(tx.conn(), permit, id).named("person")?;
        if before.left_on.is_some_and(|left| Some(left) < edit.came_on) {
            let mend = "this person left before that: give an earlier date";
            return Err(Error::refused("/came_on", mend));
        }
        let language = match &edit.language {
            Some(text) => {
                language_tag(text).ok_or_else(|| Error::refused("/language", LANGUAGE_MEND))?
            }
            None => before.language.clone(),
        };
        crews::person_edit(tx, permit, id, version, (edit.came_on, &language))?;
        let after = crews::person_read(tx.conn(), permit, id)?;
        let deed = Deed {
            verb: "edited",
            subject: "person",
            id,
            data: serde_json::json!({ "version": version + 1 }),
        };
        audit_edit(
            tx,
            permit,
            deed,
            Change::between(&before, &after)?,
            PERSONAL,
        )?;
        Ok(after)
    })
}

/// The site's shifts with their people, of one date where it is given.
pub fn shift_list(
    office: &Office,
    permit: &Permit<SeeCrews>,
    date: Option<NaiveDate>,
    page: Page,
) -> Result<Paged<ShiftView>> {
    office.db.read(|conn| {
        let shifts = crews::shift_list(conn, permit, date, page)?;
        let ids: Vec<i64> = shifts.items.iter().map(|shift| shift.id).collect();
        let mut people: HashMap<i64, Vec<ShiftPersonRow>> = HashMap::new();
        for row in crews::shift_person_list(conn, permit, &ids)? {
            people.entry(row.shift_id).or_default().push(row);
        }
        Ok(shifts.map(|shift| {
            let people = people.remove(&shift.id).unwrap_or_default();
            ShiftView { shift, people }
        }))
    })
}

/// The crews that the acting user works in on this date.
pub fn crews_of_mine(
    office: &Office,
    permit: &Permit<SeeDay>,
    date: NaiveDate,
) -> Result<Vec<i64>> {
    Ok(office
        .db
        .read(|conn| crews::crews_of_actor(conn, permit, date))?)
}
