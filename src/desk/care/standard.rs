//! A care standard as it is read and sent: its tasks, and whether they can stand together.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use trade::calendar::days_of;
use trade::care::{Caution, Rule, Season, Urgency};
use trade::grooming::{Strength, ToolAction};
use utoipa::openapi::schema::{AdditionalProperties, Object, ObjectBuilder, SchemaType, Type};

use crate::desk::FieldFault;
use crate::store::care::{DoneAt, NewTask, TaskDetail, TaskMaterial, TaskText};
use crate::store::courts::{Lines, Watering};

/// The most tasks a standard has.
pub const MOST_TASKS: usize = 200;
/// The longest work, wait or rest, s: three days of work, a month of rest.
const LONGEST_WORK_S: i64 = 259_200;
const LONGEST_REST_S: i64 = 2_678_400;
/// The words for what ground a task needs.
const GROUNDS: [&str; 5] = ["any", "firm", "damp", "not_wet", "drained"];

/// The languages in which the program's own texts of work come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum Language {
    /// English.
    #[default]
    En,
    /// Spanish.
    Es,
}

impl Language {
    /// Its tag, as texts are kept by.
    pub const fn tag(self) -> &'static str {
        match self {
            Self::En => "en",
            Self::Es => "es",
        }
    }
}

/// One task of a care standard.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a fact of its own, and stands so in the data"
)]
pub struct StandardTask {
    /// The trade's word, or one of the site's own: small letters, digits and `_`.
    pub code: String,
    /// Where it is done.
    pub done_at: DoneAt,
    /// When it falls due.
    #[schema(schema_with = a_rule)]
    pub rule: Rule,
    /// How pressing it is once it is due.
    #[schema(value_type = String, example = "this_week")]
    pub urgency: Urgency,
    /// Somebody may be hurt where it is left out.
    #[serde(default)]
    pub safety: bool,
    /// What ground it needs: `any`, `firm`, `damp`, `not_wet`, `drained`.
    pub ground: String,
    /// One person's work at it, s: on one court, or on a whole bank.
    pub base_s: i64,
    /// The fewest people who may do it.
    #[serde(default = "one")]
    pub min_hands: i64,
    /// The skill it takes.
    #[serde(default)]
    pub skill: Option<String>,
    /// What its tool does, or the code of a tool class.
    #[serde(default)]
    pub tool_action: Option<String>,
    /// How strongly its tool works.
    #[serde(default)]
    #[schema(value_type = Option<String>)]
    pub strength: Option<Strength>,
    /// The usual caution's key.
    #[serde(default)]
    #[schema(value_type = Option<String>)]
    pub caution: Option<Caution>,
    /// Where this is known from.
    pub source: String,
    /// The part of the year in which it is done; the whole year where none is given.
    #[serde(default)]
    #[schema(value_type = Option<Object>, example = json!({ "from": "10-01", "until": "12-15" }))]
    pub season: Option<Season>,
    /// Courts of which kinds of watering it is for; empty: of all.
    #[serde(default)]
    pub watering: Vec<Watering>,
    /// Courts of which kinds of lines it is for; empty: of all.
    #[serde(default)]
    pub lines: Vec<Lines>,
    /// Waits inside the work, s.
    #[serde(default)]
    pub wait_s: i64,
    /// How long the court is shut after it, s.
    #[serde(default)]
    pub rest_s: i64,
    /// The most wind in which it is done, mm/s.
    #[serde(default)]
    pub max_wind_mmps: Option<i64>,
    /// Hard work: in heat it moves to the cool hours.
    #[serde(default)]
    pub heavy: bool,
    /// A product with a label: what was put on is recorded.
    #[serde(default)]
    pub chemical: bool,
    /// It comes before grooming where both are done in one visit.
    #[serde(default)]
    pub before_grooming: bool,
    /// Codes of the tasks that come before it where they are due the same day.
    #[serde(default)]
    pub comes_after: Vec<String>,
    /// Codes of the tasks that it does as well: where both are due at a place, it alone is asked for.
    #[serde(default)]
    pub stands_for: Vec<String>,
    /// Materials with how much a court takes.
    #[serde(default)]
    pub materials: Vec<TaskMaterial>,
    /// By language, `en` among them: name, steps and cautions.
    pub texts: BTreeMap<String, TaskText>,
}

