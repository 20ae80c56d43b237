//! The site as its past is told from: courts, play, crews, tools and care as they were laid.

use std::collections::{BTreeSet, HashMap};

use chrono::{Days, NaiveDate};
use chrono_tz::Tz;
use trade::calendar::{day_start, work_date};
use trade::grooming::{Condition, GroomingNeed, Strength, ToolKind, choose};
use trade::units::Millimetres;

use crate::desk::booking::Rates;
use crate::desk::set_up::unreadable;
use crate::desk::{Error, Result};
use crate::store::care::{CareTaskRow, care_task_list};
use crate::store::courts::{BankRow, CourtRow, Watering, bank_list, court_list};
use crate::store::crews::{ShiftRow, crew_list, person_list, shift_list, shift_person_list};
use crate::store::history::user_in_role;
use crate::store::play::{
    ClosureRow, SessionRow, closures_between, conditions_newest, sessions_between,
};
use crate::store::sites::{SiteRow, site_read};
use crate::store::stores::{MaterialRow, material_list};
use crate::store::tools::{ToolClassRow, ToolRow, tool_class_list, tool_list};
use crate::store::{Conn, Instant, Page, Role, Scope};

/// No past is told from further back, days.
const FARTHEST: u64 = 400;
/// For how many days a court has been as it is found today; before that it was sound.
const FOUND_FOR: u64 = 12;
/// How long a court counts as just resurfaced. Common practice, no source.
const SETTLING: u64 = 42;
/// How long a court was shut for its resurfacing, days. Common practice, no source.
const RESURFACING: u64 = 5;

/// The site as its past is told from.
pub struct Season {
    pub zone: Tz,
    pub site: SiteRow,
    pub today: NaiveDate,
    pub banks: Vec<BankRow>,
    pub courts: Vec<CourtRow>,
    pub tasks: Vec<CareTaskRow>,
    pub materials: Vec<MaterialRow>,
    pub rates: Rates,
    /// Who planned the days.
    pub manager: i64,
    classes: Vec<ToolClassRow>,
    tools: Vec<ToolRow>,
    crews: HashMap<i64, usize>,
    shifts: HashMap<NaiveDate, Vec<ShiftRow>>,
    hands: HashMap<i64, Vec<i64>>,
    people: HashMap<i64, (Vec<String>, Option<i64>)>,
    pub lead: i64,
    sessions: HashMap<(i64, NaiveDate), Vec<SessionRow>>,
    closures: Vec<ClosureRow>,
    conditions: HashMap<i64, Condition>,
}

/// A crew as it came to work on a day.
pub struct OnShift {
    pub crew_id: i64,
    /// Its place among the crews.
    pub nth: usize,
    pub shift: ShiftRow,
    pub people: Vec<i64>,
    pub skills: BTreeSet<String>,
    /// Who of it told the office what was done.
    pub user_id: i64,
}

impl Season {
    /// Reads it.
    pub fn read(conn: &mut Conn, scope: &Scope, now: Instant) -> Result<Self> {
        let site = site_read(conn, scope)?;
        let zone = site.zone()?;
        let today = work_date(zone, now.utc());
        let since = today.checked_sub_days(Days::new(FARTHEST)).unwrap_or(today);
        let first: Instant = day_start(zone, since).into();
        let last = day_start(zone, today);
        let mut shifts: HashMap<NaiveDate, Vec<ShiftRow>> = HashMap::new();
        let mut hands: HashMap<i64, Vec<i64>> = HashMap::new();
        let before: Vec<ShiftRow> = all(shift_list(conn, scope, None, Page::ALL)?)
            .into_iter()
            .filter(|shift: &ShiftRow| shift.work_date < today)
            .collect();
        let ids: Vec<i64> = before.iter().map(|shift| shift.id).collect();
        for hand in shift_person_list(conn, scope, &ids)? {
            hands.entry(hand.shift_id).or_default().push(hand.person_id);
        }
        for shift in before {
            shifts.entry(shift.work_date).or_default().push(shift);
        }
        let mut sessions: HashMap<(i64, NaiveDate), Vec<SessionRow>> = HashMap::new();
        for session in sessions_between(conn, scope, first, last.into())? {
            let date = work_date(zone, session.starts_at.utc());
            sessions
                .entry((session.court_id, date))
                .or_default()
                .push(session);
        }
        Ok(Self {
            zone,
            today,
            banks: all(bank_list(conn, scope, Page::ALL)?),
            courts: all(court_list(conn, scope, Page::ALL)?),
            tasks: care_task_list(conn, scope)?,
            materials: all(material_list(conn, scope, Page::ALL)?),
            rates: Rates::read(conn, scope)?,
            manager: user_in_role(conn, scope, Role::Manager)?,
            classes: all(tool_class_list(conn, scope, Page::ALL)?),
            tools: all(tool_list(conn, scope, Page::ALL)?),
            crews: all(crew_list(conn, scope, Page::ALL)?)
                .iter()
                .zip(0..)
                .map(|(crew, nth)| (crew.id, nth))
                .collect(),
            shifts,
            hands,
            people: all(person_list(conn, scope, Page::ALL)?)
                .into_iter()
                .map(|person| (person.id, (person.skills.0, person.user_id)))
                .collect(),
            lead: user_in_role(conn, scope, Role::CrewLead)?,
            sessions,
            closures: closures_between(conn, scope, first, last.into())?,
            conditions: conditions_newest(conn, scope, None, now)?
                .into_iter()
                .map(|found| (found.court_id, found.condition))
                .collect(),
            site,
        })
    }

