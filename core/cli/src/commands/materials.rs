//! `mateline materials`

use crate::arguments::{Materials, When};
use crate::exit::Exit;
use crate::output;
use mateline_engine::Engine;
use mateline_engine::load::{did_you_mean, plain};
use mateline_engine::pack::{Comparator, Limit, Pack, Probe, Row};
use mateline_model::home::Material;
use mateline_model::quantity::{Quantity, UnitSystem, Units};
use mateline_plugins::FinishCategory;
use std::fmt::Write;

/// The name by which rules choose the row of a finish.
const CATEGORY: &str = "materials.category";

/// Lists materials and the categories of finishes, or those with a word in their names.
pub fn run(engine: &Engine, wanted: &Materials, colour: When) -> Exit {
    let units = wanted.units.map_or(UnitSystem::Ip, Into::into);
    let word = wanted.word.as_deref().map(plain).unwrap_or_default();
    let materials = match engine.materials() {
        Ok(materials) => materials,
        Err(bad) => return output::bad_input(&bad, colour),
    };
    let mut packs = Vec::new();
    for id in engine.packs() {
        match engine.pack(id) {
            Ok(pack) => packs.push(pack),
            Err(bad) => return output::bad_input(&bad, colour),
        }
    }
    let mut text = String::new();
    for (id, material) in &materials {
        let names = [Some(id.as_ref()), material.name.as_deref(), material.formerly.as_deref()];
        if names.into_iter().flatten().any(|name| plain(name).contains(&word)) {
            let _ = writeln!(text, "{id}: {}", entry(material, units));
        }
    }
    for (id, category) in mateline_plugins::finish_categories() {
        if plain(id).contains(&word) || category.also.iter().any(|also| plain(also).contains(&word)) {
            text.push_str(&listed(id, category, &packs, units));
        }
    }
    if text.is_empty() {
        let typed = wanted.word.as_deref().unwrap_or_default();
        let known =
            materials.keys().map(AsRef::as_ref).chain(mateline_plugins::finish_categories().keys().map(String::as_str));
        return output::refuse(&format!(
            "no material and no category has '{typed}' in its name{}",
            did_you_mean(typed, known)
        ));
    }
    output::print(&text)
}

/// A material's values and where they come from.
fn entry(material: &Material, units: UnitSystem) -> String {
    let mut parts: Vec<String> = material.name.iter().map(ToString::to_string).collect();
    let mut add = |name: &str, shown: Units, value: Option<Quantity>| {
        parts.extend(value.map(|value| format!("{name} {}", shown.show(value, units))));
    };
    add("conductivity", Units::CONDUCTIVITY, material.conductivity.map(Into::into));
    add("resistance", Units::RESISTANCE, material.resistance.map(Into::into));
    add("labelled", Units::RESISTANCE, material.labelled_resistance.map(Into::into));
    add("density", Units::DENSITY, material.density.map(Into::into));
    add("vapour resistance", Units::COUNT, material.vapour_resistance.map(Into::into));
    add("permeance", Units::PERMEANCE, material.permeance.map(Into::into));
    add("wet-cup permeance", Units::PERMEANCE, material.wet_cup_permeance.map(Into::into));
    if material.air_open == Some(true) {
        parts.push("air passes".to_owned());
    }
    parts.extend(material.formerly.iter().map(|old| format!("formerly {old}")));
    let mark = material.provenance.as_ref().map(|mark| format!(", {mark}")).unwrap_or_default();
    format!("{} ({}{mark})", parts.join("; "), material.source)
}

/// A category of finishes, with the limits that packs set for it.
fn listed(id: &str, category: &FinishCategory, packs: &[Pack], units: UnitSystem) -> String {
    let kind = mateline_plugins::finish_kind(category.kind);
    let also = if category.also.is_empty() { String::new() } else { format!("; also {}", category.also.join(", ")) };
    let mut text = format!("{id}: finish, {kind}{also}\n");
    for pack in packs {
        for rule in pack.rules.iter() {
            let (word, Comparator::AtMost(Limit::Table(table, _)) | Comparator::AtLeast(Limit::Table(table, _))) = (
                if matches!(rule.comparator, Comparator::AtMost(_)) { "at most" } else { "at least" },
                &rule.comparator,
            ) else {
                continue;
            };
            if table.by != CATEGORY {
                continue;
            }
            if let Row::Found(_, limit) = table.row(&Probe::Word(id.to_owned())) {
                let limit = rule.units.show(*limit, units);
                let _ =
                    writeln!(text, "  {}/{}: {word} {limit} ({}, {})", pack.id, rule.id, rule.source, rule.provenance);
            }
        }
    }
    text
}
