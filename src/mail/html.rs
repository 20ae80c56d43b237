//! A letter as an HTML document that holds in mail programs: tables and inline styles, nothing
//! fetched, no script, as wide as a phone or 600 px.
//!
//! Every colour of writing stands with the colour under it, and none is pure black or white: what a
//! program makes of them in the dark stays readable.

use maud::{DOCTYPE, Markup, html};

use super::drawing;
use super::sheet::{Fact, Item, Part, Row, Section, Sheet, Table, Tone};
use crate::words::chart::Drawing;

const PAGE: &str = "margin:0;padding:0;background-color:#efede6;color:#23281f;";
const SHEET: &str = "width:100%;max-width:600px;background-color:#fdfcf8;color:#23281f;\
    font-family:-apple-system,'Segoe UI',Roboto,Helvetica,Arial,sans-serif;";
const PAD: &str = "padding:0 20px;";
const ABOUT: &str = "margin:0;font-size:15px;line-height:22px;font-weight:bold;color:#23281f;";
const QUIET: &str = "margin:0;font-size:14px;line-height:21px;color:#5a6152;";
const LEAD: &str = "margin:0;font-size:19px;line-height:27px;font-weight:bold;color:#23281f;";
const TITLE: &str = "margin:0;padding:28px 0 6px 0;font-size:17px;line-height:24px;\
    font-weight:bold;color:#23281f;";
const WORDS: &str = "margin:0;padding:6px 0;font-size:15px;line-height:22px;color:#23281f;";
const WHOLE: &str = "width:100%;border-collapse:collapse;";
const NAME: &str = "padding:6px 10px 6px 0;font-size:15px;line-height:21px;text-align:left;\
    vertical-align:top;font-weight:normal;color:#23281f;border-top:1px solid #e0ddd2;";
const VALUE: &str = "padding:6px 0 6px 10px;font-size:15px;line-height:21px;text-align:right;\
    vertical-align:top;color:#23281f;border-top:1px solid #e0ddd2;";
const HEAD: &str = "padding:6px 0 6px 10px;font-size:13px;line-height:18px;text-align:right;\
    vertical-align:bottom;font-weight:bold;color:#5a6152;";
const HEAD_NAME: &str = "padding:6px 10px 6px 0;font-size:13px;line-height:18px;text-align:left;\
    vertical-align:bottom;font-weight:bold;color:#5a6152;";
const BELOW: &str = "padding:0 0 7px 0;font-size:13px;line-height:18px;color:#5a6152;";
const BOLD: &str = "font-weight:bold;border-top:2px solid #8b917f;";
const LINK: &str = "color:#2c5f7c;text-decoration:underline;";

/// Lays a letter out as a document. Every text is escaped.
pub(super) fn write(sheet: &Sheet) -> String {
    let page = html! {
        (DOCTYPE)
        html lang=(sheet.language) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light";
                meta name="supported-color-schemes" content="light";
                title { (sheet.subject) }
            }
            body style=(PAGE) {
                table role="presentation" width="100%" cellpadding="0" cellspacing="0" border="0"
                    bgcolor="#efede6" style=(WHOLE) {
                    tr { td align="center" style="padding:16px 0;" { (body(sheet)) } }
                }
            }
        }
    };
    page.into_string()
}

fn body(sheet: &Sheet) -> Markup {
    html! {
        table role="presentation" width="600" cellpadding="0" cellspacing="0" border="0"
            bgcolor="#fdfcf8" style=(SHEET) {
            tr { td style=(format!("padding:6px 0;background-color:{};", colour(sheet.tone))) {} }
            tr { td style="padding:22px 20px 0 20px;" {
                p style=(LEAD) { (sheet.lead) }
            } }
            tr { td style="padding:14px 20px 0 20px;" {
                @for (place, about) in sheet.about.iter().enumerate() {
                    p style=(if place == 0 { ABOUT } else { QUIET }) { (about) }
                }
                @if let Some(remark) = &sheet.remark { p style=(QUIET) { (remark) } }
            } }
            @for section in &sheet.sections {
                tr { td style=(PAD) { (section_of(section)) } }
            }
            tr { td style="padding:28px 20px 24px 20px;" {
                @if let Some((words, url)) = &sheet.link {
                    p style=(WORDS) { a href=(url) style=(LINK) { (words) } }
                }
                p style=(QUIET) { (sheet.footer) }
            } }
        }
    }
}

