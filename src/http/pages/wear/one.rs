//! A part's whole life: its chart, every reading with what counts, what the eye said, what it cost, use told by hand, and its
//! change for a new one.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::chart::{self, Size};
use super::{address, address_of, advice, by_eye, change, far, how_long, length, measure, when};
use crate::desk::access::{ChangePart, CheckTool, JudgeReading, Permit, SeeSite, SeeTools};
use crate::desk::sites::site_read;
use crate::desk::wear::{
    PartSeen, UseTold, VerdictTold, WearWhole, part_of_reading, part_seen, part_use_tell,
    reading_judge,
};
use crate::http::pages::parts::deed::{key, key_of};
use crate::http::pages::parts::form::{Fields, again, field, read, text, wrong};
use crate::http::pages::parts::frame::Frame;
use crate::http::pages::parts::{key_part, shown};
use crate::http::pages::session::PageUser;
use crate::http::pages::{answer, see_other};
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::sites::{SiteRow, Units};
use crate::store::tools::{ReadingRow, WearPartKind};
use crate::store::wear::{ReadingState, ReadingVerdict, TIGHTENED};
use crate::words::shown::{Shown, date_short};
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/wear/{part_id:[0-9]+}", "GET").route(web::get().to(show)))
        .service(at("/wear/{part_id:[0-9]+}/uses", "POST").route(web::post().to(tell)))
        .service(
            at("/wear/readings/{reading_id:[0-9]+}/confirm", "POST").route(web::post().to(confirm)),
        )
        .service(
            at("/wear/readings/{reading_id:[0-9]+}/strike", "POST").route(web::post().to(strike)),
        );
}

async fn show(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<SeeTools>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    Ok(answer(page(&office, &user, (see, permit), id, None).await?))
}

/// Who is at the page: what it takes to show it again.
pub(super) type Reader = (Permit<SeeSite>, Permit<SeeTools>);

async fn page(
    office: &State,
    user: &PageUser,
    (see, permit): Reader,
    id: i64,
    wrong: Option<&str>,
) -> Result<Markup, Problem> {
    let may_judge = Permit::<JudgeReading>::of((*permit).clone()).is_ok();
    let may_tell = Permit::<CheckTool>::of((*permit).clone()).is_ok();
    let may_change = Permit::<ChangePart>::of((*permit).clone()).is_ok();
    let (site, part) = at_the_desk(office, move |o| {
        Ok((site_read(o, &see)?, part_seen(o, &permit, id)?))
    })
    .await?;
    let show = shown(&site);
    let kind = say(&kind_key(part.part.kind));
    let title = match &part.wear {
        Some(whole) => format!("{} · {}", whole.wear.tool, whole.wear.class),
        None => format!("{} · {kind}", part.on),
    };
    let is_on = part.part.retired_on.is_none();
    let is_counted = part.part.start_um.is_some() || TIGHTENED.contains(&part.part.kind);
    let content = html! {
        p.over { a.inline href=(address(site.id)) { (say("wear-title")) } }
        h1 { (title) }
        @if let Some(text) = wrong { p.wrong role="alert" { (text) } }
        (taken_off(&site, &part))
        @if let Some(whole) = &part.wear { (worn(&show, whole, is_on)) }
        (facts(&show, &part))
        @if TENSIONED.contains(&part.part.kind) { p.caution { (say("wear-tension")) } }
        div.access {
            @if let Some(whole) = &part.wear { (readings(&site, &show, whole, may_judge)) }
            @if part.part.start_um.is_none() { (by_eye::said(&show, &part)) }
            @if may_tell && is_on { (measure::form(&site, &part)) }
            @if may_change && is_on { (change::form(&site, &part)) }
            @if may_tell && is_on && is_counted { (use_form(&site, &part)) }
            @if may_change && is_on && part.part.tool_id.is_some() { (change::retire(&site, &part)) }
        }
    };
    Ok(Frame::of(&title)
        .site(&site)
        .user(Some(user))
        .around(&content))
}

/// What hangs on a net under tension: whoever works on it releases that first.
const TENSIONED: [WearPartKind; 4] = [
    WearPartKind::CentreStrap,
    WearPartKind::Net,
    WearPartKind::Headband,
    WearPartKind::Cable,
];

/// The key of a kind's word.
pub(super) fn kind_key(kind: WearPartKind) -> String {
    format!("wear-part-{}", key_part(kind.as_str()))
}

