//! The material library that comes with the plugin, read once from `materials.yaml`.

use indexmap::IndexMap;
use mateline_model::home::{Id, Material};
use std::sync::OnceLock;

/// The file as it is embedded.
pub const TABLE: &str = include_str!("../materials.yaml");

/// Every material of the library, by id, in the order of its file.
pub fn library() -> &'static IndexMap<Id, Material> {
    static LIBRARY: OnceLock<IndexMap<Id, Material>> = OnceLock::new();
    LIBRARY.get_or_init(|| read().unwrap_or_default())
}

/// Reads the embedded file. It does not change after the build, and a test holds that it can be read.
fn read() -> Result<IndexMap<Id, Material>, serde_yaml::Error> {
    serde_yaml::from_str(TABLE)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn the_file_can_be_read() {
        let library = read().unwrap_or_else(|error| panic!("{error}"));
        assert!(library.len() > 60, "{} materials", library.len());
    }

    /// Weights and schedules need them of every material; a thermal layer needs a conductivity or a resistance.
    #[test]
    fn every_material_has_a_density_a_kind_and_a_mark() {
        use mateline_model::home::MaterialKind;
        for (id, material) in library() {
            assert!(material.density.is_some_and(|density| density.si() > 0.0), "{id}");
            assert!(material.kind.is_some() && material.provenance.is_some() && material.name.is_some(), "{id}");
            let thermal = material.conductivity.is_some() || material.resistance.is_some();
            let film = matches!(material.kind, Some(MaterialKind::Membrane | MaterialKind::Finish));
            assert!(thermal || film, "{id}");
        }
    }
}
