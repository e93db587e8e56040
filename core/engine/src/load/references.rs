//! Names that must name something: an assembly on a wall, a room a duct serves, a record that backs a finish.

use super::diagnosis::{Diagnosis, cited, did_you_mean};
use super::tree::{Node, Placed};
use mateline_model::home::{Elements, Home, Id, LayerKind};
use std::collections::BTreeSet;

/// What an id reads as where the file holds a mistake: that one is reported already.
const STAND_IN: &str = "placeholder";

/// References after which the search ends: each is held against all names for a near one.
const MOST_FOUND: usize = 200;

/// Every reference that leads nowhere.
pub fn check(home: &Home, tree: &Placed) -> Vec<Diagnosis> {
    let mut checker = Checker { tree, found: Vec::new() };
    checker.enclosure(home);
    checker.layers(home);
    checker.rooms_and_boxes(home);
    checker.systems(home);
    checker.records(home);
    checker.issues(home);
    checker.found
}

struct Checker<'a> {
    tree: &'a Placed,
    found: Vec<Diagnosis>,
}

impl Checker<'_> {
    /// `what` names the kind of thing, `also` further words that are allowed.
    fn one<T>(&mut self, path: &str, id: &str, what: &str, elements: &Elements<T>, also: &[&str]) {
        if elements.contains_key(id) || also.contains(&id) || self.found.len() >= MOST_FOUND {
            return;
        }
        let steps: Vec<String> = path.split('.').map(str::to_owned).collect();
        if id == STAND_IN && !self.reads(&steps, id) {
            return;
        }
        let known: Vec<&str> = elements.keys().map(AsRef::as_ref).collect();
        let near = did_you_mean(id, known.iter().copied().chain(also.iter().copied()));
        let message = format!("there is no {what} '{}'{near}", cited(id));
        let mut diagnosis = Diagnosis::new(self.tree.span_at(&steps), message);
        if !known.is_empty() && known.len() <= 12 && near.is_empty() {
            diagnosis = diagnosis.help(format!("name one of: {}", known.join(", ")));
        }
        self.found.push(diagnosis);
    }

    /// Whether the file holds this very text at a path, as a value or as a key.
    fn reads(&self, path: &[String], text: &str) -> bool {
        match self.tree.at(path) {
            Some(Placed { node: Node::Str(written), .. }) => written == text,
            Some(_) => path.last().is_some_and(|key| key == text),
            None => false,
        }
    }

    /// An element is known when the home holds it, or its file does (it may be one that could not be read).
    fn element<T>(&mut self, path: &str, id: &Id, section: &str, elements: &Elements<T>, also: &[&str]) {
        if self.tree.get(section).is_none_or(|section| section.value.get(id).is_none()) {
            let what = match section {
                "assemblies" => "assembly",
                section => section.strip_suffix('s').unwrap_or(section),
            };
            self.one(path, id, what, elements, also);
        }
    }

    fn enclosure(&mut self, home: &Home) {
        if let Some(enclosure) = &home.enclosure {
            let uses = [
                ("walls", Some(&enclosure.walls)),
                ("ceilings", Some(&enclosure.ceilings)),
                ("floors", Some(&enclosure.floors)),
                ("exposed_floors", enclosure.exposed_floors.as_ref()),
                ("lower_roofs", enclosure.lower_roofs.as_ref()),
            ];
            for (field, id) in uses {
                if let Some(id) = id {
                    self.element(&format!("enclosure.{field}"), id, "assemblies", &home.assemblies, &[]);
                }
            }
            for (index, except) in enclosure.except.iter().enumerate() {
                self.element(
                    &format!("enclosure.except.{index}.module"),
                    &except.module,
                    "modules",
                    &home.modules,
                    &[],
                );
                let path = format!("enclosure.except.{index}.assembly");
                self.element(&path, &except.assembly, "assemblies", &home.assemblies, &[]);
            }
        }
        if let Some(foundation) = &home.foundation {
            for (field, id) in [("wall", &foundation.wall), ("floor", &foundation.floor)] {
                if let Some(id) = id {
                    self.element(&format!("foundation.{field}"), id, "assemblies", &home.assemblies, &[]);
                }
            }
        }
    }

    fn layers(&mut self, home: &Home) {
        for (id, assembly) in &home.assemblies {
            for (index, layer) in assembly.layers.iter().enumerate() {
                let path = format!("assemblies.{id}.layers.{index}");
                let steps: Vec<String> = path.split('.').map(str::to_owned).collect();
                if !matches!(self.tree.at(&steps), Some(Placed { node: Node::Map(_), .. })) {
                    continue;
                }
                let materials = &home.materials;
                match layer.kind() {
                    Ok(LayerKind::Material(material, _)) => {
                        self.one(&format!("{path}.material"), material, "material", materials, &[]);
                    }
                    Ok(LayerKind::Framed(framing)) => {
                        let member = format!("{path}.framed.member");
                        self.one(&member, &framing.member, "material", materials, &[]);
                        self.one(&format!("{path}.framed.fill"), &framing.fill, "material", materials, &["air"]);
                    }
                    Ok(_) => {}
                    Err(message) => self.found.push(Diagnosis::new(self.tree.span_at(&steps), message)),
                }
            }
        }
    }

    fn rooms_and_boxes(&mut self, home: &Home) {
        for (id, space) in &home.spaces {
            for (index, within) in space.within.iter().enumerate() {
                let path = format!("spaces.{id}.in.{index}");
                self.element(&path, within, "modules", &home.modules, &["foundation"]);
            }
            if let Some(opens_to) = &space.opens_to {
                self.element(&format!("spaces.{id}.opens_to"), opens_to, "spaces", &home.spaces, &[]);
            }
        }
        for (id, opening) in &home.openings {
            self.element(&format!("openings.{id}.module"), &opening.module, "modules", &home.modules, &["foundation"]);
            if let Some(space) = &opening.space {
                self.element(&format!("openings.{id}.space"), space, "spaces", &home.spaces, &[]);
            }
        }
        for (id, penetration) in &home.penetrations {
            let path = format!("penetrations.{id}.module");
            self.element(&path, &penetration.module, "modules", &home.modules, &["foundation"]);
        }
        for (id, measurement) in &home.measurements {
            if let Some(module) = &measurement.module {
                self.element(&format!("measurements.{id}.module"), module, "modules", &home.modules, &[]);
            }
            for room in measurement.flows.keys() {
                self.element(&format!("measurements.{id}.flows.{room}"), room, "spaces", &home.spaces, &[]);
            }
        }
        for (id, finish) in &home.finishes {
            for (index, room) in finish.within.iter().enumerate() {
                let path = format!("finishes.{id}.in.{index}");
                self.element(&path, room, "spaces", &home.spaces, &[]);
            }
        }
    }

    fn systems(&mut self, home: &Home) {
        for (id, unit) in &home.systems.ventilation {
            let path = format!("systems.ventilation.{id}");
            for room in unit.supplies.keys() {
                self.element(&format!("{path}.supplies.{room}"), room, "spaces", &home.spaces, &[]);
            }
            for room in unit.exhausts.keys() {
                self.element(&format!("{path}.exhausts.{room}"), room, "spaces", &home.spaces, &[]);
            }
            for (duct, run) in &unit.ducts {
                if let Some(room) = &run.to {
                    self.element(&format!("{path}.ducts.{duct}.to"), room, "spaces", &home.spaces, &[]);
                }
            }
        }
    }

    /// The home's issues are all different, the revision is one of them, and what ends with an issue names one.
    fn issues(&mut self, home: &Home) {
        let steps = |path: &str| path.split('.').map(str::to_owned).collect::<Vec<_>>();
        let mut known: BTreeSet<&str> = BTreeSet::new();
        for (index, issue) in home.issues.iter().enumerate() {
            if !known.insert(issue) {
                let at = self.tree.span_at(&steps(&format!("issues.{index}")));
                self.found.push(Diagnosis::new(at, format!("'issues' lists '{}' twice", cited(issue))));
            }
        }
        let id: &str = &home.revision.id;
        if !known.is_empty() && !known.contains(id) && self.reads(&steps("revision.id"), id) {
            let diagnosis = Diagnosis::new(
                self.tree.span_at(&steps("revision.id")),
                format!("'issues' does not list this revision, '{}'", cited(id)),
            );
            self.found.push(diagnosis.help("list every issue in order, those to come among them"));
        }
        for (index, until) in
            home.waivers.iter().enumerate().filter_map(|(at, waiver)| Some((at, waiver.until.as_ref()?)))
        {
            let path = steps(&format!("waivers.{index}.until"));
            if known.contains::<str>(until) || !self.tree.at(&path).is_some_and(|written| written.node != Node::Null) {
                continue;
            }
            let message = match known.is_empty() {
                true => "'until' names an issue, and the home does not list its issues".to_owned(),
                false => format!("'issues' does not list '{}'", cited(until)),
            };
            // Only a date has two marks between its digits.
            let is_day = until.split(['-', '.', '/']).filter(|part| part.parse::<u16>().is_ok()).count() == 3;
            let help = match (is_day, known.is_empty()) {
                (true, _) => "for a day write until_date, as in until_date: 2026-12-31".to_owned(),
                (false, true) => {
                    format!("list the issues in order, as in issues: [{id}, …]; for a day write until_date: 2026-12-31")
                }
                (false, false) => {
                    let issues: Vec<&str> = home.issues.iter().map(AsRef::as_ref).take(12).collect();
                    format!("name one of: {}; for a day write until_date: 2026-12-31", issues.join(", "))
                }
            };
            self.found.push(Diagnosis::new(self.tree.span_at(&path), message).help(help));
        }
    }

    fn records(&mut self, home: &Home) {
        let mut backed: Vec<(String, &[Id])> = Vec::new();
        backed.extend(home.openings.iter().map(|(id, item)| (format!("openings.{id}"), item.evidence.as_slice())));
        backed.extend(home.finishes.iter().map(|(id, item)| (format!("finishes.{id}"), item.evidence.as_slice())));
        backed.extend(home.seams.iter().map(|(id, item)| (format!("seams.{id}"), item.evidence.as_slice())));
        let units = home.systems.ventilation.iter();
        backed.extend(units.map(|(id, item)| (format!("systems.ventilation.{id}"), item.evidence.as_slice())));
        for (path, records) in backed {
            for (index, record) in records.iter().enumerate() {
                self.one(&format!("{path}.evidence.{index}"), record, "evidence", &home.evidence, &[]);
            }
        }
    }
}
