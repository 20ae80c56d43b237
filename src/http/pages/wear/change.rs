//! Changing a part for a new one, and retiring its tool.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::address_of;
use super::one::{Reader, refused};
use crate::desk::access::{ChangePart, Permit};
use crate::desk::sites::site_read;
use crate::desk::wear::{
    PartChangeTold, PartSeen, ToolRetireTold, part_change, part_seen, tool_retired,
};
use crate::http::pages::parts::deed::{key, key_of};
use crate::http::pages::parts::form::{Fields, choose, field, parts_of, read, text};
use crate::http::pages::parts::key_part;
use crate::http::pages::see_other;
use crate::http::pages::session::PageUser;
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::sites::{SiteRow, Units};
use crate::store::tools::TakenOff;
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/wear/{part_id:[0-9]+}/change", "POST").route(web::post().to(change)))
        .service(at("/wear/{part_id:[0-9]+}/retire", "POST").route(web::post().to(retire_tool)));
}

/// Why a part is changed, as it is picked.
const WHY: [TakenOff; 3] = [TakenOff::WornOut, TakenOff::Broke, TakenOff::InTime];

/// The form of a change. Where some are on the shelf, the cost may be left out.
pub(super) fn form(site: &SiteRow, part: &PartSeen) -> Markup {
    let is_on_shelf = part.on_shelf.is_some_and(|pieces| pieces > 0);
    html! {
        section.stops aria-labelledby="change" {
            h2 #change { (say("wear-change")) }
            p { (say("wear-change-lead")) }
            form.hold method="post" action={ (address_of(site.id, part.part.id)) "/change" } {
                (key())
                label for="why" { (say("wear-change-why")) }
                select #why name="why" required {
                    @for why in WHY {
                        option value=(why.as_str()) { (say(&format!("wear-why-{}", key_part(why.as_str())))) }
                    }
                }
                label for="cost" {
                    (say_with(if is_on_shelf { "wear-change-cost-or-shelf" } else { "wear-change-cost" },
                        &[("currency", site.currency.as_str().into())]))
                }
                input #cost type="text" name="cost" inputmode="decimal" maxlength="16" required[!is_on_shelf];
                @if part.part.start_um.is_some() {
                    label for="new" { (say_with("wear-change-new", &[("unit", length_unit(site.units).into())])) }
                    input #new type="text" name="new" inputmode="decimal" maxlength="10";
                }
                label for="changed-on" { (say("wear-on")) }
                input #changed-on type="date" name="on";
                button.button.strong type="submit" { (say("wear-change-do")) }
            }
        }
    }
}

/// The form that retires the tool of a part.
pub(super) fn retire(site: &SiteRow, part: &PartSeen) -> Markup {
    html! {
        section.stops {
            details {
                summary { (say_with("wear-retire", &[("tool", part.on.as_str().into())])) }
                p { (say("wear-retire-lead")) }
                form.hold method="post" action={ (address_of(site.id, part.part.id)) "/retire" } {
                    (key())
                    label for="retired-on" { (say("wear-on")) }
                    input #retired-on type="date" name="on";
                    button.button type="submit" { (say_with("wear-retire", &[("tool", part.on.as_str().into())])) }
                }
            }
        }
    }
}

const fn length_unit(units: Units) -> &'static str {
    match units {
        Units::UsCustomary => "in",
        Units::Metric => "mm",
    }
}

/// What a form about a part sends, with who sends it.
type Asked = (State, PageUser, Reader, web::Path<(i64, i64)>, Fields);

async fn change(
    permit: Permit<ChangePart>,
    (office, user, reader, path, fields): Asked,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let key = key_of(field(&fields, "client_key"))?;
    let unreadable = || Problem::new(Kind::Unreadable, say("wear-change-unreadable"));
    let why =
        field(&fields, "why").and_then(|text| WHY.into_iter().find(|why| why.as_str() == text));
    let site = at_the_desk(&office, {
        let see = reader.0.clone();
        move |o| site_read(o, &see)
    })
    .await?;
    let um = match site.units {
        Units::UsCustomary => 25_400,
        Units::Metric => 1_000,
    };
    let number = |name: &str, parts: i64| match text(&fields, name) {
        Some(text) => parts_of(&text, parts).map(Some).ok_or_else(unreadable),
        None => Ok(None),
    };
    let told = PartChangeTold {
        why: why.ok_or_else(|| choose("why"))?,
        on: read(&fields, "on", "wear-change-unreadable")?,
        cost_cents: number("cost", 100)?,
        start_um: number("new", um)?,
        limit_um: None,
    };
    let done = at_the_desk(&office, move |o| part_change(o, &permit, id, key, &told));
    match done.await {
        Ok(changed) => Ok(see_other(&address_of(site_id, changed.new.id))),
        Err(problem) => refused(&office, &user, reader, id, problem).await,
    }
}

async fn retire_tool(
    permit: Permit<ChangePart>,
    (office, user, reader, path, fields): Asked,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let key = key_of(field(&fields, "client_key"))?;
    let told = ToolRetireTold {
        on: read(&fields, "on", "wear-change-unreadable")?,
    };
    let tools = reader.1.clone();
    let done = at_the_desk(&office, move |o| {
        let tool = part_seen(o, &tools, id)?.part.tool_id;
        match tool {
            Some(tool) => tool_retired(o, &permit, tool, key, &told).map(|_| ()),
            None => Ok(()),
        }
    });
    match done.await {
        Ok(()) => Ok(see_other(&address_of(site_id, id))),
        Err(problem) => refused(&office, &user, reader, id, problem).await,
    }
}
