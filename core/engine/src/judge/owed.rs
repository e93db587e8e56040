//! What an unproven verdict waits for.

use super::rule_scope::RuleScope;
use super::scope::Evidence;
use crate::expr::{Item, Lookup, Scope};
use crate::load::Fields;
use crate::pack::Rule;
use mateline_model::{Owed, Subject};

/// A name of a rule that stands for nothing.
pub(super) struct Lacking<'r> {
    /// The name.
    pub name: &'r str,
    /// What the verdict says of it.
    told: String,
    /// The path of the home that could give it, where there is one.
    pub path: Option<String>,
    /// What is missing at bottom, and where that belongs.
    pub owed: Owed,
}

/// The names of a rule that stand for nothing, those of which the verdict's message speaks before others, each in the
/// order in which the rule reads them. None where a figure over a section lacks something.
pub(super) fn lacking<'r>(rule: &'r Rule, scope: &RuleScope<'r>, message: &str) -> Vec<Lacking<'r>> {
    let mut found: Vec<Lacking<'r>> = Vec::new();
    for (name, of) in rule.names() {
        if let Some(lacking) = lack(scope, name, of)
            && !found.iter().any(|known| known.told == lacking.told && known.owed == lacking.owed)
        {
            found.push(lacking);
        }
    }
    let is_told = |lacking: &Lacking<'_>| message.split("; ").any(|part| part == lacking.told);
    let (mut told, rest): (Vec<_>, Vec<_>) = found.into_iter().partition(is_told);
    // What is only asked about, by `given`, is not missed; no message speaks of it.
    if told.is_empty() || message.ends_with(" more") {
        told.extend(rest);
    }
    told
}

fn lack<'r>(scope: &RuleScope<'r>, name: &'r str, of: Option<&str>) -> Option<Lacking<'r>> {
    let subject = of.map(Subject::from).unwrap_or_else(|| scope.subject.clone());
    let full = of.map_or_else(|| name.to_owned(), |of| format!("{name} of {of}"));
    let absent = || format!("{full} is not given");
    let (told, path, what) = match scope.look_up(name, of) {
        Lookup::Absent => (absent(), Some(field_of(scope, &subject, name)), absent()),
        Lookup::Found(Item::List(items)) if items.is_empty() => {
            (absent(), Some(field_of(scope, &subject, name)), absent())
        }
        Lookup::Found(_) => return None,
        Lookup::Missing(told) => {
            let quantity = scope.pack.reads_as.get(name).map_or(name, String::as_str);
            let (what, path) = scope.evidence.owed(&subject, quantity).unwrap_or_else(|| (told.clone(), None));
            (told, path, what)
        }
    };
    let owed = match path.as_deref().and_then(|path| highest_unwritten(path, scope.evidence)) {
        Some(root) => Owed { what: format!("{root} is not given"), at: root.to_owned() },
        None => Owed { what, at: path.clone().unwrap_or_else(|| subject.to_string()) },
    };
    Some(Lacking { name, told, path, owed })
}

/// The path of a field that is not there: of the subject where its section has such a field, else of the home.
fn field_of(scope: &RuleScope<'_>, subject: &Subject, name: &str) -> String {
    let is_own = !scope.section.is_empty() && scope.evidence.field(subject, scope.section, name).is_some();
    if is_own { format!("{}.{name}", scope.evidence.path_of(subject, scope.section)) } else { name.to_owned() }
}

/// The longest part of the home on the way to a path of which nothing is written: of `foundation.kind` the foundation,
/// where there is none.
fn highest_unwritten<'p>(path: &'p str, evidence: &dyn Evidence) -> Option<&'p str> {
    let ends = path.match_indices('.').map(|(end, _)| end).chain([path.len()]);
    let mut parts = ends.filter_map(|end| path.get(..end)).filter(|part| !Fields::of_home().are_apart(part));
    parts.find(|part| !evidence.is_written(part))
}

/// What to state: the path that is not there, and the part of the home that it belongs to, where nothing of that is.
pub(super) fn asked_for(lacking: &Lacking<'_>, evidence: &dyn Evidence) -> Option<String> {
    let path = lacking.path.as_deref().filter(|path| !evidence.is_written(path))?;
    let part = lacking.owed.at.as_str();
    Some(if part == path { format!("state {path}") } else { format!("state {part}, with {path}") })
}
