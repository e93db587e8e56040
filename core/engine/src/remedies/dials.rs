//! The steps that a lever offers on one value of a home, from what stands there outwards, each with its price.

use super::follows::{Follows, brought};
use super::levers::{Handle, STEP, priced_by, size};
use super::trials::Trials;
use crate::Engine;
use crate::load::{Edit, Node, Placed, Span, words};
use mateline_model::home::{Lever, Towards};
use mateline_model::quantity::Quantity;
use mateline_model::{Facts, Place, Subject};
use serde::Serialize;
use std::collections::BTreeMap;

/// A change of one value.
#[derive(Clone, Debug, Serialize)]
pub struct Change {
    /// What is changed, in words.
    pub title: String,
    /// Where, and to what.
    pub edit: Edit,
    /// The other values that stand at the same place of a file and change with it.
    pub shared: Vec<Vec<String>>,
    /// Other values that change with it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub along: Vec<Edit>,
    /// What stands there now.
    pub now: String,
    /// The least change that would do, where sizes lie between; rounded to the side that does.
    pub limit: Option<String>,
    /// What it costs, where that is known.
    pub price: Option<Price>,
    /// The place of the value.
    pub at: Place,
    /// Who else decides.
    pub caution: Option<String>,
}

/// What a change costs, in the project's currency; negative where it saves.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Price {
    /// The amount.
    pub money: f64,
    /// Whether it is near: a size in between was priced in proportion, or a fact that rests on rates is the price.
    pub is_near: bool,
}

impl Price {
    /// Two together.
    fn and(self, other: Price) -> Price {
        Price { money: self.money + other.money, is_near: self.is_near || other.is_near }
    }
}

impl Change {
    /// The change as it is made: of the value, and of those that are one with it.
    pub fn edits(&self) -> Vec<Edit> {
        let shared = self.shared.iter().map(|path| Edit { path: path.clone(), text: self.edit.text.clone() });
        std::iter::once(self.edit.clone()).chain(shared).chain(self.along.iter().cloned()).collect()
    }
}

/// A step of a lever on a value.
#[derive(Clone, Debug)]
pub struct Step {
    /// The text that stands for it.
    pub text: String,
    /// Its size in SI; none where steps are words.
    pub size: Option<f64>,
    /// What it costs to go there from what stands now.
    pub price: Option<Price>,
    /// How much is changed: the share of what stands now, or the number of words passed.
    pub change: f64,
}

/// A value that may be changed, with its steps.
#[derive(Clone, Debug)]
pub struct Dial<'a> {
    /// The value.
    pub handle: Handle<'a>,
    /// The other values that stand at the same place of a file, by an anchor, and change with it.
    pub shared: Vec<Vec<String>>,
    /// The values that change with it in proportion.
    pub follows: Vec<Follows>,
    /// The values that come with a step, by its text.
    pub brings: BTreeMap<String, Vec<Edit>>,
    /// What stands there.
    pub now: String,
    /// Its size.
    pub present: Option<Quantity>,
    /// Whether what its farthest step does not do no other does: sizes are, and words that go to one side.
    pub is_ordered: bool,
    /// The steps to either side that is tried, nearest first.
    pub sides: Vec<Vec<Step>>,
}

