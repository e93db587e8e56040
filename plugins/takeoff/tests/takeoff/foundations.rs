//! Boxes that stand on foundations of more than one kind, slabs, and what is below a crawl space: by hand.

use crate::{Found, built, metric, pair};
use serde_json::{Value, json};

/// A conditioned basement, 2.5 m high and 2 m below grade; what some boxes stand on instead.
fn basement(except: Value) -> Value {
    json!({ "foundation": {
        "kind": "basement", "conditioned": true, "wall": "concrete-wall", "floor": "slab", "height": "2.5 m",
        "depth_below_grade": "2 m", "except": except,
    } })
}

/// B, north of A, over a crawl space 1 m high: the basement reaches below A alone.
///
/// Volume 240 + 10·4·2.5 = 340 m³. Floor 2·(9.6·3.8) + 9.6·3.6 = 107.52 m². The basement's north wall, 10 m long, looks
/// into the crawl space over 1 m and at ground over 1.5 m; the other 18 m stand 0.5 m above grade and 2 m below.
#[test]
fn a_box_over_a_crawl_space_beside_a_basement() {
    let except = json!([{ "under": "B", "kind": "crawl-space", "height": "1 m", "depth_below_grade": "0.5 m" }]);
    let found = Found::of(built(pair(), basement(except)));
    found.close("home", "volume", 340.0);
    found.close("home", "floor_area_above_grade", 72.96);
    found.close("home", "floor_area", 107.52);
    let inner = 9.6 * 3.6 + 2.0 * (9.6 + 3.6) * 2.5;
    found.close("home", "interior_volume", 72.96 * 2.5 + 9.6 * 3.6 * 2.5);
    found.close("home", "interior_envelope_area", inner + 36.48 + 72.96 + 34.4 * 2.5);
    for (surface, area) in [
        ("ceiling-attic-up", 80.0),
        ("concrete-wall-crawl-space-north", 10.0),
        ("concrete-wall-ground-below-grade", 18.0 * 2.0 + 10.0 * 1.5),
        ("concrete-wall-outdoor-south", 5.0),
        ("concrete-wall-outdoor-east", 2.0),
        ("concrete-wall-outdoor-west", 2.0),
        ("floor-crawl-space-down", 40.0),
        ("slab-ground-down", 40.0),
    ] {
        found.close(&format!("surfaces.{surface}"), "gross_area", area);
    }
    found.close("home", "exterior_envelope_area", 80.0 + 10.0 + 51.0 + 9.0 + 40.0 + 40.0 + 36.0 * 3.0);
    // Two uprights, the top, and the bottom edge, where the air barrier leaves B's floor for the basement's wall.
    found.close("seams.A-B", "seam_length", 3.0 + 3.0 + 10.0 + 10.0);
}

/// What lies on the underside of a box on another foundation is named under `enclosure.except`.
#[test]
fn an_underside_of_its_own() {
    let except = json!([{ "under": "B", "kind": "piers", "height": "1 m" }]);
    let mut home = built(pair(), basement(except));
    home["enclosure"]["except"] = json!([{ "module": "B", "face": "bottom", "assembly": "overhang" }]);
    let found = Found::of(home);
    found.close("surfaces.overhang-outdoor-down", "gross_area", 40.0);
    // Below open air the basement's north wall stands above grade as on the other sides.
    found.close("surfaces.concrete-wall-outdoor-north", "gross_area", 5.0);
    found.close("surfaces.concrete-wall-ground-below-grade", "gross_area", 28.0 * 2.0);
}

/// A slab beside a basement: the wall between them holds ground to its top. A basement of another depth has no wall but
/// what lies below the shallower floor.
#[test]
fn other_neighbours() {
    let slab = json!([{ "under": "B", "kind": "slab" }]);
    let found = Found::of(built(pair(), basement(slab)));
    found.close("surfaces.concrete-wall-ground-below-grade", "gross_area", 18.0 * 2.0 + 10.0 * 2.5);
    found.close("surfaces.floor-ground-down", "gross_area", 40.0);
    let deeper = json!([{ "under": "B", "kind": "basement", "height": "3 m", "depth_below_grade": "2.5 m" }]);
    let found = Found::of(built(pair(), basement(deeper)));
    found.close("home", "volume", 240.0 + 40.0 * 2.5 + 40.0 * 3.0);
    found.close("surfaces.concrete-wall-ground-below-grade", "gross_area", 18.0 * 2.0 + 18.0 * 2.5 + 10.0 * 0.5);
    found.close("surfaces.slab-ground-down", "gross_area", 80.0);
    // Walls inside on three sides of each: 9.6 by 3.8 m.
    found.close("home", "floor_area", 4.0 * 9.6 * 3.8);
    found.close("seams.A-B", "seam_length", 16.0);
}

/// A slab is cast on the site: it is in no weight, and the floor of no upper box. The others weigh as by hand: walls
/// 18·3 m² of 51.5 kg/m², ceiling 40 m² of 35.4.
#[test]
fn a_slab_travels_with_no_box() {
    let mut home = built(pair(), json!({ "foundation": { "kind": "slab" } }));
    home["enclosure"]["floors"] = json!("slab");
    let found = Found::of(home.clone());
    found.close("modules.A", "weight", 54.0 * 51.5 + 40.0 * 35.4);
    home["modules"]["C"] = metric(2, [0.0, 0.0], [10.0, 4.0, 3.0]);
    let found = Found::of(home.clone());
    let missing = found.missing("modules.C");
    assert!(missing.iter().any(|(quantity, because)| {
        quantity == "takeoff.weight" && because.contains("nothing says what the floor of C is")
    }));
    home["enclosure"]["exposed_floors"] = json!("overhang");
    // The floor between the boxes has the layers inside the face of the box: 48.4 kg/m² without the foam.
    let found = Found::of(home);
    found.close("modules.C", "weight", 28.0 * 3.0 * 51.5 + 40.0 * (35.4 + 48.4));
}

/// The covered ground of a crawl space inside the envelope needs no floor assembly: the envelope closes with it.
#[test]
fn covered_ground_closes_the_envelope() {
    let foundation = json!({
        "kind": "crawl-space", "conditioned": true, "wall": "concrete-wall", "height": "1 m", "depth_below_grade": "0.5 m",
    });
    let bare = Found::of(built(pair(), json!({ "foundation": foundation })));
    assert!(bare.missing("home").iter().any(|(_, because)| because == "the foundation has no floor assembly"));
    let mut covered = foundation;
    covered["ground_cover"] = json!("10 mil");
    let found = Found::of(built(pair(), json!({ "foundation": covered })));
    found.close("home", "exterior_envelope_area", 36.0 * 3.0 + 80.0 + 36.0 * 1.0 + 80.0);
}

/// Who sleeps in a room is known by their ages alone.
#[test]
fn ages_say_how_many_sleep() {
    let space =
        json!({ "use": "bedroom", "in": "A", "floor_area": "12 m²", "height": "2.4 m", "sleeper_ages": [7, 9] });
    let home = built(pair(), json!({ "foundation": { "kind": "crawl-space" }, "spaces": { "room": space } }));
    Found::of(home).close("home", "sleepers", 2.0);
}
