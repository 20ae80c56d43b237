//! Who may do what: one table. A use case asks for a [`Permit`] of its own kind, so that one that
//! forgot to ask does not compile.

use std::marker::PhantomData;
use std::ops::Deref;

use super::{Error, Office, Result};
use crate::store::owners::OwnerProof;
use crate::store::{Actor, Scope, Standing};

/// Something one may be allowed to do at a site.
pub trait Permission: Send + Sync + 'static {
    /// Who may: the roles, a crew's tablet, keys for pulls.
    const MAY: &'static [Standing];
}

/// Proof that an actor may do `P` at the site of the scope inside.
#[derive(Clone, Debug)]
pub struct Permit<P> {
    scope: Scope,
    what: PhantomData<fn() -> P>,
}

impl<P: Permission> Permit<P> {
    /// The permit for `P`, where the actor's role allows it.
    pub fn of(scope: Scope) -> Result<Self> {
        if scope.is_any(P::MAY) {
            return Ok(Self {
                scope,
                what: PhantomData,
            });
        }
        let may: Vec<_> = P::MAY.iter().map(|one| one.as_str()).collect();
        Err(Error::NotAllowed(may.join(" or ")))
    }

    /// The permit the service itself works with: jobs and set-up, where no user asks.
    pub(crate) const fn of_the_service(site_id: i64) -> Self {
        Self {
            scope: Scope::of_the_service(site_id),
            what: PhantomData,
        }
    }
}

impl<P> Deref for Permit<P> {
    type Target = Scope;

    fn deref(&self) -> &Scope {
        &self.scope
    }
}

/// Proof that a user owns the installation.
#[derive(Clone, Copy, Debug)]
pub struct Owner(OwnerProof);

impl Owner {
    /// What the store asks for.
    pub(crate) const fn proof(self) -> OwnerProof {
        self.0
    }
}

/// Proves that a user owns the installation. One query a request.
pub fn owner(office: &Office, user_id: i64) -> Result<Owner> {
    let proof = office.db.read(|conn| OwnerProof::prove(conn, user_id))?;
    proof
        .map(Owner)
        .ok_or_else(|| Error::NotAllowed("an owner of the installation".into()))
}

/// Proves that somebody belongs to a site; see [`Scope::prove`].
pub fn scope(office: &Office, actor: Actor, site_id: i64) -> Result<Scope> {
    use super::error::Named;
    office
        .db
        .read(|conn| Scope::prove(conn, actor, site_id).named("site"))
}

