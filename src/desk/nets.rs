//! Nets: gauged by the rules and looked at by eye, and when that is due again.

mod gauged;
mod looks;
mod told;

pub use gauged::{NetGauged, NetTold};
pub use told::{LookDue, NetPartSeen, NetView, NetsNow, nets_now};

pub(super) use gauged::{Seen, gauge, mend, net_told_faults};
pub(super) use looks::{Calendar, at_latest, done_by_checks};
