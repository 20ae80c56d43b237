//! A body arrives in time, or is not waited for any more.

use std::future::Future;
use std::io;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;

use actix_web::HttpMessage;
use actix_web::body::MessageBody;
use actix_web::dev::{Payload, ServiceRequest, ServiceResponse};
use actix_web::error::PayloadError;
use actix_web::middleware::Next;
use actix_web::web::Bytes;
use futures_core::Stream;
use tokio::time::Sleep;

use super::serving::Times;

/// Lets a request's body take its time and no more.
pub async fn body_in_time(
    mut req: ServiceRequest,
    next: Next<impl MessageBody>,
) -> Result<ServiceResponse<impl MessageBody>, actix_web::Error> {
    if !req.method().is_safe() {
        let time = req.app_data::<Times>().copied().unwrap_or_default().body;
        let body = Box::pin(InTime::new(req.take_payload(), time));
        req.set_payload(Payload::from(body as Pin<Box<dyn Stream<Item = _>>>));
    }
    next.call(req).await
}

/// Whether a body did not arrive in time.
pub fn is_too_slow(error: &PayloadError) -> bool {
    matches!(error, PayloadError::Io(why) if why.kind() == io::ErrorKind::TimedOut)
}

/// A body that ends with an error once its time is over.
struct InTime {
    body: Payload,
    over: Pin<Box<Sleep>>,
}

impl InTime {
    fn new(body: Payload, time: Duration) -> Self {
        Self {
            body,
            over: Box::pin(tokio::time::sleep(time)),
        }
    }
}

impl Stream for InTime {
    type Item = Result<Bytes, PayloadError>;

    fn poll_next(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        match Pin::new(&mut self.body).poll_next(cx) {
            Poll::Ready(piece) => Poll::Ready(piece),
            Poll::Pending => self
                .over
                .as_mut()
                .poll(cx)
                .map(|()| Some(Err(PayloadError::Io(io::ErrorKind::TimedOut.into())))),
        }
    }
}
