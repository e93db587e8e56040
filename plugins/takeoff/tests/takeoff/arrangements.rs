//! Three arrangements worked by hand.

use crate::metric;
use crate::{Found, built, crawl, pair};
use mateline_model::{Drawing, Origin};
use serde_json::json;

/// Two boxes side by side on a vented crawl space, 10 m by 8 m together, 3 m high.
///
/// Outside: walls 36 m · 3 m = 108 m² (30 m² south and north, 24 m² east and west), ceilings and floors 80 m² each,
/// 268 m² in all. Inside: 9.6 m · 7.6 m = 72.96 m², height 3 - 0.3 - 0.2 = 2.5 m, volume 182.4 m³, envelope
/// 2 · (9.6 + 7.6) · 2.5 + 2 · 72.96 = 231.92 m². The mate line is 10 m long and 3 m high; all of its edge, 26 m,
/// crosses the air barrier, for there is outside below it too. Two upright ends of it stand in walls.
/// The south window takes 2 · 1.5 · 1.2 = 3.6 m² off 30 m².
/// A weighs 54 · 51.5 + 40 · 48.4 + 40 · 35.4 = 6133 kg.
#[test]
fn two_boxes_on_a_crawl_space() {
    let mut home = built(pair(), crawl());
    let opening = |kind: &str, [module, face]: [&str; 2], [width, height]: [&str; 2]| {
        let mut opening = json!({ "kind": kind, "module": module, "face": face });
        opening["width"] = json!(width);
        opening["height"] = json!(height);
        opening
    };
    home["openings"] = json!({
        "w1": opening("window", ["A", "south"], ["1.5 m", "1.2 m"]),
        "d1": opening("opaque-door", ["B", "east"], ["1 m", "2 m"]),
        "s1": opening("skylight", ["B", "top"], ["1 m", "1 m"]),
    });
    home["openings"]["w1"]["count"] = json!(2);
    home["openings"]["d1"]["code_exempt"] = json!(true);
    home["openings"]["s1"]["code_exempt"] = json!(true);
    let found = Found::of(home);
    found.surfaces(&[
        ("ceiling-attic-up", 80.0),
        ("floor-crawl-space-down", 80.0),
        ("wall-outdoor-east", 24.0),
        ("wall-outdoor-north", 30.0),
        ("wall-outdoor-south", 30.0),
        ("wall-outdoor-west", 24.0),
    ]);
    found.seams(&[("A-B", 30.0, 26.0)]);
    assert_eq!(found.text("seams.A-B", "seam_kind"), "side-by-side");
    found.close("seams.A-B", "gap", 0.0);
    found.close("surfaces.wall-outdoor-south", "net_area", 26.4);
    found.close("surfaces.wall-outdoor-south", "opening_area", 3.6);
    found.close("surfaces.ceiling-attic-up", "net_area", 79.0);
    for (quantity, wanted) in [
        ("module_count", 2.0),
        ("volume", 240.0),
        ("footprint_area", 80.0),
        ("foundation_perimeter", 36.0),
        ("height", 3.0),
        ("exterior_envelope_area", 268.0),
        ("floor_area", 72.96),
        ("floor_area_above_grade", 72.96),
        ("interior_volume", 182.4),
        ("interior_envelope_area", 231.92),
        ("opening_area", 6.6),
        ("window_area", 4.6),
        ("exempt_glazing_area", 1.0),
        ("exempt_door_area", 2.0),
    ] {
        found.close("home", quantity, wanted);
    }
    for (quantity, wanted) in
        [("run_length", 36.0), ("corners", 4.0), ("mate_line_ends", 2.0), ("gross_area", 108.0), ("net_area", 102.4)]
    {
        found.close("assemblies.wall", quantity, wanted);
    }
    assert_eq!(found.text("assemblies.floor", "boundary"), "crawl-space");
    for (quantity, wanted) in [
        ("floor_area", 40.0),
        ("volume", 120.0),
        ("exposed_area", 54.0 + 80.0),
        ("weight", 6133.0),
        ("travel_width", 4.0),
        ("travel_length", 10.0),
        ("travel_height", 3.0),
    ] {
        found.close("modules.A", quantity, wanted);
    }
    found.close("openings.w1", "area", 3.6);
    assert_eq!(found.text("openings.w1", "assembly"), "wall");
    assert_eq!(found.text("openings.s1", "boundary"), "attic");
    assert_eq!(found.text("surfaces.wall-outdoor-south", "kind"), "wall");
}

