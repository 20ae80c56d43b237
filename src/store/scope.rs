//! The proof that somebody may see a site.

use diesel::prelude::*;

use super::columns::words;
use super::db::Conn;
use super::schema::{memberships, sites, users};
use super::{Error, Result};

words! {
    /// What a user is to a site. A user may be several things to one site.
    Role {
        /// Rosters crews, plans and issues the day, answers for the courts.
        Manager = "manager",
        /// Leads a crew on the courts.
        CrewLead = "crew_lead",
        /// Works in a crew.
        CrewMember = "crew_member",
        /// Pulls what each court costs.
        Finance = "finance",
        /// Sees which court is fit and when.
        FrontDesk = "front_desk",
    }
}

/// Proof that an actor belongs to a site, and as what. Only this file can make one, from the
/// stored memberships; every query of a site's rows asks for it.
#[derive(Clone, Debug)]
pub struct Scope {
    site_id: i64,
    user_id: Option<i64>,
    roles: Vec<Role>,
}

impl Scope {
    /// Proves that `user_id` belongs to `site_id`. [`Error::NotFound`] where the site, the user or
    /// the membership is not there, or the user is switched off: who may not know of a site cannot
    /// tell these apart. An owner of the installation belongs to every site in every role.
    pub fn prove(conn: &mut Conn, user_id: i64, site_id: i64) -> Result<Self> {
        let is_owner: bool = users::table
            .find(user_id)
            .filter(users::disabled_at.is_null())
            .select(users::is_owner)
            .first(conn)?;
        let roles = if is_owner {
            sites::table
                .find(site_id)
                .select(sites::id)
                .first::<i64>(conn)?;
            Role::ALL.to_vec()
        } else {
            memberships::table
                .filter(
                    memberships::site_id
                        .eq(site_id)
                        .and(memberships::user_id.eq(user_id)),
                )
                .select(memberships::role)
                .load(conn)?
        };
        if roles.is_empty() {
            return Err(Error::NotFound);
        }
        Ok(Self {
            site_id,
            user_id: Some(user_id),
            roles,
        })
    }

    /// The service itself at work on a site: jobs and set-up, where no user asks.
    pub(crate) const fn of_the_service(site_id: i64) -> Self {
        Self {
            site_id,
            user_id: None,
            roles: Vec::new(),
        }
    }

    /// The site.
    pub const fn site_id(&self) -> i64 {
        self.site_id
    }

    /// The user who acts; none where the service itself does.
    pub const fn user_id(&self) -> Option<i64> {
        self.user_id
    }

    /// Whether the actor holds one of these roles.
    pub fn is_any(&self, roles: &[Role]) -> bool {
        self.roles.iter().any(|role| roles.contains(role))
    }
}
