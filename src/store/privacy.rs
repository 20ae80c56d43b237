//! What is known of a person, and taking it away. Hours, treatments and cost stay: they hold the person's number.

use chrono::NaiveDate;
use diesel::alias;
use diesel::prelude::*;
use serde::Serialize;
use utoipa::ToSchema;

use super::attendance::AttendanceKind;
use super::db::{Conn, Tx};
use super::schema::{
    alone_events, attendance_events, audit_events, audit_touches, audit_words, crew_members, crews,
    day_news, defects, hours_entries, idempotency_keys, incidents, memberships, order_notes,
    pay_rates, people, report_subscribers, shift_changes, shift_people, shifts, skill_dates,
    treatments, users,
};
use super::{Instant, Result, Role, Scope};

/// A pay rate.
#[derive(Clone, Debug, Queryable, Serialize, ToSchema)]
pub struct KnownPay {
    /// From this day on.
    pub from_date: NaiveDate,
    /// Cents an hour.
    pub cents_per_h: i64,
}

/// A time in a crew.
#[derive(Clone, Debug, Queryable, Serialize, ToSchema)]
pub struct KnownCrew {
    /// The crew's name.
    pub crew: String,
    /// The first day.
    pub from_date: NaiveDate,
    /// The last day, where there is one.
    pub until_date: Option<NaiveDate>,
}

/// A skill with its end.
#[derive(Clone, Debug, Queryable, Serialize, ToSchema)]
pub struct KnownSkill {
    /// The skill.
    pub skill: String,
    /// Until when it holds.
    pub valid_until: NaiveDate,
}

/// A shift somebody was or will be on.
#[derive(Clone, Debug, Queryable, Serialize, ToSchema)]
pub struct KnownShift {
    /// The day.
    pub work_date: NaiveDate,
    /// When it begins.
    pub starts_at: Instant,
    /// When it ends.
    pub ends_at: Instant,
}

/// Time somebody worked.
#[derive(Clone, Debug, Queryable, Serialize, ToSchema)]
pub struct KnownHours {
    /// The day.
    pub work_date: NaiveDate,
    /// On what.
    pub kind: String,
    /// The work order, where it was on one.
    pub order_id: Option<i64>,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
}

/// A chemical somebody put on.
#[derive(Clone, Debug, Queryable, Serialize, ToSchema)]
pub struct KnownTreatment {
    /// When.
    pub applied_at: Instant,
    /// The product.
    pub product: String,
    /// Its lot.
    pub lot: String,
    /// The work order.
    pub order_id: i64,
}

/// A coming, a break or a going.
#[derive(Clone, Debug, Queryable, Serialize, ToSchema)]
pub struct KnownClock {
    /// When.
    pub happened_at: Instant,
    /// What.
    pub kind: AttendanceKind,
}

/// A change of crew in the course of a day.
#[derive(Clone, Debug, Queryable, Serialize, ToSchema)]
pub struct KnownShiftChange {
    /// When.
    pub happened_at: Instant,
    /// The shift's date.
    pub work_date: NaiveDate,
    /// Whether they joined; else they left.
    pub joins: bool,
}

/// Something somebody saw on a court.
#[derive(Clone, Debug, Queryable, Serialize, ToSchema)]
pub struct KnownDefect {
    /// When.
    pub seen_at: Instant,
    /// The court.
    pub court_id: i64,
    /// What was wrong.
    pub kind: String,
    /// What was said with it.
    pub note: Option<String>,
}

/// Something that was noted about somebody, or by them.
#[derive(Clone, Debug, Queryable, Serialize, ToSchema)]
pub struct KnownNote {
    /// When.
    pub happened_at: Instant,
    /// The work order.
    pub order_id: i64,
    /// What it is.
    pub kind: String,
    /// What was said.
    pub text: String,
}

/// Something somebody did here.
#[derive(Clone, Debug, Queryable, Serialize, ToSchema)]
pub struct KnownDeed {
    /// When.
    pub at: Instant,
    /// What.
    pub verb: String,
    /// To what.
    pub subject: String,
    /// Its id.
    pub subject_id: i64,
    /// From which address, where that is kept.
    pub from: Option<String>,
}

