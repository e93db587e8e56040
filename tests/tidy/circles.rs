//! No circle between the files of a crate: what a file needs does not need it back.
//!
//! Read from the paths in the code; a name that a file only hands on counts for the file it comes from. That a file needs
//! the one above it is no circle: the one above lists what is below.

use super::{crates, sources};
use std::collections::{BTreeMap, BTreeSet};

/// Where a file stands in its crate: `["draw", "rim"]`; the crate itself is the empty place.
type Place = Vec<String>;

/// The code of each file, without tests and comments.
type Files = BTreeMap<Place, String>;

#[test]
fn no_files_of_a_crate_go_in_a_circle() {
    let sources = sources(&["rs"]);
    let (mut seen, mut circles) = (0, Vec::new());
    for (folder, name) in crates() {
        let within = format!("{folder}/src/");
        let own = sources.iter().filter_map(|(path, text)| Some((path.strip_prefix(&within)?, text.as_str())));
        let files = files(own);
        seen += files.len();
        circles.extend(circle(&files).map(|circle| format!("{name}: {circle}")));
    }
    assert!(circles.is_empty(), "{}", circles.join("\n"));
    assert!(seen > 300, "{seen} files were read");
}

#[test]
fn a_circle_is_found() {
    let circle_of = |texts: &[(&str, &str)]| circle(&files(texts.iter().copied()));
    let base = ("base.rs", "pub fn level() -> u8 { 1 }");
    let top = ("top.rs", "use crate::base::level; // not crate::other");
    assert_eq!(circle_of(&[("lib.rs", "mod base; mod top;"), base, top]), None);
    // By a list within a list, and back by a path in the code.
    let there = ("base.rs", "use crate::{other, top::{self, Kind}};");
    let back = ("top.rs", "fn kind() { super::base::level() }");
    assert_eq!(circle_of(&[("lib.rs", ""), there, back]).as_deref(), Some("base → top → base"));
    // By a name that the crate hands on, and by a file below another.
    let handed = ("lib.rs", "mod base; mod top;\npub use top::Kind;");
    let below = ("top/deep.rs", "use crate::base::level;");
    let circle = circle_of(&[handed, ("base.rs", "use crate::Kind;"), ("top.rs", "mod deep; use deep::Kind;"), below]);
    assert_eq!(circle.as_deref(), Some("base → top → top/deep → base"));
    // Tests may need what they like.
    let tested = ("base.rs", "fn level() {}\n#[cfg(test)]\nmod tests { use crate::top::Kind; }");
    assert_eq!(circle_of(&[("lib.rs", ""), tested, top]), None);
}

fn files<'a>(own: impl Iterator<Item = (&'a str, &'a str)>) -> Files {
    let read = |(path, text): (&str, &str)| {
        let mut place: Place = path.trim_end_matches(".rs").split('/').map(str::to_owned).collect();
        if ["mod", "lib", "main"].contains(&place[place.len() - 1].as_str()) {
            place.pop();
        }
        let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
        let bare = code.lines().map(|line| line.split("//").next().unwrap_or_default());
        (place, bare.collect::<Vec<_>>().join("\n"))
    };
    own.map(read).collect()
}

/// The first circle, as its files.
fn circle(files: &Files) -> Option<String> {
    let all = |wanted: fn(&str) -> bool| -> BTreeMap<&Place, Vec<Place>> {
        files.keys().map(|place| (place, paths(files, place, wanted))).collect()
    };
    let (used, handed_on) = (all(|before| !hands_on(before)), all(hands_on));
    // Itself and those above it aside.
    let needed = |(place, paths): (&'_ Place, &Vec<Place>)| -> BTreeSet<Place> {
        let found = paths.iter().map(|path| defined(&handed_on, path, 0));
        found.filter(|found| !place.starts_with(found)).collect()
    };
    let needs = used.iter().map(|(place, paths)| (*place, needed((place, paths)))).collect();
    let mut done = BTreeSet::new();
    files.keys().find_map(|place| walk(place, &needs, &mut Vec::new(), &mut done))
}

