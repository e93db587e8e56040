//! What a home is called, where it stands and how it is written down changes nothing but names and places.

use super::homes::{self, Site};
use mateline_engine::Options;
use mateline_model::quantity::{Dimension, parse};
use mateline_model::{Entry, Report, Value as Worth};
use mateline_tests::{engine, random::Random};
use rayon::prelude::*;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// Small examples; that of every section takes as long as both.
const TRIED: [&str; 2] = ["willow-pair", "starter"];

/// What a report says, by what it says it of: facts with their values, verdicts with their outcomes.
struct Said(BTreeMap<String, Worth>);

impl Said {
    /// With names and words as `plain` makes them.
    fn of(report: &Report, plain: impl Fn(&str) -> String) -> Said {
        let (mut said, mut flows) = (BTreeMap::new(), Vec::new());
        for entry in report.entries() {
            let (subject, quantity, value) = match entry {
                Entry::Known(fact) => (&fact.subject, &fact.quantity, fact.value.clone()),
                Entry::Unknown(missing) => (&missing.subject, &missing.quantity, Worth::Text(missing.because.clone())),
            };
            if is_named_by_order(subject.section(), quantity) {
                if let Worth::Number(flow) = value {
                    flows.push((quantity.to_string(), flow));
                }
                continue;
            }
            let value = match value {
                Worth::Text(text) => Worth::Text(words(&plain(&text))),
                other => other,
            };
            said.insert(format!("{} {quantity}", plain(subject.as_str())), value);
        }
        flows.sort_by(|(a, x), (b, y)| a.cmp(b).then(x.si.total_cmp(&y.si)));
        for (number, (quantity, flow)) in flows.into_iter().enumerate() {
            said.insert(format!("flow {number} {quantity}"), Worth::Number(flow));
        }
        for verdict in &report.verdicts {
            let name = format!("{} {}", verdict.full_name(), plain(verdict.subject.as_str()));
            said.insert(name, Worth::Text(verdict.outcome.to_string()));
        }
        Said(said)
    }

    /// What the other says differently; numbers to within what iterations and sums in another order leave.
    fn differences(&self, other: &Said) -> Vec<String> {
        let names: std::collections::BTreeSet<&String> = self.0.keys().chain(other.0.keys()).collect();
        let same = |a: &Worth, b: &Worth| match (a, b) {
            (Worth::Number(a), Worth::Number(b)) => {
                a.dimension == b.dimension && (a.si - b.si).abs() <= 1e-6 * a.si.abs().max(b.si.abs()) + 1e-12
            }
            _ => a == b,
        };
        let differs = |name: &&String| match (self.0.get(*name), other.0.get(*name)) {
            (Some(a), Some(b)) => !same(a, b),
            _ => true,
        };
        names
            .into_iter()
            .filter(differs)
            .map(|name| format!("{name}: {:?} {:?}", self.0.get(name), other.0.get(name)))
            .collect()
    }
}

/// Zones of air are named after the first of their rooms in the home's order, and ways of air after zones: their names
/// follow that order, what flows does not.
fn is_named_by_order(section: &str, quantity: &str) -> bool {
    ["airways", "zones"].contains(&section) || quantity == "ventilation.zone"
}

/// The words of a text in alphabetical order: lists of names follow the order of the home.
fn words(text: &str) -> String {
    let mut words: Vec<&str> = text.split([' ', ',']).filter(|word| !word.is_empty()).collect();
    words.sort_unstable();
    words.join(" ")
}

fn checked(home: &Value) -> Report {
    engine().check(&Site::new().put(home), &Options::default()).unwrap_or_else(|bad| panic!("{bad}"))
}

/// Everything in a tree that is a text, changed where `change` says so.
fn texts(value: &mut Value, change: &mut impl FnMut(&str) -> Option<String>) {
    match value {
        Value::String(text) => {
            if let Some(new) = change(text) {
                *text = new;
            }
        }
        Value::Array(list) => list.iter_mut().for_each(|item| texts(item, change)),
        Value::Object(map) => map.values_mut().for_each(|item| texts(item, change)),
        _ => {}
    }
}

/// Every length in millimetres, every area in square metres.
fn in_other_units(home: &mut Value) {
    texts(home, &mut |text| {
        let quantity = parse(text).ok()?;
        match quantity.dimension {
            Dimension::LENGTH => Some(format!("{} mm", quantity.si * 1000.0)),
            Dimension::AREA => Some(format!("{} m²", quantity.si)),
            _ => None,
        }
    });
}

