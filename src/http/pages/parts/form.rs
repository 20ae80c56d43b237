//! Pages of one form, and fields of passwords and codes.

use std::str::FromStr;

use actix_web::http::{StatusCode, header};
use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::frame::Frame;
use crate::http::problem::{Kind, Problem};
use crate::words::{say, say_with};

/// The fields of a form in which one name may come several times.
pub type Fields = web::Form<Vec<(String, String)>>;

/// The first field of this name.
pub fn field<'a>(fields: &'a [(String, String)], name: &str) -> Option<&'a String> {
    let mut named = fields.iter().filter(|(key, _)| key == name);
    named.next().map(|(_, value)| value)
}

/// The first field of this name without the space around it; none where nothing is left.
pub fn text(fields: &[(String, String)], name: &str) -> Option<String> {
    let text = field(fields, name).map(|text| text.trim().to_owned());
    text.filter(|text| !text.is_empty())
}

/// What stands in a field; none where nothing does, and a problem, said by its key, where it cannot be read.
pub fn read<T: FromStr>(
    fields: &[(String, String)],
    name: &str,
    unreadable: &str,
) -> Result<Option<T>, Problem> {
    let read = text(fields, name).map(|text| text.parse());
    read.transpose()
        .map_err(|_| Problem::new(Kind::Unreadable, say(unreadable)))
}

/// So many `parts` of what stands in a field, as 24,800 cents of `248` or `248.00`; none where it is no such number. A comma
/// is read as a point.
pub fn parts_of(text: &str, parts: i64) -> Option<i64> {
    let text = text.trim().replace(',', ".");
    let (whole, rest) = text.split_once('.').unwrap_or((&text, ""));
    let is_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if !is_digits(whole) || !is_digits(rest) || whole.len() + rest.len() == 0 || rest.len() > 6 {
        return None;
    }
    let over = 10_i64.pow(u32::try_from(rest.len()).ok()?);
    let read = |text: &str| {
        if text.is_empty() {
            Some(0)
        } else {
            text.parse::<i64>().ok()
        }
    };
    let all = read(whole)?.checked_mul(over)?.checked_add(read(rest)?)?;
    Some((all.checked_mul(parts)?.checked_add(over / 2)?) / over)
}

/// A field that is none of the choices its form gives.
pub fn choose(name: &str) -> Problem {
    let list = say_with("form-choose", &[("field", name.into())]);
    Problem::new(Kind::Unreadable, list)
}

/// A page of one form in the middle, with what was wrong with what was sent.
pub fn narrow(title: &str, lead: &str, wrong: Option<&str>, form: &Markup) -> Markup {
    let content = html! {
        div.sign-in {
            h1 { (title) }
            p { (lead) }
            @if let Some(wrong) = wrong {
                p.wrong #wrong role="alert" { (wrong) }
            }
            (form)
        }
    };
    Frame::of(title).around(&content)
}

/// The words for what was refused, where the form is to be shown again; else the problem goes its way.
pub fn wrong(problem: Problem) -> Result<String, Problem> {
    match problem.kind() {
        Kind::Refused | Kind::State | Kind::TooMany | Kind::Stale => Ok(problem.in_words()),
        _ => Err(problem),
    }
}

/// A form that is shown again because of what was sent.
pub fn again(page: Markup) -> HttpResponse {
    HttpResponse::build(StatusCode::UNPROCESSABLE_ENTITY)
        .content_type(header::ContentType::html())
        .body(page.into_string())
}

/// A field for a new password: long ones may be pasted, and a password manager knows what it is.
pub fn new_password(name: &str) -> Markup {
    html! {
        label for=(name) { (say("password-new")) }
        input id=(name) type="password" name=(name) autocomplete="new-password" required minlength="8" maxlength="128"
            aria-describedby={ (name) "-hint" };
        p.hint id={ (name) "-hint" } { (say("password-hint")) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_and_lengths_are_read_as_people_write_them() {
        for (text, cents) in [
            ("248", Some(24_800)),
            ("248.5", Some(24_850)),
            ("248,50", Some(24_850)),
            (" .5 ", Some(50)),
            ("0.005", Some(1)),
            ("", None),
            (".", None),
            ("-1", None),
            ("1e3", None),
            ("1.2.3", None),
            ("99999999999999999999", None),
        ] {
            assert_eq!(parts_of(text, 100), cents, "{text}");
        }
        assert_eq!(parts_of("5.5", 25_400), Some(139_700));
    }
}
