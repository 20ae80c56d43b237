//! Everything a day problem rests on, read in a fixed number of queries, for one date or for several
//! in a row at once.

use std::collections::{HashMap, HashSet};

use chrono::{NaiveDate, TimeDelta};
use trade::court::CourtNow;
use trade::grooming::Condition;
use trade::heat::Hour;
use trade::labour::Record;

use super::begin::{DaysOnShift, looks_back};
use super::care_book::{CareBook, Dates};
use super::clock::DayClock;
use super::ground::{Grounds, at_work};
use super::heat::is_hot;
use super::sky::Sky;
use super::standards::Standards;
use super::tools::worn_aside;
use super::turnarounds::turnaround_key;
use super::water::{VALVE, ValveWork, Water};
use crate::desk::inspections::LOOK_BACK;
use crate::desk::label::limits;
use crate::desk::settings::Settings;
use crate::store::care::{CareTaskRow, care_task_list, groomed_last};
use crate::store::courts::{BankRow, CourtRow, bank_list, court_list};
use crate::store::crews::{CrewRow, ShiftRow, crew_list, shifts_between};
use crate::store::day_changes::{ChangeRow, changes_between};
use crate::store::day_news::{NewsRow, news_between};
use crate::store::day_plans::inputs::{
    Hand, days_on_shift, founded_at, hands_between, visits_not_made,
};
use crate::store::day_plans::{WateringOfPlan, waterings_reaching};
use crate::store::inspections::inspections_between;
use crate::store::orders::{Direction, valve_orders};
use crate::store::play::{
    ClosureRow, SessionRow, closures_between, conditions_newest, sessions_between,
};
use crate::store::rests::{RestRow, rests_between};
use crate::store::sites::{SiteRow, site_read};
use crate::store::stores::{MaterialRow, material_list};
use crate::store::times::{TimesOfCourt, times_between};
use crate::store::tools::{
    ToolClassRow, ToolRow, ToolState, brushes_at_limit, tool_class_list, tool_list,
};
use crate::store::tournaments::{TournamentCourt, tournament_courts_between};
use crate::store::weather::{WeatherRow, weather_between};
use crate::store::{Conn, Instant, Page, Result, Scope};

/// How far ahead play is read where work needs a rest: 14 days, and the longest rest after them.
const LOOKED_AHEAD: TimeDelta = TimeDelta::days(18);

/// How far back it counts what work really took: longer, and last year's crew still speaks.
const LEARNED_FROM: TimeDelta = TimeDelta::days(180);

/// What a site's day problem rests on.
#[derive(Clone)]
pub struct Inputs {
    /// The site.
    pub site: SiteRow,
    /// The day's clock.
    pub clock: DayClock,
    /// When it was read.
    pub now: Instant,
    /// The site's own date.
    pub date: NaiveDate,
    /// The site's own date on which it was set up.
    pub founded_on: NaiveDate,
    /// What the site sets.
    pub settings: Settings,
    /// How the site plans.
    pub standards: Standards,
    /// The banks, in their own order.
    pub banks: Vec<BankRow>,
    /// The courts, in their own order.
    pub courts: Vec<CourtRow>,
    /// The crews by id.
    pub crews: HashMap<i64, CrewRow>,
    /// The shifts of the date, by crew.
    pub shifts: Vec<ShiftRow>,
    /// Who is on them.
    pub hands: Vec<Hand>,
    /// On which days people stood on a shift before; read only where it is hot.
    pub on_shift_before: DaysOnShift,
    /// Since when that is known.
    pub on_shift_known_from: NaiveDate,
    /// The tool classes, by id.
    pub classes: Vec<ToolClassRow>,
    /// The tools in service that day, by number.
    pub tools: Vec<ToolRow>,
    /// The care standard.
    pub tasks: Vec<CareTaskRow>,
    /// The stores, for what the labels of chemicals say; empty where no task takes anything from them.
    pub stores: Vec<MaterialRow>,
    /// What is known of the care tasks.
    pub care: CareBook,
    /// Play around the date, by court and start.
    pub sessions: Vec<SessionRow>,
    /// The courts of a tournament on the date, in the order in which they reopen.
    pub tournament: Vec<TournamentCourt>,
    /// Closures around the date.
    pub closures: Vec<ClosureRow>,
    /// Rests around the date, which shut a court as a closure does. What other work of the date makes is not among
    /// them: it goes with its plan.
    pub rests: Vec<RestRow>,
    /// Play from the date on, as far ahead as a day for work with a rest is looked for; empty where no task has one.
    pub ahead: Vec<SessionRow>,
    /// What was told and seen of the courts.
    pub ground: Grounds,
    /// How each court is by what was seen of it, as the day's first shift begins or now, whichever is later.
    pub seen: HashMap<i64, CourtNow>,
    /// What the weather asks of the date.
    pub sky: Sky,
    /// The courts on which leaves lie.
    pub leaves: HashSet<i64>,
    /// How each court is, as far as somebody said.
    pub conditions: HashMap<i64, Condition>,
    /// When and which way each court was last groomed on an earlier day.
    pub groomed: HashMap<i64, (NaiveDate, Direction)>,
    /// What crews really took for each kind of work on each court, beside the standard.
    pub times: HashMap<i64, HashMap<String, Record>>,
    /// The weather of the weeks before the date and around it, read off and foretold, in order of time.
    pub weather: Vec<WeatherRow>,
    /// The heat of the date that follows from it.
    pub heat: Vec<Hour>,
    /// Runs of water of other days' plans that reach into this one.
    pub waterings: Vec<WateringOfPlan>,
    /// What somebody decided by hand about visits of the date.
    pub changes: Vec<ChangeRow>,
    /// Rain, and who went home.
    pub news: Vec<NewsRow>,
    /// Valves, rules of water, and how dry the courts were found.
    pub water: Water,
    /// The orders by which valves are opened and closed by hand, those of plans that hold.
    pub valve_work: Vec<ValveWork>,
    /// The turnarounds of the day before that were not made, by the names of their visits.
    pub not_made: HashSet<String>,
}

