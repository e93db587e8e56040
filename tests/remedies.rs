//! What would it take: the limit found is the least that does, what is suggested gives what it promised when it is
//! checked from nothing, and what is written changes one value and nothing else.

use mateline_engine::load::{Edit, written};
use mateline_engine::remedies::{Levers, Reached, Remedy, Search, Target};
use mateline_engine::{Engine, Options, Session};
use mateline_model::quantity::parse;
use mateline_model::{Outcome, Report, Verdict};
use mateline_tests::{Copy, check_file, engine};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

fn search(home: &Path) -> Search<'_> {
    Search::new(engine(), home, Options::default()).unwrap_or_else(|bad| panic!("{bad}"))
}

fn verdict<'a>(report: &'a Report, rule: &str, subject: &str) -> &'a Verdict {
    let is_it = |v: &&Verdict| v.full_name() == rule && v.subject.as_str() == subject;
    report.verdicts.iter().find(is_it).unwrap_or_else(|| panic!("no verdict {rule} {subject}"))
}

/// The starter with a thinner board: its wall misses the energy code, and a thicker board mends it.
fn thin() -> (Copy, &'static str, &'static str) {
    let copy = Copy::of("starter");
    let home = copy.home();
    let text = std::fs::read_to_string(&home).unwrap();
    let thin = text.replacen(BOARD, "thickness: 1/2 in, role: continuous-insulation", 1);
    let thin = thin.replacen("codes: {energy: 2021}", "codes: {energy: 2021, energy_path: by-component}", 1);
    assert_ne!(text, thin, "the starter's wall has the board that is thinned");
    std::fs::write(&home, thin).unwrap();
    (copy, "energy-code-2021/wall-u-factor", "assemblies.wall")
}

const BOARD: &str = "thickness: 2 in, role: continuous-insulation";

/// The limit is the least thickness, to a hundredth of the step, at which the verdict is met; a hundredth less does not
/// meet it. Checked from nothing, the home with the change written into its file gives what was promised; all else in the
/// file stays, byte for byte.
#[test]
fn what_is_suggested_is_the_least_that_does_and_gives_what_it_promised() {
    let (copy, rule, subject) = thin();
    let home = copy.home();
    let search = search(&home);
    let short = verdict(search.base(), rule, subject);
    assert_eq!(short.outcome, Outcome::Short, "{}", short.message);
    let remedies = search.remedies(short);
    let boards = remedies.iter().filter(|r| r.changes[0].edit.path.last().is_some_and(|last| last == "thickness"));
    assert_eq!(boards.map(|remedy| least(remedy, &home, rule, subject)).count(), 1, "{remedies:?}");
    let text = std::fs::read_to_string(&home).unwrap();
    for remedy in remedies {
        assert_eq!(remedy.changes.len(), 1, "a single change does it");
        if let (Ok(to), Ok(now)) = (parse(&remedy.changes[0].edit.text), parse(&remedy.changes[0].now)) {
            assert!(to.si > now.si, "thinner is no remedy: {remedy:?}");
        }
        let loaded = search.loaded();
        let new = written(&loaded.tree, loaded.project.files(), &remedy.edits()).unwrap_or_else(|why| panic!("{why}"));
        let [(_, new)] = new.as_slice() else { panic!("{new:?}") };
        let differing = std::iter::zip(text.lines(), new.lines()).filter(|(old, new)| old != new).count();
        assert_eq!((differing, text.lines().count()), (1, new.lines().count()));
        std::fs::write(&home, new).unwrap();
        let after = check_file(&home).unwrap_or_else(|bad| panic!("{bad}"));
        std::fs::write(&home, &text).unwrap();
        assert_eq!(verdict(&after, rule, subject).outcome, Outcome::Met);
        let is_open = |v: &Verdict| matches!(v.outcome, Outcome::Short | Outcome::Unproven);
        for (turned, open) in remedy.better.iter().map(|t| (t, false)).chain(remedy.worse.iter().map(|t| (t, true))) {
            assert_eq!(is_open(verdict(&after, &turned.rule, &turned.subject)), open, "{turned:?}");
        }
    }
}