/// Every mapping in another order.
fn shuffled(value: &mut Value, random: &mut Random) {
    match value {
        Value::Array(list) => list.iter_mut().for_each(|item| shuffled(item, random)),
        Value::Object(map) => {
            let mut entries: Vec<(String, Value)> = std::mem::take(map).into_iter().collect();
            for at in (1..entries.len()).rev() {
                entries.swap(at, random.below(at + 1));
            }
            entries.iter_mut().for_each(|(_, value)| shuffled(value, random));
            map.extend(entries);
        }
        _ => {}
    }
}

/// Boxes elsewhere: so far to the east and north.
fn moved(home: &mut Value, by: f64) {
    each_module(home, |module| {
        for axis in ["x", "y"] {
            let at = parse(module["at"][axis].as_str().unwrap()).unwrap().si;
            module["at"][axis] = json!(format!("{} m", at + by));
        }
    });
}

/// East for west or south for north.
fn mirrored(home: &mut Value, axis: &str, sides: [&str; 2]) {
    each_module(home, |module| {
        let of = |field: &str| parse(module[field][axis].as_str().unwrap()).unwrap().si;
        module["at"][axis] = json!(format!("{} m", -of("at") - of("size")));
    });
    facing(home, &|text| sides.iter().position(|side| *side == text).map(|at| sides[1 - at].to_owned()));
}

/// Every text that says where something looks.
fn facing(value: &mut Value, change: &impl Fn(&str) -> Option<String>) {
    match value {
        Value::Array(list) => list.iter_mut().for_each(|item| facing(item, change)),
        Value::Object(map) => {
            for (key, value) in map {
                match value {
                    Value::String(text) if ["face", "rises_to"].contains(&key.as_str()) => {
                        *text = change(text).unwrap_or_else(|| text.clone());
                    }
                    _ => facing(value, change),
                }
            }
        }
        _ => {}
    }
}

/// The sides swapped where a text speaks of sides: in single words and in names of surfaces. Ids keep theirs.
fn swapped(text: &str, sides: [&str; 2]) -> String {
    let swap = |word: &str| word.replace(sides[0], "\u{1}").replace(sides[1], sides[0]).replace('\u{1}', sides[1]);
    let is_side = |word: &str| sides.contains(&word.trim_matches([',', ';'])) || word.starts_with("surfaces.");
    let words: Vec<String> =
        text.split(' ').map(|word| if is_side(word) { swap(word) } else { word.to_owned() }).collect();
    words.join(" ")
}

fn each_module(home: &mut Value, change: impl FnMut(&mut Value)) {
    home["modules"].as_object_mut().unwrap().values_mut().for_each(change);
}

/// Sections whose elements have ids of the home's own.
const NAMED: [&str; 11] = [
    "modules",
    "spaces",
    "assemblies",
    "openings",
    "junctions",
    "penetrations",
    "finishes",
    "measurements",
    "evidence",
    "seams",
    "materials",
];

/// A new name for an id. The old one can be read out of it, and another order of the alphabet comes about.
fn renamed(id: &str) -> String {
    let first = char::from(b'p' + id.bytes().fold(0u8, |sum, byte| sum.wrapping_mul(31).wrapping_add(byte)) % 7);
    format!("{first}0q{id}")
}

/// The old names in a text.
fn unnamed(text: &str) -> String {
    let bytes: Vec<char> = text.chars().collect();
    let (mut plain, mut at) = (String::new(), 0);
    while at < bytes.len() {
        if bytes[at..].starts_with(&['p', '0', 'q'])
            || (('p'..='v').contains(&bytes[at]) && bytes[at + 1..].starts_with(&['0', 'q']))
        {
            at += 3;
        } else {
            plain.push(bytes[at]);
            at += 1;
        }
    }
    plain
}

#[test]
fn old_names_are_read_out_of_new_ones() {
    for id in ["kitchen", "A", "bedroom-1"] {
        assert_eq!(unnamed(&format!("{} and {}", renamed(id), renamed(id))), format!("{id} and {id}"));
    }
}

