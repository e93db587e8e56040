//! Every problem, with its place and its numbers.

use crate::metric;
use crate::samples::home;
use crate::{built, crawl, pair, run};
use serde_json::{Value, json};

/// (path, message) of each problem, and the other places of each.
fn problems(sections: Value) -> Vec<(String, String, Vec<String>)> {
    let findings = run(&home(sections));
    assert!(findings.facts.is_empty() || findings.problems.is_empty());
    let shown = |problem: &mateline_model::Problem| {
        assert!(problem.help.is_some());
        let also = problem.also.iter().map(|pointer| pointer.path.clone()).collect();
        (problem.at.path.clone(), problem.message.clone(), also)
    };
    findings.problems.iter().map(shown).collect()
}

#[track_caller]
fn only(sections: Value, path: &str, message: &str, also: &[&str]) {
    let also = also.iter().map(|path| (*path).to_owned()).collect();
    assert_eq!(problems(sections), [(path.to_owned(), message.to_owned(), also)]);
}

fn modules(modules: Value) -> Value {
    json!({ "modules": modules })
}

#[test]
fn sizes_and_levels_all_at_once() {
    let mut a = metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]);
    a["size"]["x"] = json!("-3 ft");
    a["size"]["y"] = json!("0 ft");
    a["size"]["z"] = json!("400 ft");
    let mut b = metric(0, [0.0, 4.0], [10.0, 4.0, 3.0]);
    b["at"]["x"] = json!("1000 mi");
    b["size"]["z"] = json!("1/2 in");
    let found = problems(json!({ "units": "ip", "modules": { "A": a, "B": b } }));
    let found: Vec<(&str, &str)> = found.iter().map(|(path, message, _)| (path.as_str(), message.as_str())).collect();
    let wanted = [
        ("modules.A.size.x", "modules.A.size.x is -3 ft; a box needs a positive size"),
        ("modules.A.size.y", "modules.A.size.y is 0 ft; a box needs a positive size"),
        ("modules.A.size.z", "modules.A.size.z is 400 ft; no box is longer than 328.084 ft"),
        ("modules.B.size.z", "modules.B.size.z is 0.5 in, no more than a marriage gap of 1 in"),
        ("modules.B.at.x", "modules.B.at.x is 5280000 ft, farther than 328083.99 ft from the origin"),
        ("modules.B.level", "modules.B.level is 0; levels count from 1"),
    ];
    assert_eq!(found, wanted);
}

#[test]
fn a_level_left_out() {
    let home = modules(json!({
        "A": metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]),
        "C": metric(3, [0.0, 0.0], [10.0, 4.0, 3.0]),
    }));
    only(home, "modules.C.level", "no module is on level 2, but C is on level 3", &[]);
}

#[test]
fn an_overlap_names_both() {
    let home = modules(json!({
        "A": metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]),
        "B": metric(1, [9.0, 3.5], [10.0, 4.0, 3.0]),
    }));
    let message = "modules A and B overlap by 1 m x 0.5 m x 3 m (x, y, z)";
    only(home, "modules.B.at", message, &["modules.A.at"]);
}

#[test]
fn a_floating_box() {
    let mut c = metric(2, [0.0, 0.0], [10.0, 4.0, 3.0]);
    c["at"]["z"] = json!("4 m");
    let home = modules(json!({ "A": metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]), "C": c }));
    let message = "module C floats: its underside is at 4 m, and module A below it ends at 3 m";
    only(home, "modules.C.at", message, &["modules.A.at"]);
    let home = modules(json!({
        "A": metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]),
        "C": metric(2, [20.0, 0.0], [10.0, 4.0, 3.0]),
    }));
    let message = "module C floats: its underside is at 3 m, and no module is below it in plan";
    only(home, "modules.C.at", message, &[]);
}

#[test]
fn boxes_apart() {
    let home = modules(json!({
        "A": metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]),
        "B": metric(1, [0.0, 4.0], [10.0, 4.0, 3.0]),
        "C": metric(1, [0.0, 9.0], [10.0, 4.0, 3.0]),
    }));
    only(home, "modules.C.at", "module C touches no other module", &[]);
    // A corner is no contact.
    let home = modules(json!({
        "A": metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]),
        "B": metric(1, [10.0, 4.0], [10.0, 4.0, 3.0]),
    }));
    only(home, "modules.B.at", "module B touches no other module", &[]);
    let home = modules(json!({
        "A": metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]),
        "B": metric(1, [0.0, 4.0], [10.0, 4.0, 3.0]),
        "C": metric(1, [20.0, 0.0], [10.0, 4.0, 3.0]),
        "D": metric(1, [20.0, 4.0], [10.0, 4.0, 3.0]),
    }));
    only(home, "modules.C.at", "modules C, D touch no other module of the home", &[]);
}

