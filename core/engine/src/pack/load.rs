//! Finding the packs a home is judged by: the firm's, those that come with mateline, and files beside the home.

use super::kept::{KeptPacks, PackText};
use super::names::PARAMETER;
use super::parameter::show;
use super::{Note, Pack, Vocabulary};
use crate::load::{Diagnosis, Node, Placed, Project, Span, did_you_mean, parse};
use mateline_model::home::{Home, Name};
use std::sync::Arc;

/// Packs that come with mateline: id and YAML text; `ID@VERSION` for a former version that is kept.
pub type Library = &'static [(&'static str, &'static str)];

/// What the names of files begin with that come with mateline.
pub const OF_MATELINE: &str = "<mateline>/";

/// Packs that extend each other, at most.
const MAX_DEPTH: usize = 8;

/// A pack's name or path, and the version that is asked for: `energy-code-2021@1`.
pub fn asked(name: &str) -> (&str, Option<u32>) {
    let version = name.rsplit_once('@').and_then(|(pack, version)| Some((pack, Some(version.parse().ok()?))));
    version.unwrap_or((name, None))
}

/// Loads every pack the home names, in its order, then those that ask of every home, with the home's values of their
/// parameters. What has been compiled before is taken from `kept`.
///
/// # Errors
/// Every problem with a pack: at the home's line when it cannot be found, at the pack's line otherwise.
pub fn load_packs(
    home: &Home,
    tree: &Placed,
    project: &mut Project,
    (library, asking): (Library, &[&str]),
    kept: &KeptPacks,
    vocabulary: &Vocabulary<'_>,
) -> Result<Vec<Arc<Pack>>, Vec<Diagnosis>> {
    let names = home.judge_by.iter().enumerate();
    let names = names.map(|(index, name)| (&**name, tree.span_at(&["judge_by".to_owned(), index.to_string()])));
    let (shelf, mut errors) = Shelf::of(project, library, Examples::LeftOut);
    let mut packs = each(&shelf, names, project, kept, vocabulary, &mut errors);
    for name in asking {
        let name = shelf.extended_by_firm(name, project).unwrap_or_else(|| (*name).to_owned());
        match packs.iter().position(|pack| pack.id == name) {
            Some(named) => packs.get_mut(named).map(Arc::make_mut).into_iter().for_each(|pack| pack.asks = true),
            None => match shelf.pack(&name, Span::start(0), project, kept, vocabulary) {
                Ok(mut pack) => {
                    Arc::make_mut(&mut pack).asks = true;
                    packs.push(pack);
                }
                Err(mut found) => errors.append(&mut found),
            },
        }
    }
    // A pack that cannot be read has parameters nobody knows.
    if errors.is_empty() {
        set_parameters(home, tree, &mut packs, &mut errors);
    }
    if errors.is_empty() { Ok(packs) } else { Err(errors) }
}

/// What is wrong with the packs that a home names. The home itself may be beyond use.
pub fn pack_faults(
    tree: &Placed,
    project: &mut Project,
    library: Library,
    kept: &KeptPacks,
    vocabulary: &Vocabulary<'_>,
) -> Vec<Diagnosis> {
    let items = match tree.get("judge_by").map(|entry| &entry.value.node) {
        Some(Node::Seq(items)) => items.as_slice(),
        _ => &[],
    };
    let names = items.iter().filter_map(|item| match &item.node {
        Node::Str(name) if name.parse::<Name>().is_ok() => Some((name.as_str(), item.span)),
        _ => None,
    });
    let (shelf, mut errors) = Shelf::of(project, library, Examples::LeftOut);
    each(&shelf, names, project, kept, vocabulary, &mut errors);
    errors
}