/// An account.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct KnownAccount {
    /// The address.
    pub email: String,
    /// The name.
    pub name: String,
    /// When it was made.
    pub created_at: Instant,
    /// Its roles at this site.
    pub roles: Vec<Role>,
    /// What was done with it at this site.
    pub deeds: Vec<KnownDeed>,
}

/// What the site knows of somebody beside the person itself.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct KnownOf {
    /// The account they sign in with, where they do.
    pub account: Option<KnownAccount>,
    /// What they are paid.
    pub pay_rates: Vec<KnownPay>,
    /// Crews they were in.
    pub crews: Vec<KnownCrew>,
    /// Skills with an end.
    pub skill_dates: Vec<KnownSkill>,
    /// Shifts.
    pub shifts: Vec<KnownShift>,
    /// Hours worked.
    pub hours: Vec<KnownHours>,
    /// Days on which they were said to be away.
    pub away_on: Vec<NaiveDate>,
    /// Chemicals they put on.
    pub treatments: Vec<KnownTreatment>,
    /// When they came, took their breaks and went.
    pub attendance: Vec<KnownClock>,
    /// Crews they joined or left in the course of a day.
    pub shift_changes: Vec<KnownShiftChange>,
    /// When they began to work alone.
    pub alone: Vec<Instant>,
    /// When what they told of an incident or near miss happened.
    pub incidents_told: Vec<Instant>,
    /// Defects they saw.
    pub defects: Vec<KnownDefect>,
    /// Notes about them, or by them.
    pub notes: Vec<KnownNote>,
}

/// The user behind a person of the site, where there is one.
pub fn user_behind(conn: &mut Conn, scope: &Scope, person_id: i64) -> Result<Option<i64>> {
    Ok(people::table
        .filter(
            people::site_id
                .eq(scope.site_id())
                .and(people::id.eq(person_id)),
        )
        .select(people::user_id)
        .first(conn)?)
}

