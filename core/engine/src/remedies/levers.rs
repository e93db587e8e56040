//! What may be changed on a home: the levers that come with mateline, with what the firm and the home say of them.

use crate::load::{BadInput, Diagnosis, Node, Placed, SourceFile, Span, did_you_mean, parse, read, words};
use crate::pack::Pack;
use mateline_model::home::{Elements, Home, Id, Lever};
use mateline_model::quantity::{Dimension, Quantity, parse as quantity};
use mateline_model::{QuantityDef, Verdict};
use std::collections::BTreeMap;
use std::sync::Arc;

/// All levers on a home, by name, in the order in which they are taken.
#[derive(Clone, Debug, Default)]
pub struct Levers {
    levers: Vec<(String, Lever)>,
}

/// A value of a home that may be changed.
#[derive(Clone, Debug)]
pub struct Handle<'a> {
    /// The lever's name.
    pub name: &'a str,
    /// The lever.
    pub lever: &'a Lever,
    /// The path of the value.
    pub path: Vec<String>,
}

impl Levers {
    /// Reads levers, every one complete.
    ///
    /// # Errors
    /// Every problem, each at its place.
    pub fn read(name: &str, text: &str) -> Result<Levers, BadInput> {
        let files = || vec![SourceFile { name: name.to_owned(), text: text.to_owned() }];
        let tree = parse(text, 0).map_err(|problems| BadInput::new(problems, files()))?;
        let levers: Elements<Lever> = read(&tree).map_err(|problems| BadInput::new(problems, files()))?;
        let levers = Levers { levers: levers.into_iter().map(|(id, lever)| (id.to_string(), lever)).collect() };
        let problems = faults(&levers.levers, &|path| tree.span_at(path));
        if problems.is_empty() { Ok(levers) } else { Err(BadInput::new(problems, files())) }
    }

    /// The same on a home: with what the firm and the home say of them, and with their own, which come first.
    ///
    /// # Errors
    /// Every problem with what they say, each at its place.
    pub fn for_home(
        &self,
        home: &Home,
        tree: &Placed,
        quantities: &BTreeMap<String, QuantityDef>,
    ) -> Result<Levers, Vec<Diagnosis>> {
        let known = |id: &Id| self.levers.iter().find(|(name, _)| *name == **id).map(|(_, lever)| lever);
        let (altered, own): (Vec<_>, Vec<_>) =
            home.levers.iter().partition(|(id, lever)| known(id).is_some() && lever.field.is_none());
        let own = own.into_iter().map(|(id, lever)| (id.to_string(), lever.clone()));
        let altered: Vec<(String, Lever)> = altered
            .into_iter()
            .map(|(id, lever)| (id.to_string(), known(id).map_or_else(|| lever.clone(), |k| lever.clone().over(k))))
            .collect();
        let mut said: Vec<(String, Lever)> = own.collect();
        said.extend(altered.iter().cloned());
        let at = |path: &[&str]| tree.span_at(&[&["levers"], path].concat());
        let mut problems = faults(&said, &at);
        problems.extend(unpriced(&said, quantities, &at));
        if !problems.is_empty() {
            return Err(problems);
        }
        for (name, lever) in &self.levers {
            if !said.iter().any(|(other, _)| other == name) {
                said.push((name.clone(), lever.clone()));
            }
        }
        Ok(Levers { levers: said })
    }

    /// The levers that are forbidden here, and why.
    pub fn forbidden(&self) -> impl Iterator<Item = (&str, &str)> {
        self.levers.iter().filter_map(|(name, lever)| Some((name.as_str(), lever.forbidden.as_deref()?)))
    }

    /// A lever by its name.
    pub fn get(&self, name: &str) -> Option<&Lever> {
        self.levers.iter().find(|(id, _)| id == name).map(|(_, lever)| lever)
    }

    /// Their names.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.levers.iter().map(|(name, _)| name.as_str())
    }

    /// The values of a home that may turn a verdict; of several levers on one value the first.
    pub fn on<'a>(&'a self, home: &Placed, packs: &[Arc<Pack>], verdict: &Verdict) -> Vec<Handle<'a>> {
        let mut found: Vec<Handle<'a>> = Vec::new();
        let pack = packs.iter().find(|pack| pack.id == verdict.pack);
        let rule = pack.and_then(|pack| Some((pack, pack.rules.iter().find(|rule| rule.id == verdict.rule)?)));
        let weighed = rule.into_iter().flat_map(|(pack, rule)| {
            rule.moved_by().into_iter().map(|name| pack.reads_as.get(name).map_or(name, String::as_str))
        });
        let judged: Vec<&str> = verdict.quantity.as_deref().into_iter().chain(weighed).collect();
        let concerned =
            |(_, lever): &&(String, Lever)| lever.forbidden.is_none() && concerns(lever, &judged, &verdict.message);
        for (name, lever) in self.levers.iter().filter(concerned) {
            for path in values(home, lever) {
                let is_taken = found.iter().any(|handle| handle.path == path);
                if !is_taken && may_move(&path, verdict) {
                    found.push(Handle { name, lever, path });
                }
            }
        }
        found
    }
}

