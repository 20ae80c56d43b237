//! The tasks of the standard by how often they come, each with its rule in plain words and how pressing it is.

use maud::{Markup, html};
use trade::care::{MonthDay, Rule, Urgency};
use trade::grooming::ToolAction;
use trade::units::{Micrometres, Seconds};

use super::{View, address};
use crate::desk::care::CareTaskView;
use crate::http::pages::parts::deed::key;
use crate::http::pages::parts::key_part;
use crate::words::shown::{Shown, date_long};
use crate::words::{say, say_with};

/// The groups in their order, by the last part of their texts' keys.
const GROUPS: [&str; 7] = [
    "session", "daily", "weekly", "monthly", "season", "needed", "given-up",
];

/// In which group a task stands.
fn group(task: &CareTaskView) -> &'static str {
    if !task.in_use {
        return "given-up";
    }
    match &task.rule {
        Some(Rule::AfterEachSession) => "session",
        Some(Rule::Daily) => "daily",
        Some(Rule::EveryDays(days)) => match days.get() {
            1 => "daily",
            2..=21 => "weekly",
            22..=92 => "monthly",
            _ => "season",
        },
        Some(Rule::Monthly) => "monthly",
        Some(Rule::Yearly | Rule::Recurs { .. }) => "season",
        Some(
            Rule::AfterPlayHours(_)
            | Rule::AfterRainMm(_)
            | Rule::DayAfterRainMm(_)
            | Rule::WhenCondition(_)
            | Rule::AsFound,
        )
        | None => "needed",
    }
}

/// What a site sees that has no standard, with the button that takes the shipped one.
pub fn begin(view: &View) -> Markup {
    html! {
        section.stops aria-labelledby="begin" {
            h2 #begin { (say("care-none")) }
            @if view.may_edit {
                p { (say("care-begin-lead")) }
                form.hold method="post" action={ (address(view.site.id)) "/begin" } {
                    (key())
                    label for="language" { (say("care-begin-language")) }
                    select #language name="language" {
                        option value="en" { (say("care-language-en")) }
                        option value="es" { (say("care-language-es")) }
                    }
                    button.button.strong type="submit" { (say("care-begin")) }
                }
            }
        }
    }
}

/// All groups that hold a task.
pub fn groups(show: &Shown, view: &View) -> Markup {
    html! {
        @for name in GROUPS {
            @let here: Vec<_> = view.tasks.iter().filter(|task| group(task) == name).collect();
            @if !here.is_empty() {
                section.care-group aria-labelledby={ "group-" (name) } {
                    h2 id={ "group-" (name) } { (say(&format!("care-group-{name}"))) }
                    ul.care-tasks {
                        @for task in here { (card(show, view, task)) }
                    }
                }
            }
        }
    }
}

fn card(show: &Shown, view: &View, task: &CareTaskView) -> Markup {
    html! {
        li.care-task #{ "task-" (task.id) } {
            h3 { (task.name) }
            p.care-rule {
                (rule(show, task.rule.as_ref()))
                @if let Some(season) = task.season {
                    ", " (say_with("care-season", &[
                        ("from", day_of_year(season.from).into()),
                        ("until", day_of_year(season.until).into()),
                    ]))
                }
            }
            @if task.safety { p.care-safety { (say("care-safety")) } }
            dl.facts {
                div { dt { (say("care-where")) } dd { (place(task)) } }
                div { dt { (say("care-crew")) } dd { (crew(task)) } }
                @if let Some(tool) = &task.tool_action {
                    div { dt { (say("care-tool")) } dd { (tool_words(view, tool)) } }
                }
                @if task.rest_s > 0 {
                    div {
                        dt { (say("care-rest")) }
                        dd { (say_with("care-rest-for", &[("time", Seconds(task.rest_s).show().into())])) }
                    }
                }
            }
            @if is_a_step(task) {
                p { (say("care-urgency")) ": " (say("care-urgency-of-the-turnaround")) }
            } @else if view.may_edit { (form(view, task)) } @else {
                p { (say("care-urgency")) ": " (urgency(&task.urgency)) }
            }
            p.hint { (say_with("care-source", &[("source", source(task).into())])) }
        }
    }
}

/// Whether it is done in each turnaround: then it presses as that does, whatever its own word is.
fn is_a_step(task: &CareTaskView) -> bool {
    task.done_at == "turnaround" && task.rule == Some(Rule::AfterEachSession)
}