impl<'a> Dial<'a> {
    /// The steps of a lever on a value; none where nothing can be changed there.
    pub fn of(trials: &Trials<'_>, handle: Handle<'a>) -> Option<Dial<'a>> {
        let now = words::text(&trials.loaded().tree.at(&handle.path)?.node)?;
        let (lever, present) = (handle.lever, size(&now));
        let span = trials.loaded().tree.at(&handle.path)?.span;
        let mut shared = Vec::new();
        at_place(&trials.loaded().tree, span, &mut Vec::new(), &mut shared);
        shared.retain(|path| *path != handle.path);
        let follows = Follows::all(&trials.loaded().tree, lever, &handle.path)?;
        let all = std::iter::once(&handle.path).chain(&shared);
        let brings = lever.brings.keys().map(|step| {
            let of_one = |path: &Vec<String>| brought(&trials.loaded().tree, lever, path, step);
            (step.to_string(), all.clone().flat_map(of_one).collect())
        });
        let brings = brings.collect();
        let prices: Vec<Prices<'_>> = all.map(|path| Prices::of(trials, lever, path)).collect();
        let step = |text: &str, size: Option<f64>, change: f64| Step {
            text: text.to_owned(),
            size,
            price: prices
                .iter()
                .map(|prices| prices.between(&now, text))
                .reduce(|all, one| Some(all?.and(one?)))
                .flatten(),
            change,
        };
        let (less, more): (Vec<Step>, Vec<Step>) = match present {
            Some(present) => {
                let sizes = lever.steps.iter().filter_map(|text| Some((size(text)?, text.as_ref())));
                let mut sizes: Vec<(Quantity, &str)> =
                    sizes.filter(|(size, _)| size.dimension == present.dimension && size.si != present.si).collect();
                sizes.sort_by(|one, other| one.0.si.total_cmp(&other.0.si));
                let steps = sizes
                    .into_iter()
                    .map(|(size, text)| step(text, Some(size.si), ((size.si - present.si) / present.si).abs()));
                steps.partition(|step| step.size.is_some_and(|size| size < present.si))
            }
            // Words stand in their order, from less to more.
            None => {
                let here = lever.steps.iter().position(|word| words::same(word, &now))?;
                let steps = lever.steps.iter().enumerate().filter(|(number, _)| *number != here);
                let (less, more): (Vec<_>, Vec<_>) = steps.partition(|(number, _)| *number < here);
                let steps = |all: Vec<(usize, &mateline_model::home::Name)>| -> Vec<Step> {
                    all.into_iter().map(|(number, word)| step(word, None, number.abs_diff(here) as f64)).collect()
                };
                (steps(less), steps(more))
            }
        };
        let less = less.into_iter().rev().collect();
        let sides = [(Towards::More, more), (Towards::Less, less)];
        let tried = sides.into_iter().filter(|(side, _)| lever.towards.is_none_or(|towards| towards == *side));
        let sides: Vec<Vec<Step>> = tried.map(|(_, steps)| steps).filter(|steps| !steps.is_empty()).collect();
        // A product that is better in one thing may be worse in another.
        let is_ordered = lever.brings.is_empty() && (present.is_some() || lever.towards.is_some());
        (!sides.is_empty()).then_some(Dial { shared, follows, brings, now, present, is_ordered, sides, handle })
    }

    /// What it costs to have a text in place of what stands at a value; none where that is not known.
    pub fn price(trials: &Trials<'_>, handle: &Handle<'_>, text: &str) -> Option<f64> {
        let now = words::text(&trials.loaded().tree.at(&handle.path)?.node)?;
        if words::same(&now, text) {
            return Some(0.0);
        }
        Prices::of(trials, handle.lever, &handle.path).between(&now, text).map(|price| price.money)
    }

    /// What changes with it where a text takes the place of what stands at a value.
    pub fn following(trials: &Trials<'_>, lever: &Lever, path: &[String], text: &str) -> Vec<Edit> {
        let tree = &trials.loaded().tree;
        let Some(now) = tree.at(path).and_then(|here| words::text(&here.node)) else { return Vec::new() };
        let all = Follows::all(tree, lever, path).unwrap_or_default();
        let in_proportion = all.iter().filter_map(|follows| follows.edit(&now, text));
        in_proportion.chain(brought(tree, lever, path, text)).collect()
    }

    /// The change to a text: of the value, and of those that are one with it.
    pub fn edits(&self, text: &str) -> Vec<Edit> {
        let all = std::iter::once(&self.handle.path).chain(&self.shared);
        let all = all.map(|path| Edit { path: path.clone(), text: text.to_owned() });
        all.chain(self.along(text)).collect()
    }

    /// What changes with it.
    fn along(&self, text: &str) -> Vec<Edit> {
        let in_proportion = self.follows.iter().filter_map(|follows| follows.edit(&self.now, text));
        in_proportion.chain(self.brings.get(text).into_iter().flatten().cloned()).collect()
    }

    /// The change to a step.
    pub fn change(&self, trials: &Trials<'_>, step: &Step, limit: Option<String>) -> Change {
        let edit = Edit { path: self.handle.path.clone(), text: step.text.clone() };
        let at = Engine::place_of(trials.loaded(), &edit.path.join("."));
        let lever = self.handle.lever;
        Change {
            title: lever.title.as_ref().map(ToString::to_string).unwrap_or_default(),
            edit,
            along: self.along(&step.text),
            shared: self.shared.clone(),
            now: self.now.clone(),
            limit,
            price: step.price,
            at,
            caution: lever.caution.as_ref().map(ToString::to_string),
        }
    }
}

