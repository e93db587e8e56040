//! Sections that are hard to solve: many rectangles, and materials that conduct very differently.

use crate::support::{because, close, home, only, run, si};
use mateline_conduction::section::{Environment, Part, Rect, Section, Surface};
use mateline_conduction::solution::{Accuracy, solve, solve_both};
use serde_json::{Value, json};

/// Numbers between 0 and 1, the same in every run.
fn drawn(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed;
    move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// A rectangle cut into so many, to the millimetre, one cut after another.
fn cut(rect: Rect, pieces: usize, next: &mut impl FnMut() -> f64, out: &mut Vec<Rect>) {
    let share = 0.15 + 0.7 * next();
    let upright = next() < rect.width() / (rect.width() + rect.height());
    let millimetres = |at: f64| (at * 1e3).round() / 1e3;
    let (x, y) = (millimetres(rect.left + rect.width() * share), millimetres(rect.low + rect.height() * share));
    let room = if upright { (x - rect.left).min(rect.right - x) } else { (y - rect.low).min(rect.high - y) };
    if pieces < 2 || room < 0.002 {
        return out.push(rect);
    }
    let first = (1 + ((pieces - 1) as f64 * next()) as usize).min(pieces - 1);
    let (a, b) = match upright {
        true => (Rect { right: x, ..rect }, Rect { left: x, ..rect }),
        false => (Rect { high: y, ..rect }, Rect { low: y, ..rect }),
    };
    cut(a, first, next, out);
    cut(b, pieces - first, next, out);
}

/// These rectangles with conductivities between two, evenly by their logarithms, warm below and cold above.
fn section(rects: &[Rect], (low, high): (f64, f64), next: &mut impl FnMut() -> f64) -> Section {
    let (width, height) = rects.iter().fold((0.0_f64, 0.0_f64), |(w, h), rect| (w.max(rect.right), h.max(rect.high)));
    let part = |rect: &Rect| Part { rect: *rect, conductivity: low * (high / low).powf(next()), name: String::new() };
    let surface = |y: f64, environment, resistance| Surface {
        rect: Rect::new(0.0, y, width, y),
        environment,
        resistance,
        watched: true,
    };
    let environment = |name: &str, is_inside| Environment { name: name.to_owned(), is_inside };
    Section {
        parts: rects.iter().map(part).collect(),
        surfaces: vec![surface(0.0, 0, 0.13), surface(height, 1, 0.04)],
        environments: vec![environment("warm", true), environment("cold", false)],
    }
}

/// A lower and an upper bound of L2D from first principles. Sheets that let no heat through, laid upwards along every edge,
/// can only lower the flow: columns side by side, each in series. Sheets of one temperature, laid across at every edge, can
/// only raise it: rows one behind the other, each of its parts side by side.
fn bounds(section: &Section) -> (f64, f64) {
    let edges = |of: fn(&Rect) -> [f64; 2]| {
        let mut all: Vec<f64> = section.parts.iter().flat_map(|part| of(&part.rect)).collect();
        all.sort_by(f64::total_cmp);
        all.dedup_by(|next, kept| *next - *kept < 1e-9);
        all
    };
    let (x, y) = (edges(|rect| [rect.left, rect.right]), edges(|rect| [rect.low, rect.high]));
    let at = |x: f64, y: f64| {
        let holds = |part: &&Part| part.rect.left < x && x < part.rect.right && part.rect.low < y && y < part.rect.high;
        section.parts.iter().find(holds).unwrap().conductivity
    };
    let films = 0.13 + 0.04;
    let column = |x: &[f64]| {
        let r: f64 = y.windows(2).map(|y| (y[1] - y[0]) / at((x[0] + x[1]) / 2.0, (y[0] + y[1]) / 2.0)).sum();
        (x[1] - x[0]) / (films + r)
    };
    let row = |y: &[f64]| {
        let g: f64 = x.windows(2).map(|x| (x[1] - x[0]) * at((x[0] + x[1]) / 2.0, (y[0] + y[1]) / 2.0)).sum();
        (y[1] - y[0]) / g
    };
    let width = x.last().unwrap() - x[0];
    (x.windows(2).map(column).sum(), 1.0 / (films / width + y.windows(2).map(row).sum::<f64>()))
}

/// 60 rectangles with 0.02 to 200 W/(m·K), at random and as a raster with four materials at every crossing, are solved within
/// the cells that a run has memory for, between the bounds from first principles.
#[test]
fn sixty_rectangles_of_very_different_conductivities_are_solved() {
    let mut next = drawn(60);
    let mut cuts = Vec::new();
    cut(Rect::new(0.0, 0.0, 1.2, 0.5), 60, &mut next, &mut cuts);
    assert!(cuts.len() > 55);
    let raster: Vec<Rect> = (0..60)
        .map(|n| (0.1 * f64::from(n % 12), 0.1 * f64::from(n / 12)))
        .map(|(x, y)| Rect::new(x, y, x + 0.1, y + 0.1))
        .collect();
    for rects in [cuts, raster] {
        let section = section(&rects, (0.02, 200.0), &mut next);
        let found = solve(&section, &Accuracy::FINE).unwrap_or_else(|error| panic!("{error}"));
        let (low, high) = bounds(&section);
        assert!(low < found.l2d() && found.l2d() < high, "{} between {low} and {high}", found.l2d());
        assert!(found.off() < 0.01 && found.response.balance_error < 1e-6);
    }
}

/// A raster of 2,000 rectangles of two materials, as a picture of a wall with a column in it would be: it is the same as three
/// rectangles, and no harder.
#[test]
fn a_raster_of_two_thousand_rectangles_is_what_it_shows() {
    let mut raster = Vec::new();
    for number in 0..2_000 {
        let (x, y) = (0.02 * f64::from(number % 50), 0.01 * f64::from(number / 50));
        let conductivity = if (20..24).contains(&(number % 50)) { 2.0 } else { 0.04 };
        raster.push(Part { rect: Rect::new(x, y, x + 0.02, y + 0.01), conductivity, name: String::new() });
    }
    let mut next = drawn(1);
    let rects: Vec<Rect> = raster.iter().map(|part| part.rect).collect();
    let drawn = Section { parts: raster, ..section(&rects, (1.0, 1.0), &mut next) };
    let three = [(0.0, 0.4, 0.04), (0.4, 0.48, 2.0), (0.48, 1.0, 0.04)];
    let part = |(left, right, conductivity): (f64, f64, f64)| Part {
        rect: Rect::new(left, 0.0, right, 0.4),
        conductivity,
        name: String::new(),
    };
    let plain = Section { parts: three.map(part).to_vec(), ..drawn.clone() };
    let (raster, plain) = (solve(&drawn, &Accuracy::FINE).unwrap(), solve(&plain, &Accuracy::FINE).unwrap());
    close(raster.l2d(), plain.l2d(), 0.002 * plain.l2d());
}

/// A checkerboard of copper and evacuated panels does not settle on any grid that fits: the junction says so aloud, with how
/// far it got, and everything it owes has that reason.
#[test]
fn a_section_that_is_not_solved_says_so() {
    let mut rectangles = Vec::new();
    for number in 0..25 {
        let (x, y) = (50 * (number % 5), 50 * (number / 5));
        let material = if (number % 5 + number / 5) % 2 == 0 { "copper" } else { "panel" };
        rectangles.push(json!({"x": format!("{x} mm"), "y": format!("{y} mm"), "width": "50 mm", "height": "50 mm",
            "material": material}));
    }
    let own = |conductivity: &str| json!({"conductivity": conductivity, "source": "invented"});
    let side = |y: &str, touches: &str| json!({"x": "0 m", "y": y, "width": "250 mm", "touches": touches});
    let entry = json!({"x": {"kind": "outside-corner", "length": "1 m", "rectangles": rectangles,
        "boundaries": [side("0 m", "inside"), side("250 mm", "outside")],
        "flanks": [{"u_factor": "1 W/(m²·K)", "exterior": "0.25 m"}]}});
    let mut change = only(&["outside-corner"], entry);
    change["materials"] = json!({"copper": own("400 W/(m·K)"), "panel": own("0.001 W/(m·K)")});
    let found = run(&home(change));
    assert!(found.problems.is_empty(), "{:?}", found.problems);
    let owed = ["psi", "psi_interior", "l2d", "cells", "balance_error", "refinement_change", "loss"];
    for quantity in owed.map(|name| format!("junctions.{name}")) {
        let why = because(&found, "junctions.x", &quantity);
        assert!(why.starts_with("the section of junctions.x is not solved: it does not settle"), "{quantity}: {why}");
        assert!(why.contains("L2D is ") && why.contains(" % off the one before"), "{why}");
    }
    let remark = found.remarks.iter().find(|remark| remark.at.path == "junctions.x");
    assert!(remark.is_some_and(|remark| remark.message.contains("is not solved")), "{:?}", found.remarks);
}

/// Rectangles without plane parts beside them have a heat flow and surface temperatures, and no ψ.
#[test]
fn rectangles_without_flanks() {
    let rectangle = json!({"x": "0 m", "y": "0 m", "width": "1 m", "height": "200 mm", "material": "concrete"});
    let side = |y: &str, touches: &str| json!({"x": "0 m", "y": y, "width": "1 m", "touches": touches});
    let entry = |flanks: Value| {
        let mut entry = json!({"kind": "outside-corner", "length": "1 m", "rectangles": [rectangle.clone()],
            "boundaries": [side("0 m", "inside"), side("200 mm", "outside")]});
        entry["flanks"] = flanks;
        run(&home(only(&["outside-corner"], json!({"x": entry}))))
    };
    let concrete = home(json!({})).materials["concrete"].conductivity.unwrap().si();
    let found = entry(json!([]));
    assert!(found.problems.is_empty(), "{:?}", found.problems);
    // A plane part, by hand: 1 m wide, films 0.13 and 0.04; for surfaces 0.25 inside.
    close(si(&found, "junctions.x", "junctions.l2d"), 1.0 / (0.17 + 0.2 / concrete), 1e-6);
    let factor = 1.0 - 0.25 / (0.29 + 0.2 / concrete);
    close(si(&found, "junctions.x", "junctions.surface_factor"), factor, 1e-6);
    for quantity in ["junctions.psi", "junctions.psi_interior", "junctions.loss"] {
        assert!(because(&found, "junctions.x", quantity).contains("gives rectangles but no flanks"));
    }
}

/// ψ as a difference of two sections in soil: what a concrete strip below a slab adds. Solved together it is what grids of an
/// eighth of the cell size give, by the geometric series in which the changes of the difference fall, within 0.001 W/(m·K).
#[test]
fn a_difference_of_two_sections_is_judged_by_itself() {
    let soil = |left: f64, low: f64, right: f64, high: f64, conductivity: f64| Part {
        rect: Rect::new(left, low, right, high),
        conductivity,
        name: String::new(),
    };
    let surface = |left: f64, right: f64, environment, resistance| Surface {
        rect: Rect::new(left, 0.0, right, 0.0),
        environment,
        resistance,
        watched: true,
    };
    let environment = |name: &str, is_inside| Environment { name: name.to_owned(), is_inside };
    let ground = |strip: f64| Section {
        parts: vec![
            soil(-20.0, -20.0, -0.25, 0.0, 1.5),
            soil(-0.25, -20.0, 0.25, -0.6, 1.5),
            soil(-0.25, -0.6, 0.25, 0.0, strip),
            soil(0.25, -20.0, 4.0, 0.0, 1.5),
        ],
        surfaces: vec![surface(-20.0, 0.0, 0, 0.04), surface(0.0, 4.0, 1, 2.0)],
        environments: vec![environment("outdoors", false), environment("inside", true)],
    };
    // A line at x = 0 where the surfaces meet, so that each touches its own edge.
    let (with, without) = (ground(2.0), ground(1.5));
    let (a, b, change) = solve_both(&with, &without, &Accuracy::GROUND).unwrap();
    assert!(change <= 0.001);
    let fine = Accuracy { flow: 1e-4, difference: 1e-5, flow_at_most: 1.0, most_cells: 200_000, ..Accuracy::GROUND };
    let (c, d, last) = solve_both(&with, &without, &fine).unwrap();
    assert!(c.series.len() > a.series.len() && last < change.max(1e-4));
    close(a.l2d() - b.l2d(), c.l2d() - d.l2d(), 0.001);
    assert_eq!(a.series.len(), b.series.len());
}
