//! The weather at a site, as it was read off or is foretold.

use diesel::prelude::*;
use diesel::upsert::excluded;
use serde::{Deserialize, Serialize};
use trade::units::{Micrometres, Millicelsius};
use trade::weather::WeatherReading;

use super::columns::words;
use super::db::{Conn, Tx};
use super::dialect::each_backend;
use super::schema::weather_readings;
use super::{Instant, Page, Paged, Result, Scope};

words! {
    /// Whether it was so or is expected to be.
    WeatherKind {
        /// Read off.
        Observed = "observed",
        /// Foretold.
        Forecast = "forecast",
    }
}

/// The weather at one instant. What was not read is null.
#[derive(Clone, Debug, Queryable, Selectable, Serialize, Deserialize, utoipa::ToSchema)]
#[diesel(table_name = weather_readings)]
#[schema(as = Weather)]
pub struct WeatherRow {
    /// Id.
    pub id: i64,
    /// When it was read off, or for when it is foretold.
    pub read_at: Instant,
    /// Read off or foretold.
    pub kind: WeatherKind,
    /// Air temperature in the shade, thousandths of a degree Celsius.
    pub temp_mc: Option<i64>,
    /// Relative humidity, thousandths.
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

impl WeatherRow {
    /// The reading itself.
    pub fn reading(&self) -> WeatherReading {
        WeatherReading {
            temp: self.temp_mc.map(Millicelsius),
            humidity_permille: self.humidity_permille,
            wind_mmps: self.wind_mmps,
            gust_mmps: self.gust_mmps,
            rain: self.rain_um.map(Micrometres),
            solar_w_m2: self.solar_w_m2,
            frost: self.frost,
        }
    }
}

/// A reading to be kept.
#[derive(Clone, Copy, Debug)]
pub struct NewWeather {
    /// When it was read off, or for when it is foretold.
    pub read_at: Instant,
    /// Read off or foretold.
    pub kind: WeatherKind,
    /// What it says.
    pub reading: WeatherReading,
}

/// Keeps readings; one of the same instant and kind takes the place of the one before. Gives the newest id.
pub fn weather_put(tx: &mut Tx<'_>, scope: &Scope, readings: &[NewWeather]) -> Result<i64> {
    let mut last = 0;
    for new in readings {
        let of = new.reading;
        let row = (
            weather_readings::site_id.eq(scope.site_id()),
            weather_readings::read_at.eq(new.read_at),
            weather_readings::kind.eq(new.kind),
            weather_readings::temp_mc.eq(of.temp.map(|t| t.0)),
            weather_readings::humidity_permille.eq(of.humidity_permille),
            weather_readings::wind_mmps.eq(of.wind_mmps),
            weather_readings::gust_mmps.eq(of.gust_mmps),
            weather_readings::rain_um.eq(of.rain.map(|r| r.0)),
            weather_readings::solar_w_m2.eq(of.solar_w_m2),
            weather_readings::frost.eq(of.frost),
        );
        last = each_backend!(tx.conn(), inner => diesel::insert_into(weather_readings::table)
            .values(row)
            .on_conflict((weather_readings::site_id, weather_readings::read_at, weather_readings::kind))
            .do_update()
            .set((
                weather_readings::temp_mc.eq(excluded(weather_readings::temp_mc)),
                weather_readings::humidity_permille.eq(excluded(weather_readings::humidity_permille)),
                weather_readings::wind_mmps.eq(excluded(weather_readings::wind_mmps)),
                weather_readings::gust_mmps.eq(excluded(weather_readings::gust_mmps)),
                weather_readings::rain_um.eq(excluded(weather_readings::rain_um)),
                weather_readings::solar_w_m2.eq(excluded(weather_readings::solar_w_m2)),
                weather_readings::frost.eq(excluded(weather_readings::frost)),
            ))
            .returning(weather_readings::id)
            .get_result::<i64>(inner))?;
    }
    Ok(last)
}

/// The weather of a site, in the order in which it was told.
pub fn weather_list(conn: &mut Conn, scope: &Scope, page: Page) -> Result<Paged<WeatherRow>> {
    let rows = weather_readings::table
        .filter(
            weather_readings::site_id
                .eq(scope.site_id())
                .and(weather_readings::id.gt(page.after)),
        )
        .order(weather_readings::id)
        .limit(page.fetch())
        .select(WeatherRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |row| row.id))
}

/// The weather from `from` until before `to`, read off and foretold, in order of time.
pub fn weather_between(
    conn: &mut Conn,
    scope: &Scope,
    from: Instant,
    to: Instant,
) -> Result<Vec<WeatherRow>> {
    Ok(weather_readings::table
        .filter(
            weather_readings::site_id
                .eq(scope.site_id())
                .and(weather_readings::read_at.ge(from))
                .and(weather_readings::read_at.lt(to)),
        )
        .order((weather_readings::read_at, weather_readings::kind.desc()))
        .select(WeatherRow::as_select())
        .load(conn)?)
}

/// The newest reading that tells temperature and humidity, read off from `from` until `now`.
pub fn weather_newest(
    conn: &mut Conn,
    scope: &Scope,
    from: Instant,
    now: Instant,
) -> Result<Option<WeatherRow>> {
    Ok(weather_readings::table
        .filter(
            weather_readings::site_id
                .eq(scope.site_id())
                .and(weather_readings::kind.eq(WeatherKind::Observed))
                .and(weather_readings::read_at.between(from, now))
                .and(weather_readings::temp_mc.is_not_null())
                .and(weather_readings::humidity_permille.is_not_null()),
        )
        .order(weather_readings::read_at.desc())
        .select(WeatherRow::as_select())
        .first(conn)
        .optional()?)
}
