//! The query of a request: which rows of a list, and which page of them.

use std::collections::BTreeSet;
use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::{FromRequest, HttpRequest};
use chrono::{Datelike, NaiveDate};
use serde::Deserialize;
use serde::de::DeserializeOwned;

use crate::http::Problem;
use crate::store::Page;

type Pairs = Vec<(String, String)>;

/// The parameters of a query. Unknown ones are refused by the type itself
/// (`deny_unknown_fields`).
#[derive(Clone, Debug)]
pub struct Query<T>(pub T);

impl<T: DeserializeOwned> FromRequest for Query<T> {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(
            pairs_of(req.query_string())
                .and_then(|pairs| parse(&pairs))
                .map(Self),
        )
    }
}

/// The parameters of a list: its page, and the rows it shows.
#[derive(Clone, Debug)]
pub struct Listing<F = Everything> {
    /// Which page.
    pub page: Page,
    /// Which rows.
    pub filter: F,
}

impl<F: DeserializeOwned> FromRequest for Listing<F> {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(Self::read(req.query_string()))
    }
}

impl<F: DeserializeOwned> Listing<F> {
    fn read(query: &str) -> Result<Self, Problem> {
        let (paging, others): (Pairs, Pairs) = pairs_of(query)?
            .into_iter()
            .partition(|(name, _)| name == "limit" || name == "cursor");
        Ok(Self {
            page: parse::<ListQuery>(&paging)?.page()?,
            filter: parse(&others)?,
        })
    }
}

/// The filter of a list that has none.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Everything {}

/// The parameters by name, each at most once.
fn pairs_of(query: &str) -> Result<Pairs, Problem> {
    let pairs: Pairs = form_urlencoded::parse(query.as_bytes())
        .into_owned()
        .collect();
    let mut seen = BTreeSet::new();
    for (name, value) in &pairs {
        if !seen.insert(name) {
            return Err(Problem::unreadable(name, "give it once"));
        }
        if value.contains('\0') {
            return Err(Problem::unreadable(name, "leave the NUL character out"));
        }
    }
    Ok(pairs)
}

fn parse<T: DeserializeOwned>(pairs: &Pairs) -> Result<T, Problem> {
    let text = serde_urlencoded::to_string(pairs)
        .map_err(|e| Problem::unreadable("query", e.to_string()))?;
    let query = serde_urlencoded::Deserializer::new(form_urlencoded::parse(text.as_bytes()));
    serde_path_to_error::deserialize(query)
        .map_err(|e| Problem::unreadable(e.path().to_string(), e.inner().to_string()))
}

/// A date in a query or path: `2031-06-10` (RFC 3339 `full-date`).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(try_from = "String")]
pub struct Day(pub NaiveDate);

impl TryFrom<String> for Day {
    type Error = &'static str;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        // Years of other than four digits do not fit into every engine's dates.
        let date = text.parse::<NaiveDate>().ok();
        date.filter(|date| text.len() == 10 && (1..=9999).contains(&date.year()))
            .map(Self)
            .ok_or("give a date of the calendar: 2031-06-10")
    }
}

/// An id in a query or path.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(try_from = "String")]
pub struct Id(pub i64);

impl TryFrom<String> for Id {
    type Error = &'static str;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        text.parse()
            .map(Self)
            .map_err(|_| "an id is a whole number")
    }
}

/// The list parameters `limit` and `cursor`.
#[derive(Clone, Debug, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct ListQuery {
    /// Rows a page, 1 to 200; 50 where not given.
    #[param(value_type = Option<i64>, minimum = 1, maximum = 200)]
    limit: Option<String>,
    /// Where the page starts: `next_cursor` of the page before.
    #[param(pattern = "^after-[0-9]{1,18}$")]
    cursor: Option<String>,
}

impl ListQuery {
    /// The page asked for.
    pub fn page(&self) -> Result<Page, Problem> {
        let limit = self.limit.as_deref().map_or(Ok(50), str::parse);
        let limit = limit
            .ok()
            .filter(|limit| (1..=Page::MOST).contains(limit))
            .ok_or_else(|| Problem::unreadable("limit", "ask for 1 to 200 rows a page"))?;
        let after = match &self.cursor {
            None => 0,
            Some(text) => read_cursor(text).ok_or_else(|| {
                Problem::unreadable(
                    "cursor",
                    "send next_cursor of the page before, or leave it out",
                )
            })?,
        };
        Ok(Page { after, limit })
    }
}

/// A cursor is opaque to the client: what it says may change.
pub fn write_cursor(id: i64) -> String {
    format!("after-{id}")
}

/// What a cursor stands for; none where it is not one of ours.
pub fn read_cursor(text: &str) -> Option<i64> {
    let digits = text.strip_prefix("after-")?;
    let plain =
        (1..=18).contains(&digits.len()) && digits.bytes().all(|byte| byte.is_ascii_digit());
    plain.then(|| digits.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cursor_comes_back_as_it_went_and_a_made_up_one_is_refused() {
        assert_eq!(read_cursor(&write_cursor(93)), Some(93));
        assert_eq!(read_cursor("93"), None);
        for made_up in [
            "after-",
            "after--1",
            "after-+1",
            "after-9999999999999999999",
        ] {
            assert_eq!(read_cursor(made_up), None, "{made_up}");
        }
    }

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Which {
        date: Option<Day>,
        crew_id: Option<Id>,
    }

    fn fault(query: &str) -> String {
        match Listing::<Which>::read(query) {
            Ok(listing) => format!("taken: {listing:?}"),
            Err(problem) => problem.to_string(),
        }
    }

    #[test]
    fn a_list_takes_its_page_and_its_own_filter() {
        let listing = Listing::<Which>::read("date=2031-06-10&limit=3&crew_id=7").unwrap();
        assert_eq!((listing.page.after, listing.page.limit), (0, 3));
        assert_eq!(
            listing.filter.date,
            Some(Day(NaiveDate::from_ymd_opt(2031, 6, 10).unwrap()))
        );
        assert_eq!(listing.filter.crew_id, Some(Id(7)));
        assert!(Listing::<Everything>::read("").is_ok());
    }

    #[test]
    fn what_cannot_be_read_is_told_by_the_parameters_name() {
        for query in [
            "date=tomorrow",
            "date=2031-02-30",
            "date=-5000-01-01",
            "date=+12031-01-01",
            "date=",
        ] {
            assert_eq!(
                fault(query),
                "date: give a date of the calendar: 2031-06-10",
                "{query}"
            );
        }
        assert_eq!(fault("crew_id=seven"), "crew_id: an id is a whole number");
        assert!(fault("crews=7").starts_with("crews: unknown field"));
        assert_eq!(fault("limit=1&limit=2"), "limit: give it once");
        for query in ["limit=0", "limit=201", "limit=abc", "limit="] {
            assert_eq!(
                fault(query),
                "limit: ask for 1 to 200 rows a page",
                "{query}"
            );
        }
    }
}