fn taken_off(site: &SiteRow, part: &PartSeen) -> Markup {
    html! {
        @if let Some(off) = part.part.retired_on {
            p.caution {
                (say_with("wear-taken-off", &[("date", date_short(off).into())]))
                @if let Some(why) = part.part.retired_why {
                    ": " (say(&format!("wear-why-{}", key_part(why.as_str()))))
                }
                "."
                @if let Some(next) = part.followed_by {
                    " " a.inline href=(address_of(site.id, next)) { (say("wear-next")) }
                }
            }
        }
        @if let Some(before) = part.part.follows_id {
            p { a.inline href=(address_of(site.id, before)) { (say("wear-before")) } }
        }
    }
}

fn worn(show: &Shown, whole: &WearWhole, is_on: bool) -> Markup {
    let wear = &whole.wear;
    html! {
        @if is_on {
            p { strong { (when(show, wear)) } }
            p { (how_long(show, wear)) }
            (advice(show, wear))
        }
        (chart::drawing(show, whole, Size::Large))
        p.hint { (say("wear-chart-key")) }
    }
}

fn facts(show: &Shown, part: &PartSeen) -> Markup {
    let cost = part.part.cost_cents.map(|cents| {
        let booked = [
            ("cost", show.money(cents).into()),
            ("booked", show.money(part.part.booked_cents).into()),
        ];
        say_with("wear-cost-of", &booked)
    });
    html! {
        dl.facts.is-wide {
            div { dt { (say("wear-fitted")) } dd { (date_short(part.part.fitted_on)) } }
            @if let Some(whole) = &part.wear {
                @let wear = &whole.wear;
                div { dt { (say("wear-used")) } dd { (far(show, wear.used_m)) } }
                div { dt { (say("wear-a-day")) } dd { (far(show, wear.used_a_day_m)) } }
                @if let [Some(early), Some(likely), _] = wear.left_m {
                    div { dt { (say("wear-left")) } dd {
                        (say_with("wear-left-about", &[("likely", far(show, likely).into()), ("early", far(show, early).into())]))
                    } }
                }
            }
            @if TIGHTENED.contains(&part.part.kind) {
                div { dt { (say("wear-tightened")) } dd { (say_with("wear-times", &[("count", part.tightenings.into())])) } }
            }
            div { dt { (say("wear-cost")) } dd { (cost.unwrap_or_else(|| say(if part.part.tool_id.is_some() { "wear-cost-flat" } else { "wear-cost-none" }))) } }
            @if let Some(pieces) = part.on_shelf {
                div { dt { (say("wear-shelf")) } dd { (pieces) } }
            }
        }
    }
}

fn readings(site: &SiteRow, show: &Shown, part: &WearWhole, may_judge: bool) -> Markup {
    html! {
        section.stops aria-labelledby="readings" {
            h2 #readings { (say("wear-all-readings")) }
            @if part.all_readings.is_empty() { p { (say("wear-no-readings")) } }
            ul.access-list {
                // The newest is wanted first.
                @for reading in part.all_readings.iter().rev() {
                    (row(site, show, reading, may_judge))
                }
            }
        }
    }
}

fn row(site: &SiteRow, show: &Shown, reading: &ReadingRow, may_judge: bool) -> Markup {
    let is_open = reading.state == ReadingState::Doubted;
    html! {
        li {
            p {
                strong { (length(show, reading.length_um)) } " · " (date_short(reading.measured_on))
                " · " (far(show, reading.used_mm / 1_000))
            }
            @if reading.state != ReadingState::Standing {
                p.caution {
                    (say(&format!("wear-state-{}", key_part(reading.state.as_str()))))
                    @if let Some(doubt) = reading.doubt.as_ref().filter(|_| is_open) {
                        ": " (say(&format!("wear-doubt-{}", key_part(doubt.0.as_str()))))
                    }
                }
            }
            @if may_judge && reading.state != ReadingState::Struck {
                details {
                    summary { (say("wear-wrong")) }
                    (verdicts(site.id, reading.id, is_open))
                }
            }
        }
    }
}

/// Confirms a reading that is doubted, or strikes one with a reason.
pub(super) fn verdicts(site_id: i64, reading: i64, is_doubted: bool) -> Markup {
    let here = format!("{}/readings/{reading}", address(site_id));
    html! {
        @if is_doubted {
            form method="post" action={ (here) "/confirm" } {
                (key())
                button.button type="submit" { (say("wear-confirm")) }
            }
        }
        form.hold method="post" action={ (here) "/strike" } {
            (key())
            label for={ "why-" (reading) } { (say("wear-why")) }
            input id={ "why-" (reading) } type="text" name="why" maxlength="500" required;
            button.button type="submit" { (say("wear-strike")) }
        }
    }
}