/// What the site knows of a person.
pub fn known_of(conn: &mut Conn, scope: &Scope, person_id: i64) -> Result<KnownOf> {
    let site = scope.site_id();
    let user = user_behind(conn, scope, person_id)?;
    let (hours_back, treatments_back) =
        alias!(hours_entries as hours_back, treatments as treatments_back);
    // What was taken back never was.
    let hours_back = hours_back
        .filter(hours_back.field(hours_entries::site_id).eq(site))
        .filter(hours_back.field(hours_entries::reverses_id).is_not_null())
        .select(
            hours_back
                .field(hours_entries::reverses_id)
                .assume_not_null(),
        );
    let treatments_back = treatments_back
        .filter(treatments_back.field(treatments::site_id).eq(site))
        .filter(treatments_back.field(treatments::reverses_id).is_not_null())
        .select(
            treatments_back
                .field(treatments::reverses_id)
                .assume_not_null(),
        );
    Ok(KnownOf {
        account: user.map(|user| account(conn, scope, user)).transpose()?,
        pay_rates: pay_rates::table
            .filter(
                pay_rates::site_id
                    .eq(site)
                    .and(pay_rates::person_id.eq(person_id)),
            )
            .order(pay_rates::from_date)
            .select((pay_rates::from_date, pay_rates::cents_per_h))
            .load(conn)?,
        crews: crew_members::table
            .inner_join(crews::table)
            .filter(
                crew_members::site_id
                    .eq(site)
                    .and(crew_members::person_id.eq(person_id)),
            )
            .order(crew_members::from_date)
            .select((
                crews::name,
                crew_members::from_date,
                crew_members::until_date,
            ))
            .load(conn)?,
        skill_dates: skill_dates::table
            .filter(
                skill_dates::site_id
                    .eq(site)
                    .and(skill_dates::person_id.eq(person_id)),
            )
            .order(skill_dates::skill)
            .select((skill_dates::skill, skill_dates::valid_until))
            .load(conn)?,
        shifts: shift_people::table
            .inner_join(shifts::table)
            .filter(
                shift_people::site_id
                    .eq(site)
                    .and(shift_people::person_id.eq(person_id)),
            )
            .order(shifts::starts_at)
            .select((shifts::work_date, shifts::starts_at, shifts::ends_at))
            .load(conn)?,
        hours: hours_entries::table
            .filter(
                hours_entries::site_id
                    .eq(site)
                    .and(hours_entries::person_id.eq(person_id))
                    .and(hours_entries::reverses_id.is_null())
                    .and(hours_entries::id.ne_all(hours_back)),
            )
            .order(hours_entries::seq)
            .select((
                hours_entries::work_date,
                hours_entries::kind,
                hours_entries::order_id,
                hours_entries::starts_at,
                hours_entries::ends_at,
            ))
            .load(conn)?,
        away_on: day_news::table
            .filter(
                day_news::site_id
                    .eq(site)
                    .and(day_news::person_id.eq(person_id)),
            )
            .order(day_news::work_date)
            .select(day_news::work_date)
            .load(conn)?,
        treatments: treatments::table
            .filter(
                treatments::site_id
                    .eq(site)
                    .and(treatments::person_id.eq(person_id))
                    .and(treatments::reverses_id.is_null())
                    .and(treatments::id.ne_all(treatments_back)),
            )
            .order(treatments::seq)
            .select((
                treatments::applied_at,
                treatments::product,
                treatments::lot,
                treatments::order_id,
            ))
            .load(conn)?,
        attendance: attendance_events::table
            .filter(
                attendance_events::site_id
                    .eq(site)
                    .and(attendance_events::person_id.eq(person_id)),
            )
            .order(attendance_events::seq)
            .select((attendance_events::happened_at, attendance_events::kind))
            .load(conn)?,
        shift_changes: shift_changes::table
            .inner_join(shifts::table)
            .filter(
                shift_changes::site_id
                    .eq(site)
                    .and(shift_changes::person_id.eq(person_id)),
            )
            .order(shift_changes::seq)
            .select((
                shift_changes::happened_at,
                shifts::work_date,
                shift_changes::joins,
            ))
            .load(conn)?,
        alone: alone_events::table
            .filter(
                alone_events::site_id
                    .eq(site)
                    .and(alone_events::person_id.eq(person_id)),
            )
            .order(alone_events::seq)
            .select(alone_events::happened_at)
            .load(conn)?,
        incidents_told: incidents::table
            .filter(
                incidents::site_id
                    .eq(site)
                    .and(incidents::person_id.eq(person_id)),
            )
            .order(incidents::id)
            .select(incidents::happened_at)
            .load(conn)?,
        defects: defects::table
            .filter(
                defects::site_id
                    .eq(site)
                    .and(defects::person_id.eq(person_id)),
            )
            .order(defects::id)
            .select((
                defects::seen_at,
                defects::court_id,
                defects::kind,
                defects::note,
            ))
            .load(conn)?,
        notes: order_notes::table
            .filter(
                order_notes::site_id
                    .eq(site)
                    .and(order_notes::person_id.eq(person_id)),
            )
            .order(order_notes::id)
            .select((
                order_notes::happened_at,
                order_notes::order_id,
                order_notes::kind,
                order_notes::text,
            ))
            .load(conn)?,
    })
}

fn account(conn: &mut Conn, scope: &Scope, user_id: i64) -> Result<KnownAccount> {
    let (email, name, created_at) = users::table
        .find(user_id)
        .select((users::email, users::name, users::created_at))
        .first(conn)?;
    let roles = memberships::table
        .filter(
            memberships::site_id
                .eq(scope.site_id())
                .and(memberships::user_id.eq(user_id)),
        )
        .order(memberships::id)
        .select(memberships::role)
        .load(conn)?;
    let deeds = audit_events::table
        .left_join(
            audit_words::table.on(audit_words::audit_event_id
                .eq(audit_events::id)
                .and(audit_words::field.eq("from"))),
        )
        .filter(
            audit_events::site_id
                .eq(scope.site_id())
                .and(audit_events::actor_user_id.eq(user_id)),
        )
        .order(audit_events::seq)
        .select((
            audit_events::at,
            audit_events::verb,
            audit_events::subject_kind,
            audit_events::subject_id,
            audit_words::words.nullable(),
        ))
        .load(conn)?;
    Ok(KnownAccount {
        email,
        name,
        created_at,
        roles,
        deeds,
    })
}

