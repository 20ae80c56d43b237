//! The data files of `demo-seed/`, as they are read.

use chrono::NaiveTime;
use serde::Deserialize;

use crate::desk::inspections::InspectionTold;
use crate::store::Role;
use crate::store::courts::{Lines, Watering};
use crate::store::sites::Units;
use crate::store::water::{Opened, RuleKind};

/// Everything a site is set up from.
pub struct Files {
    pub site: SiteFile,
    pub play: PlayFile,
    pub people: PeopleFile,
    pub shed: ShedFile,
    pub care: CareFile,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SiteFile {
    pub site: SiteEntry,
    pub settings: toml::Table,
    pub banks: Vec<BankEntry>,
    pub valves: Vec<ValveEntry>,
    pub water_rules: Vec<WaterRuleEntry>,
    pub courts: Vec<CourtEntry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ValveEntry {
    pub name: String,
    pub bank: String,
    pub opened: Opened,
    pub flow_mlps: i64,
    pub courts: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WaterRuleEntry {
    pub name: String,
    /// The whole site where not given.
    pub bank: Option<String>,
    pub kind: RuleKind,
    pub weekdays: Vec<i64>,
    pub from: Option<String>,
    pub until: Option<String>,
    pub ml_a_day: Option<i64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SiteEntry {
    pub name: String,
    pub zone: String,
    pub units: Units,
    pub currency: String,
    pub walk_mm_per_s: i64,
    pub shed_x_mm: i64,
    pub shed_y_mm: i64,
    pub pay_week_starts_on: i64,
    pub water_cents_per_m3: i64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BankEntry {
    pub name: String,
    pub line_name: String,
    pub line_capacity_mlps: i64,
    pub x_mm: i64,
    pub y_mm: i64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CourtEntry {
    pub name: String,
    pub bank: String,
    pub watering: Watering,
    pub lines: Lines,
    /// 120 ft where not given.
    #[serde(default = "usual_length")]
    pub length_mm: i64,
    /// 60 ft where not given.
    #[serde(default = "usual_width")]
    pub width_mm: i64,
    pub resurfaced_days_ago: u64,
    /// How long it drains; the site's usual where not given.
    pub drain_s: Option<i64>,
    /// The level it is kept at from below.
    pub level_target_mm: Option<i64>,
    pub condition: String,
    pub note: Option<String>,
    pub x_mm: i64,
    pub y_mm: i64,
}

fn usual_length() -> i64 {
    trade::court::CourtSurface::default().length().0
}

fn usual_width() -> i64 {
    trade::court::CourtSurface::default().width().0
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlayFile {
    pub sessions: Vec<SessionEntry>,
    pub closures: Vec<ClosureEntry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SessionEntry {
    pub bank: String,
    pub name: String,
    #[serde(with = "time")]
    pub from: NaiveTime,
    #[serde(with = "time")]
    pub until: NaiveTime,
    pub short: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClosureEntry {
    pub court: String,
    #[serde(with = "time")]
    pub from: NaiveTime,
    #[serde(with = "time")]
    pub until: NaiveTime,
    pub reason: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PeopleFile {
    pub people: Vec<PersonEntry>,
    pub crews: Vec<CrewEntry>,
    pub accounts: Vec<AccountEntry>,
    pub owner: OwnerEntry,
    pub subscribers: Vec<SubscriberEntry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PersonEntry {
    pub name: String,
    pub crew: String,
    pub skills: Vec<String>,
    pub off: Vec<chrono::Weekday>,
    /// (Weeks since it holds, cents an hour).
    pub rates: Vec<(u64, i64)>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CrewEntry {
    pub name: String,
    pub kit_limit: i64,
    pub load_limit_g: i64,
    #[serde(with = "time")]
    pub from: NaiveTime,
    #[serde(with = "time")]
    pub until: NaiveTime,
    #[serde(with = "time")]
    pub overtime_until: NaiveTime,
    pub break_s: i64,
    #[serde(with = "time")]
    pub break_from: NaiveTime,
    #[serde(with = "time")]
    pub break_until: NaiveTime,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AccountEntry {
    pub role: Role,
    pub email: String,
    pub name: String,
    /// Who this is among the people, where they work too.
    pub person: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnerEntry {
    pub email: String,
    pub name: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SubscriberEntry {
    pub email: String,
    pub name: String,
    pub language: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShedFile {
    pub classes: Vec<ClassEntry>,
    pub tools: Vec<ToolsEntry>,
    pub broken: Vec<BrokenEntry>,
    #[serde(default)]
    pub uneven: Vec<UnevenEntry>,
    pub court_parts: CourtPartsEntry,
    pub materials: Vec<MaterialEntry>,
    #[serde(default)]
    pub supplies: Vec<SupplyEntry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UnevenEntry {
    pub number: String,
    pub off_um: Vec<i64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SupplyEntry {
    pub kind: crate::store::tools::WearPartKind,
    pub class: Option<String>,
    pub material: Option<String>,
    pub supplier: String,
    pub lead_days: i64,
    pub cover_days: i64,
    pub life_days: Option<i64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FoundEntry {
    pub court: String,
    pub kind: crate::store::tools::WearPartKind,
    pub verdict: crate::store::tool_checks::EyeVerdict,
    pub days_ago: i64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClassEntry {
    pub code: String,
    pub name: String,
    pub action: String,
    pub strength: Option<String>,
    pub width_mm: Option<i64>,
    pub brush_rows: Option<i64>,
    pub bristle_um: Option<i64>,
    pub wear_cents: i64,
    pub wear_uses: i64,
    #[serde(default)]
    pub pulled: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ToolsEntry {
    pub class: String,
    pub numbers: Vec<String>,
    #[serde(default)]
    pub worn_um: Vec<i64>,
    #[serde(default)]
    pub wears_um_a_week: i64,
    pub limit_um: Option<i64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BrokenEntry {
    pub number: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CourtPartsEntry {
    pub kinds: Vec<crate::store::tools::WearPartKind>,
    /// When all of them were looked at last; nothing was where it is left out.
    pub days_since_looked_at: Option<i64>,
    #[serde(default)]
    pub found: Vec<FoundEntry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MaterialEntry {
    pub code: String,
    pub name: String,
    pub unit: String,
    pub pack_name: String,
    pub pack_quantity: i64,
    pub opening_packs: i64,
    pub cents_a_pack: i64,
    #[serde(default)]
    pub label: Option<crate::store::stores::Label>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CareFile {
    pub tasks: Vec<TaskEntry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TaskEntry {
    pub code: trade::care::CareTask,
    pub name: String,
    pub done_at: String,
    pub cadence: Option<trade::care::Cadence>,
    pub base_s: Option<i64>,
    pub skill: Option<String>,
    pub tool_action: Option<String>,
    /// In the course of the week where nothing is given.
    #[serde(default = "this_week")]
    pub urgency: trade::care::Urgency,
    #[serde(default)]
    pub safety: bool,
}

const fn this_week() -> trade::care::Urgency {
    trade::care::Urgency::ThisWeek
}

impl Files {
    /// The invented resort of `demo-seed/`, which is in the binary.
    pub fn demo() -> Result<Self, toml::de::Error> {
        Ok(Self {
            site: toml::from_str(include_str!("../../../demo-seed/site.toml"))?,
            play: toml::from_str(include_str!("../../../demo-seed/play.toml"))?,
            people: toml::from_str(include_str!("../../../demo-seed/people.toml"))?,
            shed: toml::from_str(include_str!("../../../demo-seed/shed.toml"))?,
            care: toml::from_str(include_str!("../../../demo-seed/care.toml"))?,
        })
    }
}

/// What lies around the day: weather, what was seen, what comes.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OutlookFile {
    pub latitude_udeg: i64,
    pub hours: Vec<HourEntry>,
    pub foretold: Vec<ForetoldEntry>,
    pub looks: Vec<LookEntry>,
    pub tournament: TournamentEntry,
    pub open_ended: OpenEndedEntry,
    pub chemicals: ChemicalsEntry,
    pub asked_for: AskedForEntry,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChemicalsEntry {
    pub tasks: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AskedForEntry {
    pub court: String,
    pub task: String,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HourEntry {
    pub temp_mc: i64,
    pub humidity_permille: i64,
    pub wind_mmps: i64,
    pub solar_w_m2: i64,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ForetoldEntry {
    pub in_days: u64,
    #[serde(default)]
    pub warmer_mc: i64,
    #[serde(default)]
    pub windier_mmps: i64,
    #[serde(default)]
    pub rain: Vec<RainEntry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RainEntry {
    pub hour: u32,
    pub um: i64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LookEntry {
    pub court: String,
    pub days_ago: u64,
    #[serde(with = "time")]
    pub at: NaiveTime,
    pub saw: InspectionTold,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TournamentEntry {
    pub in_days: u64,
    pub courts: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OpenEndedEntry {
    pub court: String,
    pub session: String,
}

impl OutlookFile {
    /// That of the invented resort.
    pub fn demo() -> Result<Self, toml::de::Error> {
        toml::from_str(include_str!("../../../demo-seed/outlook.toml"))
    }
}

/// A time of day, `"05:30"`.
mod time {
    use chrono::NaiveTime;
    use serde::{Deserialize, Deserializer, de::Error};

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<NaiveTime, D::Error> {
        let text = String::deserialize(from)?;
        NaiveTime::parse_from_str(&text, "%H:%M").map_err(D::Error::custom)
    }
}
