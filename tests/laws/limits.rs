//! The least change that meets a requirement, on random homes: against a walk through every hundredth of its step, each
//! checked as a whole.

use super::homes::{self, Site};
use mateline_engine::load::{Edit, Node};
use mateline_engine::remedies::{Change, Search, Turned};
use mateline_engine::{Options, Session};
use mateline_model::Outcome;
use mateline_model::quantity::parse;
use mateline_tests::engine;
use std::path::Path;

/// A number of random homes: of each so many open points that a lever turns, walked through in strides.
fn hold(homes: std::ops::Range<u64>, points: usize, stride: usize) -> usize {
    let site = Site::new();
    let mut held = 0;
    for seed in homes {
        let home = site.put(&homes::random(seed));
        let Ok(search) = Search::new(engine(), &home, Options::default()) else { continue };
        let short = search.base().verdicts.iter().filter(|verdict| verdict.outcome == Outcome::Short);
        let short = short.filter(|verdict| verdict.quantity.as_deref().is_some_and(|q| q.starts_with("envelope.")));
        for verdict in short.take(points) {
            for remedy in search.remedies(verdict) {
                if let [change] = remedy.changes.as_slice()
                    && change.limit.is_some()
                {
                    walk(&home, &search, change, &remedy.of, stride);
                    held += 1;
                }
            }
        }
    }
    held
}

/// The hundredths below the limit do not meet it, and those from it on do.
fn walk(home: &Path, search: &Search<'_>, change: &Change, of: &Turned, stride: usize) {
    let si = |text: &str| parse(text).unwrap().si;
    let (bought, limit) = (si(&change.edit.text), si(change.limit.as_ref().unwrap()));
    let lever = search.levers().names().map(|name| search.levers().get(name).unwrap());
    let lever = lever.into_iter().find(|lever| lever.title.as_deref() == Some(&change.title)).unwrap();
    let Node::Str(now) = &search.loaded().tree.at(&change.edit.path).unwrap().node else { panic!("{change:?}") };
    let now = si(now);
    let is_more = bought > now;
    let steps =
        lever.steps.iter().map(|step| si(step)).filter(|step| if is_more { *step < bought } else { *step > bought });
    let before = steps.chain([now]).filter(|step| if is_more { *step >= now } else { *step <= now });
    let before = before.reduce(|a, b| if (a > b) == is_more { a } else { b }).unwrap();
    let unit = change.edit.text.trim_start_matches(|c: char| c.is_ascii_digit() || "./ -".contains(c));
    let one = si(&format!("1 {unit}"));
    let session = Session::new(engine());
    let is_met = |value: f64| {
        let edit = Edit { path: change.edit.path.clone(), text: format!("{} {unit}", value / one) };
        let report = session.check_edited(home, &[edit], &Options::default()).unwrap();
        report.verdicts.iter().find(|verdict| of.is_of(verdict)).unwrap().outcome == Outcome::Met
    };
    let at = |number: usize| before + (bought - before) * number as f64 / 100.0;
    // The limit is told to a tenth of a hundredth, rounded to the side that does.
    let told = (bought - before).abs() / 1_000.0 + 1e-9;
    let first =
        (0..=100).find(|number| if is_more { at(*number) >= limit - told } else { at(*number) <= limit + told });
    let least = first.unwrap();
    for number in (0..=100).filter(|number| number % stride == 0 || number.abs_diff(least) <= 1) {
        assert_eq!(is_met(at(number)), number >= least, "{number} of {least}: {change:?} for {of:?}");
    }
}

#[test]
fn a_limit_is_the_least_on_random_homes() {
    assert!(hold(0..1, 1, 50) > 0);
}

#[test]
#[ignore = "takes an hour"]
fn a_limit_is_the_least_on_fifty_random_homes() {
    assert!(hold(0..50, 4, 1) > 50);
}
