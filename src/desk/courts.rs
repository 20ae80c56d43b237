//! Banks and courts.

use chrono::{Datelike, NaiveDate};
use serde::Deserialize;
use trade::court::CourtSurface;
use trade::units::Millimetres;
use utoipa::ToSchema;

use super::access::{EditSite, Permit, SeeSite};
use super::error::{FieldFault, Named};
use super::settings::Settings;
use super::settings::known::{AMBULANCE_WAY, FIRST_AID};
use super::{Error, Office, Result};
use crate::store::audit::{Change, Deed, audit_edit};
use crate::store::courts::{self, BankRow, CourtRow, CourtSet, Lines, Watering};
use crate::store::{Conn, Page, Paged, Scope};

/// The longest and widest surface that is one court, mm.
const LARGEST_MM: i64 = 60_000;

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

/// Where first aid is, and how an ambulance is led, at a court that says nothing of its own.
pub fn first_aid_of_site(
    office: &Office,
    permit: &Permit<SeeSite>,
) -> Result<(Option<String>, Option<String>)> {
    let settings = office.db.read(|conn| Settings::read(conn, permit))?;
    let text = |of| settings.text(of).map(str::to_owned);
    Ok((text(FIRST_AID), text(AMBULANCE_WAY)))
}

/// What is to be changed of a court; what is left out stays.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CourtEdit {
    /// Name or number, 1 to 40 characters; no other court of the site has it.
    pub name: Option<String>,
    /// Length of the surface with its run-offs, mm: at least 78 ft (ITF Rules of Tennis, rule 1), usually 120 ft.
    pub length_mm: Option<i64>,
    /// Width of the surface with its run-offs, mm: at least 36 ft (the same), usually 60 ft.
    pub width_mm: Option<i64>,
    /// How it gets its water.
    pub watering: Option<Watering>,
    /// What its lines are.
    pub lines: Option<Lines>,
    /// When it was last resurfaced.
    pub resurfaced_on: Option<NaiveDate>,
    /// Flow of its sprinklers, ml/s, up to 20000.
    pub sprinkler_flow_mlps: Option<i64>,
    /// Length of a full soak, s, up to 7200.
    pub soak_s: Option<i64>,
    /// Spaced cycles of water a night, up to 6.
    pub night_cycles: Option<i64>,
    /// Length of one of them, s, up to 7200.
    pub night_cycle_s: Option<i64>,
    /// Where its first-aid kit is, at most 300 characters; an empty text goes back to what the site says.
    pub first_aid: Option<String>,
    /// How an ambulance is led to it, at most 300 characters; an empty text goes back to what the site says.
    pub ambulance_way: Option<String>,
}

/// Changes a court that still has `version`.
pub fn court_edit(
    office: &Office,
    permit: &Permit<EditSite>,
    id: i64,
    version: i64,
    edit: &CourtEdit,
) -> Result<CourtRow> {
    let today = office.now().utc().date_naive().succ_opt();
    office.db.write(permit, |tx| {
        let before = courts::court_read(tx.conn(), permit, id).named("court")?;
        let set = edit.over(before.clone());
        let mut faults = faults(&set, today);
        if name_is_taken(tx.conn(), permit, id, &set.name)? {
            faults.push(FieldFault::new(
                "/name",
                "another court of the site has this name",
            ));
        }
        if !faults.is_empty() {
            return Err(Error::Refused(faults));
        }
        courts::court_edit(tx, permit, id, version, &set)?;
        let deed = Deed {
            verb: "edited",
            subject: "court",
            id,
            data: serde_json::json!({ "version": version + 1 }),
        };
        let after = courts::court_read(tx.conn(), permit, id)?;
        audit_edit(tx, permit, deed, Change::between(&before, &after)?, &[])?;
        Ok(after)
    })
}

impl CourtEdit {
    fn over(&self, before: CourtRow) -> CourtSet {
        let name = self.name.as_deref().map(|name| name.trim().to_owned());
        CourtSet {
            name: name.unwrap_or(before.name),
            length_mm: self.length_mm.unwrap_or(before.length_mm),
            width_mm: self.width_mm.unwrap_or(before.width_mm),
            watering: self.watering.unwrap_or(before.watering),
            lines: self.lines.unwrap_or(before.lines),
            resurfaced_on: self.resurfaced_on.or(before.resurfaced_on),
            sprinkler_flow_mlps: self
                .sprinkler_flow_mlps
                .unwrap_or(before.sprinkler_flow_mlps),
            soak_s: self.soak_s.unwrap_or(before.soak_s),
            night_cycles: self.night_cycles.unwrap_or(before.night_cycles),
            night_cycle_s: self.night_cycle_s.unwrap_or(before.night_cycle_s),
            first_aid: told_or(self.first_aid.as_deref(), before.first_aid),
            ambulance_way: told_or(self.ambulance_way.as_deref(), before.ambulance_way),
        }
    }
}

/// A text as it is told, none where that is empty; as it was, where nothing is told.
fn told_or(told: Option<&str>, before: Option<String>) -> Option<String> {
    match told {
        Some(told) => Some(told.trim().to_owned()).filter(|told| !told.is_empty()),
        None => before,
    }
}

/// What makes no court. `latest` is the last date on which it may have been resurfaced.
fn faults(set: &CourtSet, latest: Option<NaiveDate>) -> Vec<FieldFault> {
    let mut faults = Vec::new();
    if !(1..=40).contains(&set.name.chars().count()) {
        faults.push(FieldFault::new(
            "/name",
            "name the court in 1 to 40 characters",
        ));
    }
    let whole = CourtSurface::default();
    for (field, length, width) in [
        ("/length_mm", Millimetres(set.length_mm), whole.width()),
        ("/width_mm", whole.length(), Millimetres(set.width_mm)),
    ] {
        let is_large = length.0 > LARGEST_MM || width.0 > LARGEST_MM;
        if is_large || CourtSurface::new(length, width).is_err() {
            let mend = "give the surface with its run-offs: at least the lines of a doubles court \
                (78 by 36 ft, 23775 by 10973 mm), at most 60000 mm";
            faults.push(FieldFault::new(field, mend));
        }
    }
    for (field, value, most) in [
        ("/sprinkler_flow_mlps", set.sprinkler_flow_mlps, 20_000),
        ("/soak_s", set.soak_s, 7_200),
        ("/night_cycles", set.night_cycles, 6),
        ("/night_cycle_s", set.night_cycle_s, 7_200),
    ] {
        if !(0..=most).contains(&value) {
            faults.push(FieldFault::new(field, format!("give 0 to {most}")));
        }
    }
    for (field, text) in [
        ("/first_aid", &set.first_aid),
        ("/ambulance_way", &set.ambulance_way),
    ] {
        let chars = text.as_ref().map_or(0, |text| text.chars().count());
        if chars > FIRST_AID.most {
            let mend = format!("say it in at most {} characters", FIRST_AID.most);
            faults.push(FieldFault::new(field, mend));
        }
    }
    let resurfaced = set.resurfaced_on.zip(latest);
    if resurfaced.is_some_and(|(on, latest)| on > latest || on.year() < 1970) {
        faults.push(FieldFault::new(
            "/resurfaced_on",
            "give a date of the past, after 1970",
        ));
    }
    faults
}

fn name_is_taken(conn: &mut Conn, scope: &Scope, id: i64, name: &str) -> Result<bool> {
    let all = courts::court_list(conn, scope, Page::ALL)?.items;
    Ok(all.iter().any(|court| court.id != id && court.name == name))
}