#[test]
fn undersides_differ() {
    let mut b = metric(1, [0.0, 4.0], [10.0, 4.0, 3.0]);
    b["at"]["z"] = json!("0.5 m");
    let home = modules(json!({ "A": metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]), "B": b }));
    let message = "the underside of B is at 0.5 m, that of A at 0 m; the boxes of level 1 stand on one foundation";
    only(home, "modules.B.at", message, &["modules.A.at"]);
}

#[test]
fn a_box_on_a_sloped_ceiling() {
    let mut a = metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]);
    a["sloped_ceiling"] = json!({ "slope": "3/12", "rises_to": "north" });
    for z in [None, Some("3.5 m"), Some("4 m")] {
        let mut c = metric(2, [0.0, 0.0], [10.0, 4.0, 3.0]);
        if let Some(z) = z {
            c["at"]["z"] = json!(z);
        }
        let home = modules(json!({ "A": a, "C": c }));
        let message = "module C stands on module A, whose ceiling slopes";
        only(home, "modules.C.at", message, &["modules.A.sloped_ceiling"]);
    }
}

/// 200 boxes in one place: the list of overlaps ends, and says so.
#[test]
fn a_crowd_is_cut_short() {
    let boxes = (0..200).map(|i| (format!("M{i}"), metric(1, [0.0, 0.0], [10.0, 4.0, 3.0])));
    let found = problems(modules(Value::Object(boxes.collect())));
    assert_eq!(found.len(), 101);
    assert_eq!(found.last().unwrap().1, "more modules overlap than the 100 pairs listed");
}

fn with_opening(opening: Value) -> Value {
    let mut home = built(pair(), crawl());
    home["openings"] = json!({ "w1": opening });
    home
}

fn window() -> Value {
    json!({ "kind": "window", "module": "A", "face": "south", "width": "2 m", "height": "1 m" })
}

fn changed(key: &str, value: Value) -> Value {
    let mut opening = window();
    opening[key] = value;
    with_opening(opening)
}

#[test]
fn openings_that_do_not_fit() {
    let of = "the exposed part of the south face of module A";
    let message = format!("openings.w1 takes 12 m of width, but {of} is 10 m wide");
    only(changed("count", json!(6)), "openings.w1.width", &message, &[]);
    let message = format!("openings.w1.height is 3.2 m, but {of} is 3 m high");
    only(changed("height", json!("3.2 m")), "openings.w1.height", &message, &[]);
    let message = "openings.w1 begins 9 m from the left and takes 2 m, but the face is 10 m wide";
    only(changed("from_left", json!("9 m")), "openings.w1.from_left", message, &[]);
    let message = format!("openings.w1 has its sill at 2.5 m and is 1 m high, but {of} is 3 m high");
    only(changed("sill", json!("2.5 m")), "openings.w1.sill", &message, &[]);
    let message = "openings.w1.width is -2 m; an opening has a positive size";
    only(changed("width", json!("-2 m")), "openings.w1.width", message, &[]);
    only(changed("count", json!(0)), "openings.w1.count", "openings.w1.count is 0; there is at least one", &[]);
    let message = "the north face of module A is not exposed: it meets B";
    only(changed("face", json!("north")), "openings.w1.face", message, &[]);
    only(changed("face", json!("top")), "openings.w1.face", "openings.w1 is a window in the top face", &[]);
    only(changed("kind", json!("skylight")), "openings.w1.face", "openings.w1 is a skylight in the south face", &[]);
}

#[test]
fn openings_that_do_not_fit_together() {
    let mut home =
        with_opening(json!({ "kind": "window", "module": "A", "face": "west", "width": "3.5 m", "height": "2 m" }));
    home["openings"]["w2"] = home["openings"]["w1"].clone();
    let message = "the openings in the west face of module A take 14 m², but 12 m² of it is exposed";
    only(home, "openings.w2", message, &["openings.w1"]);
    let mut home = changed("height", json!("2.5 m"));
    home["openings"]["w1"]["count"] = json!(3);
    home["enclosure"]["except"] =
        json!([{ "module": "A", "face": "south", "assembly": "garage-wall", "area": "20 m²" }]);
    let message = "the openings in the south face of module A take 15 m², but 10 m² of it is exposed beside what the \
                   exceptions cover";
    only(home, "openings.w1", message, &[]);
}

#[test]
fn openings_whose_places_meet() {
    let mut home = changed("from_left", json!("1 m"));
    home["openings"]["w1"]["sill"] = json!("1 m");
    home["openings"]["d1"] = json!({
        "kind": "opaque-door", "module": "A", "face": "south", "width": "1 m", "height": "2 m", "from_left": "2.5 m"
    });
    let message = "openings.w1 and openings.d1 overlap from 2.5 m to 3 m on the south face of module A";
    only(home.clone(), "openings.d1.from_left", message, &["openings.w1.from_left"]);
    // A window above the door meets nothing, nor does one whose height is not said.
    for sill in [json!("2 m"), Value::Null] {
        home["openings"]["w1"]["sill"] = sill.clone();
        if sill.is_null() {
            home["openings"]["w1"].as_object_mut().unwrap().remove("sill");
        }
        assert_eq!(problems(home.clone()), Vec::<(String, String, Vec<String>)>::new());
    }
}

