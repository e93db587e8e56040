//! A small, complete report made by hand, for the tests of every format. The home and its rules are invented.

#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

mod drawings;
mod hostile;
mod impossible;

pub(crate) use hostile::hostile;
pub(crate) use impossible::impossible;

use mateline_model::quantity::{Dimension, Quantity, UnitSystem, Units};
use mateline_model::{
    Basis, Fact, Facts, Home, Missing, Outcome, PackSummary, Place, PluginStatus, Pointer, QuantityDef, Remark,
    RemarkAbout, Report, Severity, Step, Subject, Term, Traced, Value, Verdict, Whose,
};
use serde_json::json;
use std::collections::BTreeMap;

const HOME_YAML: &str = "\
home: Heron Lane # invented
modules:
  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 44 ft, y: 13 ft 9 in, z: 9 ft 8 in}}
assemblies:
  wall:
    kind: wall
    layers:
    - {material: eps-type-ii, thickness: 1 in}
openings:
  w1: {kind: window, module: A, face: south, width: 6 ft, height: 5 ft}
";

/// The U-factor of 1 Btu/(h·ft²·°F) in W/(m²·K).
const IP_U: f64 = 5.678_263_341;

fn home() -> Home {
    serde_json::from_value(json!({
        "home": "Heron Lane",
        "revision": {"id": "C", "date": "2026-10-05", "note": "foam 2 in → 3 in"},
        "judge_by": ["energy-code-demo"],
        "site": {"place": "Burlington VT", "climate_zone": "6A"},
        "modules": {
            "A": {"level": 1, "at": {"x": "0 ft", "y": "0 ft"}, "size": {"x": "44 ft", "y": "13 ft 9 in", "z": "9 ft 8 in"}}
        },
        "assemblies": {
            "wall": {"kind": "wall", "layers": [{"material": "eps-type-ii", "thickness": "1 in"}]},
            "basement-wall": {"kind": "basement-wall", "layers": []},
            "floor": {"kind": "floor", "layers": []}
        },
        "waivers": [{"rule": "modular-demo/mate-line-inspection", "subject": "seams.A-B", "reason": "photographed instead",
                     "agreed_with": "factory", "until": "D"}]
    }))
    .expect("the home of the fixture is one")
}

fn place(line: u32, column: u32, length: u32) -> Place {
    Place { file: "home.yaml".to_owned(), line, column, length }
}

fn definitions() -> BTreeMap<String, QuantityDef> {
    [
        QuantityDef::number("envelope.u_factor", Units::TRANSMITTANCE, "Thermal transmittance of the assembly"),
        QuantityDef::number("envelope.r_clear", Units::RESISTANCE, "Resistance through the cavity"),
        QuantityDef::number("envelope.thickness", Units::THICKNESS, "Thickness of all layers"),
        QuantityDef::number("envelope.design_temperature", Units::new("°C", 1, "°F", 0), "Outdoor design temperature"),
        QuantityDef::text("takeoff.seam_kind", "How two boxes meet"),
        QuantityDef::number("takeoff.travel_width", Units::LENGTH, "Width of the box on the road"),
        QuantityDef::flag("takeoff.on_slab", "Whether the home stands on a slab"),
    ]
    .into_iter()
    .map(|definition| (definition.name.to_string(), definition))
    .collect()
}

