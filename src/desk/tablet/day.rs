//! The day as a tablet takes it along: all that its crew needs until it has signal again.

use std::collections::HashMap;

use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use trade::calendar::work_date;
use trade::care::DefectKind;
use utoipa::ToSchema;

use crate::desk::access::{Permit, SeeDay};
use crate::desk::error::Named;
use crate::desk::holds::HoldView;
use crate::desk::orders::{OrderView, order_views};
use crate::desk::settings::Settings;
use crate::desk::settings::known::{ALONE_CHECK_IN_MIN, AMBULANCE_WAY, FIRST_AID};
use crate::desk::stops::{StopView, standing};
use crate::desk::{Office, Result};
use crate::store::columns::Word;
use crate::store::courts::{bank_list, court_list};
use crate::store::crews::{
    ShiftPersonRow, ShiftRow, crew_list, person_list, shift_person_list, shifts_between,
};
use crate::store::defects::{DefectRow, open_defects};
use crate::store::orders::{OrderFilter, OrderState, order_list};
use crate::store::site_words::{SiteWordRow, WordFilter, word_list};
use crate::store::sites::{SiteRow, Units, site_read};
use crate::store::stores::{MaterialUnit, material_list};
use crate::store::tools::{ToolState, WearPartKind, WearPartRow, tool_class_list, tool_list};
use crate::store::wear::{PartAndLength, parts_and_lengths};
use crate::store::{self, Conn, Instant, Page, Scope};

/// The day of a crew, as its tablet takes it along.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct TabletDay {
    /// The site.
    pub site: SiteOfTablet,
    /// The date the crew works on: the site's own, or the one before while its shift of then still runs.
    pub date: NaiveDate,
    /// The site's crews.
    pub crews: Vec<CrewOfTablet>,
    /// The crew whose round it is; null where none was asked for.
    pub crew_id: Option<i64>,
    /// The crew's shift of the date.
    pub shift: Option<ShiftOfTablet>,
    /// Everybody who works here on the date.
    pub people: Vec<PersonOfTablet>,
    /// What was handed to the crew, in order of time.
    pub round: Vec<OrderView>,
    /// The site's courts.
    pub courts: Vec<CourtOfTablet>,
    /// What the stores keep.
    pub materials: Vec<MaterialOfTablet>,
    /// The tools in service, with the parts that are looked at in the shed.
    pub tools: Vec<ToolOfTablet>,
    /// How often whoever works alone gives a sign, minutes; 0 where the site does not ask for it.
    pub alone_every_min: i64,
    /// The site's own words for things.
    pub site_words: Vec<SiteWordRow>,
    /// The lightning stop that is on.
    pub stop: Option<StopView>,
    /// The heat stops that are on.
    pub heat_stops: Vec<StopView>,
}

/// What a tablet knows of its site.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SiteOfTablet {
    /// Id.
    pub id: i64,
    /// Name.
    pub name: String,
    /// IANA time zone.
    pub zone: String,
    /// How quantities are shown.
    pub units: Units,
}

/// A crew, to choose from.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct CrewOfTablet {
    /// Id.
    pub id: i64,
    /// Name.
    pub name: String,
    /// Whether it has a shift on the date.
    pub on_shift: bool,
}

/// A crew's working time.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ShiftOfTablet {
    /// Id.
    pub id: i64,
    /// When it begins.
    pub starts_at: Instant,
    /// When it ends.
    pub ends_at: Instant,
    /// Until when it may go on as overtime.
    pub overtime_until: Instant,
}

/// Somebody who works here.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PersonOfTablet {
    /// Id.
    pub id: i64,
    /// Name.
    pub name: String,
    /// The language they are spoken to in (BCP 47).
    pub language: String,
    /// Whether they are in the crew on the date.
    pub in_crew: bool,
}

/// A court, where one may be.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct CourtOfTablet {
    /// Id.
    pub id: i64,
    /// Name.
    pub name: String,
    /// Its bank.
    pub bank_id: i64,
    /// Name of its bank.
    pub bank: String,
    /// The holds of it that are on.
    pub held: Vec<HoldView>,
    /// What is odd about it: defects that were seen and are not mended.
    pub odd: Vec<OddOfTablet>,
    /// Where its first-aid kit is.
    pub first_aid: Option<String>,
    /// How an ambulance is led to it.
    pub ambulance_way: Option<String>,
    /// Its parts that wear: net, strap, tapes.
    pub parts: Vec<PartOfTablet>,
}

/// Something that is wrong with a court.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct OddOfTablet {
    /// What.
    #[schema(value_type = String)]
    pub kind: Word<DefectKind>,
    /// Where, across the court from its centre, mm.
    pub x_mm: Option<i64>,
    /// Where, along it, mm.
    pub y_mm: Option<i64>,
    /// What was said of it.
    pub note: Option<String>,
    /// When it was seen.
    pub since: Instant,
}