    /// The crews that were on shift on a date, in their order.
    pub fn on_shift(&self, date: NaiveDate) -> Vec<OnShift> {
        let of_date = self.shifts.get(&date).into_iter().flatten();
        let mut crews: Vec<OnShift> = of_date.filter_map(|shift| self.crew(shift)).collect();
        crews.sort_by_key(|crew| crew.nth);
        crews
    }

    fn crew(&self, shift: &ShiftRow) -> Option<OnShift> {
        let people = self.hands.get(&shift.id)?.clone();
        let known = || people.iter().filter_map(|person| self.people.get(person));
        let skills = known().flat_map(|(skills, _)| skills.clone()).collect();
        let user = known().find_map(|(_, user)| *user);
        Some(OnShift {
            crew_id: shift.crew_id,
            nth: *self.crews.get(&shift.crew_id)?,
            shift: shift.clone(),
            skills,
            user_id: user.unwrap_or(self.lead),
            people,
        })
    }

    /// When a court was in play on a date, in order, as far as it was not shut.
    pub fn play(&self, court: i64, date: NaiveDate) -> impl Iterator<Item = &SessionRow> {
        let of_date = self.sessions.get(&(court, date)).into_iter().flatten();
        of_date.filter(move |session| !self.shut(session))
    }

    fn shut(&self, session: &SessionRow) -> bool {
        let date = work_date(self.zone, session.starts_at.utc());
        let court = self
            .courts
            .iter()
            .find(|court| court.id == session.court_id);
        let shut_for_it = court.is_some_and(|court| resurfacing(court, date));
        shut_for_it
            || self.closures.iter().any(|closure| {
                closure.court_id == session.court_id
                    && closure.starts_at < session.ends_at
                    && closure.ends_at > session.starts_at
            })
    }

    /// How a court was on a past date: as it is found today for the last days, sound before; one
    /// watered from below is always as it is found.
    pub fn condition(&self, court: &CourtRow, date: NaiveDate) -> Condition {
        let long_ago = |days| {
            self.today
                .checked_sub_days(Days::new(days))
                .is_some_and(|d| date < d)
        };
        if let Some(done) = court.resurfaced_on
            && date >= done
            && done
                .checked_add_days(Days::new(SETTLING))
                .is_some_and(|settled| date < settled)
        {
            return Condition::JustResurfaced;
        }
        match self.conditions.get(&court.id) {
            Some(found) if court.watering == Watering::Subsurface || !long_ago(FOUND_FOR) => *found,
            _ => Condition::Sound,
        }
    }

    /// The class that a court in this condition was groomed with.
    pub fn grooms(&self, condition: Condition) -> Option<&ToolClassRow> {
        let kinds: Vec<ToolKind> = self
            .classes
            .iter()
            .map(|class| ToolKind {
                id: class.id,
                action: class.action.0,
                strength: class.strength.map_or(Strength::Medium, |word| word.0),
                width: Millimetres(class.width_mm.unwrap_or(0)),
            })
            .collect();
        let best = choose(GroomingNeed::of(condition)?, &kinds);
        let best = best.first()?.tool.id;
        self.classes.iter().find(|class| class.id == best)
    }

    /// The class that a task of the care standard asks for.
    pub fn class_of(&self, task: &CareTaskRow) -> Option<&ToolClassRow> {
        let wanted = task.tool_action.as_deref()?;
        let named = self.classes.iter().find(|class| class.code == wanted);
        named.or_else(|| {
            self.classes
                .iter()
                .find(|class| class.action.0.as_str() == wanted)
        })
    }

    /// The numbered tool of a class that the crews' `nth` held: each its own, as far as they go.
    pub fn tool(&self, class: &ToolClassRow, nth: usize) -> Option<i64> {
        let of_class: Vec<i64> = self
            .tools
            .iter()
            .filter(|tool| tool.tool_class_id == class.id)
            .map(|tool| tool.id)
            .collect();
        (!of_class.is_empty()).then(|| of_class[nth % of_class.len()])
    }

    /// The task of the care standard with this code.
    pub fn task(&self, code: &str) -> Option<&CareTaskRow> {
        self.tasks.iter().find(|task| task.code == code)
    }

    /// The material with this code.
    pub fn material(&self, code: &str) -> Option<&MaterialRow> {
        self.materials.iter().find(|material| material.code == code)
    }
}

/// Whether the court was shut on that date for its resurfacing.
pub fn resurfacing(court: &CourtRow, date: NaiveDate) -> bool {
    let Some(done) = court.resurfaced_on else {
        return false;
    };
    date < done
        && done
            <= date
                .checked_add_days(Days::new(RESURFACING))
                .unwrap_or(done)
}

fn all<T>(page: crate::store::Paged<T>) -> Vec<T> {
    page.items
}

/// A value that cannot be, unless the program itself is wrong.
pub fn impossible(what: &str) -> Error {
    unreadable(&format!("the past does not come out: {what}"))
}
