//! Laying a site's rows from its data files, in one transaction.

use std::collections::HashMap;

use chrono::{DateTime, Datelike, Days, NaiveDate, NaiveTime, Utc};
use chrono_tz::Tz;
use trade::calendar::{day_start, local_to_instant};
use trade::care::{GroundNeed, facts};
use trade::grooming::Pulled;

use super::files::{ClassEntry, CourtEntry, CrewEntry, Files, TaskEntry, ToolsEntry};
use super::unreadable;
use crate::desk::Result;
use crate::store::care::NewTask;
use crate::store::columns::json;
use crate::store::courts::{BankRow, CourtRow, Watering};
use crate::store::reports::subscriber_add;
use crate::store::set_up::{
    NewClass, NewHand, NewMaterial, NewPart, NewReading, NewSession, NewShift, bank_add, class_add,
    closure_add, condition_add, court_add, crew_add, hands_add, material_add, member_add,
    membership_add, part_add, pay_rate_add, person_add, readings_add, sessions_add, shift_add,
    tasks_add, tool_add,
};
use crate::store::settings::setting_put;
use crate::store::stock_moves::{NewMove, stock_move_add};
use crate::store::stores::StockMoveKind;
use crate::store::tools::{ToolState, WearPartKind};
use crate::store::water::{
    CourtWaterRow, NewRule, NewValve, court_water_put, rule_add, valve_add, valve_courts_set,
};
use crate::store::wear::{PartSupply, part_supply_add};
use crate::store::{Conn, Instant, Scope, Tx};

/// How far back and ahead of today play and shifts are laid, days.
const DAYS_BACK: u64 = 63;
const DAYS_AHEAD: u64 = 15;

/// What a sprinkler-watered court takes. Common practice, no source: a soak of 5 to 10 minutes by
/// day, two or three cycles of 10 to 20 minutes by night.
const SPRINKLER_FLOW_MLPS: i64 = 3_000;
const SOAK_S: i64 = 480;
const NIGHT_CYCLES: i64 = 3;
const NIGHT_CYCLE_S: i64 = 900;

/// A site being laid.
pub struct Laying<'a> {
    pub scope: &'a Scope,
    pub zone: Tz,
    pub today: NaiveDate,
    pub files: &'a Files,
    /// The accounts' users, in the order of the file.
    pub users: &'a [i64],
}

/// Ids by name.
type Names = HashMap<String, i64>;

