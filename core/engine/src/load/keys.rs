//! Every key that a home may have, with what it means and holds, as the schema tells.

use super::diagnosis::{did_you_mean, plain};
use super::fields::{Fields, Kind, Reader, described, words};
use indexmap::IndexMap;
use mateline_model::home::SECTIONS;
use mateline_model::quantity::Dimension;
use serde_json::Value;
use std::fmt::Write;

/// Elements within elements no home has beyond this depth.
const DEEPEST: usize = 12;

/// A key of a home.
#[derive(Clone, Debug, PartialEq)]
pub struct Key {
    /// Where it stands: `openings.ID.width`, with `ID` for any id and `N` for any item of a list.
    pub path: String,
    /// What it means.
    pub meaning: String,
    /// What it holds, with the units it may have and its range.
    pub holds: String,
    /// A value as one writes it.
    pub example: Option<String>,
    /// The words it may be, each with its meaning where that is told.
    pub words: Vec<(String, String)>,
    /// Whether the part it belongs to cannot be without it.
    pub required: bool,
}

/// Every key, in the order of the schema.
pub fn keys() -> Vec<Key> {
    let fields = Fields::of_home();
    let mut walk = Walk { fields, reader: Reader { schema: fields.schema() }, found: Vec::new() };
    walk.parts(fields.schema(), &[]);
    walk.found
}

/// The keys with a word in their path or meaning; those below a part that has this very name, if there is one.
///
/// # Errors
/// A sentence that names near ones, when there is none.
pub fn keys_with(word: &str) -> Result<Vec<Key>, String> {
    let all = keys();
    let sought = plain(word);
    let below = format!("{word}.");
    let part = |key: &Key| key.path == word || key.path.starts_with(&below);
    let named = |key: &Key| plain(&key.path).contains(&sought) || plain(&key.meaning).contains(&sought);
    let is_part = all.iter().any(part);
    let found: Vec<Key> = all.iter().filter(|key| if is_part { part(key) } else { named(key) }).cloned().collect();
    if found.is_empty() {
        let last = all.iter().filter_map(|key| key.path.rsplit('.').next());
        return Err(format!("no key of a home has '{word}' in its name or meaning{}", did_you_mean(word, last)));
    }
    Ok(found)
}

/// The keys as a page of Markdown: a table for each section.
pub fn keys_as_markdown() -> String {
    let mut page = "# Keys of a home\n\nGenerated from `home.schema.json`; do not edit. `ID` stands for any id, `N` for any \
                    item of a list. A key marked * has to be given where the part it belongs to is. `mateline fields WORD` \
                    finds them and tells their words' meanings.\n"
        .to_owned();
    let mut sections: IndexMap<String, String> = IndexMap::new();
    for key in keys() {
        let first = key.path.split('.').next().unwrap_or_default();
        let heading = if SECTIONS.contains(&first) || key.path.contains('.') { first } else { "home" };
        let star = if key.required { " *" } else { "" };
        let cell = |text: &str| text.replace('|', "\\|");
        let holds = cell(&key.holds_with_words());
        let example = key.example.as_ref().map(|example| format!("`{example}`")).unwrap_or_default();
        let rows = sections.entry(heading.to_owned()).or_default();
        let _ = writeln!(rows, "| `{}`{star} | {} | {holds} | {example} |", key.path, cell(&key.meaning));
    }
    for (heading, rows) in sections {
        let _ = write!(page, "\n## {heading}\n\n| key | meaning | holds | example |\n|---|---|---|---|\n{rows}");
    }
    page
}

impl Key {
    /// What it holds, with its words: `one of: window, hatch`.
    pub fn holds_with_words(&self) -> String {
        let words: Vec<&str> = self.words.iter().map(|(word, _)| word.as_str()).collect();
        if words.is_empty() { self.holds.clone() } else { format!("{}: {}", self.holds, words.join(", ")) }
    }
}

