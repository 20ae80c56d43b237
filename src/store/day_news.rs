//! What happened in a day that no other table holds: rain that keeps people in, and who went home.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::columns::words;
use super::db::{Conn, Tx};
use super::schema::{day_news, tools};
use super::tools::ToolState;
use super::{Error, Instant, Result, Scope};

words! {
    /// What happened.
    NewsKind {
        /// Nobody works while it rains.
        Rain = "rain",
        /// A crew goes home.
        CrewAway = "crew_away",
        /// Somebody of a crew goes home, or did not come.
        PersonAway = "person_away",
    }
}

/// Something that happened.
#[derive(Clone, Debug, Queryable, Selectable)]
#[diesel(table_name = day_news)]
pub struct NewsRow {
    /// The site's own date.
    pub work_date: NaiveDate,
    /// What happened.
    pub kind: NewsKind,
    /// The crew that goes home.
    pub crew_id: Option<i64>,
    /// Who goes home.
    pub person_id: Option<i64>,
    /// From when.
    pub from_at: Instant,
    /// Until when, with rain.
    pub until_at: Option<Instant>,
}

/// Notes what happened; gives its id.
pub fn news_add(tx: &mut Tx<'_>, scope: &Scope, news: &NewsRow, user_id: i64) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(day_news::table)
        .values((
            day_news::site_id.eq(scope.site_id()),
            day_news::work_date.eq(news.work_date),
            day_news::kind.eq(news.kind),
            day_news::crew_id.eq(news.crew_id),
            day_news::person_id.eq(news.person_id),
            day_news::from_at.eq(news.from_at),
            day_news::until_at.eq(news.until_at),
            day_news::user_id.eq(user_id),
            day_news::created_at.eq(now),
        ))
        .returning(day_news::id)
        .get_result(tx.conn())?)
}

/// What happened on the dates from `first` to `last`, as it was told.
pub fn news_between(
    conn: &mut Conn,
    scope: &Scope,
    first: NaiveDate,
    last: NaiveDate,
) -> Result<Vec<NewsRow>> {
    Ok(day_news::table
        .filter(
            day_news::site_id
                .eq(scope.site_id())
                .and(day_news::work_date.between(first, last)),
        )
        .order(day_news::id)
        .select(NewsRow::as_select())
        .load(conn)?)
}

/// Puts a tool out of service; [`Error::Stale`] where it is not in service.
pub fn tool_broken(tx: &mut Tx<'_>, scope: &Scope, tool_id: i64) -> Result<()> {
    let rows = diesel::update(
        tools::table.filter(
            tools::site_id
                .eq(scope.site_id())
                .and(tools::id.eq(tool_id))
                .and(tools::state.eq(ToolState::InService)),
        ),
    )
    .set((
        tools::state.eq(ToolState::OutOfService),
        tools::version.eq(tools::version + 1),
    ))
    .execute(tx.conn())?;
    if rows == 0 { Err(Error::Stale) } else { Ok(()) }
}