/// A material of the stores.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct MaterialOfTablet {
    /// Id.
    pub id: i64,
    /// Code.
    pub code: String,
    /// What the site calls it.
    pub name: String,
    /// What it is counted in.
    pub unit: MaterialUnit,
    /// What a pack of it is called.
    pub pack_name: String,
    /// What is in a pack, in its unit.
    pub pack_quantity: i64,
}

/// A tool of the shed.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ToolOfTablet {
    /// Id.
    pub id: i64,
    /// The number on it.
    pub number: String,
    /// Code of its class.
    pub class: String,
    /// Name of its class, as the site calls it.
    pub class_name: String,
    /// Its parts that wear.
    pub parts: Vec<PartOfTablet>,
}

/// A part that wears.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PartOfTablet {
    /// Id.
    pub id: i64,
    /// What it is.
    pub kind: WearPartKind,
    /// Its length when new, µm; null where it is judged by eye.
    pub start_um: Option<i64>,
    /// The length at which it is worn out, µm.
    pub limit_um: Option<i64>,
    /// Its newest length that counts, µm; null where none was measured.
    pub last_um: Option<i64>,
    /// The day on which that was measured.
    pub last_on: Option<NaiveDate>,
}

impl From<PartAndLength> for PartOfTablet {
    fn from(of: PartAndLength) -> Self {
        Self {
            id: of.part.id,
            kind: of.part.kind,
            start_um: of.part.start_um,
            limit_um: of.part.limit_um,
            last_um: of.last_um,
            last_on: of.last_on,
        }
    }
}

/// The day of a crew as of now; without a crew, what there is to choose from. A fixed number of queries.
pub fn tablet_day(
    office: &Office,
    permit: &Permit<SeeDay>,
    crew_id: Option<i64>,
) -> Result<TabletDay> {
    let now = office.now();
    office
        .db
        .read(|conn| read(conn, permit, crew_id, now))
        .named("crew")
}

fn read(
    conn: &mut Conn,
    scope: &Scope,
    crew_id: Option<i64>,
    now: Instant,
) -> store::Result<TabletDay> {
    let site = site_read(conn, scope)?;
    let today = work_date(site.zone()?, now.utc());
    let yesterday = today.pred_opt().unwrap_or(today);
    let shifts = shifts_between(conn, scope, yesterday, today)?;
    let date = date_of(&shifts, crew_id, today, now.utc());
    let on_date: Vec<&ShiftRow> = shifts.iter().filter(|s| s.work_date == date).collect();
    let crews = crew_list(conn, scope, Page::ALL)?.items;
    if crew_id.is_some_and(|id| crews.iter().all(|crew| crew.id != id)) {
        return Err(store::Error::NotFound);
    }
    let crews = crews.into_iter().map(|crew| CrewOfTablet {
        on_shift: on_date.iter().any(|shift| shift.crew_id == crew.id),
        id: crew.id,
        name: crew.name,
    });
    let shift = on_date
        .iter()
        .find(|shift| Some(shift.crew_id) == crew_id)
        .copied();
    let in_crew = match shift {
        Some(shift) => shift_person_list(conn, scope, &[shift.id])?,
        None => Vec::new(),
    };
    let standing = standing(conn, scope)?;
    let settings = Settings::read(conn, scope)?;
    let (courts, tools) = with_parts(conn, scope, &standing.held, &settings, date)?;
    Ok(TabletDay {
        date,
        crews: crews.collect(),
        crew_id,
        shift: shift.map(|shift| ShiftOfTablet {
            id: shift.id,
            starts_at: shift.starts_at,
            ends_at: shift.ends_at,
            overtime_until: shift.overtime_until,
        }),
        people: people(conn, scope, &in_crew, date)?,
        round: match crew_id {
            Some(crew) => round(conn, scope, crew, date)?,
            None => Vec::new(),
        },
        courts,
        materials: materials(conn, scope)?,
        tools,
        alone_every_min: settings.number(ALONE_CHECK_IN_MIN),
        site_words: word_list(conn, scope, &WordFilter::default(), Page::ALL)?.items,
        stop: standing.stop,
        heat_stops: standing.heat_stops,
        site: site_of(site),
    })
}

fn site_of(site: SiteRow) -> SiteOfTablet {
    SiteOfTablet {
        id: site.id,
        name: site.name,
        zone: site.zone,
        units: site.units,
    }
}

/// A crew that works past midnight is still at the day before, until a new shift of it begins.
fn date_of(
    shifts: &[ShiftRow],
    crew_id: Option<i64>,
    today: NaiveDate,
    now: DateTime<Utc>,
) -> NaiveDate {
    let own = || shifts.iter().filter(|s| Some(s.crew_id) == crew_id);
    let has_begun = own().any(|s| s.work_date == today && s.starts_at.utc() <= now);
    let still_runs = own().find(|s| s.work_date != today && s.overtime_until.utc() > now);
    match still_runs {
        Some(shift) if !has_begun => shift.work_date,
        _ => today,
    }
}

