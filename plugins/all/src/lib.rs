//! The plugins that come with mateline, in one list: the program, the tests and the benchmarks take them from here.

use mateline_model::Equation;
use mateline_model::home::{Elements, Material};
use mateline_sdk::Plugin;
use std::sync::Arc;

pub use mateline_junctions::{Nothing, Store};
pub use mateline_materials::category::{
    Category as FinishCategory, categories as finish_categories, word as finish_kind,
};
pub use mateline_weather as weather;

/// Every built-in plugin.
pub fn built_in() -> Vec<Box<dyn Plugin>> {
    built_in_with(Arc::new(Nothing))
}

/// Every built-in plugin, with a store for what takes long to solve. They find the same facts, whatever it holds. The
/// order does not matter: the engine orders them by what they read.
pub fn built_in_with(store: Arc<dyn Store>) -> Vec<Box<dyn Plugin>> {
    vec![
        Box::new(mateline_takeoff::Takeoff),
        Box::new(mateline_envelope::Envelope),
        Box::new(mateline_airtightness::Airtightness),
        Box::new(mateline_ventilation::Ventilation),
        Box::new(mateline_materials::Materials),
        Box::new(mateline_foundation::FoundationPlugin),
        Box::new(mateline_junctions::KeptJunctions { store }),
        Box::new(mateline_moisture::Moisture),
        Box::new(mateline_energy::Energy),
        Box::new(mateline_plausible::Plausible),
    ]
}

/// The plugin that takes longest, solving roughly: for searches, whose results are checked with all plugins as they are.
pub fn roughly(store: Arc<dyn Store>) -> Box<dyn Plugin> {
    Box::new(mateline_junctions::KeptJunctions { store: Arc::new(mateline_junctions::Roughly(store)) })
}

/// Every equation of the built-in plugins that is written by `equation!`.
pub fn equations() -> Vec<Equation> {
    let all = [
        mateline_airtightness::equations(),
        mateline_energy::equations(),
        mateline_envelope::equations(),
        mateline_foundation::equations(),
        mateline_junctions::equations(),
        mateline_materials::equations(),
        mateline_moisture::equations(),
        mateline_takeoff::equations(),
        mateline_ventilation::equations(),
    ];
    all.concat()
}

/// The tables that come with the plugins, the name and text of each.
pub const TABLES: &[(&str, &str)] = &[
    ("categories.yaml", mateline_materials::category::TABLE),
    ("components.yaml", mateline_airtightness::components::TABLE),
    ("compounds.yaml", mateline_materials::compound::TABLE),
    ("materials.yaml", mateline_envelope::TABLE),
    ("soils.yaml", mateline_foundation::soil::TABLE),
    ("substances.yaml", mateline_materials::substance::TABLE),
];

/// The material library that lies beneath a home's own materials.
pub fn materials() -> &'static Elements<Material> {
    mateline_envelope::library()
}