/// The packs of these names, each with where it stands. Every problem with them is added to `errors`.
fn each<'a>(
    shelf: &Shelf,
    names: impl Iterator<Item = (&'a str, Span)>,
    project: &mut Project,
    kept: &KeptPacks,
    vocabulary: &Vocabulary<'_>,
    errors: &mut Vec<Diagnosis>,
) -> Vec<Arc<Pack>> {
    let mut packs: Vec<Arc<Pack>> = Vec::new();
    for (name, at) in names {
        match shelf.pack(name, at, project, kept, vocabulary) {
            Ok(pack) => match packs.iter().find(|other| other.id == pack.id) {
                Some(_) => errors.push(Diagnosis::new(at, format!("the pack '{}' is named twice", pack.id))),
                None => packs.push(pack),
            },
            Err(mut found) => errors.append(&mut found),
        }
    }
    packs
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
    let (shelf, errors) = Shelf::of(project, library, Examples::Read);
    if !errors.is_empty() {
        return Err(errors);
    }
    shelf.pack(name, at, project, &KeptPacks::default(), vocabulary).map(Arc::unwrap_or_clone)
}

/// Gives parameters the home's values.
fn set_parameters(home: &Home, tree: &Placed, packs: &mut [Arc<Pack>], errors: &mut Vec<Diagnosis>) {
    for (id, values) in &home.parameters {
        // Where a key stands, and its value.
        let at = |name: Option<&str>| {
            let path = ["parameters", id].into_iter().chain(name).map(str::to_owned).collect::<Vec<_>>();
            let entry = path.split_last().and_then(|(key, parents)| tree.at(parents)?.get(key));
            entry.map_or((tree.span, tree.span), |entry| (entry.key_span, entry.value.span))
        };
        let Some(place) = packs.iter().position(|pack| *id == pack.id.as_str()) else {
            let near = did_you_mean(id, packs.iter().map(|pack| pack.id.as_str()));
            errors.push(Diagnosis::new(at(None).0, format!("the home is not judged by a pack '{id}'{near}")));
            continue;
        };
        let Some(pack) = packs.get_mut(place).map(Arc::make_mut) else { continue };
        for (name, value) in values {
            let (key, at) = at(Some(name));
            let known: Vec<String> = pack.parameters.keys().cloned().collect();
            let Some(parameter) = pack.parameters.get_mut(&**name) else {
                let near = did_you_mean(name, known.iter().map(String::as_str));
                errors.push(Diagnosis::new(key, format!("the pack '{id}' has no parameter '{name}'{near}")));
                continue;
            };
            if let Err(message) = parameter.set(value) {
                errors.push(Diagnosis::new(at, message));
            } else if parameter.value() != &parameter.default {
                let default = show(&parameter.default, home.units);
                let message = format!("{PARAMETER}{name} of {id} is {value} here, not {default}");
                pack.notes.push(Note { message, at });
            }
        }
    }
}

/// Whether the examples of packs that come with mateline are read. They are most of the text and judge no home.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Examples {
    Read,
    LeftOut,
}

/// Where packs are found by name.
struct Shelf {
    /// Names of the firm's packs.
    firm: Vec<String>,
    library: Library,
    examples: Examples,
}

/// Where a pack is taken from.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Origin {
    Project,
    Firm,
    Library,
}

impl Shelf {
    /// The shelf of a project, and what is wrong with the firm's part of it.
    fn of(project: &mut Project, library: Library, examples: Examples) -> (Shelf, Vec<Diagnosis>) {
        let mut errors = Vec::new();
        let firm = project.firm_packs().unwrap_or_else(|message| {
            errors.push(Diagnosis::new(Span::start(0), message));
            Vec::new()
        });
        for name in firm.iter().filter(|name| library.iter().any(|(id, _)| *id == asked(name).0)) {
            let at = project.read_of_firm(&format!("packs/{name}.yaml")).map_or(Span::start(0), Span::start);
            let message = format!("a pack '{name}' comes with mateline");
            let help = "give the firm's pack a name of its own, and let it extend the other";
            errors.push(Diagnosis::new(at, message).help(help));
        }
        (Shelf { firm, library, examples }, errors)
    }

