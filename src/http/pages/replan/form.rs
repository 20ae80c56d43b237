//! What a form of the page sends, and what it asks of the desk.

use chrono::{NaiveDate, NaiveTime};
use chrono_tz::Tz;
use serde::Deserialize;
use trade::calendar::local_to_instant;

use crate::desk::plan_runs::rest::asked::{HandChange, Happened, ReplanAsk};
use crate::store::Instant;
use crate::store::day_changes::ChangeKind;

/// What was told; a form leaves out or empty what it does not ask.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Told {
    kind: String,
    because: String,
    from: String,
    until: String,
    reason: String,
    crew_id: String,
    person_id: String,
    court_id: String,
    tool_id: String,
    session_id: String,
    order_id: String,
    care_task_id: String,
    visit_key: String,
    start: String,
}

impl Told {
    /// What it asks; else the key of what is missing.
    pub fn ask(&self, zone: Tz, date: NaiveDate) -> Result<ReplanAsk, &'static str> {
        let time = |text: &str| -> Result<Option<Instant>, &'static str> {
            if text.is_empty() {
                return Ok(None);
            }
            let time: NaiveTime = text.parse().map_err(|_| "replan-needs-time")?;
            Ok(Some(local_to_instant(zone, date, time).into()))
        };
        let needed = |text: &str| time(text)?.ok_or("replan-needs-time");
        let id = |text: &str| text.parse::<i64>().map_err(|_| "replan-needs-choice");
        let happened = |one: Happened| ReplanAsk {
            happened: vec![one],
            ..ReplanAsk::default()
        };
        let changed = |one: HandChange| ReplanAsk {
            changes: vec![one],
            ..ReplanAsk::default()
        };
        let of_visit = |kind: ChangeKind| HandChange {
            kind,
            visit_key: Some(self.visit_key.clone()),
            crew_id: None,
            start_at: None,
            court_id: None,
            care_task_id: None,
        };
        let from = time(&self.from)?;
        let ask = match self.kind.as_str() {
            "rain" => happened(Happened::Rain {
                from,
                until: needed(&self.until)?,
            }),
            "crew_away" => happened(Happened::CrewAway {
                crew_id: id(&self.crew_id)?,
                from,
            }),
            "person_away" => happened(Happened::PersonAway {
                person_id: id(&self.person_id)?,
            }),
            "court_shut" => happened(Happened::CourtShut {
                court_id: id(&self.court_id)?,
                from,
                until: needed(&self.until)?,
                reason: self.reason.clone(),
            }),
            "tool_broken" => happened(Happened::ToolBroken {
                tool_id: id(&self.tool_id)?,
            }),
            "play_runs_over" => happened(Happened::PlayRunsOver {
                session_id: id(&self.session_id)?,
                until: needed(&self.until)?,
            }),
            "work_runs_over" => happened(Happened::WorkRunsOver {
                order_id: id(&self.order_id)?,
                until: needed(&self.until)?,
            }),
            "pin" => changed(HandChange {
                crew_id: Some(id(&self.crew_id)?),
                start_at: time(&self.start)?,
                ..of_visit(ChangeKind::Pin)
            }),
            "drop" => changed(of_visit(ChangeKind::Drop)),
            "free" => changed(of_visit(ChangeKind::Free)),
            "add" => changed(HandChange {
                visit_key: None,
                court_id: Some(id(&self.court_id)?),
                care_task_id: Some(id(&self.care_task_id)?),
                ..of_visit(ChangeKind::Add)
            }),
            "other" => ReplanAsk::default(),
            _ => return Err("replan-needs-choice"),
        };
        Ok(ReplanAsk {
            because: self.because.clone(),
            ..ask
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(kind: &str) -> Told {
        Told {
            kind: kind.into(),
            crew_id: "7".into(),
            visit_key: "turnaround:3".into(),
            ..Told::default()
        }
    }

    #[test]
    fn what_is_missing_is_said() {
        let date = "2031-06-10".parse().unwrap();
        let why = |told: &Told| told.ask(chrono_tz::America::New_York, date).unwrap_err();
        assert_eq!(why(&told("rain")), "replan-needs-time");
        assert_eq!(why(&told("tool_broken")), "replan-needs-choice");
        assert_eq!(why(&told("flood")), "replan-needs-choice");
    }

    #[test]
    fn a_time_is_the_sites_own() {
        let told = Told {
            start: "07:30".into(),
            ..told("pin")
        };
        let ask = told
            .ask(chrono_tz::America::New_York, "2031-06-10".parse().unwrap())
            .unwrap();
        let [pin] = &ask.changes[..] else {
            panic!("one change");
        };
        assert_eq!(pin.crew_id, Some(7));
        let start = pin.start_at.unwrap().utc();
        assert_eq!(start.to_rfc3339(), "2031-06-10T11:30:00+00:00");
    }
}
