//! What touches: mate lines, junctions, bearing lines and four-box corners agree on every pair of boxes.

use mateline_airtightness::budget::Budget;
use mateline_boxes::Boxes;
use mateline_foundation::plan::{bearing_lines, lowest};
use mateline_model::home::{Boundary, Home};
use mateline_model::{Facts, Subject};
use mateline_sdk::{Plugin, Request};
use mateline_takeoff::foundation::Below;
use mateline_takeoff::seams::seams;
use mateline_tests::{Copy, check_file, number};
use proptest::prelude::*;
use serde_json::{Map, Value, json};
use std::collections::BTreeSet;

/// A gap as wide as this is bridged, and a wider one is not: 1 in (common practice, no source).
const GAP: f64 = 25.4;

/// Boxes on a grid of two by two by two places, some of them empty.
#[derive(Clone, Debug)]
struct Grid {
    /// Sizes along x, y and z of the two places of each axis (mm).
    sizes: [[f64; 2]; 3],
    /// The gap along each axis (mm).
    gaps: [f64; 3],
    /// Whether a box stands at a place, x changing first.
    filled: [bool; 8],
}

fn grids() -> impl Strategy<Value = Grid> {
    let size = || (2000..6000u32).prop_map(f64::from);
    let gap = || (0..=600u32).prop_map(|tenths| f64::from(tenths) / 10.0);
    let sizes = [[size(), size()], [size(), size()], [size(), size()]];
    (sizes, [gap(), gap(), gap()], any::<[bool; 8]>()).prop_map(|(sizes, gaps, filled)| Grid { sizes, gaps, filled })
}

impl Grid {
    fn place(at: [usize; 3]) -> usize {
        at[0] + 2 * at[1] + 4 * at[2]
    }

    fn is_filled(&self, at: [usize; 3]) -> bool {
        self.filled[Grid::place(at)]
    }

    fn name(at: [usize; 3]) -> char {
        char::from(b'A' + u8::try_from(Grid::place(at)).unwrap())
    }

    fn touches(&self, axis: usize) -> bool {
        self.gaps[axis] <= GAP
    }

    fn places(&self) -> Vec<[usize; 3]> {
        let all = (0..8).map(|place| [place % 2, place / 2 % 2, place / 4]);
        all.filter(|at| self.is_filled(*at)).collect()
    }

    /// Neighbours along an axis, the lower place first.
    fn pairs(&self) -> Vec<([usize; 3], [usize; 3], usize)> {
        let beside = |(at, axis): ([usize; 3], usize)| {
            let mut other = at;
            other[axis] = 1;
            (at[axis] == 0 && self.is_filled(other)).then_some((at, other, axis))
        };
        self.places().into_iter().flat_map(|at| (0..3).map(move |axis| (at, axis))).filter_map(beside).collect()
    }

    fn home(&self) -> Home {
        let mut modules = Map::new();
        for at in self.places() {
            let mm = |axis: usize| {
                let from = if at[axis] == 0 { 0.0 } else { self.sizes[axis][0] + self.gaps[axis] };
                (format!("{from} mm"), format!("{} mm", self.sizes[axis][at[axis]]))
            };
            let [(x, dx), (y, dy), (z, dz)] = [mm(0), mm(1), mm(2)];
            let module = json!({
                "level": at[2] + 1, "at": { "x": x, "y": y, "z": z }, "size": { "x": dx, "y": dy, "z": dz },
            });
            modules.insert(Grid::name(at).to_string(), module);
        }
        let mut junctions = Map::new();
        for (a, b, axis) in self.pairs() {
            let seam = format!("{}-{}", Grid::name(a), Grid::name(b));
            let kinds: &[&str] = if axis == 2 { &["stacked-rim"] } else { &["mate-wall", "mate-roof", "mate-floor"] };
            for kind in kinds {
                let junction = json!({ "kind": kind, "seam": seam, "psi": "0.05 W/(m·K)" });
                junctions.insert(format!("{kind}-{seam}"), junction);
            }
        }
        home(modules, junctions)
    }
}

fn home(modules: Map<String, Value>, junctions: Map<String, Value>) -> Home {
    serde_json::from_value(json!({
        "home": "Test home, invented", "revision": { "id": "A", "date": "2026-10-05" },
        "site": { "place": "Nowhere", "climate_zone": "6A" }, "modules": modules, "junctions": junctions,
    }))
    .unwrap()
}

/// What each plugin says of a home.
struct Said {
    seams: BTreeSet<String>,
    junctions: BTreeSet<String>,
    bearing: BTreeSet<String>,
    corners: bool,
}

impl Said {
    fn of(home: &Home) -> Said {
        let boxes = Boxes::of(home);
        let facts = Facts::default();
        let request = Request { home, facts: &facts, settings: &[], shown: true };
        let found = mateline_junctions::Junctions.run(&request).unwrap();
        assert!(found.problems.is_empty(), "{:?}", found.problems);
        let lengths = found.facts.iter().filter(|fact| fact.quantity == "junctions.length");
        let lines = bearing_lines(&boxes, &lowest(&boxes)).into_iter().filter(|line| line.mate);
        let corner = Subject::element("leaks", "four-box-corners");
        Said {
            seams: seams(&boxes, &|_| &Below::Outside(Boundary::Outdoor)).into_iter().map(|seam| seam.id).collect(),
            junctions: lengths.map(|fact| fact.subject.id().to_owned()).collect(),
            bearing: lines
                .map(|line| {
                    let mut ids: Vec<String> =
                        line.bearing.iter().chain(&line.end_of).map(ToString::to_string).collect();
                    ids.sort();
                    ids.join("-")
                })
                .collect(),
            corners: Budget::of(&request).items.iter().any(|item| item.subject == corner),
        }
    }
}

