//! A letter in words, before it is laid out: as text for every reader, as HTML for those that show
//! it. Whoever writes one says what it says; this floor says how it looks.

use crate::words::chart::Drawing;

/// A letter in words.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Language tag of the words.
    pub language: &'static str,
    /// Subject of the mail.
    pub subject: String,
    /// What matters most, in one sentence.
    pub lead: String,
    /// How good that is.
    pub tone: Tone,
    /// What the letter is about, a line each, the first the weightiest.
    pub about: Vec<String>,
    /// What is to be known before the rest is read.
    pub remark: Option<String>,
    /// The sections, in order.
    pub sections: Vec<Section>,
    /// Why the reader gets it.
    pub footer: String,
    /// Where the reader finds more: words and address.
    pub link: Option<(String, String)>,
}

/// How good it is what the first sentence says. The words say it; a colour only underlines them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// Good.
    Good,
    /// With something to look at.
    Mixed,
    /// Bad.
    Bad,
    /// Neither.
    Plain,
}

/// A part of the letter under its own title.
#[derive(Clone, Debug)]
pub struct Section {
    /// Its title.
    pub title: String,
    /// What it is made of, in order.
    pub parts: Vec<Part>,
}

/// What a section is made of.
#[derive(Clone, Debug)]
pub enum Part {
    /// One sentence or a few.
    Words(String),
    /// Names and their values.
    Facts(Vec<Fact>),
    /// A list, each entry with what it is about before it.
    Items(Vec<Item>),
    /// Rows of a name and numbers.
    Table(Table),
    /// A list, each entry with a drawing that shows what it says, where drawings are shown.
    Drawn {
        /// The entries.
        items: Vec<(Item, Drawing)>,
        /// What the lines of the drawings mean: for those who see them.
        key: String,
    },
}

/// A name and its value.
#[derive(Clone, Debug)]
pub struct Fact {
    /// The name.
    pub name: String,
    /// The value.
    pub value: String,
}

/// An entry of a list.
#[derive(Clone, Debug)]
pub struct Item {
    /// What it is about.
    pub about: String,
    /// What is said of that.
    pub words: String,
}

/// A table: the first column names, the others are numbers.
#[derive(Clone, Debug)]
pub struct Table {
    /// The columns' names.
    pub head: Vec<String>,
    /// The rows, in order.
    pub rows: Vec<Row>,
}

/// A row of a table.
#[derive(Clone, Debug)]
pub struct Row {
    /// A cell a column.
    pub cells: Vec<String>,
    /// What the numbers are made of, or what is to be noted of them.
    pub below: Option<String>,
    /// The sum of the rows before.
    pub is_sum: bool,
}

impl Sheet {
    /// The letter as plain text that reads well at 72 columns.
    pub fn text(&self) -> String {
        super::text::write(self)
    }

    /// The letter as an HTML document.
    pub fn html(&self) -> String {
        super::html::write(self)
    }
}