impl Inputs {
    /// Reads a site's date, as it stands `now`.
    pub fn read(conn: &mut Conn, scope: &Scope, date: NaiveDate, now: Instant) -> Result<Self> {
        Ok(Self::read_span(conn, scope, date, date, now)?.on(date))
    }

    /// Reads the dates from `first` to `last` at once, as they stand `now`: no more queries than
    /// one date takes. [`Inputs::on`] then gives each of them.
    pub fn read_span(
        conn: &mut Conn,
        scope: &Scope,
        first: NaiveDate,
        last: NaiveDate,
        now: Instant,
    ) -> Result<Self> {
        let date = first;
        let site = site_read(conn, scope)?;
        let zone = site.zone()?;
        let clock = DayClock::new(zone, date);
        let today = trade::calendar::work_date(zone, now.utc());
        let (from, _) = clock.around();
        let (_, to) = DayClock::new(zone, last).around();
        let founded_on = trade::calendar::work_date(zone, founded_at(conn, scope)?.utc());
        let settings = Settings::read(conn, scope)?;
        let standards = Standards::of(&settings);

        let mut banks = bank_list(conn, scope, Page::ALL)?.items;
        banks.sort_by_key(|bank| (bank.position, bank.id));
        let mut courts = court_list(conn, scope, Page::ALL)?.items;
        courts.sort_by_key(|court| (court.position, court.id));
        let crews = crew_list(conn, scope, Page::ALL)?.items;
        let shifts = shifts_between(conn, scope, first, last)?;
        let hands = hands_between(conn, scope, first, last)?;

        let classes = tool_class_list(conn, scope, Page::ALL)?.items;
        let mut tools = tool_list(conn, scope, Page::ALL)?.items;
        tools.retain(|tool| tool.state == ToolState::InService && tool.in_service_from <= last);
        worn_aside(&mut tools, &classes, &brushes_at_limit(conn, scope)?);
        tools.sort_by(|a, b| (&a.number, a.id).cmp(&(&b.number, b.id)));

        let tasks = care_task_list(conn, scope)?;
        let sessions = sessions_between(conn, scope, from, to)?;
        let tournament = tournament_courts_between(conn, scope, first, last)?;
        // As far back as courts are looked at: the season's ordinary weather, and how they drained.
        let weather_from = Instant::from(from.utc() - LOOK_BACK);
        let weather = weather_between(conn, scope, weather_from, to)?;
        let on_shift_known_from = founded_on.max(first - TimeDelta::days(looks_back(&settings)));
        let on_shift_before = if is_hot(&settings, &clock, &weather) {
            days_on_shift(conn, scope, on_shift_known_from, last)?
        } else {
            DaysOnShift::new()
        };
        let closures = closures_between(conn, scope, from, to)?;
        let told = conditions_newest(conn, scope, None, to)?;
        let dates = Dates {
            zone,
            first,
            last,
            today,
            founded_on,
        };
        let care = CareBook::read(conn, scope, &tasks, &told, &settings, &dates)?;
        let rests = rests_between(conn, scope, from, to, first)?;
        let stores = if tasks.iter().any(|task| !task.detail.0.materials.is_empty()) {
            material_list(conn, scope, Page::ALL)?.items
        } else {
            Vec::new()
        };
        let rests_after = |task: &CareTaskRow| limits(&task.detail.0, &stores).rest_s > 0;
        let ahead = if tasks.iter().any(rests_after) {
            sessions_between(conn, scope, from, (to.utc() + LOOKED_AHEAD).into())?
        } else {
            Vec::new()
        };
        let begins = at_work(&clock, &shifts, date).max(now);
        let looks_from = Instant::from(begins.utc() - LOOK_BACK);
        let looks = inspections_between(conn, scope, looks_from, begins.max(to))?;
        let ground = Grounds { told, looks };
        let groomed = groomed_last(conn, scope, date, today)?;
        // Of earlier days only, so that closing an order of today does not change today's problem.
        let until = date.min(today);
        let times = records(times_between(conn, scope, until - LEARNED_FROM, until)?);
        let waterings = waterings_reaching(conn, scope, date, from, to)?;
        let changes = changes_between(conn, scope, first, last)?;
        let news = news_between(conn, scope, first, last)?;
        let water = Water::read(conn, scope, from, to)?;
        let valve_work = if water.has_by_hand() {
            valve_orders(conn, scope, VALVE, first, last)?
        } else {
            Vec::new()
        };
        let before: Vec<String> = sessions
            .iter()
            .filter(|session| session.starts_at.utc() < clock.start())
            .map(|session| turnaround_key(session.id))
            .collect();
        let not_made = visits_not_made(conn, scope, &before)?;

        let read = Self {
            crews: crews.into_iter().map(|crew| (crew.id, crew)).collect(),
            groomed: groomed
                .into_iter()
                .map(|(court, day, direction)| (court, (day, direction)))
                .collect(),
            site,
            now,
            clock,
            date,
            founded_on,
            settings,
            standards,
            banks,
            courts,
            shifts,
            hands,
            on_shift_before,
            on_shift_known_from,
            classes,
            tools,
            tasks,
            stores,
            care,
            sessions,
            tournament,
            closures,
            weather,
            heat: Vec::new(),
            rests,
            ahead,
            seen: HashMap::new(),
            sky: Sky::default(),
            leaves: HashSet::new(),
            conditions: HashMap::new(),
            ground,
            times,
            waterings,
            changes,
            news,
            water,
            valve_work: valve_work.into_iter().filter_map(ValveWork::of).collect(),
            not_made,
        };
        Ok(read.judged(begins))
    }

