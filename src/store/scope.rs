//! The proof that somebody may see a site.

use std::net::IpAddr;

use diesel::prelude::*;

use super::columns::words;
use super::db::Conn;
use super::schema::{api_key_sites, api_keys, devices, memberships, second_factors, sites, users};
use super::users::UserKind;
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
        /// Stands in for the manager where a held court is to be opened.
        Deputy = "deputy",
    }
}

impl Role {
    /// Whether a site may ask who holds it for a second factor: who sees pay, or changes what others do.
    pub const fn may_need_second_factor(self) -> bool {
        matches!(self, Self::Manager | Self::Finance)
    }
}

/// As what somebody asks: in a role, as a crew's tablet, or with a key for pulls.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// See [`Role::Manager`].
    Manager,
    /// See [`Role::CrewLead`].
    CrewLead,
    /// See [`Role::CrewMember`].
    CrewMember,
    /// See [`Role::Finance`].
    Finance,
    /// See [`Role::FrontDesk`].
    FrontDesk,
    /// See [`Role::Deputy`].
    Deputy,
    /// A tablet of a crew of the site.
    Device,
    /// A key that sees what courts cost.
    CostKey,
    /// A key that sees the week reports.
    ReportKey,
}

impl Standing {
    /// The standing of who holds a role.
    pub const fn of(role: Role) -> Self {
        match role {
            Role::Manager => Self::Manager,
            Role::CrewLead => Self::CrewLead,
            Role::CrewMember => Self::CrewMember,
            Role::Finance => Self::Finance,
            Role::FrontDesk => Self::FrontDesk,
            Role::Deputy => Self::Deputy,
        }
    }

    /// The word for it.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Manager => Role::Manager.as_str(),
            Self::CrewLead => Role::CrewLead.as_str(),
            Self::CrewMember => Role::CrewMember.as_str(),
            Self::Finance => Role::Finance.as_str(),
            Self::FrontDesk => Role::FrontDesk.as_str(),
            Self::Deputy => Role::Deputy.as_str(),
            Self::Device => "a crew's tablet",
            Self::CostKey => "a key for cost",
            Self::ReportKey => "a key for reports",
        }
    }
}

/// Who acts, and from where as far as that is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Actor {
    /// The user.
    pub user_id: i64,
    /// The address the request came from.
    pub from: Option<IpAddr>,
}

impl Actor {
    /// A user who acts from within the house.
    pub const fn of(user_id: i64) -> Self {
        Self {
            user_id,
            from: None,
        }
    }
}

/// Proof that an actor belongs to a site, and as what. Only this file can make one, from what is stored; every query of a
/// site's rows asks for it.
#[derive(Clone, Debug)]
pub struct Scope {
    site_id: i64,
    actor: Option<Actor>,
    standings: Vec<Standing>,
}

impl Scope {
    /// Proves that `actor` belongs to `site_id`. [`Error::NotFound`] where the site, the user or the membership is not
    /// there, or the user is switched off: who may not know of a site cannot tell these apart. An owner of the installation
    /// belongs to every site in every role. [`Error::NeedsSecondFactor`] where the site asks the user's roles for a second
    /// factor, and they have none.
    pub fn prove(conn: &mut Conn, actor: Actor, site_id: i64) -> Result<Self> {
        let user: User = users::table
            .left_join(second_factors::table)
            .filter(users::id.eq(actor.user_id))
            .filter(users::disabled_at.is_null())
            .select((
                users::kind,
                users::is_owner,
                second_factors::confirmed_at.nullable().is_not_null(),
            ))
            .first(conn)?;
        let standings = match user.kind {
            UserKind::Person => of_person(conn, actor.user_id, &user, site_id)?,
            UserKind::Device => of_device(conn, actor.user_id, site_id)?,
            UserKind::Key => of_key(conn, actor.user_id, site_id)?,
        };
        if standings.is_empty() {
            return Err(Error::NotFound);
        }
        Ok(Self {
            site_id,
            actor: Some(actor),
            standings,
        })
    }

    /// The service itself at work on a site: jobs and set-up, where no user asks.
    pub(crate) const fn of_the_service(site_id: i64) -> Self {
        Self {
            site_id,
            actor: None,
            standings: Vec::new(),
        }
    }

