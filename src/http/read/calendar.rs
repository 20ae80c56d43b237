//! A calendar in a request as the body itself, and a file of any kind as a page's form sends it.

use actix_web::dev::Payload;
use actix_web::http::header;
use actix_web::{FromRequest, HttpMessage, HttpRequest, web};
use std::future::ready;

use crate::desk::calendars::import::MOST_BYTES;
use crate::http::problem::{Kind, Problem};

type Read<T> = std::pin::Pin<Box<dyn Future<Output = Result<T, Problem>>>>;

/// A body of `text/calendar`.
pub struct CalendarText(pub String);

impl FromRequest for CalendarText {
    type Error = Problem;
    type Future = Read<Self>;

    fn from_request(req: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let mime = req.mime_type().ok().flatten();
        let named = mime.is_some_and(|mime| mime.essence_str() == "text/calendar");
        if !named || req.headers().contains_key(header::CONTENT_ENCODING) {
            let detail = "send the calendar as text/calendar, without Content-Encoding";
            return Box::pin(ready(Err(Problem::new(Kind::MediaType, detail))));
        }
        let bytes = whole(req, payload);
        Box::pin(async move { text(bytes.await?).map(Self) })
    }
}

/// The one file of a form, which is a text: `multipart/form-data` by RFC 7578.
pub struct FormFile(pub String);

impl FromRequest for FormFile {
    type Error = Problem;
    type Future = Read<Self>;

    fn from_request(req: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let file = FormBytes::from_request(req, payload);
        Box::pin(async move { text(file.await?.0.into()).map(Self) })
    }
}

/// The one file of a form, whatever it holds.
pub struct FormBytes(pub Vec<u8>);

impl FromRequest for FormBytes {
    type Error = Problem;
    type Future = Read<Self>;

    fn from_request(req: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let mime = req.mime_type().ok().flatten();
        let boundary = mime
            .filter(|mime| mime.essence_str() == "multipart/form-data")
            .and_then(|mime| {
                mime.get_param("boundary")
                    .map(|boundary| boundary.to_string())
            });
        let Some(boundary) = boundary else {
            let detail = "send the file by the form of the page";
            return Box::pin(ready(Err(Problem::new(Kind::MediaType, detail))));
        };
        let bytes = whole(req, payload);
        Box::pin(async move {
            let bytes = bytes.await?;
            let file = file_in(&bytes, &boundary)
                .ok_or_else(|| Problem::unreadable("file", "choose a file and send it again"))?;
            Ok(Self(file.to_vec()))
        })
    }
}

fn whole(req: &HttpRequest, payload: &mut Payload) -> Read<web::Bytes> {
    let bytes = web::Bytes::from_request(req, payload);
    Box::pin(async move {
        bytes.await.map_err(|e| {
            if e.as_response_error().status_code() == Kind::TooLarge.row().1 {
                Problem::new(
                    Kind::TooLarge,
                    format!("a file holds at most {MOST_BYTES} bytes"),
                )
            } else {
                super::not_whole(&e)
            }
        })
    })
}

/// What a file holds, by what is in it and not by its name: a picture or a program is no text.
fn text(bytes: web::Bytes) -> Result<String, Problem> {
    let text = String::from_utf8(bytes.into()).map_err(|_| {
        Problem::of_field(
            Kind::MediaType,
            "body",
            "this is no text: send a text file in UTF-8",
        )
    })?;
    if text.contains('\0') {
        let detail = "this is no text: it holds NUL characters";
        return Err(Problem::of_field(Kind::MediaType, "body", detail));
    }
    Ok(text)
}

/// The content of the first part: a form of one file has no other.
fn file_in<'a>(body: &'a [u8], boundary: &str) -> Option<&'a [u8]> {
    let find = |from: &[u8], what: &[u8]| from.windows(what.len()).position(|at| at == what);
    let rest = body.strip_prefix(format!("--{boundary}\r\n").as_bytes())?;
    let content = &rest[find(rest, b"\r\n\r\n")? + 4..];
    Some(&content[..find(content, format!("\r\n--{boundary}").as_bytes())?])
}

#[cfg(test)]
mod tests {
    use super::*;

    // RFC 7578 section 4.
    #[test]
    fn the_file_of_a_form_is_what_stands_between_its_boundaries() {
        let body = b"--b\r\nContent-Disposition: form-data; name=\"file\"\r\n\r\nBEGIN\r\nEND\r\n\r\n--b--\r\n";
        assert_eq!(file_in(body, "b"), Some(&b"BEGIN\r\nEND\r\n"[..]));
        for broken in [
            &b"--b\r\n"[..],
            b"",
            b"--b\r\n\r\n\r\nBEGIN",
            b"--c\r\n\r\n\r\nBEGIN\r\n--c--",
        ] {
            assert_eq!(file_in(broken, "b"), None);
        }
    }
}