/// The paths of the values on a home that a lever is about.
pub fn values(home: &Placed, lever: &Lever) -> Vec<Vec<String>> {
    let steps: Vec<&str> = lever.field.iter().flat_map(|field| field.split('.')).collect();
    let mut paths = Vec::new();
    let takes_lists = lever.steps.iter().any(|step| words::words(step).is_some());
    places(home, &steps, takes_lists, &mut Vec::new(), &mut paths);
    paths.retain(|path| {
        let parent = path.split_last().and_then(|(_, parent)| home.at(parent));
        parent.is_some_and(|parent| fits(lever, parent))
    });
    paths
}

/// What is wrong with levers, each of which says all that it is.
fn faults(levers: &[(String, Lever)], at: &dyn Fn(&[&str]) -> Span) -> Vec<Diagnosis> {
    let (mut problems, keys) = (Vec::new(), crate::load::keys());
    for (id, lever) in levers {
        let mut wrong =
            |field: &str, message: String| problems.push(Diagnosis::new(at(&[id.as_str(), field]), message));
        if lever.title.is_none() || lever.moves.is_empty() {
            wrong(
                "title",
                format!("the lever {id} says no title, or not what it moves; none of its name comes with mateline"),
            );
        }
        if lever.steps.is_empty() {
            wrong("steps", format!("the lever {id} has no step"));
        }
        match &lever.field {
            None => wrong("field", format!("the lever {id} says no field")),
            Some(field) if !keys.iter().any(|key| is_of(field, &key.path)) => {
                let near = did_you_mean(field, keys.iter().map(|key| key.path.as_str()));
                wrong("field", format!("a home has no field {field}{near}"));
            }
            Some(_) => {}
        }
        for field in &lever.along {
            if !keys.iter().any(|key| is_of(field, &key.path)) {
                let near = did_you_mean(field, keys.iter().map(|key| key.path.as_str()));
                wrong("along", format!("a home has no field {field}{near}"));
            }
            if lever.steps.iter().any(|step| size(step).is_none()) {
                wrong("along", format!("the lever {id} has steps without a size, and {field} cannot follow them"));
            }
        }
        for (step, fields) in &lever.brings {
            if !lever.steps.iter().any(|known| words::same(known, step)) {
                wrong("brings", format!("the lever {id} brings something with {step}, which is none of its steps"));
            }
            let element =
                lever.field.as_ref().and_then(|field| field.rsplit_once('.')).map_or("", |(element, _)| element);
            for name in fields.keys() {
                let field = format!("{element}.{name}");
                if !keys.iter().any(|key| is_of(&field, &key.path)) {
                    let near = did_you_mean(&field, keys.iter().map(|key| key.path.as_str()));
                    wrong("brings", format!("a home has no field {field}{near}"));
                }
            }
        }
        let kinds: Vec<Option<Dimension>> =
            lever.steps.iter().map(|step| size(step).map(|size| size.dimension)).collect();
        if kinds.windows(2).any(|pair| pair.first() != pair.get(1)) {
            wrong("steps", format!("the steps of the lever {id} have units of several kinds"));
        }
        let first = kinds.first().copied().flatten();
        for (step, price) in &lever.prices {
            let money = size(price).map(|price| price.dimension);
            if size(step).map(|size| size.dimension) != first
                || (first.is_none() && !lever.steps.iter().any(|known| words::same(known, step)))
            {
                wrong("prices", format!("the lever {id} has a price of {step}, which is no step of its kind"));
            }
            let has_kind = match (money, &lever.per) {
                (Some(money), None) => money == Dimension::MONEY,
                (Some(money), Some(_)) => money.money == 1 && money != Dimension::MONEY,
                (None, _) => false,
            };
            if !has_kind {
                let wanted = if lever.per.is_some() {
                    "money by what it is a price of, as in '2 $/ft²'"
                } else {
                    "money, as in '120 $'"
                };
                wrong("prices", format!("the price '{price}' of the lever {id} is not {wanted}"));
            }
        }
    }
    problems
}

