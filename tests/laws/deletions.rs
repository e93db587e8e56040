//! Losing information never helps.

use super::homes::{self, Site};
use mateline_engine::pack::Rule;
use mateline_engine::{Options, Session};
use mateline_model::{Outcome, Report};
use mateline_tests::{engine, random::Random};
use rayon::prelude::*;
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Elements and items that a home is made of: one less is another home, of which other things are true. That nothing at
/// all is said of them is a deletion like any other.
const PARTS: [&str; 21] = [
    "modules.*",
    "spaces.*",
    "spaces.*.in.*",
    "openings.*",
    "penetrations.*",
    "finishes.*",
    "finishes.*.in.*",
    "finishes.*.contains.*",
    "finishes.*.emissions.*",
    "assemblies.*.layers.*",
    "enclosure.except.*",
    "foundation.except.*",
    "seams.*.sealed_by.*",
    "systems.ventilation.*",
    "systems.ventilation.*.supplies.*",
    "systems.ventilation.*.exhausts.*",
    "systems.ventilation.*.ducts.*",
    "systems.ventilation.*.fan_curve.*",
    "measurements.*.points.*",
    "site.months.*",
    "modules.*.sloped_ceiling",
];

/// Pointers to all that stands below a value.
fn pointers(value: &Value, here: &str, all: &mut Vec<String>) {
    let mut add = |step: String, value: &Value| {
        let pointer = format!("{here}/{step}");
        all.push(pointer.clone());
        pointers(value, &pointer, all);
    };
    match value {
        Value::Object(map) => map.iter().for_each(|(key, value)| add(key.replace('~', "~0").replace('/', "~1"), value)),
        Value::Array(list) => list.iter().enumerate().for_each(|(index, value)| add(index.to_string(), value)),
        _ => {}
    }
}

/// The home without what stands at a pointer.
fn without(home: &Value, pointer: &str) -> Value {
    let mut home = home.clone();
    let (parent, last) = pointer.rsplit_once('/').unwrap();
    match home.pointer_mut(parent).unwrap() {
        Value::Object(map) => drop(map.shift_remove(&last.replace("~1", "/").replace("~0", "~"))),
        Value::Array(list) => drop(list.remove(last.parse().unwrap())),
        _ => panic!("{pointer}"),
    }
    home
}

/// Whether a path is that of a pattern, whose `*` stand for any step.
fn fits(path: &[&str], pattern: &str) -> bool {
    let steps: Vec<&str> = pattern.split('.').collect();
    steps.len() == path.len() && begins(path, &steps)
}

/// Whether a path leads to a pattern's or to what holds it.
fn begins(path: &[&str], pattern: &[&str]) -> bool {
    path.len() <= pattern.len() && path.iter().zip(pattern).all(|(step, wanted)| *wanted == "*" || step == wanted)
}

fn steps(pointer: &str) -> Vec<&str> {
    pointer.split('/').skip(1).collect()
}

/// What may be deleted of a home: all but its parts.
fn deletions(home: &Value) -> Vec<String> {
    let mut all = Vec::new();
    pointers(home, "", &mut all);
    let how = ["judge_by", "parameters", "units", "home", "revision", "issues"];
    all.retain(|pointer| {
        let steps = steps(pointer);
        !how.contains(&steps[0]) && !PARTS.iter().any(|part| fits(&steps, part))
    });
    all
}

/// Every rule that comes with mateline, by its full name.
fn rules() -> &'static BTreeMap<String, Rule> {
    static RULES: OnceLock<BTreeMap<String, Rule>> = OnceLock::new();
    RULES.get_or_init(|| {
        let packs = mateline_rules::current().map(|(name, _)| engine().pack(name).unwrap());
        packs
            .flat_map(|pack| {
                pack.rules.iter().map(|rule| (format!("{}/{}", pack.id, rule.id), rule.clone())).collect::<Vec<_>>()
            })
            .collect()
    })
}

type Verdicts = BTreeMap<(String, String), (Outcome, String)>;

fn verdicts(report: &Report) -> Verdicts {
    let key = |v: &mateline_model::Verdict| (v.full_name(), v.subject.as_str().to_owned());
    report.verdicts.iter().map(|v| (key(v), (v.outcome, v.message.clone()))).collect()
}

fn is_open(outcome: Outcome) -> bool {
    matches!(outcome, Outcome::Short | Outcome::Unproven | Outcome::Waived)
}

