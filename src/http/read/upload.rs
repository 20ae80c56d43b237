//! A picture or voice note in a request as the body itself.

use std::future::ready;

use actix_web::dev::Payload;
use actix_web::http::header;
use actix_web::{FromRequest, HttpMessage, HttpRequest, web};

use super::not_whole;
use crate::http::State;
use crate::http::problem::{Kind, Problem};

/// What a body may be said to be. What it is, is looked at and not believed.
const TAKEN: [&str; 5] = [
    "image/jpeg",
    "image/png",
    "audio/webm",
    "audio/ogg",
    "audio/mp4",
];

/// The content of a picture or voice note, up to what the process takes.
pub struct Upload(pub Vec<u8>);

impl FromRequest for Upload {
    type Error = Problem;
    type Future = std::pin::Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(req: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let mime = req.mime_type().ok().flatten();
        let is_taken = mime.is_some_and(|mime| TAKEN.contains(&mime.essence_str()));
        if !is_taken || req.headers().contains_key(header::CONTENT_ENCODING) {
            let detail = format!("send it as {}, without Content-Encoding", TAKEN.join(", "));
            return Box::pin(ready(Err(Problem::new(Kind::MediaType, detail))));
        }
        let Some(office) = req.app_data::<State>() else {
            let problem = Problem::new(Kind::Failed, "the service is not set up");
            return Box::pin(ready(Err(problem)));
        };
        let most = office.pictures.most_bytes;
        let told = req.headers().get(header::CONTENT_LENGTH);
        let told = told.and_then(|length| length.to_str().ok()?.parse::<usize>().ok());
        if told.is_some_and(|told| told > most) {
            return Box::pin(ready(Err(too_large(most))));
        }
        let body = web::Payload::from_request(req, payload);
        Box::pin(async move {
            let body = body.await.map_err(|e| not_whole(&e))?;
            match body.to_bytes_limited(most).await {
                Ok(whole) => Ok(Self(whole.map_err(|e| not_whole(&e))?.into())),
                Err(_) => Err(too_large(most)),
            }
        })
    }
}

fn too_large(most: usize) -> Problem {
    let mend = format!("a picture holds at most {most} bytes: make it smaller and send it again");
    Problem::new(Kind::TooLarge, mend)
}
