//! From the text of a calendar to its events' properties, each with the line it stands on.
//!
//! The library reads one content line at a time: its own reader of whole calendars gives up the file at the first line
//! it cannot read, and here the rest is to be taken.

use icalendar::parser::Property;

use super::LineFault;

/// One property of a component.
#[derive(Clone, Debug)]
pub(super) struct Prop {
    /// The first line it stands on, from 1.
    pub line: usize,
    /// Its name, in capitals.
    pub name: String,
    /// Its value; a text with its escapes undone.
    pub value: String,
    params: Vec<(String, String)>,
}

impl Prop {
    /// A parameter's value.
    pub fn param(&self, name: &str) -> Option<&str> {
        let found = self.params.iter().find(|(known, _)| known == name);
        found.map(|(_, value)| value.as_str())
    }

    /// A fault of this property.
    pub fn fault(&self, detail: impl Into<String>) -> LineFault {
        LineFault {
            line: self.line,
            uid: None,
            field: self.name.clone(),
            detail: detail.into(),
        }
    }
}

/// The properties of one event.
#[derive(Clone, Debug)]
pub(super) struct Block {
    /// The line of its `BEGIN`.
    pub line: usize,
    /// In the order of the file.
    pub props: Vec<Prop>,
    /// The first line of it that cannot be read.
    pub broken: Option<LineFault>,
}

impl Block {
    /// The first property of this name.
    pub fn prop(&self, name: &str) -> Option<&Prop> {
        self.props.iter().find(|prop| prop.name == name)
    }

    /// All properties of this name.
    pub fn all(&self, name: &'static str) -> impl Iterator<Item = &Prop> {
        self.props.iter().filter(move |prop| prop.name == name)
    }

    /// Which event it is, where it says so.
    pub fn uid(&self) -> Option<&str> {
        let uid = self.prop("UID").map(|prop| prop.value.trim());
        uid.filter(|uid| !uid.is_empty())
    }
}

/// A calendar's events and its `METHOD`.
pub(super) struct Content {
    pub method: Option<String>,
    pub events: Vec<Block>,
}

/// Takes a calendar apart.
///
/// # Errors
/// What is no calendar, or not a whole one: of a file cut off in the middle nothing can be said to be gone.
pub(super) fn content(text: &str) -> Result<Content, LineFault> {
    let mut content = Content {
        method: None,
        events: Vec::new(),
    };
    let mut open: Vec<String> = Vec::new();
    let mut closed = false;
    for (line, text) in unfolded(text.trim_start_matches('\u{feff}')) {
        let fault = |detail: &str| whole(line, detail);
        let (key, value) = text.split_once(':').unwrap_or((&text, ""));
        let value = value.trim().to_ascii_uppercase();
        if key.eq_ignore_ascii_case("BEGIN") {
            if open.is_empty() && value != "VCALENDAR" {
                return Err(fault("this is no calendar: it begins with BEGIN:VCALENDAR"));
            }
            open.push(value);
            if open.len() == 2 && open[1] == "VEVENT" {
                content.events.push(Block {
                    line,
                    props: Vec::new(),
                    broken: None,
                });
            }
        } else if key.eq_ignore_ascii_case("END") {
            if open.pop() != Some(value) {
                return Err(fault(
                    "this END does not belong to the BEGIN before it: send the calendar whole",
                ));
            }
            closed |= open.is_empty();
        } else if open.is_empty() {
            return Err(fault("this is no calendar: it begins with BEGIN:VCALENDAR"));
        } else if open.len() == 1 && key.eq_ignore_ascii_case("METHOD") {
            content.method = Some(value);
        } else if let ([_, kind], Some(event)) = (open.as_slice(), content.events.last_mut())
            && kind == "VEVENT"
        {
            take(event, line, &text);
        }
    }
    if closed && open.is_empty() {
        return Ok(content);
    }
    let last = text.lines().count().max(1);
    let detail = "the calendar has no end: send it whole, from BEGIN:VCALENDAR to END:VCALENDAR";
    Err(whole(last, detail))
}

/// A fault for which the file is not taken.
fn whole(line: usize, detail: &str) -> LineFault {
    LineFault {
        line,
        uid: None,
        field: "VCALENDAR".into(),
        detail: detail.into(),
    }
}

fn take(event: &mut Block, line: usize, text: &str) {
    if let Some(prop) = property(line, text) {
        event.props.push(prop);
        return;
    }
    let name = text.split([':', ';']).next().unwrap_or_default();
    event.broken.get_or_insert(LineFault {
        line,
        uid: None,
        field: name.chars().take(40).collect(),
        detail: "this line cannot be read: write it as NAME:VALUE".into(),
    });
}

fn property(line: usize, text: &str) -> Option<Prop> {
    if !text.contains(':') {
        return None;
    }
    let read = Property::try_from(text).ok()?;
    let params = read.params.iter().filter_map(|param| {
        let value = param.val.as_ref()?.as_str().trim_matches('"').to_owned();
        Some((param.key.as_str().to_ascii_uppercase(), value))
    });
    Some(Prop {
        line,
        name: read.name.as_str().to_ascii_uppercase(),
        value: read.val.as_str().to_owned(),
        params: params.collect(),
    })
}

/// The content lines with the number of the line each begins on: a line that begins with a space or a tab goes on the
/// one before (RFC 5545 section 3.1).
fn unfolded(text: &str) -> Vec<(usize, String)> {
    let mut lines: Vec<(usize, String)> = Vec::new();
    for (number, line) in text.lines().enumerate() {
        match (line.strip_prefix([' ', '\t']), lines.last_mut()) {
            (Some(rest), Some((_, before))) => before.push_str(rest),
            _ if line.trim().is_empty() => {}
            _ => lines.push((number + 1, line.to_owned())),
        }
    }
    lines
}