/// Takes the text away that the audit trail keeps of what was changed about a person.
pub fn person_words_erase(tx: &mut Tx<'_>, scope: &Scope, person_id: i64) -> Result<()> {
    let site = scope.site_id();
    let about = audit_touches::table
        .filter(
            audit_touches::site_id
                .eq(site)
                .and(audit_touches::subject_kind.eq("person"))
                .and(audit_touches::subject_id.eq(person_id)),
        )
        .select(audit_touches::audit_event_id);
    let words = audit_words::table.filter(
        audit_words::site_id
            .eq(site)
            .and(audit_words::field.ne("from"))
            .and(audit_words::audit_event_id.eq_any(about)),
    );
    diesel::delete(words).execute(tx.conn())?;
    Ok(())
}

/// Takes a person's name away, and them off crews and shifts from `today` on. Pay stays: hours are costed by it.
pub fn person_erase(
    tx: &mut Tx<'_>,
    scope: &Scope,
    person_id: i64,
    name: &str,
    today: NaiveDate,
) -> Result<()> {
    let site = scope.site_id();
    diesel::update(people::table.filter(people::site_id.eq(site).and(people::id.eq(person_id))))
        .set((
            people::name.eq(name),
            people::user_id.eq(None::<i64>),
            people::skills.eq("[]"),
            people::came_on.eq(None::<NaiveDate>),
            people::language.eq("en-US"),
            people::version.eq(people::version + 1),
        ))
        .execute(tx.conn())?;
    let still = people::table.filter(
        people::site_id
            .eq(site)
            .and(people::id.eq(person_id))
            .and(people::left_on.is_null().or(people::left_on.gt(today))),
    );
    diesel::update(still)
        .set(people::left_on.eq(today))
        .execute(tx.conn())?;
    let in_crews = crew_members::table.filter(
        crew_members::site_id
            .eq(site)
            .and(crew_members::person_id.eq(person_id))
            .and(crew_members::from_date.le(today))
            .and(
                crew_members::until_date
                    .is_null()
                    .or(crew_members::until_date.gt(today)),
            ),
    );
    diesel::update(in_crews)
        .set(crew_members::until_date.eq(today))
        .execute(tx.conn())?;
    let to_come = shifts::table
        .filter(shifts::site_id.eq(site).and(shifts::work_date.gt(today)))
        .select(shifts::id);
    let on_shifts = shift_people::table.filter(
        shift_people::site_id
            .eq(site)
            .and(shift_people::person_id.eq(person_id))
            .and(shift_people::shift_id.eq_any(to_come)),
    );
    diesel::delete(on_shifts).execute(tx.conn())?;
    let dates = skill_dates::table.filter(
        skill_dates::site_id
            .eq(site)
            .and(skill_dates::person_id.eq(person_id)),
    );
    diesel::delete(dates).execute(tx.conn())?;
    Ok(())
}

/// Takes away what the site keeps of an account beside the account itself: from where it acted, what it was sent, and
/// answers that name it.
pub fn account_traces_erase(
    tx: &mut Tx<'_>,
    scope: &Scope,
    user_id: i64,
    email: &str,
) -> Result<()> {
    let site = scope.site_id();
    let theirs = audit_events::table
        .filter(
            audit_events::site_id
                .eq(site)
                .and(audit_events::actor_user_id.eq(user_id)),
        )
        .select(audit_events::id);
    let words = audit_words::table.filter(
        audit_words::site_id
            .eq(site)
            .and(audit_words::audit_event_id.eq_any(theirs)),
    );
    diesel::delete(words).execute(tx.conn())?;
    let mailed = report_subscribers::table.filter(
        report_subscribers::site_id
            .eq(site)
            .and(report_subscribers::email.eq(email)),
    );
    diesel::delete(mailed).execute(tx.conn())?;
    let answers = idempotency_keys::table.filter(
        idempotency_keys::site_id
            .eq(site)
            .and(idempotency_keys::body.like(format!("%\"{email}\"%"))),
    );
    diesel::delete(answers).execute(tx.conn())?;
    Ok(())
}

/// Takes everything personal of an account away, and switches it off.
pub fn account_erase(
    conn: &mut Conn,
    user_id: i64,
    email: &str,
    name: &str,
    now: Instant,
) -> Result<()> {
    diesel::update(users::table.find(user_id))
        .set((
            users::email.eq(email),
            users::name.eq(name),
            users::password_hash.eq(None::<String>),
            users::disabled_at.eq(now),
            users::version.eq(users::version + 1),
        ))
        .execute(conn)?;
    Ok(())
}
