//! Every setting a site has: its key, what it may be, and what is usual. Common practice, no source,
//! unless a line names one.

use std::ops::RangeInclusive;

use chrono::NaiveTime;
use serde_json::{Value, json};

/// A whole number of something.
#[derive(Clone, Copy, Debug)]
pub struct Number {
    /// Its key.
    pub key: &'static str,
    /// What holds where the site sets nothing.
    pub usual: i64,
    /// The least it may be.
    pub least: i64,
    /// The most.
    pub most: i64,
    /// Of what.
    pub unit: &'static str,
}

/// A local time of the day.
#[derive(Clone, Copy, Debug)]
pub struct Time {
    /// Its key.
    pub key: &'static str,
    hour: u32,
    minute: u32,
}

/// One word of several.
#[derive(Clone, Copy, Debug)]
pub struct Choice {
    /// Its key.
    pub key: &'static str,
    /// What holds where the site sets nothing.
    pub usual: &'static str,
    /// The words.
    pub of: &'static [&'static str],
}

/// Yes or no.
#[derive(Clone, Copy, Debug)]
pub struct Flag {
    /// Its key.
    pub key: &'static str,
    /// What holds where the site sets nothing.
    pub usual: bool,
}

/// A day of any year.
#[derive(Clone, Copy, Debug)]
pub struct YearDay {
    /// Its key.
    pub key: &'static str,
    /// What holds where the site sets nothing, as 04-15.
    pub usual: &'static str,
}

/// A text of the site's own.
#[derive(Clone, Copy, Debug)]
pub struct Text {
    /// Its key.
    pub key: &'static str,
    /// How many characters it may have.
    pub most: usize,
}

/// A setting of any kind.
#[derive(Clone, Copy, Debug)]
pub enum Known {
    /// A number.
    Number(Number),
    /// A local time.
    Time(Time),
    /// A choice.
    Choice(Choice),
    /// Yes or no.
    Flag(Flag),
    /// A day of any year, or none.
    YearDay(YearDay),
    /// A text.
    Text(Text),
}

const fn number(
    key: &'static str,
    usual: i64,
    bounds: RangeInclusive<i64>,
    unit: &'static str,
) -> Number {
    Number {
        key,
        usual,
        least: *bounds.start(),
        most: *bounds.end(),
        unit,
    }
}

const fn time(key: &'static str, hour: u32, minute: u32) -> Time {
    Time { key, hour, minute }
}

const fn flag(key: &'static str, usual: bool) -> Flag {
    Flag { key, usual }
}

const fn year_day(key: &'static str, usual: &'static str) -> YearDay {
    YearDay { key, usual }
}

impl Number {
    /// What it may be.
    pub fn bounds(&self) -> RangeInclusive<i64> {
        self.least..=self.most
    }
}

impl Time {
    /// What holds where the site sets nothing.
    pub fn usual(&self) -> NaiveTime {
        NaiveTime::from_hms_opt(self.hour, self.minute, 0).unwrap_or_default()
    }
}

impl Known {
    /// Its key.
    pub const fn key(&self) -> &'static str {
        match self {
            Self::Number(of) => of.key,
            Self::Time(of) => of.key,
            Self::Choice(of) => of.key,
            Self::Flag(of) => of.key,
            Self::YearDay(of) => of.key,
            Self::Text(of) => of.key,
        }
    }

    /// The word for its kind.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Number(_) => "number",
            Self::Time(_) => "local_time",
            Self::Choice(_) => "choice",
            Self::Flag(_) => "yes_no",
            Self::YearDay(_) => "day_of_year",
            Self::Text(_) => "text",
        }
    }

    /// The number, where it is one.
    pub const fn number(&self) -> Option<Number> {
        match self {
            Self::Number(number) => Some(*number),
            _ => None,
        }
    }

    /// The most that a number may be, or the characters of a text.
    pub fn most(&self) -> Option<i64> {
        match self {
            Self::Number(number) => Some(number.most),
            Self::Text(text) => i64::try_from(text.most).ok(),
            _ => None,
        }
    }

    /// The words to choose from, where it is a choice.
    pub const fn choices(&self) -> Option<&'static [&'static str]> {
        match self {
            Self::Choice(choice) => Some(choice.of),
            _ => None,
        }
    }

    /// What holds where the site sets nothing.
    pub fn usual(&self) -> Value {
        match self {
            Self::Number(of) => json!(of.usual),
            Self::Time(of) => json!(of.usual().format("%H:%M").to_string()),
            Self::Choice(of) => json!(of.usual),
            Self::Flag(of) => json!(of.usual),
            Self::YearDay(of) => json!(of.usual),
            Self::Text(_) => json!(""),
        }
    }
}

