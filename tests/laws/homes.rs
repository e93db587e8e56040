//! Homes that the laws are tried on: the examples, and random ones made from them by choices that a designer has.

use mateline_tests::{Copy, engine, random::Random};
use serde_json::Value;

/// A home in a folder of its own, with the files it names: whatever its text says in turn.
pub struct Site {
    copy: Copy,
}

impl Site {
    /// A folder with the records of Heron Lane.
    pub fn new() -> Site {
        Site { copy: Copy::of("heron-lane") }
    }

    /// Puts a home there.
    pub fn put(&self, home: &Value) -> std::path::PathBuf {
        let path = self.copy.home();
        std::fs::write(&path, home.to_string()).unwrap();
        path
    }
}

/// The names of the examples.
pub const EXAMPLES: [&str; 3] = ["heron-lane", "willow-pair", "starter"];

/// An example in one file, judged by every pack.
pub fn example(name: &str) -> Value {
    let mut home = engine().load(&mateline_tests::example(name)).unwrap_or_else(|bad| panic!("{bad}")).tree.to_json();
    home.as_object_mut().unwrap().shift_remove("include");
    home["judge_by"] = mateline_rules::current().map(|(name, _)| name).collect::<Vec<_>>().into();
    home
}

/// What a designer may choose at a place, `*` for any element there. Values are JSON; `null` leaves the place out.
const CHOICES: &[(&str, &[&str])] = &[
    ("site/climate_zone", &[r#""1A""#, r#""3C""#, r#""4A""#, r#""4C""#, r#""5A""#, r#""7""#, r#""8""#]),
    ("site/radon_zone", &["1", "2", "3"]),
    ("site/soil", &[r#""sand""#, r#""silt""#, r#""clay""#, r#""rock""#]),
    ("site/water_table", &[r#""3 ft""#, r#""9 ft""#, r#""30 ft""#]),
    ("site/elevation", &[r#""4500 ft""#, r#""100 ft""#]),
    ("site/humidity_class", &["1", "2", "3"]),
    ("site/frost_depth", &[r#""12 in""#, r#""60 in""#]),
    (
        "roof",
        &[
            r#"{"kind": "vented-attic", "slope": "5/12", "vent_area": "8.5 ft²", "upper_vent_share": "45 %", "eave_clearance": "1 in"}"#,
            r#"{"kind": "vented-attic", "slope": "5/12", "vent_area": "3 ft²"}"#,
            r#"{"kind": "compact", "slope": "3/12"}"#,
        ],
    ),
    (
        "foundation",
        &[
            r#"{"kind": "slab", "services_below_floor": true, "footing": {"width": "12 in", "thickness": "8 in", "depth": "4 ft"}, "levelness": "1/4 in", "bears_mate_lines": true, "ground_cover": "10 mil", "grade_fall": "3 %"}"#,
            r#"{"kind": "piers", "height": "3 ft", "services_below_floor": true, "clearance_below_services": "12 in", "footing": {"width": "16 in", "thickness": "8 in", "depth": "4 ft"}, "bears_mate_lines": false}"#,
            r#"{"kind": "crawl-space", "conditioned": false, "height": "3 ft", "depth_below_grade": "1 ft", "services_below_floor": true, "clearance_below_services": "2 ft", "footing": {"width": "10 in", "thickness": "8 in", "depth": "30 in"}, "vent_area": "2 ft²", "access": {"width": "12 in", "height": "24 in"}, "fixtures_below_sewer": true, "drainage": {"discharge": "sump"}}"#,
            r#"{"kind": "crawl-space", "conditioned": true, "height": "4 ft", "depth_below_grade": "2 ft", "services_below_floor": false, "conditioning_flow": "20 cfm", "ground_cover": "6 mil", "footing": {"width": "16 in", "thickness": "8 in", "depth": "60 in"}, "sump": {"pump": true}, "fixtures_below_sewer": true, "ejector": true, "water_protection": "dampproofing"}"#,
        ],
    ),
    (
        "systems/heating",
        &[
            r#"{"kind": "boiler", "fuel": "gas", "venting": "direct", "ducts_inside": true}"#,
            r#"{"kind": "stove", "fuel": "wood", "venting": "natural"}"#,
            r#"{"kind": "room heater", "fuel": "propane", "venting": "unvented"}"#,
        ],
    ),
    (
        "systems/hot_water",
        &[
            r#"{"kind": "tank", "fuel": "gas", "venting": "natural", "stored_volume": "1 gal"}"#,
            r#"{"kind": "heat pump", "fuel": "heat-pump"}"#,
        ],
    ),
    (
        "systems/kitchen_hood",
        &[
            r#"{"vented": false}"#,
            r#"{"vented": true, "flow": "600 cfm", "make_up_air": "600 cfm", "sound": "6 sone"}"#,
            r#"{"vented": true, "flow": "80 cfm"}"#,
        ],
    ),
    (
        "systems/clothes_dryer",
        &[
            r#"{"kind": "none"}"#,
            r#"{"kind": "vented", "flow": "150 cfm", "duct": {"length": "20 ft", "diameter": "4 in", "mitred_elbows_90": 2, "smooth_metal": true, "backdraft_damper": true, "screen": false, "from_openings": "4 ft"}}"#,
            r#"{"kind": "vented", "duct": {"length": "40 ft", "diameter": "3 in", "screen": true}}"#,
        ],
    ),
    ("systems/ventilation/*/kind", &[r#""exhaust-fan""#, r#""supply-fan""#, r#""energy-recovery""#]),
    ("systems/ventilation/*/run_time", &[r#""20 %""#, r#""50 %""#, "null"]),
    ("systems/ventilation/*/sound", &[r#""3 sone""#, "null"]),
    ("openings/*/kind", &[r#""opaque-door""#, r#""glazed-door""#, r#""window""#]),
    ("openings/*/code_exempt", &["true"]),
    ("openings/*/u_factor", &[r#""0.50 Btu/(h·ft²·°F)""#, r#""0.15 Btu/(h·ft²·°F)""#, "null"]),
    ("openings/*/operation", &[r#""slider""#, r#""casement""#, r#""fixed""#]),
    ("openings/*/air_leakage", &[r#""0.6 cfm/ft²""#, "null"]),
    ("assemblies/wall/layers/2/framed/fill", &[r#""mineral-wool-batt""#]),
    ("assemblies/*/adjoins", &[r#""garage""#, r#""outdoor""#]),
    ("spaces/*/use", &[r#""bedroom""#, r#""bathroom""#, r#""office""#, r#""closet""#]),
    ("spaces/*/sleeps", &["0", "2", "null"]),
    ("spaces/*/door_undercut", &[r#""0 in""#, r#""1 in""#, "null"]),
    ("penetrations/*/seal", &[r#""none""#, r#""foam""#]),
    (
        "seams/default",
        &[
            r#"{"sealed_by": ["none"], "inspected": false}"#,
            r#"{"sealed_by": ["membrane"], "inspected": true, "by": "site"}"#,
        ],
    ),
    ("finishes/*/category", &[r#""flat""#, r#""carpet""#, r#""seam-sealant""#, r#""cabinet""#, r#""something else""#]),
    ("finishes/*/composite_wood", &[r#""certified""#, r#""uncertified""#, r#""no-composite-wood""#]),
    ("finishes/*/voc_content", &[r#""45 g/L""#, r#""300 g/L""#]),
    ("finishes/*/colourant_voc", &[r#""20 g/L""#, r#""90 g/L""#]),
    (
        "finishes/*/emissions",
        &[r#"{"formaldehyde": "80 µg/(m²·h)", "benzene": "2 µg/(m²·h)"}"#, r#"{"styrene": "5000 µg/(m²·h)"}"#],
    ),
    ("finishes/*/panel", &[r#""mdf""#, "null"]),
    ("finishes/*/panel_formaldehyde", &[r#""0.2 ppm""#, r#""0.04 ppm""#]),
    ("finishes/*/in", &["null"]),
    ("measurements/*/stage", &[r#""final""#, r#""after-set""#, "null"]),
    ("evidence/*/expires", &[r#""2025-01-01""#, r#""2026-11-01""#, "null"]),
    ("evidence/*/file", &[r#""records/none.txt""#, "null"]),
];

/// A sound home, made from an example by several choices.
pub fn random(seed: u64) -> Value {
    let mut random = Random::of(seed);
    let mut home = example(EXAMPLES[random.below(EXAMPLES.len())]);
    for _ in 0..4 + random.below(12) {
        let (place, values) = CHOICES[random.below(CHOICES.len())];
        let value: Value = serde_json::from_str(values[random.below(values.len())]).unwrap();
        let before = home.clone();
        if choose(&mut home, place, &value, &mut random).is_none() || !is_sound(&home) {
            home = before;
        }
    }
    home
}

/// Puts a value at a place; nothing where there is no such place.
fn choose(home: &mut Value, place: &str, value: &Value, random: &mut Random) -> Option<()> {
    let (parent, last) = place.rsplit_once('/').unwrap_or(("", place));
    let mut pointer = String::new();
    for step in parent.split('/').filter(|step| !step.is_empty()) {
        let step = match home.pointer(&pointer)? {
            Value::Object(map) if step == "*" => map.keys().nth(random.below(map.len()))?.clone(),
            _ => step.to_owned(),
        };
        pointer = format!("{pointer}/{step}");
    }
    let map = home.pointer_mut(&pointer)?.as_object_mut()?;
    if value.is_null() {
        map.shift_remove(last);
    } else {
        map.insert(last.to_owned(), value.clone());
    }
    Some(())
}

/// Whether a home can be loaded. What plugins find impossible shows when it is checked.
fn is_sound(home: &Value) -> bool {
    engine().load(&Site::new().put(home)).is_ok()
}
