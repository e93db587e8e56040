//! The firm's folder: what a firm keeps for all its homes.
//!
//! ```text
//! packs/NAME.yaml         rule packs, found by name before those that come with mateline
//! materials.yaml          materials, beneath the home's own and above those that come with mateline
//! rates.yaml              unit rates, for a home that gives none of its own, or only some that the firm lacks
//! levers.yaml             what may be changed, in which steps, at what price, beneath the home's own
//! leakage.yaml            leakages of components, in place of those that come with mateline
//! own.yaml                fields of the firm's own, which homes give under `own`
//! tables/NAME.csv         tables that rules read
//! reports/letterhead.txt  the head of every report
//! reports/NAME.html       parts of the HTML report and of packets
//! reports/NAME.css        their styles
//! ```
//!
//! Every file is optional. Their contents become part of the home's tree, so that a value taken from the firm keeps its
//! place and is checked like one of the home.

use super::diagnosis::{Diagnosis, Span};
use super::files::Project;
use super::own::{self, OwnFields};
use super::tables::{self, Tables};
use super::tree::{Node, Placed, parse};
use super::typed::read;
use mateline_model::home::{Elements, Leakage, Material};
use serde_json::Value;
use std::collections::BTreeMap;

/// Characters a letterhead may have.
const LONGEST_LETTERHEAD: usize = 2_000;

/// What is wrong with a part of the report that a firm replaces.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartFault {
    /// The line, from 1.
    pub line: usize,
    /// What is wrong.
    pub message: String,
    /// What would help.
    pub help: Option<String>,
}

/// Judges a part of the report by name and text. The engine knows no report; who writes one says what a part may be.
pub type JudgePart = fn(&str, &str) -> Result<(), PartFault>;

/// What a firm adds to the words of rules.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FirmWords {
    /// Fields of its own.
    pub own: OwnFields,
    /// Its tables.
    pub tables: Tables,
}

impl FirmWords {
    /// Those of no firm.
    pub fn none() -> &'static FirmWords {
        static NONE: FirmWords = FirmWords { own: OwnFields::new(), tables: Tables::new() };
        &NONE
    }

    /// Those of a project's firm.
    pub(crate) fn read(project: &mut Project, problems: &mut Vec<Diagnosis>) -> FirmWords {
        if !project.has_firm() {
            return FirmWords::default();
        }
        let own = mapping(project, "own.yaml", problems).map(|tree| own::declared(&tree, problems));
        FirmWords { own: own.unwrap_or_default(), tables: tables::read(project, problems) }
    }
}

/// What a home takes from the firm's folder, apart from packs.
#[derive(Clone, Debug, Default)]
pub struct Firm {
    /// Sections laid beneath the home's own: key and mapping.
    sections: Vec<(&'static str, Placed)>,
    /// Mappings handed to plugins.
    handed: Vec<Handed>,
    /// What it adds to the words of rules.
    pub words: FirmWords,
    /// The letterhead.
    pub letterhead: Option<String>,
    /// Parts of the report, by name.
    pub partials: BTreeMap<String, String>,
}

/// A file of the firm that a plugin takes as a setting.
#[derive(Clone, Debug)]
struct Handed {
    key: &'static str,
    plugin: &'static str,
    setting: &'static str,
    tree: Placed,
}

/// The materials of a project's firm.
///
/// # Errors
/// Every problem with the file.
pub fn firm_materials(project: &mut Project) -> Result<Elements<Material>, Vec<Diagnosis>> {
    let mut problems = Vec::new();
    let tree = if project.has_firm() { mapping(project, "materials.yaml", &mut problems) } else { None };
    match tree {
        Some(tree) => read(&tree),
        None if problems.is_empty() => Ok(Elements::new()),
        None => Err(problems),
    }
}

impl Firm {
    /// Reads the folder of a project's firm.
    pub(super) fn read(project: &mut Project, judge: Option<JudgePart>, problems: &mut Vec<Diagnosis>) -> Firm {
        let mut firm = Firm { words: FirmWords::read(project, problems), ..Firm::default() };
        for (file, key) in [("materials.yaml", "materials"), ("rates.yaml", "rates"), ("levers.yaml", "levers")] {
            firm.sections.extend(mapping(project, file, problems).map(|tree| (key, tree)));
        }
        if let Some(tree) = mapping(project, "leakage.yaml", problems) {
            match read::<Elements<Leakage>>(&tree) {
                Ok(_) => {
                    firm.handed.push(Handed { key: "leakage", plugin: "airtightness", setting: "components", tree });
                }
                Err(mut mistakes) => problems.append(&mut mistakes),
            }
        }
        firm.letterhead = kept_text(project, "reports/letterhead.txt", problems).map(|text| text.trim_end().to_owned());
        if firm.letterhead.as_ref().is_some_and(|text| text.chars().count() > LONGEST_LETTERHEAD) {
            let message = format!("the letterhead of the firm has more than {LONGEST_LETTERHEAD} characters");
            problems.push(Diagnosis::new(Span::start(0), message));
        }
        for ending in ["html", "css", "typ"] {
            match project.firm_files("reports", ending) {
                Ok(names) => {
                    for name in names {
                        firm.take_part(project, &format!("{name}.{ending}"), judge, problems);
                    }
                }
                Err(message) => problems.push(Diagnosis::new(Span::start(0), message)),
            }
        }
        firm
    }

