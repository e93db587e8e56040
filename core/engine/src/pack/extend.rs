//! What one pack makes of another: rules taken over, tightened, replaced or dropped.

use super::format::{PackFile, RuleFile, TightenFile};
use super::strictness::{Strictness, compare};
use super::{EffectiveFile, Note, Rule};
use crate::load::{Diagnosis, Placed, Span, did_you_mean};
use indexmap::IndexMap;
use mateline_model::home::{Id, Name, OneOrMany};
use serde_json::Value;
use std::fmt::Display;

/// A pack's file with everything it extends.
#[derive(Clone, Debug)]
pub struct Merged {
    /// The file, with the rules of all.
    pub file: PackFile,
    /// Its tree, in which every rule stands under `rules` with the places of the file it comes from.
    pub tree: Placed,
    /// What it changes.
    pub changes: Vec<Change>,
    /// What reports have to say of the packs it extends.
    pub notes: Vec<Note>,
}

/// What a pack does to a rule of the pack it extends.
#[derive(Clone, Debug)]
pub struct Change {
    /// The rule.
    pub id: String,
    /// What is done to it.
    pub how: How,
    /// As it was; none for a rule that is dropped.
    pub old: Option<RuleFile>,
    /// The pack it comes from.
    pub base: String,
    /// Where.
    pub at: Span,
}

/// What is done to a rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// Its limit must be at least as strict.
    Tightened,
    /// Another one stands in its place.
    Replaced,
    /// It is left out.
    Dropped,
}

impl Merged {
    /// A pack that extends no other.
    ///
    /// # Errors
    /// Where it speaks of rules that would have to be another's.
    pub(super) fn alone(file: PackFile, tree: Placed) -> Result<Merged, Vec<Diagnosis>> {
        let named =
            file.drop.iter().enumerate().map(|(index, id)| (["drop".to_owned(), index.to_string()], id, "dropped"));
        let tightened = file.tighten.keys().map(|id| (["tighten".to_owned(), id.to_string()], id, "tightened"));
        let replaced = file.replace.keys().map(|id| (["replace".to_owned(), id.to_string()], id, "replaced"));
        let errors: Vec<Diagnosis> = named
            .chain(tightened)
            .chain(replaced)
            .map(|(path, id, what)| {
                let message = format!("'{id}' cannot be {what}: the pack extends no other");
                Diagnosis::new(tree.span_at(&path), message)
            })
            .collect();
        if errors.is_empty() { Ok(Merged { file, tree, changes: Vec::new(), notes: Vec::new() }) } else { Err(errors) }
    }

    /// A pack and the one it extends.
    ///
    /// # Errors
    /// Rules that the other does not have, or that are named twice.
    pub(super) fn extending(mut file: PackFile, mut tree: Placed, base: Merged) -> Result<Merged, Vec<Diagnosis>> {
        let (changes, errors) = changes(&file, &tree, &base);
        if !errors.is_empty() {
            return Err(errors);
        }
        if let Some(replaced) = tree.get("replace").map(|entry| entry.value.clone()) {
            tree.graft("rules", &replaced);
        }
        let mut rules: IndexMap<Id, RuleFile> = IndexMap::new();
        for (id, mut old) in base.file.rules {
            old.effective = both(base.file.effective, old.effective);
            // A rule that is left out is named in every report; what it belonged to is met without it.
            old.together_with.retain(|other| !file.drop.contains(other));
            // A path that is left out makes up for nothing.
            old.satisfied_by.0.retain(|other| !file.drop.contains(other));
            if let Some(replacement) = file.replace.get(&id) {
                rules.insert(id, replacement.clone());
            } else if let Some(stricter) = file.tighten.get(&id) {
                let path = |section: &str| [section.to_owned(), id.to_string()];
                let old_part = base.tree.at(&path("rules"));
                if let (Some(mut part), Some(old_part)) = (tree.at(&path("tighten")).cloned(), old_part) {
                    part.complete(old_part);
                    tree.put("rules", &id, part);
                }
                let tightened = tightened(old, stricter, &file);
                rules.insert(id, tightened);
            } else if !file.drop.contains(&id) {
                rules.insert(id, old);
            }
        }
        rules.extend(std::mem::take(&mut file.rules));
        file.rules = rules;
        for (from, to) in base.file.reads_as {
            file.reads_as.entry(from).or_insert(to);
        }
        for (plugin, settings) in base.file.uses {
            match (file.uses.get_mut(&plugin), settings) {
                (Some(Value::Object(own)), Value::Object(settings)) => {
                    for (name, setting) in settings {
                        own.entry(name).or_insert(setting);
                    }
                }
                (Some(_), _) => {}
                (None, settings) => {
                    file.uses.insert(plugin, settings);
                }
            }
        }
        file.open_paths = file.open_paths.or(base.file.open_paths);
        for (name, parameter) in base.file.parameters {
            file.parameters.entry(name).or_insert(parameter);
        }
        tree.adopt(&base.tree, "rules");
        tree.adopt(&base.tree, "parameters");
        Ok(Merged { file, tree, changes, notes: base.notes })
    }
}

fn both(a: Option<EffectiveFile>, b: Option<EffectiveFile>) -> Option<EffectiveFile> {
    let (Some(a), Some(b)) = (a, b) else { return a.or(b) };
    let until = match (a.until, b.until) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    Some(EffectiveFile { from: a.from.max(b.from), until })
}

