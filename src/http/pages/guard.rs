//! Before a page is made: that a form comes from one of our own pages, and who is signed in.

use std::future::{Ready, ready};

use actix_web::body::MessageBody;
use actix_web::dev::{Payload, ServiceRequest};
use actix_web::http::header;
use actix_web::middleware::Next;
use actix_web::{FromRequest, HttpMessage, HttpRequest};

use super::session::{self, PageUser};
use crate::desk::Permit;
use crate::desk::access::{OpenIncident, SeeSite};
use crate::desk::incidents::incidents_unopened;
use crate::desk::sign_in::page_user;
use crate::desk::stops::stops_on;
use crate::http::address::ClientAddress;
use crate::http::at_the_desk;
use crate::http::guard::{Guarded, office, pass};
use crate::http::problem::{Kind, Problem};
use crate::http::reached::Reached;
use crate::http::read::User;
use crate::store::{Actor, Scope};

/// Refuses a request that changes something and does not come from one of our own pages: a cookie
/// goes along with whatever another site's page sends.
pub async fn from_our_own_page<B: MessageBody + 'static>(
    req: ServiceRequest,
    next: Next<B>,
) -> Guarded<B> {
    let own = if req.method().is_safe() || is_ours(req.request()) {
        Ok(())
    } else {
        Err(Problem::new(
            Kind::CrossSite,
            "the form came from another site's page",
        ))
    };
    pass(req, next, own).await
}

/// `Sec-Fetch-Site` says it where the connection is safe from others (W3C Fetch Metadata); over
/// plain HTTP `Origin` does, which every browser sends with a form (Fetch standard, section 3.2).
/// What carries neither is not one of our pages.
fn is_ours(req: &HttpRequest) -> bool {
    let told = |name: &str| req.headers().get(name).map(|v| v.to_str().unwrap_or(""));
    if let Some(site) = told("sec-fetch-site") {
        return site == "same-origin";
    }
    let origin = told(header::ORIGIN.as_str()).and_then(|origin| origin.split_once("://"));
    origin.is_some_and(|(_, host)| host.eq_ignore_ascii_case(&Reached::by(req).host))
}

/// Lets a request pass whose session holds, and notes its user.
pub async fn signed_in<B: MessageBody + 'static>(req: ServiceRequest, next: Next<B>) -> Guarded<B> {
    let from = ClientAddress::of(req.request()).0;
    let user = user_of(&req).await.map(|user| {
        let mut notes = req.extensions_mut();
        let actor = Actor {
            user_id: user.id,
            from,
        };
        notes.insert(User {
            actor,
            kind: user.kind,
        });
        notes.insert(user);
    });
    pass(req, next, user).await
}

async fn user_of(req: &ServiceRequest) -> Result<PageUser, Problem> {
    let office = office(req)?;
    let secret = session::secret(req.request())
        .ok_or_else(|| Problem::new(Kind::NotSignedIn, "no session"))?;
    let user = at_the_desk(&office, move |o| page_user(o, &secret)).await?;
    Ok(PageUser {
        id: user.id,
        kind: user.kind,
        name: user.name,
        is_owner: user.is_owner,
        stops: Vec::new(),
        incidents: 0,
    })
}

/// Notes for the page's head which stops are on at the site that was proved, and for a manager what was not opened yet.
pub async fn stops_of_the_site<B: MessageBody + 'static>(
    req: ServiceRequest,
    next: Next<B>,
) -> Guarded<B> {
    let noted = note_stops(&req).await;
    pass(req, next, noted).await
}

async fn note_stops(req: &ServiceRequest) -> Result<(), Problem> {
    let office = office(req)?;
    let scope = req.extensions().get::<Scope>().cloned();
    let scope = scope.ok_or_else(|| Problem::new(Kind::NotSignedIn, "no session"))?;
    let permit = Permit::<SeeSite>::of(scope).map_err(Problem::from)?;
    let (stops, incidents) = at_the_desk(&office, move |o| {
        let incidents = match Permit::<OpenIncident>::of((*permit).clone()) {
            Ok(manager) => incidents_unopened(o, &manager)?,
            Err(_) => 0,
        };
        Ok((stops_on(o, &permit)?, incidents))
    })
    .await?;
    if let Some(user) = req.extensions_mut().get_mut::<PageUser>() {
        user.stops = stops;
        user.incidents = incidents;
    }
    Ok(())
}

/// Who is signed in, for a page's head.
impl FromRequest for PageUser {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        let user = req.extensions().get::<Self>().cloned();
        ready(user.ok_or_else(|| Problem::new(Kind::NotSignedIn, "no session")))
    }
}