/// Each pair of neighbours of a grid touches, for every plugin, exactly where their gap is no wider than one inch.
fn agree(grid: &Grid) -> Result<(), TestCaseError> {
    let said = Said::of(&grid.home());
    let mut touching = 0;
    let above = |at: [usize; 3]| at[2] == 0 && grid.touches(2) && grid.is_filled([at[0], at[1], 1]);
    // A box bears with its long sides, so that ends that meet make no bearing line.
    let bears = |at: [usize; 3], axis: usize| {
        let size = |axis: usize| grid.sizes[axis][at[axis]];
        axis == usize::from(size(0) >= size(1))
    };
    let lowest = grid.places().into_iter().map(|at| at[2]).min();
    for (a, b, axis) in grid.pairs() {
        let seam = format!("{}-{}", Grid::name(a), Grid::name(b));
        let touches = grid.touches(axis);
        touching += usize::from(touches);
        prop_assert_eq!(said.seams.contains(&seam), touches, "seam {}", seam);
        let has = |kind: &str| said.junctions.contains(&format!("{kind}-{seam}"));
        if axis == 2 {
            prop_assert_eq!(has("stacked-rim"), touches, "stacked-rim {}", seam);
            continue;
        }
        prop_assert_eq!(has("mate-wall"), touches, "mate-wall {}", seam);
        prop_assert_eq!(has("mate-roof"), touches && !above(a) && !above(b), "mate-roof {}", seam);
        prop_assert_eq!(has("mate-floor"), touches && Some(a[2]) == lowest, "mate-floor {}", seam);
        let bearing = touches && a[2] == 0 && (bears(a, axis) || bears(b, axis));
        prop_assert_eq!(said.bearing.contains(&seam), bearing, "bearing line {}", seam);
    }
    prop_assert_eq!(said.seams.len(), touching, "no seam but those of neighbours");
    let four = |axis: usize| {
        let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
        let at = |along: usize, place: usize| {
            let mut at = [0; 3];
            (at[axis], at[b], at[c]) = (along, place % 2, place / 2);
            at
        };
        grid.touches(b) && grid.touches(c) && (0..2).any(|along| (0..4).all(|place| grid.is_filled(at(along, place))))
    };
    prop_assert_eq!(said.corners, (0..3).any(four), "four-box corners");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn all_agree_on_what_touches(grid in grids()) {
        agree(&grid)?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(20_000))]

    #[test]
    #[ignore = "many cases"]
    fn all_agree_on_what_touches_in_many_arrangements(grid in grids()) {
        agree(&grid)?;
    }
}

/// Boxes 20 mm apart one after another: A touches B and B touches C, but A and C are 40 mm apart beside one another, and
/// do not touch by way of B.
#[test]
fn neighbours_of_a_neighbour_do_not_touch() {
    let module = |x: f64, y: f64| {
        let mm = |value: f64| format!("{value} mm");
        json!({ "level": 1, "at": { "x": mm(x), "y": mm(y) }, "size": { "x": "10 m", "y": "4 m", "z": "3 m" } })
    };
    let modules = json!({ "A": module(0.0, 0.0), "B": module(10_020.0, -2000.0), "C": module(10_040.0, 2020.0) });
    let wall = |seam: &str| json!({ "kind": "mate-wall", "seam": seam, "psi": "0.05 W/(m·K)" });
    let roof = |seam: &str| json!({ "kind": "mate-roof", "seam": seam, "psi": "0.05 W/(m·K)" });
    let junctions = json!({
        "wall-A-B": wall("A-B"), "wall-B-C": wall("B-C"), "wall-A-C": wall("A-C"),
        "roof-A-B": roof("A-B"), "roof-B-C": roof("B-C"), "roof-A-C": roof("A-C"),
    });
    let (Value::Object(modules), Value::Object(junctions)) = (modules, junctions) else { panic!("two maps") };
    let said = Said::of(&home(modules, junctions));
    let set = |names: &[&str]| names.iter().map(ToString::to_string).collect::<BTreeSet<String>>();
    assert_eq!(said.seams, set(&["A-B", "B-C"]));
    // The walls of A and B do not end together; those of B and C do at the east, to within 20 mm.
    assert_eq!(said.junctions, set(&["roof-A-B", "roof-B-C", "wall-B-C"]));
    // A and B meet with their ends.
    assert_eq!(said.bearing, set(&["B-C"]));
    assert!(!said.corners);
}

/// Heron Lane with box D set back to the north. By 25 mm it still meets C; by 26 mm, more than one inch, it does not,
/// and then nobody counts a mate line or a point where four boxes meet.
#[test]
fn heron_lane_with_a_box_26_mm_to_the_north() {
    let place = "D: {level: 2, at: {x: 0 ft, y: 13 ft 9 in}";
    let at = |y: &str| {
        let copy = Copy::with(&[(place, &format!("D: {{level: 2, at: {{x: 0 ft, y: {y}}}"))]);
        check_file(&copy.home()).unwrap_or_else(|bad| panic!("{bad}"))
    };
    let counted = [
        ("seams.C-D", "takeoff.seam_length"),
        ("junctions.mate-roof", "junctions.length"),
        ("leaks.four-box-corners", "airtightness.q50"),
    ];
    let near = at("4.216 m");
    for (subject, quantity) in counted {
        assert!(number(&near, subject, quantity) > 0.0, "{subject}");
    }
    // 44 ft.
    assert!((number(&near, "junctions.mate-roof", "junctions.length") - 13.4112).abs() < 1e-9);
    let far = at("4.217 m");
    for (subject, quantity) in counted {
        assert!(far.facts.get(&subject.into(), quantity).is_none(), "{subject}");
    }
}