/// The bar at the top underlines the first sentence, which says the same in words.
const fn colour(tone: Tone) -> &'static str {
    match tone {
        Tone::Good => "#4c7a4f",
        Tone::Mixed => "#b98a2f",
        Tone::Bad => "#a8452f",
        Tone::Plain => "#7d8373",
    }
}

fn section_of(section: &Section) -> Markup {
    html! {
        h2 style=(TITLE) { (section.title) }
        @for part in &section.parts {
            @match part {
                Part::Words(words) => p style=(WORDS) { (words) },
                Part::Facts(facts) => (facts_of(facts)),
                Part::Items(items) => (items_of(items)),
                Part::Table(table) => (table_of(table)),
                Part::Drawn { items, key } => (drawn_of(items, key)),
            }
        }
    }
}

fn facts_of(facts: &[Fact]) -> Markup {
    html! {
        table width="100%" cellpadding="0" cellspacing="0" border="0" style=(WHOLE) {
            @for fact in facts {
                tr {
                    th scope="row" align="left" style=(NAME) { (fact.name) }
                    td align="right" style=(VALUE) { (fact.value) }
                }
            }
        }
    }
}

fn items_of(items: &[Item]) -> Markup {
    html! {
        table role="presentation" width="100%" cellpadding="0" cellspacing="0" border="0"
            style=(WHOLE) {
            @for item in items {
                tr { td style=(NAME) { b { (item.about) } br; (sentence(&item.words)) } }
            }
        }
    }
}

fn drawn_of(items: &[(Item, Drawing)], key: &str) -> Markup {
    html! {
        table role="presentation" width="100%" cellpadding="0" cellspacing="0" border="0"
            style=(WHOLE) {
            @for (item, drawn) in items {
                tr { td style=(NAME) {
                    b { (item.about) } br; (sentence(&item.words))
                    (drawing::of(drawn, &format!("{}: {}", item.about, item.words)))
                } }
            }
            tr { td style=(BELOW) { (key) } }
        }
    }
}

/// On a line of its own, what is said begins like a sentence.
fn sentence(words: &str) -> String {
    let mut rest = words.chars();
    let first = rest.next().map(|c| c.to_uppercase().to_string());
    first.unwrap_or_default() + rest.as_str()
}

fn table_of(table: &Table) -> Markup {
    let columns = table.head.len();
    html! {
        table width="100%" cellpadding="0" cellspacing="0" border="0"
            style=(format!("{WHOLE}margin-top:10px;")) {
            tr {
                @for (column, head) in table.head.iter().enumerate() {
                    @let align = if column == 0 { "left" } else { "right" };
                    th scope="col" align=(align) style=(if column == 0 { HEAD_NAME } else { HEAD }) {
                        (head)
                    }
                }
            }
            @for row in &table.rows { (row_of(row, columns)) }
        }
    }
}

fn row_of(row: &Row, columns: usize) -> Markup {
    let style = |base: &str| {
        let more = if row.is_sum { BOLD } else { "" };
        format!("{base}{more}")
    };
    html! {
        tr {
            @for (column, cell) in row.cells.iter().enumerate() {
                @if column == 0 {
                    th scope="row" align="left" style=(style(NAME)) { (cell) }
                } @else {
                    td align="right" style=(style(VALUE)) { (cell) }
                }
            }
        }
        @if let Some(below) = &row.below {
            tr { td colspan=(columns) style=(BELOW) { (below) } }
        }
    }
}