/// What a pack changes, and where it is mistaken.
fn changes(file: &PackFile, tree: &Placed, base: &Merged) -> (Vec<Change>, Vec<Diagnosis>) {
    let (mut changes, mut errors): (Vec<Change>, Vec<Diagnosis>) = (Vec::new(), Vec::new());
    let dropped = file.drop.iter().enumerate().map(|(index, id)| (How::Dropped, index.to_string(), id));
    let tightened = file.tighten.keys().map(|id| (How::Tightened, id.to_string(), id));
    let replaced = file.replace.keys().map(|id| (How::Replaced, id.to_string(), id));
    for (how, step, id) in dropped.chain(tightened).chain(replaced) {
        let (section, verb) = match how {
            How::Dropped => ("drop", "drop"),
            How::Tightened => ("tighten", "tighten"),
            How::Replaced => ("replace", "replace"),
        };
        let at = tree.span_at(&[section.to_owned(), step]);
        let Some(old) = base.file.rules.get(id) else {
            let near = did_you_mean(id, base.file.rules.keys().map(AsRef::as_ref));
            let message = format!("'{}' has no rule '{id}' to {verb}{near}", base.file.pack);
            errors.push(Diagnosis::new(at, message));
            continue;
        };
        if changes.iter().any(|change| *id == change.id.as_str()) {
            errors.push(Diagnosis::new(at, format!("'{id}' is dropped, tightened or replaced twice")));
            continue;
        }
        if let Some(stricter) = file.tighten.get(id).filter(|_| how == How::Tightened) {
            let compared = [
                ("at_least", old.at_least.is_some(), stricter.at_least.is_some()),
                ("at_most", old.at_most.is_some(), stricter.at_most.is_some()),
                ("between", old.between.is_some(), stricter.between.is_some()),
            ];
            if let Some((sign, ..)) = compared.iter().find(|(_, before, after)| *after && !before) {
                errors.push(Diagnosis::new(at, format!("'{id}' is not judged by '{sign}'")));
                continue;
            }
        }
        let old = (how != How::Dropped)
            .then(|| RuleFile { effective: both(base.file.effective, old.effective), ..old.clone() });
        changes.push(Change { id: id.to_string(), how, old, base: base.file.pack.to_string(), at });
    }
    for id in file.rules.keys().filter(|id| base.file.rules.contains_key(*id)) {
        let entry = tree.get("rules").and_then(|rules| rules.value.get(id));
        let message = format!("'{id}' is a rule of '{}' already", base.file.pack);
        let diagnosis = Diagnosis::new(entry.map_or(tree.span, |entry| entry.key_span), message);
        errors.push(diagnosis.help("put it under 'replace', or its stricter limit under 'tighten'"));
    }
    (changes, errors)
}

/// A rule with what is stricter about it.
fn tightened(old: RuleFile, stricter: &TightenFile, file: &PackFile) -> RuleFile {
    let own = |text: String| text.parse::<Name>().unwrap_or_else(|_| file.title.clone());
    let has_limit = stricter.at_least.is_some() || stricter.at_most.is_some() || stricter.between.is_some();
    let source = stricter.source.clone().unwrap_or_else(|| match has_limit {
        true => own(format!("{}; stricter than {}", file.source, old.source)),
        false => old.source.clone(),
    });
    let provenance = stricter.provenance.clone().unwrap_or_else(|| match has_limit {
        true => own(format!("set by {}", file.pack)),
        false => old.provenance.clone(),
    });
    // Another path that was made for the old limit does not reach the stricter one.
    let keeps = |other: &&Id| !has_limit || file.tighten.contains_key(*other) || file.replace.contains_key(*other);
    RuleFile {
        satisfied_by: OneOrMany(old.satisfied_by.iter().filter(keeps).cloned().collect()),
        at_least: stricter.at_least.clone().or(old.at_least),
        at_most: stricter.at_most.clone().or(old.at_most),
        between: stricter.between.clone().or(old.between),
        severity: stricter.severity.unwrap_or(old.severity),
        source,
        provenance,
        if_short: stricter.if_short.clone().unwrap_or(old.if_short),
        examples: if has_limit { stricter.examples.clone() } else { old.examples },
        ..old
    }
}

/// What reports have to say of a pack's changes. A tightened rule that is not stricter is an error.
pub(super) fn notes(
    file: &PackFile,
    changes: &[Change],
    rules: &[Rule],
    old: impl Fn(&Change) -> Option<Rule>,
    errors: &mut Vec<Diagnosis>,
) -> Vec<Note> {
    let mut notes = Vec::new();
    let mut note = |at: Span, message: String| notes.push(Note { message, at });
    for change in changes {
        let Change { id, base, at, .. } = change;
        if change.how == How::Dropped {
            note(*at, format!("{} leaves out {base}/{id}", file.pack));
            continue;
        }
        // A rule that cannot be read is reported where it is read.
        let (Some(old), Some(new)) = (old(change), rules.iter().find(|rule| rule.id == *id)) else { continue };
        match (change.how, compare(&old, new)) {
            (_, Strictness::AtLeast) => {}
            (How::Tightened, Strictness::Looser(why)) => {
                errors.push(refused(*at, format!("'{id}' is not tightened: {why}")));
            }
            (How::Tightened, Strictness::Unclear(why)) => {
                errors.push(refused(*at, format!("'{id}' cannot be shown to be tightened: {why}")));
            }
            (_, Strictness::Looser(why)) => {
                note(*at, format!("{} replaces {base}/{id} by a looser rule: {why}", file.pack));
            }
            (_, Strictness::Unclear(why)) => {
                note(*at, format!("{} replaces {base}/{id} by a rule that may be looser: {why}", file.pack));
            }
        }
    }
    notes
}

fn refused(at: Span, message: impl Display) -> Diagnosis {
    let help = "set a limit that is at least as strict, or put the whole rule under 'replace'";
    Diagnosis::new(at, message.to_string()).help(help)
}
