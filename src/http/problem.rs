//! What a client hears when something was not done: RFC 9457 problem documents, from one table.

use std::fmt;

use actix_web::http::StatusCode;
use actix_web::http::header::{self, HeaderValue};
use actix_web::{HttpResponse, ResponseError};
use serde::Serialize;
use serde_json::{Map, Value};

use super::seen::request_urn;
use crate::desk::error::Code;
use crate::desk::{self, FieldFault};
use crate::sight;
use crate::store;

/// Every kind of problem: its code, status and title.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The request is not of the schema.
    Unreadable,
    /// Nobody is signed in.
    NotSignedIn,
    /// The account has a second factor, and its code is missing or wrong.
    NeedsCode,
    /// The site asks the role for a second factor.
    NeedsSecondFactor,
    /// The role does not allow it.
    NotAllowed,
    /// The form came from another site's page.
    CrossSite,
    /// Nothing there, as far as the asker may know.
    NotFound,
    /// The path knows other methods.
    Method,
    /// The state does not allow it.
    State,
    /// Changed since it was read.
    Stale,
    /// The body did not arrive in time.
    TooSlow,
    /// The body is too large.
    TooLarge,
    /// The body is of another media type.
    MediaType,
    /// Well-formed, but refused.
    Refused,
    /// `If-Match` is missing.
    NeedsEtag,
    /// Too many tries.
    TooMany,
    /// As much is under way as may be.
    Busy,
    /// The service failed.
    Failed,
    /// The service cannot answer now.
    Unavailable,
}

impl Kind {
    /// Every row of the table.
    pub const ALL: &[Self] = &[
        Self::Unreadable,
        Self::NotSignedIn,
        Self::NotAllowed,
        Self::CrossSite,
        Self::NeedsCode,
        Self::NeedsSecondFactor,
        Self::NotFound,
        Self::Method,
        Self::State,
        Self::Stale,
        Self::TooSlow,
        Self::TooLarge,
        Self::MediaType,
        Self::Refused,
        Self::NeedsEtag,
        Self::TooMany,
        Self::Busy,
        Self::Failed,
        Self::Unavailable,
    ];

    /// The row: stable code, HTTP status, title.
    pub const fn row(self) -> (&'static str, StatusCode, &'static str) {
        match self {
            Self::Unreadable => (
                "unreadable",
                StatusCode::BAD_REQUEST,
                "The request cannot be read",
            ),
            Self::NotSignedIn => ("not_signed_in", StatusCode::UNAUTHORIZED, "Sign in first"),
            Self::NeedsCode => (
                "needs_code",
                StatusCode::UNAUTHORIZED,
                "Send the code of your second factor",
            ),
            Self::NeedsSecondFactor => (
                "needs_second_factor",
                StatusCode::FORBIDDEN,
                "Set up a second factor first",
            ),
            Self::NotAllowed => (
                "not_allowed",
                StatusCode::FORBIDDEN,
                "Your role does not allow this",
            ),
            Self::CrossSite => (
                "cross_site",
                StatusCode::FORBIDDEN,
                "Sent from another site's page",
            ),
            Self::NotFound => ("not_found", StatusCode::NOT_FOUND, "Not found"),
            Self::Method => (
                "method",
                StatusCode::METHOD_NOT_ALLOWED,
                "This path knows other methods",
            ),
            Self::State => ("state", StatusCode::CONFLICT, "Not in this state"),
            Self::Stale => (
                "stale",
                StatusCode::PRECONDITION_FAILED,
                "Changed since you read it",
            ),
            Self::TooSlow => (
                "too_slow",
                StatusCode::REQUEST_TIMEOUT,
                "The body took too long to arrive",
            ),
            Self::TooLarge => (
                "too_large",
                StatusCode::PAYLOAD_TOO_LARGE,
                "The body is too large",
            ),
            Self::MediaType => (
                "media_type",
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "The body is of another kind than is taken here",
            ),
            Self::Refused => (
                "refused",
                StatusCode::UNPROCESSABLE_ENTITY,
                "Refused as it stands",
            ),
            Self::NeedsEtag => (
                "needs_etag",
                StatusCode::PRECONDITION_REQUIRED,
                "Say which version you change",
            ),
            Self::TooMany => ("too_many", StatusCode::TOO_MANY_REQUESTS, "Too many tries"),
            Self::Busy => (
                "busy",
                StatusCode::TOO_MANY_REQUESTS,
                "As much is under way as may be",
            ),
            Self::Failed => (
                "failed",
                StatusCode::INTERNAL_SERVER_ERROR,
                "The service failed",
            ),
            Self::Unavailable => (
                "unavailable",
                StatusCode::SERVICE_UNAVAILABLE,
                "The service cannot answer now",
            ),
        }
    }
}