/// Whether the home says something by leaving out what stands at a path (`x-absent` of its schema, which `mateline fields`
/// tells), or a rule says why it may be left out. Where the reason is that another rule of the pack asks
/// for it, that one is open.
fn is_excused(rule: &str, path: &[&str], after: &Verdicts) -> bool {
    if mateline_engine::load::Fields::of_home().said_by_absence(path).is_some() {
        return true;
    }
    let pack = rule.split('/').next().unwrap();
    // An item of a list goes with its list.
    let path = path.split_last().filter(|(last, _)| last.parse::<usize>().is_ok()).map_or(path, |(_, list)| list);
    rules()[rule].without.iter().any(|(pattern, why)| {
        let leads = begins(path, &pattern.split('.').collect::<Vec<_>>());
        leads
            && why.strip_suffix(" asks for it").is_none_or(|other| {
                let other = format!("{pack}/{other}");
                after.iter().any(|((name, _), (outcome, _))| *name == other && is_open(*outcome))
            })
    })
}

/// Whether a subject is described at a path or below it: ducts stand with their unit, emissions with their product.
fn goes_with(subject: &str, path: &[&str]) -> bool {
    let of_product = path.len() == 3 && path[0] == "finishes" && path[2] == "emissions";
    format!("{subject}.").starts_with(&format!("{}.", path.join(".")))
        || path[0] == "systems" && subject.starts_with("ducts.")
        || of_product && subject.starts_with(&format!("emissions.{}-", path[1]))
}

/// What a deletion helped: rule and subject with the outcomes before and after.
fn helped(pointer: &str, before: &Verdicts, after: &Verdicts) -> Vec<String> {
    let mut found = Vec::new();
    let path = steps(pointer);
    for ((rule, subject), (old, _)) in before {
        let new = after.get(&(rule.clone(), subject.clone()));
        let better = match new.map(|(outcome, _)| *outcome) {
            Some(Outcome::Met) => is_open(*old),
            // Another path to what is met without it: no rule rests on it.
            Some(Outcome::NotApplicable)
                if new.is_some_and(|(_, why)| why.starts_with("a path that nothing needs")) =>
            {
                false
            }
            Some(Outcome::NotApplicable) => is_open(*old) || *old == Outcome::Met,
            Some(_) => false,
            // An element goes with what was said of it.
            None => is_open(*old) && !goes_with(subject, &path),
        };
        if better && !is_excused(rule, &path, after) {
            let new = new.map_or("gone".to_owned(), |(outcome, message)| format!("{outcome} ({message})"));
            found.push(format!("without {}: {rule} of {subject} goes from {old} to {new}", path.join(".")));
        }
    }
    found
}

/// What so many deletions of each home helped, and how many of them left a home that can be checked.
fn tried(homes: Vec<Value>, each: usize, seed: u64) -> (usize, Vec<String>) {
    let of_home = |(number, home): (usize, &Value)| {
        let (session, site, mut random) = (Session::new(engine()), Site::new(), Random::of(seed + number as u64));
        let check = |home: &Value| session.check(&site.put(home), &Options::default());
        let Ok(before) = check(home) else { return (0, Vec::new()) };
        let (before, mut left) = (verdicts(&before), deletions(home));
        let (mut pairs, mut found) = (0, Vec::new());
        while pairs < each && !left.is_empty() {
            let pointer = left.swap_remove(random.below(left.len()));
            let Ok(after) = check(&without(home, &pointer)) else { continue };
            pairs += 1;
            found.extend(helped(&pointer, &before, &verdicts(&after)));
        }
        (pairs, found)
    };
    let all: Vec<(usize, Vec<String>)> = homes.par_iter().enumerate().map(of_home).collect();
    (all.iter().map(|(pairs, _)| pairs).sum(), all.into_iter().flat_map(|(_, found)| found).collect())
}

fn hold(homes: Vec<Value>, each: usize, least: usize) {
    let (pairs, found) = tried(homes, each, 3);
    println!("{pairs} pairs of home and deletion");
    assert!(found.is_empty(), "{} of {pairs} pairs:\n{}", found.len(), found.join("\n"));
    assert!(pairs >= least, "{pairs}");
}

#[test]
fn losing_information_never_helps() {
    let examples = homes::EXAMPLES.map(homes::example);
    hold(examples.into_iter().chain((0..4).map(homes::random)).collect(), 8, 40);
}

