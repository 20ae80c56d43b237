//! What things cost at a site, and where costs go: looked up once for any number of bookings.

use std::collections::HashMap;

use chrono::{NaiveDate, Weekday};
use chrono_tz::Tz;
use trade::calendar::pay_week_start_date;
use trade::court::CourtSurface;
use trade::grooming::{Drag, ToolAction};
use trade::units::Millimetres;

use crate::store::courts::{bank_list, court_list};
use crate::store::hours::pay_rates_all;
use crate::store::orders::OrderRow;
use crate::store::sites::site_read;
use crate::store::tools::{ToolState, tool_class_list, tool_list};
use crate::store::{self, Conn, Page, Scope};

/// The prices of a site as they stand while one transaction books, and which courts are whose.
#[derive(Clone, Debug)]
pub struct Rates {
    /// The site's zone.
    pub zone: Tz,
    pay_week_starts_on: Weekday,
    /// Price of water, cents a cubic metre.
    pub water_cents_per_m3: i64,
    pay: HashMap<i64, Vec<(NaiveDate, i64)>>,
    wear: HashMap<i64, WearRate>,
    classes: HashMap<i64, ClassOfTool>,
    surfaces: HashMap<i64, CourtSurface>,
    courts_of_bank: HashMap<i64, Vec<i64>>,
    bank_of_court: HashMap<i64, i64>,
}

/// What the uses of a tool cost: its class's flat rate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WearRate {
    /// So many cents …
    pub cents: i64,
    /// … for so many uses.
    pub uses: i64,
}

/// What a tool's class says of how it is pulled over a court.
#[derive(Clone, Debug)]
pub struct ClassOfTool {
    /// Its id.
    pub id: i64,
    /// The site's own code.
    pub code: String,
    /// What the site calls it.
    pub name: String,
    /// What it does.
    pub action: ToolAction,
    /// How it is pulled; none where it has no width.
    pub drag: Option<Drag>,
    /// Whether the tool can be taken along.
    pub is_in_service: bool,
}

impl Rates {
    /// Reads the site's prices: six queries.
    pub fn read(conn: &mut Conn, scope: &Scope) -> store::Result<Self> {
        let site = site_read(conn, scope)?;
        let unreadable = |what: &str| store::Error::Unreadable(format!("the site's {what}"));
        let mut pay: HashMap<i64, Vec<(NaiveDate, i64)>> = HashMap::new();
        for rate in pay_rates_all(conn, scope)? {
            let rates = pay.entry(rate.person_id).or_default();
            rates.push((rate.from_date, rate.cents_per_h));
        }
        let all_classes = tool_class_list(conn, scope, Page::ALL)?.items;
        let of_class: HashMap<i64, WearRate> = all_classes
            .iter()
            .map(|class| {
                let (cents, uses) = (class.wear_cents, class.wear_uses);
                (class.id, WearRate { cents, uses })
            })
            .collect();
        let tools = tool_list(conn, scope, Page::ALL)?.items;
        let wear = tools
            .iter()
            .filter_map(|tool| Some((tool.id, *of_class.get(&tool.tool_class_id)?)))
            .collect();
        let classes = tools.iter().filter_map(|tool| {
            let class = all_classes
                .iter()
                .find(|class| class.id == tool.tool_class_id)?;
            let of = ClassOfTool {
                id: class.id,
                code: class.code.clone(),
                name: class.name.clone(),
                action: class.action.0,
                drag: class
                    .width_mm
                    .map(|width| Drag::new(Millimetres(width), class.pulled.0)),
                is_in_service: tool.state == ToolState::InService,
            };
            Some((tool.id, of))
        });
        let classes = classes.collect();
        let mut courts_of_bank: HashMap<i64, Vec<i64>> = bank_list(conn, scope, Page::ALL)?
            .items
            .iter()
            .map(|bank| (bank.id, Vec::new()))
            .collect();
        let mut courts = court_list(conn, scope, Page::ALL)?.items;
        courts.sort_by_key(|court| (court.position, court.id));
        for court in &courts {
            let of_bank = courts_of_bank.entry(court.bank_id).or_default();
            of_bank.push(court.id);
        }
        Ok(Self {
            zone: site.zone.parse().map_err(|_| unreadable("zone"))?,
            pay_week_starts_on: u8::try_from(site.pay_week_starts_on - 1)
                .ok()
                .and_then(|day| Weekday::try_from(day).ok())
                .ok_or_else(|| unreadable("first day of the pay week"))?,
            water_cents_per_m3: site.water_cents_per_m3,
            pay,
            wear,
            classes,
            surfaces: courts
                .iter()
                .filter_map(|court| {
                    let (length, width) = (court.length_mm, court.width_mm);
                    let surface =
                        CourtSurface::new(Millimetres(length), Millimetres(width)).ok()?;
                    Some((court.id, surface))
                })
                .collect(),
            courts_of_bank,
            bank_of_court: courts.iter().map(|c| (c.id, c.bank_id)).collect(),
        })
    }

    /// Cents an hour of a person on a date of the site; none where no rate is in force.
    pub fn cents_per_h(&self, person_id: i64, on: NaiveDate) -> Option<i64> {
        let rates = self.pay.get(&person_id)?;
        let in_force = rates.iter().rev().find(|(from, _)| *from <= on);
        in_force.map(|(_, cents)| *cents)
    }

    /// First day of the pay week that a date of the site falls in.
    pub fn pay_week(&self, on: NaiveDate) -> NaiveDate {
        pay_week_start_date(on, self.pay_week_starts_on)
    }

    /// What the uses of a tool cost; none where the site has no such tool.
    pub fn wear(&self, tool_id: i64) -> Option<WearRate> {
        self.wear.get(&tool_id).copied()
    }

    /// The courts of a bank, in their order.
    pub fn courts_of_bank(&self, bank_id: i64) -> &[i64] {
        self.courts_of_bank.get(&bank_id).map_or(&[], Vec::as_slice)
    }

    /// The courts that an order is on.
    pub fn courts_of(&self, order: &OrderRow) -> impl Iterator<Item = i64> {
        self.courts_at(order.court_id, order.bank_id)
    }

    /// A court, or the courts of a bank.
    pub fn courts_at(&self, court: Option<i64>, bank: Option<i64>) -> impl Iterator<Item = i64> {
        let of_bank = bank.map_or(&[][..], |bank| self.courts_of_bank(bank));
        court.into_iter().chain(of_bank.iter().copied())
    }

    /// How a tool is pulled; none where the site has no such tool.
    pub fn class_of(&self, tool_id: i64) -> Option<&ClassOfTool> {
        self.classes.get(&tool_id)
    }

    /// The surfaces of the site's courts.
    pub fn surfaces(&self) -> impl Iterator<Item = &CourtSurface> {
        self.surfaces.values()
    }

    /// The site's courts, in order of their id.
    pub fn courts(&self) -> impl Iterator<Item = i64> {
        let mut courts: Vec<i64> = self.bank_of_court.keys().copied().collect();
        courts.sort_unstable();
        courts.into_iter()
    }

    /// The surface of a court.
    pub fn surface(&self, court_id: i64) -> Option<CourtSurface> {
        self.surfaces.get(&court_id).copied()
    }

    /// The bank of a court.
    pub fn bank_of_court(&self, court_id: i64) -> Option<i64> {
        self.bank_of_court.get(&court_id).copied()
    }
}
