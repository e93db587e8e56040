//! One change to Heron Lane at a time: exactly the verdicts that should turn do, with the reason and the help a designer
//! needs. What should turn follows from the home's description: which room a unit serves, whose board it is, what hangs
//! below the floor.

use mateline_model::{Comparison, Outcome, Report, Verdict};
use mateline_tests::{Copy, check_file, example, number};

fn compared(new: &Copy) -> Comparison {
    mateline_tests::compared(&example("heron-lane"), &new.home())
}

/// `short fresh-air/room-reached spaces.music-room`: what is worse than before among what is required.
fn worse(comparison: &Comparison) -> Vec<String> {
    let worse = comparison.turned.iter().filter(|turned| turned.direction() == mateline_model::Direction::Worse);
    let required = worse.filter(|turned| turned.severity == mateline_model::Severity::Required);
    let mut lines: Vec<String> =
        required.map(|turned| format!("{} {} {}", turned.new.unwrap(), turned.rule, turned.subject)).collect();
    lines.sort();
    lines
}

fn verdict<'r>(report: &'r Report, rule: &str, subject: &str) -> &'r Verdict {
    let found = report.verdicts.iter().find(|v| v.full_name() == rule && v.subject.as_str() == subject);
    found.unwrap_or_else(|| panic!("no verdict {rule} on {subject}"))
}

/// The line of the home a verdict points at.
fn line<'r>(report: &'r Report, verdict: &Verdict) -> &'r str {
    let at = verdict.at.as_ref().unwrap();
    report.sources[&at.file].lines().nth(at.line as usize - 1).unwrap().trim()
}

#[test]
fn without_its_unit_no_air_reaches_the_music_room() {
    let copy = Copy::without("systems.yaml", "music-unit");
    assert_eq!(worse(&compared(&copy)), ["short fresh-air/room-reached spaces.music-room"]);
    let report = check_file(&copy.home()).unwrap();
    let reached = verdict(&report, "fresh-air/room-reached", "spaces.music-room");
    let help = reached.help.as_deref().unwrap();
    assert!(help.contains("add a supply or a spot unit"), "{help}");
    let air = verdict(&report, "healthy-materials/room-air-year", "air.music-room-styrene");
    assert_eq!((air.outcome, air.severity), (Outcome::Unproven, mateline_model::Severity::Advice));
    assert!(air.message.contains("ventilation.fresh_air of spaces.music-room"), "{}", air.message);
}

/// The kitchen shares its air with the hall and the living room: what its boards give off is in theirs too.
#[test]
fn another_board_in_the_kitchen_moves_the_air_that_gets_it() {
    let copy = Copy::with(&[("formaldehyde: 1.2 µg/(m²·h)", "formaldehyde: 5 µg/(m²·h)")]);
    let comparison = compared(&copy);
    assert!(!comparison.moved.is_empty());
    for moved in &comparison.moved {
        let subject = moved.subject.as_str();
        assert!(["air.", "emissions.kitchen-boxes"].iter().any(|it| subject.starts_with(it)), "{subject}");
    }
    let (before, after) = (check_file(&example("heron-lane")).unwrap(), check_file(&copy.home()).unwrap());
    let there =
        |report: &Report, room: &str| number(report, &format!("air.{room}-formaldehyde"), "materials.concentration");
    assert!(there(&after, "kitchen") > 1.05 * there(&before, "kitchen"));
    assert!((there(&after, "hall") / there(&after, "kitchen") - 1.0).abs() < 1e-9);
}

#[test]
fn a_slab_leaves_no_room_for_what_hangs_below_the_floor() {
    let copy = Copy::with(&[("  kind: basement\n  conditioned", "  kind: slab\n  conditioned")]);
    let report = check_file(&copy.home()).unwrap();
    let room = verdict(&report, "modular-practice/room-for-services", "home");
    assert_eq!(room.outcome, Outcome::Short);
    assert_eq!(line(&report, room), "kind: slab");
    let help = room.help.as_deref().unwrap();
    assert!(help.contains("choose a crawl space or basement"), "{help}");
}