    /// Takes a part of the report that can stand in for the one of its name.
    fn take_part(
        &mut self,
        project: &mut Project,
        name: &str,
        judge: Option<JudgePart>,
        problems: &mut Vec<Diagnosis>,
    ) {
        let number = match project.read_of_firm(&format!("reports/{name}")) {
            Ok(number) => number,
            Err(message) => return problems.push(Diagnosis::new(Span::start(0), message)),
        };
        let text = project.files().get(number).map(|file| file.text.clone()).unwrap_or_default();
        match judge.map_or(Ok(()), |judge| judge(name, &text)) {
            Ok(()) => {
                self.partials.insert(name.to_owned(), text);
            }
            Err(fault) => {
                let line = u32::try_from(fault.line).unwrap_or(u32::MAX).max(1);
                let mut diagnosis = Diagnosis::new(Span { line, ..Span::start(number) }, fault.message);
                diagnosis.help = fault.help;
                problems.push(diagnosis);
            }
        }
    }

    /// Lays the firm's sections beneath those of a home. What comes of two lists of rates is told with where it stands.
    pub(super) fn lay_beneath(&self, home: &mut Placed) -> Vec<(String, String)> {
        let mut told = Vec::new();
        for (key, tree) in &self.sections {
            let own = home.get(key).filter(|_| *key == "rates").map(|own| names(&own.value));
            let Some(own) = own else {
                home.graft(key, tree);
                continue;
            };
            let firms = names(tree);
            let both: Vec<&str> = own.iter().filter(|name| firms.contains(name)).map(String::as_str).collect();
            // Two rates for one thing are two offers, which are not mixed. What the firm does not offer is added to its list.
            if both.is_empty() {
                home.graft(key, tree);
                told.push(("rates".to_owned(), format!("the home adds {} to the rates of the firm", own.join(", "))));
            } else {
                let message = format!(
                    "the home's own rates stand in place of the firm's, of which {} are left out: both give {}; without \
                     these the home's would add to the firm's",
                    firms.len(),
                    both.join(", ")
                );
                told.push(("rates".to_owned(), message));
            }
        }
        told
    }

    /// Adds what plugins take to the tree of a home that has been read, for its places.
    pub(super) fn add_handed(&self, home: &mut Placed) {
        self.handed.iter().for_each(|handed| home.graft(handed.key, &handed.tree));
    }

    /// What plugins take from the firm: plugin and settings.
    pub fn settings(&self) -> impl Iterator<Item = (&'static str, Value)> {
        self.handed.iter().map(|handed| {
            let setting = [(handed.setting.to_owned(), handed.tree.to_json())];
            (handed.plugin, setting.into_iter().collect::<serde_json::Map<_, _>>().into())
        })
    }
}

/// The keys of a mapping.
fn names(tree: &Placed) -> Vec<String> {
    match &tree.node {
        Node::Map(entries) => entries.iter().map(|entry| entry.key.clone()).collect(),
        _ => Vec::new(),
    }
}

/// A file that holds a mapping, if it is there and holds anything.
fn mapping(project: &mut Project, file: &str, problems: &mut Vec<Diagnosis>) -> Option<Placed> {
    if !project.firm_has(file) {
        return None;
    }
    let number = match project.read_of_firm(file) {
        Ok(number) => number,
        Err(message) => {
            problems.push(Diagnosis::new(Span::start(0), message));
            return None;
        }
    };
    let text = project.files().get(number)?.text.clone();
    match parse(&text, number) {
        Ok(tree) if matches!(tree.node, Node::Map(_)) => Some(tree),
        // Nothing but comments.
        Ok(tree) if tree.node == Node::Null => None,
        Ok(tree) => {
            problems.push(Diagnosis::new(tree.span, "the file is not a mapping of names to values"));
            None
        }
        Err(mut found) => {
            problems.append(&mut found);
            None
        }
    }
}

/// A text, if it is there; it is kept among the project's files.
fn kept_text(project: &mut Project, file: &str, problems: &mut Vec<Diagnosis>) -> Option<String> {
    if !project.firm_has(file) {
        return None;
    }
    let number = project.read_of_firm(file).map_err(|message| problems.push(Diagnosis::new(Span::start(0), message)));
    project.files().get(number.ok()?).map(|file| file.text.clone())
}
