//! What is to come: what to order from whom and when, what half a year takes, how long parts last, and which of equal tools
//! takes the heavier share.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::one::{Reader, kind_key};
use super::{address, address_of, far, supplies};
use crate::desk::access::{EditStores, Permit, SeeSite, SeeStores, SeeTools};
use crate::desk::sites::site_read;
use crate::desk::stores::material_list;
use crate::desk::tools::tool_class_list;
use crate::desk::wear::{
    ClassLife, SeasonClass, SeasonMonth, ShareOfTool, SpareView, SupplierList, WearOutlook,
    wear_outlook,
};
use crate::http::pages::answer;
use crate::http::pages::parts::frame::Frame;
use crate::http::pages::parts::shown;
use crate::http::pages::session::PageUser;
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Page;
use crate::store::sites::SiteRow;
use crate::store::stores::MaterialRow;
use crate::store::tools::WearPartKind;
use crate::words::shown::{Shown, date_short};
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/wear/outlook", "GET").route(web::get().to(read)));
}

/// The page of what is to come.
pub(super) fn address_ahead(site_id: i64) -> String {
    format!("{}/outlook", address(site_id))
}

async fn read(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<SeeTools>,
) -> Result<HttpResponse, Problem> {
    Ok(answer(page(&office, &user, (see, permit), None).await?))
}

pub(super) async fn page(
    office: &State,
    user: &PageUser,
    (see, permit): Reader,
    wrong: Option<&str>,
) -> Result<Markup, Problem> {
    let may_edit = Permit::<EditStores>::of((*permit).clone()).is_ok();
    let stores = Permit::<SeeStores>::of((*permit).clone()).ok();
    let (site, outlook, classes, materials) = at_the_desk(office, move |o| {
        let materials = match stores.filter(|_| may_edit) {
            Some(stores) => material_list(o, &stores, Page::ALL)?.items,
            None => Vec::new(),
        };
        Ok((
            site_read(o, &see)?,
            wear_outlook(o, &permit)?,
            tool_class_list(o, &permit, Page::ALL)?.items,
            materials,
        ))
    })
    .await?;
    let show = shown(&site);
    let title = say("ahead-parts-title");
    let content = html! {
        p.over { a.inline href=(address(site.id)) { (say("wear-title")) } }
        h1 { (title) }
        @if let Some(text) = wrong { p.wrong role="alert" { (text) } }
        (to_order(&site, &show, &outlook, may_edit.then_some(&materials[..])))
        @if may_edit { (supplies::anew(&site, &classes, &materials)) }
        (season(&show, &outlook))
        (shares(&outlook.shares))
        (lives(&site, &show, &outlook.lives))
    };
    Ok(Frame::of(&title)
        .site(&site)
        .user(Some(user))
        .around(&content))
}

fn to_order(
    site: &SiteRow,
    show: &Shown,
    outlook: &WearOutlook,
    materials: Option<&[MaterialRow]>,
) -> Markup {
    html! {
        section.part-section aria-labelledby="order" {
            h2 #order { (say("spares-title")) }
            p { (say("spares-lead")) }
            @if outlook.suppliers.is_empty() { p.note { (say("spares-none")) } }
            div.access {
                @for list in &outlook.suppliers { (supplier(site, show, list, materials)) }
            }
        }
    }
}

fn supplier(
    site: &SiteRow,
    show: &Shown,
    list: &SupplierList,
    materials: Option<&[MaterialRow]>,
) -> Markup {
    html! {
        section.stops {
            h3 { (list.supplier) }
            @if let Some(on) = list.order_on {
                p { strong { (say_with("spares-order-by", &[("date", date_short(on).into())])) }
                    @if list.cents > 0 { " · " (say_with("spares-about", &[("cost", show.money(list.cents).into())])) } }
            } @else {
                p { (say("spares-enough")) }
            }
            ul.access-list {
                @for part in &list.parts {
                    li {
                        p { strong { (name(part.supply.kind, part.class.as_deref())) } }
                        (order(part))
                        p.hint { (say_with("spares-shelf", &[("shelf", part.on_shelf.into()), ("fitted", part.fitted.into())])) }
                        @if let Some(materials) = materials { (supplies::edit_form(site, &part.supply, materials)) }
                    }
                }
            }
        }
    }
}

fn order(part: &SpareView) -> Markup {
    html! {
        @match part.order {
            Some(order) => p.caution[order.late] {
                (say_with("spares-order", &[
                    ("count", order.quantity.into()),
                    ("on", date_short(order.on).into()),
                    ("short", date_short(order.short_from).into()),
                ]))
                @if order.late { " " (say("spares-late")) }
            },
            None => p { (say("spares-enough")) },
        }
    }
}

fn season(show: &Shown, outlook: &WearOutlook) -> Markup {
    let cents: i64 = outlook.months.iter().map(|month| month.cents).sum();
    html! {
        section.part-section aria-labelledby="season" {
            h2 #season { (say("season-title")) }
            p { (say_with("season-lead", &[("cost", show.money(cents).into())])) }
            @if cents > 0 { (bars(show, &outlook.months)) }
            @if !outlook.season.is_empty() {
                table.plain-table {
                    thead { tr {
                        th scope="col" { (say("season-part")) }
                        th.number scope="col" { (say("season-changes")) }
                        th.number scope="col" { (say("season-cost")) }
                    } }
                    tbody { @for one in &outlook.season { (season_row(show, one)) } }
                }
            }
        }
    }
}

