//! Banks and courts.

use super::access::{Permit, SeeSite};
use super::error::Named;
use super::{Office, Result};
use crate::store::courts::{self, BankRow, CourtRow};
use crate::store::{Page, Paged};

/// The site's banks.
pub fn bank_list(office: &Office, permit: &Permit<SeeSite>, page: Page) -> Result<Paged<BankRow>> {
    Ok(office
        .db
        .read(|conn| courts::bank_list(conn, permit, page))?)
}

/// The site's courts.
pub fn court_list(
    office: &Office,
    permit: &Permit<SeeSite>,
    page: Page,
) -> Result<Paged<CourtRow>> {
    Ok(office
        .db
        .read(|conn| courts::court_list(conn, permit, page))?)
}

/// One court.
pub fn court_read(office: &Office, permit: &Permit<SeeSite>, id: i64) -> Result<CourtRow> {
    office
        .db
        .read(|conn| courts::court_read(conn, permit, id).named("court"))
}
