//! What an unproven verdict waits for.

use super::scope::RuleScope;
use crate::expr::{Lookup, Scope};
use crate::pack::Rule;
use mateline_model::{Owed, Subject};

/// The names of a rule that stand for nothing, each with what is missing and where it belongs, in the order in which the
/// rule reads them. None where a figure over a section lacks something.
pub(super) fn owed<'r>(rule: &'r Rule, scope: &RuleScope<'r>) -> Vec<(&'r str, Owed)> {
    let mut found: Vec<(&str, Owed)> = Vec::new();
    for (name, of) in rule.names() {
        let subject = of.map(Subject::from).unwrap_or_else(|| scope.subject.clone());
        let owed = match scope.look_up(name, of) {
            Lookup::Found(_) => continue,
            Lookup::Absent => Owed { what: format!("{name} is not given"), at: field_of(scope, &subject, name) },
            Lookup::Missing(what) => {
                let quantity = scope.pack.reads_as.get(name).map_or(name, String::as_str);
                let at = scope.evidence.owed_at(&subject, quantity);
                Owed { what, at: at.unwrap_or_else(|| subject.to_string()) }
            }
        };
        if !found.iter().any(|(_, known)| *known == owed) {
            found.push((name, owed));
        }
    }
    found
}

/// The path of a field that is not there: of the subject where its section has such a field, else of the home.
fn field_of(scope: &RuleScope<'_>, subject: &Subject, name: &str) -> String {
    let is_own = !scope.section.is_empty() && scope.evidence.field(subject, scope.section, name).is_some();
    if is_own { format!("{subject}.{name}") } else { name.to_owned() }
}