fn use_form(site: &SiteRow, part: &PartSeen) -> Markup {
    let unit = match site.units {
        Units::UsCustomary => "yd",
        Units::Metric => "m",
    };
    let (label, most) = if part.part.start_um.is_some() {
        (say_with("wear-far", &[("unit", unit.into())]), "5000000")
    } else {
        (say("wear-tightened-by-hand"), "1000")
    };
    html! {
        section.stops aria-labelledby="by-hand" {
            h2 #by-hand { (say("wear-by-hand")) }
            p { (say("wear-by-hand-lead")) }
            form.hold method="post" action={ (address_of(site.id, part.part.id)) "/uses" } {
                (key())
                label for="far" { (label) }
                input #far type="number" name=(if part.part.start_um.is_some() { "far" } else { "times" })
                    min={ "-" (most) } max=(most) step="1" required inputmode="numeric";
                label for="on" { (say("wear-on")) }
                input #on type="date" name="on";
                label for="note" { (say("wear-note")) }
                input #note type="text" name="note" maxlength="500";
                button.button.strong type="submit" { (say("wear-add")) }
            }
        }
    }
}

async fn tell(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    tools: Permit<SeeTools>,
    permit: Permit<CheckTool>,
    path: web::Path<(i64, i64)>,
    fields: Fields,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let key = key_of(field(&fields, "client_key"))?;
    let site = at_the_desk(&office, {
        let see = see.clone();
        move |o| site_read(o, &see)
    })
    .await?;
    let number = |name| read::<i64>(&fields, name, "wear-unreadable");
    let far = number("far")?.unwrap_or(0);
    let told = UseTold {
        metres: match site.units {
            Units::UsCustomary => metres_of(far),
            Units::Metric => far,
        },
        tightenings: number("times")?.unwrap_or(0),
        on: read(&fields, "on", "wear-unreadable")?,
        court_id: None,
        note: text(&fields, "note"),
    };
    match at_the_desk(&office, move |o| part_use_tell(o, &permit, id, key, &told)).await {
        Ok(_) => Ok(see_other(&address_of(site_id, id))),
        Err(problem) => refused(&office, &user, (see, tools), id, problem).await,
    }
}

/// The part's page again, with what was refused.
pub(super) async fn refused(
    office: &State,
    user: &PageUser,
    reader: Reader,
    id: i64,
    problem: Problem,
) -> Result<HttpResponse, Problem> {
    let text = wrong(problem)?;
    Ok(again(page(office, user, reader, id, Some(&text)).await?))
}

/// Metres in so many yards, to the nearest: a yard is 0.9144 m.
const fn metres_of(yards: i64) -> i64 {
    let scaled = yards.saturating_mul(9_144);
    scaled.saturating_add(5_000).div_euclid(10_000)
}

/// What a form about a reading sends, with who sends it.
type Judged = (State, PageUser, Reader, web::Path<(i64, i64)>, Fields);

async fn confirm(permit: Permit<JudgeReading>, sent: Judged) -> Result<HttpResponse, Problem> {
    judge(permit, sent, ReadingVerdict::Confirmed).await
}

async fn strike(permit: Permit<JudgeReading>, sent: Judged) -> Result<HttpResponse, Problem> {
    judge(permit, sent, ReadingVerdict::Struck).await
}

/// Decides, and shows the part. What is refused is said on the part's page.
async fn judge(
    permit: Permit<JudgeReading>,
    (office, user, (see, tools), path, fields): Judged,
    verdict: ReadingVerdict,
) -> Result<HttpResponse, Problem> {
    let (site_id, reading) = path.into_inner();
    let key = key_of(field(&fields, "client_key"))?;
    let told = VerdictTold {
        why: field(&fields, "why").cloned(),
    };
    let done = at_the_desk(&office, move |o| {
        reading_judge(o, &permit, reading, verdict, key, &told)
    });
    match done.await {
        Ok(row) => Ok(see_other(&address_of(site_id, row.wear_part_id))),
        Err(problem) => {
            let look = tools.clone();
            let part = at_the_desk(&office, move |o| part_of_reading(o, &look, reading)).await?;
            refused(&office, &user, (see, tools), part, problem).await
        }
    }
}
