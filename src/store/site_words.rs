//! The site's own words for its things, in the languages of its people.

use diesel::prelude::*;
use serde::Serialize;

use super::columns::words;
use super::db::{Conn, Tx};
use super::schema::site_words;
use super::{Error, Page, Paged, Result, Scope};

words! {
    /// What a word is for.
    WordSubject {
        /// A tool class, by its code.
        ToolClass = "tool_class",
        /// A care task, by its code.
        CareTask = "care_task",
        /// A court, by its id.
        Court = "court",
        /// A material, by its code.
        Material = "material",
        /// A reason, by the word of the API.
        Reason = "reason",
    }
}

/// The site's own word for a thing in a language.
#[derive(
    Clone,
    Debug,
    PartialEq,
    Eq,
    Queryable,
    Selectable,
    Serialize,
    serde::Deserialize,
    utoipa::ToSchema,
)]
#[diesel(table_name = site_words)]
#[schema(as = SiteWord)]
pub struct SiteWordRow {
    /// Id.
    pub id: i64,
    /// The language (BCP 47).
    pub language: String,
    /// What kind of thing it is for.
    pub subject_kind: WordSubject,
    /// Which one: its code, id or word.
    pub subject: String,
    /// The word.
    pub words: String,
    /// A picture of the thing, where there is one.
    pub picture_id: Option<i64>,
    /// Version.
    pub version: i64,
}

/// Which words a list shows.
#[derive(Clone, Debug, Default)]
pub struct WordFilter {
    /// Of this language only.
    pub language: Option<String>,
    /// For this kind of thing only.
    pub subject_kind: Option<WordSubject>,
}

/// The site's words that pass the filter, in order of id.
pub fn word_list(
    conn: &mut Conn,
    scope: &Scope,
    filter: &WordFilter,
    page: Page,
) -> Result<Paged<SiteWordRow>> {
    let mut query = site_words::table
        .filter(
            site_words::site_id
                .eq(scope.site_id())
                .and(site_words::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(language) = &filter.language {
        query = query.filter(site_words::language.eq(language));
    }
    if let Some(kind) = filter.subject_kind {
        query = query.filter(site_words::subject_kind.eq(kind));
    }
    let rows = query
        .order(site_words::id)
        .limit(page.fetch())
        .select(SiteWordRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |word| word.id))
}

/// One word of the site.
pub fn word_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<SiteWordRow> {
    Ok(site_words::table
        .filter(
            site_words::site_id
                .eq(scope.site_id())
                .and(site_words::id.eq(id)),
        )
        .select(SiteWordRow::as_select())
        .first(conn)?)
}

/// Whether the site has a word for a thing in a language.
pub fn word_known(
    conn: &mut Conn,
    scope: &Scope,
    language: &str,
    kind: WordSubject,
    subject: &str,
) -> Result<bool> {
    let known = site_words::table.filter(
        site_words::site_id
            .eq(scope.site_id())
            .and(site_words::language.eq(language))
            .and(site_words::subject_kind.eq(kind))
            .and(site_words::subject.eq(subject)),
    );
    Ok(diesel::select(diesel::dsl::exists(known)).get_result(conn)?)
}

/// Adds a word; its id and version are given anew. Gives its id.
pub fn word_add(tx: &mut Tx<'_>, scope: &Scope, word: &SiteWordRow) -> Result<i64> {
    Ok(diesel::insert_into(site_words::table)
        .values((
            site_words::site_id.eq(scope.site_id()),
            site_words::language.eq(&word.language),
            site_words::subject_kind.eq(word.subject_kind),
            site_words::subject.eq(&word.subject),
            site_words::words.eq(&word.words),
            site_words::picture_id.eq(word.picture_id),
            site_words::version.eq(1),
        ))
        .returning(site_words::id)
        .get_result(tx.conn())?)
}

/// Changes a word that still has `version`; else [`Error::Stale`].
pub fn word_edit(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    version: i64,
    (words, picture_id): (&str, Option<i64>),
) -> Result<()> {
    let rows = diesel::update(
        site_words::table.filter(
            site_words::site_id
                .eq(scope.site_id())
                .and(site_words::id.eq(id))
                .and(site_words::version.eq(version)),
        ),
    )
    .set((
        site_words::words.eq(words),
        site_words::picture_id.eq(picture_id),
        site_words::version.eq(site_words::version + 1),
    ))
    .execute(tx.conn())?;
    if rows == 1 { Ok(()) } else { Err(Error::Stale) }
}

/// Takes a word away; [`Error::NotFound`] where there is none.
pub fn word_remove(tx: &mut Tx<'_>, scope: &Scope, id: i64) -> Result<()> {
    let row = site_words::table.filter(
        site_words::site_id
            .eq(scope.site_id())
            .and(site_words::id.eq(id)),
    );
    match diesel::delete(row).execute(tx.conn())? {
        0 => Err(Error::NotFound),
        _ => Ok(()),
    }
}
