//! The site's own words for its things: what a crew calls a tool or a task, in the language of each of its people.

use serde::{Deserialize, Serialize};
use unic_langid::LanguageIdentifier;
use utoipa::ToSchema;

use super::access::{EditSite, Permit, SeeSite};
use super::error::{FieldFault, Named};
use super::once::Once;
use super::{Error, Office, Result};
use crate::store::audit::{Change, Deed, audit_append, audit_edit};
use crate::store::courts::court_read;
use crate::store::pictures::{PictureKind, PictureSubject, picture_read};
use crate::store::site_words::{
    self, SiteWordRow, WordFilter, WordSubject, word_add, word_known, word_remove as row_remove,
};
use crate::store::{self, Conn, Page, Paged, Scope};

const LONGEST_SUBJECT: usize = 80;
const LONGEST_WORDS: usize = 200;

/// A word for a thing that has none in its language yet.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewSiteWord {
    /// The language (BCP 47): `es`, `pt-BR`.
    #[schema(example = "es")]
    pub language: String,
    /// What kind of thing it is for.
    pub subject_kind: WordSubject,
    /// Which one: the code of a tool class, care task or material, the id of a court, the word of a reason; 1 to 80 characters.
    #[schema(example = "soft_drag")]
    pub subject: String,
    /// The word, 1 to 200 characters.
    pub words: String,
    /// A picture of the thing, where there is one.
    pub picture_id: Option<i64>,
}

/// A word anew.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SiteWordEdit {
    /// The word, 1 to 200 characters.
    pub words: String,
    /// A picture of the thing; null for none.
    #[serde(deserialize_with = "Option::deserialize")]
    #[schema(required)]
    pub picture_id: Option<i64>,
}

/// A language as it is written everywhere: `pt-br` is `pt-BR`. None where it is no language tag (BCP 47).
pub(super) fn language_tag(text: &str) -> Option<String> {
    let tag: LanguageIdentifier = text.trim().parse().ok()?;
    let is_said = tag.language.as_str() != "und" && text.len() <= 35;
    is_said.then(|| tag.to_string())
}

/// What to do where a language is none.
pub(super) const LANGUAGE_MEND: &str = "give a language tag by BCP 47: en-US, es, pt-BR, ht, vi";

/// The site's words that pass the filter.
pub fn word_list(
    office: &Office,
    permit: &Permit<SeeSite>,
    filter: &WordFilter,
    page: Page,
) -> Result<Paged<SiteWordRow>> {
    Ok(office
        .db
        .read(|conn| site_words::word_list(conn, permit, filter, page))?)
}

/// One word.
pub fn word_read(office: &Office, permit: &Permit<SeeSite>, id: i64) -> Result<SiteWordRow> {
    office
        .db
        .read(|conn| site_words::word_read(conn, permit, id).named("word"))
}

/// Adds a word. [`Error::State`] where the thing has one in this language.
pub fn word_new(
    office: &Office,
    permit: &Permit<EditSite>,
    client_key: String,
    new: &NewSiteWord,
) -> Result<SiteWordRow> {
    let once = Once::new(client_key, "site-words".into(), new)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let mut faults = Vec::new();
            let language = language_tag(&new.language);
            if language.is_none() {
                faults.push(FieldFault::new("/language", LANGUAGE_MEND));
            }
            let word = SiteWordRow {
                id: 0,
                language: language.unwrap_or_default(),
                subject_kind: new.subject_kind,
                subject: new.subject.trim().to_owned(),
                words: new.words.trim().to_owned(),
                picture_id: new.picture_id,
                version: 1,
            };
            faults.extend(text_fault("/subject", &word.subject, LONGEST_SUBJECT));
            faults.extend(text_fault("/words", &word.words, LONGEST_WORDS));
            faults.extend(court_fault(tx.conn(), permit, &word)?);
            faults.extend(picture_fault(tx.conn(), permit, word.picture_id)?);
            if !faults.is_empty() {
                return Err(Error::Refused(faults));
            }
            let (language, kind) = (&word.language, word.subject_kind);
            if word_known(tx.conn(), permit, language, kind, &word.subject)? {
                return Err(Error::state(
                    "there is a word for this in this language: change that one".into(),
                ));
            }
            let id = word_add(tx, permit, &word)?;
            audit_append(tx, permit, &Deed::plain("added", "site_word", id))?;
            Ok(site_words::word_read(tx.conn(), permit, id)?)
        })
    })
}

