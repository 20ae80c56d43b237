//! Pictures and voice notes, and what each of them is of.

use diesel::prelude::*;

use super::columns::words;
use super::db::{Conn, Tx};
use super::schema::{files, pictures};
use super::{Error, Instant, Page, Paged, Result, Scope};

words! {
    /// What was sent.
    PictureKind {
        /// A picture.
        Picture = "picture",
        /// A spoken note.
        VoiceNote = "voice_note",
    }
}

words! {
    /// What a picture is of.
    PictureSubject {
        /// A work order.
        Order = "order",
        /// A defect.
        Defect = "defect",
        /// An incident or near miss: only those named for incidents see it.
        Incident = "incident",
        /// A court.
        Court = "court",
        /// A tool.
        Tool = "tool",
        /// A reading of a wear part.
        Reading = "reading",
    }
}

/// A picture or voice note.
#[derive(Clone, Debug, Queryable)]
pub struct PictureRow {
    /// Id.
    pub id: i64,
    /// What it is.
    pub kind: PictureKind,
    /// What it is of.
    pub subject: Option<PictureSubject>,
    /// Which one, once that is known.
    pub subject_id: Option<i64>,
    /// The client's own key of the event it belongs to.
    pub of_key: Option<String>,
    /// Its file; none once it is removed.
    pub file_id: Option<i64>,
    /// The file of its thumbnail; a voice note has none.
    pub thumbnail_file_id: Option<i64>,
    /// Media type of its file.
    pub media_type: Option<String>,
    /// Length of its file.
    pub bytes: Option<i64>,
    /// Width; a voice note has none.
    pub width_px: Option<i64>,
    /// Height.
    pub height_px: Option<i64>,
    /// When it was taken, as the sender's clock has it.
    pub happened_at: Instant,
    /// When it came in.
    pub learned_at: Instant,
    /// Who sent it.
    pub user_id: i64,
    /// When it was removed.
    pub removed_at: Option<Instant>,
    /// By whom.
    pub removed_by: Option<i64>,
    /// Why.
    pub removed_why: Option<String>,
}

/// A picture to be added.
#[derive(Clone, Debug)]
pub struct NewPicture<'a> {
    /// What it is.
    pub kind: PictureKind,
    /// What it is of.
    pub subject: Option<PictureSubject>,
    /// Which one, where that is known.
    pub subject_id: Option<i64>,
    /// The client's own key of the event it belongs to.
    pub of_key: Option<&'a str>,
    /// Its file.
    pub file_id: i64,
    /// The file of its thumbnail.
    pub thumbnail_file_id: Option<i64>,
    /// Width and height.
    pub size_px: Option<(i64, i64)>,
    /// When it was taken.
    pub happened_at: Instant,
    /// Who sends it.
    pub user_id: i64,
    /// The client's own key of it.
    pub client_key: &'a str,
}

/// Which pictures a list shows.
#[derive(Clone, Debug, Default)]
pub struct PictureFilter {
    /// Of this kind of thing only.
    pub subject: Option<PictureSubject>,
    /// Of this one thing only.
    pub subject_id: Option<i64>,
    /// Of the event with this key only.
    pub of_key: Option<String>,
    /// None of incidents.
    pub without_incidents: bool,
}

/// What a [`PictureRow`] is read from.
#[diesel::dsl::auto_type(no_type_alias)]
fn columns() -> _ {
    (
        pictures::id,
        pictures::kind,
        pictures::subject_kind,
        pictures::subject_id,
        pictures::of_key,
        pictures::file_id,
        pictures::thumbnail_file_id,
        files::media_type.nullable(),
        files::bytes.nullable(),
        pictures::width_px,
        pictures::height_px,
        pictures::happened_at,
        pictures::learned_at,
        pictures::user_id,
        pictures::removed_at,
        pictures::removed_by,
        pictures::removed_why,
    )
}

