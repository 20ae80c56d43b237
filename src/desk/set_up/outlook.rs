//! What lies around the demo's day beside its play: weather as it was and as it is foretold, what the opening walk saw of
//! late, a tournament to come and a match without a fixed end.

use std::collections::HashMap;

use chrono::{Days, NaiveDate, NaiveTime};
use chrono_tz::Tz;
use trade::calendar::{local_to_instant, work_date};
use trade::units::{Micrometres, Millicelsius};
use trade::weather::WeatherReading;

use super::files::{ForetoldEntry, HourEntry, OutlookFile};
use super::history::Dice;
use super::unreadable;
use crate::desk::access::{EditPlay, InspectCourt, Permit, scope};
use crate::desk::care::care_tasks_need;
use crate::desk::day_build::care_key;
use crate::desk::inspections::{InspectionTold, inspection_add};
use crate::desk::play::tournament::{Tournament, tournament_tell};
use crate::desk::{Error, Office, Result};
use crate::store::care::care_task_list;
use crate::store::courts::court_list;
use crate::store::day_changes::{ChangeKind, ChangeRow, change_add};
use crate::store::history::user_in_role;
use crate::store::play::closures_between;
use crate::store::play_changes::{PlayFilter, SessionSet, session_list, session_set};
use crate::store::settings::setting_put;
use crate::store::sites::site_read;
use crate::store::weather::{NewWeather, WeatherKind, weather_put};
use crate::store::{Actor, Instant, Page, Role, Scope};

/// How far back the weather was read off, days: what a day of weather is held against lies within.
const DAYS_BACK: u64 = 56;
/// How far ahead it is foretold, days.
const DAYS_AHEAD: u64 = 7;
/// How much warmer or cooler than usual a past day may have been, m°C.
const SWING_MC: i64 = 2_000;
/// What a shower brings, µm a minute.
const SHOWER_UM: i64 = 120;

/// Lays what the demo's outlook says on top of its history.
pub fn lay_outlook(office: &Office, site_id: i64, seed: u64) -> Result<()> {
    let file = OutlookFile::demo().map_err(|e| unreadable(&e))?;
    let of_the_service = Scope::of_the_service(site_id);
    let (courts, manager, zone) = office.db.read(|conn| {
        let courts = court_list(conn, &of_the_service, Page::ALL)?
            .items
            .into_iter();
        let courts: HashMap<String, i64> = courts.map(|court| (court.name, court.id)).collect();
        let manager = user_in_role(conn, &of_the_service, Role::Manager)?;
        let zone = site_read(conn, &of_the_service)?.zone()?;
        Ok::<_, Error>((courts, manager, zone))
    })?;
    let of_manager = scope(office, Actor::of(manager), site_id)?;
    let court = |name: &String| courts.get(name).copied().ok_or_else(|| unreadable(name));
    let laying = Laying {
        office,
        scope: &of_the_service,
        zone,
        today: work_date(zone, office.now().utc()),
        file: &file,
    };
    laying.weather(seed)?;
    laying.open_ended(court(&file.open_ended.court)?)?;
    laying.asked_for(court(&file.asked_for.court)?, manager)?;

    let may_look = Permit::<InspectCourt>::of(of_manager.clone())?;
    for look in &file.looks {
        let told = InspectionTold {
            seen_at: Some(laying.at(laying.before(look.days_ago), look.at)),
            ..look.saw.clone()
        };
        inspection_add(office, &may_look, court(&look.court)?, key(), &told)?;
    }
    let tournament = Tournament {
        court_ids: file
            .tournament
            .courts
            .iter()
            .map(court)
            .collect::<Result<_>>()?,
    };
    let date = laying.after(file.tournament.in_days);
    let may_set = Permit::<EditPlay>::of(of_manager)?;
    tournament_tell(office, &may_set, date, key(), &tournament)?;
    Ok(())
}

fn key() -> String {
    uuid::Uuid::new_v4().to_string()
}

struct Laying<'a> {
    office: &'a Office,
    scope: &'a Scope,
    zone: Tz,
    today: NaiveDate,
    file: &'a OutlookFile,
}

