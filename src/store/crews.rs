//! People, crews and shifts. What a person is paid stands with the hours, not here.

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::Serialize;

use super::columns::Json;
use super::db::{Conn, Tx};
use super::schema::{crew_members, crews, people, shift_people, shifts};
use super::{Error, Instant, Page, Paged, Result, Scope};

/// A crew.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = crews)]
#[schema(as = Crew)]
pub struct CrewRow {
    /// Id.
    pub id: i64,
    /// Name.
    pub name: String,
    /// Place in lists.
    pub position: i64,
    /// Tools it takes along at most.
    pub kit_limit: i64,
    /// What its cart carries, g.
    pub load_limit_g: i64,
    /// Version.
    pub version: i64,
}

/// Somebody's time in a crew.
#[derive(Clone, Debug, Queryable, Serialize, utoipa::ToSchema)]
#[schema(as = CrewMember)]
pub struct CrewMemberRow {
    /// The person.
    pub person_id: i64,
    /// Their name.
    pub name: String,
    /// First day in the crew.
    pub from_date: NaiveDate,
    /// Last day in it; null while it goes on.
    pub until_date: Option<NaiveDate>,
}

/// Who works.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = people)]
#[schema(as = Person)]
pub struct PersonRow {
    /// Id.
    pub id: i64,
    /// The user they sign in as; null where they do not.
    pub user_id: Option<i64>,
    /// Name.
    pub name: String,
    /// What they may be given that not everybody may, in the site's own words.
    #[schema(value_type = Vec<String>)]
    pub skills: Json<Vec<String>>,
    /// Their first day; null where it is not known.
    pub came_on: Option<NaiveDate>,
    /// Their last day; null while they work here.
    pub left_on: Option<NaiveDate>,
    /// The language they are spoken to in (BCP 47).
    pub language: String,
    /// Version.
    pub version: i64,
}

/// A crew's working time on a day.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, utoipa::ToSchema)]
#[diesel(table_name = shifts)]
#[schema(as = Shift)]
pub struct ShiftRow {
    /// Id.
    pub id: i64,
    /// The crew.
    pub crew_id: i64,
    /// The site's own date.
    pub work_date: NaiveDate,
    /// When it begins.
    pub starts_at: Instant,
    /// When it ends.
    pub ends_at: Instant,
    /// Until when it may go on as overtime.
    pub overtime_until: Instant,
    /// Length of the break, s.
    pub break_s: i64,
    /// From when the break may be; null where it may be at any time.
    pub break_from: Option<Instant>,
    /// By when it must be over.
    pub break_until: Option<Instant>,
}

/// Somebody on a shift.
#[derive(Clone, Debug, Queryable, Serialize, utoipa::ToSchema)]
#[schema(as = ShiftPerson)]
pub struct ShiftPersonRow {
    /// The shift.
    #[serde(skip)]
    pub shift_id: i64,
    /// The person.
    pub person_id: i64,
    /// Their name.
    pub name: String,
}

/// The site's crews.
pub fn crew_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<CrewRow>> {
    let rows = crews::table
        .filter(
            crews::site_id
                .eq(scope.site_id())
                .and(crews::id.gt(page.after)),
        )
        .order(crews::id)
        .limit(page.fetch())
        .select(CrewRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |crew| crew.id))
}

/// One crew of the site.
pub fn crew_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<CrewRow> {
    Ok(crews::table
        .filter(crews::site_id.eq(scope.site_id()).and(crews::id.eq(id)))
        .select(CrewRow::as_select())
        .first(conn)?)
}

/// Everybody who is, was or will be in a crew, in order of their first day.
pub fn crew_member_list(
    conn: &mut Conn,
    scope: &Scope,
    crew_id: i64,
) -> Result<Vec<CrewMemberRow>> {
    Ok(crew_members::table
        .inner_join(people::table)
        .filter(
            crew_members::site_id
                .eq(scope.site_id())
                .and(crew_members::crew_id.eq(crew_id)),
        )
        .order((crew_members::from_date, crew_members::id))
        .select((
            crew_members::person_id,
            people::name,
            crew_members::from_date,
            crew_members::until_date,
        ))
        .load(conn)?)
}

