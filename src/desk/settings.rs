//! What a site sets of how its office works: read whole, changed key by key, each value held
//! against what is [`known`] of it.

pub mod known;

use std::collections::{BTreeMap, HashMap};

use chrono::NaiveTime;
use serde::Serialize;
use serde_json::Value;
use trade::care::MonthDay;
use utoipa::ToSchema;
use utoipa::openapi::schema::{Object, ObjectBuilder, SchemaType, Type};

use self::known::{Choice, Flag, KNOWN, Known, Number, Text, Time, YearDay};
use super::access::{EditSite, Permit, SeeSite};
use super::error::FieldFault;
use super::{Error, Office, Result};
use crate::store::audit::{Change, Deed, audit_edit};
use crate::store::settings::{setting_put, settings_all};
use crate::store::{self, Conn, Scope};
use crate::words::say;

/// A site's own settings over the usual.
#[derive(Clone, Debug, Default)]
pub struct Settings(HashMap<String, Value>);

impl Settings {
    /// Reads a site's. One query.
    pub fn read(conn: &mut Conn, scope: &Scope) -> store::Result<Self> {
        Ok(Self(settings_all(conn, scope)?.0))
    }

    /// These values by key: for what is not read from a site.
    pub fn of(values: HashMap<String, Value>) -> Self {
        Self(values)
    }

    /// A number: the site's, where it has one within the bounds, else the usual.
    pub fn number(&self, of: Number) -> i64 {
        let set = self.0.get(of.key).and_then(Value::as_i64);
        set.filter(|number| of.bounds().contains(number))
            .unwrap_or(of.usual)
    }

    /// A local time.
    pub fn time(&self, of: Time) -> NaiveTime {
        let set = self.0.get(of.key).and_then(Value::as_str);
        set.and_then(time).unwrap_or_else(|| of.usual())
    }

    /// One word of several.
    pub fn choice(&self, of: Choice) -> &'static str {
        let set = self.0.get(of.key).and_then(Value::as_str);
        let among = set.and_then(|set| of.of.iter().find(|word| **word == set));
        among.copied().unwrap_or(of.usual)
    }

    /// A day of the year; none where the site wants none.
    pub fn year_day(&self, of: YearDay) -> Option<MonthDay> {
        let set = self.0.get(of.key).and_then(Value::as_str);
        let set = set.filter(|text| is_year_day(text));
        set.unwrap_or(of.usual).parse().ok()
    }

    /// A text; none where the site says nothing.
    pub fn text(&self, of: Text) -> Option<&str> {
        let set = self.0.get(of.key).and_then(Value::as_str).map(str::trim);
        set.filter(|text| !text.is_empty())
    }

    /// Yes or no.
    pub fn flag(&self, of: Flag) -> bool {
        let set = self.0.get(of.key).and_then(Value::as_bool);
        set.unwrap_or(of.usual)
    }
}

fn time(text: &str) -> Option<NaiveTime> {
    NaiveTime::parse_from_str(text, "%H:%M").ok()
}

/// Whether a text is a day of the year, or empty for none.
fn is_year_day(text: &str) -> bool {
    text.is_empty() || text.parse::<MonthDay>().is_ok()
}

/// A site's settings.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SettingsView {
    /// Every setting there is, in order of key.
    pub settings: Vec<SettingView>,
    /// Version of them all, for `If-Match`.
    pub version: i64,
}

/// One setting.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SettingView {
    /// Its key.
    pub key: &'static str,
    /// What it is, in plain words.
    pub about: String,
    /// `number`, `local_time` (HH:MM), `choice`, `yes_no`, `day_of_year` (MM-DD, or an empty text for none) or `text`.
    pub kind: &'static str,
    /// The unit of a number.
    pub unit: Option<&'static str>,
    /// The least a number may be.
    pub least: Option<i64>,
    /// The most; of a text, how many characters it may have.
    pub most: Option<i64>,
    /// The words to choose from.
    pub choices: Option<&'static [&'static str]>,
    /// What holds where the site sets nothing.
    #[schema(schema_with = any_kind)]
    pub usual: Value,
    /// What the site set; null where the usual holds.
    #[schema(schema_with = any_kind)]
    pub value: Value,
}

/// A value of any kind that a setting has, in the OpenAPI document.
fn any_kind() -> Object {
    let kinds = [Type::Integer, Type::String, Type::Boolean, Type::Null];
    ObjectBuilder::new()
        .schema_type(SchemaType::from_iter(kinds))
        .build()
}

/// A site's settings, each with what it may be.
pub fn settings_read(office: &Office, permit: &Permit<SeeSite>) -> Result<SettingsView> {
    Ok(office.db.read(|conn| view(conn, permit))?)
}

fn view(conn: &mut Conn, scope: &Scope) -> store::Result<SettingsView> {
    let (values, version) = settings_all(conn, scope)?;
    let mut settings: Vec<SettingView> = KNOWN
        .iter()
        .map(|known| SettingView {
            key: known.key(),
            about: say(&format!("setting-{}", known.key())),
            kind: known.kind(),
            unit: known.number().map(|number| number.unit),
            least: known.number().map(|number| number.least),
            most: known.most(),
            choices: known.choices(),
            usual: known.usual(),
            value: values.get(known.key()).cloned().unwrap_or(Value::Null),
        })
        .collect();
    settings.sort_by_key(|setting| setting.key);
    Ok(SettingsView { settings, version })
}