/// The form of a task. A step of the turnaround is not given up by itself.
fn form(view: &View, task: &CareTaskView) -> Markup {
    let id = format!("urgency-{}", task.id);
    let of = [("task", task.name.as_str().into())];
    html! {
        form.care-form method="post" action={ (address(view.site.id)) "/tasks/" (task.id) } {
            input type="hidden" name="version" value=(task.version);
            @if task.in_use {
                label for=(id) { (say("care-urgency")) }
                div.care-row {
                    select id=(id) name="urgency" {
                        @for one in Urgency::ALL.iter().rev() {
                            option value=(one.as_str()) selected[one.as_str() == task.urgency] { (urgency(one.as_str())) }
                        }
                    }
                    button.button.strong type="submit" aria-label=(say_with("care-save-of", &of)) { (say("care-save")) }
                    @if task.done_at != "turnaround" {
                        button.button type="submit" name="in_use" value="false"
                            aria-label=(say_with("care-give-up-of", &of)) { (say("care-give-up")) }
                    }
                }
            } @else {
                input type="hidden" name="urgency" value=(task.urgency);
                button.button type="submit" name="in_use" value="true"
                    aria-label=(say_with("care-take-up-of", &of)) { (say("care-take-up")) }
            }
        }
    }
}

fn urgency(word: &str) -> String {
    say(&format!("care-urgency-{}", key_part(word)))
}

/// When a task falls due, in plain words.
pub fn rule(show: &Shown, rule: Option<&Rule>) -> String {
    match rule {
        None => say("care-rule-unknown"),
        Some(Rule::AfterEachSession) => say("care-rule-after-each-session"),
        Some(Rule::Daily) => say("care-rule-daily"),
        Some(Rule::EveryDays(days)) => {
            say_with("care-rule-every-days", &[("days", days.get().into())])
        }
        Some(Rule::Monthly) => say("care-rule-monthly"),
        Some(Rule::Yearly) => say("care-rule-yearly"),
        Some(Rule::Recurs { rrule, from }) => say_with(
            "care-rule-recurs",
            &[
                ("from", date_long(*from).into()),
                ("rrule", rrule.as_str().into()),
            ],
        ),
        Some(Rule::AfterPlayHours(hours)) => say_with(
            "care-rule-after-play-hours",
            &[("hours", hours.get().into())],
        ),
        Some(Rule::AfterRainMm(mm)) => {
            let rain = Micrometres(i64::from(mm.get()) * 1_000).show_rain(show.units);
            say_with("care-rule-after-rain-mm", &[("rain", rain.into())])
        }
        Some(Rule::DayAfterRainMm(mm)) => {
            let rain = Micrometres(i64::from(mm.get()) * 1_000).show_rain(show.units);
            say_with("care-rule-day-after-rain-mm", &[("rain", rain.into())])
        }
        Some(Rule::WhenCondition(conditions)) => {
            let said: Vec<String> = conditions
                .iter()
                .map(|one| say(&format!("condition-{}", key_part(one.as_str()))).to_lowercase())
                .collect();
            let conditions = said.join(", ");
            say_with(
                "care-rule-when-condition",
                &[("conditions", conditions.into())],
            )
        }
        Some(Rule::AsFound) => say("care-rule-as-found"),
    }
}

/// `April 15`.
fn day_of_year(day: MonthDay) -> String {
    let text = day.to_string();
    let (month, day) = text.split_once('-').unwrap_or((&text, ""));
    let month = say(&format!("month-{}", month.trim_start_matches('0')));
    let day = day.trim_start_matches('0').to_owned();
    say_with(
        "care-day-of-year",
        &[("month", month.into()), ("day", day.into())],
    )
}

fn place(task: &CareTaskView) -> String {
    let at = say(&format!("care-at-{}", task.done_at));
    let watering = task.watering.iter();
    let lines = task.lines.iter();
    let only: Vec<String> = watering
        .map(|one| say(&format!("care-watering-{one}")))
        .chain(lines.map(|one| say(&format!("care-lines-{one}"))))
        .collect();
    if only.is_empty() {
        return at;
    }
    let only = say_with("care-only", &[("what", only.join(", ").into())]);
    format!("{at}, {only}")
}

fn crew(task: &CareTaskView) -> String {
    let people = say_with(
        "care-people",
        &[
            ("count", task.min_hands.into()),
            ("time", Seconds(task.base_s).show().into()),
        ],
    );
    match &task.skill {
        None => people,
        Some(skill) => say_with(
            "care-skill",
            &[("people", people.into()), ("skill", skill.as_str().into())],
        ),
    }
}

/// What the tool does, or the name of its class.
fn tool_words(view: &View, tool: &str) -> String {
    if tool.parse::<ToolAction>().is_ok() {
        return say(&format!("care-tool-{}", key_part(tool)));
    }
    let class = view.classes.get(tool);
    class.map_or_else(|| tool.to_owned(), Clone::clone)
}

/// The source as it stands in the data; words of the trade's own list are said plainly.
fn source(task: &CareTaskView) -> String {
    task.source.replace('_', " ")
}
