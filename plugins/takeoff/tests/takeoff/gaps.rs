//! The marriage gap: sides up to 1 in apart touch, and the gap makes no surfaces of its own.

use crate::{Found, built, crawl, run, samples};
use serde_json::{Value, json};

fn module(level: u32, x: &str, y: &str, z: Option<&str>, size: [&str; 3]) -> Value {
    let mut at = json!({ "x": x, "y": y });
    if let Some(z) = z {
        at["z"] = json!(z);
    }
    json!({ "level": level, "at": at, "size": { "x": size[0], "y": size[1], "z": size[2] } })
}

const SIZE: [&str; 3] = ["10 m", "4 m", "3 m"];

/// Half an inch between A and B: the surfaces are those of boxes that touch, the contact is the whole face, and only
/// the footprint is larger, by 10 m times 12.7 mm.
#[test]
fn half_an_inch_is_a_contact() {
    let b = module(1, "0 m", "4012.7 mm", None, SIZE);
    let found = Found::of(built(json!({ "A": module(1, "0 m", "0 m", None, SIZE), "B": b }), crawl()));
    found.surfaces(&[
        ("ceiling-attic-up", 80.0),
        ("floor-crawl-space-down", 80.0),
        ("wall-outdoor-east", 24.0),
        ("wall-outdoor-north", 30.0),
        ("wall-outdoor-south", 30.0),
        ("wall-outdoor-west", 24.0),
    ]);
    found.seams(&[("A-B", 30.0, 26.0)]);
    found.close("seams.A-B", "gap", 0.0127);
    found.close("home", "footprint_area", 80.127);
    found.close("home", "foundation_perimeter", 36.0254);
    found.close("home", "volume", 240.0);
}

/// A gap of 1 in is one, a gap of 1 1/64 in is none.
#[test]
fn the_gap_ends_at_one_inch() {
    let with = |y: &str| json!({ "A": module(1, "0 m", "0 m", None, SIZE), "B": module(1, "0 m", y, None, SIZE) });
    assert!(run(&samples::home(json!({ "modules": with("4025.4 mm") }))).problems.is_empty());
    let findings = run(&samples::home(json!({ "modules": with("4025.796875 mm") })));
    let messages: Vec<&str> = findings.problems.iter().map(|problem| problem.message.as_str()).collect();
    assert_eq!(messages, ["module B touches no other module"]);
}

/// Four boxes with gaps both ways and one crosswise over where they meet, half an inch above them: its underside is
/// covered where the gaps cross too, and no sliver is left anywhere.
#[test]
fn gaps_that_cross_leave_no_slivers() {
    let modules = json!({
        "A": module(1, "0 m", "0 m", None, SIZE),
        "B": module(1, "10.01 m", "0 m", None, SIZE),
        "C": module(1, "0 m", "4.01 m", None, SIZE),
        "D": module(1, "10.02 m", "4.01 m", None, SIZE),
        "E": module(2, "5 m", "2 m", Some("3.0127 m"), ["10 m", "4 m", "3 m"]),
    });
    let found = Found::of(built(modules, crawl()));
    let names: Vec<&str> = found.0.subjects().filter(|s| s.section() == "surfaces").map(|s| s.id()).collect();
    let wanted = [
        "ceiling-attic-up",
        "floor-crawl-space-down",
        "wall-outdoor-east",
        "wall-outdoor-north",
        "wall-outdoor-south",
        "wall-outdoor-west",
    ];
    assert_eq!(names, wanted);
    found.close("seams.A-E", "gap", 0.0127);
    // Of 10 m by 4 m, A has a corner of 5 m by 2 m under E.
    found.close("seams.A-E", "contact_area", 10.0);
    // The two edges of that corner under E's outside cross; the two at the gaps are inside.
    found.close("seams.A-E", "seam_length", 7.0);
    found.close("seams.A-B", "contact_area", 12.0);
}

/// Sides drawn 1 mm into one another touch; the gap is then zero.
#[test]
fn a_millimetre_of_overlap_is_a_contact() {
    let b = module(1, "0 m", "3.999 m", None, SIZE);
    let found = Found::of(built(json!({ "A": module(1, "0 m", "0 m", None, SIZE), "B": b }), crawl()));
    found.seams(&[("A-B", 30.0, 26.0)]);
    found.close("seams.A-B", "gap", 0.0);
}