/// Changes some of a site's settings that still have `version`: all that are given or, where one is
/// refused, none. Null goes back to the usual.
pub fn settings_edit(
    office: &Office,
    permit: &Permit<EditSite>,
    version: i64,
    changes: &BTreeMap<String, Value>,
) -> Result<SettingsView> {
    let faults: Vec<FieldFault> = changes
        .iter()
        .filter_map(|(key, value)| fault(key, value))
        .collect();
    if !faults.is_empty() {
        return Err(Error::Refused(faults));
    }
    office.db.write(permit, |tx| {
        let (stood, is_version) = settings_all(tx.conn(), permit)?;
        if is_version != version {
            return Err(Error::Stale);
        }
        let before: BTreeMap<&String, Option<&Value>> =
            changes.keys().map(|key| (key, stood.get(key))).collect();
        for (key, value) in changes {
            setting_put(tx, permit, key, value)?;
        }
        let deed = Deed::plain("set", "settings", permit.site_id());
        audit_edit(tx, permit, deed, Change::between(&before, changes)?, &[])?;
        Ok(view(tx.conn(), permit)?)
    })
}

/// What is wrong with a value, with its mend.
fn fault(key: &str, value: &Value) -> Option<FieldFault> {
    let field = format!("/{}", key.replace('~', "~0").replace('/', "~1"));
    let Some(known) = KNOWN.iter().find(|known| known.key() == key) else {
        let mend = "there is no such setting: GET lists them all";
        return Some(FieldFault::new(field, mend));
    };
    let mend = known.mend();
    (!value.is_null() && !known.takes(value)).then(|| FieldFault::new(field, mend))
}

impl Known {
    /// Whether the setting may be this.
    fn takes(&self, value: &Value) -> bool {
        match self {
            Self::Number(number) => value
                .as_i64()
                .is_some_and(|value| number.bounds().contains(&value)),
            Self::Time(_) => value.as_str().is_some_and(|text| time(text).is_some()),
            Self::Choice(choice) => value.as_str().is_some_and(|word| choice.of.contains(&word)),
            Self::Flag(_) => value.is_boolean(),
            Self::YearDay(_) => value.as_str().is_some_and(is_year_day),
            Self::Text(text) => value
                .as_str()
                .is_some_and(|told| told.chars().count() <= text.most),
        }
    }

    fn mend(&self) -> String {
        match self {
            Self::Number(n) => format!(
                "give a whole number of {} from {} to {}, or null for the usual {}",
                n.unit, n.least, n.most, n.usual
            ),
            Self::Time(_) => "give a local time as HH:MM, or null for the usual".into(),
            Self::Choice(choice) => {
                format!(
                    "give one of {}, or null for the usual",
                    choice.of.join(", ")
                )
            }
            Self::Flag(_) => "give true or false, or null for the usual".into(),
            Self::Text(text) => {
                format!(
                    "give a text of at most {} characters, or null for none",
                    text.most
                )
            }
            Self::YearDay(of) => format!(
                "give a day of the year as MM-DD, an empty text for none, or null for the usual {}",
                of.usual
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::known::{LATE_CENTS_PER_H, LEAF_SEASON_FROM, OVERTIME_PCT, SOAK_AROUND};
    use super::*;

    #[test]
    fn a_site_sets_what_it_wants_and_the_usual_holds_for_the_rest() {
        let settings = Settings::of(HashMap::from([
            ("overtime_pct".to_owned(), json!(200)),
            ("soak_around".to_owned(), json!("13:15")),
            ("late_cents_per_h".to_owned(), json!(-1)),
        ]));
        assert_eq!(settings.number(OVERTIME_PCT), 200);
        assert_eq!(settings.time(SOAK_AROUND).to_string(), "13:15:00");
        assert_eq!(settings.number(LATE_CENTS_PER_H), LATE_CENTS_PER_H.usual);
    }

    #[test]
    fn a_season_is_set_by_its_days_or_switched_off() {
        let with = |value: Value| {
            let settings = Settings::of(HashMap::from([("leaf_season_from".to_owned(), value)]));
            settings
                .year_day(LEAF_SEASON_FROM)
                .map(|day| day.to_string())
        };
        assert_eq!(with(json!("04-01")).as_deref(), Some("04-01"));
        assert_eq!(with(json!("")), None);
        assert_eq!(with(json!("13-01")).as_deref(), Some("10-01"));
    }

    #[test]
    fn every_setting_has_a_key_of_its_own_a_text_and_a_usual_value_that_it_takes() {
        let mut keys = std::collections::BTreeSet::new();
        for known in KNOWN {
            assert!(keys.insert(known.key()), "{} comes twice", known.key());
            assert!(known.takes(&known.usual()), "{}", known.key());
            let text = format!("setting-{}", known.key());
            assert!(crate::words::knows(&text), "{text}");
        }
    }
}
