//! Sloped ceilings, worked by hand.

use crate::metric;
use crate::{Found, built, crawl};
use serde_json::{Value, json};

fn rising(at: [f64; 2], side: &str) -> Value {
    let mut module = metric(1, at, [10.0, 4.0, 3.0]);
    module["sloped_ceiling"] = json!({ "slope": "3/12", "rises_to": side });
    module
}

fn compact(modules: Value) -> Value {
    let mut home = built(modules, crawl());
    home["enclosure"]["ceilings"] = json!("roof");
    home
}

/// Two boxes whose ceilings rise 1 m towards a common ridge. Both high sides, 10 m by 4 m, cover one another; each end
/// is 12 + 2 m²; each roof 10 m by √17 m. The mate line's edge: uprights of 4 m, ridge and underside of 10 m.
/// Inside, each floor is 9.6 m by 3.8 m. Clear height at the low side 3 - 0.3 - 0.2·√17/4; above it the ceiling rises
/// by 1/4 of the distance from the low side, on average (0.2 + 4)/2 m.
#[test]
fn a_ridge() {
    let found = Found::of(compact(json!({ "A": rising([0.0, 0.0], "north"), "B": rising([0.0, 4.0], "south") })));
    let root = 17f64.sqrt();
    found.surfaces(&[
        ("floor-crawl-space-down", 80.0),
        ("roof-outdoor-up", 20.0 * root),
        ("wall-outdoor-east", 28.0),
        ("wall-outdoor-north", 30.0),
        ("wall-outdoor-south", 30.0),
        ("wall-outdoor-west", 28.0),
    ]);
    found.seams(&[("A-B", 40.0, 28.0)]);
    found.close("home", "volume", 280.0);
    found.close("home", "height", 4.0);
    found.close("modules.A", "travel_height", 4.0);
    let height = 2.7 - 0.2 * root / 4.0;
    found.close("home", "interior_volume", 2.0 * 9.6 * 3.8 * (height + 2.1 / 4.0));
    // Low sides 9.6 m by (height + 0.05 m); ends 3.8 m by (height + 0.525 m).
    let walls = 2.0 * 9.6 * (height + 0.05) + 4.0 * 3.8 * (height + 0.525);
    let area = walls + 2.0 * 9.6 * 3.8 * (1.0 + root / 4.0);
    found.close("home", "interior_envelope_area", area);
}

/// End to end, both rising north: the common end is 12 + 2 m², its top edge as long as the slope.
#[test]
fn end_to_end() {
    let found = Found::of(compact(json!({ "A": rising([0.0, 0.0], "north"), "B": rising([10.0, 0.0], "north") })));
    found.seams(&[("A-B", 14.0, 4.0 + 3.0 + 4.0 + 17f64.sqrt())]);
    found.close("surfaces.wall-outdoor-east", "gross_area", 14.0);
    found.close("surfaces.wall-outdoor-north", "gross_area", 80.0);
}

/// End to end, one rising north and one south: the common part is below both, 12 + 1 m², its top edge a V upside down;
/// each leaves a triangle of 1 m² open over the other's low half.
#[test]
fn end_to_end_against_one_another() {
    let found = Found::of(compact(json!({ "A": rising([0.0, 0.0], "north"), "B": rising([10.0, 0.0], "south") })));
    found.seams(&[("A-B", 13.0, 4.0 + 3.0 + 3.0 + 17f64.sqrt())]);
    found.close("surfaces.wall-outdoor-east", "gross_area", 14.0 + 1.0);
    found.close("surfaces.wall-outdoor-west", "gross_area", 14.0 + 1.0);
}

/// A sloped box beside a flat one of its low height, high side to it: 10 m by 1 m of the high side stay open, and both
/// the flat top and the high side meet the outside along the mate line.
#[test]
fn a_high_side_over_a_flat_box() {
    let modules = json!({ "A": rising([0.0, 0.0], "north"), "B": metric(1, [0.0, 4.0], [10.0, 4.0, 3.0]) });
    let found = Found::of(compact(modules));
    found.seams(&[("A-B", 30.0, 26.0)]);
    found.close("surfaces.wall-outdoor-north", "gross_area", 10.0 + 30.0);
}

/// Beside a flat box of 3.5 m at its end: the common part is 12 + 2 m² less the triangle above 3.5 m, 2 · 0.5/2.
#[test]
fn a_gable_against_a_flat_box() {
    let modules = json!({ "A": rising([0.0, 0.0], "north"), "B": metric(1, [10.0, 0.0], [10.0, 4.0, 3.5]) });
    let found = Found::of(compact(modules));
    // Uprights 3 and 3.5 m, underside 4 m, top along the slope up to 3.5 m and level for the other 2 m.
    found.seams(&[("A-B", 13.5, 3.0 + 3.5 + 4.0 + 17f64.sqrt() / 2.0 + 2.0)]);
    found.close("surfaces.wall-outdoor-east", "gross_area", 14.0 + 0.5);
    found.close("surfaces.wall-outdoor-west", "gross_area", 14.0 + 0.5);
}

/// Four boxes, two ridges end to end: each ridge is inside at its inner end, where the triangles cover one another.
#[test]
fn two_ridges_end_to_end() {
    let found = Found::of(compact(json!({
        "A": rising([0.0, 0.0], "north"), "B": rising([0.0, 4.0], "south"),
        "C": rising([10.0, 0.0], "north"), "D": rising([10.0, 4.0], "south"),
    })));
    // A ridge: one upright of 4 m, 10 m above and below. An end: upright at the low side 3 m, 4 m below, √17 m above.
    let end = 3.0 + 4.0 + 17f64.sqrt();
    found.seams(&[("A-B", 40.0, 24.0), ("A-C", 14.0, end), ("B-D", 14.0, end), ("C-D", 40.0, 24.0)]);
    found.close("surfaces.wall-outdoor-east", "gross_area", 28.0);
}