fn walk<'a>(
    place: &'a Place,
    needs: &'a BTreeMap<&Place, BTreeSet<Place>>,
    way: &mut Vec<&'a Place>,
    done: &mut BTreeSet<&'a Place>,
) -> Option<String> {
    if let Some(first) = way.iter().position(|one| *one == place) {
        let names = way[first..].iter().chain([&place]).map(|one| one.join("/"));
        return Some(names.collect::<Vec<_>>().join(" → "));
    }
    if !done.contains(place) {
        way.push(place);
        if let Some(found) = needs[place].iter().find_map(|next| walk(next, needs, way, done)) {
            return Some(found);
        }
        way.pop();
        done.insert(place);
    }
    None
}

/// Whether a path that follows is handed on: `pub use`, `pub(crate) use`.
fn hands_on(before: &str) -> bool {
    before.ends_with("pub use ") || before.ends_with(") use ")
}

/// The file where a path leads to; where that file only hands the name on, the one it has it from.
fn defined(handed_on: &BTreeMap<&Place, Vec<Place>>, path: &[String], hops: u8) -> Place {
    let (place, paths) = (0..=path.len()).rev().find_map(|end| handed_on.get_key_value(&path[..end].to_vec())).unwrap();
    let name = path.get(place.len()).filter(|_| hops < 4);
    match name.and_then(|name| paths.iter().find(|from| from.last() == Some(name) && !path.starts_with(from))) {
        Some(from) => defined(handed_on, from, hops + 1),
        None => place.to_vec(),
    }
}

/// Every path of a file's code that stays within the crate, from the crate on; `wanted` sees what stands before it.
fn paths(files: &Files, place: &Place, wanted: fn(&str) -> bool) -> Vec<Place> {
    let code = files[place].as_str();
    let (mut found, mut from) = (Vec::new(), 0);
    while let Some(at) = code[from..].find("::").map(|at| from + at) {
        let (before, head) = last_word(&code[..at]);
        let below = [&place[..], &[head.to_owned()]].concat();
        let start = match head {
            "crate" => Some(Vec::new()),
            "self" => Some(place.clone()),
            "super" => Some(place[..place.len().saturating_sub(1)].to_vec()),
            _ => files.contains_key(&below).then_some(below),
        };
        from = at + 2;
        if let Some(start) = start.filter(|_| !before.ends_with("::")) {
            let mut all = Vec::new();
            from = code.len() - tree(&code[from..], start, &mut all).len();
            found.extend(all.into_iter().filter(|_| wanted(before)));
        }
    }
    found
}

/// What stands before the last word of a text, and that word.
fn last_word(text: &str) -> (&str, &str) {
    text.split_at(text.trim_end_matches(|c: char| c.is_alphanumeric() || c == '_').len())
}

/// Adds every path of `a::{b, c::d}`, and hands back what follows.
fn tree<'a>(text: &'a str, mut from: Place, found: &mut Vec<Place>) -> &'a str {
    let text = text.trim_start();
    if let Some(mut rest) = text.strip_prefix('{') {
        loop {
            rest = rest.trim_start_matches(|c: char| c.is_whitespace() || c == ',');
            if rest.is_empty() || rest.starts_with('}') {
                return rest.get(1..).unwrap_or_default();
            }
            let before = rest.len();
            rest = tree(rest, from.clone(), found);
            if rest.len() == before {
                return rest;
            }
        }
    }
    let end = text.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(text.len());
    let (word, rest) = text.split_at(end);
    match word {
        "super" => drop(from.pop()),
        "self" | "" => {}
        word => from.push(word.to_owned()),
    }
    match rest.strip_prefix("::") {
        Some(rest) => tree(rest, from, found),
        None => {
            found.push(from);
            rest.strip_prefix('*').unwrap_or(rest)
        }
    }
}
