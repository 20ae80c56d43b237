//! What changes at a site, as it changes.

use std::convert::Infallible;
use std::time::Duration;

use actix_web::http::header;
use actix_web::web::Bytes;
use actix_web::{HttpRequest, HttpResponse, web};
use futures_util::stream;
use tokio::sync::watch;
use tokio::time::{Instant, timeout};
use utoipa::{OpenApi, ToSchema};

use crate::desk::access::SeeSite;
use crate::desk::{self, Permit};
use crate::http::route::at;
use crate::http::serving::Times;
use crate::http::{Problem, State};

/// Most that watch one site by one process. Our own figure: a tablet a crew, and the office.
const MOST: usize = 200;
/// How long whoever finds no place waits, s.
const WAIT_S: u64 = 30;
/// How often it is looked whether the service is stopping.
const LOOK: Duration = Duration::from_secs(1);
/// How often something is said where nothing changes, so that nothing on the way takes the stream for dead, in looks.
const SAY_EVERY: u32 = 15;

#[derive(OpenApi)]
#[openapi(paths(live))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/live", "GET").route(web::get().to(live)));
}

/// What changes at the site, as server-sent events (WHATWG HTML, section 9.2): `changed` with the site's newest `seq`, at the
/// start and whenever anything changes, whichever instance of the service wrote it. Read what you show again then. The stream
/// ends now and then: come back.
#[utoipa::path(get, path = "/sites/{site_id}/live", tag = "tablet", params(("site_id" = i64, Path)),
    responses((status = 200, description = "A stream that stays open", body = LiveEvent, content_type = "text/event-stream")))]
async fn live(
    office: State,
    permit: Permit<SeeSite>,
    req: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let times = req.app_data::<Times>().copied().unwrap_or_default();
    if office.db.watching(&permit) >= MOST {
        let full = "as many watch this site as may: ask again in a moment";
        return Err(desk::Error::Busy(full.into(), WAIT_S).into());
    }
    let watching = Watching {
        changes: office.db.watch(&permit),
        until: Instant::now() + times.live,
        quiet: 0,
        is_new: true,
        office,
    };
    Ok(HttpResponse::Ok()
        .content_type("text/event-stream")
        .insert_header((header::CACHE_CONTROL, "no-store"))
        // What compresses, or stands between, would hold events back.
        .insert_header((header::CONTENT_ENCODING, "identity"))
        .insert_header(("x-accel-buffering", "no"))
        .streaming(stream::unfold(watching, next)))
}

/// One event of the stream.
#[derive(ToSchema)]
#[expect(dead_code, reason = "it says what the stream's text holds")]
struct LiveEvent {
    /// `changed`.
    event: String,
    /// JSON: `{"seq": 812}`, the site's newest number.
    data: String,
}

struct Watching {
    changes: watch::Receiver<i64>,
    until: Instant,
    quiet: u32,
    is_new: bool,
    office: State,
}

impl Watching {
    fn newest(&mut self) -> Bytes {
        let seq = *self.changes.borrow_and_update();
        format!("event: changed\ndata: {{\"seq\":{seq}}}\n\n").into()
    }
}

async fn next(mut watching: Watching) -> Option<(Result<Bytes, Infallible>, Watching)> {
    if watching.is_new {
        // Whoever comes back does not know what they missed.
        watching.is_new = false;
        let event = watching.newest();
        return Some((Ok(event), watching));
    }
    loop {
        if Instant::now() >= watching.until || watching.office.at_work.stopping() {
            return None;
        }
        match timeout(LOOK, watching.changes.changed()).await {
            Ok(Ok(())) => {
                watching.quiet = 0;
                let event = watching.newest();
                return Some((Ok(event), watching));
            }
            Ok(Err(_)) => return None,
            Err(_) => watching.quiet += 1,
        }
        if watching.quiet >= SAY_EVERY {
            watching.quiet = 0;
            return Some((Ok(Bytes::from_static(b": still here\n\n")), watching));
        }
    }
}
