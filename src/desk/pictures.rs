//! Pictures and voice notes from the courts. Each is an event of its own: one that is refused stops nothing else, and it may
//! come before or after what it is of.

mod keeping;
mod looking;
mod naming;

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::{Mutex, PoisonError};

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

pub(super) use naming::name_waiting;

use super::access::{Permit, RemovePicture, SeePictures, SendPicture};
use super::error::Named;
use super::happened::happened;
use super::incidents::is_named;
use super::once::Once;
use super::stops::actor;
use super::{Error, Office, Result};
use crate::store::audit::{Deed, Touch, audit_append_about};
use crate::store::pictures::{
    self, NewPicture, PictureFilter, PictureKind, PictureRow, PictureSubject, picture_add,
};
use crate::store::{
    self, Conn, Instant, Page, Paged, Scope, Tx, courts, defects, incidents, orders, tools,
};

/// Longest reason for a removal, characters.
const LONGEST_WHY: usize = 500;

/// How this process takes pictures.
#[derive(Debug)]
pub struct Settings {
    /// The folder they are laid into; in the database, where none is named.
    pub folder: Option<PathBuf>,
    /// Most bytes of one that is sent.
    pub most_bytes: usize,
    /// One is decoded at a time: each may fill much memory.
    turn: Mutex<()>,
}

impl Settings {
    /// Most bytes of a picture where nothing else is said: what a telephone makes fits.
    pub const MOST_BYTES: usize = 8 * 1024 * 1024;

    /// Into this folder, or the database, of at most so many bytes each.
    pub const fn new(folder: Option<PathBuf>, most_bytes: usize) -> Self {
        Self {
            folder,
            most_bytes,
            turn: Mutex::new(()),
        }
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self::new(None, Self::MOST_BYTES)
    }
}

/// What a picture is of, as it is told. Either none of the first three, or `subject` with one of the other two.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PictureTold {
    /// The kind of thing.
    pub subject: Option<PictureSubject>,
    /// Which one.
    pub subject_id: Option<i64>,
    /// The client's own key of the event that made it, which may come later.
    pub of_key: Option<String>,
    /// When it was taken; now, where it is not told.
    pub happened_at: Option<Instant>,
}

/// A picture or voice note, without its content.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[schema(as = Picture)]
pub struct PictureView {
    /// Id.
    pub id: i64,
    /// A picture, or a voice note.
    pub kind: PictureKind,
    /// What it is of; null where it is of nothing that the office has.
    pub subject: Option<PictureSubject>,
    /// Which one; null until the event that made it has come.
    pub subject_id: Option<i64>,
    /// The client's own key of that event.
    pub of_key: Option<String>,
    /// What its content is; null once it is removed.
    pub media_type: Option<String>,
    /// How long that is, bytes.
    pub bytes: Option<i64>,
    /// Width, px; null for a voice note.
    pub width_px: Option<i64>,
    /// Height, px.
    pub height_px: Option<i64>,
    /// When it was taken.
    pub happened_at: Instant,
    /// When it came in.
    pub learned_at: Instant,
    /// The user who sent it.
    pub sent_by: i64,
    /// When its content was removed.
    pub removed_at: Option<Instant>,
    /// The user who removed it.
    pub removed_by: Option<i64>,
    /// Why.
    pub removed_why: Option<String>,
}

/// The content of a picture, or of its thumbnail.
#[derive(Clone, Debug)]
pub struct Content {
    /// What it is.
    pub media_type: String,
    /// Its SHA-256, hexadecimal.
    pub sha256: String,
    /// The content itself.
    pub bytes: Vec<u8>,
}

impl From<PictureRow> for PictureView {
    fn from(row: PictureRow) -> Self {
        Self {
            id: row.id,
            kind: row.kind,
            subject: row.subject,
            subject_id: row.subject_id,
            of_key: row.of_key,
            media_type: row.media_type,
            bytes: row.bytes,
            width_px: row.width_px,
            height_px: row.height_px,
            happened_at: row.happened_at,
            learned_at: row.learned_at,
            sent_by: row.user_id,
            removed_at: row.removed_at,
            removed_by: row.removed_by,
            removed_why: row.removed_why,
        }
    }
}