/// A problem document.
#[derive(Clone, Debug)]
pub struct Problem {
    kind: Kind,
    detail: String,
    faults: Vec<FieldFault>,
    // In a box: most problems have none.
    code: Option<Box<Code>>,
    header: Option<(header::HeaderName, String)>,
}

/// The document on the wire (`application/problem+json`).
#[derive(Debug, Serialize, utoipa::ToSchema)]
#[schema(as = Problem)]
pub struct ProblemDocument {
    /// A URI that names the kind of problem.
    #[serde(rename = "type")]
    #[schema(example = "urn:roundhand:problem:refused")]
    kind: String,
    /// The kind in words.
    title: &'static str,
    /// The HTTP status.
    status: u16,
    /// What is the matter here, and the mend.
    detail: String,
    /// A stable word for what is the matter, where a tablet may meet it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "court_held")]
    code: Option<&'static str>,
    /// What the words for it are filled in with.
    #[serde(skip_serializing_if = "Map::is_empty")]
    #[schema(value_type = Object)]
    values: Map<String, Value>,
    /// This one answer: its request's id, which the log tells too.
    #[serde(skip_serializing_if = "Option::is_none")]
    instance: Option<String>,
    /// The fields at fault, if any.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    faults: Vec<FieldFault>,
}

impl Problem {
    /// A problem of this kind.
    pub fn new(kind: Kind, detail: impl Into<String>) -> Self {
        Self {
            kind,
            detail: detail.into(),
            faults: Vec::new(),
            code: None,
            header: None,
        }
    }

    /// A request that is not of the schema, by field.
    pub fn unreadable(field: impl Into<String>, detail: impl Into<String>) -> Self {
        Self::of_field(Kind::Unreadable, field, detail)
    }

    /// A problem of this kind with one field.
    pub fn of_field(kind: Kind, field: impl Into<String>, detail: impl Into<String>) -> Self {
        let fault = FieldFault::new(field, detail);
        let mut problem = Self::new(kind, format!("{}: {}", fault.field, fault.detail));
        problem.faults.push(fault);
        problem
    }

    /// What is wrong and how to mend it, for people: the fields' names left out.
    pub fn in_words(&self) -> String {
        if self.faults.is_empty() {
            return self.detail.clone();
        }
        let all: Vec<&str> = self.faults.iter().map(|f| f.detail.as_str()).collect();
        all.join("; ")
    }

    /// What its own header says: how long to wait, or which methods there are.
    pub fn header(&self) -> Option<&str> {
        self.header.as_ref().map(|(_, value)| value.as_str())
    }

    /// The service cannot answer now; it may in a few seconds.
    pub fn unavailable(detail: &str) -> Self {
        Self {
            header: Some((header::RETRY_AFTER, "5".into())),
            ..Self::new(Kind::Unavailable, detail)
        }
    }

    /// The path is there, but knows only these methods.
    pub fn method(allow: &str) -> Self {
        // Whatever can be read can be asked for its headers alone.
        let allow = allow.replace("GET", "GET, HEAD");
        let mut problem = Self::new(Kind::Method, format!("this path takes {allow}"));
        problem.header = Some((header::ALLOW, allow));
        problem
    }

