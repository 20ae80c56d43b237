//! What is of the whole installation: open to its owners alone, proved before a handler reads
//! anything of the request.

use std::future::{Ready, ready};

use actix_web::body::MessageBody;
use actix_web::dev::{Payload, ServiceRequest};
use actix_web::middleware::Next;
use actix_web::{FromRequest, HttpMessage, HttpRequest};

use super::at_the_desk;
use super::guard::{Guarded, office, pass};
use super::problem::{Kind, Problem};
use super::read::User;
use crate::desk::access::{self, Owner};

/// Lets a request pass whose user owns the installation, and notes the proof.
pub async fn of_an_owner<B: MessageBody + 'static>(
    req: ServiceRequest,
    next: Next<B>,
) -> Guarded<B> {
    let owner = prove(&req).await.map(|owner| {
        req.extensions_mut().insert(owner);
    });
    pass(req, next, owner).await
}

async fn prove(req: &ServiceRequest) -> Result<Owner, Problem> {
    let office = office(req)?;
    let user = req.extensions().get::<User>().copied();
    let user = user.ok_or_else(|| Problem::new(Kind::NotSignedIn, "sign in first"))?;
    at_the_desk(&office, move |o| access::owner(o, user.actor.user_id)).await
}

impl FromRequest for Owner {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        let owner = req.extensions().get::<Self>().copied();
        ready(owner.ok_or_else(|| Problem::new(Kind::NotSignedIn, "sign in first")))
    }
}