/// Changes a word that still has `version`.
pub fn word_edit(
    office: &Office,
    permit: &Permit<EditSite>,
    id: i64,
    version: i64,
    edit: &SiteWordEdit,
) -> Result<SiteWordRow> {
    office.db.write(permit, |tx| {
        let before = site_words::word_read(tx.conn(), permit, id).named("word")?;
        let words = edit.words.trim();
        let mut faults = Vec::from_iter(text_fault("/words", words, LONGEST_WORDS));
        faults.extend(picture_fault(tx.conn(), permit, edit.picture_id)?);
        if !faults.is_empty() {
            return Err(Error::Refused(faults));
        }
        site_words::word_edit(tx, permit, id, version, (words, edit.picture_id))?;
        let after = site_words::word_read(tx.conn(), permit, id)?;
        let deed = Deed::plain("edited", "site_word", id);
        audit_edit(tx, permit, deed, Change::between(&before, &after)?, &[])?;
        Ok(after)
    })
}

/// Takes a word away.
pub fn word_remove(office: &Office, permit: &Permit<EditSite>, id: i64) -> Result<()> {
    office.db.write(permit, |tx| {
        row_remove(tx, permit, id).named("word")?;
        Ok(audit_append(
            tx,
            permit,
            &Deed::plain("removed", "site_word", id),
        )?)
    })
}

fn text_fault(field: &str, text: &str, longest: usize) -> Option<FieldFault> {
    let is_wrong = text.is_empty() || text.chars().count() > longest;
    is_wrong.then(|| FieldFault::new(field, format!("say it in 1 to {longest} characters")))
}

fn court_fault(
    conn: &mut Conn,
    scope: &Scope,
    word: &SiteWordRow,
) -> store::Result<Option<FieldFault>> {
    if word.subject_kind != WordSubject::Court {
        return Ok(None);
    }
    let mend = || FieldFault::new("/subject", "give the id of a court of this site");
    let Ok(id) = word.subject.parse() else {
        return Ok(Some(mend()));
    };
    match court_read(conn, scope, id) {
        Ok(_) => Ok(None),
        Err(store::Error::NotFound) => Ok(Some(mend())),
        Err(why) => Err(why),
    }
}

/// A picture that is not there, or was removed, shows nothing; one of an incident is not for everybody.
fn picture_fault(
    conn: &mut Conn,
    scope: &Scope,
    picture_id: Option<i64>,
) -> store::Result<Option<FieldFault>> {
    let Some(id) = picture_id else {
        return Ok(None);
    };
    let is_shown = match picture_read(conn, scope, id) {
        Ok(picture) => {
            picture.file_id.is_some()
                && picture.kind == PictureKind::Picture
                && picture.subject != Some(PictureSubject::Incident)
        }
        Err(store::Error::NotFound) => false,
        Err(why) => return Err(why),
    };
    let mend = "this site has no such picture to show";
    Ok((!is_shown).then(|| FieldFault::new("/picture_id", mend)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: RFC 5646 (BCP 47), section 2.1.1 for how tags are written.
    #[test]
    fn a_language_is_written_in_one_way_and_what_is_none_is_none() {
        assert_eq!(language_tag("pt-br").as_deref(), Some("pt-BR"));
        assert_eq!(language_tag(" ES ").as_deref(), Some("es"));
        assert_eq!(language_tag("zh-hant-tw").as_deref(), Some("zh-Hant-TW"));
        for none in ["", "spanish language", "e", "und", "es_MX/", "1"] {
            assert_eq!(language_tag(none), None, "{none}");
        }
    }
}