fn least(remedy: &Remedy, home: &Path, rule: &str, subject: &str) {
    let steps =
        ["1/2 in", "3/4 in", "1 in", "1 1/2 in", "2 in", "2 1/2 in", "3 in"].map(|step| parse(step).unwrap().si);
    let change = &remedy.changes[0];
    let bought = parse(&change.edit.text).unwrap().si;
    let before = steps.into_iter().filter(|step| *step < bought).fold(0.0, f64::max);
    let session = Session::new(engine());
    let is_met = |thickness: f64| {
        let edit = Edit { path: change.edit.path.clone(), text: format!("{thickness} m") };
        let report = session.check_edited(home, &[edit], &Options::default()).unwrap();
        verdict(&report, rule, subject).outcome == Outcome::Met
    };
    let limit = change.limit.as_ref().map_or(bought, |limit| parse(limit).unwrap().si);
    let at = |step: f64| before + (bought - before) * step / 100.0;
    // Told to a tenth of a hundredth, rounded to the side that does.
    let number = ((limit - before) / (bought - before) * 100.0 - 1e-6).floor();
    assert!(is_met(limit) && !is_met(at(number - 0.01)), "{limit}: a hundredth less does not do");
}

/// A lever that names nothing, has no step, steps of several kinds or a price that is none is refused at its line; so is
/// one with a side that is none.
#[test]
fn levers_that_cannot_be_are_refused() {
    let lever = |field: &str, steps: &str| {
        format!("one:\n  title: a\n  field: {field}\n  moves: [envelope.]\n  steps: {steps}\n")
    };
    let u = |more: &str| lever("openings.ID.u_factor", "[1 W/(m²·K)]") + more;
    for (text, message) in [
        (lever("openings.ID.u_facto", "[1 W/(m²·K)]"), "a home has no field openings.ID.u_facto"),
        (lever("openings.ID.u_factor", "[]"), "the lever one has no step"),
        (lever("openings.ID.u_factor", "[1 W/(m²·K), 2 in]"), "the steps of the lever one have units of several kinds"),
        (u("  towards: up\n"), "up"),
        (u("  prices: {1 W/(m²·K): 12}\n"), "the price '12' of the lever one is not money"),
        (u("  prices: {2 in: 12 $}\n"), "the lever one has a price of 2 in, which is no step of its kind"),
        (u("  prices: {1 W/(m²·K): 12 $}\n  per: takeoff.area\n"), "is not money by what it is a price of"),
        (u("  brings: {2 W/(m²·K): {shgc: 30 %}}\n"), "with 2 W/(m²·K), which is none of its steps"),
        (u("  brings: {1 W/(m²·K): {sgc: 30 %}}\n"), "a home has no field openings.ID.sgc"),
        (u("  along: [openings.ID.sgc]\n"), "a home has no field openings.ID.sgc"),
        ("one: {title: a}".to_owned(), "the lever one says no field"),
        ("levers: [".to_owned(), ""),
    ] {
        let bad = Levers::read("levers.yaml", &text).unwrap_err();
        assert!(bad.problems.iter().any(|problem| problem.message.contains(message)), "{message}: {bad}");
    }
    Levers::read("levers.yaml", mateline_rules::LEVERS).unwrap_or_else(|bad| panic!("{bad}"));
}

/// The starter with its thin board, and what a home says of levers.
fn priced(levers: &str) -> Copy {
    let (copy, ..) = thin();
    let home = copy.home();
    let text = std::fs::read_to_string(&home).unwrap();
    std::fs::write(&home, text + levers).unwrap();
    copy
}

