//! The weather at the site: told, taken from a file, and what its heat asks of the day.

mod file;

use chrono::TimeDelta;
use serde::{Deserialize, Serialize};
use serde_json::json;
use trade::heat::{
    Band, Bands, HeatRule, HeatRuleError, MilliFahrenheit, RestBy, heat_index, heavy_allowed,
};
use trade::units::{Micrometres, Millicelsius, Seconds};
use trade::weather::WeatherReading;
use utoipa::ToSchema;

pub use file::{Imported, LineRefused, WeatherFile, weather_import};

use super::access::{Permit, SeeSite, TellWeather};
use super::error::FieldFault;
use super::once::Once;
use super::settings::Settings;
use super::settings::known::{
    HEAT_EVERY_S, HEAT_HIGH_F, HEAT_INITIAL_F, HEAT_REST_BY, HEAT_REST_S, HEAT_SUN_F,
};
use super::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::weather::{self, NewWeather, WeatherKind, WeatherRow};
use crate::store::{Instant, Page, Paged, Scope, Tx};

/// Most readings of one request.
const MOST: usize = 500;
/// How long a reading tells how hot it is now. Common practice, no source.
const NOW_HOLDS: TimeDelta = TimeDelta::hours(2);
/// How far ahead weather is foretold.
const FORETOLD: TimeDelta = TimeDelta::days(16);

/// The weather at one instant, as it is told. What was not read is left out.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WeatherTold {
    /// When it was read off, or for when it is foretold.
    pub read_at: Instant,
    /// Read off or foretold.
    pub kind: WeatherKind,
    /// Air temperature in the shade, thousandths of a degree Celsius.
    #[schema(example = 28_500)]
    pub temp_mc: Option<i64>,
    /// Relative humidity, thousandths.
    #[schema(example = 620)]
    pub humidity_permille: Option<i64>,
    /// Wind, mm/s.
    pub wind_mmps: Option<i64>,
    /// Strongest gust since the reading before, mm/s.
    pub gust_mmps: Option<i64>,
    /// Rain since the reading before, thousandths of a millimetre.
    pub rain_um: Option<i64>,
    /// What the sun sends to the ground, W/m².
    pub solar_w_m2: Option<i64>,
    /// Whether there is frost in the ground.
    pub frost: Option<bool>,
}

/// Some of it at once.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WeatherToldList {
    /// 1 to 500 readings: all are kept or, where one is refused, none. One of an instant and kind that was told before takes its place.
    pub readings: Vec<WeatherTold>,
}

/// What was kept.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct WeatherKept {
    /// How many readings.
    pub kept: usize,
}

impl WeatherTold {
    const fn reading(&self) -> WeatherReading {
        WeatherReading {
            temp: match self.temp_mc {
                Some(temp) => Some(Millicelsius(temp)),
                None => None,
            },
            humidity_permille: self.humidity_permille,
            wind_mmps: self.wind_mmps,
            gust_mmps: self.gust_mmps,
            rain: match self.rain_um {
                Some(rain) => Some(Micrometres(rain)),
                None => None,
            },
            solar_w_m2: self.solar_w_m2,
            frost: self.frost,
        }
    }
}

/// The reading to be kept, or which field is wrong and its mend.
fn checked(
    read_at: Instant,
    kind: WeatherKind,
    reading: WeatherReading,
    now: Instant,
) -> Result<NewWeather, (&'static str, String)> {
    let reading = reading
        .checked()
        .map_err(|wrong| (wrong.field(), wrong.to_string()))?;
    let latest = match kind {
        WeatherKind::Observed => now.utc() + TimeDelta::minutes(5),
        WeatherKind::Forecast => now.utc() + FORETOLD,
    };
    if read_at.utc() > latest {
        let mend = match kind {
            WeatherKind::Observed => {
                "what was read off lies in the past: mend the time, or send it as forecast"
            }
            WeatherKind::Forecast => "give a time at most 16 days ahead",
        };
        return Err(("read_at", mend.into()));
    }
    // Before the clocks of any site: a year typed wrongly.
    if read_at.utc().timestamp() < 0 {
        return Err(("read_at", "give a time after 1970".into()));
    }
    Ok(NewWeather {
        read_at,
        kind,
        reading,
    })
}

/// Keeps what was read off or is foretold.
pub fn weather_tell(
    office: &Office,
    permit: &Permit<TellWeather>,
    client_key: String,
    told: &WeatherToldList,
) -> Result<WeatherKept> {
    let once = Once::new(client_key, "tell weather".into(), told)?;
    if told.readings.is_empty() || told.readings.len() > MOST {
        return Err(Error::refused("/readings", "give 1 to 500 readings"));
    }
    let now = office.now();
    let mut faults = Vec::new();
    let mut new = Vec::new();
    for (nth, told) in told.readings.iter().enumerate() {
        match checked(told.read_at, told.kind, told.reading(), now) {
            Ok(one) => new.push(one),
            Err((field, mend)) => {
                let at = format!("/readings/{nth}/{field}");
                faults.push(FieldFault::new(at.trim_end_matches('/'), mend));
            }
        }
    }
    if !faults.is_empty() {
        return Err(Error::Refused(faults));
    }
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            keep(tx, permit, &new)?;
            Ok(WeatherKept { kept: new.len() })
        })
    })
}