/// Takes a picture or voice note that was sent.
pub fn picture_send(
    office: &Office,
    permit: &Permit<SendPicture>,
    client_key: String,
    told: &PictureTold,
    content: Vec<u8>,
) -> Result<PictureView> {
    let asked = (told, keeping::digest(&content));
    let once = Once::new(client_key, "pictures".into(), &asked)?;
    let is_named = told.subject_id.is_some() || told.of_key.is_some();
    if told.subject.is_some() != is_named || (told.subject_id.is_some() && told.of_key.is_some()) {
        let mend = "name subject together with either subject_id or of_key, or none of the three";
        return Err(Error::refused("subject", mend));
    }
    // Decoding takes its time: it is done before any transaction.
    let kept = {
        let _turn = office
            .pictures
            .turn
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        looking::look(content)?
    };
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let happened_at = happened(tx.now(), told.happened_at, "happened_at")?;
            let subject_id = subject_of(tx, permit, told)?;
            let settings = &office.pictures;
            let file_id = keeping::put(settings, tx, permit, kept.media_type, &kept.content)?;
            let thumbnail_file_id = match &kept.thumbnail {
                Some(small) => Some(keeping::put(settings, tx, permit, kept.media_type, small)?),
                None => None,
            };
            let new = NewPicture {
                kind: kept.kind,
                subject: told.subject,
                subject_id,
                of_key: told.of_key.as_deref(),
                file_id,
                thumbnail_file_id,
                size_px: kept.size_px.map(|(w, h)| (w.into(), h.into())),
                happened_at,
                user_id: actor(permit)?,
                client_key: &once.client_key,
            };
            let id = picture_add(tx, permit, &new)?;
            let picture = pictures::picture_read(tx.conn(), permit, id)?;
            note(
                tx,
                permit,
                "added",
                &picture,
                &keeping::digest(&kept.content),
            )?;
            Ok(picture.into())
        })
    })
}

/// The site's pictures that pass the filter.
pub fn picture_list(
    office: &Office,
    permit: &Permit<SeePictures>,
    filter: &PictureFilter,
    page: Page,
) -> Result<Paged<PictureView>> {
    Ok(office.db.read(|conn| -> store::Result<_> {
        let filter = PictureFilter {
            without_incidents: !is_named(conn, permit)?,
            ..filter.clone()
        };
        Ok(pictures::picture_list(conn, permit, &filter, page)?.map(PictureView::from))
    })?)
}

/// One picture, without its content.
pub fn picture_read(office: &Office, permit: &Permit<SeePictures>, id: i64) -> Result<PictureView> {
    office.db.read(|conn| Ok(seen(conn, permit, id)?.into()))
}

/// The content of a picture.
pub fn picture_content(office: &Office, permit: &Permit<SeePictures>, id: i64) -> Result<Content> {
    content(office, permit, id, |picture| picture.file_id)
}

/// The content of its thumbnail. A voice note has none.
pub fn picture_thumbnail(
    office: &Office,
    permit: &Permit<SeePictures>,
    id: i64,
) -> Result<Content> {
    content(office, permit, id, |picture| picture.thumbnail_file_id)
}