/// A price is the difference between two sizes, times the area that it is by; what lies between two sizes costs in
/// proportion. A forbidden lever is not tried, and a firm's or home's own comes first.
#[test]
fn a_home_prices_alters_and_forbids_levers() {
    let copy = priced(
        "\nlevers:\n  outside-insulation:\n    per: takeoff.net_area\n    prices: {0.4 in: 1 $/ft², 1 in: 2.2 $/ft², 2 in: 3 $/ft²}\n  \
         member-size: {forbidden: the plant frames in one size}\n  cavity-fill: {forbidden: one fill}\n",
    );
    let home = copy.home();
    let search = search(&home);
    let short = verdict(search.base(), "energy-code-2021/wall-u-factor", "assemblies.wall");
    let found = search.remedies(short);
    assert!(found.iter().all(|remedy| remedy.changes[0].edit.path.last().is_some_and(|last| last == "thickness")));
    let [remedy] = found.as_slice() else { panic!("{found:?}") };
    let area = search.base().facts.get(&"assemblies.wall".into(), "takeoff.net_area").unwrap().value.number().unwrap();
    let per_foot = |size: &str| match size {
        "1 in" => 2.2,
        "1 1/2 in" => 2.6,
        "2 in" => 3.0,
        other => panic!("{other} has no price here"),
    };
    // 1/2 in lies a sixth of the way from 0.4 to 1 in.
    let expected = (per_foot(&remedy.changes[0].edit.text) - 1.2) * area.si / 0.3048_f64.powi(2);
    assert!((remedy.price().unwrap() - expected).abs() < 1e-6 * expected, "{remedy:?}, {expected}");
    assert!(remedy.changes[0].price.unwrap().is_near);
    assert_eq!(search.levers().forbidden().map(|(name, _)| name).collect::<Vec<_>>(), ["member-size", "cavity-fill"]);

    for (said, message) in [
        ("outside-insulation: {per: takeoff.net_areas}", "no plugin finds takeoff.net_areas"),
        ("outside-insulation: {per: takeoff.net_area, prices: {1 in: 4 $/ft}}", "is no price by takeoff.net_area"),
        ("foundation-kind: {priced_by: envelope.ua of home}", "is no amount of money of something"),
        ("foundation-kind: {per: takeoff.net_area}", "stands beside a price per something"),
        ("roof-colour: {steps: [1 in]}", "none of its name comes with mateline"),
    ] {
        let copy = priced(&format!("\nlevers:\n  {said}\n"));
        let home = copy.home();
        let bad = engine().check(&home, &Options::default()).expect_err(message);
        let told = bad.problems.iter().find(|problem| problem.message.contains(message));
        assert!(told.is_some_and(|told| told.at.line > 1), "{message}: {bad}");
    }
}

/// A value that others share by an anchor is one value: all of them are tried, priced and told together.
#[test]
fn values_that_are_one_are_changed_together() {
    let (copy, rule, subject) = thin();
    let home = copy.home();
    let text = std::fs::read_to_string(&home).unwrap();
    let shared = text.replacen(
        "thickness: 1/2 in, role: continuous-insulation",
        "thickness: *foam, role: continuous-insulation",
        1,
    );
    let shared =
        shared.replacen("thickness: 7/16 in, role: air-barrier", "thickness: &foam 1/2 in, role: air-barrier", 1);
    std::fs::write(&home, &shared).unwrap();
    let search = search(&home);
    let found = search.remedies(verdict(search.base(), rule, subject));
    let change =
        found.iter().flat_map(|r| &r.changes).find(|change| !change.shared.is_empty()).expect("a shared value");
    assert_eq!(change.edits().len(), 2);
    let loaded = search.loaded();
    let written = written(&loaded.tree, loaded.project.files(), &change.edits()).unwrap();
    assert_eq!(written[0].1, shared.replace("&foam 1/2 in", &format!("&foam {}", change.edit.text)));
}

/// A section may lie in another: a unit's own recovery turns a verdict on the unit, and what it spoils is told with it.
#[test]
fn a_value_of_a_unit_turns_a_verdict_on_the_unit() {
    let home = mateline_tests::example("sparrow-court");
    let search = search(&home);
    let (rule, subject) = ("fresh-air/supply-temperature", "systems.ventilation.unit");
    let found = search.remedies(verdict(search.base(), rule, subject));
    let changes: Vec<String> = found.iter().flat_map(|r| &r.changes).map(|change| change.edit.path.join(".")).collect();
    assert_eq!(changes, ["systems.ventilation.unit.sensible_recovery"]);
    let worse: Vec<&str> = found[0].worse.iter().map(|turned| turned.rule.as_str()).collect();
    assert_eq!(worse, ["fresh-air/frost-protection"]);
}

