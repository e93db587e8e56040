//! Values that are unlikely are asked about, and sound homes are not: a false question costs more than a missed one.

use mateline_engine::{Engine, Options};
use mateline_model::{RemarkAbout, Report};
use mateline_tests::{check_file, checked, example, random::Random};

/// A sound home, invented, with everything that is asked about.
const SOUND: &str = "\
home: Alder Court
revision: {id: B, date: 2026-10-05}
site:
  place: Tarn Hollow
  climate_zone: 6A
  design_heating: -5 °F
  heating_degree_days: 7300 °F·d
  months:
    jan: {temperature: 19 °F}
    feb: {temperature: 21 °F}
    mar: {temperature: 31 °F}
    apr: {temperature: 45 °F}
    may: {temperature: 57 °F}
    jun: {temperature: 66 °F}
    jul: {temperature: 71 °F}
    aug: {temperature: 69 °F}
    sep: {temperature: 61 °F}
    oct: {temperature: 49 °F}
    nov: {temperature: 38 °F}
    dec: {temperature: 26 °F}
modules:
  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 40 ft, y: 14 ft, z: 9 ft}}
  B: {level: 1, at: {x: -8 ft, y: 0 ft}, size: {x: 8 ft, y: 11 ft, z: 9 ft}}
materials:
  board-foam: {kind: foam-insulation, conductivity: 0.035 W/(m·K), source: invented}
  blanket: {kind: fibre-insulation, conductivity: 0.040 W/(m·K), source: invented}
  panel: {kind: board, conductivity: 0.25 W/(m·K), source: invented}
  beam: {kind: wood, conductivity: 0.12 W/(m·K), source: invented}
  wall-block: {kind: masonry, conductivity: 1.7 W/(m·K), source: invented}
assemblies:
  w: {kind: wall, layers: [{material: panel, thickness: 1/2 in}, {material: board-foam, thickness: 6 in}]}
  c: {kind: ceiling, layers: [{material: panel, thickness: 1/2 in}, {material: blanket, thickness: 18 in}]}
  f: {kind: floor, layers: [{material: beam, thickness: 3 in}]}
enclosure: {walls: w, ceilings: c, floors: f}
foundation: {kind: crawl-space, height: 3 ft, vent_area: 4 ft²}
spaces:
  living: {use: living, in: A, floor_area: 250 ft², height: 8 ft}
  bedroom: {use: bedroom, in: A, floor_area: 220 ft², height: 8 ft}
  den: {use: office, in: B, floor_area: 60 ft², height: 8 ft}
openings:
  w1: {kind: window, module: A, face: south, width: 4 ft, height: 5 ft, count: 3, u_factor: 0.20 Btu/(h·ft²·°F)}
systems:
  ventilation: {unit: {kind: exhaust-fan, exhaust: 60 cfm}}
  kitchen_hood: {vented: true, flow: 300 cfm}
";

