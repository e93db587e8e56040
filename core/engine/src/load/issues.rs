//! The issues of a home: its revision and the waivers that end with one name one of them.

use super::diagnosis::{Diagnosis, cited};
use super::tree::{Node, Placed};
use mateline_model::home::Home;
use std::collections::BTreeSet;

/// The home's issues are all different, the revision is one of them, and what ends with an issue names one.
pub fn check(home: &Home, tree: &Placed) -> Vec<Diagnosis> {
    let mut found = Vec::new();
    let steps = |path: &str| path.split('.').map(str::to_owned).collect::<Vec<_>>();
    let mut known: BTreeSet<&str> = BTreeSet::new();
    for (index, issue) in home.issues.iter().enumerate() {
        if !known.insert(issue) {
            let at = tree.span_at(&steps(&format!("issues.{index}")));
            found.push(Diagnosis::new(at, format!("'issues' lists '{}' twice", cited(issue))));
        }
    }
    let id: &str = &home.revision.id;
    if !known.is_empty() && !known.contains(id) && reads(tree, &steps("revision.id"), id) {
        let diagnosis = Diagnosis::new(
            tree.span_at(&steps("revision.id")),
            format!("'issues' does not list this revision, '{}'", cited(id)),
        );
        found.push(diagnosis.help("list every issue in order, those to come among them"));
    }
    for (index, until) in home.waivers.iter().enumerate().filter_map(|(at, waiver)| Some((at, waiver.until.as_ref()?)))
    {
        let path = steps(&format!("waivers.{index}.until"));
        if known.contains::<str>(until) || !tree.at(&path).is_some_and(|written| written.node != Node::Null) {
            continue;
        }
        let message = match known.is_empty() {
            true => "'until' names an issue, and the home does not list its issues".to_owned(),
            false => format!("'issues' does not list '{}'", cited(until)),
        };
        // Only a date has two marks between its digits.
        let is_day = until.split(['-', '.', '/']).filter(|part| part.parse::<u16>().is_ok()).count() == 3;
        let help = match (is_day, known.is_empty()) {
            (true, _) => "for a day write until_date, as in until_date: 2026-12-31".to_owned(),
            (false, true) => {
                format!("list the issues in order, as in issues: [{id}, …]; for a day write until_date: 2026-12-31")
            }
            (false, false) => {
                let issues: Vec<&str> = home.issues.iter().map(AsRef::as_ref).take(12).collect();
                format!("name one of: {}; for a day write until_date: 2026-12-31", issues.join(", "))
            }
        };
        found.push(Diagnosis::new(tree.span_at(&path), message).help(help));
    }
    found
}

/// Whether the file holds this very text at a path; where it holds a mistake, the home holds a stand-in.
fn reads(tree: &Placed, path: &[String], text: &str) -> bool {
    matches!(tree.at(path), Some(Placed { node: Node::Str(written), .. }) if written == text)
}
