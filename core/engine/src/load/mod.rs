//! Loading: from files to a typed home in which every value's place is known.

mod bounds;
mod diagnosis;
mod edit;
pub(crate) mod evidence_files;
mod extent;
pub(crate) mod fields;
mod files;
mod firm;
mod grammar;
mod issues;
mod kept;
mod keys;
mod mapping;
mod open;
pub(crate) mod own;
mod references;
mod renamed;
pub(crate) mod tables;
mod tree;
mod typed;
mod undecided;
pub mod words;

pub use diagnosis::{BadInput, Diagnosis, SourceFile, Span, did_you_mean, nearest, place, plain};
pub use edit::{Changes, Edit, written};
pub use fields::Fields;
pub(crate) use files::without_dots;
pub use files::{Project, text_of};
pub use firm::{Firm, FirmWords, JudgePart, PartFault, firm_materials};
pub use kept::KeptTrees;
pub use keys::{Key, keys, keys_as_markdown, keys_with};
pub use open::open_file;
pub use own::{OwnField, OwnFields};
pub use tables::{FirmTable, Tables};
pub use tree::{Entry, MAX_BYTES, MAX_DEPTH, MAX_NODES, Mapping, Node, Placed, parse};
pub use typed::{read, read_mending};
pub use undecided::with_undecided;

use mateline_model::Home;
use mateline_model::home::{Elements, Material};
use std::collections::HashSet;
use std::path::Path;

/// A home and the tree it was read from.
#[derive(Debug)]
pub struct Loaded {
    /// The home, with the material library beneath its own materials.
    pub home: Home,
    /// The tree, for places.
    pub tree: Placed,
    /// The project's files.
    pub project: Project,
    /// The home file's name.
    pub file: String,
    /// What the firm adds to it.
    pub firm: Firm,
    /// Materials that it calls by a name they had before: where, and what to say of it.
    pub renamed: Vec<(String, String)>,
}

/// A home that cannot be used.
#[derive(Debug)]
pub struct Unusable {
    /// What is wrong with it.
    pub problems: Vec<Diagnosis>,
    /// The project's files.
    pub project: Project,
    /// Its tree, where that and the firm's folder can be read: more may be wrong with what it names.
    pub tree: Option<Placed>,
    /// What its firm adds to the words of rules.
    pub words: FirmWords,
}

impl Unusable {
    fn new(problems: Vec<Diagnosis>, project: Project, tree: Option<Placed>, words: FirmWords) -> Box<Unusable> {
        Box::new(Unusable { problems, project, tree, words })
    }
}

/// Loads a home, the file of this name in a project, and checks everything that can be checked without computing:
/// shape, units, names and bounds.
///
/// # Errors
/// Every problem, each at its place.
pub fn load_home(
    mut project: Project,
    file: String,
    materials: &Elements<Material>,
    firm: Option<&Path>,
    parts: Option<JudgePart>,
    kept: Option<&KeptTrees>,
    changes: Changes<'_>,
) -> Result<Loaded, Box<Unusable>> {
    let mut problems = Vec::new();
    let mut tree = match project.read_home(&file, kept, &mut problems) {
        Ok(tree) => tree,
        Err(problems) => return Err(Unusable::new(problems, project, None, FirmWords::default())),
    };
    let taken = take_firm(&mut project, &tree, firm);
    let firm_is_there = taken.is_ok();
    problems.extend(taken.err());
    let firm = if project.has_firm() { Firm::read(&mut project, parts, &mut problems) } else { Firm::default() };
    undecided::take_back(&mut tree);
    let laid = firm.lay_beneath(&mut tree);
    changes.make(&mut tree);
    let home = match read_mending(&tree, Home::read) {
        Ok(home) => Some(home),
        Err((mut mistakes, mended)) => {
            problems.append(&mut mistakes);
            mended
        }
    };
    let told: HashSet<Span> = problems.iter().map(|problem| problem.at).collect();
    problems.extend(bounds::check(Fields::of_home(), &tree, &told));
    problems.extend(own::check(&tree, &firm.words.own));
    let Some(mut home) = home else {
        return Err(Unusable::new(problems, project, firm_is_there.then_some(tree), firm.words));
    };
    if home.modules.is_empty() && problems.is_empty() {
        problems.push(Diagnosis::new(tree.span_at(&["modules".to_owned()]), "the home has no modules"));
    }
    for (id, material) in materials {
        if !home.materials.contains_key(id) {
            home.materials.insert(id.clone(), material.clone());
        }
    }
    let told: HashSet<Span> = problems.iter().map(|problem| problem.at).collect();
    let old = renamed::old_names(&home);
    let renamed = laid.into_iter().chain(renamed::take_up(&mut home, &old)).collect();
    let library = ("materials", materials.keys().chain(old.keys()).map(AsRef::as_ref).collect());
    problems.extend(references::check(Fields::of_home(), &tree, &library, &told));
    for (path, message) in home.contradictions() {
        let at = tree.span_at(&path.split('.').collect::<Vec<_>>());
        if !told.contains(&at) {
            problems.push(Diagnosis::new(at, message));
        }
    }
    problems.extend(issues::check(&home, &tree));
    if problems.is_empty() {
        firm.add_handed(&mut tree);
        Ok(Loaded { home, tree, project, file, firm, renamed })
    } else {
        Err(Unusable::new(problems, project, firm_is_there.then_some(tree), firm.words))
    }
}

