//! How new parts come, as the manager says it.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::one::{Reader, kind_key};
use super::outlook::{address_ahead, page};
use crate::desk::access::{EditStores, Permit};
use crate::desk::wear::{PartSupplyEdit, PartSupplyTold, part_supply_edit, part_supply_tell};
use crate::http::pages::parts::deed::{key, key_of};
use crate::http::pages::parts::form::{self, Fields, again, choose, field, text, wrong};
use crate::http::pages::see_other;
use crate::http::pages::session::PageUser;
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::sites::SiteRow;
use crate::store::stores::{MaterialRow, MaterialUnit};
use crate::store::tools::{ToolClassRow, WearPartKind};
use crate::store::wear::PartSupplyRow;
use crate::words::say;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/wear/supplies", "POST").route(web::post().to(tell)))
        .service(at("/wear/supplies/{supply_id:[0-9]+}", "POST").route(web::post().to(edit)));
}

/// The key of what is said where a number is none.
const UNREADABLE: &str = "supply-unreadable";

/// The form that changes how parts come.
pub(super) fn edit_form(site: &SiteRow, of: &PartSupplyRow, materials: &[MaterialRow]) -> Markup {
    let nth = of.id.to_string();
    html! {
        details {
            summary { (say("supply-change")) }
            form.hold method="post" action=(address_of_supply(site.id, of.id)) {
                input type="hidden" name="version" value=(of.version);
                (fields(&nth, Some(of), materials))
                button.button type="submit" { (say("supply-save")) }
            }
        }
    }
}

/// The form that tells how parts come of which nothing was said.
pub(super) fn anew(site: &SiteRow, classes: &[ToolClassRow], materials: &[MaterialRow]) -> Markup {
    html! {
        section.stops {
            details {
                summary { (say("supply-new")) }
                form.hold method="post" action={ (super::address(site.id)) "/supplies" } {
                    (key())
                    label for="kind" { (say("supply-kind")) }
                    select #kind name="kind" required {
                        @for kind in WearPartKind::ALL { option value=(kind.as_str()) { (say(&kind_key(*kind))) } }
                    }
                    label for="class" { (say("supply-class")) }
                    select #class name="tool_class_id" {
                        option value="" { (say("supply-of-courts")) }
                        @for class in classes { option value=(class.id) { (class.name) } }
                    }
                    (fields("new", None, materials))
                    button.button.strong type="submit" { (say("supply-save")) }
                }
            }
        }
    }
}

fn fields(nth: &str, of: Option<&PartSupplyRow>, materials: &[MaterialRow]) -> Markup {
    let pieces = || {
        materials
            .iter()
            .filter(|one| one.unit == MaterialUnit::Piece)
    };
    let days = |name: &str, of: Option<i64>, least: i64, is_needed: bool| {
        html! {
            label for={ (name) "-" (nth) } { (say(&format!("supply-{}", name.replace('_', "-")))) }
            input id={ (name) "-" (nth) } type="number" name=(name) min=(least) max="3650" step="1" inputmode="numeric"
                required[is_needed] value=[of];
        }
    };
    html! {
        label for={ "supplier-" (nth) } { (say("supply-supplier")) }
        input id={ "supplier-" (nth) } type="text" name="supplier" maxlength="120" required value=[of.map(|of| of.supplier.as_str())];
        label for={ "material-" (nth) } { (say("supply-material")) }
        select id={ "material-" (nth) } name="material_id" {
            option value="" { (say("supply-no-shelf")) }
            @for material in pieces() {
                option value=(material.id) selected[of.and_then(|of| of.material_id) == Some(material.id)] { (material.name) }
            }
        }
        (days("lead_days", of.map(|of| of.lead_days), 0, true))
        (days("cover_days", of.map(|of| of.cover_days), 0, true))
        (days("life_days", of.and_then(|of| of.life_days), 1, false))
    }
}

fn address_of_supply(site_id: i64, id: i64) -> String {
    format!("{}/supplies/{id}", super::address(site_id))
}

/// What a form about supplies sends, with who sends it.
type Asked = (State, PageUser, Reader, Fields);

async fn tell(
    permit: Permit<EditStores>,
    (office, user, reader, fields): Asked,
) -> Result<HttpResponse, Problem> {
    let key = key_of(field(&fields, "client_key"))?;
    let kind = field(&fields, "kind")
        .and_then(|text| WearPartKind::ALL.iter().find(|kind| kind.as_str() == text));
    let told = PartSupplyTold {
        kind: *kind.ok_or_else(|| choose("kind"))?,
        tool_class_id: number(&fields, "tool_class_id")?,
        supply: read(&fields)?,
    };
    let done = at_the_desk(&office, move |o| part_supply_tell(o, &permit, key, &told)).await;
    said(&office, &user, reader, done.map(|_| ())).await
}

async fn edit(
    permit: Permit<EditStores>,
    path: web::Path<(i64, i64)>,
    (office, user, reader, fields): Asked,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let version = number(&fields, "version")?.ok_or_else(unreadable)?;
    let edit = read(&fields)?;
    let done = at_the_desk(&office, move |o| {
        part_supply_edit(o, &permit, id, version, &edit)
    })
    .await;
    said(&office, &user, reader, done.map(|_| ())).await
}

/// The page again: with what was refused, where something was.
async fn said(
    office: &State,
    user: &PageUser,
    reader: Reader,
    done: Result<(), Problem>,
) -> Result<HttpResponse, Problem> {
    match done {
        Ok(()) => Ok(see_other(&address_ahead(reader.0.site_id()))),
        Err(problem) => {
            let text = wrong(problem)?;
            Ok(again(page(office, user, reader, Some(&text)).await?))
        }
    }
}

fn read(fields: &Fields) -> Result<PartSupplyEdit, Problem> {
    Ok(PartSupplyEdit {
        material_id: number(fields, "material_id")?,
        supplier: text(fields, "supplier").unwrap_or_default(),
        lead_days: number(fields, "lead_days")?.ok_or_else(unreadable)?,
        cover_days: number(fields, "cover_days")?.ok_or_else(unreadable)?,
        life_days: number(fields, "life_days")?,
    })
}

fn number(fields: &Fields, name: &str) -> Result<Option<i64>, Problem> {
    form::read(fields, name, UNREADABLE)
}

fn unreadable() -> Problem {
    Problem::new(Kind::Unreadable, say(UNREADABLE))
}