#[test]
fn a_test_before_cladding_takes_the_budgets_place_in_the_prediction() {
    let without = check_file(&Copy::without("records.yaml", "blower-door-rough").home()).unwrap();
    let with = check_file(&example("heron-lane")).unwrap();
    let from = |report: &Report| {
        report.facts.get(&"home".into(), "airtightness.best_from").unwrap().value.text().unwrap().to_owned()
    };
    assert_eq!((from(&without).as_str(), from(&with).as_str()), ("budget", "prediction"));
    let spread = |report: &Report, what: &str| {
        let q50 = |end: &str| number(report, "home", &format!("airtightness.{what}{end}"));
        (q50("_high") - q50("_low")) / q50("")
    };
    assert!(without.facts.get(&"home".into(), "airtightness.predicted_q50").is_none());
    let (measured, listed) = (spread(&with, "predicted_q50"), spread(&without, "q50"));
    assert!(measured < 0.5 * listed, "{measured} {listed}");
    // Twice the flow at every pressure: the prediction follows the test, the budget does not.
    let leaky = Copy::with(&[
        ("pressure: -60.9 Pa, flow: 729", "pressure: -60.9 Pa, flow: 1458"),
        ("pressure: -50.9 Pa, flow: 646", "pressure: -50.9 Pa, flow: 1292"),
        ("pressure: -40.9 Pa, flow: 563", "pressure: -40.9 Pa, flow: 1126"),
        ("pressure: -30.9 Pa, flow: 462", "pressure: -30.9 Pa, flow: 924"),
        ("pressure: -20.9 Pa, flow: 357", "pressure: -20.9 Pa, flow: 714"),
        ("pressure: -12.9 Pa, flow: 256", "pressure: -12.9 Pa, flow: 512"),
        ("pressure: 59.1 Pa, flow: 748", "pressure: 59.1 Pa, flow: 1496"),
        ("pressure: 49.1 Pa, flow: 669", "pressure: 49.1 Pa, flow: 1338"),
        ("pressure: 39.1 Pa, flow: 583", "pressure: 39.1 Pa, flow: 1166"),
        ("pressure: 29.1 Pa, flow: 479", "pressure: 29.1 Pa, flow: 958"),
        ("pressure: 19.1 Pa, flow: 370", "pressure: 19.1 Pa, flow: 740"),
        ("pressure: 11.1 Pa, flow: 270", "pressure: 11.1 Pa, flow: 540"),
    ]);
    let leaky = check_file(&leaky.home()).unwrap();
    let q50 = |report: &Report| number(report, "home", "airtightness.best_q50");
    let budget = |report: &Report| number(report, "home", "airtightness.q50");
    // All but the one item that was open then, and is closed at the end, is twice as leaky.
    let ratio = q50(&leaky) / q50(&with);
    assert!((1.8..=2.3).contains(&ratio), "{ratio}");
    assert!((budget(&leaky) / budget(&with) - 1.0).abs() < 1e-12);
    // What is met is met by forecast: the required limit judges what nine homes in ten stay below.
    let limit = verdict(&with, "airtightness-targets/prescriptive-leakage", "home");
    assert_eq!(limit.outcome, Outcome::Met);
    assert!(limit.message.ends_with("; met by forecast, final test owed"), "{}", limit.message);
    let shown = number(&with, "home", "airtightness.shown_q50");
    assert!((shown / number(&with, "home", "airtightness.predicted_q50_high") - 1.0).abs() < 1e-12);
    let tight = verdict(&leaky, "passive-envelope/airtightness", "home");
    assert_eq!(tight.outcome, Outcome::Short, "{}", tight.message);
}

/// An emission that dies away faster than its age grows: the exponent of a power is no share and may exceed one.
#[test]
fn an_exponent_of_decay_may_exceed_one() {
    let copy = Copy::with(&[("decay: {power: 0.8}", "decay: {power: 1.3}")]);
    let report = check_file(&copy.home()).unwrap_or_else(|bad| panic!("{bad}"));
    let steep = |report: &Report| {
        let of = |what: &str| number(report, "air.home-toluene", &format!("materials.concentration{what}"));
        of("_one_year") / of("")
    };
    assert!(steep(&report) < steep(&check_file(&example("heron-lane")).unwrap()));
}

/// What a final test found cannot be put aside because a temperature was not written down: the home is as leaky as it was
/// found, until a better test says otherwise. 5,600 m³/h through some 1,400 m³ are 7 air changes, hand arithmetic, where
/// the codes ask for 3 and 5.
#[test]
fn a_final_test_that_is_not_valid_still_speaks_against_the_home() {
    let test = |flows: [u32; 5]| {
        let points = [50, 41, 32, 23, 14]
            .iter()
            .zip(flows)
            .map(|(pa, flow)| format!("{{pressure: -{pa} Pa, flow: {flow} m³/h}}"));
        let points = points.collect::<Vec<_>>().join(", ");
        let entry = format!(
            "  blower-door-final: {{kind: blower-door, stage: final, date: 2026-10-03, by: the verifier, zero_flow: [0.5 Pa, 0.4 Pa], points: [{points}]}}\n  ventilation-flows:\n"
        );
        Copy::with(&[("  ventilation-flows:\n", &entry)])
    };
    let leaky = test([5600, 4920, 4190, 3380, 2450]);
    let report = check_file(&leaky.home()).unwrap();
    let valid = report.facts.get(&"measurements.blower-door-final".into(), "airtightness.test_valid").unwrap();
    assert_eq!(valid.value, mateline_model::Value::Flag(false));
    let short = worse(&compared(&leaky));
    for rule in [
        "airtightness-targets/leakage-cap",
        "airtightness-targets/prescriptive-leakage",
        "passive-envelope/airtightness",
    ] {
        assert!(short.contains(&format!("short {rule} home")), "{rule}: {short:?}");
    }
    // One that found little does not show that it is so: the forecast stands.
    let tight = test([100, 88, 75, 60, 44]);
    let shown = |report: &Report| number(report, "home", "airtightness.shown_q50");
    let (before, after) = (check_file(&example("heron-lane")).unwrap(), check_file(&tight.home()).unwrap());
    assert_eq!(shown(&before), shown(&after));
}