fn facts() -> Facts {
    let wall = Subject::element("assemblies", "wall");
    let fact = |subject: &Subject, quantity: &'static str, value: Value, basis: Basis, at: Option<Pointer>| Fact {
        subject: subject.clone(),
        quantity: quantity.into(),
        value,
        basis,
        at,
    };
    let foam = Step::new("R_foam = d / λ")
        .term(
            Term::new("d", "thickness of the foam", Quantity::new(0.0254, Dimension::LENGTH), Units::THICKNESS)
                .given("assemblies.wall.layers.0.thickness"),
        )
        .term(
            Term::new(
                "λ",
                "conductivity of EPS type II",
                Quantity::new(0.036, Dimension::CONDUCTIVITY),
                Units::CONDUCTIVITY,
            )
            .published("ASHRAE Fundamentals 2021, ch. 26 (from memory, med)"),
        )
        .result(Term::new("R_foam", "resistance of the foam", resistance(0.7056), Units::RESISTANCE));
    let whole = Step::new("U = 1/(R_clear + R_foam)")
        .term(Term::new("R_foam", "resistance of the foam", resistance(0.7056), Units::RESISTANCE))
        .term(
            Term::new("R_clear", "the rest of the wall", resistance(2.6811), Units::RESISTANCE)
                .fact(&wall, "envelope.r_clear"),
        )
        .result(Term::new("U", "thermal transmittance", transmittance(0.052), Units::TRANSMITTANCE));
    let u_basis = Basis::new("combined method", "ISO 6946:2017, 6.7.2")
        .provenance("from memory, high")
        .step(foam)
        .step(whole)
        .assuming("heat flows straight through the layers");
    let r_basis = Basis::new("sum of layers", "ISO 6946:2017, 6.7.1").step(Step::new("R = Σ d/λ").result(Term::new(
        "R",
        "resistance",
        resistance(2.6811),
        Units::RESISTANCE,
    )));
    let foam_at = Pointer::noted("assemblies.wall.layers.0", "28 % of the resistance sits here");
    let mut facts = Facts::default();
    for fact in [
        fact(&wall, "envelope.u_factor", transmittance(0.052), u_basis, Some(foam_at)),
        fact(&wall, "envelope.r_clear", resistance(2.6811), r_basis, None),
        fact(&wall, "envelope.thickness", Quantity::new(0.18, Dimension::LENGTH).into(), Basis::new("sum", ""), None),
        fact(
            &Subject::home(),
            "envelope.design_temperature",
            Quantity::new(-22.5, Dimension::TEMPERATURE).into(),
            Basis::new("given", ""),
            None,
        ),
        fact(&Subject::home(), "takeoff.on_slab", Value::Flag(false), Basis::new("given", ""), None),
        fact(
            &Subject::element("seams", "A-B"),
            "takeoff.seam_kind",
            Value::Text("side-by-side".to_owned()),
            Basis::new("shared faces", ""),
            None,
        ),
        fact(
            &Subject::element("modules", "A"),
            "takeoff.travel_width",
            Quantity::new(4.191, Dimension::LENGTH).into(),
            Basis::new("box size", ""),
            None,
        ),
    ] {
        facts.insert(fact).expect("no fact stands twice");
    }
    facts
}

fn transmittance(ip: f64) -> Value {
    Quantity::new(ip * IP_U, Dimension::TRANSMITTANCE).into()
}

fn resistance(si: f64) -> Value {
    Quantity::new(si, Dimension::RESISTANCE).into()
}

fn verdicts() -> Vec<Verdict> {
    let blank = Verdict {
        pack: "energy-code-demo".to_owned(),
        rule: "wall-u-factor".to_owned(),
        title: "Above-grade frame wall, greatest U-factor".to_owned(),
        subject: Subject::element("assemblies", "wall"),
        outcome: Outcome::Short,
        severity: Severity::Required,
        value: None,
        quantity: None,
        limit: None,
        comparison: "at most".to_owned(),
        margin: None,
        units: Units::TRANSMITTANCE,
        source: "Table 1".to_owned(),
        provenance: "from memory, high".to_owned(),
        message: String::new(),
        help: None,
        at: None,
        at_note: None,
        provisional: None,
        owed: Vec::new(),
        under: None,
    };
    let modular = |rule: &str, title: &str, outcome: Outcome| Verdict {
        pack: "modular-demo".to_owned(),
        rule: rule.to_owned(),
        title: title.to_owned(),
        outcome,
        units: Units::plain(0),
        comparison: "required".to_owned(),
        source: String::new(),
        provenance: "common practice, no source".to_owned(),
        ..blank.clone()
    };
    vec![
        Verdict {
            value: Some(transmittance(0.052)),
            quantity: Some("envelope.u_factor".to_owned()),
            limit: Some(transmittance(0.045)),
            margin: Some(transmittance(-0.007)),
            message: "U-factor 0.0520 Btu/(h·ft²·°F) is above 0.0450".to_owned(),
            help: Some("Thicken the continuous insulation to at least 1 3/4 in".to_owned()),
            at: Some(place(8, 7, 0)),
            at_note: Some("28 % of the resistance sits here".to_owned()),
            ..blank.clone()
        },
        Verdict {
            rule: "window-u-factor".to_owned(),
            title: "Windows, greatest U-factor".to_owned(),
            subject: Subject::element("openings", "w1"),
            outcome: Outcome::Unproven,
            limit: Some(transmittance(0.3)),
            message: "openings.w1 has no u_factor".to_owned(),
            help: Some("Give the U-factor of the rating label".to_owned()),
            at: Some(place(10, 7, 0)),
            ..blank.clone()
        },
        Verdict {
            rule: "basement-wall-u-factor".to_owned(),
            title: "Basement wall, greatest U-factor".to_owned(),
            subject: Subject::element("assemblies", "basement-wall"),
            outcome: Outcome::Met,
            value: Some(transmittance(0.045_000_2)),
            limit: Some(transmittance(0.05)),
            margin: Some(transmittance(0.004_999_8)),
            message: "U-factor 0.0450 Btu/(h·ft²·°F) is at most 0.0500".to_owned(),
            ..blank.clone()
        },
        Verdict {
            subject: Subject::element("modules", "A"),
            severity: Severity::Advice,
            value: Some(Quantity::new(4.191, Dimension::LENGTH).into()),
            quantity: Some("takeoff.travel_width".to_owned()),
            limit: Some(Quantity::new(3.6576, Dimension::LENGTH).into()),
            margin: Some(Quantity::new(-0.5334, Dimension::LENGTH).into()),
            units: Units::LENGTH,
            comparison: "at most".to_owned(),
            message: "the box is 13.75 ft wide, above 12.00 ft".to_owned(),
            help: Some("Ask the carrier about escorts".to_owned()),
            ..modular("road-width", "Width on the road without an escort", Outcome::Short)
        },
        Verdict {
            subject: Subject::element("seams", "A-B"),
            message: "the mate line is not inspected".to_owned(),
            ..modular("mate-line-inspection", "Mate lines inspected before they are covered", Outcome::Waived)
        },
        Verdict { subject: Subject::home(), ..modular("garage", "Garage separation", Outcome::NotApplicable) },
        Verdict { subject: Subject::home(), ..modular("crawl", "Crawl space access", Outcome::NotApplicable) },
    ]
}

