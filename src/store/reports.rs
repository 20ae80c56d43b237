//! Subscribers, and the week reports that were made, as they were sent.

pub mod week;

use diesel::prelude::*;
use serde::{Deserialize, Serialize};

use super::columns::json;
use super::db::{Conn, Tx};
use super::schema::{report_subscribers, sites, week_reports};
use super::{Instant, Page, Paged, Result, Scope};

/// Somebody who gets the week report by mail.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = report_subscribers)]
#[schema(as = ReportSubscriber)]
pub struct SubscriberRow {
    /// Id.
    pub id: i64,
    /// Address.
    #[schema(example = "gm@example.org")]
    pub email: String,
    /// Name.
    pub name: String,
    /// Language tag (BCP 47) of what is sent.
    #[schema(example = "en-US")]
    pub language: String,
}

/// The site's subscribers, in order of id.
pub fn subscriber_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<SubscriberRow>> {
    let rows = report_subscribers::table
        .filter(
            report_subscribers::site_id
                .eq(scope.site_id())
                .and(report_subscribers::id.gt(page.after)),
        )
        .order(report_subscribers::id)
        .limit(page.fetch())
        .select(SubscriberRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |subscriber| subscriber.id))
}

/// One subscriber of the site.
pub fn subscriber_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<SubscriberRow> {
    Ok(report_subscribers::table
        .filter(
            report_subscribers::site_id
                .eq(scope.site_id())
                .and(report_subscribers::id.eq(id)),
        )
        .select(SubscriberRow::as_select())
        .first(conn)?)
}

/// Adds a subscriber; [`super::Error::Taken`] where the address is subscribed already.
pub fn subscriber_add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    email: &str,
    name: &str,
    language: &str,
) -> Result<SubscriberRow> {
    Ok(diesel::insert_into(report_subscribers::table)
        .values((
            report_subscribers::site_id.eq(scope.site_id()),
            report_subscribers::email.eq(email),
            report_subscribers::name.eq(name),
            report_subscribers::language.eq(language),
        ))
        .returning((
            report_subscribers::id,
            report_subscribers::email,
            report_subscribers::name,
            report_subscribers::language,
        ))
        .get_result(tx.conn())?)
}

/// Takes a subscriber off; [`super::Error::NotFound`] where there is none.
pub fn subscriber_remove(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    let rows = diesel::delete(
        report_subscribers::table.filter(
            report_subscribers::site_id
                .eq(scope.site_id())
                .and(report_subscribers::id.eq(id)),
        ),
    )
    .execute(tx.conn())?;
    if rows == 1 {
        Ok(())
    } else {
        Err(super::Error::NotFound)
    }
}

/// A week report as it was made and sent. It stays as it is, whatever is booked later: a later
/// sending is a further revision.
#[derive(Clone, Debug, Queryable, Selectable)]
#[diesel(table_name = week_reports)]
pub struct WeekReportRow {
    /// Id.
    pub id: i64,
    /// The ISO week: `2031-W24`.
    pub iso_week: String,
    /// From 1.
    pub revision: i64,
    /// Subject of the mail.
    pub subject: String,
    /// Its plain text.
    pub text_body: String,
    /// Its HTML.
    pub html_body: String,
    /// When it was made.
    pub created_at: Instant,
    /// When the first of its mails left the house.
    pub sent_at: Option<Instant>,
}

/// A week report to be kept.
#[derive(Clone, Debug)]
pub struct NewWeekReport<'a, T> {
    /// The ISO week.
    pub iso_week: &'a str,
    /// Subject of the mail.
    pub subject: &'a str,
    /// Its plain text.
    pub text: &'a str,
    /// Its HTML.
    pub html: &'a str,
    /// What it was written from.
    pub figures: &'a T,
}

/// Keeps a report as the next revision of its week; gives its id and revision.
pub fn week_report_add<T: Serialize>(
    tx: &mut Tx<'_>,
    scope: &Scope,
    report: &NewWeekReport<'_, T>,
) -> Result<(i64, i64)> {
    let now = tx.now();
    let figures = json(report.figures)?;
    let newest: Option<i64> = week_reports::table
        .filter(
            week_reports::site_id
                .eq(scope.site_id())
                .and(week_reports::iso_week.eq(report.iso_week)),
        )
        .select(diesel::dsl::max(week_reports::revision))
        .first(tx.conn())?;
    Ok(diesel::insert_into(week_reports::table)
        .values((
            week_reports::site_id.eq(scope.site_id()),
            week_reports::iso_week.eq(report.iso_week),
            week_reports::revision.eq(newest.unwrap_or(0) + 1),
            week_reports::subject.eq(report.subject),
            week_reports::text_body.eq(report.text),
            week_reports::html_body.eq(report.html),
            week_reports::figures.eq(figures),
            week_reports::created_at.eq(now),
        ))
        .returning((week_reports::id, week_reports::revision))
        .get_result(tx.conn())?)
}

/// One kept report of the site.
pub fn week_report_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<WeekReportRow> {
    Ok(week_reports::table
        .filter(
            week_reports::site_id
                .eq(scope.site_id())
                .and(week_reports::id.eq(id)),
        )
        .select(WeekReportRow::as_select())
        .first(conn)?)
}

/// The kept reports of a week, oldest first.
pub fn week_report_revisions(
    conn: &mut Conn,
    scope: &Scope,
    iso_week: &str,
) -> Result<Vec<WeekReportRow>> {
    Ok(week_reports::table
        .filter(
            week_reports::site_id
                .eq(scope.site_id())
                .and(week_reports::iso_week.eq(iso_week)),
        )
        .order(week_reports::revision)
        .select(WeekReportRow::as_select())
        .load(conn)?)
}

/// Notes that a mail of a report left the house, where none did before.
pub fn week_report_left(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    let now = tx.now();
    diesel::update(
        week_reports::table.filter(
            week_reports::site_id
                .eq(scope.site_id())
                .and(week_reports::id.eq(id))
                .and(week_reports::sent_at.is_null()),
        ),
    )
    .set(week_reports::sent_at.eq(now))
    .execute(tx.conn())?;
    Ok(())
}

/// A site whose weeks are reported.
#[derive(Clone, Debug, Queryable)]
pub struct ReportedSite {
    /// The site.
    pub id: i64,
    /// Its zone.
    pub zone: String,
    /// Since when it is kept here.
    pub created_at: Instant,
}

/// Every site, for the weekly report.
pub fn reported_sites(conn: &mut Conn) -> Result<Vec<ReportedSite>> {
    Ok(sites::table
        .order(sites::id)
        .select((sites::id, sites::zone, sites::created_at))
        .load(conn)?)
}
