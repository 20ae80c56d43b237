//! The things that a site can have its own words for, by kind, each with its code and what the pages call it.

use crate::desk::access::{SeeCare, SeeSite, SeeStores, SeeTools};
use crate::desk::care::care_standard_read;
use crate::desk::courts::court_list;
use crate::desk::stores::material_list;
use crate::desk::tools::tool_class_list;
use crate::desk::{self, Office, Permit};
use crate::http::pages::parts::key_part;
use crate::store::Page;
use crate::store::holds::HoldReason;
use crate::store::orders::UndoneReason;
use crate::store::site_words::{SiteWordRow, WordSubject};
use crate::words::say;

/// A kind of thing, with the things of it.
pub type Subjects = Vec<(WordSubject, Vec<(String, String)>)>;

/// Every thing of the site, as far as the reader may see it.
pub fn subjects_of(office: &Office, see: &Permit<SeeSite>) -> desk::Result<Subjects> {
    let scope = || (**see).clone();
    let classes = tool_class_list(office, &Permit::<SeeTools>::of(scope())?, Page::ALL)?.items;
    let care = Permit::<SeeCare>::of(scope())?;
    let tasks = care_standard_read(office, &care)?;
    let in_use = tasks.into_iter().filter(|task| task.in_use);
    let courts = court_list(office, see, Page::ALL)?.items;
    let materials = material_list(office, &Permit::<SeeStores>::of(scope())?, Page::ALL)?.items;
    Ok(vec![
        (
            WordSubject::ToolClass,
            classes
                .into_iter()
                .map(|one| (one.code, one.name))
                .collect(),
        ),
        (
            WordSubject::CareTask,
            in_use.map(|one| (one.code, one.name)).collect(),
        ),
        (
            WordSubject::Court,
            courts
                .into_iter()
                .map(|one| (one.id.to_string(), one.name))
                .collect(),
        ),
        (
            WordSubject::Material,
            materials
                .into_iter()
                .map(|one| (one.code, one.name))
                .collect(),
        ),
        (WordSubject::Reason, reasons()),
    ])
}

/// Why work is left undone and courts are held. One word serves both lists where they share it.
fn reasons() -> Vec<(String, String)> {
    let undone = UndoneReason::ALL
        .iter()
        .map(|reason| ("undone", reason.as_str()));
    let held = HoldReason::ALL
        .iter()
        .map(|reason| ("hold", reason.as_str()));
    let mut all: Vec<(String, String)> = undone
        .chain(held)
        .map(|(list, code)| {
            let words = say(&format!("{list}-{}", key_part(code)));
            (code.to_owned(), words)
        })
        .collect();
    let mut known = std::collections::HashSet::new();
    all.retain(|(code, _)| known.insert(code.clone()));
    all
}

/// What the pages call the thing of a word; its code where the site has it no more.
pub fn name_of(subjects: &Subjects, word: &SiteWordRow) -> String {
    let of_kind = subjects
        .iter()
        .filter(|(kind, _)| *kind == word.subject_kind);
    let mut things = of_kind.flat_map(|(_, things)| things);
    let found = things.find(|(code, _)| *code == word.subject);
    found.map_or_else(|| word.subject.replace('_', " "), |(_, name)| name.clone())
}
