//! A batt that is thicker than the members are deep: pressed, it resists less than its label says and more than its depth
//! would make of its conductivity, since pressing makes it denser. Makers print a chart of it.

use mateline_model::home::Material;
use mateline_model::quantity::{Length, ThermalResistance};

/// What a batt resists that is pressed into a depth, by its chart; none where it has none or lies there as thick as it is.
///
/// Between two rows in proportion; between the deepest row and its own thickness too; below the last row by the conductivity
/// of that row, which is on the careful side.
pub(crate) fn into(material: &Material, depth: Length) -> Option<ThermalResistance> {
    let whole = material.labelled_resistance?;
    let thickness = whole.si() * material.conductivity?.si();
    let depth = depth.si();
    if depth <= 0.0 || depth >= thickness {
        return None;
    }
    let rows = material.pressed.iter().map(|row| (row.into.si(), row.resistance.si()));
    let mut rows: Vec<(f64, f64)> = rows.filter(|(deep, _)| *deep > 0.0 && *deep < thickness).collect();
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let above = rows.iter().position(|(deep, _)| *deep >= depth).unwrap_or(rows.len());
    let (high, high_value) = rows.get(above).copied().unwrap_or((thickness, whole.si()));
    let found = match above.checked_sub(1).and_then(|below| rows.get(below)) {
        Some((low, low_value)) => low_value + (high_value - low_value) * (depth - low) / (high - low),
        // Without a chart the conductivity as given is all that is known.
        None if rows.is_empty() => return None,
        None => high_value * depth / high,
    };
    Some(ThermalResistance::from_si(found))
}