const fn one() -> i64 {
    1
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StandardFile {
    tasks: Vec<StandardTask>,
}

/// The standard that comes with the program: daily, weekly, monthly, spring and autumn work, in English and Spanish.
pub fn shipped() -> Result<Vec<StandardTask>, toml::de::Error> {
    let mut all = Vec::new();
    for text in [
        include_str!("daily_and_weekly.toml"),
        include_str!("by_season.toml"),
    ] {
        let file: StandardFile = toml::from_str(text)?;
        all.extend(file.tasks);
    }
    Ok(all)
}

impl StandardTask {
    /// The row it becomes, at this place in lists. `language` is the one of the name that the site's orders carry.
    pub fn row(
        &self,
        site_id: i64,
        position: i64,
        language: Language,
    ) -> serde_json::Result<NewTask> {
        let detail = TaskDetail {
            season: self.season,
            watering: self.watering.clone(),
            lines: self.lines.clone(),
            strength: self.strength,
            wait_s: self.wait_s,
            rest_s: self.rest_s,
            max_wind_mmps: self.max_wind_mmps,
            heavy: self.heavy,
            chemical: self.chemical,
            before_grooming: self.before_grooming,
            comes_after: self.comes_after.clone(),
            stands_for: self.stands_for.clone(),
            materials: self.materials.clone(),
            texts: self.texts.clone(),
        };
        let named = self.texts.get(language.tag());
        let name = named.or_else(|| self.texts.get("en"));
        Ok(NewTask {
            site_id,
            code: self.code.clone(),
            name: name.map_or_else(|| self.code.clone(), |text| text.name.clone()),
            position,
            done_at: self.done_at.as_str().to_owned(),
            cadence: rule_text(&self.rule)?,
            base_s: self.base_s,
            min_hands: self.min_hands,
            skill: self.skill.clone(),
            tool_action: self.tool_action.clone(),
            ground: self.ground.clone(),
            caution: self.caution.map(|caution| caution.as_str().to_owned()),
            skip_cents: 0,
            source: self.source.clone(),
            urgency: self.urgency.as_str().to_owned(),
            safety: self.safety,
            detail: serde_json::to_string(&detail)?,
        })
    }

    /// What is wrong with it by itself, each fault with its pointer inside the task. `classes` are the codes of the
    /// site's tool classes.
    pub fn faults(&self, classes: &[String]) -> Vec<FieldFault> {
        let mut faults = Vec::new();
        let mut fault = |field: &str, detail: &str| faults.push(FieldFault::new(field, detail));
        let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_';
        if self.code.is_empty() || self.code.len() > 60 || !self.code.bytes().all(plain) {
            fault("/code", "1 to 60 small letters, digits and `_`");
        }
        if !GROUNDS.contains(&self.ground.as_str()) {
            fault("/ground", "one of any, firm, damp, not_wet, drained");
        }
        if !(1..=LONGEST_WORK_S).contains(&self.base_s) {
            fault("/base_s", "1 to 259200 seconds of one person's work");
        }
        if !(1..=20).contains(&self.min_hands) {
            fault("/min_hands", "1 to 20 people");
        }
        if !(0..=LONGEST_WORK_S).contains(&self.wait_s) {
            fault("/wait_s", "0 to 259200 seconds");
        }
        if !(0..=LONGEST_REST_S).contains(&self.rest_s) {
            fault("/rest_s", "0 to 2678400 seconds, a month");
        }
        if self.rest_s > 0 && self.done_at != DoneAt::Court {
            fault(
                "/rest_s",
                "only work on a court by itself makes the court rest",
            );
        }
        if self
            .max_wind_mmps
            .is_some_and(|wind| !(1..=60_000).contains(&wind))
        {
            fault("/max_wind_mmps", "1 to 60000 mm/s");
        }
        if let Rule::WhenCondition(conditions) = &self.rule
            && conditions.is_empty()
        {
            fault("/rule/when_condition", "name at least one condition");
        }
        if let Some(wanted) = &self.tool_action
            && wanted.parse::<ToolAction>().is_err()
            && !classes.contains(wanted)
        {
            let known: Vec<_> = ToolAction::ALL
                .iter()
                .map(|action| action.as_str())
                .collect();
            let known = known.join(", ");
            fault(
                "/tool_action",
                &format!("`{wanted}` is neither a tool class of the site nor one of {known}"),
            );
        }
        if let Rule::Recurs { rrule, from } = &self.rule
            && let Err(wrong) = days_of(rrule, *from, *from, *from)
        {
            fault("/rule/recurs/rrule", &wrong.to_string());
        }
        if !self.texts.contains_key("en") {
            fault("/texts", "give at least the text in `en`");
        }
        for (language, text) in &self.texts {
            let long = |text: &String| text.is_empty() || text.chars().count() > 500;
            if long(&text.name) || text.steps.iter().chain(&text.cautions).any(long) {
                fault(
                    &format!("/texts/{language}"),
                    "a name, a step and a caution have 1 to 500 characters each",
                );
            }
        }
        faults
    }
}

/// A rule in the OpenAPI document: a word, or an object with one member.
pub fn a_rule() -> Object {
    rule_of([Type::String, Type::Object])
}

/// The same where there may be none.
pub fn maybe_a_rule() -> Object {
    rule_of([Type::String, Type::Object, Type::Null])
}

fn rule_of(kinds: impl IntoIterator<Item = Type>) -> Object {
    ObjectBuilder::new()
        .schema_type(SchemaType::from_iter(kinds))
        .description(Some(
            "when it falls due: a word such as `daily`, or `every_days`, `after_play_hours`, `after_rain_mm`, `day_after_rain_mm`, `when_condition` or `recurs`",
        ))
        .examples([serde_json::json!({ "every_days": 14 })])
        .additional_properties(Some(AdditionalProperties::FreeForm(true)))
        .build()
}

/// A rule as the column keeps it: a word of the trade where there is one, else JSON.
pub fn rule_text(rule: &Rule) -> serde_json::Result<String> {
    match rule {
        Rule::EveryDays(days) => Ok(format!("every_{days}_days")),
        Rule::WhenCondition(_)
        | Rule::AfterPlayHours(_)
        | Rule::AfterRainMm(_)
        | Rule::DayAfterRainMm(_)
        | Rule::Recurs { .. } => serde_json::to_string(rule),
        plain => Ok(serde_json::to_string(plain)?.trim_matches('"').to_owned()),
    }
}

/// The codes that stand in a circle of `comes_after`: none of them could ever be the first.
pub fn circle(tasks: &[StandardTask]) -> BTreeSet<String> {
    let mut left: BTreeMap<&str, BTreeSet<&str>> = tasks
        .iter()
        .map(|task| {
            let known = |code: &&str| tasks.iter().any(|other| other.code == **code);
            let after = task.comes_after.iter().map(String::as_str).filter(known);
            (task.code.as_str(), after.collect())
        })
        .collect();
    // What has nothing before it goes first; then, from the other end, what nothing waits for.
    peel(&mut left);
    let mut turned: BTreeMap<&str, BTreeSet<&str>> =
        left.keys().map(|code| (*code, BTreeSet::new())).collect();
    for (code, after) in &left {
        for before in after {
            turned.entry(before).or_default().insert(code);
        }
    }
    peel(&mut turned);
    turned.into_keys().map(str::to_owned).collect()
}

/// Takes away, again and again, whatever waits for nothing that is still there.
fn peel(left: &mut BTreeMap<&str, BTreeSet<&str>>) {
    loop {
        let here: BTreeSet<&str> = left.keys().copied().collect();
        let before = left.len();
        left.retain(|_, after| after.iter().any(|code| here.contains(code)));
        if left.len() == before {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn task(code: &str, after: &[&str]) -> StandardTask {
        let mut one = shipped().unwrap().swap_remove(0);
        one.code = code.into();
        one.comes_after = after.iter().map(|&code| code.to_owned()).collect();
        one
    }

    #[test]
    fn the_shipped_standard_stands_by_itself_in_both_languages() {
        let all = shipped().unwrap();
        assert!(all.len() >= 40, "{}", all.len());
        let codes: BTreeSet<&str> = all.iter().map(|task| task.code.as_str()).collect();
        assert_eq!(codes.len(), all.len(), "each code once");
        assert!(circle(&all).is_empty());
        for task in &all {
            assert_eq!(task.faults(&[]), [], "{}", task.code);
            assert!(!task.source.is_empty(), "{}", task.code);
            let (en, es) = (&task.texts["en"], &task.texts["es"]);
            assert_eq!(en.steps.len(), es.steps.len(), "{}", task.code);
            assert_eq!(en.cautions.len(), es.cautions.len(), "{}", task.code);
            for other in task.comes_after.iter().chain(&task.stands_for) {
                assert!(codes.contains(other.as_str()), "{}: {other}", task.code);
            }
            let row = task.row(1, 1, Language::En).unwrap();
            assert!(!row.cadence.is_empty());
        }
    }

    // 48 h without play after the last rolling: a public club's maintenance page.
    #[test]
    fn top_dressing_makes_the_court_rest_for_two_days() {
        let all = shipped().unwrap();
        let dressing = all.iter().find(|task| task.code == "top_dressing").unwrap();
        assert_eq!(dressing.rest_s, 48 * 3_600);
    }

    #[test]
    fn every_chemical_takes_two_people_a_skill_and_a_limit_of_wind_and_warns() {
        let all = shipped().unwrap();
        let mut chemicals = all.iter().filter(|task| task.chemical).peekable();
        assert!(chemicals.peek().is_some());
        for task in chemicals {
            assert!(task.min_hands >= 2 && task.skill.is_some() && task.max_wind_mmps.is_some());
            assert_eq!(task.caution, Some(Caution::Chemicals));
            assert!(task.texts.values().all(|text| !text.cautions.is_empty()));
        }
    }

    #[test]
    fn only_the_tasks_on_a_circle_are_named() {
        let tasks = [
            task("a", &["c"]),
            task("b", &["a"]),
            task("c", &["b"]),
            task("before", &[]),
            task("leads_in", &["before"]),
            task("behind", &["a"]),
        ];
        let named: Vec<String> = circle(&tasks).into_iter().collect();
        assert_eq!(named, ["a", "b", "c"]);
        assert!(circle(&tasks[1..]).is_empty());
    }

    #[test]
    fn a_tool_that_does_not_exist_is_refused_with_its_field() {
        let mut one = task("mine", &[]);
        one.tool_action = Some("polishes".into());
        assert_eq!(one.faults(&[])[0].field, "/tool_action");
        assert_eq!(one.faults(&["polishes".into()]), []);
    }
}