/// The paths of all texts that stand at one place of a file.
fn at_place(here: &Placed, span: Span, path: &mut Vec<String>, found: &mut Vec<Vec<String>>) {
    let mut step = |key: String, value: &Placed| {
        path.push(key);
        at_place(value, span, path, found);
        path.pop();
    };
    match &here.node {
        node if here.span == span && words::text(node).is_some() => found.push(path.clone()),
        Node::Map(entries) => entries.iter().for_each(|entry| step(entry.key.clone(), &entry.value)),
        Node::Seq(items) => items.iter().enumerate().for_each(|(index, item)| step(index.to_string(), item)),
        _ => {}
    }
}

/// The prices of a lever on a value.
struct Prices<'a> {
    lever: &'a Lever,
    facts: &'a Facts,
    /// What they are multiplied by, in SI; none where that is not known.
    amount: Option<f64>,
}

impl<'a> Prices<'a> {
    fn of(trials: &'a Trials<'_>, lever: &'a Lever, path: &[String]) -> Prices<'a> {
        let facts = &trials.base().facts;
        let amount = match &lever.per {
            None => Some(1.0),
            Some(per) => {
                let subjects = (1..=path.len()).rev().map(|end| path.get(..end).unwrap_or_default().join("."));
                let mut subjects = subjects.map(|path| Subject::from(path.as_str())).chain([Subject::home()]);
                subjects.find_map(|subject| Some(facts.get(&subject, per)?.value.number()?.si))
            }
        };
        Prices { lever, facts, amount }
    }

    /// The price of a step by a fact, which rests on rates and quantities.
    fn worked_out(&self, text: &str) -> Option<f64> {
        let (quantity, subject) = priced_by(self.lever)?;
        let subject = Subject::from(subject.replace(STEP, text).as_str());
        Some(self.facts.get(&subject, quantity)?.value.number()?.si)
    }

    /// What it costs to have one text in place of another.
    fn between(&self, now: &str, then: &str) -> Option<Price> {
        let ((from, is_near), (to, is_near_too)) = (self.price(now)?, self.price(then)?);
        Some(Price { money: (to - from) * self.amount?, is_near: is_near || is_near_too })
    }

    /// The price of a text, and whether it lies between two sizes.
    fn price(&self, text: &str) -> Option<(f64, bool)> {
        if let Some((_, price)) = self.lever.prices.iter().find(|(step, _)| words::same(step, text)) {
            return Some((size(price)?.si, false));
        }
        if let Some(price) = self.worked_out(text) {
            return Some((price, true));
        }
        let wanted = size(text)?.si;
        let known = self.lever.prices.iter().filter_map(|(step, price)| Some((size(step)?.si, size(price)?.si)));
        let known: Vec<(f64, f64)> = known.collect();
        if let Some((_, price)) = known.iter().find(|(size, _)| (size - wanted).abs() <= 1e-9 * wanted.abs()) {
            return Some((*price, false));
        }
        let below = known.iter().filter(|(size, _)| *size < wanted).max_by(|a, b| a.0.total_cmp(&b.0))?;
        let above = known.iter().filter(|(size, _)| *size > wanted).min_by(|a, b| a.0.total_cmp(&b.0))?;
        let share = (wanted - below.0) / (above.0 - below.0);
        Some((below.1 + share * (above.1 - below.1), true))
    }
}