    /// The firm's pack that extends another one, the first by name. The firm's other packs do not become files of the
    /// project.
    fn extended_by_firm(&self, base: &str, project: &mut Project) -> Option<String> {
        let mut extends = |name: &&String| {
            let text = project.text_of_firm(&format!("packs/{name}.yaml")).unwrap_or_default();
            let tree = parse(&text, 0).ok();
            let extended = tree.as_ref().and_then(|tree| tree.get("extends")).map(|entry| &entry.value.node);
            matches!(extended, Some(Node::Str(extended)) if asked(extended).0 == base)
        };
        self.firm.iter().find(|name| asked(name).1.is_none() && extends(name)).cloned()
    }

    /// A pack, by name or path.
    fn pack(
        &self,
        name: &str,
        at: Span,
        project: &mut Project,
        kept: &KeptPacks,
        vocabulary: &Vocabulary<'_>,
    ) -> Result<Arc<Pack>, Vec<Diagnosis>> {
        let chain = self.chain(name, at, project, kept)?;
        let mut pack = kept.pack(chain, |chain| self.followed(chain), vocabulary)?;
        if self.library.iter().all(|(id, _)| *id != asked(name).0) {
            Arc::make_mut(&mut pack).is_own = true;
        }
        Ok(pack)
    }

    /// The packs of whose references the first of a chain speaks as of its own: those that it extends, and one that comes
    /// with mateline and whose settings it hands over under another name.
    fn followed(&self, chain: &[Arc<PackText>]) -> Vec<String> {
        let Some(own) = chain.first().map(|first| first.file.pack.to_string()) else { return Vec::new() };
        let settings: Vec<&Name> = chain.iter().flat_map(|part| part.file.uses.keys()).collect();
        let hands_over = |text: &str| {
            let tree = parse(text, 0).ok();
            let uses = tree.as_ref().and_then(|tree| match &tree.get("uses")?.value.node {
                Node::Map(entries) => Some(entries.iter().map(|entry| entry.key.clone()).collect::<Vec<_>>()),
                _ => None,
            });
            uses.is_some_and(|uses| uses.iter().all(|plugin| settings.iter().any(|own| ***own == **plugin)))
        };
        let extended = chain.iter().skip(1).map(|part| part.file.pack.to_string());
        let speaks = |id: &str| chain.iter().any(|part| part.speaks_of(id));
        let library = self.library.iter().filter(|(id, _)| asked(id).1.is_none() && *id != own && speaks(id));
        let copied = library.filter(|(_, text)| hands_over(text)).map(|(id, _)| (*id).to_owned());
        extended.chain(copied).filter(|id| *id != own && speaks(id)).collect()
    }

    /// The pack's file, the file it extends, and so on.
    fn chain(
        &self,
        name: &str,
        at: Span,
        project: &mut Project,
        kept: &KeptPacks,
    ) -> Result<Vec<Arc<PackText>>, Vec<Diagnosis>> {
        let (mut name, mut at) = (name.to_owned(), at);
        let (mut open, mut chain): (Vec<(String, Origin)>, Vec<Arc<PackText>>) = (Vec::new(), Vec::new());
        loop {
            let (number, origin) = self.find(&name, at, project, &open, kept)?;
            if open.iter().any(|(earlier, from)| *earlier == name && *from == origin) || open.len() >= MAX_DEPTH {
                let names: Vec<&str> = open.iter().map(|(name, _)| name.as_str()).chain([name.as_str()]).collect();
                let message = format!("packs extend each other in a circle: {}", names.join(" > "));
                return Err(vec![Diagnosis::new(at, message)]);
            }
            let Some(source) = project.files().get(number) else { return Err(Vec::new()) };
            let shipped = source.name.strip_prefix(OF_MATELINE).and_then(|file| file.strip_suffix(".yaml"));
            let whole = shipped.and_then(|id| self.library.iter().find(|(known, _)| *known == id));
            let part = kept.text(source, whole.map(|(_, text)| *text), number)?;
            let (file, tree) = (&part.file, &part.tree);
            if let (plain, Some(version)) = asked(&name)
                && file.version != Some(version)
            {
                return Err(vec![self.other_version(plain, version, file.version, at)]);
            }
            if origin == Origin::Firm && *file.pack != *asked(&name).0 {
                let at = tree.span_at(&["pack".to_owned()]);
                let message = format!("the pack is called '{}', but its file '{name}.yaml'", file.pack);
                return Err(vec![Diagnosis::new(at, message)]);
            }
            open.push((name, origin));
            let base = file.extends.as_ref().map(ToString::to_string);
            at = tree.span_at(&["extends".to_owned()]);
            chain.push(part);
            match base {
                Some(base) => name = base,
                None => return Ok(chain),
            }
        }
    }