macro_rules! known {
    ($($(#[$meta:meta])* $name:ident: $kind:ident = $value:expr;)+) => {
        $($(#[$meta])* pub const $name: $kind = $value;)+

        /// Every setting there is.
        pub const KNOWN: &[Known] = &[$(Known::$kind($name)),+];
    };
}

known! {
    /// Pay beyond the shift. Time and a half: 29 CFR 778.107.
    OVERTIME_PCT: Number = number("overtime_pct", 150, 100..=1_000, "percent");
    /// What the short turnaround is taken to cost against the full.
    SHORT_TURNAROUND_CENTS: Number = number("short_turnaround_cents", 1_500, 0..=1_000_000, "cents");
    /// What each step to a stronger tool than the softest that does the work is taken to cost.
    HARDER_TOOL_CENTS: Number = number("harder_tool_cents", 400, 0..=1_000_000, "cents");
    /// What a tool too soft to do all the work is taken to cost.
    SOFTER_TOOL_CENTS: Number = number("softer_tool_cents", 800, 0..=1_000_000, "cents");
    /// What leaving a court that should be levelled or loosened only smoothed is taken to cost.
    ONLY_SMOOTHED_CENTS: Number = number("only_smoothed_cents", 1_600, 0..=1_000_000, "cents");
    /// For how long a court keeps the direction it is groomed in. Lengthwise one time, crosswise the next: a public
    /// club's maintenance page.
    DIRECTION_PER: Choice = Choice { key: "direction_per", usual: "day", of: &["day", "grooming"] };
    /// How long a court drains between its soak by day and the next players.
    DRAIN_AFTER_SOAK_S: Number = number("drain_after_soak_s", 600, 0..=14_400, "seconds");
    /// What an hour after the aim is taken to cost.
    LATE_CENTS_PER_H: Number = number("late_cents_per_h", 12_000, 0..=10_000_000, "cents an hour");
    /// How long before the players a turnaround should be over.
    AIM_BEFORE_PLAY_S: Number = number("aim_before_play_s", 600, 0..=14_400, "seconds");
    /// How long a court drains after rain of which nobody knows more. Common practice, no source.
    DRAIN_AFTER_RAIN_S: Number = number("drain_after_rain_s", 7_200, 0..=86_400, "seconds");
    /// The wind above which sprinklers wait: it carries the water off the court. Common practice, no source.
    WIND_NO_SPRINKLER_MMPS: Number = number("wind_no_sprinkler_mmps", 6_700, 1_000..=30_000, "mm a second");
    /// How long what was seen of moisture, standing water and frost holds.
    SEEN_WATER_S: Number = number("seen_water_s", 43_200, 3_600..=604_800, "seconds");
    /// How long everything else that was seen of a court holds.
    SEEN_OTHER_S: Number = number("seen_other_s", 2_592_000, 86_400..=5_184_000, "seconds");
    /// Heat index from which an order carries the caution. A published proposal (89 FR 70698), guidance and not law.
    HEAT_INITIAL_F: Number = number("heat_initial_f", 80, 60..=120, "degrees Fahrenheit");
    /// Heat index from which people rest and no heavy work is done. The same proposal.
    HEAT_HIGH_F: Number = number("heat_high_f", 90, 60..=130, "degrees Fahrenheit");
    /// What full sun is taken to add to the index: up to 15 °F (US National Weather Service).
    HEAT_SUN_F: Number = number("heat_sun_f", 0, 0..=15, "degrees Fahrenheit");
    /// How long a rest in heat is, at the least. The same proposal.
    HEAT_REST_S: Number = number("heat_rest_s", 900, 900..=3_600, "seconds");
    /// The longest work between two rests in heat. The same proposal.
    HEAT_EVERY_S: Number = number("heat_every_s", 7_200, 1_800..=7_200, "seconds");
    /// By what a crew rests in heat.
    HEAT_REST_BY: Choice = Choice { key: "heat_rest_by", usual: "high_trigger", of: &["high_trigger", "table"] };
    /// After how many days on no shift somebody begins in heat as one who was away. A week: advice of the US National
    /// Institute for Occupational Safety and Health, from memory; not law.
    HEAT_BEGIN_DAYS_AWAY: Number = number("heat_begin_days_away", 7, 2..=30, "days");
    /// Where the site lies, millionths of a degree north.
    LATITUDE_UDEG: Number = number("latitude_udeg", 0, -90_000_000..=90_000_000, "millionths of a degree");
    /// How high it lies above the sea.
    ALTITUDE_MM: Number = number("altitude_mm", 0, -500_000..=6_000_000, "mm");
    /// The local time around which a sprinkler-watered court gets its soak.
    SOAK_AROUND: Time = time("soak_around", 12, 30);
    /// The local time before which no night cycle runs.
    NIGHT_WATER_FROM: Time = time("night_water_from", 20, 0);
    /// The least pause between two night cycles of a court.
    NIGHT_PAUSE_S: Number = number("night_pause_s", 3_600, 0..=21_600, "seconds");
    /// How long a court dries between the last night cycle and the first players.
    DRY_BEFORE_PLAY_S: Number = number("dry_before_play_s", 3_600, 0..=43_200, "seconds");
    /// How much earlier a valve may be opened by hand than its water is to run, and how much later closed.
    VALVE_SLACK_S: Number = number("valve_slack_s", 600, 180..=3_600, "seconds");
    /// How often a calendar with an address is asked for what is new.
    CALENDAR_EVERY_S: Number = number("calendar_every_s", 300, 120..=86_400, "seconds");
    /// By which local time the night's water ends where nobody plays the next day.
    NIGHT_WATER_UNTIL: Time = time("night_water_until", 6, 0);
    /// The least of its ordinary run that a court is watered.
    WATER_LOW_PERMILLE: Number = number("water_low_permille", 500, 0..=1_000, "thousandths");
    /// The most of its ordinary run that a court is watered.
    WATER_HIGH_PERMILLE: Number = number("water_high_permille", 1_500, 1_000..=3_000, "thousandths");
    /// What one morning on which a court is found dry adds to its run, or a wet one takes.
    MORNING_STEP_PERMILLE: Number = number("morning_step_permille", 100, 0..=500, "thousandths");
    /// How long after the last thunder nobody goes back out. US Weather Service: 30 minutes, advice and not law.
    LIGHTNING_WAIT_S: Number = number("lightning_wait_s", 1_800, 600..=14_400, "seconds");
    /// The first day of the season in which leaves fall. Northern; common practice, no source.
    LEAF_SEASON_FROM: YearDay = year_day("leaf_season_from", "10-01");
    /// Its last day.
    LEAF_SEASON_UNTIL: YearDay = year_day("leaf_season_until", "11-30");
    /// Whether the office proposes each day by itself.
    PROPOSE_BY_ITSELF: Flag = flag("propose_by_itself", true);
    /// How often somebody who works alone gives a sign; 0 asks for none. Common practice, no source.
    ALONE_CHECK_IN_MIN: Number = number("alone_check_in_minutes", 30, 0..=240, "minutes");
    /// What it costs where a brush gives out in the round: courts that wait, the way to the shed. Common practice, no source.
    WORN_IN_ROUND_CENTS: Number = number("worn_in_round_cents", 6_000, 0..=1_000_000, "cents");
    /// By how much the ends of a brush may differ before it is turned: a quarter inch. Common practice, no source.
    TURN_AT_UM: Number = number("turn_at_um", 6_350, 500..=50_000, "thousandths of a millimetre");
    /// A part that cost less is booked whole on the day it is fitted. Common practice, no source.
    EXPENSE_BELOW_CENTS: Number = number("expense_below_cents", 2_500, 0..=1_000_000, "cents");
    /// In how many of 1,000 times there is to be a spare when one is needed. Common practice, no source.
    SPARES_PERMILLE: Number = number("spares_permille", 950, 500..=999, "per mille");
    /// How the limits of equal tools are to fall: some days apart, or together.
    LIMITS_FALL: Choice = Choice { key: "limits_fall", usual: "apart", of: &["apart", "together"] };
    /// How far apart, at the least. Common practice, no source.
    LIMITS_APART_DAYS: Number = number("limits_apart_days", 14, 0..=180, "days");
    /// After how many days a net is gauged again at the latest, whatever the care standard says. Common practice, no source.
    NET_GAUGE_DAYS: Number = number("net_gauge_days", 7, 1..=60, "days");
    /// After how many days a net's parts are looked at again at the latest: a month. Common practice, no source.
    NET_LOOK_DAYS: Number = number("net_look_days", 31, 1..=366, "days");
    /// Where the first-aid kit of a court is that does not say so itself.
    FIRST_AID: Text = Text { key: "first_aid", most: 300 };
    /// How an ambulance is led to a court that does not say so itself.
    AMBULANCE_WAY: Text = Text { key: "ambulance_way", most: 300 };
    /// The local time at which it proposes the next day.
    PROPOSE_AT: Time = time("propose_at", 17, 0);
}
