//! The table of soils that comes with the plugin, read once from `soils.yaml`.

use indexmap::IndexMap;
use mateline_model::home::Soil;
use mateline_model::quantity::{Pressure, Ratio};
use serde::Deserialize;
use std::sync::OnceLock;

/// The file as it is embedded.
pub const TABLE: &str = include_str!("../soils.yaml");

/// A value of the table with its own source and mark.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Marked<T> {
    /// The value.
    pub value: T,
    /// Where it comes from.
    pub source: String,
    /// How sure it is.
    pub provenance: String,
}

impl<T> Marked<T> {
    /// Source and mark in one text.
    pub fn origin(&self) -> String {
        format!("{} ({})", self.source, self.provenance)
    }
}

/// One soil.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SoilRow {
    /// Its name in a sentence.
    pub name: String,
    /// Growth when dug, over the volume in the ground.
    pub swell: Marked<Ratio>,
    /// Volume after compaction over the volume in the ground.
    pub compacted: Marked<Ratio>,
    /// Horizontal run of a safe side for 1 of rise.
    pub run: Marked<Ratio>,
    /// Presumptive bearing value.
    pub bearing: Marked<Pressure>,
    /// Whether it drains on its own.
    pub well_drained: Marked<bool>,
}

/// Run of a side in granular or submerged soil, the flattest class.
///
/// Source: 29 CFR 1926 Subpart P, Appendix B, class C (from memory).
pub const SUBMERGED_RUN: f64 = 1.5;

/// The row of a soil.
pub fn row(soil: Soil) -> Option<&'static SoilRow> {
    static SOILS: OnceLock<IndexMap<Soil, SoilRow>> = OnceLock::new();
    SOILS.get_or_init(|| read().unwrap_or_default()).get(&soil)
}

/// Reads the embedded file. It does not change after the build, and a test holds that it can be read.
fn read() -> Result<IndexMap<Soil, SoilRow>, serde_yaml::Error> {
    serde_yaml::from_str(TABLE)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

    use super::*;

    const ALL: [Soil; 6] = [Soil::Sand, Soil::Gravel, Soil::Silt, Soil::Loam, Soil::Clay, Soil::Rock];

    #[test]
    fn every_soil_has_a_row_with_marks() {
        assert_eq!(read().unwrap_or_else(|error| panic!("{error}")).len(), ALL.len());
        for soil in ALL {
            let row = row(soil).unwrap();
            for (source, mark) in [
                (&row.swell.source, &row.swell.provenance),
                (&row.compacted.source, &row.compacted.provenance),
                (&row.run.source, &row.run.provenance),
                (&row.bearing.source, &row.bearing.provenance),
                (&row.well_drained.source, &row.well_drained.provenance),
            ] {
                assert!(!source.is_empty());
                let marks = ["looked up", "from memory", "common practice, no source"];
                assert!(marks.iter().any(|known| mark.starts_with(known)), "{mark}");
            }
        }
    }

    /// Loose and compacted over bank, US Army FM 5-434, Table 1-1 (from memory; the sand row looked up in an excerpt).
    #[test]
    fn published_conversion_factors() {
        for (soil, loose, compacted) in
            [(Soil::Sand, 1.11, 0.95), (Soil::Loam, 1.25, 0.90), (Soil::Clay, 1.43, 0.90), (Soil::Rock, 1.50, 1.30)]
        {
            let row = row(soil).unwrap();
            assert!((1.0 + row.swell.value.si() - loose).abs() < 1e-12, "{soil:?}");
            assert!((row.compacted.value.si() - compacted).abs() < 1e-12, "{soil:?}");
        }
    }

    /// 29 CFR 1926 Subpart P, Appendix B (from memory): class B 1:1, class C 1 1/2:1, stable rock upright.
    #[test]
    fn published_side_slopes() {
        for (soil, run) in
            [(Soil::Clay, 1.0), (Soil::Silt, 1.0), (Soil::Sand, 1.5), (Soil::Gravel, 1.5), (Soil::Rock, 0.0)]
        {
            assert_eq!(row(soil).unwrap().run.value.si(), run, "{soil:?}");
        }
        assert_eq!(SUBMERGED_RUN, 1.5);
    }
}