/// Where neither of two values can be brought far enough, both together are told, and give what they promise; a step less
/// of either does not.
#[test]
fn two_changes_do_what_one_cannot() {
    let copy = priced(
        "\nlevers:\n  outside-insulation: {steps: [5/8 in, 3/4 in]}\n  foam-layer: {forbidden: one board only}\n  \
         member-size: {forbidden: the plant frames in one size}\n  member-spacing: {forbidden: the plant frames in one \
         way}\n  cavity-fill: {steps: [cellulose-dense-pack, mineral-wool-batt]}\n",
    );
    let home = copy.home();
    let search = search(&home);
    let (rule, subject) = ("energy-code-2021/wall-u-factor", "assemblies.wall");
    let found = search.remedies(verdict(search.base(), rule, subject));
    let [remedy] = found.as_slice() else { panic!("{found:?}") };
    let session = Session::new(engine());
    let is_met = |edits: &[Edit]| {
        let report = session.check_edited(&home, edits, &Options::default()).unwrap();
        verdict(&report, rule, subject).outcome == Outcome::Met
    };
    let edits = remedy.edits();
    assert!(edits.len() == 2 && is_met(&edits), "{remedy:?}");
    assert!(!is_met(&edits[..1]) && !is_met(&edits[1..]), "{remedy:?}");
}

/// Windows from a list: each product comes with all that it is, the first that does is taken, and nothing lies between two.
/// The products are invented.
#[test]
fn a_product_comes_with_all_that_it_is() {
    let products = "\nlevers:\n  windows-of-the-list:\n    title: window from our list\n    field: openings.ID.u_factor\n    \
         beside: {kind: [window]}\n    towards: less\n    \
         steps: [\"0.26 Btu/(h·ft²·°F)\", \"0.18 Btu/(h·ft²·°F)\"]\n    \
         brings:\n      \"0.26 Btu/(h·ft²·°F)\": {shgc: 45 %, air_leakage: 0.05 cfm/ft²}\n      \
         \"0.18 Btu/(h·ft²·°F)\": {shgc: 24 %}\n    moves: [envelope., energy., u_factor]\n";
    let copy = Copy::of("starter");
    let home = copy.home();
    let text = std::fs::read_to_string(&home).unwrap();
    let text = text.replacen("codes: {energy: 2021}", "codes: {energy: 2021, energy_path: by-component}", 1);
    assert!(text.contains("u_factor: 0.24 Btu/(h·ft²·°F)\n    shgc: 0.38\n    air_leakage: 0.05 cfm/ft²"));
    let text = text.replacen("u_factor: 0.24 Btu/(h·ft²·°F)", "u_factor: 0.38 Btu/(h·ft²·°F)", 1);
    std::fs::write(&home, text + products).unwrap();
    let search = search(&home);
    let is_it = |v: &&Verdict| v.full_name() == "energy-code-2021/window-u-factor" && v.outcome == Outcome::Short;
    let short = search.base().verdicts.iter().find(is_it).expect("a window is short");
    let found = search.remedies(short);
    let of_south = |remedy: &&Remedy| remedy.changes[0].edit.path.join(".") == "openings.w-south.u_factor";
    let remedy = found.iter().find(of_south).expect("a change of the poor window");
    let change = &remedy.changes[0];
    assert_eq!((change.title.as_str(), change.edit.text.as_str()), ("window from our list", "0.26 Btu/(h·ft²·°F)"));
    assert!(change.limit.is_none(), "{change:?}");
    let [along] = change.along.as_slice() else { panic!("the same air leakage is no change: {change:?}") };
    assert_eq!((along.path.last().map(String::as_str), along.text.as_str()), (Some("shgc"), "45 %"));
    let edited = Session::new(engine()).check_edited(&home, &remedy.edits(), &Options::default()).unwrap();
    assert_eq!(verdict(&edited, &short.full_name(), short.subject.as_str()).outcome, Outcome::Met);
}