/// Takes the firm's folder: the one given to the run, else the one the home names.
fn take_firm(project: &mut Project, tree: &Placed, given: Option<&Path>) -> Result<(), Diagnosis> {
    let taken = match (given, tree.get("firm").map(|entry| &entry.value)) {
        (Some(folder), _) => project.take_firm(folder).map_err(|message| (Span::start(0), message)),
        (None, Some(Placed { node: Node::Str(name), span })) => {
            project.take_own_firm(name).map_err(|message| (*span, message))
        }
        (None, _) => Ok(()),
    };
    taken.map_err(|(at, message)| Diagnosis::new(at, format!("the firm's folder: {message}")))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]
    use super::*;

    const GOOD: &str = "\
home: Test House
revision: {id: A, date: 2026-10-05}
site: {place: Nowhere, climate_zone: 6A}
modules:
  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 44 ft, y: 13 ft 9 in, z: 9 ft 8 in}}
";

    /// Loads `home.yaml` of a folder with these files; the problems as `file:line:column: message`.
    fn problems(files: &[(&str, &str)]) -> Vec<String> {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in files {
            std::fs::write(folder.path().join(name), text).unwrap();
        }
        let (project, file) = Project::of(&folder.path().join("home.yaml")).unwrap();
        match load_home(project, file, &Elements::new(), None, None, None, Changes::default()) {
            Ok(_) => Vec::new(),
            Err(unusable) => {
                let bad = BadInput::new(unusable.problems, unusable.project.into_files());
                bad.to_string().lines().map(str::to_owned).collect()
            }
        }
    }

    #[test]
    fn a_good_home_loads() {
        assert_eq!(problems(&[("home.yaml", GOOD)]), Vec::<String>::new());
    }

    #[test]
    fn a_waiver_ends_with_an_issue_of_the_home_or_on_a_day() {
        let home = |end: &str, more: &str| {
            format!("{GOOD}waivers: [{{rule: a/b, subject: home, reason: r, agreed_with: o, {end}}}]\n{more}")
        };
        let told = |end: &str, more: &str| problems(&[("home.yaml", &home(end, more))]);
        for until in ["2025-12-31", "31.12.2025", "until the roof is on", "C", "a"] {
            let listed = told(&format!("until: {until}"), "issues: [A, B]\n");
            assert_eq!(listed.len(), 1, "{listed:?}");
            assert!(listed[0].ends_with(&format!("'issues' does not list '{until}'")), "{listed:?}");
            let alone = told(&format!("until: {until}"), "");
            assert!(alone[0].ends_with("'until' names an issue, and the home does not list its issues"), "{alone:?}");
        }
        assert_eq!(told("until: B", "issues: [A, B]\n"), Vec::<String>::new());
        assert_eq!(told("until_date: 2027-01-01", ""), Vec::<String>::new());
        let other = told("until: C", "issues: [B, C, B]\n");
        assert_eq!(
            other,
            ["home.yaml:2:16: 'issues' does not list this revision, 'A'", "home.yaml:7:16: 'issues' lists 'B' twice"]
        );
    }

    #[test]
    fn figures_that_no_home_has_are_refused_where_they_stand() {
        let with = |more: &str| problems(&[("home.yaml", &format!("{GOOD}{more}"))]);
        let opening = |width: &str, count: &str| {
            with(&format!(
                "openings: {{w: {{kind: window, module: A, face: south, width: {width}, height: 7 ft, sill: 0 ft{count}}}}}\n"
            ))
        };
        assert_eq!(opening("3 ft", ""), Vec::<String>::new());
        for (width, side) in [
            ("1e-300 in", "less"),
            ("1e-320 ft", "less"),
            ("1e-999 m", "less"),
            ("1e9 in", "more"),
            ("1e300 ft", "more"),
        ] {
            let found = opening(width, "");
            assert!(
                found.iter().any(|one| one.ends_with(&format!("'width' is {width}, {side} than any home has"))),
                "{found:?}"
            );
        }
        let found = with("measurements: {m: {kind: radon, radon: \"16000\"}}\n");
        assert!(found[0].contains("16000 needs a unit") || found[0].contains("'16000'"), "{found:?}");
        assert_eq!(with("measurements: {m: {kind: radon, radon: 1.6 pCi/L}}\n"), Vec::<String>::new());
    }

    #[test]
    fn every_mistake_is_found_in_one_run() {
        let text = "\
home: ''
revision: {id: A, date: 2026-13-05}
site: {place: Nowhere, climate_zone: 9Z, desing_heating: -8 °F}
modules:
  A: {level: one, at: {x: 0 ft, y: 0}, size: {x: 44 ft, y: 13 ft 9 1/0 in, z: 9 kg}}
  B: {level: 1, at: {x: 0 ft, y: 13 ft}, size: {x: 44 ft, y: 13 ft}}
openings:
  w1: {kind: windw, module: Q, face: south, width: -3 ft, height: 4 ft}
";
        let found = problems(&[("home.yaml", text)]);
        let expected = [
            "home.yaml:1:7: the name is empty",
            "home.yaml:2:25: '2026-13-05' is not a date such as 2026-10-05",
            "home.yaml:3:38: '9Z' is not a climate zone such as 6A, 4C or 7",
            "home.yaml:3:42: unknown key 'desing_heating' (did you mean 'design_heating'?)",
            "home.yaml:5:14: the text \"one\" stands here, expected a whole number",
            "home.yaml:5:36: 0 needs a unit: a length such as",
            "home.yaml:5:60: '1/0' is not a proper fraction",
            "home.yaml:5:79: '9 kg' is a mass, not a length",
            "home.yaml:6:42: 'size' has no 'z'",
            "home.yaml:8:14: unknown value 'windw' (did you mean 'window'?)",
            "home.yaml:8:29: there is no module 'Q'",
            "home.yaml:8:52: 'width' is negative",
        ];
        for (found, expected) in found.iter().zip(expected) {
            assert!(found.starts_with(expected) || found.ends_with(expected), "{found}\n{expected}");
        }
        assert_eq!(found.len(), expected.len(), "{found:#?}");
    }
}