fn season_row(show: &Shown, one: &SeasonClass) -> Markup {
    html! {
        tr {
            th scope="row" { (name(one.kind, one.class.as_deref())) }
            td.number { (tenths(one.changes_permille)) }
            td.number { @if let Some(cents) = one.cents { (show.money(cents)) } @else { (say("season-no-price")) } }
        }
    }
}

/// The drawing's measures, in its own units.
const WIDTH: i64 = 640;
const HEIGHT: i64 = 200;
const BOTTOM: i64 = 30;
const TOP: i64 = 26;

/// A bar a month, with its amount above it.
fn bars(show: &Shown, months: &[SeasonMonth]) -> Markup {
    let most = months
        .iter()
        .map(|month| month.cents)
        .max()
        .unwrap_or(1)
        .max(1);
    let count = i64::try_from(months.len()).unwrap_or(1).max(1);
    let step = WIDTH / count;
    let label: Vec<String> = months
        .iter()
        .map(|month| format!("{} {}", date_short(month.from), show.money(month.cents)))
        .collect();
    html! {
        svg.wear-chart.is-large viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } role="img" aria-label=(label.join(", ")) {
            @for (nth, month) in (0..).zip(months) {
                @let tall = month.cents.max(0) * (HEIGHT - BOTTOM - TOP) / most;
                @let middle = nth * step + step / 2;
                rect.season-bar x=(nth * step + 8) y=(HEIGHT - BOTTOM - tall) width=(step - 16) height=(tall) {}
                text.wear-label x=(middle) y=(HEIGHT - BOTTOM - tall - 6) text-anchor="middle" { (show.money(month.cents / 100 * 100).trim_end_matches(".00")) }
                text.wear-label x=(middle) y=(HEIGHT - 8) text-anchor="middle" { (month.from.format("%b")) }
            }
            path.wear-axis d={ "M0 " (HEIGHT - BOTTOM) "H" (WIDTH) } {}
        }
    }
}

fn shares(shares: &[ShareOfTool]) -> Markup {
    html! {
        @if !shares.is_empty() {
            section.part-section aria-labelledby="shares" {
                h2 #shares { (say("shares-title")) }
                p { (say("shares-lead")) }
                table.plain-table {
                    thead { tr {
                        th scope="col" { (say("shares-tool")) }
                        th.number scope="col" { (say("shares-share")) }
                        th.number scope="col" { (say("shares-days")) }
                    } }
                    tbody {
                        @for one in shares {
                            tr {
                                th scope="row" { (one.tool) " · " (one.class) }
                                td.number { (percent(one.share_permille)) }
                                td.number { @match one.days_left { Some(days) => (days), None => (say("shares-long")) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn lives(site: &SiteRow, show: &Shown, lives: &[ClassLife]) -> Markup {
    html! {
        section.part-section aria-labelledby="lives" {
            h2 #lives { (say("lives-title")) }
            p { (say("lives-lead")) }
            div.access { @for one in lives { (life(site, show, one)) } }
        }
    }
}

fn life(site: &SiteRow, show: &Shown, of: &ClassLife) -> Markup {
    let age = |age: i64| match of.counted_in {
        "metres" => far(show, age),
        _ => say_with("lives-days", &[("count", age.into())]),
    };
    // The parts that are likeliest to give out soon are wanted first.
    let mut parts: Vec<_> = of.parts.iter().collect();
    parts.sort_by_key(|part| part.month_permille);
    html! {
        section.stops {
            h3 { (name(of.kind, of.class.as_deref())) }
            p { (say_with("lives-typical", &[
                ("typical", age(of.typical).into()), ("early", age(of.early).into()), ("late", age(of.late).into()),
            ])) }
            p.hint {
                @if let (true, [Some(low), Some(high)]) = (of.by_record, of.typical_between) {
                    (say_with("lives-by-record", &[("failed", of.failed.into()), ("low", age(low).into()), ("high", age(high).into())]))
                } @else {
                    (say_with("lives-by-class", &[("failed", of.failed.into())]))
                }
            }
            @if let Some(at) = of.change_at.filter(|at| *at < of.late) { p { (say_with("lives-change-at", &[("age", age(at).into())])) } }
            @if !parts.is_empty() {
                details {
                    summary { (say_with("lives-parts", &[("count", of.fitted.into())])) }
                    table.plain-table {
                        thead { tr {
                            th scope="col" { (say("lives-on")) }
                            th.number scope="col" { (say("lives-week")) }
                            th.number scope="col" { (say("lives-month")) }
                            th.number scope="col" { (say("lives-season")) }
                        } }
                        tbody {
                            @for part in parts {
                                tr {
                                    th scope="row" { a.inline href=(address_of(site.id, part.wear_part_id)) { (part.on) } }
                                    td.number { (percent(part.week_permille)) }
                                    td.number { (percent(part.month_permille)) }
                                    td.number { (percent(part.season_permille)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What a part is: its kind, and the class of its tool.
fn name(kind: WearPartKind, class: Option<&str>) -> String {
    let kind = say(&kind_key(kind));
    match class {
        Some(class) => format!("{class}: {kind}"),
        None => kind,
    }
}

fn percent(permille: i64) -> String {
    format!("{}\u{a0}%", (permille + 5) / 10)
}

fn tenths(permille: i64) -> String {
    let tenths = (permille + 50) / 100;
    format!("{}.{}", tenths / 10, tenths % 10)
}