/// B covers the right half of A's north face seen from outside: the west half.
#[test]
fn openings_on_a_mate_line() {
    let mut home = changed("from_left", json!("4.5 m"));
    home["modules"]["B"]["size"]["x"] = json!("5 m");
    home["openings"]["w1"]["face"] = json!("north");
    let message = "openings.w1 lies from 4.5 m to 6.5 m on the north face of module A, where module B meets it";
    only(home.clone(), "openings.w1.from_left", message, &["modules.B"]);
    home["openings"]["w1"]["from_left"] = json!("3 m");
    assert_eq!(problems(home).len(), 0);
}

#[test]
fn openings_in_a_foundation() {
    let basement = json!({
        "kind": "basement", "wall": "concrete-wall", "floor": "slab", "height": "2.5 m", "depth_below_grade": "2 m"
    });
    let with = |opening: Value| {
        let mut home = built(pair(), json!({ "foundation": basement }));
        home["openings"] = json!({ "e1": opening });
        home
    };
    let opening = |face: &str, width: &str, height: &str| {
        let module = "foundation";
        json!({ "kind": "window", "module": module, "face": face, "width": width, "height": height })
    };
    let message = "openings.e1 takes 9 m of width, but the east wall of the foundation is 8 m wide";
    only(with(opening("east", "9 m", "1 m")), "openings.e1.width", message, &[]);
    let message = "openings.e1.height is 2.6 m, but the east wall of the foundation is 2.5 m high";
    only(with(opening("east", "1 m", "2.6 m")), "openings.e1.height", message, &[]);
    let mut hatch = opening("bottom", "1 m", "1 m");
    hatch["kind"] = json!("hatch");
    let message = "openings.e1 is in the bottom of the foundation; its openings are in its walls";
    only(with(hatch.clone()), "openings.e1.face", message, &[]);
    hatch["module"] = json!("A");
    let message = "the bottom face of module A is not exposed: it lies over the conditioned space below";
    only(with(hatch), "openings.e1.face", message, &[]);
}

#[test]
fn exceptions_that_cannot_be() {
    let with = |except: Value| {
        let mut home = built(pair(), crawl());
        home["enclosure"]["except"] = except;
        home
    };
    let except = |face: &str| json!({ "module": "A", "face": face, "assembly": "garage-wall" });
    let message = "the north face of module A is not exposed: it meets B";
    only(with(json!([except("north")])), "enclosure.except.0.face", message, &[]);
    let mut large = except("south");
    large["area"] = json!("31 m²");
    let message = "the exceptions in the south face of module A take 31 m², but 30 m² of it is exposed";
    only(with(json!([large])), "enclosure.except.0.area", message, &[]);
    let mut none = except("south");
    none["area"] = json!("0 m²");
    let message = "enclosure.except.0.area is 0 m²; an exception has a positive area";
    only(with(json!([none])), "enclosure.except.0.area", message, &[]);
    let message = "the exceptions in the south face of module A take 60 m², but 30 m² of it is exposed";
    only(with(json!([except("south"), except("south")])), "enclosure.except.1", message, &["enclosure.except.0"]);
}

#[test]
fn seams_that_do_not_exist() {
    let with = |id: &str| {
        let mut home = built(pair(), crawl());
        home["seams"] = json!({ "default": {} });
        home["seams"][id] = json!({ "inspected": true });
        home
    };
    assert_eq!(problems(with("A-B")), []);
    assert_eq!(problems(with("B-A")), []);
    let message = "no mate line A-C was found between the modules; nearest: A-B";
    only(with("A-C"), "seams.A-C", message, &[]);
}

#[test]
fn foundations_that_cannot_be() {
    let with = |height: &str, depth: &str| {
        let foundation = json!({ "kind": "basement", "height": height, "depth_below_grade": depth });
        built(pair(), json!({ "foundation": foundation }))
    };
    let message = "foundation.height is -1 m; a space below the boxes has a height";
    only(with("-1 m", "1 m"), "foundation.height", message, &[]);
    let message = "foundation.depth_below_grade is -1 m; a floor below grade has a depth of zero or more";
    only(with("2 m", "-1 m"), "foundation.depth_below_grade", message, &[]);
    let message =
        "foundation.depth_below_grade is 3 m, more than foundation.height 2 m; the boxes would stand below grade";
    only(with("2 m", "3 m"), "foundation.depth_below_grade", message, &[]);
}