/// The floor area's calculation ends in its value, and its inputs are places in the home.
#[test]
fn a_basis_can_be_followed() {
    let found = Found::of(built(pair(), crawl()));
    let fact = found.0.get(&"home".into(), "takeoff.floor_area_above_grade").unwrap();
    let last = fact.basis.steps.last().unwrap();
    assert_eq!(last.equation, "F = F1 + F2");
    let sum: f64 = last.terms.iter().map(|term| term.value.number().unwrap().si).sum();
    assert!((sum - 72.96).abs() < 1e-9);
    assert_eq!(last.result.as_ref().unwrap().value, fact.value);
    let origins: Vec<&Origin> = fact.basis.steps.iter().flat_map(|step| &step.terms).map(|term| &term.origin).collect();
    for path in ["modules.A.size.x", "modules.B.size.y", "assemblies.wall.layers.1.framed.size"] {
        assert!(origins.contains(&&Origin::Given(path.to_owned())), "{path}");
    }
    // The walls in A: 0.2 m by 18 m, less two corners that would count twice.
    let walls = fact.basis.steps.iter().find(|step| step.equation == "S = t·L − n·t²").unwrap();
    let values: Vec<f64> = walls.terms.iter().map(|term| term.value.number().unwrap().si).collect();
    assert_eq!(values, [0.2, 18.0, 2.0]);
}

/// Four boxes, two on two, over a conditioned basement 2.5 m high whose floor is 2.1 m below grade.
///
/// Outside: walls 36 · 6 = 216 m², ceilings 80 m², foundation above grade 36 · 0.4 = 14.4 m², below 36 · 2.1 = 75.6 m²,
/// its floor 80 m²: 466 m². Volume 4 · 120 + 80 · 2.5 = 680 m³. Inside: three floors of 72.96 m² = 218.88 m², volume
/// 3 · 72.96 · 2.5 = 547.2 m³, envelope 3 · 34.4 · 2.5 + 2 · 72.96 = 403.92 m².
/// Mate lines: below, A-B crosses only with its two uprights (6 m), since four boxes meet above it and the basement is
/// inside. C-D crosses at its uprights and its top, 6 + 10 m. A-C crosses along three sides, 10 + 4 + 4 m; its north
/// edge is where four boxes meet.
#[test]
fn four_boxes_over_a_basement() {
    let modules = json!({
        "A": metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]),
        "B": metric(1, [0.0, 4.0], [10.0, 4.0, 3.0]),
        "C": metric(2, [0.0, 0.0], [10.0, 4.0, 3.0]),
        "D": metric(2, [0.0, 4.0], [10.0, 4.0, 3.0]),
    });
    let foundation = json!({
        "kind": "basement", "wall": "concrete-wall", "floor": "slab", "height": "2.5 m", "depth_below_grade": "2.1 m"
    });
    let mut home = built(modules, json!({ "foundation": foundation }));
    home["openings"] = json!({
        "e1": {
            "kind": "window", "module": "foundation", "face": "south", "width": "2 m", "height": "1.2 m", "count": 3
        },
    });
    let found = Found::of(home);
    found.surfaces(&[
        ("ceiling-attic-up", 80.0),
        ("concrete-wall-ground-below-grade", 75.6),
        ("concrete-wall-outdoor-east", 3.2),
        ("concrete-wall-outdoor-north", 4.0),
        ("concrete-wall-outdoor-south", 4.0),
        ("concrete-wall-outdoor-west", 3.2),
        ("slab-ground-down", 80.0),
        ("wall-outdoor-east", 48.0),
        ("wall-outdoor-north", 60.0),
        ("wall-outdoor-south", 60.0),
        ("wall-outdoor-west", 48.0),
    ]);
    found.seams(&[("A-B", 30.0, 6.0), ("A-C", 40.0, 18.0), ("B-D", 40.0, 18.0), ("C-D", 30.0, 16.0)]);
    assert_eq!(found.text("seams.A-C", "seam_kind"), "stacked");
    for (quantity, wanted) in [
        ("volume", 680.0),
        ("exterior_envelope_area", 466.0),
        ("floor_area", 218.88),
        ("floor_area_above_grade", 145.92),
        ("interior_volume", 547.2),
        ("interior_envelope_area", 403.92),
        ("height", 6.0),
        ("window_area", 7.2),
    ] {
        found.close("home", quantity, wanted);
    }
    // Up against the boxes, 0.4 m of each window's 1.2 m is above grade: 2.4 m²; the other 4.8 m² are in window wells.
    found.close("surfaces.concrete-wall-outdoor-south", "net_area", 1.6);
    found.close("surfaces.concrete-wall-ground-below-grade", "net_area", 70.8);
    assert_eq!(found.text("openings.e1", "boundary"), "outdoor");
    found.close("assemblies.wall", "run_length", 72.0);
    found.close("assemblies.wall", "corners", 8.0);
    found.close("assemblies.wall", "mate_line_ends", 4.0);
    found.close("assemblies.concrete-wall", "run_length", 36.0);
    found.close("assemblies.concrete-wall", "corners", 4.0);
    // A weighs its walls, its floor and its ceiling: 54 · 51.5 + 40 · 48.4 + 40 · 35.4 kg.
    found.close("modules.A", "weight", 6133.0);
}