fn keep(tx: &mut Tx<'_>, scope: &Scope, new: &[NewWeather]) -> Result<()> {
    let id = weather::weather_put(tx, scope, new)?;
    Ok(audit_append(
        tx,
        scope,
        &Deed {
            verb: "told",
            subject: "weather",
            id,
            data: json!({ "readings": new.len() }),
        },
    )?)
}

/// The weather of the site, in the order in which it was told.
pub fn weather_list(
    office: &Office,
    permit: &Permit<SeeSite>,
    page: Page,
) -> Result<Paged<WeatherRow>> {
    Ok(office
        .db
        .read(|conn| weather::weather_list(conn, permit, page))?)
}

/// The rule of a site, from its settings.
pub fn heat_rule(settings: &Settings) -> Result<HeatRule, HeatRuleError> {
    let degrees = |of| MilliFahrenheit(settings.number(of) * 1_000);
    HeatRule {
        initial: degrees(HEAT_INITIAL_F),
        high: degrees(HEAT_HIGH_F),
        sun: degrees(HEAT_SUN_F),
        rest: Seconds(settings.number(HEAT_REST_S)),
        every: Seconds(settings.number(HEAT_EVERY_S)),
        by: settings
            .choice(HEAT_REST_BY)
            .parse()
            .unwrap_or(RestBy::HighTrigger),
    }
    .checked()
}

/// The weather at one instant, with how hot it feels.
#[derive(Clone, Debug)]
pub struct Felt {
    /// What was read off or is foretold.
    pub row: WeatherRow,
    /// The heat index in the shade, where temperature and humidity are known.
    pub index: Option<MilliFahrenheit>,
    /// How the US National Weather Service's chart calls the index with the site's sun.
    pub band: Option<Band>,
}

/// The weather from `from` until before `to` in order of time, read off and foretold, each with how hot it feels.
pub fn weather_felt(
    office: &Office,
    permit: &Permit<SeeSite>,
    from: Instant,
    to: Instant,
) -> Result<Vec<Felt>> {
    let (settings, rows) = office.db.read(|conn| -> crate::store::Result<_> {
        let settings = Settings::read(conn, permit)?;
        Ok((settings, weather::weather_between(conn, permit, from, to)?))
    })?;
    let rule = heat_rule(&settings).unwrap_or_default();
    let felt = rows.into_iter().map(|row| {
        let index = row.reading().heat_index();
        let band = index.map(|index| Bands::default().of(rule.felt(index)));
        Felt { row, index, band }
    });
    Ok(felt.collect())
}

/// How hot it is now, as far as a reading of the last two hours tells.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct HeatView {
    /// When temperature and humidity were read off; null where nobody did in the last two hours.
    pub read_at: Option<Instant>,
    /// The heat index in the shade, thousandths of a degree Fahrenheit (US National Weather Service). Full sun can add up to 15 °F.
    pub index_mf: Option<i64>,
    /// What this site adds for its sun, thousandths of a degree Fahrenheit.
    pub sun_mf: i64,
    /// How the Service's chart calls the index with the site's sun: `none`, `caution`, `extreme_caution`, `danger`, `extreme_danger`.
    pub band: Option<&'static str>,
    /// Whether heavy work may be done: rolling, top dressing, patching.
    pub heavy_work: Option<bool>,
    /// Index from which people rest, thousandths of a degree Fahrenheit.
    pub high_mf: i64,
}

/// How hot it is now, and what the site's rule says of it.
pub fn heat_now(office: &Office, permit: &Permit<SeeSite>) -> Result<HeatView> {
    let now = office.now();
    let from = Instant::from(now.utc() - NOW_HOLDS);
    let (settings, newest) = office.db.read(|conn| -> crate::store::Result<_> {
        let settings = Settings::read(conn, permit)?;
        Ok((settings, weather::weather_newest(conn, permit, from, now)?))
    })?;
    let rule = heat_rule(&settings).unwrap_or_default();
    let index = newest.as_ref().and_then(|row| {
        Some(heat_index(
            Millicelsius(row.temp_mc?),
            row.humidity_permille?,
        ))
    });
    Ok(HeatView {
        read_at: newest.map(|row| row.read_at),
        index_mf: index.map(|index| index.0),
        sun_mf: rule.sun.0,
        band: index.map(|index| Bands::default().of(rule.felt(index)).as_str()),
        heavy_work: index.map(|index| heavy_allowed(&rule, index)),
        high_mf: rule.high.0,
    })
}
