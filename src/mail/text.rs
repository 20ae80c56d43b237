//! A letter as plain text that reads well at 72 columns.

use super::sheet::{Fact, Item, Part, Row, Section, Sheet, Table};

/// Columns a line may take.
const WIDTH: usize = 72;
/// Space between two columns of a table.
const GAP: usize = 2;

/// Lays a letter out as text, its lines ended by a line feed.
pub(super) fn write(sheet: &Sheet) -> String {
    let mut out = Vec::new();
    wrap(&mut out, &sheet.lead, "", "");
    out.push(String::new());
    for about in &sheet.about {
        wrap(&mut out, about, "", "");
    }
    if let Some(remark) = &sheet.remark {
        wrap(&mut out, remark, "", "");
    }
    for section in &sheet.sections {
        write_section(&mut out, section);
    }
    out.push(String::new());
    out.push("-".repeat(WIDTH));
    wrap(&mut out, &sheet.footer, "", "");
    if let Some((words, url)) = &sheet.link {
        out.push(format!("{words}: {url}"));
    }
    out.push(String::new());
    out.join("\n")
}

fn write_section(out: &mut Vec<String>, section: &Section) {
    out.push(String::new());
    out.push(String::new());
    out.push(section.title.to_uppercase());
    for part in &section.parts {
        out.push(String::new());
        match part {
            Part::Words(words) => wrap(out, words, "", ""),
            Part::Facts(facts) => write_facts(out, facts),
            Part::Items(items) => items.iter().for_each(|item| write_item(out, item)),
            Part::Table(table) => write_table(out, table),
            // What a drawing shows stands in its words.
            Part::Drawn { items, .. } => items.iter().for_each(|(item, _)| write_item(out, item)),
        }
    }
}

fn write_item(out: &mut Vec<String>, Item { about, words }: &Item) {
    wrap(out, &format!("{about}: {words}"), "- ", "  ");
}

fn write_facts(out: &mut Vec<String>, facts: &[Fact]) {
    let widest = facts
        .iter()
        .map(|fact| width(&fact.name))
        .max()
        .unwrap_or(0);
    let values = widest + GAP;
    for fact in facts {
        let name = padded(&fact.name, values);
        wrap(out, &fact.value, &name, &" ".repeat(values));
    }
}

/// Names to the left, numbers to the right; a name that leaves no room for its numbers stands on a
/// line of its own above them.
fn write_table(out: &mut Vec<String>, table: &Table) {
    let columns = table.head.len();
    let numbers: Vec<usize> = (1..columns)
        .map(|column| {
            let cells = table.rows.iter().filter_map(|row| row.cells.get(column));
            let cells = cells.chain(table.head.get(column));
            cells.map(|cell| width(cell)).max().unwrap_or(0)
        })
        .collect();
    let taken: usize = numbers.iter().map(|width| width + GAP).sum();
    let room = WIDTH.saturating_sub(taken);
    let names = table.rows.iter().filter_map(|row| row.cells.first());
    let names = names.chain(table.head.first()).map(|name| width(name));
    let first = names.filter(|name| *name <= room).max().unwrap_or(0);
    let line = |cells: &[String]| {
        let (name, rest) = cells
            .split_first()
            .map_or(("", cells), |(n, r)| (n.as_str(), r));
        let mut lines = Vec::new();
        let mut text = if width(name) <= first {
            padded(name, first)
        } else {
            wrap(&mut lines, name, "", "");
            " ".repeat(first)
        };
        for (cell, column) in rest.iter().zip(&numbers) {
            text.push_str(&" ".repeat(GAP + column.saturating_sub(width(cell))));
            text.push_str(cell);
        }
        lines.push(text.trim_end().to_owned());
        lines
    };
    out.extend(line(&table.head));
    let rule = "-".repeat(first + taken);
    out.push(rule.clone());
    for Row {
        cells,
        below,
        is_sum,
    } in &table.rows
    {
        if *is_sum {
            out.push(rule.clone());
        }
        out.extend(line(cells));
        if let Some(below) = below {
            wrap(out, below, "    ", "    ");
        }
    }
}

/// Breaks text between words so that no line passes [`WIDTH`]; a longer word stands alone.
fn wrap(out: &mut Vec<String>, text: &str, first: &str, next: &str) {
    let mut line = first.to_owned();
    let mut empty = true;
    for word in text
        .split([' ', '\n', '\r', '\t'])
        .filter(|word| !word.is_empty())
    {
        if !empty && width(&line) + 1 + width(word) > WIDTH {
            out.push(std::mem::replace(&mut line, next.to_owned()));
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    out.push(line.trim_end().to_owned());
}

fn padded(text: &str, to: usize) -> String {
    format!("{text}{}", " ".repeat(to.saturating_sub(width(text))))
}

fn width(text: &str) -> usize {
    text.chars().count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_between_words_and_never_inside_one() {
        let mut out = Vec::new();
        wrap(&mut out, &"word ".repeat(30), "- ", "  ");
        assert!(out.iter().all(|line| width(line) <= WIDTH));
        assert!(out[0].starts_with("- word") && out[1].starts_with("  word"));
        let long = "x".repeat(90);
        out.clear();
        wrap(&mut out, &format!("see {long} there"), "", "");
        assert_eq!(out, ["see", long.as_str(), "there"]);
    }

    #[test]
    fn numbers_stand_under_each_other_whatever_the_names_are() {
        let row = |name: &str, number: &str| Row {
            cells: vec![name.into(), number.into()],
            below: None,
            is_sum: false,
        };
        let long = "a name that is longer than a line has room for by a good deal, truly so";
        let table = Table {
            head: vec!["Court".into(), "Cost".into()],
            rows: vec![row("Court 1", "$1,234.50"), row(long, "$2.00")],
        };
        let mut out = Vec::new();
        write_table(&mut out, &table);
        let ends = |text: &str| out.iter().find(|l| l.ends_with(text)).map(|l| width(l));
        assert_eq!(ends("$1,234.50"), ends("$2.00"));
        assert_eq!(ends("Cost"), ends("$2.00"));
    }
}