impl Laying<'_> {
    fn before(&self, days: u64) -> NaiveDate {
        self.today
            .checked_sub_days(Days::new(days))
            .unwrap_or(self.today)
    }

    fn after(&self, days: u64) -> NaiveDate {
        self.today
            .checked_add_days(Days::new(days))
            .unwrap_or(self.today)
    }

    fn at(&self, date: NaiveDate, time: NaiveTime) -> Instant {
        local_to_instant(self.zone, date, time).into()
    }

    /// Read off until now, foretold from there.
    fn weather(&self, seed: u64) -> Result<()> {
        let now = self.office.now();
        let showers = self.showers(now)?;
        let mut readings = Vec::new();
        for (date, ago) in self
            .before(DAYS_BACK)
            .iter_days()
            .zip((0..=DAYS_BACK).rev())
        {
            let swing = Dice::of(seed, ago).between(-SWING_MC, SWING_MC);
            readings.extend(self.hours(date, swing, 0).filter(|new| new.read_at < now));
        }
        readings.extend(showers.into_iter().map(|(end, minutes)| NewWeather {
            read_at: end,
            kind: WeatherKind::Observed,
            reading: WeatherReading {
                rain: Some(Micrometres(minutes * SHOWER_UM)),
                ..WeatherReading::default()
            },
        }));
        for (date, ahead) in self.today.iter_days().zip(0..=DAYS_AHEAD) {
            readings.extend(self.foretold(date, ahead).filter(|new| new.read_at >= now));
        }
        self.office.db.write(self.scope, |tx| {
            let latitude = serde_json::json!(self.file.latitude_udeg);
            setting_put(tx, self.scope, "latitude_udeg", &latitude)?;
            weather_put(tx, self.scope, &readings)?;
            Ok(())
        })
    }

    /// The showers of the history, by their end, with how many minutes they lasted: they shut every court.
    fn showers(&self, now: Instant) -> Result<Vec<(Instant, i64)>> {
        let from = self.at(self.before(DAYS_BACK), NaiveTime::MIN);
        let closures = self
            .office
            .db
            .read(|conn| closures_between(conn, self.scope, from, now))?;
        let mut showers: Vec<(Instant, i64)> = closures
            .iter()
            .filter(|closure| closure.reason == "Rain")
            .map(|rain| {
                (
                    rain.ends_at,
                    (rain.ends_at.utc() - rain.starts_at.utc()).num_minutes(),
                )
            })
            .collect();
        showers.sort_unstable();
        showers.dedup();
        Ok(showers)
    }

    fn foretold(&self, date: NaiveDate, ahead: u64) -> impl Iterator<Item = NewWeather> {
        let entry = self
            .file
            .foretold
            .iter()
            .find(|entry| entry.in_days == ahead);
        let usual = ForetoldEntry::default();
        let entry = entry.unwrap_or(&usual);
        let rain: HashMap<Instant, i64> = entry
            .rain
            .iter()
            .filter_map(|rain| {
                Some((
                    self.at(date, NaiveTime::from_hms_opt(rain.hour, 0, 0)?),
                    rain.um,
                ))
            })
            .collect();
        self.hours(date, entry.warmer_mc, entry.windier_mmps)
            .map(move |new| NewWeather {
                kind: WeatherKind::Forecast,
                reading: WeatherReading {
                    rain: Some(Micrometres(rain.get(&new.read_at).copied().unwrap_or(0))),
                    ..new.reading
                },
                ..new
            })
    }

    /// A date's usual hours, so much warmer and windier.
    fn hours(
        &self,
        date: NaiveDate,
        warmer_mc: i64,
        windier_mmps: i64,
    ) -> impl Iterator<Item = NewWeather> {
        let hours = (0..24).filter_map(|hour| NaiveTime::from_hms_opt(hour, 0, 0));
        hours
            .zip(&self.file.hours)
            .map(move |(time, hour)| NewWeather {
                read_at: self.at(date, time),
                kind: WeatherKind::Observed,
                reading: reading(hour, warmer_mc, windier_mmps),
            })
    }

    /// Work with chemicals, of which some is asked for by hand today.
    fn asked_for(&self, court: i64, manager: i64) -> Result<()> {
        let codes: Vec<&str> = self
            .file
            .chemicals
            .tasks
            .iter()
            .map(String::as_str)
            .collect();
        let code = &self.file.asked_for.task;
        self.office.db.write(self.scope, |tx| {
            care_tasks_need(tx, self.scope, &codes)?;
            let tasks = care_task_list(tx.conn(), self.scope)?;
            let task = tasks.iter().find(|task| task.code == *code);
            let task = task.ok_or_else(|| unreadable(code))?;
            let row = ChangeRow {
                work_date: self.today,
                visit_key: care_key(task.id, court),
                kind: ChangeKind::Add,
                crew_id: None,
                start_at: None,
            };
            change_add(tx, self.scope, &row, manager)?;
            Ok(())
        })
    }

    /// Today's match that is over when somebody says so.
    fn open_ended(&self, court: i64) -> Result<()> {
        let entry = &self.file.open_ended;
        self.office.db.write(self.scope, |tx| {
            let filter = PlayFilter {
                from: Some(self.at(self.today, NaiveTime::MIN)),
                to: Some(self.at(self.after(1), NaiveTime::MIN)),
                court_id: Some(court),
            };
            let sessions = session_list(tx.conn(), self.scope, &filter, Page::ALL)?.items;
            let of_name = sessions
                .into_iter()
                .find(|session| session.name == entry.session);
            let session = of_name.ok_or_else(|| unreadable(&entry.session))?;
            let set = SessionSet {
                court_id: session.court_id,
                name: session.name,
                starts_at: session.starts_at,
                ends_at: session.ends_at,
                short_turnaround: session.short_turnaround,
                players_brush: session.players_brush,
                open_ended: true,
                short_ok: session.short_ok,
            };
            session_set(tx, self.scope, session.id, session.version, &set)?;
            Ok(())
        })
    }
}

fn reading(hour: &HourEntry, warmer_mc: i64, windier_mmps: i64) -> WeatherReading {
    WeatherReading {
        temp: Some(Millicelsius(hour.temp_mc + warmer_mc)),
        humidity_permille: Some(hour.humidity_permille),
        wind_mmps: Some(hour.wind_mmps + windier_mmps),
        solar_w_m2: Some(hour.solar_w_m2),
        ..WeatherReading::default()
    }
}
