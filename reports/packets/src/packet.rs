//! A packet as data: what stands in it, in the order it is read. How it looks is the writers' business.

use crate::{Audience, Table};
use mateline_reports::sheet::Sheet;
use serde::Serialize;

/// The papers for one reader.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Packet {
    /// Who it is for.
    pub audience: Audience,
    /// The firm's letterhead, line by line.
    pub letterhead: Vec<String>,
    /// What it is: `Factory packet`.
    pub title: String,
    /// The project's name.
    pub project: String,
    /// The revision's letter or number.
    pub revision: String,
    /// The revision's date; the only one that a packet carries.
    pub date: String,
    /// Where the home stands.
    pub place: String,
    /// The file the home was loaded from.
    pub file: String,
    /// The version of mateline that wrote it.
    pub version: &'static str,
    /// How the home stands, for the first page.
    pub standing: Standing,
    /// The sections.
    pub sections: Vec<Section>,
    /// What goes with it as papers of their own: long tables and calculations.
    #[serde(skip)]
    pub annex: Option<Box<Packet>>,
}

impl Packet {
    /// Every table, in reading order.
    pub fn tables(&self) -> impl Iterator<Item = &Table> {
        self.sections.iter().flat_map(|section| &section.blocks).filter_map(|block| match block {
            Block::Table(table) => Some(table),
            Block::Sheet { all, .. } => all.as_ref(),
            _ => None,
        })
    }

    /// About how many things there are to print.
    pub fn size(&self) -> usize {
        self.sections.iter().flat_map(|section| &section.blocks).map(Block::size).sum::<usize>() + self.sections.len()
    }
}

/// How the home stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Standing {
    /// Whether anything required is short or unproven, or a calculation failed: then the packet is not final.
    pub open: bool,
    /// In a few words.
    pub head: String,
    /// What is open, who acts, by when: a line each.
    pub lines: Vec<Line>,
    /// In sentences.
    pub sentences: Vec<String>,
}

/// A line of the first page.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Line {
    /// What it answers.
    pub name: &'static str,
    /// The answer, as a sentence.
    pub text: String,
}

/// A section.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Section {
    /// Its anchor: lower-case letters and dashes.
    pub id: &'static str,
    /// Its head.
    pub title: &'static str,
    /// What stands in it.
    pub blocks: Vec<Block>,
}

/// A piece of a section.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Block {
    /// A paragraph.
    Paragraph {
        /// Its text.
        text: String,
    },
    /// A page of its own begins here.
    Page {
        /// Its head.
        title: String,
    },
    /// A list.
    List {
        /// One text each.
        items: Vec<String>,
    },
    /// Names with their values.
    Pairs {
        /// One each.
        pairs: Vec<Pair>,
    },
    /// A schedule or another table.
    Table(Table),
    /// A figure.
    Figure(Figure),
    /// A worked calculation.
    Sheet {
        /// What it says.
        #[serde(flatten)]
        sheet: Box<Sheet>,
        /// What differs for each subject, the one of the sheet first; none where there is only that one.
        all: Option<Table>,
    },
    /// A form to be filled in by hand.
    Form(Form),
    /// Lines for names, signatures and days.
    SignOff {
        /// Who signs, one line each.
        parties: Vec<String>,
    },
}

impl Block {
    /// A paragraph.
    pub fn paragraph(text: impl Into<String>) -> Block {
        Block::Paragraph { text: text.into() }
    }

    fn size(&self) -> usize {
        match self {
            Block::Paragraph { .. } | Block::Page { .. } | Block::Figure(_) => 1,
            Block::List { items } => 1 + items.len(),
            Block::Pairs { pairs } => 1 + pairs.len(),
            Block::Table(table) => table_size(table),
            Block::Sheet { sheet, all } => {
                let steps = sheet.steps.iter().map(|step| 2 + step.terms.len()).sum::<usize>();
                4 + steps + all.as_ref().map_or(0, table_size)
            }
            Block::Form(form) => 1 + form.rows.len() * form.columns.len().max(1),
            Block::SignOff { parties } => 1 + parties.len(),
        }
    }
}

fn table_size(table: &Table) -> usize {
    1 + table.rows.len() * table.columns.len().max(1)
}

/// A name with its value.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pair {
    /// The name.
    pub name: String,
    /// The value.
    pub value: crate::Cell,
}

/// A figure, drawn.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figure {
    /// Its anchor.
    pub id: String,
    /// Title.
    pub title: String,
    /// What it shows, in words.
    pub alternative: String,
    /// One SVG element.
    pub svg: String,
}

/// A form: printed rows of which some cells are left free for a hand.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Form {
    /// Title.
    pub title: String,
    /// How it is filled in.
    pub note: String,
    /// Heads.
    pub columns: Vec<String>,
    /// Rows; an empty text is a free cell.
    pub rows: Vec<Vec<String>>,
}

impl Form {
    /// A row for each name, with a free cell under every further head.
    pub(crate) fn of_names<'n>(
        title: &str,
        note: &str,
        heads: &[&str],
        names: impl IntoIterator<Item = &'n str>,
    ) -> Form {
        let free = || std::iter::repeat_n(String::new(), heads.len().saturating_sub(1));
        Form {
            title: title.to_owned(),
            note: note.to_owned(),
            columns: heads.iter().map(|head| (*head).to_owned()).collect(),
            rows: names.into_iter().map(|name| std::iter::once(name.to_owned()).chain(free()).collect()).collect(),
        }
    }
}