fn people(
    conn: &mut Conn,
    scope: &Scope,
    in_crew: &[ShiftPersonRow],
    date: NaiveDate,
) -> store::Result<Vec<PersonOfTablet>> {
    let all = person_list(conn, scope, Page::ALL)?.items.into_iter();
    let here = all.filter(|person| person.left_on.is_none_or(|left| left >= date));
    Ok(here
        .map(|person| PersonOfTablet {
            in_crew: in_crew.iter().any(|one| one.person_id == person.id),
            id: person.id,
            name: person.name,
            language: person.language,
        })
        .collect())
}

/// What was handed to the crew and not taken back.
fn round(
    conn: &mut Conn,
    scope: &Scope,
    crew_id: i64,
    date: NaiveDate,
) -> store::Result<Vec<OrderView>> {
    let filter = OrderFilter {
        work_date: Some(date),
        crew_id: Some(crew_id),
        ..OrderFilter::default()
    };
    let mut rows = order_list(conn, scope, &filter, Page::ALL)?.items;
    rows.retain(|order| !matches!(order.state, OrderState::Planned | OrderState::Withdrawn));
    rows.sort_by_key(|order| (order.planned_start, order.position, order.id));
    order_views(conn, scope, rows)
}

fn materials(conn: &mut Conn, scope: &Scope) -> store::Result<Vec<MaterialOfTablet>> {
    let kept = material_list(conn, scope, Page::ALL)?.items.into_iter();
    Ok(kept
        .map(|kept| MaterialOfTablet {
            id: kept.id,
            code: kept.code,
            name: kept.name,
            unit: kept.unit,
            pack_name: kept.pack_name,
            pack_quantity: kept.pack_quantity,
        })
        .collect())
}

/// The courts with their holds, the tools in service, and the parts of both that are fitted on the date.
fn with_parts(
    conn: &mut Conn,
    scope: &Scope,
    held: &[HoldView],
    settings: &Settings,
    date: NaiveDate,
) -> store::Result<(Vec<CourtOfTablet>, Vec<ToolOfTablet>)> {
    let parts = parts_and_lengths(conn, scope, date)?;
    let of = |is_of: &dyn Fn(&WearPartRow) -> bool| -> Vec<PartOfTablet> {
        let own = parts.iter().filter(|of| is_of(&of.part));
        own.cloned().map(PartOfTablet::from).collect()
    };
    let defects = open_defects(conn, scope)?;
    let of_site = |what| settings.text(what).map(str::to_owned);
    let banks: HashMap<i64, String> = bank_list(conn, scope, Page::ALL)?
        .items
        .into_iter()
        .map(|bank| (bank.id, bank.name))
        .collect();
    let mut courts = court_list(conn, scope, Page::ALL)?.items;
    courts.sort_by_key(|court| (court.position, court.id));
    let courts = courts.into_iter().map(|court| CourtOfTablet {
        id: court.id,
        name: court.name,
        bank_id: court.bank_id,
        bank: banks.get(&court.bank_id).cloned().unwrap_or_default(),
        held: held
            .iter()
            .filter(|hold| hold.court_id == court.id)
            .cloned()
            .collect(),
        odd: odd_of(&defects, court.id),
        first_aid: court.first_aid.or_else(|| of_site(FIRST_AID)),
        ambulance_way: court.ambulance_way.or_else(|| of_site(AMBULANCE_WAY)),
        parts: of(&|part| part.court_id == Some(court.id)),
    });
    let classes: HashMap<i64, (String, String)> = tool_class_list(conn, scope, Page::ALL)?
        .items
        .into_iter()
        .map(|class| (class.id, (class.code, class.name)))
        .collect();
    let tools = tool_list(conn, scope, Page::ALL)?.items.into_iter();
    let tools = tools
        .filter(|tool| tool.state == ToolState::InService)
        .map(|tool| {
            let (class, class_name) = classes
                .get(&tool.tool_class_id)
                .cloned()
                .unwrap_or_default();
            ToolOfTablet {
                parts: of(&|part| part.tool_id == Some(tool.id)),
                id: tool.id,
                number: tool.number,
                class,
                class_name,
            }
        });
    Ok((courts.collect(), tools.collect()))
}

fn odd_of(defects: &[DefectRow], court_id: i64) -> Vec<OddOfTablet> {
    let own = defects.iter().filter(|defect| defect.court_id == court_id);
    own.map(|defect| OddOfTablet {
        kind: defect.kind,
        x_mm: defect.x_mm,
        y_mm: defect.y_mm,
        note: defect.note.clone(),
        since: defect.seen_at,
    })
    .collect()
}
