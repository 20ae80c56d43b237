//! The site's own words and pictures for its tools, tasks, courts, materials and reasons, as crews' tablets show them.

mod subjects;

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::parts::deed::{button, key, key_of};
use super::parts::form::{Fields, again, field, wrong};
use super::parts::frame::Frame;
use super::parts::key_part;
use super::session::PageUser;
use super::{answer, pictures, see_other};
use crate::desk::Permit;
use crate::desk::access::{EditSite, SeeSite, SendPicture};
use crate::desk::pictures::{PictureTold, Settings, picture_send};
use crate::desk::site_words::{
    NewSiteWord, SiteWordEdit, word_edit, word_list, word_new, word_read, word_remove,
};
use crate::desk::sites::site_read;
use crate::http::problem::{Kind, Problem};
use crate::http::read::FormBytes;
use crate::http::route::at;
use crate::http::{State, at_the_desk, tablet};
use crate::store::Page;
use crate::store::site_words::{SiteWordRow, WordFilter};
use crate::store::sites::SiteRow;
use crate::words::{knows, say, say_with};
use subjects::{Subjects, subjects_of};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    let of_word = "/words/{word_id:[0-9]+}";
    cfg.service(
        at("/words", "GET, POST")
            .route(web::get().to(read))
            .route(web::post().to(add)),
    )
    .service(at(of_word, "POST").route(web::post().to(edit)))
    .service(at(&format!("{of_word}/remove"), "POST").route(web::post().to(remove)))
    .service(at(&format!("{of_word}/picture/none"), "POST").route(web::post().to(without)))
    .service(
        at(&format!("{of_word}/picture/{{client_key}}"), "POST")
            .app_data(web::PayloadConfig::new(Settings::MOST_BYTES + 4_096))
            .route(web::post().to(show)),
    );
}

/// The page of a site's own words.
pub fn address(site_id: i64) -> String {
    format!("/sites/{site_id}/words")
}

/// All that the page shows.
struct View {
    site: SiteRow,
    words: Vec<SiteWordRow>,
    subjects: Subjects,
}

async fn read(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    _may: Permit<EditSite>,
) -> Result<HttpResponse, Problem> {
    Ok(answer(page(&office, &user, see, None).await?))
}

async fn page(
    office: &State,
    user: &PageUser,
    see: Permit<SeeSite>,
    wrong: Option<&str>,
) -> Result<Markup, Problem> {
    let view = at_the_desk(office, move |o| {
        Ok(View {
            site: site_read(o, &see)?,
            words: word_list(o, &see, &WordFilter::default(), Page::ALL)?.items,
            subjects: subjects_of(o, &see)?,
        })
    })
    .await?;
    let title = say("words-title");
    let content = html! {
        h1 { (title) }
        p { (say("words-lead")) }
        @if let Some(text) = wrong { p.wrong role="alert" { (text) } }
        (form(&view))
        section.stops aria-labelledby="own-words" {
            h2 #own-words { (say("words-own")) }
            @if view.words.is_empty() { p { (say("words-none")) } }
            ul.access-list { @for word in &view.words { (card(&view, word)) } }
        }
    };
    Ok(Frame::of(&title)
        .site(&view.site)
        .user(Some(user))
        .around(&content))
}

fn form(view: &View) -> Markup {
    html! {
        section.stops aria-labelledby="new-word" {
            h2 #new-word { (say("words-new")) }
            form.hold method="post" action=(address(view.site.id)) {
                (key())
                label for="subject" { (say("words-subject")) }
                select #subject name="subject" required {
                    @for (kind, all) in &view.subjects {
                        optgroup label=(say(&format!("words-kind-{}", key_part(kind.as_str())))) {
                            @for (code, name) in all { option value={ (kind) ":" (code) } { (name) } }
                        }
                    }
                }
                label for="language" { (say("words-language")) }
                select #language name="language" required {
                    @for tag in tablet::languages() { option value=(tag) { (language_name(&tag)) } }
                }
                label for="words" { (say("words-word")) }
                input #words type="text" name="words" maxlength="200" required;
                button.button.strong type="submit" { (say("words-add")) }
            }
        }
    }
}

