//! Values that change with another: in proportion, as the flows of rooms with the flow of their unit, or because they come
//! with it, as the solar gain of a window with its product.

use super::levers::size;
use crate::load::{Edit, Node, Placed, words};
use mateline_model::home::Lever;
use mateline_model::quantity::{Quantity, unit};

/// A value that follows another.
#[derive(Clone, Debug)]
pub struct Follows {
    path: Vec<String>,
    size: Quantity,
    /// The unit that it is written in.
    unit: String,
}

impl Follows {
    /// All that follow the value of a lever at a path; none where one of them is not written as one number with a unit.
    pub fn all(home: &Placed, lever: &Lever, path: &[String]) -> Option<Vec<Follows>> {
        let field: Vec<&str> = lever.field.iter().flat_map(|field| field.split('.')).collect();
        let mut all = Some(Vec::new());
        for along in &lever.along {
            // An id or a number in both names the same element.
            let mut is_same = true;
            let along = along.split('.').enumerate().map(|(place, step)| {
                is_same = is_same && field.get(place) == Some(&step);
                path.get(place).filter(|_| is_same).cloned().unwrap_or_else(|| step.to_owned())
            });
            let along: Vec<String> = along.collect();
            Follows::reach(home, &along, Vec::new(), &mut all);
        }
        all
    }

    /// Goes down the steps of a field; an id that is not said stands for every element.
    fn reach(here: &Placed, steps: &[String], path: Vec<String>, all: &mut Option<Vec<Follows>>) {
        let Some((first, rest)) = steps.split_first() else { return Follows::below(here, path, all) };
        let Node::Map(entries) = &here.node else { return };
        for entry in entries.iter().filter(|entry| first == "ID" || entry.key == *first) {
            Follows::reach(&entry.value, rest, [&path[..], std::slice::from_ref(&entry.key)].concat(), all);
        }
    }

    fn below(here: &Placed, path: Vec<String>, all: &mut Option<Vec<Follows>>) {
        match &here.node {
            Node::Map(entries) => {
                for entry in entries.iter() {
                    Follows::below(&entry.value, [&path[..], std::slice::from_ref(&entry.key)].concat(), all);
                }
            }
            Node::Str(text) => match (all.as_mut(), Follows::of(text, path)) {
                (Some(all), Some(one)) => all.push(one),
                _ => *all = None,
            },
            _ => *all = None,
        }
    }

    fn of(text: &str, path: Vec<String>) -> Option<Follows> {
        let named = text.trim_start_matches(|c: char| c.is_ascii_digit() || "./ -".contains(c)).trim();
        unit(named)?;
        Some(Follows { path, size: size(text)?, unit: named.to_owned() })
    }

    /// It, where the other goes from one size to another: to four figures.
    pub fn edit(&self, from: &str, to: &str) -> Option<Edit> {
        let (from, to) = (size(from)?, size(to)?);
        let value = self.size.si * to.si / from.si / size(&format!("1 {}", self.unit))?.si;
        if !value.is_finite() {
            return None;
        }
        let whole = format!("{:.0}", value.abs().trunc());
        let mut number = format!("{value:.*}", 4_usize.saturating_sub(whole.len()));
        if number.contains('.') {
            number.truncate(number.trim_end_matches('0').trim_end_matches('.').len());
        }
        Some(Edit { path: self.path.clone(), text: format!("{number} {}", self.unit) })
    }
}

/// What a step of a lever brings beside the value at a path, as far as the home says it.
pub fn brought(home: &Placed, lever: &Lever, path: &[String], text: &str) -> Vec<Edit> {
    let Some((_, element)) = path.split_last() else { return Vec::new() };
    let fields =
        lever.brings.iter().find(|(step, _)| words::same(step, text)).into_iter().flat_map(|(_, fields)| fields);
    let edits =
        fields.map(|(field, text)| Edit { path: [element, &[field.to_string()]].concat(), text: text.to_string() });
    let is_other = |edit: &Edit| {
        let now = home.at(&edit.path).and_then(|here| words::text(&here.node));
        let is_same = |now: &str| match (size(now), size(&edit.text)) {
            (Some(now), Some(then)) => now == then,
            _ => words::same(now, &edit.text),
        };
        now.is_some_and(|now| !is_same(&now))
    };
    edits.filter(is_other).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;
    use crate::load::parse;

    #[test]
    fn flows_of_rooms_follow_their_unit() {
        let lever = "{title: t, field: u.ID.supply, along: [u.ID.exhaust, u.ID.supplies, u.ID.ducts.ID.flow], steps: [90 cfm], moves: [u.]}";
        let lever: Lever = crate::load::read(&parse(lever, 0).unwrap()).unwrap();
        let home = "u: {a: {supply: 60 cfm, exhaust: 60 cfm, supplies: {x: 22.5 cfm, y: 37.5 cfm}, ducts: {d: {flow: 12 cfm, length: 8 ft}, e: {length: 1 ft}}}, b: {exhaust: 9 cfm}}";
        let home = parse(home, 0).unwrap();
        let path = ["u", "a", "supply"].map(str::to_owned);
        let all = Follows::all(&home, &lever, &path).unwrap();
        let edits: Vec<String> = all.iter().map(|one| one.edit("60 cfm", "80 cfm").unwrap().text).collect();
        assert_eq!(edits, ["80 cfm", "30 cfm", "50 cfm", "16 cfm"]);
        assert_eq!(all[1].path.join("."), "u.a.supplies.x");
        let window =
            "{title: t, field: o.ID.u, steps: [2 m], brings: {2 m: {g: 30 %, l: x, s: 40 %, v: 1 m}}, moves: [o.]}";
        let window: Lever = crate::load::read(&parse(window, 0).unwrap()).unwrap();
        let home = parse("o: {w: {u: 1 m, g: 40 %, l: x, s: 0.4}}", 0).unwrap();
        let found = brought(&home, &window, &["o", "w", "u"].map(str::to_owned), "2 m");
        assert_eq!(found.iter().map(|edit| edit.path.join(".")).collect::<Vec<_>>(), ["o.w.g"]);
        let odd = parse("u: {a: {supply: 60 cfm, exhaust: 1 cfm 2 cfm}}", 0).unwrap();
        assert!(Follows::all(&odd, &lever, &path).is_none());
    }
}