/// Every id another one, wherever it stands.
fn with_other_names(home: &mut Value) {
    let mut known: BTreeMap<String, String> = BTreeMap::new();
    let modules: Vec<String> = home["modules"].as_object().unwrap().keys().cloned().collect();
    for a in &modules {
        for b in &modules {
            known.insert(format!("{a}-{b}"), format!("{}-{}", renamed(a), renamed(b)));
        }
    }
    let systems: Vec<&str> = vec!["systems.ventilation"];
    for section in NAMED.iter().chain(&systems) {
        let pointer = format!("/{}", section.replace('.', "/"));
        let Some(Value::Object(elements)) = home.pointer(&pointer) else { continue };
        for id in elements.keys().filter(|id| *id != "default") {
            known.entry(id.clone()).or_insert_with(|| renamed(id));
            for duct in elements[id].get("ducts").and_then(Value::as_object).into_iter().flat_map(Map::keys) {
                known.insert(duct.clone(), renamed(duct));
            }
        }
    }
    // A word of a field that happens to be an id as well keeps its meaning only where it stands for one.
    for word in ["default", "foundation"] {
        known.remove(word);
    }
    *home = with_names(home, "", &known);
}

/// Fields whose texts are words of mateline's or of nobody, whatever ids there are.
const WORDS: [&str; 17] = [
    "judge_by",
    "kind",
    "use",
    "operation",
    "category",
    "role",
    "face",
    "by",
    "trade",
    "seal",
    "stage",
    "product",
    "method",
    "compound",
    "note",
    "detail",
    "rises_to",
];

fn with_names(value: &Value, field: &str, known: &BTreeMap<String, String>) -> Value {
    let name = |id: &str| known.get(id).cloned().unwrap_or_else(|| id.to_owned());
    let keyed = NAMED.contains(&field) || ["supplies", "exhausts", "flows", "ducts", "ventilation"].contains(&field);
    match value {
        Value::Object(map) => map
            .iter()
            .map(|(key, value)| {
                let below = if keyed { "" } else { key.as_str() };
                (if keyed { name(key) } else { key.clone() }, with_names(value, below, known))
            })
            .collect::<Map<String, Value>>()
            .into(),
        Value::Array(list) => list.iter().map(|item| with_names(item, field, known)).collect::<Vec<_>>().into(),
        Value::String(text) if !WORDS.contains(&field) => match (field, text.split_once('.')) {
            ("subject", Some((section, id))) => format!("{section}.{}", name(id)).into(),
            _ => name(text).into(),
        },
        other => other.clone(),
    }
}

fn compare(name: &str, old: &Said, home: &Value, plain: impl Fn(&str) -> String) {
    let found = old.differences(&Said::of(&checked(home), plain));
    assert!(
        found.is_empty(),
        "{name}: {} differ:\n{}",
        found.len(),
        found.iter().take(40).cloned().collect::<Vec<_>>().join("\n")
    );
}

fn same(text: &str) -> String {
    text.to_owned()
}

/// A symmetry, of a home under the name that is told where it does not hold.
type Law = fn(&str, &Value);

fn other_units(name: &str, home: &Value) {
    let (old, mut home) = (Said::of(&checked(home), same), home.clone());
    in_other_units(&mut home);
    compare(name, &old, &home, same);
}

/// What is named after two boxes names them in the order of the file.
fn with_pairs_in_order(text: &str, ids: &[String]) -> String {
    let mut text = text.to_owned();
    for (at, one) in ids.iter().enumerate() {
        for other in &ids[at + 1..] {
            text = text.replace(&format!("{other}-{one}"), &format!("{one}-{other}"));
        }
    }
    text
}

fn another_order(name: &str, home: &Value) {
    let ids: Vec<String> = home["modules"].as_object().unwrap().keys().cloned().collect();
    let plain = |text: &str| with_pairs_in_order(text, &ids);
    let (old, mut home) = (Said::of(&checked(home), plain), home.clone());
    shuffled(&mut home, &mut Random::of(7));
    compare(name, &old, &home, plain);
}

fn another_place(name: &str, home: &Value) {
    let (old, mut home) = (Said::of(&checked(home), same), home.clone());
    moved(&mut home, 7.3);
    compare(name, &old, &home, same);
}

