//! Whole numbers however they are written: `12.0` and `1.2e1` are 12. JSON knows one kind of number, a schema's `integer` is
//! any without a fraction (JSON Schema 2020-12, core section 4.2.2), and some programs write them all with a point.

use std::borrow::Cow;

use super::shape::end_of_text;

/// Larger ones with a point or an exponent are not told apart by what writes them so (RFC 8259 section 6).
const EXACT: f64 = 9_007_199_254_740_991.0;

/// The body with each whole number written without point and exponent.
pub fn plain(body: &[u8]) -> Cow<'_, [u8]> {
    let mut written: Vec<u8> = Vec::new();
    let (mut at, mut kept) = (0, 0);
    while let Some(&byte) = body.get(at) {
        if byte == b'"' {
            at = end_of_text(body, at);
        } else if byte == b'-' || byte.is_ascii_digit() {
            let end = end_of_number(body, at);
            if let Some(whole) = whole(&body[at..end]) {
                written.extend_from_slice(&body[kept..at]);
                written.extend_from_slice(whole.as_bytes());
                kept = end;
            }
            at = end;
        } else {
            at += 1;
        }
    }
    if kept == 0 {
        return Cow::Borrowed(body);
    }
    written.extend_from_slice(&body[kept..]);
    Cow::Owned(written)
}

fn end_of_number(body: &[u8], from: usize) -> usize {
    let part = |byte: &u8| byte.is_ascii_digit() || b"+-.eE".contains(byte);
    from + body[from..].iter().take_while(|byte| part(byte)).count()
}

/// The number as a whole one, where it is one and is not written so.
fn whole(number: &[u8]) -> Option<String> {
    if !number.iter().any(|byte| b".eE".contains(byte)) {
        return None;
    }
    // What is no number of JSON is left to its reader.
    let value: f64 = serde_json::from_slice(number).ok()?;
    (value.fract() == 0.0 && value.abs() <= EXACT).then(|| format!("{value:.0}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_whole_number_is_one_however_it_is_written() {
        let read = |text: &str| String::from_utf8(plain(text.as_bytes()).into_owned()).unwrap();
        assert_eq!(
            read(r#"{"a":[1.0,-2.50e1,3,0.5,1e2,-0.0],"b 1.0":"1.0 \" 2.0"}"#),
            r#"{"a":[1,-25,3,0.5,100,-0],"b 1.0":"1.0 \" 2.0"}"#
        );
        for left in [
            "1.5",
            "1e999",
            "1.",
            ".5",
            "01.0",
            "9007199254740993.0",
            "1e300",
            "--1.0",
            "\"1.0",
        ] {
            assert_eq!(read(left), left);
        }
    }
}