    /// One date of the span. What was done last is as it stood before the span's first date: whoever
    /// looks further ahead keeps account of what falls due and is done in between.
    #[must_use]
    pub fn on(&self, date: NaiveDate) -> Self {
        let mut day = self.clone();
        day.date = date;
        day.clock = self.clock.on(date);
        day.shifts.retain(|shift| shift.work_date == date);
        day.tools.retain(|tool| tool.in_service_from <= date);
        day.changes.retain(|change| change.work_date == date);
        day.news.retain(|news| news.work_date == date);
        day.valve_work.retain(|work| work.order.work_date == date);
        let (from, to) = day.clock.around();
        day.sessions
            .retain(|session| session.starts_at < to && session.end() > from);
        day.tournament.retain(|court| court.work_date == date);
        day.closures
            .retain(|closure| closure.starts_at < to && closure.ends_at > from);
        day.rests
            .retain(|rest| rest.starts_at < to && rest.ends_at > from);
        day.waterings
            .retain(|run| run.starts_at < to && run.ends_at > from);
        if date != self.date {
            // A turnaround that is owed is owed on the first date.
            day.not_made.clear();
            let begins = at_work(&day.clock, &day.shifts, date);
            return day.judged(begins);
        }
        day
    }

    /// Whether the turnaround after a session of the day before is still to be made.
    pub fn owes(&self, session: i64) -> bool {
        self.not_made.contains(&turnaround_key(session))
    }

    /// How a court is: as it was last seen, and sound where nobody said anything.
    pub fn condition(&self, court: i64) -> Condition {
        self.conditions
            .get(&court)
            .copied()
            .unwrap_or(Condition::Sound)
    }

    /// What crews really took for work of this name on a court; empty where nothing was timed.
    pub fn record(&self, court: i64, work: &str) -> Record {
        let of_court = self.times.get(&court);
        let record = of_court.and_then(|works| works.get(work));
        record.copied().unwrap_or_default()
    }

    /// How many tools of a class are in service.
    pub fn in_service(&self, class: i64) -> usize {
        let of_class = |tool: &&ToolRow| tool.tool_class_id == class;
        self.tools.iter().filter(of_class).count()
    }
}

fn records(times: Vec<TimesOfCourt>) -> HashMap<i64, HashMap<String, Record>> {
    let mut records: HashMap<i64, HashMap<String, Record>> = HashMap::new();
    for of in times {
        let record = Record {
            count: of.count,
            log_ratios: of.log_ratios.unwrap_or(0),
        };
        records
            .entry(of.court_id)
            .or_default()
            .insert(of.work, record);
    }
    records
}