struct Walk<'a> {
    fields: &'a Fields,
    reader: Reader<'a>,
    found: Vec<Key>,
}

impl<'a> Walk<'a> {
    /// The keys of a mapping, and of what is below each.
    fn parts(&mut self, part: &'a Value, path: &[String]) {
        let whole = self.reader.resolve(part);
        let required = whole.get("required").and_then(Value::as_array);
        let is_required = |name: &str| required.is_some_and(|all| all.iter().any(|one| one == name));
        for (name, part) in whole.get("properties").and_then(Value::as_object).into_iter().flatten() {
            let path = [path, std::slice::from_ref(name)].concat();
            self.found.push(self.key(part, &path, is_required(name)));
            self.below(part, path);
        }
    }

    /// What is below a key: the items of a list, the elements of a section, the keys of a mapping.
    fn below(&mut self, part: &'a Value, mut path: Vec<String>) {
        let whole = self.reader.resolve(part);
        let several = || whole.get("anyOf")?.as_array()?.iter().find_map(|one| one.get("items"));
        let element = whole.get("additionalProperties").filter(|more| more.is_object());
        let (step, within) = match (whole.get("items").or_else(several), element) {
            (Some(items), _) => ("N", items),
            (_, Some(element)) => ("ID", element),
            _ => {
                let ways = whole.get("anyOf").and_then(Value::as_array).into_iter().flatten();
                ways.for_each(|way| self.parts(way, &path));
                return self.parts(part, &path);
            }
        };
        path.push(step.to_owned());
        if path.len() < DEEPEST {
            self.below(within, path);
        }
    }

    fn key(&self, part: &'a Value, path: &[String], required: bool) -> Key {
        let whole = self.reader.resolve(part);
        let words = self.words(whole);
        let kind = self.fields.kind(steps(path));
        let example = |value: &Value| value.get("examples")?.get(0).and_then(Value::as_str).map(str::to_owned);
        Key {
            path: path.join("."),
            meaning: described(part).or_else(|| described(whole)).unwrap_or_default(),
            holds: self.holds(kind, whole, path) + &self.left_out(path),
            example: example(part).or_else(|| example(whole)),
            words,
            required,
        }
    }

    /// `; left out: one`.
    fn left_out(&self, path: &[String]) -> String {
        self.fields.said_by_absence(steps(path)).map(|said| format!("; left out: {said}")).unwrap_or_default()
    }

    /// `a length with its unit; units: in, ft; not below zero`.
    fn holds(&self, kind: Option<&Kind>, whole: &Value, path: &[String]) -> String {
        let steps: Vec<String> = steps(path).map(str::to_owned).collect();
        let named = self.fields.named_at(&steps).map(|named| match &named.or {
            Some(or) => format!("the id of one of `{}`, or `{or}`", named.section),
            None => format!("the id of one of `{}`", named.section),
        });
        let range = || {
            let dimension = if let Some(Kind::Number(dimension)) = kind { *dimension } else { return String::new() };
            match (self.fields.may_lie_below_zero(&steps), self.fields.may_exceed_one(&steps)) {
                _ if dimension == Dimension::TEMPERATURE => String::new(),
                (true, _) => String::new(),
                (false, false) if dimension == Dimension::PLAIN => "; from 0 to 1".to_owned(),
                _ => "; not below zero".to_owned(),
            }
        };
        let own = || described(whole).map(|text| plain_sentence(&text));
        match kind {
            Some(Kind::Number(dimension)) if *dimension == Dimension::PLAIN => {
                "a plain number or a percentage".to_owned() + &range()
            }
            Some(Kind::Number(_)) => own().unwrap_or_else(|| "a number".to_owned()) + &range(),
            Some(Kind::Count) => "a whole number".to_owned(),
            Some(Kind::Text(Some(_))) => "one of".to_owned(),
            Some(Kind::Text(None)) => named.unwrap_or_else(|| "a text".to_owned()),
            Some(Kind::Flag) => "true or false".to_owned(),
            Some(Kind::Date) => "a date, such as 2026-10-05".to_owned(),
            Some(Kind::List(item)) => match named {
                Some(named) => format!("one or several: {named}"),
                None if **item == Kind::Struct => "a list".to_owned(),
                None => format!("one or several: {}", self.holds(Some(item), whole, path)),
            },
            Some(Kind::Struct) => "keys of its own".to_owned(),
            Some(Kind::Elements) => "elements by id".to_owned(),
            None => {
                let ways = whole.get("anyOf").and_then(Value::as_array).into_iter().flatten();
                let ways = ways.filter_map(|way| described(self.reader.resolve(way)));
                let ways: Vec<String> = ways.map(|way| plain_sentence(&way)).collect();
                if ways.is_empty() { own().unwrap_or_default() } else { ways.join(", or ") }
            }
        }
    }

