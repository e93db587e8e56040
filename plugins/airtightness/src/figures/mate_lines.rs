//! The mate lines of each level in plan, as heavy as their share of the budget. A line between boxes side by side runs
//! in the middle of their gap; one between a box and the box it stands on is drawn on the upper level, along the sides
//! where it meets the outside.

use super::line::{Line, lines};
use super::{listed, shown};
use crate::budget::{Budget, total};
use crate::item::{Item, Kind};
use crate::seams;
use mateline_boxes::Boxes;
use mateline_boxes::contact::Contact;
use mateline_model::home::Home;
use mateline_model::quantity::{Quantity, UnitSystem, Units};
use mateline_model::{Drawing, Figure, PlanBox, PlanSeam, Subject, WeighedSeam};
use mateline_sdk::Request;
use std::collections::BTreeMap;

/// One plan for each level that has mate lines, lowest first.
pub(super) fn figures(request: &Request<'_>, budget: &Budget) -> Vec<Figure> {
    let (home, boxes) = (request.home, Boxes::of(request.home));
    let whole = budget.all().ok().map(|items| total(items).si()).filter(|whole| *whole > 0.0);
    let mut levels: BTreeMap<u32, Level> = BTreeMap::new();
    for subject in seams::found(request) {
        let Some((first, second)) = seams::pair(home, subject.id()) else { continue };
        let (Some(a), Some(b)) = (boxes.find(&first), boxes.find(&second)) else { continue };
        let joins = |contact: &&Contact| {
            let (first, second) = contact.pair();
            boxes.placed.get(first) == Some(a) && boxes.placed.get(second) == Some(b)
        };
        let contact = boxes.arrangement.contacts.iter().find(joins);
        let is_stacked = contact.is_some_and(|contact| contact.axis == 2);
        let level = if is_stacked { a.level.max(b.level) } else { a.level };
        let lines = contact.map(|contact| lines(&boxes, contact)).unwrap_or_default();
        let item = budget.items.iter().find(|item| item.subject == subject);
        let flow = item.map(|item| item.q50().si());
        let weight = Weight { share: flow.zip(whole).map(|(flow, whole)| flow / whole), flow };
        levels.entry(level).or_default().add(&subject, weight, lines, home.units);
    }
    let corners = budget.items.iter().find(|item| item.kind == Kind::Seam && item.subject.section() == "leaks");
    let drawn = levels.into_iter().filter(|(_, level)| !level.seams.is_empty());
    drawn.map(|(number, level)| level.figure(number, home, corners)).collect()
}

/// What a mate line leaks, and its share of the budget.
#[derive(Clone, Copy)]
struct Weight {
    share: Option<f64>,
    flow: Option<f64>,
}

/// The mate lines of one level.
#[derive(Default)]
struct Level {
    seams: Vec<WeighedSeam>,
    words: Vec<String>,
}

impl Level {
    fn add(&mut self, subject: &Subject, weight: Weight, lines: Vec<Line>, units: UnitSystem) {
        let whole: f64 = lines.iter().map(Line::length).sum();
        for line in &lines {
            let part = line.length() / whole;
            let label = weight.flow.map(|flow| shown(flow * part, units)).unwrap_or_default();
            let side = line.side.map(|side| format!(" {side}")).unwrap_or_default();
            self.seams.push(WeighedSeam {
                seam: PlanSeam { label: format!("{}{side}", subject.id()), line: line.ends },
                share: weight.share.map_or(f64::NAN, |share| share * part),
                label,
            });
        }
        let flow = weight.flow.map_or_else(|| "leakage not known".to_owned(), |flow| shown(flow, units));
        let share = weight.share.map(|share| format!(", {}", percent(share))).unwrap_or_default();
        let undrawn = if lines.is_empty() { ", not drawn" } else { "" };
        self.words.push(format!("{}, {flow}{share}{undrawn}", subject.id()));
    }

    fn figure(self, level: u32, home: &Home, corners: Option<&Item>) -> Figure {
        let boxes = home.modules.iter().filter(|(_, module)| module.level == level).map(|(id, module)| {
            let (x, y) = (module.at.x.si(), module.at.y.si());
            PlanBox { label: id.to_string(), edges: [x, y, x + module.size.x.si(), y + module.size.y.si()] }
        });
        let corners = corners.map_or(String::new(), |item| {
            let (name, flow) = (&item.name, shown(item.q50().si(), home.units));
            format!(" Besides, on all levels: {name}, {flow}.")
        });
        Figure {
            subject: Subject::element("seams", format_args!("level-{level}")),
            key: "airtightness.mate-lines".into(),
            title: format!("Mate lines of level {level} by their share of the leakage budget"),
            alternative: format!("Flow at 50 Pa and share of the budget: {}.{corners}", listed(self.words)),
            drawing: Drawing::SeamPlan { boxes: boxes.collect(), seams: self.seams },
        }
    }
}

fn percent(share: f64) -> String {
    Units::PERCENT.show(Quantity::plain(share), UnitSystem::Si)
}