fn card(view: &View, word: &SiteWordRow) -> Markup {
    let here = format!("{}/{}", address(view.site.id), word.id);
    let id = format!("word-{}", word.id);
    let name = subjects::name_of(&view.subjects, word);
    html! {
        li {
            p { strong { (name) } " · " (language_name(&word.language)) }
            form.hold method="post" action=(here) {
                input type="hidden" name="version" value=(word.version);
                label for=(id) { (say("words-word")) }
                input id=(id) type="text" name="words" maxlength="200" required value=(word.words);
                button.button type="submit" { (say("words-keep")) }
            }
            @if let Some(picture) = word.picture_id {
                img src=(pictures::address(view.site.id, picture, "thumbnail"))
                    alt=(say_with("words-picture-of", &[("name", name.as_str().into())]));
            }
            form.hold method="post" enctype="multipart/form-data"
                action={ (here) "/picture/" (uuid::Uuid::new_v4()) } {
                label for={ (id) "-file" } { (say("words-picture")) }
                input id={ (id) "-file" } type="file" name="file" accept="image/jpeg,image/png" required;
                button.button type="submit" { (say("words-picture-send")) }
            }
            div.deeds {
                @if word.picture_id.is_some() {
                    (button(&format!("{here}/picture/none"), &say("words-picture-none"), false))
                }
                (button(&format!("{here}/remove"), &say("words-remove"), false))
            }
        }
    }
}

/// A language by its own name; by its tag where the pages do not know it.
fn language_name(tag: &str) -> String {
    let key = format!("language-{}", tag.to_lowercase());
    if knows(&key) {
        say(&key)
    } else {
        tag.to_owned()
    }
}

async fn add(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<EditSite>,
    fields: Fields,
) -> Result<HttpResponse, Problem> {
    let key = key_of(field(&fields, "client_key"))?;
    let text = |name: &str| field(&fields, name).cloned().unwrap_or_default();
    let subject = text("subject");
    let choose = || Problem::new(Kind::Unreadable, say("words-choose"));
    let (kind, code) = subject.split_once(':').ok_or_else(choose)?;
    let new = NewSiteWord {
        language: text("language"),
        subject_kind: kind.parse().map_err(|_| choose())?,
        subject: code.to_owned(),
        words: text("words"),
        picture_id: None,
    };
    let done = at_the_desk(&office, move |o| word_new(o, &permit, key, &new));
    told(&office, &user, see, done.await).await
}

async fn edit(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<EditSite>,
    path: web::Path<(i64, i64)>,
    fields: Fields,
) -> Result<HttpResponse, Problem> {
    let id = path.1;
    let version = field(&fields, "version").and_then(|version| version.parse().ok());
    let version = version.ok_or_else(|| Problem::new(Kind::Unreadable, "version: a number"))?;
    let words = field(&fields, "words").cloned().unwrap_or_default();
    let seen = see.clone();
    let done = at_the_desk(&office, move |o| {
        let edit = SiteWordEdit {
            words,
            picture_id: word_read(o, &seen, id)?.picture_id,
        };
        word_edit(o, &permit, id, version, &edit)
    });
    told(&office, &user, see, done.await).await
}

async fn remove(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<EditSite>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let id = path.1;
    let done = at_the_desk(&office, move |o| word_remove(o, &permit, id)).await;
    match done {
        // A second tap finds it gone, which is what was asked.
        Err(problem) if problem.kind() == Kind::NotFound => Ok(see_other(&address(see.site_id()))),
        done => told(&office, &user, see, done).await,
    }
}

async fn show(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<EditSite>,
    send: Permit<SendPicture>,
    path: web::Path<(i64, i64, uuid::Uuid)>,
    FormBytes(content): FormBytes,
) -> Result<HttpResponse, Problem> {
    let (_, id, key) = path.into_inner();
    let seen = see.clone();
    let done = at_the_desk(&office, move |o| {
        let word = word_read(o, &seen, id)?;
        let told = PictureTold::default();
        let picture = picture_send(o, &send, key.to_string(), &told, content)?;
        let edit = SiteWordEdit {
            words: word.words,
            picture_id: Some(picture.id),
        };
        word_edit(o, &permit, id, word.version, &edit)
    });
    told(&office, &user, see, done.await).await
}

async fn without(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<EditSite>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let id = path.1;
    let seen = see.clone();
    let done = at_the_desk(&office, move |o| {
        let word = word_read(o, &seen, id)?;
        let edit = SiteWordEdit {
            words: word.words,
            picture_id: None,
        };
        word_edit(o, &permit, id, word.version, &edit)
    });
    told(&office, &user, see, done.await).await
}

/// Back to the page; with what was refused above it.
async fn told<T>(
    office: &State,
    user: &PageUser,
    see: Permit<SeeSite>,
    done: Result<T, Problem>,
) -> Result<HttpResponse, Problem> {
    match done {
        Ok(_) => Ok(see_other(&address(see.site_id()))),
        Err(problem) => {
            let text = wrong(problem)?;
            Ok(again(page(office, user, see, Some(&text)).await?))
        }
    }
}
