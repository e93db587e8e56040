//! Layers against sums by hand, tables and definitions, each named where it is used. All homes are invented.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]

use mateline_films::surface::Direction;
use mateline_layers::vapour::{AIR_PERMEABILITY, Vapour};
use mateline_layers::{How, Layers, Matter};
use mateline_model::quantity::{Length, Ratio};
use mateline_model::{Home, Pointer};
use serde_json::{Value, json};

fn home(kind: &str, layers: Value) -> Home {
    let material = |kind: &str, conductivity: &str, density: &str| json!({"kind": kind, "conductivity": conductivity, "density": density, "vapour_resistance": 10, "source": "invented"});
    let home = json!({
        "home": "Test home, invented",
        "units": "si",
        "revision": {"id": "A", "date": "2026-10-05"},
        "site": {"place": "Nowhere", "climate_zone": "6A"},
        "modules": {},
        "materials": {
            "board": material("board", "0.2 W/(m·K)", "600 kg/m³"),
            "wood": material("wood", "0.12 W/(m·K)", "500 kg/m³"),
            "fibre": material("fibre-insulation", "0.04 W/(m·K)", "60 kg/m³"),
            "foam": material("foam-insulation", "0.035 W/(m·K)", "20 kg/m³"),
            "concrete": material("masonry", "2 W/(m·K)", "2400 kg/m³"),
            "steel": material("metal", "50 W/(m·K)", "7800 kg/m³"),
            "paint": {"kind": "finish", "permeance": "50 ng/(Pa·s·m²)", "source": "invented"},
            "siding": {"kind": "cladding", "resistance": "0.14 m²·K/W", "source": "invented"},
            "unkind": {"conductivity": "0.03 W/(m·K)", "source": "invented"},
            "unknown": {"source": "invented"},
        },
        "assemblies": {"one": {"kind": kind, "layers": layers}},
    });
    serde_json::from_value(home).unwrap_or_else(|error| panic!("{error}"))
}