    /// That a pack is not there in the version that is asked for.
    fn other_version(&self, name: &str, version: u32, found: Option<u32>, at: Span) -> Diagnosis {
        let kept = self.library.iter().filter_map(|(id, _)| asked(id).1.filter(|_| asked(id).0 == name));
        let known: Vec<String> = kept.chain(found).map(|version| format!("{name}@{version}")).collect();
        let here = found.map_or_else(|| "without a version".to_owned(), |found| format!("in version {found}"));
        let message = format!("the pack '{name}' is here {here}, not in version {version}");
        let help = match known.is_empty() {
            true => "write its 'version' into the pack".to_owned(),
            false => format!("name {}, or keep a copy of the pack in the project", known.join(" or ")),
        };
        Diagnosis::new(at, message).help(help)
    }

    /// The number of the file a name or path stands for.
    fn find(
        &self,
        name: &str,
        at: Span,
        project: &mut Project,
        open: &[(String, Origin)],
        packs: &KeptPacks,
    ) -> Result<(usize, Origin), Vec<Diagnosis>> {
        let refuse = |message: String| vec![Diagnosis::new(at, message)];
        let (whole, name) = (name, asked(name).0);
        let path_like = name.contains(['/', '\\']) || name.ends_with(".yaml") || name.ends_with(".yml");
        if path_like {
            if open.last().is_some_and(|(_, origin)| *origin == Origin::Firm) {
                return Err(refuse(format!("a pack of the firm extends another by its name, not by a path: '{name}'")));
            }
            return Ok((project.read(name).map_err(refuse)?, Origin::Project));
        }
        // A version that is kept beside the current one has a file of its own.
        let kept = |known: &dyn Fn(&str) -> bool| if known(whole) { whole } else { name };
        let in_firm = |name: &str| self.firm.iter().any(|firm| firm == name);
        let name = kept(&in_firm);
        if in_firm(name) {
            return Ok((project.read_of_firm(&format!("packs/{name}.yaml")).map_err(refuse)?, Origin::Firm));
        }
        let known = || {
            let all = self.firm.iter().map(String::as_str).chain(self.library.iter().map(|(id, _)| *id));
            all.filter(|id| asked(id).1.is_none())
        };
        let name = kept(&|name| self.library.iter().any(|(id, _)| *id == name));
        let Some((id, text)) = self.library.iter().find(|(id, _)| *id == name) else {
            let near = did_you_mean(name, known());
            let known = known().collect::<Vec<_>>().join(", ");
            let message = format!("there is no pack '{name}'{near}");
            let help = format!("name one of {known}, or the path of a pack file such as ./firm/standards.yaml");
            return Err(vec![Diagnosis::new(at, message).help(help)]);
        };
        let name = format!("{OF_MATELINE}{id}.yaml");
        let number = match self.examples {
            Examples::Read => project.keep(&name, text),
            Examples::LeftOut => project.keep(&name, &packs.shorter(id, || without_examples(text))),
        };
        Ok((number, Origin::Library))
    }
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
