//! The leakage areas that come with the plugin, read once from `components.yaml`.

use indexmap::IndexMap;
use mateline_model::quantity::Area;
use serde::Deserialize;
use std::sync::OnceLock;

/// One row of the table.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Component {
    /// What it is, in words.
    pub name: String,
    /// Effective leakage area at 4 Pa of one of what `per` says: the mean.
    pub leakage: Area,
    /// What the leakage is for.
    pub per: Per,
    /// Geometric standard deviation.
    pub spread: f64,
    /// Where the estimate comes from.
    pub source: String,
    /// How sure the source is.
    pub provenance: String,
}

/// What one leakage area is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum Per {
    /// A metre of joint.
    #[serde(rename = "m")]
    Metre,
    /// A square metre of surface.
    #[serde(rename = "m²")]
    SquareMetre,
    /// A piece.
    #[serde(rename = "each")]
    Each,
}

/// Every row, by id, in the order of the file.
pub fn components() -> &'static IndexMap<String, Component> {
    static COMPONENTS: OnceLock<IndexMap<String, Component>> = OnceLock::new();
    COMPONENTS.get_or_init(|| read().unwrap_or_default())
}

/// Reads the embedded file. It does not change after the build, and a test holds that it can be read.
fn read() -> Result<IndexMap<String, Component>, serde_yaml::Error> {
    serde_yaml::from_str(include_str!("../components.yaml"))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn every_row_has_a_mark_and_a_spread() {
        let rows = read().unwrap_or_else(|error| panic!("{error}"));
        assert!(rows.len() > 40, "{} rows", rows.len());
        for (id, row) in rows {
            assert!(row.spread > 1.0 && row.spread <= 4.0, "{id}");
            assert!(matches!(row.provenance.as_str(), "from memory" | "common practice, no source"), "{id}");
            assert!(row.leakage.si() >= 0.0 && !row.source.is_empty(), "{id}");
        }
    }

    /// Best estimates of ASHRAE Fundamentals' table, in cm² (from memory, not confirmed).
    #[test]
    fn handbook_values() {
        for (id, square_centimetres) in [
            ("ceiling-plain", 1.8),
            ("light-open", 10.0),
            ("flue-open", 31.0),
            ("sill-open", 4.0),
            ("sill-sealed", 0.8),
            ("ceiling-line-open", 1.5),
            ("rim", 0.1),
            ("outlet-open", 2.5),
            ("outlet-sealed", 0.15),
            ("hole-open", 6.0),
            ("hole-sealant", 2.0),
            ("door-hinged", 12.0),
            ("frame-open", 1.7),
            ("frame-sealed", 0.3),
            ("hatch-open", 30.0),
            ("hatch-sealed", 18.0),
            ("hatch-box", 4.0),
            ("window-hinged", 0.24),
            ("window-sliding", 0.65),
            ("damper-closed", 10.0),
            ("damper-open", 20.0),
            ("dryer-damper", 3.0),
            ("dryer-open", 15.0),
            ("hood-damper", 5.0),
            ("damper-gasket", 1.0),
            ("floor-plain", 2.2),
            ("wall-barrier", 0.15),
            ("wall-plain", 0.35),
        ] {
            let row = components().get(id).unwrap_or_else(|| panic!("{id}"));
            assert!((row.leakage.si() * 1e4 - square_centimetres).abs() < 1e-9, "{id}");
        }
    }
}