fn look<T>(kind: &str, layers: Value, of: impl FnOnce(Layers<'_>) -> T) -> T {
    let home = home(kind, layers);
    let (id, assembly) = home.assemblies.first().unwrap();
    of(Layers::of(&home, id, assembly).unwrap())
}

fn thick(material: &str, thickness: &str) -> Value {
    json!({"material": material, "thickness": thickness})
}

fn studs(fill: &str) -> Value {
    json!({"framed": {"member": "wood", "size": "38 mm x 140 mm", "spacing": "400 mm", "fill": fill}})
}

fn inside(kind: &str, layers: Value) -> usize {
    look(kind, layers, |layers| layers.inside_face().len())
}

/// The definition: a box is measured over its framing and sheathing, masonry walls over the masonry, all else over all.
#[test]
fn the_face_of_the_box() {
    let (board, foam, concrete) = (thick("board", "11 mm"), thick("foam", "80 mm"), thick("concrete", "200 mm"));
    let ventilated = json!({"vented-cavity": "20 mm"});
    let wall = json!([board, studs("fibre"), board, foam, ventilated, board]);
    assert_eq!(inside("wall", wall), 3);
    assert_eq!(inside("wall", json!([studs("fibre"), foam, board])), 1, "insulation is no sheathing");
    assert_eq!(inside("wall", json!([studs("fibre"), studs("air"), thick("steel", "1 mm")])), 2, "nor is metal");
    assert_eq!(inside("wall", json!([studs("fibre"), ventilated, board])), 1, "nor what lies outside a cavity");
    assert_eq!(inside("wall", json!([studs("fibre"), {"air-space": "20 mm"}, board])), 1, "nor air");
    let named = json!({"material": "board", "thickness": "11 mm", "role": "continuous-insulation"});
    assert_eq!(inside("wall", json!([studs("fibre"), named])), 1, "nor a board that is said to insulate");
    assert_eq!(inside("wall", json!([studs("fibre"), thick("unkind", "25.4 mm"), board])), 2, "an inch may be");
    assert_eq!(inside("wall", json!([studs("fibre"), thick("unkind", "25.5 mm"), board])), 1, "more may not");
    assert_eq!(inside("basement-wall", json!([studs("fibre"), concrete, foam])), 2, "up to the masonry");
    assert_eq!(inside("wall", json!([studs("fibre"), concrete, foam])), 1, "a frame wall ends at its framing");
    assert_eq!(inside("mass-wall", json!([foam, board, ventilated, concrete])), 2, "no masonry inside the cavity");
    assert_eq!(inside("slab", json!([board, concrete, foam])), 3, "nothing framed: all");
}

/// `R = d/λ` by hand, 0.14/0.04 = 3.5; air by the table of ISO 6946 (from memory), 25 mm and level 0.18; what lies outside
/// a ventilated cavity, coatings: none, by the same standard.
#[test]
fn resistances() {
    let layers = json!([
        {"material": "paint"}, studs("fibre"), {"air-space": "25 mm"}, thick("siding", "9 mm"), studs("air"),
        {"vented-cavity": "20 mm"}, thick("board", "8 mm"),
    ]);
    look("wall", layers, |layers| {
        let of = |index: usize| layers.all[index].clear().map(|matter| matter.thermal().unwrap());
        let wanted = [Some(0.0), Some(3.5), Some(0.18), Some(0.14), Some(0.18), None, Some(0.0)];
        for (index, wanted) in wanted.into_iter().enumerate() {
            let found = of(index).map(|thermal| thermal.resistance.si());
            assert!((found.unwrap_or(-1.0) - wanted.unwrap_or(-1.0)).abs() < 1e-12, "layer {index}: {found:?}");
        }
        let how = |index| of(index).map(|thermal| thermal.how);
        assert_eq!(how(0), Some(How::Nothing));
        assert_eq!(how(3), Some(How::Fixed));
        assert_eq!(how(4), Some(How::AirLayer));
        assert_eq!(how(6), Some(How::Outside));
        assert!(layers.is_ventilated() && layers.closed().len() == 5 && layers.outside_framing().is_empty());
        // Drawn 20 mm deep, siding of 0.14 m²·K/W conducts 0.02/0.14.
        let siding = layers.all[3].clear().unwrap().conductivity(Length::from_si(0.02)).unwrap().unwrap();
        assert!((siding.si() - 0.02 / 0.14).abs() < 1e-12);
        assert_eq!(layers.all[2].clear().unwrap().conductivity(Length::from_si(0.02)), Ok(None));
    });
}

/// A batt has no more than its label says: R-13 is R-13 in any deeper cavity, R-19 is R-18 pressed into 5 1/2 in (published
/// compression charts, from memory). In plain layers the home says how much of it lies there, in one course or several.
#[test]
fn a_batt_in_a_deeper_cavity_has_what_its_label_says() {
    let mut batts = home("wall", json!([]));
    for (id, conductivity, label) in [("thirteen", "0.2692", "R-13"), ("nineteen", "0.3056", "R-19")] {
        let conductivity = format!("{conductivity} Btu·in/(h·ft²·°F)");
        let batt = json!({"conductivity": conductivity, "labelled_resistance": label, "source": "invented"});
        batts.materials.insert(id.parse().unwrap(), serde_json::from_value(batt).unwrap());
    }
    let find =
        |fill: &'static str, depth: Length| Matter::find(&batts, fill, Some(depth), Direction::Level, "here").unwrap();
    for (fill, size, wanted) in
        [("thirteen", 3.5, 13.0), ("thirteen", 5.5, 13.0), ("nineteen", 5.5, 18.0), ("nineteen", 9.25, 19.0)]
    {
        let depth = Length::from_si(size * 0.0254);
        let batt = find(fill, depth).between_members();
        let found = batt.thermal().unwrap().resistance.si();
        assert!((found / 0.176_110_2 - wanted).abs() < 0.01, "{fill} in {size} in: {found} m²·K/W");
        // What is drawn resists as what is computed.
        let drawn = batt.conductivity(depth).unwrap().unwrap();
        assert!((depth.si() / drawn.si() - found).abs() < 1e-9, "{fill} in {size} in");
    }
    let courses = find("thirteen", Length::from_si(7.0 * 0.0254)).thermal().unwrap().resistance.si();
    assert!((courses / 0.176_110_2 - 26.0).abs() < 0.01);
}

/// A batt that is thicker than its cavity is pressed: between two rows of its chart in proportion, below the last one by the
/// conductivity of that row, in its own thickness and beyond as its label says. By hand: half way from 7 1/4 to 9 1/4 in it
/// has, half of 5 1/2 in half of R-20.
#[test]
fn a_pressed_batt_has_what_its_chart_says() {
    let mut batts = home("wall", json!([]));
    let chart = json!([
        {"into": "9 1/4 in", "resistance": "R-30"}, {"into": "5 1/2 in", "resistance": "R-20"},
        {"into": "7 1/4 in", "resistance": "R-25"}
    ]);
    let batt = json!({"conductivity": "0.3166 Btu·in/(h·ft²·°F)", "labelled_resistance": "R-30", "source": "invented",
        "pressed": chart});
    batts.materials.insert("thirty".parse().unwrap(), serde_json::from_value(batt).unwrap());
    for (size, wanted) in
        [(9.25, 30.0), (7.25, 25.0), (8.25, 27.5), (5.5, 20.0), (2.75, 10.0), (9.4, 30.0), (9.5, 30.0), (11.25, 30.0)]
    {
        let depth = Length::from_si(size * 0.0254);
        let batt = Matter::find(&batts, "thirty", Some(depth), Direction::Level, "here").unwrap();
        let batt = batt.between_members();
        let found = batt.thermal().unwrap().resistance.si();
        assert!((found / 0.176_110_2 - wanted).abs() < 0.01, "in {size} in: {found} m²·K/W");
        let drawn = batt.conductivity(depth).unwrap().unwrap();
        assert!((depth.si() / drawn.si() - found).abs() < 1e-9, "in {size} in");
    }
}

/// By hand: 12 mm of µ 10 are 0.12 m of air; a permeance of 50 ng/(Pa·s·m²) is 2e-10/5e-11 = 4 m; air is 0.01 m.
/// Source of δ0 and of the air layer: ISO 13788:2012, 6.1 (from memory).
#[test]
fn vapour() {
    look("wall", json!([thick("board", "12 mm"), {"material": "paint"}, {"air-space": "25 mm"}]), |layers| {
        let of = |index: usize| Vapour::of(layers.all[index].clear().unwrap()).unwrap();
        for (index, sd, by_thickness) in [(0, 0.12, true), (1, 4.0, false), (2, 0.01, false)] {
            assert!((of(index).sd - sd).abs() < 1e-12 && of(index).by_thickness == by_thickness, "layer {index}");
            assert!((of(index).permeance * of(index).sd - AIR_PERMEABILITY).abs() < 1e-22, "layer {index}");
        }
    });
}

/// By hand: a quarter of wood and three of fibre, 0.25·500 + 0.75·60 = 170 kg/m³; of wood and air 125.
#[test]
fn densities_and_depths() {
    look(
        "wall",
        json!([studs("fibre"), studs("air"), thick("board", "12 mm"), {"vented-cavity": "20 mm"}]),
        |layers| {
            let of = |index: usize| layers.all[index].density(Ratio::from_si(0.25)).unwrap().si();
            assert_eq!([of(0), of(1), of(2), of(3)], [170.0, 125.0, 600.0, 0.0]);
            let depths: Vec<f64> = layers.all.iter().map(|layer| layer.extent().unwrap().unwrap().si()).collect();
            assert_eq!(depths, [0.14, 0.14, 0.012, 0.02]);
            let paths: Vec<String> = layers.all.iter().map(|layer| layer.depth_path()).collect();
            let fields = ["0.framed.size", "1.framed.size", "2.thickness", "3.vented-cavity"];
            assert_eq!(paths, fields.map(|field| format!("assemblies.one.layers.{field}")));
        },
    );
}

/// What says nothing of its kind insulates by its conductivity, 0.065 W/(m·K) at most (common practice, no source).
#[test]
fn insulation() {
    let layers =
        json!([thick("foam", "1 in"), studs("fibre"), studs("air"), thick("unkind", "1 in"), thick("board", "1 in")]);
    look("wall", layers, |layers| {
        let found: Vec<bool> = layers.all.iter().map(|layer| layer.insulates()).collect();
        assert_eq!(found, [true, true, false, true, false]);
    });
}

/// One lacking property takes no other away, and each says where it could be given.
#[test]
fn what_is_missing_is_named() {
    look("wall", json!([{"material": "board"}, thick("unknown", "9 mm")]), |layers| {
        let (board, unknown) = (layers.all[0].clear().unwrap(), layers.all[1].clear().unwrap());
        assert_eq!(layers.all[0].extent().unwrap_err().because, "assemblies.one.layers.0 (board) has no thickness");
        assert_eq!(board.thermal().unwrap_err().because, "assemblies.one.layers.0 has no thickness for board");
        assert!(board.density().is_ok());
        assert_eq!(unknown.thermal().unwrap_err().because, "materials.unknown has neither conductivity nor resistance");
        assert_eq!(unknown.density().unwrap_err().at, Some(Pointer::new("materials.unknown")));
        assert_eq!(Vapour::of(unknown).unwrap_err().at, Some(Pointer::new("assemblies.one.layers.1.material")));
        assert!(layers.all[1].extent().is_ok());
    });
    let home = home("wall", json!([thick("glass", "9 mm")]));
    let (id, assembly) = home.assemblies.first().unwrap();
    let lack = Layers::of(&home, id, assembly).unwrap_err();
    assert_eq!(lack.because, "assemblies.one.layers.0 names glass, which is no known material");
}
