//! Finding the packs a home is judged by: those that come with mateline, and files beside the home.

use super::{Pack, PackFile, RuleFile, Vocabulary, compile};
use crate::load::{Diagnosis, Placed, Project, Span, did_you_mean, parse, read};
use indexmap::IndexMap;
use mateline_model::home::{Home, Id};

/// Packs that come with mateline: id and YAML text.
pub type Library = &'static [(&'static str, &'static str)];

/// Packs that extend each other, at most.
const MAX_DEPTH: usize = 8;

/// Loads every pack the home names, in its order.
///
/// # Errors
/// Every problem with a pack: at the home's line when it cannot be found, at the pack's line otherwise.
pub fn load_packs(
    home: &Home,
    tree: &Placed,
    project: &mut Project,
    library: Library,
    vocabulary: &Vocabulary<'_>,
) -> Result<Vec<Pack>, Vec<Diagnosis>> {
    let mut packs: Vec<Pack> = Vec::new();
    let mut errors = Vec::new();
    for (index, name) in home.judge_by.iter().enumerate() {
        let at = tree.span_at(&["judge_by".to_owned(), index.to_string()]);
        let read = read_pack(name, at, project, library, Examples::LeftOut, &mut Vec::new());
        match read.and_then(|(file, tree)| compile(&file, &tree, vocabulary)) {
            Ok(pack) => match packs.iter().find(|other| other.id == pack.id) {
                Some(_) => errors.push(Diagnosis::new(at, format!("the pack '{}' is named twice", pack.id))),
                None => packs.push(pack),
            },
            Err(mut found) => errors.append(&mut found),
        }
    }
    if errors.is_empty() { Ok(packs) } else { Err(errors) }
}

/// Loads one pack by name or path, with its examples. `at` is where it is named.
///
/// # Errors
/// Every problem with it.
pub fn load_pack(
    name: &str,
    at: Span,
    project: &mut Project,
    library: Library,
    vocabulary: &Vocabulary<'_>,
) -> Result<Pack, Vec<Diagnosis>> {
    let (file, tree) = read_pack(name, at, project, library, Examples::Read, &mut Vec::new())?;
    compile(&file, &tree, vocabulary)
}

/// Whether the examples of packs that come with mateline are read. They are most of the text and judge no home.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Examples {
    Read,
    LeftOut,
}

/// The pack's file with what it extends merged in.
fn read_pack(
    name: &str,
    at: Span,
    project: &mut Project,
    library: Library,
    examples: Examples,
    open: &mut Vec<String>,
) -> Result<(PackFile, Placed), Vec<Diagnosis>> {
    if open.iter().any(|earlier| earlier == name) || open.len() >= MAX_DEPTH {
        let chain = open.iter().map(String::as_str).chain([name]).collect::<Vec<_>>().join(" > ");
        return Err(vec![Diagnosis::new(at, format!("packs extend each other in a circle: {chain}"))]);
    }
    let path_like = name.contains(['/', '\\']) || name.ends_with(".yaml") || name.ends_with(".yml");
    let number = if path_like {
        project.read(name).map_err(|message| vec![Diagnosis::new(at, message)])?
    } else {
        let Some((id, text)) = library.iter().find(|(id, _)| *id == name) else {
            let near = did_you_mean(name, library.iter().map(|(id, _)| *id));
            let known = library.iter().map(|(id, _)| *id).collect::<Vec<_>>().join(", ");
            let message = format!("there is no pack '{name}'{near}");
            let help = format!("name one of {known}, or the path of a pack file such as ./firm/standards.yaml");
            return Err(vec![Diagnosis::new(at, message).help(help)]);
        };
        let name = format!("<mateline>/{id}.yaml");
        match examples {
            Examples::Read => project.keep(&name, text),
            Examples::LeftOut => project.keep(&name, &without_examples(text)),
        }
    };
    let text = project.files().get(number).map(|file| file.text.clone()).unwrap_or_default();
    let mut tree = parse(&text, number)?;
    let mut file: PackFile = read(&tree)?;
    let Some(base_name) = file.extends.clone() else {
        if let Some(dropped) = file.drop.first() {
            let at = tree.span_at(&["drop".to_owned(), "0".to_owned()]);
            return Err(vec![Diagnosis::new(at, format!("'{dropped}' cannot be dropped: the pack extends no other"))]);
        }
        return Ok((file, tree));
    };
    open.push(name.to_owned());
    let at = tree.span_at(&["extends".to_owned()]);
    let (base, base_tree) = read_pack(&base_name, at, project, library, examples, open)?;
    open.pop();
    let mut unknown = Vec::new();
    for (index, id) in file.drop.iter().enumerate() {
        if !base.rules.contains_key(id) {
            let near = did_you_mean(id, base.rules.keys().map(AsRef::as_ref));
            let at = tree.span_at(&["drop".to_owned(), index.to_string()]);
            unknown.push(Diagnosis::new(at, format!("'{base_name}' has no rule '{id}' to drop{near}")));
        }
    }
    if !unknown.is_empty() {
        return Err(unknown);
    }
    let own = std::mem::take(&mut file.rules);
    let mut rules: IndexMap<Id, RuleFile> = base.rules.into_iter().filter(|(id, _)| !file.drop.contains(id)).collect();
    rules.extend(own);
    file.rules = rules;
    for (from, to) in base.reads_as {
        file.reads_as.entry(from).or_insert(to);
    }
    for (plugin, settings) in base.uses {
        file.uses.entry(plugin).or_insert(settings);
    }
    tree.adopt(&base_tree, "rules");
    Ok((file, tree))
}

/// A pack's text with the lines of its examples left empty, so that everything else keeps its place.
fn without_examples(text: &str) -> String {
    let mut shorter = String::with_capacity(text.len() / 4);
    let mut inside = None;
    for line in text.lines() {
        let indent = line.len() - line.trim_start().len();
        if inside.is_some_and(|outer| indent <= outer && !line.trim().is_empty()) {
            inside = None;
        }
        if line.trim() == "examples:" {
            inside = Some(indent);
        }
        if inside.is_none() {
            shorter.push_str(line);
        }
        shorter.push('\n');
    }
    shorter
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_examples_everything_else_keeps_its_line() {
        let text = "rules:\n  a:\n    examples:\n      - {given: {}, expect: met}\n\n      - x\n    source: S\n  b:\n    title: T\n";
        let shorter = without_examples(text);
        let kept = "rules:\n  a:\n\n\n\n\n    source: S\n  b:\n    title: T\n";
        assert_eq!(shorter, kept);
    }
}
