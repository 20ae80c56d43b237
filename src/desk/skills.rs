//! What a person may be given that not everybody may, and until when: shown and set whole.

use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::access::{EditCrews, Permit, SeeCrews};
use super::error::{FieldFault, Named};
use super::line::is_line;
use super::{Error, Office, Result, is_plain_year};
use crate::store::audit::{Change, Deed, audit_edit};
use crate::store::{Conn, Scope, crews, skills};

const MOST_SKILLS: usize = 40;
const LONGEST_NAME: usize = 40;

/// A skill of a person.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Skill {
    /// The site's own word, as care tasks name it: 1 to 40 characters.
    #[schema(example = "chemicals")]
    pub skill: String,
    /// The last day on which it is in date; null where the site keeps no date of it.
    pub until: Option<NaiveDate>,
}

/// A person's skills.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SkillsView {
    /// The person.
    pub person_id: i64,
    /// Their name.
    pub name: String,
    /// What they may be given, in the order in which it was told; also what is out of date.
    pub skills: Vec<Skill>,
    /// Version of the person, for `If-Match`.
    pub version: i64,
}

/// The skills a person has, all of them.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SkillsTold {
    /// Each once, at most 40; what is left out the person no longer has.
    pub skills: Vec<Skill>,
}

/// A person's skills.
pub fn skills_read(office: &Office, permit: &Permit<SeeCrews>, person: i64) -> Result<SkillsView> {
    office.db.read(|conn| view(conn, permit, person))
}

fn view(conn: &mut Conn, scope: &Scope, person: i64) -> Result<SkillsView> {
    let row = crews::person_read(conn, scope, person).named("person")?;
    let dates = skills::skill_date_list(conn, scope, person)?;
    let until = |skill: &str| {
        let date = dates.iter().find(|(name, _)| name == skill);
        date.map(|(_, until)| *until)
    };
    let all = row.skills.0.into_iter().map(|skill| Skill {
        until: until(&skill),
        skill,
    });
    Ok(SkillsView {
        person_id: row.id,
        name: row.name,
        skills: all.collect(),
        version: row.version,
    })
}

/// Gives a person that still has `version` these skills and no others.
pub fn skills_set(
    office: &Office,
    permit: &Permit<EditCrews>,
    person: i64,
    version: i64,
    told: &SkillsTold,
) -> Result<SkillsView> {
    let set = checked(told)?;
    office.db.write(permit, |tx| {
        crews::person_read(tx.conn(), permit, person).named("person")?;
        let before = view(tx.conn(), permit, person)?;
        skills::skills_put(tx, permit, person, version, &set)?;
        let deed = Deed {
            verb: "skills_set",
            subject: "person",
            id: person,
            data: serde_json::json!({ "version": version + 1 }),
        };
        let after = view(tx.conn(), permit, person)?;
        audit_edit(
            tx,
            permit,
            deed,
            Change::between(&before, &after)?,
            &["name"],
        )?;
        Ok(after)
    })
}

fn checked(told: &SkillsTold) -> Result<Vec<(String, Option<NaiveDate>)>> {
    if told.skills.len() > MOST_SKILLS {
        let mend = format!("a person has at most {MOST_SKILLS} skills");
        return Err(Error::refused("/skills", mend));
    }
    let mut faults = Vec::new();
    let mut set: Vec<(String, Option<NaiveDate>)> = Vec::new();
    for (at, one) in told.skills.iter().enumerate() {
        let mut fault = |member: &str, mend: &str| {
            faults.push(FieldFault::new(format!("/skills/{at}/{member}"), mend));
        };
        let name = one.skill.trim();
        if !is_line(name, LONGEST_NAME) {
            fault("skill", "name it in one line of 1 to 40 characters");
        }
        if set.iter().any(|(before, _)| before == name) {
            fault(
                "skill",
                "this skill stands in the list already: name it once",
            );
        }
        if one.until.is_some_and(|until| !is_plain_year(until.year())) {
            fault("until", "give a date between 1970 and 2199");
        }
        set.push((name.to_owned(), one.until));
    }
    if faults.is_empty() {
        Ok(set)
    } else {
        Err(Error::Refused(faults))
    }
}
