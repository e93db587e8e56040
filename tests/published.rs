//! Published limits, as the packs state them, tried on both sides and on the limit.
//!
//! The numbers of IECC 2021 table R402.1.2 are written out here a second time, from memory (high), so that a slip in a
//! pack does not agree with itself.

use mateline_engine::judge::run_examples;
use mateline_engine::pack::{Comparator, Limit, Pack, Probe, Row, load_packs};
use mateline_model::Outcome;
use mateline_model::quantity::Area;
use mateline_tests::engine;
use mateline_ventilation::Settings;
use mateline_ventilation::rates::{CFM, SQUARE_FOOT, code_rate, total_rate};

#[test]
fn every_example_of_every_rule_comes_out_as_it_says() {
    let engine = engine();
    let mut wrong = Vec::new();
    for (id, _) in engine.library() {
        let pack = engine.pack(id).unwrap_or_else(|bad| panic!("{bad}"));
        for result in run_examples(&pack, &engine.vocabulary()).iter().filter(|result| !result.holds()) {
            wrong.push(format!(
                "{id}/{} example {}: expected {}, came out {}: {}",
                result.rule, result.number, result.expected, result.found, result.message
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What only asks that something be given is met or unproven.
#[test]
fn every_rule_has_an_example_met_and_one_that_is_not() {
    let engine = engine();
    for (id, _) in engine.library() {
        let pack = engine.pack(id).unwrap_or_else(|bad| panic!("{bad}"));
        for rule in pack.rules.iter() {
            let is_asked = matches!(rule.comparator, Comparator::Present(true));
            for outcome in [Outcome::Met, if is_asked { Outcome::Unproven } else { Outcome::Short }] {
                let shown = rule.examples.iter().any(|example| example.expect == outcome);
                assert!(shown, "{id}/{} has no example that is {outcome}", rule.id);
            }
        }
    }
}

/// Judging leaves the examples of packs unread; nothing else may get lost with them.
#[test]
fn a_pack_judges_by_the_same_rules_with_and_without_its_examples() {
    let engine = engine();
    for (id, _) in engine.library() {
        let home = format!(
            "home: H\nrevision: {{id: A, date: 2026-10-05}}\nsite: {{place: P, climate_zone: 6A}}\njudge_by: [{id}]\n\
             modules: {{A: {{level: 1, at: {{x: 0 ft, y: 0 ft}}, size: {{x: 40 ft, y: 13 ft, z: 9 ft}}}}}}\n"
        );
        let mut loaded = mateline_tests::loaded(&home);
        let judging = load_packs(
            &loaded.home,
            &loaded.tree,
            &mut loaded.project,
            (engine.library(), &[]),
            engine.kept(),
            &engine.vocabulary(),
        );
        let judging = judging.unwrap_or_else(|problems| panic!("{problems:?}")).remove(0);
        let whole = engine.pack(id).unwrap_or_else(|bad| panic!("{bad}"));
        assert_eq!(judging.rules.len(), whole.rules.len());
        assert_eq!(judging.uses, whole.uses);
        for (mut left, mut right) in judging.rules.iter().cloned().zip(whole.rules.iter().cloned()) {
            left.examples.clear();
            right.examples.clear();
            // The home is a file of its own, so that the pack's is the second there, and that of one it extends the third.
            let left = format!("{left:?}").replace("Span { file: 1,", "Span { file: 0,");
            let left = left.replace("Span { file: 2,", "Span { file: 1,");
            assert_eq!(left, format!("{right:?}"), "{id}");
        }
    }
}

fn ventilation() -> Settings {
    let pack = engine().pack("fresh-air").unwrap_or_else(|bad| panic!("{bad}"));
    serde_json::from_value(pack.uses["ventilation"].clone()).unwrap()
}

/// ASHRAE 62.2, Table 4.1 (from memory, high): each band at its upper end, 1 to 5 bedrooms, rounded to 1 cfm with
/// halves up.
#[test]
fn every_cell_of_the_table_of_whole_dwelling_rates() {
    let standard = ventilation().standard.unwrap();
    let table = [
        (500.0, [30, 38, 45, 53, 60]),
        (1000.0, [45, 53, 60, 68, 75]),
        (1500.0, [60, 68, 75, 83, 90]),
        (2000.0, [75, 83, 90, 98, 105]),
        (2500.0, [90, 98, 105, 113, 120]),
        (3000.0, [105, 113, 120, 128, 135]),
        (3500.0, [120, 128, 135, 143, 150]),
        (4000.0, [135, 143, 150, 158, 165]),
        (4500.0, [150, 158, 165, 173, 180]),
        (5000.0, [165, 173, 180, 188, 195]),
    ];
    for (area, row) in table {
        for (bedrooms, expected) in (1..).zip(row) {
            let rate = total_rate(&standard, feet(area), bedrooms, 0).value().si() / CFM;
            assert_eq!((rate + 0.5 + 1e-9).floor() as i64, expected, "{area} ft², {bedrooms} bedrooms: {rate}");
        }
    }
}

fn feet(area: f64) -> Area {
    Area::from_si(area * SQUARE_FOOT)
}

/// 2,400 ft² and three bedrooms: 102 cfm (looked up in a secondary source).
#[test]
fn the_published_dwelling_and_a_denser_home() {
    let (standard, code) = (ventilation().standard.unwrap(), ventilation().code.unwrap());
    let total = |area, bedrooms, sleepers| total_rate(&standard, feet(area), bedrooms, sleepers).value().si() / CFM;
    assert!((total(2400.0, 3, 4) - 102.0).abs() < 1e-9);
    assert!((total(2400.0, 3, 6) - 117.0).abs() < 1e-9);
    assert!((total(400.0, 0, 2) - 27.0).abs() < 1e-9);
    assert!((code_rate(&code, feet(2400.0), 3, false).value().si() / CFM - 54.0).abs() < 1e-9);
    assert!((code_rate(&code, feet(2400.0), 3, true).value().si() / CFM - 37.8).abs() < 1e-9);
}

/// IRC 2021, Table M1505.4.3(2) (from memory, high), at its entries, between two, and outside.
#[test]
fn factors_for_run_time_at_the_table_and_between() {
    let run_time = ventilation().code.unwrap().run_time;
    for (share, factor) in [(0.25, 4.0), (0.33, 3.0), (0.50, 2.0), (0.66, 1.5), (0.75, 1.3), (1.0, 1.0)] {
        assert!((run_time.factor(share).unwrap() - factor).abs() < 1e-12);
    }
    assert!((run_time.factor(0.29).unwrap() - 3.5).abs() < 1e-12);
    assert_eq!((run_time.factor(0.2), run_time.factor(1.1)), (None, None));
}

/// The limit of a rule in a climate zone, in Btu/(h·ft²·°F) or as a plain number; `None` where there is none.
fn limit(pack: &Pack, rule: &str, zone: &str) -> Option<f64> {
    let rule = pack.rules.iter().find(|r| r.id == rule).unwrap_or_else(|| panic!("there is no rule {rule}"));
    let Comparator::AtMost(limit) = &rule.comparator else { panic!("{} is no upper limit", rule.id) };
    let quantity = match limit {
        Limit::Value(quantity) => *quantity,
        Limit::Table(table, _) => match table.row(&Probe::Word(zone.to_owned())) {
            Row::Found(_, quantity) => *quantity,
            Row::NoLimit(_) => return None,
            _ => panic!("{} has no row for zone {zone}", rule.id),
        },
        Limit::Fact { .. } | Limit::Parameter { .. } | Limit::Expression(_) => panic!("{} is no number", rule.id),
    };
    let plain = quantity.dimension == mateline_model::quantity::Dimension::PLAIN;
    Some(if plain { quantity.si } else { quantity.si / 5.678_263_341 })
}

/// IECC 2021 table R402.1.2: fenestration, skylight, ceiling, frame wall, mass wall, floor, basement wall, crawl wall.
const R402_1_2: &[(&[&str], [f64; 8])] = &[
    (&["0A", "0B"], [0.50, 0.75, 0.035, 0.084, 0.197, 0.064, 0.360, 0.477]),
    (&["1A", "1B"], [0.50, 0.75, 0.035, 0.084, 0.197, 0.064, 0.360, 0.477]),
    (&["2A", "2B"], [0.40, 0.65, 0.026, 0.084, 0.165, 0.064, 0.360, 0.477]),
    (&["3A", "3B", "3C"], [0.30, 0.55, 0.026, 0.060, 0.098, 0.047, 0.091, 0.136]),
    (&["4A", "4B"], [0.30, 0.55, 0.024, 0.045, 0.098, 0.047, 0.059, 0.065]),
    (&["4C", "5A", "5B", "5C"], [0.30, 0.55, 0.024, 0.045, 0.082, 0.033, 0.050, 0.055]),
    (&["6A", "6B"], [0.30, 0.55, 0.024, 0.045, 0.060, 0.033, 0.050, 0.055]),
    (&["7", "8"], [0.30, 0.55, 0.024, 0.045, 0.057, 0.028, 0.050, 0.055]),
];

const COLUMNS: [&str; 8] = [
    "window-u-factor",
    "skylight-u-factor",
    "ceiling-u-factor",
    "wall-u-factor",
    "mass-wall-u-factor",
    "floor-u-factor",
    "basement-wall-u-factor",
    "crawl-wall-u-factor",
];

#[test]
fn the_u_factor_table_of_the_2021_energy_code() {
    let pack = engine().pack("energy-code-2021").unwrap_or_else(|bad| panic!("{bad}"));
    for (zones, row) in R402_1_2 {
        for zone in *zones {
            for (rule, published) in COLUMNS.iter().zip(row) {
                let found = limit(&pack, rule, zone).unwrap_or(f64::NAN);
                assert!((found - published).abs() < 1e-9, "{rule} in zone {zone}: {found}, published {published}");
            }
        }
    }
}

/// IECC 2021 table R402.1.2, glazed fenestration SHGC (from memory; zone 5 and marine 4 with medium confidence).
#[test]
fn the_shgc_column_of_the_2021_energy_code() {
    let pack = engine().pack("energy-code-2021").unwrap_or_else(|bad| panic!("{bad}"));
    for zone in ["0A", "1A", "2B", "3A", "3C"] {
        assert_eq!(limit(&pack, "window-shgc", zone), Some(0.25), "{zone}");
    }
    for zone in ["4A", "4B"] {
        assert_eq!(limit(&pack, "window-shgc", zone), Some(0.40), "{zone}");
    }
    for zone in ["6A", "7", "8"] {
        assert_eq!(limit(&pack, "window-shgc", zone), None, "{zone}");
    }
}