/// Two boxes on piers and a third, 4 m by 12 m, crosswise on top, 2 m over each edge.
///
/// C covers 16 m² of A and of B and leaves 24 m² of each top open; of its own underside of 48 m², 16 m² hang over air.
/// Walls: 108 m² below, 2 · (4 + 12) · 3 = 96 m² above. All: 204 + 48 + 48 + 80 + 16 = 396 m².
/// Mate line A-B: both uprights 6 m, underside 10 m, top 10 - 4 = 6 m. A-C: 4 m at each side of C, and 4 m below its
/// overhang; its north edge is inside.
#[test]
fn a_crosswise_upper_box() {
    let modules = json!({
        "A": metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]),
        "B": metric(1, [0.0, 4.0], [10.0, 4.0, 3.0]),
        "C": metric(2, [3.0, -2.0], [4.0, 12.0, 3.0]),
    });
    let mut home = built(modules, json!({ "foundation": { "kind": "piers" } }));
    home["enclosure"]["exposed_floors"] = json!("overhang");
    home["enclosure"]["lower_roofs"] = json!("roof");
    let found = Found::of(home);
    found.surfaces(&[
        ("ceiling-attic-up", 48.0),
        ("floor-outdoor-down", 80.0),
        ("overhang-outdoor-down", 16.0),
        ("roof-outdoor-up", 48.0),
        ("wall-outdoor-east", 24.0 + 36.0),
        ("wall-outdoor-north", 30.0 + 12.0),
        ("wall-outdoor-south", 30.0 + 12.0),
        ("wall-outdoor-west", 24.0 + 36.0),
    ]);
    found.seams(&[("A-B", 30.0, 22.0), ("A-C", 16.0, 12.0), ("B-C", 16.0, 12.0)]);
    found.close("home", "exterior_envelope_area", 396.0);
    // C inside: 3.6 m by 11.6 m.
    found.close("home", "floor_area", 72.96 + 41.76);
    // Ceilings inside: C's 41.76 m², and of A and B what is open above: 72.96 m² less C's 4 m by 7.6 m.
    let walls = (34.4 + 2.0 * (3.6 + 11.6)) * 2.5;
    let ceilings = 41.76 + 72.96 - 4.0 * 7.6;
    let floors = 72.96 + 2.0 * 3.6 * 1.8;
    found.close("home", "interior_envelope_area", walls + ceilings + floors);
    let Drawing::Plan { boxes, below, seams, .. } = &found.1.figures.get(1).unwrap().drawing else { panic!("no plan") };
    assert_eq!((boxes.len(), below.len(), seams.len()), (1, 2, 0));
    let Drawing::Plan { seams, .. } = &found.1.figures.first().unwrap().drawing else { panic!("no plan") };
    assert_eq!(seams.first().unwrap().line, [0.0, 4.0, 10.0, 4.0]);
    let words = &found.1.figures.first().unwrap().alternative;
    assert!(words.contains("A-B, 10 m long"), "{words}");
}