macro_rules! permissions {
    ($($(#[$meta:meta])* $name:ident: $($who:ident),+;)+) => {$(
        $(#[$meta])*
        #[derive(Clone, Copy, Debug)]
        pub enum $name {}

        impl Permission for $name {
            const MAY: &'static [Standing] = &[$(Standing::$who),+];
        }
    )+};
}

permissions! {
    /// See the site, its banks and courts.
    SeeSite: Manager, CrewLead, CrewMember, Finance, FrontDesk, Deputy, Device;
    /// Change the site's own data.
    EditSite: Manager;
    /// See the calendars that play comes from, and what they would change on planned dates.
    SeeCalendars: Manager, CrewLead, FrontDesk;
    /// Describe calendars, take their files, accept or refuse what they would change.
    EditCalendars: Manager;
    /// Tell the weather that was read off.
    TellWeather: Manager, CrewLead, Device;
    /// Tell how a court was found.
    InspectCourt: Manager, CrewLead, CrewMember, Device;
    /// See people, crews and shifts.
    SeeCrews: Manager, CrewLead, CrewMember, Finance, Device;
    /// Change what is known of people: their skills, and since when they work here.
    EditCrews: Manager;
    /// See tools, wear parts and readings.
    SeeTools: Manager, CrewLead, CrewMember, Device;
    /// See materials and stock moves.
    SeeStores: Manager, CrewLead, Finance;
    /// Change what is known of materials, and of how they and spare parts come.
    EditStores: Manager;
    /// See when courts are in play and shut.
    SeePlay: Manager, CrewLead, CrewMember, FrontDesk, Deputy, Device;
    /// Set when courts are in play and shut.
    EditPlay: Manager;
    /// Say that play on a court is over.
    TellPlayOver: Manager, CrewLead, FrontDesk, Device;
    /// See the care standard.
    SeeCare: Manager, CrewLead, CrewMember, Device;
    /// Change the care standard, and tell when work was last done.
    EditCare: Manager;
    /// Plan a day, stop the planning, take its plan.
    PlanDay: Manager;
    /// Hand the day's work orders out, and what is made beside its plan; see what waits for the manager.
    IssueDay: Manager;
    /// See the day: rounds, orders, waterings, what is not fitted.
    SeeDay: Manager, CrewLead, CrewMember, Device;
    /// See work orders: whose day it is, and what a figure of cost is made of.
    SeeOrders: Manager, CrewLead, CrewMember, Finance, Device;
    /// Start, finish or leave undone a work order, hand it over, take it back, note something on it.
    WorkOrders: Manager, CrewLead, CrewMember, Device;
    /// See what tablets sent, and what became of it.
    SeeSent: Manager;
    /// Say how good finished work was found.
    RecheckOrder: Manager;
    /// Tell something that was seen on a court.
    TellDefect: Manager, CrewLead, CrewMember, FrontDesk, Device;
    /// Tell lightning or heat, and end a heat stop.
    TellStop: Manager, CrewLead, CrewMember, FrontDesk, Device;
    /// Release a lightning stop.
    ReleaseStop: Manager, CrewLead;
    /// Hold a court.
    HoldCourt: Manager, CrewLead, CrewMember, FrontDesk, Deputy, Device;
    /// Release a held court.
    ReleaseHold: Manager, Deputy;
    /// Send pictures and voice notes.
    SendPicture: Manager, CrewLead, CrewMember, Device;
    /// See them; those of incidents only who is named for incidents.
    SeePictures: Manager, CrewLead, CrewMember, Device;
    /// Take the content of one away.
    RemovePicture: Manager;
    /// Tell an incident or near miss.
    TellIncident: Manager, CrewLead, CrewMember, FrontDesk, Device;
    /// Read of incidents: managers that there are some, and in full who is named for it, whatever their role.
    ReadIncident: Manager, CrewLead, CrewMember, Finance, FrontDesk;
    /// Take notice of an incident.
    OpenIncident: Manager;
    /// Say who reads of incidents in full.
    NameReader: Manager;
    /// Tell that somebody works alone, that they are well, and that they do so no more.
    TellAlone: Manager, CrewLead, CrewMember, Device;
    /// See who works alone.
    SeeAlone: Manager, CrewLead;
    /// Tell that somebody comes, takes a break, or goes.
    TellAttendance: Manager, CrewLead, CrewMember, Device;
    /// Change who is on a shift in the course of its day.
    ChangeShift: Manager, CrewLead, Device;
    /// Tell how a tool or a court was found in its check.
    CheckTool: Manager, CrewLead, CrewMember, Device;
    /// Say that a doubted reading is so, or that one is wrong.
    JudgeReading: Manager, CrewLead;
    /// Change a worn part for a new one, and retire a tool.
    ChangePart: Manager, CrewLead;
    /// See what courts cost.
    SeeCost: Manager, Finance, CostKey;
    /// See who worked when.
    SeeHours: Manager, CrewLead, Finance;
    /// See valves, rules of water and the runs of a day.
    SeeWater: Manager, CrewLead, CrewMember, Device;
    /// Set up valves, rules of water and what is a court's own of it.
    EditWater: Manager;
    /// Say whether water ran, and read levels.
    TellWater: Manager, CrewLead, Device;
    /// See who may sign in to the site, and as what.
    SeeUsers: Manager;
    /// Invite people to the site, change their roles, take them away.
    EditUsers: Manager;
    /// See the crews' tablets, and pair one.
    PairDevice: Manager, CrewLead;
    /// Take a tablet's access away.
    RevokeDevice: Manager;
    /// See the keys that reach the site.
    SeeKeys: Manager, Finance;
    /// Make a key for pulls, and take one away.
    EditKeys: Manager, Finance;
    /// Give out, and erase, what is known of a person.
    HandOutPerson: Manager;
    /// See the audit trail: who did what.
    SeeAudit: Manager;
    /// See the week report.
    SeeReport: Manager, Finance, ReportKey;
    /// See who is mailed the week report, with their addresses.
    SeeSubscribers: Manager;
    /// Have the week report mailed.
    SendReport: Manager;
}
