//! Pictures and voice notes.

use std::borrow::Cow;

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::{KnownFormat, ObjectBuilder, Schema, SchemaFormat, Type};
use utoipa::{IntoParams, OpenApi, PartialSchema, ToSchema};
use uuid::Uuid;

use crate::desk::Permit;
use crate::desk::access::{RemovePicture, SeePictures, SendPicture};
use crate::desk::pictures::{self, PictureTold, PictureView};
use crate::http::answer::{self, List};
use crate::http::read::{ClientKey, Id, ListQuery, Listing, Query, Upload};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::Instant;
use crate::store::pictures::{PictureFilter, PictureSubject};

#[derive(OpenApi)]
#[openapi(paths(list, send, read, remove, content, thumbnail))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/pictures", "GET, POST")
            .route(web::get().to(list))
            .route(web::post().to(send)),
    )
    .service(
        at("/pictures/{picture_id}", "GET, DELETE")
            .route(web::get().to(read))
            .route(web::delete().to(remove)),
    )
    .service(at("/pictures/{picture_id}/content", "GET").route(web::get().to(content)))
    .service(at("/pictures/{picture_id}/thumbnail", "GET").route(web::get().to(thumbnail)));
}

/// What a picture is, byte by byte.
enum Bytes {}

impl PartialSchema for Bytes {
    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::String)
            .format(Some(SchemaFormat::KnownFormat(KnownFormat::Binary)))
            .into()
    }
}

impl ToSchema for Bytes {
    fn name() -> Cow<'static, str> {
        "PictureBytes".into()
    }
}

/// What a picture is of.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct ToldQuery {
    /// The kind of thing it is of; with it either `subject_id` or `of_key`.
    subject: Option<PictureSubject>,
    /// Which one.
    #[param(value_type = Option<i64>)]
    subject_id: Option<Id>,
    /// The client's own key of the event that made it, which may come before or after the picture.
    of_key: Option<Uuid>,
    /// When it was taken; now, where it is not told.
    happened_at: Option<Instant>,
}

/// Which pictures a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct PictureQuery {
    /// Of this kind of thing only.
    subject: Option<PictureSubject>,
    /// Of this one thing only.
    #[param(value_type = Option<i64>)]
    subject_id: Option<Id>,
    /// Of the event with this key only.
    of_key: Option<Uuid>,
}

/// Why a picture is removed.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct Removal {
    /// Why, in 1 to 500 characters: it stays with the picture's row.
    #[param(min_length = 1, max_length = 500)]
    why: String,
}

/// The site's pictures and voice notes, without their content. Those of incidents show to who is named for incidents.
#[utoipa::path(get, path = "/sites/{site_id}/pictures", tag = "pictures",
    params(("site_id" = i64, Path), PictureQuery, ListQuery),
    responses((status = 200, body = List<PictureView>)))]
async fn list(
    office: State,
    permit: Permit<SeePictures>,
    req: HttpRequest,
    listing: Listing<PictureQuery>,
) -> Result<HttpResponse, Problem> {
    let filter = PictureFilter {
        subject: listing.filter.subject,
        subject_id: listing.filter.subject_id.map(|id| id.0),
        of_key: listing.filter.of_key.map(|key| key.to_string()),
        without_incidents: false,
    };
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| {
        pictures::picture_list(o, &permit, &filter, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}

/// Takes a picture (JPEG or PNG) or a voice note (`WebM`, Ogg or MP4). A picture is turned upright, made no larger than 2,048
/// pixels along its longer side, and rid of whatever else its file held, where it was taken among it.
#[utoipa::path(post, path = "/sites/{site_id}/pictures", tag = "pictures",
    params(("site_id" = i64, Path), ToldQuery,
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body(content((Bytes = "image/jpeg"), (Bytes = "image/png"), (Bytes = "audio/webm"), (Bytes = "audio/ogg"),
        (Bytes = "audio/mp4"))),
    responses((status = 201, body = PictureView), (status = 413, description = "Larger than this service takes"),
        (status = 422, description = "No picture, or not a whole one")))]
async fn send(
    office: State,
    permit: Permit<SendPicture>,
    Query(told): Query<ToldQuery>,
    key: ClientKey,
    Upload(content): Upload,
) -> Result<HttpResponse, Problem> {
    let told = PictureTold {
        subject: told.subject,
        subject_id: told.subject_id.map(|id| id.0),
        of_key: told.of_key.map(|key| key.to_string()),
        happened_at: told.happened_at,
    };
    let picture = at_the_desk(&office, move |o| {
        pictures::picture_send(o, &permit, key.0, &told, content)
    })
    .await?;
    Ok(HttpResponse::Created().json(picture))
}

/// One picture or voice note, without its content.
#[utoipa::path(get, path = "/sites/{site_id}/pictures/{picture_id}", tag = "pictures",
    params(("site_id" = i64, Path), ("picture_id" = i64, Path)),
    responses((status = 200, body = PictureView)))]
async fn read(
    office: State,
    permit: Permit<SeePictures>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let picture = at_the_desk(&office, move |o| pictures::picture_read(o, &permit, id)).await?;
    Ok(HttpResponse::Ok().json(picture))
}

/// Takes the content of a picture away for good. What was there, who removed it, when and why stays.
#[utoipa::path(delete, path = "/sites/{site_id}/pictures/{picture_id}", tag = "pictures",
    params(("site_id" = i64, Path), ("picture_id" = i64, Path), Removal),
    responses((status = 204), (status = 409, description = "It was removed already"),
        (status = 422, description = "No reason is told")))]
async fn remove(
    office: State,
    permit: Permit<RemovePicture>,
    path: web::Path<(i64, i64)>,
    Query(removal): Query<Removal>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    at_the_desk(&office, move |o| {
        pictures::picture_remove(o, &permit, id, &removal.why)
    })
    .await?;
    Ok(HttpResponse::NoContent().finish())
}

/// The content of a picture or voice note.
#[utoipa::path(get, path = "/sites/{site_id}/pictures/{picture_id}/content", tag = "pictures",
    params(("site_id" = i64, Path), ("picture_id" = i64, Path)),
    responses((status = 200, content((Bytes = "image/jpeg"), (Bytes = "image/png"), (Bytes = "audio/webm"),
            (Bytes = "audio/ogg"), (Bytes = "audio/mp4"))),
        (status = 304, description = "Its ETag is the one in If-None-Match"),
        (status = 404, description = "No such picture, or it was removed")))]
pub(in crate::http) async fn content(
    office: State,
    permit: Permit<SeePictures>,
    req: HttpRequest,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let content = at_the_desk(&office, move |o| pictures::picture_content(o, &permit, id)).await?;
    Ok(answer::content(&req, content))
}

/// A smaller picture, at most 320 pixels along its longer side. A voice note has none.
#[utoipa::path(get, path = "/sites/{site_id}/pictures/{picture_id}/thumbnail", tag = "pictures",
    params(("site_id" = i64, Path), ("picture_id" = i64, Path)),
    responses((status = 200, content((Bytes = "image/jpeg"), (Bytes = "image/png"))),
        (status = 304, description = "Its ETag is the one in If-None-Match"),
        (status = 404, description = "No such picture, or it was removed")))]
pub(in crate::http) async fn thumbnail(
    office: State,
    permit: Permit<SeePictures>,
    req: HttpRequest,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let content = at_the_desk(&office, move |o| {
        pictures::picture_thumbnail(o, &permit, id)
    })
    .await?;
    Ok(answer::content(&req, content))
}