    /// The words of an enumeration with their meanings, of one value or of each of a list.
    fn words(&self, whole: &'a Value) -> Vec<(String, String)> {
        let several = || whole.get("anyOf")?.as_array()?.first();
        let items = || whole.get("items");
        if let Some(one) = several().or_else(items) {
            return self.words(self.reader.resolve(one));
        }
        words(whole).unwrap_or_default()
    }
}

/// The steps of a path as the fields are asked for them: any item of a list is the first.
fn steps(path: &[String]) -> impl Iterator<Item = &str> {
    path.iter().map(|step| if step == "N" { "0" } else { step.as_str() })
}

/// `A length with its unit. Units: in, ft.` as a part of a sentence.
fn plain_sentence(text: &str) -> String {
    let text = text.trim_end_matches('.').replace(". Units:", "; units:");
    let mut letters = text.chars();
    letters.next().map(|first| first.to_lowercase().chain(letters).collect()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]
    use super::*;

    fn key(path: &str) -> Key {
        keys().into_iter().find(|key| key.path == path).unwrap_or_else(|| panic!("no key {path}"))
    }

    #[test]
    fn a_key_tells_meaning_units_range_and_example() {
        let width = key("openings.ID.width");
        assert_eq!(width.meaning, "Width of the rough opening.");
        assert_eq!(width.holds, "a length with its unit; units: in, ft, yd, mm, cm, m; not below zero");
        assert_eq!((width.example.as_deref(), width.required), (Some("5 1/2 in"), true));
        assert!(!key("site.design_heating").holds.contains("below zero"), "a temperature may lie below zero");
        assert!(key("openings.ID.shgc").holds.ends_with("from 0 to 1"));
        assert_eq!(key("openings.ID.module").holds, "the id of one of `modules`, or `foundation`");
        let kind = key("openings.ID.kind");
        assert!(kind.words.contains(&("window".to_owned(), "A window.".to_owned())), "{:?}", kind.words);
        assert_eq!(key("assemblies.ID.layers").holds, "a list");
        assert_eq!(key("assemblies.ID.layers.N.thickness").meaning, "How thick the material is.");
    }

    /// Every key says what it means, and what the fields know of it is what the schema says.
    #[test]
    fn no_key_is_left_without_meaning() {
        for key in keys() {
            assert!(!key.meaning.is_empty(), "{}", key.path);
            let path: Vec<String> = key.path.split('.').map(str::to_owned).collect();
            assert!(!key.holds.is_empty(), "{}", key.path);
            let known = Fields::of_home().kind(steps(&path)).is_some();
            assert!(known || key.path.starts_with("rates."), "{}", key.path);
        }
    }

    #[test]
    fn a_word_finds_keys_and_a_near_one_is_named() {
        let found = keys_with("sill").unwrap();
        assert!(found.iter().any(|key| key.path == "openings.ID.sill"));
        assert!(keys_with("openings").unwrap().iter().all(|key| key.path.starts_with("openings")));
        assert!(keys_with("u_facter").unwrap_err().ends_with("did you mean 'u_factor'?)"));
    }
}