/// Each slip: what is written in place of what, the rule that asks, and where.
const SLIPS: &[(&str, &str, &str, &str)] = &[
    ("floor_area: 250 ft²", "floor_area: 2500 ft²", "rooms-in-box", "modules.A"),
    ("x: 40 ft, y: 14 ft", "x: 140 ft, y: 14 ft", "rooms-fill-box", "modules.A"),
    (
        "material: board-foam, thickness: 6 in",
        "material: board-foam, thickness: 6 ft",
        "foam-thickness",
        "assemblies.w",
    ),
    ("thickness: 18 in", "thickness: 18 ft", "fibre-thickness", "assemblies.c"),
    ("thickness: 1/2 in}, {material: board", "thickness: 12 in}, {material: board", "board-thickness", "assemblies.w"),
    ("conductivity: 0.035 W", "conductivity: 0.35 W", "foam-conductivity", "materials.board-foam"),
    ("conductivity: 0.040 W", "conductivity: 0.0040 W", "fibre-conductivity", "materials.blanket"),
    ("conductivity: 0.12 W", "conductivity: 1.2 W", "wood-conductivity", "materials.beam"),
    ("conductivity: 1.7 W", "conductivity: 17 W", "masonry-conductivity", "materials.wall-block"),
    ("u_factor: 0.20 Btu", "u_factor: 0.020 Btu", "glass-u-factor", "openings.w1"),
    ("u_factor: 0.20 Btu", "u_factor: 5 Btu", "window-u-factor-most", "openings.w1"),
    ("4 ft, height: 5 ft, count: 3", "9 ft, height: 7 ft, count: 4", "glass-in-wall", "surfaces.w-outdoor-south"),
    ("exhaust: 60 cfm", "exhaust: 6000 cfm", "unit-flow", "systems.ventilation.unit"),
    ("flow: 300 cfm", "flow: 3000 cfm", "hood-flow", "home"),
    ("jul: {temperature: 71 °F}", "jul: {temperature: 17 °F}", "months-in-order", "home"),
    ("heating_degree_days: 7300 °F·d", "heating_degree_days: 7300 °C·d", "months-and-degree-days", "home"),
    ("design_heating: -5 °F", "design_heating: 25 °F", "design-below-coldest-month", "home"),
    ("climate_zone: 6A", "climate_zone: 8", "degree-days-and-zone", "home"),
    ("kind: crawl-space, height: 3 ft", "kind: slab", "crawl-vents", "home"),
    (
        "kind: crawl-space, height: 3 ft, vent_area: 4 ft²",
        "kind: slab, conditioning_flow: 20 cfm",
        "crawl-cover",
        "home",
    ),
    ("kind: crawl-space, height: 3 ft, vent_area: 4 ft²", "kind: basement, height: 3 ft", "basement-height", "home"),
    (
        "kind: crawl-space, height: 3 ft",
        "kind: piers, window_well: {width: 36 in, projection: 36 in, depth: 30 in}",
        "well-needs-basement",
        "home",
    ),
    ("floor_area: 220 ft², height: 8 ft", "floor_area: 220 ft², height: 96 ft", "room-height", "spaces.bedroom"),
    ("width: 4 ft, height: 5 ft", "width: 4 in, height: 5 ft", "opening-size", "openings.w1"),
    (
        "in: A, floor_area: 220 ft², height: 8 ft}\n  den: {use: office, in: B, floor_area: 60 ft², height: 8 ft}\nopenings:\n  w1: {kind: window, module: A,",
        "in: B, floor_area: 25 ft², height: 8 ft}\n  den: {use: office, in: B, floor_area: 60 ft², height: 8 ft}\nopenings:\n  w1: {kind: window, module: A, space: bedroom,",
        "opening-in-box-of-room",
        "openings.w1",
    ),
    (
        "thickness: 18 in}]}",
        "thickness: 18 in}, {framed: {member: beam, size: 2x6, spacing: 16 in, fill: blanket, fraction: 0.2 %}}]}",
        "framing-least",
        "assemblies.c",
    ),
    (
        "floor_area: 220 ft², height: 8 ft",
        "floor_area: 220 ft², height: 8 ft, door_undercut: 3/4 ft",
        "door-undercut",
        "spaces.bedroom",
    ),
    (
        "height: 3 ft, vent_area",
        "height: 3 ft, depth_below_grade: 2 ft, footing: {width: 16 in, thickness: 8 in, depth: 1 ft}, vent_area",
        "footing-below-floor",
        "home",
    ),
    (
        "height: 5 ft, count: 3",
        "height: 5 ft, operation: double-hung, clear_width: 40 in, clear_height: 50 in",
        "clear-of-sliding-sash",
        "openings.w1",
    ),
    ("exhaust: 60 cfm", "exhaust: 60 cfm, filter_merv: 85", "filter-scale", "systems.ventilation.unit"),
    ("climate_zone: 6A", "climate_zone: 6A\n  frost_depth: 48 mm", "frost-depth-and-zone", "home"),
    ("climate_zone: 6A", "climate_zone: 6A\n  soil_bearing: 2000 Pa", "soil-bearing", "home"),
    (
        "kind: exhaust-fan, exhaust: 60 cfm",
        "kind: heat-recovery, supply: 60 cfm, exhaust: 60 cfm, sensible_recovery: 100 %",
        "recovery-most",
        "systems.ventilation.unit",
    ),
    ("enclosure: {", "safety: {stairs: {riser: 7 mm, tread: 10 in}}\nenclosure: {", "stair-sizes", "home"),
];

fn doubts(report: &Report) -> Vec<String> {
    let about = report.remarks.iter().filter(|remark| remark.about == RemarkAbout::Doubt);
    about.map(|remark| remark.message.clone()).collect()
}

#[test]
fn a_sound_home_and_the_examples_are_asked_nothing() {
    let at_the_end_of_a_range = SOUND.replacen("thickness: 1/2 in", "thickness: 1/2 ft", 1);
    for home in [SOUND, &at_the_end_of_a_range] {
        assert_eq!(doubts(&checked(home)), Vec::<String>::new());
    }
    for name in ["heron-lane", "willow-pair", "starter"] {
        assert_eq!(doubts(&check_file(&example(name)).unwrap()), Vec::<String>::new(), "{name}");
    }
}

