//! A net that is gauged, and what is not as it should be: it becomes a defect, so that somebody mends it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use trade::care::DefectKind;
use trade::court::{NET_AT_CENTRE, NetFault, STRAP_WIDEST, net_faults};
use trade::units::{Micrometres, UnitSystem};
use utoipa::ToSchema;

use crate::desk::defects;
use crate::desk::{FieldFault, Result};
use crate::store::defects::{DefectFilter, NewDefect, defect_list};
use crate::store::net_checks::{NewNetCheck, net_check_add, newest_net_checks};
use crate::store::tool_checks::{EyeVerdict, ReadIn, newest_eye_checks};
use crate::store::tools::{WearPartKind, wear_part_read};
use crate::store::{Instant, Page, Scope, Tx};
use crate::words::{say, say_with};

/// Heights that a net may have at the centre, µm; what lies outside is a slip of the pen.
const HEIGHTS_UM: std::ops::RangeInclusive<i64> = 500_000..=1_500_000;
/// Widths that a strap may have, µm.
const STRAPS_UM: std::ops::RangeInclusive<i64> = 10_000..=200_000;

/// A net as it was gauged.
#[derive(Clone, Copy, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NetTold {
    /// Its height at the centre, µm: 500,000 to 1,500,000.
    pub height_um: i64,
    /// The width of its centre strap, where that was measured, µm: 10,000 to 200,000.
    pub strap_um: Option<i64>,
    /// The unit both were read off in.
    pub read_in: ReadIn,
}

/// A net as it was gauged, held against the rules.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct NetGauged {
    /// Its height at the centre, µm.
    pub height_um: i64,
    /// The width of its centre strap, µm.
    pub strap_um: Option<i64>,
    /// What is not by the rules: `too_low`, `too_high`, `strap_too_wide`; empty where all is.
    #[schema(value_type = Vec<String>, example = json!(["too_low"]))]
    pub faults: Vec<NetFault>,
}

impl NetGauged {
    /// Holds a net against the rules.
    pub fn of(height_um: i64, strap_um: Option<i64>) -> Self {
        Self {
            height_um,
            strap_um,
            faults: net_faults(Micrometres(height_um), strap_um.map(Micrometres)),
        }
    }
}

/// What is wrong with a net as it was told.
pub(in crate::desk) fn net_told_faults(net: &NetTold, of_court: bool) -> Vec<FieldFault> {
    if !of_court {
        let mend = "a net hangs on a court: name the court, or leave the net out";
        return vec![FieldFault::new("/net", mend).coded("net_of_court")];
    }
    let mut faults = Vec::new();
    if !HEIGHTS_UM.contains(&net.height_um) {
        let mend = format!(
            "a net is about 914400 µm high at the centre: give {} to {}",
            HEIGHTS_UM.start(),
            HEIGHTS_UM.end()
        );
        faults.push(FieldFault::new("/net/height_um", mend).coded("net_height_range"));
    }
    if net
        .strap_um
        .is_some_and(|strap| !STRAPS_UM.contains(&strap))
    {
        let mend = format!(
            "a strap is at most 50800 µm wide by the rules: give {} to {}, or leave it out",
            STRAPS_UM.start(),
            STRAPS_UM.end()
        );
        faults.push(FieldFault::new("/net/strap_um", mend).coded("strap_width_range"));
    }
    faults
}

/// A check of a court, as far as its net is concerned.
pub(in crate::desk) struct Seen<'a> {
    /// The check.
    pub check: i64,
    /// The court.
    pub court: i64,
    /// Who looked.
    pub person_id: Option<i64>,
    /// Who tells it.
    pub user_id: i64,
    /// When.
    pub happened_at: Instant,
    /// The client's own key of the check.
    pub client_key: &'a str,
    /// How the site is shown lengths.
    pub units: UnitSystem,
}

/// What is not as it should be, by the defect that it is, in words.
pub(in crate::desk) type Wrong = BTreeMap<DefectKind, Vec<String>>;