fn text(name: &str, version: Option<u32>) -> Traced {
    Traced { name: name.to_owned(), version, sha256: "0123456789abcdef".repeat(4) }
}

/// Every outcome, every kind of figure, a failed plugin, a waiver and a remark.
pub(crate) fn report() -> Report {
    let plugin = |name: &str, failure: Option<&str>| PluginStatus {
        name: name.to_owned(),
        version: "0.1.0".to_owned(),
        about: format!("the {name} of the home"),
        failure: failure.map(str::to_owned),
        reads: Vec::new(),
        writes: vec![name.to_owned()],
    };
    Report {
        home: home(),
        file: "home.yaml".to_owned(),
        units: UnitSystem::Ip,
        quantities: definitions(),
        facts: facts(),
        missing: vec![Missing {
            subject: Subject::element("assemblies", "wall"),
            quantity: "envelope.thickness_outside".into(),
            because: "assemblies.wall.layers.3 has no thickness".to_owned(),
            at: None,
        }],
        places: BTreeMap::from([
            ("assemblies.wall.layers.0".to_owned(), place(8, 7, 40)),
            ("assemblies.wall.layers.0.thickness".to_owned(), place(8, 41, 4)),
        ]),
        verdicts: verdicts(),
        packs: vec![
            PackSummary {
                id: "energy-code-demo".to_owned(),
                version: Some(2),
                edition: Some("2021".to_owned()),
                texts: vec![text("<mateline>/energy-code-demo.yaml", Some(2))],
                title: "Energy code of the demonstration".to_owned(),
                source: "invented".to_owned(),
                caution: Some("Not a code anywhere.".to_owned()),
                reads: BTreeMap::new(),
            },
            PackSummary {
                id: "modular-demo".to_owned(),
                version: None,
                edition: None,
                texts: vec![text("firm/modular-demo.yaml", None)],
                title: "Modular practice of the demonstration".to_owned(),
                source: "common practice, no source".to_owned(),
                caution: None,
                reads: BTreeMap::new(),
            },
        ],
        tables: vec![text("<mateline>/materials.yaml", None)],
        materials: BTreeMap::from([("eps-type-ii".to_owned(), Whose::Firm)]),
        plugins: vec![plugin("envelope", None), plugin("airtightness", Some("the flow exponent is 0.31"))],
        figures: drawings::figures(),
        sources: BTreeMap::from([("home.yaml".to_owned(), HOME_YAML.to_owned())]),
        remarks: vec![Remark {
            message: "the waiver of modular-demo/hoist matches nothing".to_owned(),
            at: Some(place(1, 1, 4)),
            fails: false,
            about: RemarkAbout::Run,
        }],
        letterhead: Some("Workshop of the demonstration\n1 Invented Street".to_owned()),
        partials: BTreeMap::new(),
    }
}

/// A home that cannot be used, with two problems.
pub(crate) fn unusable() -> crate::CheckedHome {
    let problem = |line, message: &str, help: Option<&str>| crate::text::InputProblem {
        at: place(line, 5, 3),
        message: message.to_owned(),
        notes: Vec::new(),
        help: help.map(str::to_owned),
    };
    let problems = vec![problem(3, "9 needs a unit", Some("write 9 ft")), problem(4, "unknown key 'hieght'", None)];
    crate::CheckedHome { file: "broken/home.yaml".to_owned(), result: Err(problems) }
}
