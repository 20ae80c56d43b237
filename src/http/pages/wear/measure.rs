//! Telling a check of a part from the office: lengths at several points, or what the eye says.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::address_of;
use super::by_eye::word;
use super::one::{Reader, refused};
use crate::desk::access::{CheckTool, Permit};
use crate::desk::sites::site_read;
use crate::desk::tool_checks::{EyeTold, LengthTold, ToolCheckTold, tool_check};
use crate::desk::wear::{PartSeen, part_seen};
use crate::http::pages::parts::deed::{key, key_of};
use crate::http::pages::parts::form::{Fields, choose, field, parts_of, text};
use crate::http::pages::see_other;
use crate::http::pages::session::PageUser;
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::sites::{SiteRow, Units};
use crate::store::tool_checks::{EyeVerdict, ReadIn};
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/wear/{part_id:[0-9]+}/checks", "POST").route(web::post().to(tell)));
}

/// The form of a check.
pub(super) fn form(site: &SiteRow, part: &PartSeen) -> Markup {
    let (unit, example) = match site.units {
        Units::UsCustomary => ("in", "3 1/8, 3 1/4, 3 3/8"),
        Units::Metric => ("mm", "79, 82.5, 86"),
    };
    html! {
        section.stops aria-labelledby="check" {
            h2 #check { (say("wear-check")) }
            form.hold method="post" action={ (address_of(site.id, part.part.id)) "/checks" } {
                (key())
                @if part.part.start_um.is_some() {
                    label for="lengths" { (say_with("wear-check-lengths", &[("unit", unit.into())])) }
                    input #lengths type="text" name="lengths" maxlength="120" required placeholder=(example);
                } @else {
                    label for="verdict" { (say("wear-check-verdict")) }
                    select #verdict name="verdict" required {
                        @for verdict in EyeVerdict::ALL { option value=(verdict.as_str()) { (word(*verdict)) } }
                    }
                }
                button.button.strong type="submit" { (say("wear-check-do")) }
            }
        }
    }
}

async fn tell(
    office: State,
    user: PageUser,
    reader: Reader,
    permit: Permit<CheckTool>,
    path: web::Path<(i64, i64)>,
    fields: Fields,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let key = key_of(field(&fields, "client_key"))?;
    let (site, part) = at_the_desk(&office, {
        let (see, tools) = reader.clone();
        move |o| Ok((site_read(o, &see)?, part_seen(o, &tools, id)?.part))
    })
    .await?;
    let mut told = ToolCheckTold {
        tool_id: part.tool_id,
        court_id: part.court_id,
        person_id: None,
        readings: Vec::new(),
        by_eye: Vec::new(),
        net: None,
        happened_at: None,
    };
    if part.start_um.is_some() {
        let lengths = text(&fields, "lengths").and_then(|text| lengths_um(&text, site.units));
        let unreadable = || Problem::new(Kind::Unreadable, say("wear-check-unreadable"));
        told.readings.push(LengthTold {
            wear_part_id: id,
            points_um: lengths.ok_or_else(unreadable)?,
            read_in: match site.units {
                Units::UsCustomary => ReadIn::Inches,
                Units::Metric => ReadIn::Millimetres,
            },
        });
    } else {
        let verdict = field(&fields, "verdict")
            .and_then(|text| EyeVerdict::ALL.iter().find(|one| one.as_str() == text));
        told.by_eye.push(EyeTold {
            wear_part_id: id,
            verdict: *verdict.ok_or_else(|| choose("verdict"))?,
        });
    }
    match at_the_desk(&office, move |o| tool_check(o, &permit, key, &told)).await {
        Ok(_) => Ok(see_other(&address_of(site_id, id))),
        Err(problem) => refused(&office, &user, reader, id, problem).await,
    }
}

/// Lengths as people write them, set apart by commas: `3 1/8, 3.25` in, or `79, 82.5` mm; µm.
fn lengths_um(text: &str, units: Units) -> Option<Vec<i64>> {
    let each = text.split([',', ';']).map(str::trim);
    each.map(|text| match units {
        Units::UsCustomary => inches_um(text),
        Units::Metric => parts_of(text, 1_000),
    })
    .collect()
}

/// `3 1/8`, `7/8`, `3` or `3.25`, µm to the nearest: an inch is 25,400.
fn inches_um(text: &str) -> Option<i64> {
    const INCH: i64 = 25_400;
    let Some((before, below)) = text.split_once('/') else {
        return parts_of(text, INCH);
    };
    let (whole, above) = before
        .trim()
        .rsplit_once(' ')
        .unwrap_or(("0", before.trim()));
    let (above, below) = (
        above.trim().parse::<u8>().ok()?,
        below.trim().parse::<u8>().ok()?,
    );
    if below == 0 {
        return None;
    }
    let part = (i64::from(above) * INCH + i64::from(below) / 2) / i64::from(below);
    parts_of(whole, INCH)?.checked_add(part)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_read_as_they_stand_on_a_ruler() {
        let us = |text| lengths_um(text, Units::UsCustomary);
        assert_eq!(us("3 1/8"), Some(vec![79_375]));
        assert_eq!(
            us("3 1/8, 7/8; 3.25 ,4"),
            Some(vec![79_375, 22_225, 82_550, 101_600])
        );
        assert_eq!(
            lengths_um("79, 82.5", Units::Metric),
            Some(vec![79_000, 82_500])
        );
        for bad in ["", "3 1/0", "about 3", "3,,4", "-3", "3 1/8 in", "1/2/3"] {
            assert_eq!(us(bad), None, "{bad}");
        }
    }
}