    /// A tablet that was just let in by its code: what is noted of that has it as its actor. It may nothing by this.
    pub(crate) const fn of_the_tablet(site_id: i64, user_id: i64, from: Option<IpAddr>) -> Self {
        Self {
            site_id,
            actor: Some(Actor { user_id, from }),
            standings: Vec::new(),
        }
    }

    /// The site.
    pub const fn site_id(&self) -> i64 {
        self.site_id
    }

    /// The user who acts; none where the service itself does.
    pub fn user_id(&self) -> Option<i64> {
        self.actor.map(|actor| actor.user_id)
    }

    /// Who acts; none where the service itself does.
    pub const fn actor(&self) -> Option<Actor> {
        self.actor
    }

    /// Whether the actor stands to the site as one of these.
    pub fn is_any(&self, standings: &[Standing]) -> bool {
        self.standings.iter().any(|one| standings.contains(one))
    }
}

#[derive(Queryable)]
struct User {
    kind: UserKind,
    is_owner: bool,
    has_second_factor: bool,
}

fn of_person(conn: &mut Conn, user_id: i64, user: &User, site_id: i64) -> Result<Vec<Standing>> {
    let (roles, asked): (Vec<Role>, bool) = if user.is_owner {
        let asked = sites::table
            .find(site_id)
            .select(sites::second_factor_required)
            .first(conn)?;
        (Role::ALL.to_vec(), asked)
    } else {
        let rows: Vec<(Role, bool)> = memberships::table
            .inner_join(sites::table)
            .filter(
                memberships::site_id
                    .eq(site_id)
                    .and(memberships::user_id.eq(user_id)),
            )
            .select((memberships::role, sites::second_factor_required))
            .load(conn)?;
        let asked = rows.iter().any(|(_, asked)| *asked);
        (rows.into_iter().map(|(role, _)| role).collect(), asked)
    };
    if asked && !user.has_second_factor && roles.iter().any(|role| role.may_need_second_factor()) {
        return Err(Error::NeedsSecondFactor);
    }
    Ok(roles.into_iter().map(Standing::of).collect())
}

fn of_device(conn: &mut Conn, user_id: i64, site_id: i64) -> Result<Vec<Standing>> {
    let paired = devices::table.filter(
        devices::site_id
            .eq(site_id)
            .and(devices::user_id.eq(user_id))
            .and(devices::paired_at.is_not_null())
            .and(devices::revoked_at.is_null()),
    );
    let is_paired: bool = diesel::select(diesel::dsl::exists(paired)).get_result(conn)?;
    Ok(is_paired.then_some(Standing::Device).into_iter().collect())
}

/// A key reaches no further than who made it: once they lose the site, or are switched off, so does the key.
fn of_key(conn: &mut Conn, user_id: i64, site_id: i64) -> Result<Vec<Standing>> {
    let key: Option<(bool, bool, i64)> = api_keys::table
        .inner_join(api_key_sites::table)
        .filter(
            api_key_sites::site_id
                .eq(site_id)
                .and(api_keys::user_id.eq(user_id)),
        )
        .select((
            api_keys::sees_cost,
            api_keys::sees_reports,
            api_keys::made_by,
        ))
        .first(conn)
        .optional()?;
    let Some((sees_cost, sees_reports, made_by)) = key else {
        return Ok(Vec::new());
    };
    let of_maker = memberships::table.filter(
        memberships::site_id
            .eq(site_id)
            .and(memberships::user_id.eq(made_by))
            .and(memberships::role.eq_any([Role::Manager, Role::Finance])),
    );
    let maker = users::table.filter(
        users::id
            .eq(made_by)
            .and(users::disabled_at.is_null())
            .and(users::is_owner.or(diesel::dsl::exists(of_maker))),
    );
    let stands: bool = diesel::select(diesel::dsl::exists(maker)).get_result(conn)?;
    let cost = (stands && sees_cost).then_some(Standing::CostKey);
    let reports = (stands && sees_reports).then_some(Standing::ReportKey);
    Ok(cost.into_iter().chain(reports).collect())
}