/// Keeps how a net was gauged; gives what is not by the rules, and adds it to what is wrong. A net that was gauged again
/// since is as it was found then: what comes late says nothing against it.
pub(in crate::desk) fn gauge(
    tx: &mut Tx<'_>,
    scope: &Scope,
    seen: &Seen<'_>,
    net: &NetTold,
    wrong: &mut Wrong,
) -> Result<NetGauged> {
    let new = NewNetCheck {
        tool_check_id: seen.check,
        court_id: seen.court,
        height_um: net.height_um,
        strap_um: net.strap_um,
        read_in: net.read_in,
        happened_at: seen.happened_at,
    };
    let id = net_check_add(tx, scope, &new)?;
    let gauged = NetGauged::of(net.height_um, net.strap_um);
    let newest = newest_net_checks(tx.conn(), scope, Some(seen.court))?;
    if newest.iter().any(|newest| newest.id == id) {
        for fault in &gauged.faults {
            let words = in_words(*fault, net, seen.units);
            wrong.entry(fault.defect()).or_default().push(words);
        }
    }
    Ok(gauged)
}

fn in_words(fault: NetFault, net: &NetTold, units: UnitSystem) -> String {
    let shown = |um: Micrometres| um.show(units);
    let (key, is, by_rule) = match fault {
        NetFault::TooLow => ("net-seen-too-low", net.height_um, NET_AT_CENTRE),
        NetFault::TooHigh => ("net-seen-too-high", net.height_um, NET_AT_CENTRE),
        NetFault::StrapTooWide => (
            "net-seen-strap",
            net.strap_um.unwrap_or_default(),
            STRAP_WIDEST,
        ),
    };
    let values = [
        ("is", shown(Micrometres(is)).into()),
        ("rule", shown(by_rule).into()),
    ];
    say_with(key, &values)
}

/// The defect that a part of a net is which is to be changed now; none where it is no part of a net. Common practice, no
/// source.
const fn worn_part(kind: WearPartKind) -> Option<DefectKind> {
    match kind {
        WearPartKind::CentreStrap => Some(DefectKind::WornStrap),
        WearPartKind::Net | WearPartKind::Headband => Some(DefectKind::TornNet),
        WearPartKind::Cable => Some(DefectKind::LooseNetCable),
        WearPartKind::Brush
        | WearPartKind::SweeperBrush
        | WearPartKind::LineTape
        | WearPartKind::Windscreen => None,
    }
}

/// Raises a defect for each kind of thing that is wrong with the net, also for parts of it that the eye says are to be
/// changed now (`looks`: each part, its verdict and the id of that word), unless one of its kind waits on the court to be
/// mended. Gives the defects.
pub(in crate::desk) fn mend(
    tx: &mut Tx<'_>,
    scope: &Scope,
    seen: &Seen<'_>,
    mut wrong: Wrong,
    looks: &[(i64, EyeVerdict, i64)],
) -> Result<Vec<i64>> {
    let change: Vec<(i64, i64)> = looks
        .iter()
        .filter(|(_, verdict, _)| *verdict == EyeVerdict::ChangeNow)
        .map(|(part, _, look)| (*part, *look))
        .collect();
    if !change.is_empty() {
        let parts: Vec<i64> = change.iter().map(|(part, _)| *part).collect();
        let newest = newest_eye_checks(tx.conn(), scope, &parts)?;
        // One part may be named twice; it is wrong once.
        for look in newest
            .iter()
            .filter(|newest| change.contains(&(newest.wear_part_id, newest.id)))
        {
            let part = wear_part_read(tx.conn(), scope, look.wear_part_id)?;
            if let Some(kind) = worn_part(part.kind) {
                let name = say(&format!(
                    "wear-part-{}",
                    part.kind.as_str().replace('_', "-")
                ));
                let words = say_with("net-seen-change", &[("part", name.into())]);
                wrong.entry(kind).or_default().push(words);
            }
        }
    }
    if wrong.is_empty() {
        return Ok(Vec::new());
    }
    let open = DefectFilter {
        court_id: Some(seen.court),
        open: Some(true),
    };
    let open = defect_list(tx.conn(), scope, open, Page::ALL)?.items;
    let mut raised = Vec::new();
    for (kind, words) in wrong {
        if open.iter().any(|defect| defect.kind.0 == kind) {
            continue;
        }
        let note = words.join(" ");
        let new = NewDefect {
            court_id: seen.court,
            order_id: None,
            kind,
            place: None,
            note: Some(&note),
            seen_at: seen.happened_at,
            person_id: seen.person_id,
            user_id: seen.user_id,
            // The check's own key names the check; what it raises has a key each.
            client_key: &format!("{}:{kind}", seen.client_key),
        };
        raised.push(defects::keep(tx, scope, &new)?);
    }
    Ok(raised)
}