/// Five terminals that give 2 cfm each leave 170 of the 295 cfm that are planned for all of them, by hand, and with that
/// 92 of the home's 160 cfm, where the ventilation standard asks for 130 (its equation: 0.03 · 3340 + 7.5 · 4).
#[test]
fn flows_that_were_measured_count_against_the_plan() {
    let copy = Copy::with(&[
        ("living: 24 cfm", "living: 2 cfm"),
        ("primary-bedroom: 31 cfm", "primary-bedroom: 2 cfm"),
        ("bedroom-3: 19 cfm", "bedroom-3: 2 cfm"),
        ("kitchen: 31 cfm", "kitchen: 2 cfm"),
        ("primary-bath: 29 cfm", "primary-bath: 2 cfm"),
    ]);
    let report = check_file(&copy.home()).unwrap();
    let measured = verdict(&report, "fresh-air/whole-dwelling-rate-measured", "home");
    assert_eq!(measured.outcome, Outcome::Short, "{}", measured.message);
    let flow = measured.value.as_ref().and_then(mateline_model::Value::number).unwrap().si;
    assert!((flow / 0.000_471_947 - 160.0 * 170.0 / 295.0).abs() < 0.1, "{}", measured.message);
}

/// Every sleeping room needs a way out (R310.1, looked up, second-hand), whatever else it is called.
#[test]
fn an_office_that_somebody_sleeps_in_needs_a_way_out() {
    let copy = Copy::with(&[("office: {use: office, in: B,", "office: {use: office, sleeps: 1, in: B,")]);
    let report = check_file(&copy.home()).unwrap();
    let escape = verdict(&report, "residential-code-2021/bedroom-escape-width", "spaces.office");
    assert_eq!(escape.outcome, Outcome::Unproven, "{}", escape.message);
    assert!(escape.message.contains("openings.office-north has no clear_width"), "{}", escape.message);
}

/// The limits of the energy code go by the kind of an assembly (Table R402.1.2, from memory, high): a wall that calls
/// itself a partition, or a floor over the open that is one, is not held against none.
#[test]
fn a_part_of_the_envelope_is_of_a_kind_that_has_a_limit() {
    let partition = Copy::with(&[("  wall:\n    kind: wall\n", "  wall:\n    kind: interior\n")]);
    let cold_cellar =
        Copy::with(&[("  kind: basement\n  conditioned: true", "  kind: basement\n  conditioned: false")]);
    for (copy, assembly) in [(partition, "assemblies.wall"), (cold_cellar, "assemblies.floor-over-basement")] {
        let report = check_file(&copy.home()).unwrap();
        let kind = verdict(&report, "energy-code-2021/kind-where-it-lies", assembly);
        assert_eq!((kind.outcome, kind.severity), (Outcome::Short, mateline_model::Severity::Required), "{assembly}");
    }
}

/// A batt is as good as its label, however deep the cavity (common practice, no source): R-13 in 2x6 with R-5 outside is
/// none of the walls that Table R402.1.3 lists for zone 6 (30, 20 and 5, 13 and 10, 20 outside; from memory, high).
#[test]
fn a_thin_batt_in_a_deep_cavity_is_no_thick_one() {
    let copy = Copy::with(&[
        ("          fill: cellulose-dense-pack\n", "          fill: fibreglass-batt-r13\n"),
        (
            "        thickness: 3 in\n        role: [continuous-insulation, water-barrier]",
            "        thickness: 1.2 in\n        role: [continuous-insulation, water-barrier]",
        ),
    ]);
    let report = check_file(&copy.home()).unwrap();
    let wall = verdict(&report, "energy-code-2021/wall-r-value", "assemblies.wall");
    assert_ne!(wall.outcome, Outcome::Met, "{}", wall.message);
    let cavity = number(&report, "assemblies.wall", "envelope.r_cavity") / 0.176_110_2;
    assert!((cavity - 13.0).abs() < 0.02, "R-{cavity}");
}