/// A bad reading on the way makes a required limit short. Taken out, the limit is met by the budget alone: the verdict says
/// so, and the rules that ask for both tests are open.
#[test]
fn a_bad_test_taken_out_is_asked_for() {
    let (session, site) = (Session::new(engine()), Site::new());
    let mut home = homes::example("heron-lane");
    for point in home["measurements"]["blower-door-rough"]["points"].as_array_mut().unwrap() {
        let flow = mateline_model::quantity::parse(point["flow"].as_str().unwrap()).unwrap().si;
        point["flow"] = format!("{} m³/h", 5.0 * 3600.0 * flow).into();
    }
    let rule = |report: &Report, name: &str| report.verdicts.iter().find(|v| v.full_name() == name).unwrap().clone();
    let check =
        |home: &Value| session.check(&site.put(home), &Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
    let (limit, on_the_way) = ("airtightness-targets/prescriptive-leakage", "airtightness-targets/test-on-the-way");
    let bad = check(&home);
    assert_eq!(rule(&bad, limit).outcome, Outcome::Short, "{}", rule(&bad, limit).message);
    assert_eq!(rule(&bad, on_the_way).outcome, Outcome::Met);
    let none = check(&without(&home, "/measurements/blower-door-rough"));
    let found = rule(&none, limit);
    assert_eq!(found.outcome, Outcome::Met);
    assert_eq!(found.provisional.as_deref(), Some("met by forecast, final test owed"));
    assert!(
        is_open(rule(&none, on_the_way).outcome) && is_open(rule(&none, "airtightness-targets/final-test").outcome)
    );
}

/// A unit that recovers and does not say how much is not one that recovers nothing: a larger load would make a machine seem
/// none too large, and drier air an assembly dry.
#[test]
fn a_recovery_taken_out_is_asked_for() {
    let (session, site) = (Session::new(engine()), Site::new());
    let home = homes::example("heron-lane");
    let units = home["systems"]["ventilation"].as_object().unwrap();
    let recovering = units.iter().filter(|(_, unit)| unit.get("sensible_recovery").is_some());
    let heat = ["energy.heating_load", "energy.heating_need"];
    let mut owed: Vec<(&String, &str, [&str; 2])> = recovering.map(|(id, _)| (id, "sensible_recovery", heat)).collect();
    assert_eq!(owed.len(), 2, "{owed:?}");
    let returning = units.iter().filter(|(_, unit)| unit["kind"] == "energy-recovery");
    let water = ["energy.latent_load", "moisture.excess_by_balance"];
    owed.extend(returning.map(|(id, _)| (id, "latent_recovery", water)));
    assert_eq!(owed.len(), 3, "{owed:?}");
    for (id, field, facts) in owed {
        let home = site.put(&without(&home, &format!("/systems/ventilation/{id}/{field}")));
        let report = session.check(&home, &Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
        for fact in facts {
            let is_it =
                |missing: &&mateline_model::Missing| missing.quantity == fact && missing.subject.as_str() == "home";
            let missing = report.missing.iter().find(is_it);
            let missing = missing.unwrap_or_else(|| panic!("{fact} is known without {field} of {id}"));
            let because = format!("systems.ventilation.{id} has no {field}");
            assert!(missing.because.contains(&because), "{fact}: {}", missing.because);
        }
    }
}

/// A record that was issued after a product was used shows nothing of it. That the day of use is then left out, so that the
/// product is taken for planned, helps no rule but those that say so.
#[test]
fn a_day_of_use_taken_out_is_said_by_the_rules_that_read_it() {
    without_days_of_use(5);
}

#[test]
#[ignore = "takes a minute: every product"]
fn any_day_of_use_taken_out_is_said_by_the_rules_that_read_it() {
    without_days_of_use(1);
}

/// Each product of a stride.
fn without_days_of_use(stride: usize) {
    let (session, site) = (Session::new(engine()), Site::new());
    let check = |home: &Value| {
        verdicts(&session.check(&site.put(home), &Options::default()).unwrap_or_else(|bad| panic!("{bad}")))
    };
    let mut home = homes::example("heron-lane");
    let finishes = home["finishes"].as_object_mut().unwrap();
    let rested: Vec<String> =
        finishes.iter().filter(|(_, finish)| finish["evidence"].is_array()).map(|(id, _)| id.clone()).collect();
    for id in &rested {
        finishes[id]["used_on"] = "2001-01-01".into();
    }
    let before = check(&home);
    let planned = check(&homes::example("heron-lane"));
    assert!(planned.iter().any(|(key, (outcome, _))| *outcome == Outcome::Met && before[key].0 == Outcome::Unproven));
    let found: Vec<String> = rested
        .iter()
        .step_by(stride)
        .flat_map(|id| {
            let pointer = format!("/finishes/{id}/used_on");
            helped(&pointer, &before, &check(&without(&home, &pointer)))
        })
        .collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
#[ignore = "takes many minutes: every deletion of the examples"]
fn losing_information_never_helps_anywhere() {
    hold(homes::EXAMPLES.map(homes::example).to_vec(), usize::MAX, 1_000);
}

#[test]
#[ignore = "takes many minutes: 10,000 deletions of random homes"]
fn losing_information_never_helps_in_random_homes() {
    hold((100..500).map(homes::random).collect(), 25, 9_000);
}
