//! What is missing is said, and what does not depend on it is still found.

use crate::{Found, built, crawl, pair};
use serde_json::{Value, json};

fn without(mut home: Value, key: &str) -> Value {
    home.as_object_mut().unwrap().remove(key);
    home
}

#[test]
fn no_enclosure() {
    let found = Found::of(without(built(pair(), crawl()), "enclosure"));
    found.close("home", "volume", 240.0);
    found.close("modules.A", "exposed_area", 134.0);
    found.seams(&[("A-B", 30.0, 26.0)]);
    let because = "the home has no enclosure: nothing says what stands on the boxes";
    let missing = found.missing("home");
    for quantity in
        ["floor_area", "floor_area_above_grade", "interior_volume", "interior_envelope_area", "exterior_envelope_area"]
    {
        assert!(missing.contains(&(format!("takeoff.{quantity}"), because.to_owned())), "{quantity}: {missing:?}");
    }
    assert_eq!(found.missing("modules.A"), [("takeoff.weight".to_owned(), because.to_owned())]);
}

#[test]
fn no_foundation() {
    let found = Found::of(built(pair(), json!({})));
    found.close("home", "volume", 240.0);
    found.close("home", "floor_area_above_grade", 72.96);
    found.close("seams.A-B", "contact_area", 30.0);
    found.close("assemblies.wall", "mate_line_ends", 2.0);
    let because = "the home has no foundation".to_owned();
    assert_eq!(found.missing("seams.A-B"), [("takeoff.seam_length".to_owned(), because.clone())]);
    let missing = found.missing("home");
    for quantity in
        ["mate_line_length", "floor_area", "interior_volume", "interior_envelope_area", "exterior_envelope_area"]
    {
        assert!(missing.contains(&(format!("takeoff.{quantity}"), because.clone())), "{quantity}: {missing:?}");
    }
}

#[test]
fn a_basement_without_its_height_or_walls() {
    let of = |foundation: Value| Found::of(built(pair(), json!({ "foundation": foundation })));
    let found = of(json!({ "kind": "basement", "wall": "concrete-wall", "floor": "slab" }));
    let because = "the foundation has no height".to_owned();
    for quantity in ["volume", "floor_area", "interior_volume", "exterior_envelope_area"] {
        assert!(found.missing("home").contains(&(format!("takeoff.{quantity}"), because.clone())), "{quantity}");
    }
    found.close("home", "floor_area_above_grade", 72.96);
    let found = of(json!({ "kind": "basement", "height": "2.5 m", "depth_below_grade": "2 m", "floor": "slab" }));
    let because = "the foundation has no wall assembly".to_owned();
    for quantity in ["floor_area", "exterior_envelope_area"] {
        assert!(found.missing("home").contains(&(format!("takeoff.{quantity}"), because.clone())), "{quantity}");
    }
    found.close("home", "volume", 440.0);
}

#[test]
fn people() {
    let found = Found::of(built(pair(), crawl()));
    assert!(found.missing("home").contains(&("takeoff.bedrooms".to_owned(), "the home lists no spaces".to_owned())));
    let space = |used: &str| json!({ "use": used, "in": "A", "floor_area": "12 m²", "height": "2.5 m" });
    let mut home = built(pair(), crawl());
    home["spaces"] = json!({ "first": space("bedroom"), "second": space("bedroom"), "living": space("living") });
    home["spaces"]["first"]["sleeps"] = json!(2);
    let found = Found::of(home.clone());
    found.close("home", "bedrooms", 2.0);
    let because = "spaces.second is a bedroom and does not say how many sleep there".to_owned();
    assert!(found.missing("home").contains(&("takeoff.sleepers".to_owned(), because)));
    home["spaces"]["second"]["sleeps"] = json!(1);
    Found::of(home).close("home", "sleepers", 3.0);
}

/// A weight that the factory gives stands; otherwise a density that lacks is named.
#[test]
fn weights() {
    let mut home = built(pair(), crawl());
    home["modules"]["A"]["weight"] = json!("9000 kg");
    home["materials"]["fill"].as_object_mut().unwrap().remove("density");
    let found = Found::of(home);
    found.close("modules.A", "weight", 9000.0);
    let because = "materials.fill has no density".to_owned();
    assert_eq!(found.missing("modules.B"), [("takeoff.weight".to_owned(), because)]);
}

/// Two windows of 0.6 m by 0.9 m are 1.08 m²; a door without glass, and a window of another room or of none, are none of
/// its glass.
#[test]
fn the_glass_of_a_room() {
    let of = |more: Value| {
        let mut window = json!({
            "kind": "window", "module": "A", "face": "south", "width": "0.6 m", "height": "0.9 m", "count": 2, "space": "bath"
        });
        window.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        let room = json!({ "use": "bathroom", "in": "A", "floor_area": "6 m²", "height": "2.5 m" });
        let more = json!({ "spaces": { "bath": room, "kitchen": room }, "openings": { "w": window } });
        Found::of(built(pair(), more))
    };
    of(json!({})).close("spaces.bath", "glazed_area", 1.08);
    of(json!({ "kind": "opaque-door" })).close("spaces.bath", "glazed_area", 0.0);
    for more in [json!({ "space": "kitchen" }), json!({ "space": null })] {
        let because = "no opening says that it serves bath".to_owned();
        assert_eq!(of(more).missing("spaces.bath"), [("takeoff.glazed_area".to_owned(), because)]);
    }
}
