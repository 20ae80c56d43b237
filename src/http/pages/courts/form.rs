//! The form that tells what somebody saw who looked courts over.

use std::collections::BTreeMap;
use std::fmt::Display;
use std::str::FromStr;

use actix_web::{HttpResponse, web};
use maud::{Markup, html};
use trade::care::Moisture;
use trade::court::Firmness;

use super::{address, refused};
use crate::desk::Permit;
use crate::desk::access::{InspectCourt, SeeSite};
use crate::desk::inspections::{ConditionView, InspectionTold, inspections_add};
use crate::desk::sites::site_read;
use crate::http::pages::parts::deed::{key, key_of};
use crate::http::pages::parts::{key_part, local_instant, shown};
use crate::http::pages::see_other;
use crate::http::pages::session::PageUser;
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Instant;
use crate::store::inspections::CourtPlace;
use crate::store::sites::SiteRow;
use crate::words::say;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/courts/looks", "POST").route(web::post().to(tell)));
}

/// What is asked with yes or no, by the names of the fields.
const YES_OR_NO: [&str; 7] = [
    "standing_water",
    "frozen",
    "leaves",
    "algae",
    "hardpan",
    "baselines_packed",
    "newly_dressed",
];

/// The form, with a tick for each court.
pub fn form(site: &SiteRow, courts: &[ConditionView]) -> Markup {
    html! {
        section.stops #tell aria-labelledby="tell-title" {
            h2 #tell-title { (say("look-title")) }
            p { (say("look-lead")) }
            form.hold method="post" action={ (address(site.id)) "/looks" } {
                (key())
                fieldset.ticks {
                    legend { (say("look-which")) }
                    @for court in courts {
                        label.tick {
                            input type="checkbox" name={ "court-" (court.court_id) } value="yes"
                                checked[courts.len() == 1];
                            " " (court.name)
                        }
                    }
                }
                label for="seen_at" { (say("look-when")) }
                input #seen_at type="datetime-local" name="seen_at";
                (choice("firmness", Firmness::ALL.iter().map(|word| word.as_str())))
                (choice("moisture", Moisture::ALL.iter().map(|word| word.as_str())))
                @for name in YES_OR_NO { (yes_or_no(name)) }
                fieldset.ticks {
                    legend { (say("look-low-spots")) }
                    label.tick {
                        input type="checkbox" name="no_low_spots" value="yes"; " " (say("look-low-spots-none"))
                    }
                    @for place in CourtPlace::ALL {
                        label.tick {
                            input type="checkbox" name={ "low-" (place) } value="yes"; " " (place_words(*place))
                        }
                    }
                }
                label for="note" { (say("look-note")) }
                input #note type="text" name="note" maxlength="2000";
                button.button.strong type="submit" { (say("look-do")) }
            }
        }
    }
}

/// Where a low spot is, in words.
pub fn place_words(place: CourtPlace) -> String {
    say(&format!("look-at-{}", key_part(place.as_str())))
}

fn choice(name: &str, words: impl Iterator<Item = &'static str>) -> Markup {
    html! {
        label for=(name) { (say(&format!("look-{name}"))) }
        select id=(name) name=(name) {
            option value="" { (say("look-not-looked")) }
            @for word in words { option value=(word) { (say(&format!("look-{name}-{word}"))) } }
        }
    }
}

fn yes_or_no(name: &str) -> Markup {
    html! {
        label for=(name) { (say(&format!("look-{}", key_part(name)))) }
        select id=(name) name=(name) {
            option value="" { (say("look-not-looked")) }
            option value="yes" { (say("look-yes")) }
            option value="no" { (say("look-no")) }
        }
    }
}

type Fields = BTreeMap<String, String>;

async fn tell(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<InspectCourt>,
    path: web::Path<i64>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, Problem> {
    let site_id = path.into_inner();
    let form = form.into_inner();
    let key = key_of(form.get("client_key"))?;
    let courts: Vec<i64> = form
        .keys()
        .filter_map(|name| name.strip_prefix("court-")?.parse().ok())
        .collect();
    if courts.is_empty() {
        return refused(&office, &user, see, &[say("look-no-court")]).await;
    }
    let site_permit = see.clone();
    let site = at_the_desk(&office, move |o| site_read(o, &site_permit)).await?;
    let Ok(seen_at) = seen_at(&site, &form) else {
        return refused(&office, &user, see, &[say("look-time-wrong")]).await;
    };
    let told = look(&form, seen_at)?;
    let done = at_the_desk(&office, move |o| {
        inspections_add(o, &permit, &courts, key, &told)
    })
    .await;
    match done {
        Ok(_) => Ok(see_other(&address(site_id))),
        Err(problem) if problem.kind() == Kind::Refused => {
            refused(&office, &user, see, &[problem.in_words()]).await
        }
        Err(problem) => Err(problem),
    }
}

/// What a field says; nothing where it is empty.
fn told<'a>(form: &'a Fields, name: &str) -> Option<&'a str> {
    let text = form.get(name).map(|text| text.trim());
    text.filter(|text| !text.is_empty())
}

/// The instant of a local date and time, as `2031-06-10T08:30`; none where the field is empty.
fn seen_at(site: &SiteRow, form: &Fields) -> Result<Option<Instant>, ()> {
    let Some(text) = told(form, "seen_at") else {
        return Ok(None);
    };
    local_instant(shown(site).zone, text).map(Some).ok_or(())
}

fn look(form: &Fields, seen_at: Option<Instant>) -> Result<InspectionTold, Problem> {
    let said = |name: &str| told(form, name).map(|text| text == "yes");
    let spots: Vec<CourtPlace> = CourtPlace::ALL
        .iter()
        .copied()
        .filter(|place| form.contains_key(&format!("low-{place}")))
        .collect();
    let none = form.contains_key("no_low_spots");
    Ok(InspectionTold {
        seen_at,
        firmness: word(form, "firmness")?,
        moisture: word(form, "moisture")?,
        standing_water: said("standing_water"),
        frozen: said("frozen"),
        low_spots: (none || !spots.is_empty()).then_some(spots),
        algae: said("algae"),
        leaves: said("leaves"),
        hardpan: said("hardpan"),
        baselines_packed: said("baselines_packed"),
        newly_dressed: said("newly_dressed"),
        note: told(form, "note").map(str::to_owned),
    })
}

/// A word of a list; a problem where the form does not offer it.
fn word<T: FromStr<Err: Display>>(form: &Fields, name: &str) -> Result<Option<T>, Problem> {
    let word = told(form, name).map(str::parse).transpose();
    word.map_err(|why: T::Err| Problem::unreadable(name, why.to_string()))
}
