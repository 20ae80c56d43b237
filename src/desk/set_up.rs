//! Setting a site up from readable data files.

use crate::store::Role;

/// A site that was set up, and who may sign in to it.
#[derive(Clone, Debug)]
pub struct SetUp {
    /// The site.
    pub site_id: i64,
    /// One account a role.
    pub accounts: Vec<Account>,
}

/// An account of a site that was set up.
#[derive(Clone, Debug, serde::Serialize)]
pub struct Account {
    /// Its role.
    pub role: Role,
    /// The address it signs in with.
    pub email: String,
    /// Its password, which is kept nowhere else in clear.
    pub password: String,
}