/// The way to a pack meets what levers reach, at a cost that grows from change to change while less is left open; its end
/// is what a home with all its changes says.
#[test]
fn the_way_to_a_pack_ends_where_its_changes_lead() {
    let (copy, rule, subject) = thin();
    let home = copy.home();
    let search = search(&home);
    let way = search.towards(Target { pack: "energy-code-2021", required_only: true, most: 500 });
    assert!(matches!(way.reached, Reached::Cheapest { .. }), "{way:?}");
    assert!(way.bought.windows(2).all(|pair| pair[0].cost <= pair[1].cost), "{way:?}");
    let edits: Vec<Edit> = way.bought.iter().flat_map(|bought| bought.change.edits()).collect();
    let report = Session::new(engine()).check_edited(&home, &edits, &Options::default()).unwrap();
    assert_eq!(verdict(&report, rule, subject).outcome, Outcome::Met);
    let open = report.verdicts.iter().filter(|v| v.pack == "energy-code-2021" && v.outcome == Outcome::Short);
    let open = open.filter(|v| v.severity == mateline_model::Severity::Required).count();
    assert_eq!(open, way.beyond.len(), "{way:?}");
}

/// A store that counts how often it is asked.
#[derive(Default)]
struct Counting(AtomicUsize);

impl mateline_plugins::Store for Counting {
    fn fetch(&self, name: &str) -> Option<Vec<u8>> {
        self.0.fetch_add(1, Ordering::Relaxed);
        mateline_tests::shelf().fetch(name)
    }

    fn keep(&self, name: &str, bytes: &[u8]) {
        mateline_tests::shelf().keep(name, bytes);
    }
}