    /// Counts a try to sign in that came to this.
    pub fn note_refused_sign_in(&self) {
        match self.kind {
            Kind::NotSignedIn => sight::sign_in_refused("wrong"),
            Kind::TooMany => sight::sign_in_refused("too_many"),
            _ => {}
        }
    }

    /// The fields at fault.
    pub fn faults(&self) -> &[FieldFault] {
        &self.faults
    }

    /// A stable word for what is the matter, and what the words for it are filled in with.
    pub fn code(&self) -> Option<&Code> {
        self.code.as_deref()
    }

    /// Which kind it is.
    pub const fn kind(&self) -> Kind {
        self.kind
    }
}

impl From<desk::Error> for Problem {
    fn from(error: desk::Error) -> Self {
        use desk::Error;
        let detail = error.to_string();
        match error {
            Error::Unreadable(faults) => Self {
                faults,
                ..Self::new(Kind::Unreadable, detail)
            },
            Error::NotSignedIn(_) => Self::new(Kind::NotSignedIn, detail),
            Error::NeedsCode(_) => Self::new(Kind::NeedsCode, detail),
            Error::NeedsSecondFactor => Self::new(Kind::NeedsSecondFactor, detail),
            Error::NotAllowed(_) => Self::new(Kind::NotAllowed, detail),
            Error::NotFound(_) => Self::new(Kind::NotFound, detail),
            Error::State(_, code) => Self {
                code: code.map(Box::new),
                ..Self::new(Kind::State, detail)
            },
            Error::Stale => Self::new(Kind::Stale, detail),
            Error::Refused(faults) => {
                let all: Vec<_> = faults
                    .iter()
                    .map(|f| format!("{}: {}", f.field, f.detail))
                    .collect();
                Self {
                    faults,
                    ..Self::new(Kind::Refused, all.join("; "))
                }
            }
            Error::KeyReused => Self {
                code: Some(Box::new("key_reused".into())),
                ..Self::new(Kind::Refused, detail)
            },
            Error::TooMany(wait_s) => Self {
                header: Some((header::RETRY_AFTER, wait_s.to_string())),
                ..Self::new(Kind::TooMany, detail)
            },
            Error::Busy(_, wait_s) => Self {
                header: Some((header::RETRY_AFTER, wait_s.to_string())),
                ..Self::new(Kind::Busy, detail)
            },
            Error::Failed(store::Error::Unreachable(why)) => {
                tracing::error!(%why, "no connection to the database");
                Self::unavailable("the database cannot be reached now; try again in a moment")
            }
            Error::Failed(why) => {
                tracing::error!(error = ?why, "a request failed");
                Self::new(
                    Kind::Failed,
                    "something went wrong here, not in your request; it is in the log",
                )
            }
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.detail)
    }
}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        self.kind.row().1
    }

    fn error_response(&self) -> HttpResponse {
        let (code, status, title) = self.kind.row();
        let mut answer = HttpResponse::build(status);
        if let Some((name, value)) = &self.header
            && let Ok(value) = HeaderValue::from_str(value)
        {
            answer.insert_header((name.clone(), value));
        }
        if self.kind == Kind::TooSlow {
            // What is still to come of the body is not waited for (RFC 9110 section 15.5.9).
            answer.force_close();
        }
        if status == StatusCode::UNAUTHORIZED {
            answer.insert_header((header::WWW_AUTHENTICATE, "Bearer"));
        }
        let told = self.code.clone();
        answer
            .content_type("application/problem+json")
            .json(ProblemDocument {
                kind: format!("urn:roundhand:problem:{code}"),
                title,
                status: status.as_u16(),
                detail: self.detail.clone(),
                code: told.as_ref().map(|code| code.word),
                values: told.map(|code| code.values).unwrap_or_default(),
                instance: request_urn(),
                faults: self.faults.clone(),
            })
    }
}
