//! What became of the rules between two sets of packs.

use super::describe::{comparison, uses};
use super::strictness::{Strictness, compare};
use super::{Limit, Pack, Rule, show_parameter};
use mateline_model::quantity::UnitSystem;
use mateline_model::{RuleChange, RuleTurn};
use std::sync::Arc;

/// Every rule that came, went, or asks for something else; packs that only ask if a home is meant so are left out.
pub fn changes(old: &[Arc<Pack>], new: &[Arc<Pack>]) -> Vec<RuleChange> {
    let all = |packs: &'_ [Arc<Pack>]| -> Vec<(Arc<Pack>, usize)> {
        let judging = packs.iter().filter(|pack| !pack.asks);
        judging.flat_map(|pack| (0..pack.rules.len()).map(|number| (Arc::clone(pack), number))).collect()
    };
    let (before, after) = (all(old), all(new));
    let told = |pack: &Pack, rule: &Rule, turn, old, new, why| RuleChange {
        rule: format!("{}/{}", pack.id, rule.id),
        title: rule.title.clone(),
        turn,
        old,
        new,
        why,
    };
    let find = |among: &[(Arc<Pack>, usize)], pack: &Pack, rule: &Rule| {
        among
            .iter()
            .find(|(other, number)| {
                other.id == pack.id && other.rules.get(*number).is_some_and(|other| other.id == rule.id)
            })
            .cloned()
    };
    let mut changes = Vec::new();
    for (pack, number) in &after {
        let Some(rule) = pack.rules.get(*number) else { continue };
        let asks = asks(pack, rule);
        let Some((was_of, was)) = find(&before, pack, rule) else {
            changes.push(told(pack, rule, RuleTurn::Added, None, Some(asks), None));
            continue;
        };
        let Some(was) = was_of.rules.get(was) else { continue };
        let asked = self::asks(&was_of, was);
        if whole(&was_of, was) != whole(pack, rule) {
            let (turn, why) = turn((&was_of, was), (pack, rule));
            changes.push(told(pack, rule, turn, Some(asked), Some(asks), why));
        }
    }
    for (pack, number) in &before {
        if let Some(rule) = pack.rules.get(*number)
            && find(&after, pack, rule).is_none()
        {
            changes.push(told(pack, rule, RuleTurn::Dropped, Some(asks(pack, rule)), None, None));
        }
    }
    changes
}

/// What a rule asks, in a line: `at most 0.032 Btu/(h·ft²·°F)`.
fn asks(pack: &Pack, rule: &Rule) -> String {
    let (name, limits) = comparison(rule);
    let limits: Vec<String> =
        limits.iter().map(|limit| limit.split_whitespace().collect::<Vec<_>>().join(" ")).collect();
    let parameters = pack.parameters.iter().filter(|(name, _)| uses(rule, name));
    let parameters: Vec<String> = parameters
        .map(|(name, parameter)| format!(" ({name} is {})", show_parameter(parameter.value(), UnitSystem::Ip)))
        .collect();
    format!("{name} {}{}", limits.join(" and "), parameters.concat())
}

/// Everything about a rule that decides an outcome.
fn whole(pack: &Pack, rule: &Rule) -> String {
    let text = |read: &Option<crate::expr::Expression>| read.as_ref().map(|read| read.line());
    let provisional = rule.provisional.as_ref().map(|provisional| provisional.unless.line());
    format!(
        "{:?} {:?} {:?} {} {:?} {} {:?} {:?} {:?} {:?} {:?}",
        rule.section,
        text(&rule.when),
        text(&rule.value),
        asks(pack, rule),
        rule.severity,
        rule.waivable,
        rule.effective,
        rule.satisfied_by,
        rule.together_with,
        provisional,
        pack.reads_as.get(rule.value.as_ref().map(|value| value.text()).unwrap_or_default())
    )
}

/// Which way a rule turned, and why it cannot be told where it cannot.
fn turn(old: (&Pack, &Rule), new: (&Pack, &Rule)) -> (RuleTurn, Option<String>) {
    let (before, after) = (with_values(old), with_values(new));
    match (compare(&before, &after), compare(&after, &before)) {
        (Strictness::AtLeast, Strictness::AtLeast) => (RuleTurn::Changed, None),
        (Strictness::AtLeast, _) => (RuleTurn::Stricter, None),
        (Strictness::Looser(why), _) => (RuleTurn::Looser, Some(why)),
        (Strictness::Unclear(_), Strictness::Looser(why)) => (RuleTurn::Changed, Some(why)),
        (Strictness::Unclear(why), _) => (RuleTurn::Changed, Some(why)),
    }
}

/// A rule with the values of parameters in place of their names, as far as its limits are parameters.
fn with_values((pack, rule): (&Pack, &Rule)) -> Rule {
    let mut rule = rule.clone();
    for limit in rule.comparator.limits_mut() {
        if let Limit::Parameter { parameter, times } = limit
            && let Some(value) = pack.parameters.get(parameter).and_then(|parameter| parameter.value().as_number())
        {
            *limit = Limit::Value(mateline_model::quantity::Quantity::new(value.si * *times, value.dimension));
        }
    }
    rule
}