/// Prices by something that is no fact, or of another kind than their units say.
fn unpriced(
    levers: &[(String, Lever)],
    quantities: &BTreeMap<String, QuantityDef>,
    at: &dyn Fn(&[&str]) -> Span,
) -> Vec<Diagnosis> {
    let mut problems = Vec::new();
    for (id, lever) in levers {
        if let Some(said) = &lever.priced_by {
            let quantity = priced_by(lever).map_or("", |(quantity, _)| quantity);
            let is_money = quantities.get(quantity).is_some_and(|fact| fact.dimension() == Dimension::MONEY);
            if !is_money || lever.per.is_some() {
                let why =
                    if is_money { "stands beside a price per something" } else { "is no amount of money of something" };
                problems.push(Diagnosis::new(
                    at(&[id, "priced_by"]),
                    format!("the lever {id} is priced by '{said}', which {why}"),
                ));
            }
        }
        let Some(per) = &lever.per else { continue };
        let Some(fact) = quantities.get(&**per) else {
            let near = did_you_mean(per, quantities.keys().map(String::as_str));
            problems.push(Diagnosis::new(at(&[id, "per"]), format!("no plugin finds {per}{near}")));
            continue;
        };
        let is_money = |price: &Quantity| price.dimension.times(fact.dimension()) == Some(Dimension::MONEY);
        for price in lever.prices.values().filter(|price| size(price).is_some_and(|price| !is_money(&price))) {
            let message = format!(
                "the price '{price}' of the lever {id} is no price by {per}, {}",
                fact.dimension().with_article()
            );
            problems.push(Diagnosis::new(at(&[id, "prices"]), message));
        }
    }
    problems
}

/// What stands in a subject for the step that has a price.
pub(super) const STEP: &str = "STEP";

/// The quantity that is a lever's price, and of what it is.
pub(super) fn priced_by(lever: &Lever) -> Option<(&str, &str)> {
    lever.priced_by.as_ref()?.split_once(" of ")
}

/// A quantity with its unit, or a plain number; none where a step is a word.
pub fn size(text: &str) -> Option<Quantity> {
    let plain = || text.trim().parse().ok().map(|number| Quantity::new(number, Dimension::PLAIN));
    quantity(text).ok().or_else(plain)
}

/// Whether a lever's field is a key of a home; an id or a number may stand for any.
pub fn is_of(field: &str, key: &str) -> bool {
    let (field, key): (Vec<&str>, Vec<&str>) = (field.split('.').collect(), key.split('.').collect());
    let is_number = |text: &str| text.parse::<usize>().is_ok();
    field.len() == key.len()
        && std::iter::zip(field, key).all(|(one, key)| one == key || key == "ID" || key == "N" && is_number(one))
}

/// Whether a lever moves one of the names that a verdict rests on, or the field that its message names.
fn concerns(lever: &Lever, judged: &[&str], message: &str) -> bool {
    let field = lever.field.iter().filter_map(|field| field.rsplit('.').next()).next().unwrap_or_default();
    judged.iter().any(|judged| lever.moves.iter().any(|moved| judged.starts_with(&**moved)))
        || judged.is_empty() && message.contains(&field.replace('_', " "))
}

fn fits(lever: &Lever, parent: &Placed) -> bool {
    lever.beside.iter().all(|(key, words)| {
        let value = parent.get(key).map(|entry| &entry.value);
        value.is_some_and(|value| texts(value).iter().any(|text| words.iter().any(|word| matches(word, text))))
    })
}

fn matches(word: &str, text: &str) -> bool {
    word.strip_suffix('*').map_or(word == text, |start| text.starts_with(start))
}

fn texts(value: &Placed) -> Vec<&str> {
    match &value.node {
        Node::Str(text) => vec![text],
        Node::Seq(items) => items.iter().flat_map(texts).collect(),
        _ => Vec::new(),
    }
}

/// The entry of a section that stands for every element without one of its own.
const EVERY: &str = "default";

/// Whether a field of one element may move a verdict: not one on another element of the same section.
fn may_move(path: &[String], verdict: &Verdict) -> bool {
    // A section may lie in another: `systems.ventilation.unit` is the unit of the section `systems.ventilation`.
    let steps: Vec<&str> = verdict.subject.as_str().split('.').collect();
    let Some((id, section)) = steps.split_last().filter(|(_, section)| !section.is_empty()) else { return true };
    let is_there = path.len() > section.len() && std::iter::zip(path, section).all(|(one, other)| one == other);
    !is_there || path.get(section.len()).is_some_and(|step| step == id || step == EVERY)
}

/// The paths at which a pattern has a value: a list of words too, where those are taken.
fn places(here: &Placed, pattern: &[&str], takes_lists: bool, path: &mut Vec<String>, found: &mut Vec<Vec<String>>) {
    let Some((first, rest)) = pattern.split_first() else {
        let is_list = takes_lists && words::text(&here.node).is_some();
        if is_list || !matches!(here.node, Node::Map(_) | Node::Seq(_) | Node::Null) {
            found.push(path.clone());
        }
        return;
    };
    let mut step = |key: String, value: &Placed| {
        path.push(key);
        places(value, rest, takes_lists, path, found);
        path.pop();
    };
    match &here.node {
        Node::Map(entries) => entries
            .iter()
            .filter(|entry| *first == "ID" || entry.key == *first)
            .for_each(|entry| step(entry.key.clone(), &entry.value)),
        Node::Seq(items) => {
            let number = first.parse::<usize>().ok();
            let items = items.iter().enumerate();
            items
                .filter(|(index, _)| *first == "N" || number == Some(*index))
                .for_each(|(index, item)| step(index.to_string(), item));
        }
        _ => {}
    }
}