/// What rough trials find is what trials with the plugins as they are find: of a verdict on which heat through junctions
/// bears, the same changes, limits and prices.
#[test]
fn rough_trials_change_no_answer() {
    let home = mateline_tests::example("heron-lane");
    let as_they_are = || {
        let plugins = mateline_plugins::built_in_with(mateline_tests::shelf());
        let engine = Engine::new(plugins, mateline_rules::PACKS, mateline_plugins::materials().clone()).unwrap();
        engine.with_levers(mateline_rules::LEVERS)
    };
    let counting = Arc::new(Counting::default());
    let (fully, roughly) = (as_they_are(), as_they_are().trying_with(mateline_plugins::roughly(counting.clone())));
    let told = |engine| {
        let search = Search::new(engine, &home, Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
        let found = search.remedies(verdict(search.base(), "moisture-control/peak-water", "assemblies.basement-wall"));
        found.iter().map(|remedy| format!("{remedy:?}")).collect::<Vec<_>>()
    };
    let found = told(&fully);
    assert!(!found.is_empty());
    assert_eq!(told(&roughly), found);
    assert!(counting.0.load(Ordering::Relaxed) > 0, "sections were tried roughly");
}

/// Twelve mean days in the place of the file, so that the search is short (monthly means of the reference notes' Greensboro,
/// rounded; radiation from memory).
const MEAN_DAYS: &str = "  months:
    jan: {temperature: 33 °F, humidity: 65 %, radiation: 2.4 kWh/(m²·d)}
    feb: {temperature: 41 °F, humidity: 63 %, radiation: 3.2 kWh/(m²·d)}
    mar: {temperature: 53 °F, humidity: 62 %, radiation: 4.3 kWh/(m²·d)}
    apr: {temperature: 58 °F, humidity: 62 %, radiation: 5.3 kWh/(m²·d)}
    may: {temperature: 66 °F, humidity: 68 %, radiation: 5.8 kWh/(m²·d)}
    jun: {temperature: 74 °F, humidity: 71 %, radiation: 6.1 kWh/(m²·d)}
    jul: {temperature: 78 °F, humidity: 74 %, radiation: 5.9 kWh/(m²·d)}
    aug: {temperature: 77 °F, humidity: 75 %, radiation: 5.3 kWh/(m²·d)}
    sep: {temperature: 68 °F, humidity: 74 %, radiation: 4.6 kWh/(m²·d)}
    oct: {temperature: 56 °F, humidity: 70 %, radiation: 3.7 kWh/(m²·d)}
    nov: {temperature: 51 °F, humidity: 68 %, radiation: 2.6 kWh/(m²·d)}
    dec: {temperature: 40 °F, humidity: 67 %, radiation: 2.1 kWh/(m²·d)}
";

/// Glass, shading, recovery, the machine and the array: a requirement on the year's energy that is a little beyond what the home
/// does is met by each of the levers that it should be met by. Each change, written into the file and checked from nothing,
/// turns the verdicts that it promised. First principles: less sun through glass needs less cooling, and less heat with the
/// fans' air needs less heating.
#[test]
fn levers_of_energy_give_what_they_promised() {
    let wanted = ["window-shgc", "overhang", "recovery", "heating-output", "solar-power"];
    let levers: serde_json::Value = serde_yaml::from_str(mateline_rules::LEVERS).unwrap();
    let others = levers.as_object().unwrap().keys().filter(|id| !wanted.contains(&id.as_str()));
    let forbidden: String = others.map(|id| format!("  {id}: {{forbidden: not tried here}}\n")).collect();
    let copy = Copy::edited(
        "sparrow-court",
        &[
            ("judge_by: [energy-code-2021, airtightness-targets, fresh-air]", "judge_by: [./ours.yaml]"),
            ("weather: {file: weather/greensboro.csv} # the public TMY3 year; its head says where it comes from\n", ""),
            ("  codes: {energy: 2021} # as if the authority had said so\n", MEAN_DAYS),
        ],
    );
    let home = copy.home();
    let text = format!("{}\nlevers:\n{forbidden}", std::fs::read_to_string(&home).unwrap());
    std::fs::write(&home, &text).unwrap();
    let pack = |[cooling, heating, yielded]: [f64; 3]| {
        let rule = |id: &str, value: &str, limit: &str| {
            format!(
                "  {id}: {{title: Ours, value: {value}, {limit}, source: page 3, provenance: looked up, if_short: Change it.}}\n"
            )
        };
        let rules = [
            rule("cooling", "energy.hourly_cooling_need", &format!("at_most: {cooling} kWh")),
            rule("heating", "energy.heating_need", &format!("at_most: {heating} kWh")),
            rule("array", "energy.solar_yield", &format!("at_least: {yielded} kWh")),
            rule("machine", "systems.heating.output", "at_least: {fact: energy.heating_load, times: 1.6}"),
        ];
        format!("pack: ours\ntitle: Ours\nsource: Manual\nrules:\n{}", rules.concat())
    };
    let ours = home.with_file_name("ours.yaml");
    std::fs::write(&ours, pack([0.0; 3])).unwrap();
    let before = check_file(&home).unwrap_or_else(|bad| panic!("{bad}"));
    let of = |quantity: &str| mateline_tests::number(&before, "home", quantity) / 3.6e6;
    let beyond =
        [0.98 * of("energy.hourly_cooling_need"), 0.99 * of("energy.heating_need"), 1.1 * of("energy.solar_yield")];
    std::fs::write(&ours, pack(beyond)).unwrap();
    let search = search(&home);
    for (rule, fields) in [
        ("cooling", ["shgc", "overhang"].as_slice()),
        ("heating", &["sensible_recovery"]),
        ("array", &["power"]),
        ("machine", &["output"]),
    ] {
        let name = format!("ours/{rule}");
        let short = verdict(search.base(), &name, "home");
        assert_eq!(short.outcome, Outcome::Short, "{}", short.message);
        let remedies = search.remedies(short);
        for field in fields {
            let by = |remedy: &&Remedy| {
                remedy.changes.iter().all(|change| change.edit.path.last().is_some_and(|last| last == field))
            };
            let remedy = remedies.iter().find(by).unwrap_or_else(|| panic!("no {field} for {rule}: {remedies:?}"));
            let loaded = search.loaded();
            let new =
                written(&loaded.tree, loaded.project.files(), &remedy.edits()).unwrap_or_else(|why| panic!("{why}"));
            std::fs::write(&home, &new[0].1).unwrap();
            let after = check_file(&home).unwrap_or_else(|bad| panic!("{bad}"));
            std::fs::write(&home, &text).unwrap();
            assert_eq!(verdict(&after, &name, "home").outcome, Outcome::Met, "{field}: {remedy:?}");
            for (turned, open) in remedy.better.iter().map(|t| (t, false)).chain(remedy.worse.iter().map(|t| (t, true)))
            {
                let outcome = verdict(&after, &turned.rule, &turned.subject).outcome;
                assert_eq!(matches!(outcome, Outcome::Short | Outcome::Unproven), open, "{field}: {turned:?}");
            }
        }
    }
}