/// Boxes named after sides get other names first: a mirror of words cannot tell them from sides. The sun has no mirror: it
/// is warmer after noon than before, so the homes are tried without it.
fn mirrors(name: &str, home: &Value) {
    let mut known: BTreeMap<String, String> = BTreeMap::new();
    let ids: Vec<&String> = home["modules"].as_object().unwrap().keys().collect();
    let plain = |id: &str| if SIDES.concat().contains(&id) { format!("box-{}", &id[..1]) } else { id.to_owned() };
    for a in &ids {
        known.insert((*a).clone(), plain(a));
        known.extend(ids.iter().map(|b| (format!("{a}-{b}"), format!("{}-{}", plain(a), plain(b)))));
    }
    let mut home = with_names(home, "", &known);
    if let Some(months) = home.pointer_mut("/site/months").and_then(Value::as_object_mut) {
        months.values_mut().filter_map(Value::as_object_mut).for_each(|month| {
            month.remove("radiation");
        });
    }
    let old = Said::of(&checked(&home), same);
    for (axis, sides) in ["x", "y"].into_iter().zip(SIDES) {
        let mut home = home.clone();
        mirrored(&mut home, axis, sides);
        compare(&format!("{name}, {axis}"), &old, &home, |text| swapped(text, sides));
    }
}

/// The sides of each axis.
const SIDES: [[&str; 2]; 2] = [["east", "west"], ["south", "north"]];

fn other_names(name: &str, home: &Value) {
    let (old, mut home) = (Said::of(&checked(home), same), home.clone());
    with_other_names(&mut home);
    compare(name, &old, &home, unnamed);
}

/// Each section in a file of its own.
fn several_files(name: &str, home: &Value) {
    let old = Said::of(&checked(home), same);
    let site = Site::new();
    let (mut head, mut files) = (Map::new(), Vec::new());
    for (key, value) in home.as_object().unwrap() {
        if NAMED.contains(&key.as_str()) || ["systems", "foundation", "site"].contains(&key.as_str()) {
            let file = format!("part-{key}.yaml");
            std::fs::write(site.put(home).with_file_name(&file), json!({ key.as_str(): value }).to_string()).unwrap();
            files.push(file);
        } else {
            head.insert(key.clone(), value.clone());
        }
    }
    head.insert("include".to_owned(), files.into());
    let report = engine().check(&site.put(&head.into()), &Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
    assert_eq!(old.differences(&Said::of(&report, same)), [] as [String; 0], "{name}");
}

fn holds(law: Law) {
    TRIED.iter().for_each(|name| law(name, &homes::example(name)));
}

#[test]
fn other_units_change_nothing() {
    holds(other_units);
}

#[test]
fn another_order_changes_nothing() {
    holds(another_order);
}

/// The order of the boxes names a seam, and a junction may name it by either.
#[test]
fn a_seam_goes_by_either_order_of_its_boxes() {
    let home = homes::example("heron-lane");
    let (old, mut home) = (Said::of(&checked(&home), same), home);
    assert_eq!(home["junctions"]["mate-roof"]["seam"], "C-D");
    home["junctions"]["mate-roof"]["seam"] = "D-C".into();
    compare("the other order", &old, &home, same);
}

#[test]
fn another_place_changes_nothing() {
    holds(another_place);
}

#[test]
fn a_mirror_changes_sides_alone() {
    holds(mirrors);
}

#[test]
fn other_names_change_names_alone() {
    holds(other_names);
}

#[test]
fn several_files_say_what_one_says() {
    holds(several_files);
}

#[test]
#[ignore = "takes minutes: every symmetry of every example and of thirty random homes"]
fn every_symmetry_everywhere() {
    let can_be_checked = |home: &Value| engine().check(&Site::new().put(home), &Options::default()).is_ok();
    let random = (0..30).map(|seed| (format!("random {seed}"), homes::random(seed)));
    let examples = homes::EXAMPLES.map(|name| (name.to_owned(), homes::example(name)));
    let homes: Vec<(String, Value)> =
        examples.into_iter().chain(random.filter(|(_, home)| can_be_checked(home))).collect();
    let laws: [(&str, Law); 6] = [
        ("units", other_units),
        ("order", another_order),
        ("place", another_place),
        ("mirror", mirrors),
        ("names", other_names),
        ("files", several_files),
    ];
    println!("{} homes", homes.len());
    let tried = |(name, home): &(String, Value)| {
        let broken = laws.iter().filter_map(|(law, holds)| {
            let found = std::panic::catch_unwind(|| holds(&format!("{law} of {name}"), home)).err()?;
            found.downcast_ref::<String>().cloned()
        });
        broken.collect::<Vec<String>>()
    };
    let broken: Vec<String> = homes.par_iter().flat_map(tried).collect();
    assert!(broken.is_empty(), "{}", broken.join("\n\n"));
}