/// Adds a picture; gives its id.
pub fn picture_add(tx: &mut Tx<'_>, scope: &Scope, new: &NewPicture<'_>) -> Result<i64> {
    let now = tx.now();
    Ok(diesel::insert_into(pictures::table)
        .values((
            pictures::site_id.eq(scope.site_id()),
            pictures::kind.eq(new.kind),
            pictures::subject_kind.eq(new.subject),
            pictures::subject_id.eq(new.subject_id),
            pictures::of_key.eq(new.of_key),
            pictures::file_id.eq(new.file_id),
            pictures::thumbnail_file_id.eq(new.thumbnail_file_id),
            pictures::width_px.eq(new.size_px.map(|(width, _)| width)),
            pictures::height_px.eq(new.size_px.map(|(_, height)| height)),
            pictures::happened_at.eq(new.happened_at),
            pictures::learned_at.eq(now),
            pictures::user_id.eq(new.user_id),
            pictures::client_key.eq(new.client_key),
        ))
        .returning(pictures::id)
        .get_result(tx.conn())?)
}

/// The site's pictures that pass the filter, in order of id.
pub fn picture_list(
    conn: &mut Conn,
    scope: &Scope,
    filter: &PictureFilter,
    page: Page,
) -> Result<Paged<PictureRow>> {
    let mut query = pictures::table
        .left_join(files::table)
        .filter(
            pictures::site_id
                .eq(scope.site_id())
                .and(pictures::id.gt(page.after)),
        )
        .into_boxed();
    if let Some(subject) = filter.subject {
        query = query.filter(pictures::subject_kind.eq(subject));
    }
    if let Some(id) = filter.subject_id {
        query = query.filter(pictures::subject_id.eq(id));
    }
    if let Some(key) = &filter.of_key {
        query = query.filter(pictures::of_key.eq(key));
    }
    if filter.without_incidents {
        query = query.filter(
            pictures::subject_kind
                .is_null()
                .or(pictures::subject_kind.ne(PictureSubject::Incident)),
        );
    }
    let rows = query
        .order(pictures::id)
        .limit(page.fetch())
        .select(columns())
        .load(conn)?;
    Ok(page.of(rows, |picture: &PictureRow| picture.id))
}

/// One picture of the site.
pub fn picture_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<PictureRow> {
    Ok(pictures::table
        .left_join(files::table)
        .filter(
            pictures::site_id
                .eq(scope.site_id())
                .and(pictures::id.eq(id)),
        )
        .select(columns())
        .first(conn)?)
}

/// What the pictures are of that wait for the event with this key.
pub fn pictures_waiting(
    conn: &mut Conn,
    scope: &Scope,
    of_key: &str,
) -> Result<Vec<PictureSubject>> {
    Ok(pictures::table
        .filter(
            pictures::site_id
                .eq(scope.site_id())
                .and(pictures::of_key.eq(of_key))
                .and(pictures::subject_id.is_null()),
        )
        .select(pictures::subject_kind.assume_not_null())
        .distinct()
        .load(conn)?)
}

/// The pictures that waited for the event with this key are of this thing.
pub fn pictures_name(
    tx: &mut Tx<'_>,
    scope: &Scope,
    of_key: &str,
    subject: PictureSubject,
    id: i64,
) -> Result<()> {
    diesel::update(
        pictures::table.filter(
            pictures::site_id
                .eq(scope.site_id())
                .and(pictures::of_key.eq(of_key))
                .and(pictures::subject_kind.eq(subject))
                .and(pictures::subject_id.is_null()),
        ),
    )
    .set(pictures::subject_id.eq(id))
    .execute(tx.conn())?;
    Ok(())
}

/// Takes a picture's content away: its row stays, with who did it and why. [`Error::Stale`] where it is removed already.
pub fn picture_remove(tx: &mut Tx<'_>, scope: &Scope, id: i64, by: i64, why: &str) -> Result<()> {
    let now = tx.now();
    let rows = diesel::update(
        pictures::table.filter(
            pictures::site_id
                .eq(scope.site_id())
                .and(pictures::id.eq(id))
                .and(pictures::removed_at.is_null()),
        ),
    )
    .set((
        pictures::file_id.eq(None::<i64>),
        pictures::thumbnail_file_id.eq(None::<i64>),
        pictures::removed_at.eq(now),
        pictures::removed_by.eq(by),
        pictures::removed_why.eq(why),
    ))
    .execute(tx.conn())?;
    if rows == 1 { Ok(()) } else { Err(Error::Stale) }
}