/// An L: B, 4 m by 4 m, against the west end of A's north side. Inside: the L of 10 m by 4 m and 4 m by 4 m, 0.2 m in:
/// 9.6 · 3.6 + 3.6 · 4 = 48.96 m², since the inner corner is where both walls meet. Five outside corners.
/// The mate line's west end is in one wall of A and B; its east end in A's north and B's east wall.
#[test]
fn an_inside_corner() {
    let modules = json!({
        "A": metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]),
        "B": metric(1, [0.0, 4.0], [4.0, 4.0, 3.0]),
    });
    let found = Found::of(built(modules, crawl()));
    found.close("home", "floor_area", 48.96);
    found.close("home", "foundation_perimeter", 36.0);
    found.close("home", "interior_envelope_area", 2.0 * (9.6 + 7.6) * 2.5 + 2.0 * 48.96);
    found.close("assemblies.wall", "corners", 5.0);
    found.close("assemblies.wall", "mate_line_ends", 2.0);
    found.seams(&[("A-B", 12.0, 14.0)]);
}

/// The garage stands against 9 m² of B's north face of 30 m², and against all of its east face.
#[test]
fn exceptions_take_their_part() {
    let mut home = built(pair(), crawl());
    home["enclosure"]["except"] = json!([
        { "module": "B", "face": "north", "assembly": "garage-wall", "area": "9 m²" },
        { "module": "B", "face": "east", "assembly": "garage-wall", "adjoins": "unheated" },
        { "module": "A", "face": "west", "assembly": "wall", "adjoins": "conditioned" },
    ]);
    home["openings"] = json!({
        "w1": { "kind": "window", "module": "B", "face": "north", "width": "3 m", "height": "2 m" },
        "d1": { "kind": "opaque-door", "module": "B", "face": "east", "width": "1 m", "height": "2 m" },
    });
    let found = Found::of(home);
    found.surfaces(&[
        ("ceiling-attic-up", 80.0),
        ("floor-crawl-space-down", 80.0),
        ("garage-wall-garage-north", 9.0),
        ("garage-wall-unheated-east", 12.0),
        ("wall-outdoor-east", 12.0),
        ("wall-outdoor-north", 21.0),
        ("wall-outdoor-south", 30.0),
        ("wall-outdoor-west", 12.0),
    ]);
    found.close("surfaces.wall-outdoor-north", "net_area", 15.0);
    found.close("surfaces.garage-wall-unheated-east", "net_area", 10.0);
    found.close("home", "exterior_envelope_area", 268.0 - 12.0);
    found.close("assemblies.garage-wall", "run_length", 10.0 * 0.3 + 4.0);
    assert_eq!(found.text("openings.d1", "boundary"), "unheated");
}

/// A conditioned crawl space is inside, but its floor is no floor area; a slab is on the ground.
#[test]
fn other_foundations() {
    let crawl = json!({
        "kind": "crawl-space", "conditioned": true, "wall": "concrete-wall", "floor": "slab",
        "height": "1 m", "depth_below_grade": "1 m"
    });
    let found = Found::of(built(pair(), json!({ "foundation": crawl })));
    found.close("home", "floor_area", 72.96);
    found.close("home", "volume", 240.0 + 80.0);
    found.close("home", "interior_volume", 182.4 + 72.96);
    found.close("home", "exterior_envelope_area", 108.0 + 80.0 + 36.0 + 80.0);
    let found = Found::of(built(pair(), json!({ "foundation": { "kind": "slab" } })));
    found.close("surfaces.floor-ground-down", "gross_area", 80.0);
    let cold = json!({ "kind": "basement", "conditioned": false });
    let found = Found::of(built(pair(), json!({ "foundation": cold })));
    found.close("surfaces.floor-unheated-basement-down", "gross_area", 80.0);
    found.close("home", "volume", 240.0);
}
