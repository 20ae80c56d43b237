//! Which of equal tools takes the heavier share, so that they do not all give out in one week, or do, as the site has it.

use std::collections::{BTreeMap, HashMap};

use chrono::NaiveDate;
use serde::Serialize;
use trade::wear::{Limits, shares};
use utoipa::ToSchema;

use crate::desk::Result;
use crate::desk::booking::{Rates, unbookable};
use crate::desk::settings::Settings;
use crate::desk::settings::known::{LIMITS_APART_DAYS, LIMITS_FALL};
use crate::desk::wear::expected::counted;
use crate::desk::wear::forecast::{Reckoned, all_of};
use crate::desk::wear::known::{km, whole_number};
use crate::store::{Conn, Scope};

/// A tool that is used beyond what it is known for is taken to have so many days.
const FAR_DAYS: f64 = 3_650.0;

/// The share of a tool among those of its class.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ShareOfTool {
    /// The tool.
    pub tool_id: i64,
    /// The number on it.
    pub tool: String,
    /// Its class.
    pub tool_class_id: i64,
    /// What the site calls that.
    pub class: String,
    /// Days to its limit if all of its class were used alike; null where nobody can say.
    pub days_left: Option<i64>,
    /// Its part of the use of its class, of 1,000.
    pub share_permille: i64,
}

/// The shares of the tools in service whose class has several with a measured part.
pub(super) fn of_classes(
    rates: &Rates,
    settings: &Settings,
    reckoned: &[Reckoned],
) -> Result<Vec<ShareOfTool>> {
    let fall = match settings.choice(LIMITS_FALL) {
        "together" => Limits::Together,
        _ => Limits::Apart,
    };
    let gap = counted(settings.number(LIMITS_APART_DAYS));
    let mut of_class: BTreeMap<i64, BTreeMap<i64, &Reckoned>> = BTreeMap::new();
    for one in reckoned {
        let part = &one.whole.wear.part;
        let tool = part.tool_id.and_then(|id| Some((id, rates.class_of(id)?)));
        if let Some((tool, class)) = tool.filter(|(_, class)| class.is_in_service) {
            // Of a tool with several parts, the one that is worn out first.
            let tools = of_class.entry(class.id).or_default();
            let known = tools.entry(tool).or_insert(one);
            if left_km(one) < left_km(known) {
                *known = one;
            }
        }
    }
    let mut all = Vec::new();
    for (tool_class_id, tools) in of_class.into_iter().filter(|(_, tools)| tools.len() > 1) {
        let count = counted(i64::try_from(tools.len()).unwrap_or(1));
        let a_day_km: f64 = tools
            .values()
            .map(|one| km(one.whole.wear.used_a_day_m * 1_000))
            .sum();
        let alike = a_day_km / count;
        let days: Vec<f64> = tools
            .values()
            .map(|one| {
                if alike > 0.0 {
                    (left_km(one) / alike).min(FAR_DAYS)
                } else {
                    FAR_DAYS
                }
            })
            .collect();
        let parts = shares(&days, gap, fall).map_err(unbookable)?;
        for (((tool_id, one), days), share_permille) in tools.into_iter().zip(days).zip(parts) {
            all.push(ShareOfTool {
                tool_id,
                tool: one.whole.wear.tool.clone(),
                tool_class_id,
                class: one.whole.wear.class.clone(),
                days_left: (days < FAR_DAYS).then(|| whole_number(days)).flatten(),
                share_permille,
            });
        }
    }
    Ok(all)
}

fn left_km(one: &Reckoned) -> f64 {
    let left = one.whole.wear.left_m[1];
    left.map_or(f64::INFINITY, |metres| km(metres.saturating_mul(1_000)))
}

/// How much each tool is to be used by what was known before a date: 1,000 is as much as any of its class. None where a class
/// has one tool alone.
pub fn shares_of(conn: &mut Conn, scope: &Scope, date: NaiveDate) -> Result<HashMap<i64, i64>> {
    let rates = Rates::read(conn, scope)?;
    let settings = Settings::read(conn, scope)?;
    let reckoned = all_of(conn, scope, (&rates, &settings), None, date)?;
    let shares = of_classes(&rates, &settings, &reckoned)?;
    let mut of_class: HashMap<i64, i64> = HashMap::new();
    for one in &shares {
        *of_class.entry(one.tool_class_id).or_default() += 1;
    }
    let whole = |one: &ShareOfTool| {
        let tools = of_class.get(&one.tool_class_id).copied().unwrap_or(1);
        one.share_permille * tools
    };
    Ok(shares.iter().map(|one| (one.tool_id, whole(one))).collect())
}