/// Takes a picture's content away for good: the row stays, with who did it, when and why.
pub fn picture_remove(
    office: &Office,
    permit: &Permit<RemovePicture>,
    id: i64,
    why: &str,
) -> Result<()> {
    let why = why.trim();
    if why.is_empty() || why.chars().count() > LONGEST_WHY {
        let mend = format!("say in 1 to {LONGEST_WHY} characters why it is removed");
        return Err(Error::refused("why", mend));
    }
    office.db.write(permit, |tx| {
        let picture = seen(tx.conn(), permit, id)?;
        if let Some(at) = picture.removed_at {
            return Err(Error::state(format!("this picture was removed at {at}")));
        }
        // A small picture is its own thumbnail.
        let files: BTreeSet<i64> = [picture.file_id, picture.thumbnail_file_id]
            .into_iter()
            .flatten()
            .collect();
        let sha256 = match picture.file_id {
            Some(file) => store::files::file_read(tx.conn(), permit, file)?.sha256,
            None => String::new(),
        };
        pictures::picture_remove(tx, permit, id, actor(permit)?, why)?;
        note(tx, permit, "removed", &picture, &sha256)?;
        for file in files {
            keeping::drop_unused(&office.pictures, tx, permit, file)?;
        }
        Ok(())
    })
}

fn content(
    office: &Office,
    permit: &Permit<SeePictures>,
    id: i64,
    which: impl Fn(&PictureRow) -> Option<i64>,
) -> Result<Content> {
    office.db.read(|conn| {
        let picture = seen(conn, permit, id)?;
        let file = which(&picture).ok_or(Error::NotFound("content"))?;
        let (file, bytes) = keeping::read(&office.pictures, conn, permit, file)?;
        Ok(Content {
            media_type: file.media_type,
            sha256: file.sha256,
            bytes,
        })
    })
}

/// A picture that the asker may see.
fn seen(conn: &mut Conn, scope: &Scope, id: i64) -> Result<PictureRow> {
    let picture = pictures::picture_read(conn, scope, id).named("picture")?;
    if picture.subject == Some(PictureSubject::Incident) && !is_named(conn, scope)? {
        return Err(Error::NotFound("picture"));
    }
    Ok(picture)
}

/// Which one a picture is of, as far as that is known yet.
fn subject_of(tx: &mut Tx<'_>, scope: &Scope, told: &PictureTold) -> Result<Option<i64>> {
    let Some(subject) = told.subject else {
        return Ok(None);
    };
    if let Some(key) = &told.of_key {
        return Ok(naming::named_by(tx, scope, subject, key)?);
    }
    if let Some(id) = told.subject_id {
        is_there(tx.conn(), scope, subject, id).map_err(|why| match why {
            store::Error::NotFound => {
                let mend = format!("this site has no {} with this id", subject.as_str());
                Error::refused("subject_id", mend)
            }
            other => other.into(),
        })?;
    }
    Ok(told.subject_id)
}

/// That the site has such a thing.
fn is_there(conn: &mut Conn, scope: &Scope, subject: PictureSubject, id: i64) -> store::Result<()> {
    match subject {
        PictureSubject::Order => orders::order_read(conn, scope, id).map(drop),
        PictureSubject::Court => courts::court_read(conn, scope, id).map(drop),
        PictureSubject::Tool => tools::tool_read(conn, scope, id).map(drop),
        PictureSubject::Reading => tools::reading_read(conn, scope, id).map(drop),
        PictureSubject::Incident => incidents::incident_read(conn, scope, id).map(drop),
        PictureSubject::Defect => defects::defect_read(conn, scope, id).map(drop),
    }
}

fn note(
    tx: &mut Tx<'_>,
    scope: &Scope,
    verb: &str,
    picture: &PictureRow,
    sha256: &str,
) -> Result<()> {
    let deed = Deed {
        verb,
        subject: "picture",
        id: picture.id,
        data: serde_json::json!({
            "of": picture.subject, "of_id": picture.subject_id, "of_key": picture.of_key,
            "sha256": sha256, "happened_at": picture.happened_at,
        }),
    };
    let about: Vec<Touch> = match (picture.subject, picture.subject_id) {
        (Some(PictureSubject::Order), Some(id)) => vec![("work_order", id)],
        (Some(PictureSubject::Court), Some(id)) => vec![("court", id)],
        _ => Vec::new(),
    };
    Ok(audit_append_about(tx, scope, &deed, &about)?)
}
