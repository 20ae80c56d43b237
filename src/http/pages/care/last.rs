//! When work was last done, a bank at a time: a day for each task, and what nobody knows.

use std::collections::BTreeMap;

use actix_web::{HttpResponse, web};
use chrono::NaiveDate;
use maud::{Markup, html};

use super::{See, View, address, refused};
use crate::desk::Permit;
use crate::desk::access::EditCare;
use crate::desk::care::{
    LastDoneOfBank, PlaceLastDone, TaskLastDone, ToldLast, ToldOne, care_told, care_told_all,
};
use crate::desk::once::Once;
use crate::http::pages::parts::deed::{key, key_of};
use crate::http::pages::see_other;
use crate::http::pages::session::PageUser;
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::words::shown::date_short;
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/care/told/{bank_id:[0-9]+}", "POST").route(web::post().to(told)));
}

/// The forms of all banks; whoever may not tell reads what is known.
pub fn section(view: &View) -> Markup {
    html! {
        section.care-group #last aria-labelledby="last-title" {
            h2 #last-title { (say("care-last-title")) }
            p { (say("care-last-lead")) }
            div.play-forms {
                @for bank in &view.banks {
                    details.stops.care-bank #{ "bank-" (bank.bank_id) } open[view.banks.len() == 1] {
                        summary { (say_with("care-last-of", &[("bank", bank.bank.as_str().into())])) }
                        (of_bank(view, bank))
                    }
                }
            }
        }
    }
}

fn of_bank(view: &View, bank: &LastDoneOfBank) -> Markup {
    let table = html! {
        ul.care-last {
            @for task in &bank.tasks {
                li {
                    p { strong { (task.name) } br; (known(task)) }
                    @if view.may_edit { (day_field(view, bank, task)) }
                }
            }
        }
    };
    let name = [("bank", bank.bank.as_str().into())];
    html! {
        @if view.may_edit {
            form.hold method="post" action={ (address(view.site.id)) "/told/" (bank.bank_id) } {
                (key())
                (table)
                label.tick { input type="checkbox" name="unknown" value="yes"; " " (say("care-last-rest-unknown")) }
                button.button.strong type="submit" { (say_with("care-last-do", &name)) }
            }
        } @else { (table) }
    }
}

fn day_field(view: &View, bank: &LastDoneOfBank, task: &TaskLastDone) -> Markup {
    let id = format!("last-{}-{}", bank.bank_id, task.care_task_id);
    html! {
        div {
            label.spoken for=(id) { (say_with("care-last-set-of", &[("task", task.name.as_str().into())])) }
            input id=(id) type="date" name={ "task-" (task.care_task_id) } max=(view.today);
        }
    }
}

/// What is known of a task at the places of a bank, in one line.
fn known(task: &TaskLastDone) -> String {
    let days = |of: fn(&PlaceLastDone) -> Option<NaiveDate>| {
        let all = task.places.iter().filter_map(of);
        let first = all.clone().min();
        first.zip(all.max())
    };
    let missing = task.places.iter().filter(|place| place.done_on.is_none());
    let mut said = Vec::new();
    match days(|place| place.done_on) {
        Some(span) => {
            said.push(of_days(span, "care-last-on", "care-last-between"));
            let count = missing.count();
            if count > 0 {
                said.push(say_with("care-last-some", &[("count", count.into())]));
            }
        }
        None if task.places.iter().any(|place| place.said_unknown) => {
            said.push(say("care-last-unknown"));
        }
        None => said.push(say("care-last-never")),
    }
    if let Some(span) = days(|place| place.due_on) {
        said.push(of_days(span, "care-last-due", "care-last-due-between"));
    }
    said.join("; ")
}

/// One day or a span of days.
fn of_days((first, last): (NaiveDate, NaiveDate), one: &str, many: &str) -> String {
    if first == last {
        return say_with(one, &[("date", date_short(first).into())]);
    }
    let (from, until) = (date_short(first), date_short(last));
    say_with(many, &[("from", from.into()), ("until", until.into())])
}

/// Takes what the form of a bank tells. Nothing is kept where one day cannot be.
async fn told(
    office: State,
    user: PageUser,
    see: See,
    permit: Permit<EditCare>,
    path: web::Path<(i64, i64)>,
    form: web::Form<BTreeMap<String, String>>,
) -> Result<HttpResponse, Problem> {
    let (site_id, bank_id) = path.into_inner();
    let form = form.into_inner();
    let key = key_of(form.get("client_key"))?;
    let Some(days) = days_of(&form) else {
        return refused(&office, &user, see, &[say("care-last-not-a-day")]).await;
    };
    let see_care = see.1.clone();
    let banks = at_the_desk(&office, move |o| care_told_all(o, &see_care)).await?;
    let bank = banks.iter().find(|bank| bank.bank_id == bank_id);
    let bank = bank.ok_or_else(|| Problem::new(Kind::NotFound, "no such bank here"))?;
    let told = all_told(bank, &days, form.contains_key("unknown"));
    if told.is_empty() {
        return refused(&office, &user, see, &[say("care-last-nothing")]).await;
    }
    let told = ToldLast { told };
    let done = at_the_desk(&office, move |o| {
        let once = Once::new(key, "care-told".into(), &told)?;
        care_told(o, &permit, &told, &once)
    })
    .await;
    match done {
        Ok(_) => Ok(see_other(&format!("{}#bank-{bank_id}", address(site_id)))),
        Err(problem) if problem.kind() == Kind::Refused => {
            refused(&office, &user, see, &[problem.in_words()]).await
        }
        Err(problem) => Err(problem),
    }
}

/// The days that the form gives, by task; none where one is no day.
fn days_of(form: &BTreeMap<String, String>) -> Option<BTreeMap<i64, NaiveDate>> {
    let mut days = BTreeMap::new();
    for (name, text) in form {
        let task = name.strip_prefix("task-").and_then(|id| id.parse().ok());
        if let Some(task) = task
            && !text.trim().is_empty()
        {
            days.insert(task, text.trim().parse().ok()?);
        }
    }
    Some(days)
}

/// An entry for each day; and, where nobody knows the others, one for each place of which nothing is known.
fn all_told(
    bank: &LastDoneOfBank,
    days: &BTreeMap<i64, NaiveDate>,
    rest_unknown: bool,
) -> Vec<ToldOne> {
    let on_bank = |care_task_id: i64, done_on: Option<NaiveDate>| ToldOne {
        care_task_id,
        bank_id: Some(bank.bank_id),
        court_id: None,
        done_on,
    };
    let mut told: Vec<ToldOne> = days
        .iter()
        .map(|(task, on)| on_bank(*task, Some(*on)))
        .collect();
    if !rest_unknown {
        return told;
    }
    for task in bank
        .tasks
        .iter()
        .filter(|task| !days.contains_key(&task.care_task_id))
    {
        let is_open = |place: &&PlaceLastDone| place.done_on.is_none();
        if task.places.iter().all(|place| is_open(&place)) {
            told.push(on_bank(task.care_task_id, None));
            continue;
        }
        let open = task.places.iter().filter(is_open);
        told.extend(open.map(|place| ToldOne {
            care_task_id: task.care_task_id,
            bank_id: None,
            court_id: place.court_id,
            done_on: None,
        }));
    }
    told
}
