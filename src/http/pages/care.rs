//! The care standard: what is done, how often and how pressing it is, and when it was last done.

mod last;
mod tasks;

use std::collections::HashMap;

use actix_web::http::StatusCode;
use actix_web::{HttpResponse, web};
use chrono::NaiveDate;
use maud::{Markup, html};
use serde::Deserialize;
use trade::calendar::work_date;
use trade::care::Urgency;

use super::parts::frame::Frame;
use super::parts::shown;
use super::session::PageUser;
use super::{answer, see_other};
use crate::desk::Permit;
use crate::desk::access::{EditCare, SeeCare, SeeSite, SeeTools};
use crate::desk::care::{
    CareTaskEdit, CareTaskView, Language, LastDoneOfBank, StandardBegun, care_standard_begin,
    care_standard_read, care_task_change, care_told_all,
};
use crate::desk::once::Once;
use crate::desk::sites::site_read;
use crate::desk::tools::tool_class_list;
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Page;
use crate::store::sites::SiteRow;
use crate::words::say;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/care", "GET").route(web::get().to(read)))
        .service(at("/care/begin", "POST").route(web::post().to(begin)))
        .service(at("/care/tasks/{care_task_id:[0-9]+}", "POST").route(web::post().to(change)))
        .configure(last::site_routes);
}

/// The page of a site's care standard.
pub fn address(site_id: i64) -> String {
    format!("/sites/{site_id}/care")
}

/// What it takes to look at the page.
type See = (Permit<SeeSite>, Permit<SeeCare>, Permit<SeeTools>);

async fn read(office: State, user: PageUser, see: See) -> Result<HttpResponse, Problem> {
    Ok(answer(page(&office, &user, see, &[]).await?))
}

/// The page again, with what was wrong on top.
async fn refused(
    office: &State,
    user: &PageUser,
    see: See,
    wrong: &[String],
) -> Result<HttpResponse, Problem> {
    let mut again = answer(page(office, user, see, wrong).await?);
    *again.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    Ok(again)
}

/// In which language a site begins its standard.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BeginForm {
    client_key: uuid::Uuid,
    language: Language,
}

/// Takes the standard that comes with the program. Where the site has one meanwhile, the page shows it.
async fn begin(
    office: State,
    permit: Permit<EditCare>,
    form: web::Form<BeginForm>,
) -> Result<HttpResponse, Problem> {
    let back = address(permit.site_id());
    let begun = StandardBegun {
        language: form.language,
    };
    let key = form.client_key.to_string();
    let taken = at_the_desk(&office, move |o| {
        let once = Once::new(key, "care-standard/shipped".into(), &begun)?;
        care_standard_begin(o, &permit, &begun, &once)
    })
    .await;
    super::parts::deed::too_late(taken)?;
    Ok(see_other(&back))
}

/// What the form of a task sends.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TaskForm {
    version: i64,
    urgency: Urgency,
    /// Given up, or taken up again; left as it is where the other button was pressed.
    in_use: Option<bool>,
}

async fn change(
    office: State,
    user: PageUser,
    see: See,
    permit: Permit<EditCare>,
    path: web::Path<(i64, i64)>,
    form: web::Form<TaskForm>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let form = form.into_inner();
    let edit = CareTaskEdit {
        urgency: Some(form.urgency),
        rule: None,
        base_s: None,
        rest_s: None,
        in_use: form.in_use,
    };
    let done = at_the_desk(&office, move |o| {
        care_task_change(o, &permit, Language::En.tag(), id, form.version, &edit)
    })
    .await;
    match done {
        Ok(_) => Ok(see_other(&format!("{}#task-{id}", address(site_id)))),
        Err(problem) if problem.kind() == Kind::Stale => {
            refused(&office, &user, see, &[say("care-changed-meanwhile")]).await
        }
        Err(problem) => Err(problem),
    }
}

/// What the page shows.
struct View {
    site: SiteRow,
    today: NaiveDate,
    tasks: Vec<CareTaskView>,
    /// The names of tool classes by code.
    classes: HashMap<String, String>,
    banks: Vec<LastDoneOfBank>,
    may_edit: bool,
}

async fn page(
    office: &State,
    user: &PageUser,
    (see_site, permit, see_tools): See,
    wrong: &[String],
) -> Result<Markup, Problem> {
    let now = office.now();
    let may_edit = Permit::<EditCare>::of((*permit).clone()).is_ok();
    let view = at_the_desk(office, move |o| {
        let site = site_read(o, &see_site)?;
        let classes = tool_class_list(o, &see_tools, Page::ALL)?.items;
        Ok(View {
            today: work_date(shown(&site).zone, now.utc()),
            site,
            tasks: care_standard_read(o, &permit)?,
            classes: classes
                .into_iter()
                .map(|class| (class.code, class.name))
                .collect(),
            banks: care_told_all(o, &permit)?,
            may_edit,
        })
    })
    .await?;
    let show = shown(&view.site);
    let title = say("care-title");
    let is_empty = view.tasks.iter().all(|task| !task.in_use);
    let content = html! {
        h1 { (title) }
        p { (say("care-lead")) }
        @if !wrong.is_empty() {
            div.wrong role="alert" {
                p { (say("care-not-taken")) }
                ul { @for text in wrong { li { (text) } } }
            }
        }
        @if is_empty {
            (tasks::begin(&view))
        } @else if view.may_edit {
            p.deeds { a.button href="#last" { (say("care-to-last")) } }
        }
        (tasks::groups(&show, &view))
        @if !is_empty { (last::section(&view)) }
    };
    Ok(Frame::of(&title)
        .site(&view.site)
        .user(Some(user))
        .around(&content))
}