impl Laying<'_> {
    /// Lays everything.
    pub fn lay(&self, tx: &mut Tx<'_>) -> Result<()> {
        let now = tx.now();
        self.office(tx, now)?;
        let conn = tx.conn();
        let courts = self.courts(conn)?;
        self.play(conn, &courts)?;
        self.care(conn)?;
        let people = self.people(conn)?;
        self.crews(conn, &people)?;
        let classes = self.shed(conn, now, &courts)?;
        self.subscribers(tx)?;
        let materials = self.stores(tx)?;
        self.supplies(tx, &classes, &materials)
    }

    fn office(&self, tx: &mut Tx<'_>, now: Instant) -> Result<()> {
        for (entry, user) in self.files.people.accounts.iter().zip(self.users) {
            membership_add(tx.conn(), self.scope, *user, entry.role, now)?;
        }
        for (key, value) in &self.files.site.settings {
            let value = serde_json::to_value(value).map_err(|e| unreadable(&e))?;
            setting_put(tx, self.scope, key, &value)?;
        }
        Ok(())
    }

    fn subscribers(&self, tx: &mut Tx<'_>) -> Result<()> {
        for entry in &self.files.people.subscribers {
            subscriber_add(tx, self.scope, &entry.email, &entry.name, &entry.language)?;
        }
        Ok(())
    }

    fn courts(&self, conn: &mut Conn) -> Result<Names> {
        let mut banks = Names::new();
        for (entry, position) in self.files.site.banks.iter().zip(1..) {
            let bank = BankRow {
                id: 0,
                name: entry.name.clone(),
                position,
                line_name: entry.line_name.clone(),
                line_capacity_mlps: entry.line_capacity_mlps,
                x_mm: entry.x_mm,
                y_mm: entry.y_mm,
                version: 1,
            };
            banks.insert(entry.name.clone(), bank_add(conn, self.scope, &bank)?);
        }
        let mut courts = Names::new();
        for (entry, position) in self.files.site.courts.iter().zip(1..) {
            let court = self.court(entry, position, id_of(&banks, &entry.bank)?);
            let id = court_add(conn, self.scope, &court)?;
            // Looked at in the evening of the day before.
            let seen = self.at(self.date(-1), evening());
            let note = entry.note.as_deref();
            condition_add(conn, self.scope, id, seen, &entry.condition, note)?;
            if entry.drain_s.is_some() || entry.level_target_mm.is_some() {
                let water = CourtWaterRow {
                    court_id: id,
                    drain_s: entry.drain_s,
                    level_target_mm: entry.level_target_mm,
                    version: 0,
                };
                court_water_put(conn, self.scope, 0, &water)?;
            }
            courts.insert(entry.name.clone(), id);
        }
        self.water(conn, &banks, &courts)?;
        Ok(courts)
    }

    fn water(&self, conn: &mut Conn, banks: &Names, courts: &Names) -> Result<()> {
        for entry in &self.files.site.valves {
            let valve = NewValve {
                bank_id: id_of(banks, &entry.bank)?,
                name: entry.name.clone(),
                opened: entry.opened,
                flow_mlps: entry.flow_mlps,
            };
            let id = valve_add(conn, self.scope, &valve)?;
            let wets = entry.courts.iter().map(|court| id_of(courts, court));
            let wets = wets.collect::<Result<Vec<_>>>()?;
            valve_courts_set(conn, self.scope, id, &wets)?;
        }
        for entry in &self.files.site.water_rules {
            let bank = entry.bank.as_ref().map(|bank| id_of(banks, bank));
            let rule = NewRule {
                bank_id: bank.transpose()?,
                name: entry.name.clone(),
                kind: entry.kind,
                weekdays: entry.weekdays.clone(),
                from_time: entry.from.clone(),
                until_time: entry.until.clone(),
                ml_a_day: entry.ml_a_day,
            };
            rule_add(conn, self.scope, &rule)?;
        }
        Ok(())
    }

    fn court(&self, entry: &CourtEntry, position: i64, bank_id: i64) -> CourtRow {
        let sprinkled = entry.watering == Watering::Sprinkler;
        let of_sprinklers = |amount: i64| if sprinkled { amount } else { 0 };
        CourtRow {
            id: 0,
            bank_id,
            name: entry.name.clone(),
            position,
            length_mm: entry.length_mm,
            width_mm: entry.width_mm,
            watering: entry.watering,
            lines: entry.lines,
            resurfaced_on: self
                .today
                .checked_sub_days(Days::new(entry.resurfaced_days_ago)),
            sprinkler_flow_mlps: of_sprinklers(SPRINKLER_FLOW_MLPS),
            soak_s: of_sprinklers(SOAK_S),
            night_cycles: of_sprinklers(NIGHT_CYCLES),
            night_cycle_s: of_sprinklers(NIGHT_CYCLE_S),
            x_mm: entry.x_mm,
            y_mm: entry.y_mm,
            version: 1,
            first_aid: None,
            ambulance_way: None,
        }
    }

    fn play(&self, conn: &mut Conn, courts: &Names) -> Result<()> {
        let mut sessions = Vec::new();
        for date in self.days() {
            for court in &self.files.site.courts {
                let of_bank = self
                    .files
                    .play
                    .sessions
                    .iter()
                    .filter(|s| s.bank == court.bank);
                for entry in of_bank {
                    sessions.push(NewSession {
                        site_id: self.scope.site_id(),
                        court_id: id_of(courts, &court.name)?,
                        name: entry.name.clone(),
                        starts_at: self.at(date, entry.from),
                        ends_at: self.at(date, entry.until),
                        short_turnaround: entry.short,
                    });
                }
            }
        }
        sessions_add(conn, &sessions)?;
        for entry in &self.files.play.closures {
            let (from, to) = (
                self.at(self.today, entry.from),
                self.at(self.today, entry.until),
            );
            let court = id_of(courts, &entry.court)?;
            closure_add(conn, self.scope, court, from, to, &entry.reason)?;
        }
        Ok(())
    }

    fn care(&self, conn: &mut Conn) -> Result<()> {
        let tasks: Vec<NewTask> = self
            .files
            .care
            .tasks
            .iter()
            .zip(1..)
            .map(|(entry, n)| self.task(entry, n))
            .collect();
        Ok(tasks_add(conn, &tasks)?)
    }

    /// A task starts from what the trade knows of it.
    fn task(&self, entry: &TaskEntry, position: i64) -> NewTask {
        let known = facts(entry.code);
        NewTask {
            site_id: self.scope.site_id(),
            code: entry.code.as_str().to_owned(),
            name: entry.name.clone(),
            position,
            done_at: entry.done_at.clone(),
            cadence: entry.cadence.unwrap_or(known.cadence).to_string(),
            base_s: entry.base_s.unwrap_or(known.base.0),
            min_hands: i64::from(known.min_hands),
            skill: entry.skill.clone(),
            tool_action: entry.tool_action.clone(),
            ground: ground_word(known.ground).to_owned(),
            caution: known
                .cautions
                .first()
                .map(|caution| caution.as_str().to_owned()),
            skip_cents: 0,
            source: known.source.as_str().to_owned(),
            urgency: entry.urgency.as_str().to_owned(),
            safety: entry.safety,
            detail: "{}".to_owned(),
        }
    }

    fn people(&self, conn: &mut Conn) -> Result<Names> {
        let mut people = Names::new();
        for entry in &self.files.people.people {
            let accounts = self.files.people.accounts.iter().zip(self.users);
            let user = accounts
                .filter(|(account, _)| account.person.as_ref() == Some(&entry.name))
                .map(|(_, user)| *user)
                .next();
            let id = person_add(conn, self.scope, &entry.name, &entry.skills, user)?;
            for (weeks, cents) in &entry.rates {
                let from = self.today.checked_sub_days(Days::new(weeks * 7));
                pay_rate_add(conn, self.scope, id, from.unwrap_or(self.today), *cents)?;
            }
            people.insert(entry.name.clone(), id);
        }
        Ok(people)
    }

    fn crews(&self, conn: &mut Conn, people: &Names) -> Result<()> {
        for (entry, position) in self.files.people.crews.iter().zip(1..) {
            let CrewEntry {
                name,
                kit_limit,
                load_limit_g,
                ..
            } = entry;
            let crew = crew_add(conn, self.scope, name, position, *kit_limit, *load_limit_g)?;
            let members = || {
                self.files
                    .people
                    .people
                    .iter()
                    .filter(|p| p.crew == entry.name)
            };
            for member in members() {
                let person = id_of(people, &member.name)?;
                member_add(conn, self.scope, crew, person, self.first_day())?;
            }
            for date in self.days() {
                let at_work: Vec<_> = members()
                    .filter(|member| !member.off.contains(&date.weekday()))
                    .collect();
                if at_work.is_empty() {
                    continue;
                }
                let shift = shift_add(conn, &self.shift(entry, crew, date))?;
                let hands = at_work
                    .iter()
                    .map(|member| {
                        Ok(NewHand {
                            site_id: self.scope.site_id(),
                            shift_id: shift,
                            person_id: id_of(people, &member.name)?,
                        })
                    })
                    .collect::<Result<Vec<_>>>()?;
                hands_add(conn, &hands)?;
            }
        }
        Ok(())
    }

    fn shift(&self, entry: &CrewEntry, crew_id: i64, date: NaiveDate) -> NewShift {
        NewShift {
            site_id: self.scope.site_id(),
            crew_id,
            work_date: date,
            starts_at: self.at(date, entry.from),
            ends_at: self.at(date, entry.until),
            overtime_until: self.at(date, entry.overtime_until),
            break_s: entry.break_s,
            break_from: Some(self.at(date, entry.break_from)),
            break_until: Some(self.at(date, entry.break_until)),
        }
    }

    /// Gives the classes of the shed's tools.
    fn shed(&self, conn: &mut Conn, now: Instant, courts: &Names) -> Result<Names> {
        let shed = &self.files.shed;
        let mut classes = HashMap::new();
        for entry in &shed.classes {
            let class = NewClass {
                site_id: self.scope.site_id(),
                code: entry.code.clone(),
                name: entry.name.clone(),
                action: entry.action.clone(),
                strength: entry.strength.clone(),
                width_mm: entry.width_mm,
                brush_rows: entry.brush_rows,
                bristle_um: entry.bristle_um,
                wear_cents: entry.wear_cents,
                wear_uses: entry.wear_uses,
                pulled: pulled(entry)?.as_str().to_owned(),
            };
            classes.insert(&entry.code, (class_add(conn, &class)?, entry.bristle_um));
        }
        for entry in &shed.tools {
            let known = classes.get(&entry.class);
            let (class, bristle) = *known.ok_or_else(|| unreadable(&entry.class))?;
            for (number, nth) in entry.numbers.iter().zip(0..) {
                let broken = shed.broken.iter().any(|b| b.number == *number);
                let state = if broken {
                    ToolState::OutOfService
                } else {
                    ToolState::InService
                };
                let since = self.date(-210);
                let tool = tool_add(conn, self.scope, class, number, state, since)?;
                if let Some(start_um) = bristle {
                    self.brush(conn, now, tool, entry, nth, start_um)?;
                }
            }
        }
        for court in &self.files.site.courts {
            for kind in &shed.court_parts.kinds {
                let part = NewPart {
                    site_id: self.scope.site_id(),
                    tool_id: None,
                    court_id: Some(id_of(courts, &court.name)?),
                    kind: *kind,
                    start_um: None,
                    limit_um: None,
                    fitted_on: self.date(-190),
                };
                part_add(conn, &part)?;
            }
        }
        let classes = classes.into_iter();
        Ok(classes.map(|(code, (id, _))| (code.clone(), id)).collect())
    }

    /// How new parts come.
    fn supplies(&self, tx: &mut Tx<'_>, classes: &Names, materials: &Names) -> Result<()> {
        for entry in &self.files.shed.supplies {
            let class = entry.class.as_ref().map(|code| id_of(classes, code));
            let material = entry.material.as_ref().map(|code| id_of(materials, code));
            let supply = PartSupply {
                material_id: material.transpose()?,
                supplier: entry.supplier.clone(),
                lead_days: entry.lead_days,
                cover_days: entry.cover_days,
                life_days: entry.life_days,
            };
            part_supply_add(tx, self.scope, (entry.kind, class.transpose()?), &supply)?;
        }
        Ok(())
    }

    /// A tool's brush with a reading of each of the last eight weeks.
    fn brush(
        &self,
        conn: &mut Conn,
        now: Instant,
        tool: i64,
        entry: &ToolsEntry,
        nth: usize,
        start_um: i64,
    ) -> Result<()> {
        let sweeps = entry.class == "line_sweeper";
        let part = NewPart {
            site_id: self.scope.site_id(),
            tool_id: Some(tool),
            court_id: None,
            kind: if sweeps {
                WearPartKind::SweeperBrush
            } else {
                WearPartKind::Brush
            },
            start_um: Some(start_um),
            limit_um: entry.limit_um,
            fitted_on: self.date(-190),
        };
        let part = part_add(conn, &part)?;
        let worn = entry.worn_um.get(nth).copied().unwrap_or(0);
        let readings: Vec<NewReading> = (1..=8)
            .rev()
            .map(|weeks| NewReading {
                site_id: self.scope.site_id(),
                wear_part_id: part,
                measured_on: self.date(-7 * weeks + 2),
                // Read with a ruler: to the half millimetre.
                length_um: (start_um - (worn - entry.wears_um_a_week * weeks).max(0)) / 500 * 500,
                booked_at: now,
            })
            .collect();
        Ok(readings_add(conn, &readings)?)
    }

    /// Materials, each with the receipt it opens with.
    fn stores(&self, tx: &mut Tx<'_>) -> Result<Names> {
        let now = tx.now();
        let mut materials = Names::new();
        for entry in &self.files.shed.materials {
            let material = NewMaterial {
                site_id: self.scope.site_id(),
                code: entry.code.clone(),
                name: entry.name.clone(),
                unit: entry.unit.clone(),
                pack_name: entry.pack_name.clone(),
                pack_quantity: entry.pack_quantity,
                label: entry.label.as_ref().map(json).transpose()?,
                on_hand: 0,
                value_cents: 0,
                version: 1,
            };
            let material_id = material_add(tx.conn(), &material)?;
            let receipt = NewMove {
                material_id,
                order_id: None,
                kind: StockMoveKind::Receipt,
                quantity: entry.opening_packs * entry.pack_quantity,
                value_cents: entry.opening_packs * entry.cents_a_pack,
                beyond_stock: false,
                work_date: self.first_day(),
                booked_at: now,
                source_kind: "opening",
                source_id: material_id,
                reverses_id: None,
            };
            stock_move_add(tx, self.scope, &receipt)?;
            materials.insert(entry.code.clone(), material_id);
        }
        Ok(materials)
    }

    fn days(&self) -> impl Iterator<Item = NaiveDate> + use<> {
        self.first_day()
            .iter_days()
            .take(usize::try_from(DAYS_BACK + DAYS_AHEAD + 1).unwrap_or(0))
    }

    fn first_day(&self) -> NaiveDate {
        self.today
            .checked_sub_days(Days::new(DAYS_BACK))
            .unwrap_or(self.today)
    }

    fn date(&self, days: i64) -> NaiveDate {
        let far = Days::new(days.unsigned_abs());
        let date = if days < 0 {
            self.today.checked_sub_days(far)
        } else {
            self.today.checked_add_days(far)
        };
        date.unwrap_or(self.today)
    }

    fn at(&self, date: NaiveDate, time: NaiveTime) -> Instant {
        let at: DateTime<Utc> = if time == NaiveTime::MIN {
            day_start(self.zone, date)
        } else {
            local_to_instant(self.zone, date, time)
        };
        at.into()
    }
}

fn evening() -> NaiveTime {
    NaiveTime::from_hms_opt(19, 30, 0).unwrap_or_default()
}

fn id_of(names: &Names, name: &str) -> Result<i64> {
    names
        .get(name)
        .copied()
        .ok_or_else(|| unreadable(&format!("no {name} in the data files")))
}

/// The word for what ground a task needs, as the care standard keeps it.
fn ground_word(need: GroundNeed) -> &'static str {
    [
        (GroundNeed::ANY, "any"),
        (GroundNeed::FIRM, "firm"),
        (GroundNeed::DAMP, "damp"),
        (GroundNeed::NOT_WET, "not_wet"),
        (GroundNeed::DRAINED, "drained"),
    ]
    .into_iter()
    .find(|(known, _)| *known == need)
    .map_or("firm", |(_, word)| word)
}

/// How a class of tool is pulled: on foot where the file does not say.
fn pulled(entry: &ClassEntry) -> Result<Pulled> {
    let word = entry.pulled.as_deref();
    word.map_or(Ok(Pulled::OnFoot), |word| {
        word.parse().map_err(|_| unreadable(&word))
    })
}