#[test]
fn each_slip_is_asked_about_at_its_place_and_fails_nothing() {
    let (engine, folder) = (asking_only(), tempfile::tempdir().unwrap());
    let file = folder.path().join("home.yaml");
    let checked = |text: &str| {
        std::fs::write(&file, text).unwrap();
        engine.check(&file, &Options::default()).unwrap_or_else(|bad| panic!("{bad}\n{text}"))
    };
    for (right, wrong, rule, subject) in SLIPS {
        let text = SOUND.replacen(right, wrong, 1);
        assert_ne!(text, SOUND, "{right} stands in the home");
        let report = checked(&text);
        let asked = doubts(&report);
        let (named, at) = (format!("(plausible-input/{rule})"), format!("{subject}: "));
        assert!(asked.iter().any(|asked| asked.contains(&named) && asked.starts_with(&at)), "{wrong}: {asked:?}");
        assert!(!report.fails(), "{wrong}");
        assert!(report.verdicts.is_empty(), "what only asks is no verdict");
    }
}

/// An engine that only asks, with the plugins that this needs.
fn asking_only() -> Engine {
    let mut plugins = mateline_plugins::built_in();
    plugins.retain(|plugin| ["takeoff", "airtightness", "plausible"].contains(&plugin.declaration().name));
    let materials = mateline_plugins::materials().clone();
    Engine::new(plugins, mateline_rules::PACKS, materials).unwrap().asking(mateline_rules::ASKING)
}

/// Yearly means and swings of zones 4 to 7, and degree-days within a tenth of those of the months; all invented.
#[test]
fn two_hundred_sound_homes_are_asked_nothing() {
    const ZONES: [(&str, f64, f64); 4] =
        [("4A", 55.0, 21.0), ("5A", 50.0, 23.0), ("6A", 45.0, 25.0), ("7", 40.0, 28.0)];
    const DAYS: [f64; 12] = [31.0, 28.25, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];
    const NAMES: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("home.yaml");
    let engine = asking_only();
    let mut random = Random(7);
    for number in 0..200 {
        let (zone, mean, swing) = ZONES[number % ZONES.len()];
        let months: Vec<f64> = (0..12)
            .map(|month| {
                let angle = std::f64::consts::TAU * (f64::from(month) - 0.5) / 12.0;
                mean - swing * angle.cos() + random.between(-2.0, 2.0)
            })
            .collect();
        let degree_days: f64 = months.iter().zip(DAYS).map(|(mean, days)| (65.0 - mean).max(0.0) * days).sum();
        let mut text = SOUND.replace("climate_zone: 6A", &format!("climate_zone: {zone}"));
        for (name, temperature) in NAMES.iter().zip(&months) {
            let start = text.find(&format!("    {name}:")).unwrap();
            let end = start + text[start..].find('\n').unwrap();
            text.replace_range(start..end, &format!("    {name}: {{temperature: {temperature:.0} °F}}"));
        }
        let coldest = months.iter().copied().fold(f64::INFINITY, f64::min);
        let (long, wide) = (random.between(24.0, 64.0), random.between(11.0, 16.0));
        let rooms = long * wide * random.between(0.55, 0.92);
        let glass = long * 9.0 * random.between(0.02, 0.45);
        for (old, new) in [
            ("7300 °F·d", format!("{:.0} °F·d", degree_days * random.between(0.92, 1.12))),
            ("-5 °F", format!("{:.0} °F", coldest - random.between(8.0, 30.0))),
            ("x: 40 ft, y: 14 ft", format!("x: {long:.1} ft, y: {wide:.1} ft")),
            ("250 ft²", format!("{:.0} ft²", rooms * 0.6)),
            ("220 ft²", format!("{:.0} ft²", rooms * 0.4)),
            ("thickness: 6 in", format!("thickness: {:.1} in", random.between(1.0, 12.0))),
            ("thickness: 18 in", format!("thickness: {:.1} in", random.between(8.0, 26.0))),
            (
                "width: 4 ft, height: 5 ft, count: 3",
                format!("width: {:.2} ft, height: 5 ft, count: 3", (glass / 15.0).max(1.0)),
            ),
            ("u_factor: 0.20", format!("u_factor: {:.2}", random.between(0.12, 0.45))),
            ("60 cfm", format!("{:.0} cfm", random.between(20.0, 350.0))),
            ("300 cfm", format!("{:.0} cfm", random.between(100.0, 1200.0))),
        ] {
            assert!(text.contains(old), "{old}");
            text = text.replacen(old, &new, 1);
        }
        std::fs::write(&file, &text).unwrap();
        let report = engine.check(&file, &Options::default()).unwrap_or_else(|bad| panic!("{bad}\n{text}"));
        assert_eq!(doubts(&report), Vec::<String>::new(), "home {number}\n{text}");
    }
}
