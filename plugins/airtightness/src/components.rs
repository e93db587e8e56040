//! The leakage areas that come with the plugin, read once from `components.yaml`, and those of a firm that take their
//! place.

use indexmap::IndexMap;
use mateline_model::{Pointer, Problem};
use mateline_sdk::Request;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// The file as it is embedded.
pub const TABLE: &str = include_str!("../components.yaml");

/// One row of the table.
pub use mateline_model::home::{Leakage as Component, Per};

/// Every row, by id, in the order of the file.
pub fn components() -> &'static IndexMap<String, Component> {
    static COMPONENTS: OnceLock<IndexMap<String, Component>> = OnceLock::new();
    COMPONENTS.get_or_init(|| read().unwrap_or_default())
}

/// Reads the embedded file. It does not change after the build, and a test holds that it can be read.
fn read() -> Result<IndexMap<String, Component>, serde_yaml::Error> {
    serde_yaml::from_str(TABLE)
}

/// The rows that settings put in place of the plugin's own.
pub fn replaced(request: &Request<'_>) -> BTreeMap<String, Component> {
    let tables = request.settings.iter().filter_map(|(_, settings)| settings.get("components")?.as_object());
    let rows = tables.flatten();
    rows.filter_map(|(id, row)| Some((id.clone(), serde_json::from_value(row.clone()).ok()?))).collect()
}

/// Rows of a firm that stand for nothing, or cannot be.
pub(crate) fn problems(request: &Request<'_>) -> Vec<Problem> {
    let mut found = Vec::new();
    for (id, row) in replaced(request) {
        let path = format!("leakage.{id}");
        let mut tell = |field: &str, message: String| {
            let at = Pointer::new(format!("{path}{field}"));
            found.push(Problem { at, also: Vec::new(), message, help: None });
        };
        let Some(own) = components().get(&id) else {
            tell("", format!("the table of leakage areas has no row '{id}', so that nothing reads this one"));
            continue;
        };
        if own.per != row.per {
            tell(".per", format!("{path}.per is {}, where the row is per {}", word(row.per), word(own.per)));
        }
        if row.leakage.si() < 0.0 {
            tell(".leakage", format!("{path}.leakage is {}; it cannot be negative", row.leakage));
        }
        if !(row.spread > 1.0 && row.spread <= 10.0) {
            tell(".spread", format!("{path}.spread is {}; it lies above 1 and up to 10", row.spread));
        }
    }
    found
}

fn word(per: Per) -> &'static str {
    match per {
        Per::Metre => "m",
        Per::SquareMetre => "m²",
        Per::Each => "each",
    }
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
            assert!(matches!(&*row.provenance, "from memory" | "common practice, no source"), "{id}");
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
