//! Who asks.

use diesel::prelude::*;
use roundhand::store::schema::{memberships, users};
use roundhand::store::sites::{SiteRow, Units, site_found};
use roundhand::store::users::{NewUser, UserKind, user_add};
use roundhand::store::{Error, Role};

use crate::support::{Client, House, key_of, tablet_of};

/// Somebody who asks, in the order of the table's columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Persona {
    /// Carries no token.
    Unsigned,
    /// Manager of the site.
    Manager,
    /// Leads a crew there.
    CrewLead,
    /// Works in one.
    CrewMember,
    /// Finance of the site.
    Finance,
    /// Its front desk.
    FrontDesk,
    /// Deputy of the site's manager.
    Deputy,
    /// Owner of the installation, member of no site.
    Owner,
    /// Manager of another site.
    OtherManager,
    /// Was a manager of the site and is switched off, with a token of a session that was not ended.
    Disabled,
    /// A crew's tablet of the site.
    Device,
    /// A key for pulls that sees cost and reports of the site.
    Key,
}

impl Persona {
    /// All, in the order of the table's columns.
    pub const ALL: [Self; 12] = [
        Self::Unsigned,
        Self::Manager,
        Self::CrewLead,
        Self::CrewMember,
        Self::Finance,
        Self::FrontDesk,
        Self::Deputy,
        Self::Owner,
        Self::OtherManager,
        Self::Disabled,
        Self::Device,
        Self::Key,
    ];
}

/// A client for everybody.
pub struct Everybody {
    clients: Vec<Client>,
    /// The site of [`Persona::OtherManager`].
    pub other_site: i64,
}

impl Everybody {
    /// Everybody at a house.
    pub async fn of(house: &House) -> Self {
        let (owner, other, disabled, other_site) = db_further_users(house);
        let with = |user_id: i64| house.nobody().with_token(&house.db_token_of(user_id));
        let mut clients = Vec::new();
        for persona in Persona::ALL {
            clients.push(match persona {
                Persona::Unsigned => house.nobody(),
                Persona::Manager => house.manager().await,
                Persona::CrewLead => house.as_role(Role::CrewLead).await,
                Persona::CrewMember => house.as_role(Role::CrewMember).await,
                Persona::Finance => house.as_role(Role::Finance).await,
                Persona::FrontDesk => house.as_role(Role::FrontDesk).await,
                Persona::Deputy => house.as_role(Role::Deputy).await,
                Persona::Owner => with(owner),
                Persona::OtherManager => with(other),
                Persona::Disabled => with(disabled),
                Persona::Device => house.nobody().with_token(&tablet_of(house).await),
                Persona::Key => house
                    .nobody()
                    .with_token(&key_of(house, &["cost", "reports"]).await),
            });
        }
        Self {
            clients,
            other_site,
        }
    }

    /// Everybody, with their client.
    pub fn clients(&self) -> impl Iterator<Item = (Persona, &Client)> {
        Persona::ALL.into_iter().zip(&self.clients)
    }

    /// Somebody's client.
    pub fn client(&self, persona: Persona) -> &Client {
        &self.clients[persona as usize]
    }
}

/// An owner, a manager of a new second site, a manager of the house's site who is switched off, and
/// the second site.
fn db_further_users(house: &House) -> (i64, i64, i64, i64) {
    let now = house.office.now();
    let made = house.office.db.write_shared(|conn| {
        let other_site = site_found(
            conn,
            &SiteRow {
                id: 0,
                name: "Upper Meadow Courts".into(),
                zone: "Europe/Lisbon".into(),
                units: Units::Metric,
                currency: "EUR".into(),
                walk_mm_per_s: 1300,
                shed_x_mm: 0,
                shed_y_mm: 0,
                pay_week_starts_on: 1,
                water_cents_per_m3: 150,
                second_factor_required: false,
                version: 1,
            },
            now,
        )?;
        let add = |conn: &mut _, name: &str, is_owner| {
            let email = format!("{name}@elsewhere.example");
            let new = NewUser {
                kind: UserKind::Person,
                email: &email,
                name,
                password_hash: None,
                is_owner,
            };
            user_add(conn, &new, now)
        };
        let owner = add(conn, "owner", true)?;
        let other = add(conn, "other", false)?;
        let disabled = add(conn, "disabled", false)?;
        for (user, site) in [(other, other_site), (disabled, house.set_up.site_id)] {
            diesel::insert_into(memberships::table)
                .values((
                    memberships::site_id.eq(site),
                    memberships::user_id.eq(user),
                    memberships::role.eq(Role::Manager),
                    memberships::created_at.eq(now),
                ))
                .execute(conn)?;
        }
        diesel::update(users::table.find(disabled))
            .set(users::disabled_at.eq(now))
            .execute(conn)?;
        Ok::<_, Error>((owner, other, disabled, other_site))
    });
    made.expect("users can be added")
}
