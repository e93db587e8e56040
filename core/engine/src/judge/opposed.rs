//! Verdicts that cannot both be met: on one element, one rule asks for more of a value than another allows.

use crate::pack::Clash;
use mateline_model::quantity::{Quantity, UnitSystem};
use mateline_model::{Outcome, Place, Subject, Value, Verdict};
use std::collections::BTreeMap;

/// A rule's limit on an element.
#[derive(Default)]
struct Ends<'a> {
    least: Vec<(&'a Verdict, Quantity)>,
    most: Vec<(&'a Verdict, Quantity)>,
}

/// One sentence for each pair of rules, with the first element where they meet; a pair that `known` names is told already.
pub(crate) fn apart(verdicts: &[Verdict], units: UnitSystem, known: &[Clash]) -> Vec<(String, Option<Place>)> {
    let mut values: BTreeMap<(&Subject, &str), Ends<'_>> = BTreeMap::new();
    for verdict in verdicts.iter().filter(|verdict| matches!(verdict.outcome, Outcome::Met | Outcome::Short)) {
        let (Some(quantity), Some(Value::Number(limit))) = (&verdict.quantity, &verdict.limit) else { continue };
        let ends = values.entry((&verdict.subject, quantity.as_str())).or_default();
        match verdict.comparison.as_str() {
            "at least" => ends.least.push((verdict, *limit)),
            "at most" => ends.most.push((verdict, *limit)),
            _ => {}
        }
    }
    let mut told: BTreeMap<(String, String), (String, Option<Place>)> = BTreeMap::new();
    for ((subject, quantity), ends) in values {
        for (low, least) in &ends.least {
            for (high, most) in ends.most.iter().filter(|(_, most)| least.si > most.si) {
                let (one, two) = (low.full_name(), high.full_name());
                if known.iter().any(|clash| clash.is_of(&one, &two)) {
                    continue;
                }
                let (least, most) = low.units.show_pair(*least, *most, units);
                let message = format!(
                    "{one} and {two} cannot both hold on {subject}: {quantity} at least {least} and at most {most}"
                );
                told.entry((one, two)).or_insert((message, low.at.clone()));
            }
        }
    }
    told.into_values().collect()
}