/// The site's people.
pub fn person_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<PersonRow>> {
    let rows = people::table
        .filter(
            people::site_id
                .eq(scope.site_id())
                .and(people::id.gt(page.after)),
        )
        .order(people::id)
        .limit(page.fetch())
        .select(PersonRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |person| person.id))
}

/// One person of the site.
pub fn person_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<PersonRow> {
    Ok(people::table
        .filter(people::site_id.eq(scope.site_id()).and(people::id.eq(id)))
        .select(PersonRow::as_select())
        .first(conn)?)
}

/// Sets the first day and the language of a person that still has `version`. [`Error::Stale`] where the person was changed since.
pub fn person_edit(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    version: i64,
    (came_on, language): (Option<NaiveDate>, &str),
) -> Result<()> {
    let rows = diesel::update(
        people::table.filter(
            people::site_id
                .eq(scope.site_id())
                .and(people::id.eq(id))
                .and(people::version.eq(version)),
        ),
    )
    .set((
        people::came_on.eq(came_on),
        people::language.eq(language),
        people::version.eq(people::version + 1),
    ))
    .execute(tx.conn())?;
    if rows == 0 {
        return Err(Error::Stale);
    }
    Ok(())
}

/// One shift of the site.
pub fn shift_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<ShiftRow> {
    Ok(shifts::table
        .filter(shifts::site_id.eq(scope.site_id()).and(shifts::id.eq(id)))
        .select(ShiftRow::as_select())
        .first(conn)?)
}

/// The site's shifts, of one date where it is given.
pub fn shift_list(
    conn: &mut Conn,
    scope: &Scope,
    date: Option<NaiveDate>,
    page: Page,
) -> Result<Paged<ShiftRow>> {
    let mut query = shifts::table
        .filter(
            shifts::site_id
                .eq(scope.site_id())
                .and(shifts::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(date) = date {
        query = query.filter(shifts::work_date.eq(date));
    }
    let rows = query
        .order(shifts::id)
        .limit(page.fetch())
        .select(ShiftRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |shift| shift.id))
}

/// The shifts of the dates from `first` to `last`: by date, then by crew.
pub fn shifts_between(
    conn: &mut Conn,
    scope: &Scope,
    first: NaiveDate,
    last: NaiveDate,
) -> Result<Vec<ShiftRow>> {
    Ok(shifts::table
        .filter(
            shifts::site_id
                .eq(scope.site_id())
                .and(shifts::work_date.between(first, last)),
        )
        .order((shifts::work_date, shifts::crew_id))
        .select(ShiftRow::as_select())
        .load(conn)?)
}

/// Who is on these shifts, in order of name.
pub fn shift_person_list(
    conn: &mut Conn,
    scope: &Scope,
    shifts: &[i64],
) -> Result<Vec<ShiftPersonRow>> {
    Ok(shift_people::table
        .inner_join(people::table)
        .filter(
            shift_people::site_id
                .eq(scope.site_id())
                .and(shift_people::shift_id.eq_any(shifts)),
        )
        .order((people::name, people::id))
        .select((
            shift_people::shift_id,
            shift_people::person_id,
            people::name,
        ))
        .load(conn)?)
}

/// The crews that the acting user works in on this date.
pub fn crews_of_actor(conn: &mut Conn, scope: &Scope, date: NaiveDate) -> Result<Vec<i64>> {
    Ok(shift_people::table
        .inner_join(people::table)
        .inner_join(shifts::table)
        .filter(
            shift_people::site_id
                .eq(scope.site_id())
                .and(people::user_id.eq(scope.user_id()))
                .and(shifts::work_date.eq(date)),
        )
        .select(shifts::crew_id)
        .load(conn)?)
}
