//! Several paths to one requirement: a rule that names others in `satisfied_by` is short only where none of them is met.

use crate::pack::{Pack, Rule};
use mateline_model::{Outcome, Severity, Subject, Value, Verdict};

/// A rule with its pack, and its number there.
pub(super) type Ruled<'a> = (&'a Pack, usize, &'a Rule);

/// Accepts what is short where another path is met, tells how near the others are where none is, and lets a path rest
/// that nobody needs. `verdicts` are those of each rule, in the order of the rules.
pub(super) fn satisfy(rules: &[Ruled<'_>], verdicts: &mut [Vec<Verdict>]) {
    let paths: Vec<(usize, Vec<usize>)> = rules
        .iter()
        .enumerate()
        .filter(|(_, (_, _, rule))| !rule.satisfied_by.is_empty())
        .map(|(number, (pack, _, rule))| (number, others(rules, pack, rule)))
        .collect();
    for (number, others) in &paths {
        let Some((pack, _, rule)) = rules.get(*number) else { continue };
        let Some(mut own) = verdicts.get_mut(*number).map(std::mem::take) else { continue };
        // What belongs to a package may not be shown while another path is met; nothing is asked of that package then.
        let may_be_excused = |verdict: &&mut Verdict| match verdict.outcome {
            Outcome::Unproven => !rule.together_with.is_empty(),
            outcome => outcome == Outcome::Short,
        };
        for verdict in own.iter_mut().filter(may_be_excused) {
            let found: Vec<(&Rule, Vec<&Verdict>)> =
                others.iter().filter_map(|other| of(rules, verdicts, *other, rule, &verdict.subject)).collect();
            match found.iter().find(|(_, path)| is_met(path)) {
                Some((other, path)) => accept(verdict, other, path),
                None if verdict.outcome == Outcome::Unproven => {}
                None => tell(verdict, &found, pack.open_paths.as_deref()),
            }
        }
        if let Some(place) = verdicts.get_mut(*number) {
            *place = own;
        }
    }
    rest(rules, &paths, verdicts);
}

/// The numbers of the rules that make up for one.
fn others(rules: &[Ruled<'_>], pack: &Pack, rule: &Rule) -> Vec<usize> {
    let number = |id: &String| rules.iter().position(|(other, _, one)| other.id == pack.id && one.id == *id);
    rule.satisfied_by.iter().filter_map(number).collect()
}

/// What another rule says of a subject: of that one where both judge the same section, else of all it judges.
fn of<'a>(
    rules: &[Ruled<'a>],
    verdicts: &'a [Vec<Verdict>],
    other: usize,
    rule: &Rule,
    subject: &Subject,
) -> Option<(&'a Rule, Vec<&'a Verdict>)> {
    let (_, _, path) = rules.get(other)?;
    let all = verdicts.get(other)?.iter();
    let same = path.section == rule.section;
    Some((path, all.filter(|verdict| !same || verdict.subject == *subject).collect()))
}

fn is_met(path: &[&Verdict]) -> bool {
    !path.is_empty() && path.iter().all(|verdict| verdict.outcome == Outcome::Met)
}

/// Accepted for the time being where the other path is met for the time being.
fn accept(verdict: &mut Verdict, other: &Rule, path: &[&Verdict]) {
    verdict.outcome = Outcome::Met;
    verdict.message = format!("{}; accepted because {} is met", verdict.message, other.id);
    if let Some(says) = path.iter().find_map(|one| one.provisional.clone()) {
        verdict.message = format!("{}; {says}", verdict.message);
        verdict.provisional = Some(says);
    }
    verdict.help = None;
    verdict.owed.clear();
}

/// Which path is nearest, by its shortfall over its limit, and which stay open to the designer.
fn tell(verdict: &mut Verdict, found: &[(&Rule, Vec<&Verdict>)], open: Option<&str>) {
    let short = |path: &[&Verdict]| -> Option<(f64, String)> {
        let worst = path.iter().filter(|one| one.outcome == Outcome::Short);
        let worst = worst.filter_map(|one| Some((shortfall(one)?, one.message.clone())));
        worst.max_by(|a, b| a.0.total_cmp(&b.0))
    };
    let ways = found.iter().filter_map(|(rule, path)| Some((rule, short(path)?)));
    let nearest = ways.min_by(|a, b| a.1.0.total_cmp(&b.1.0));
    if let Some((rule, (missing, message))) = nearest {
        let own = shortfall(verdict);
        verdict.message = match own.is_some_and(|own| own <= missing) {
            true => format!("{}; of the paths worked out this one is nearest", verdict.message),
            false => format!("{}; the nearest path is {}: {message}", verdict.message, rule.id),
        };
    }
    if let (Some(help), Some(open)) = (&mut verdict.help, open) {
        help.push_str("; ");
        help.push_str(open);
    }
}

/// How far a verdict misses its limit, over the limit.
fn shortfall(verdict: &Verdict) -> Option<f64> {
    let (Some(Value::Number(margin)), Some(Value::Number(limit))) = (&verdict.margin, &verdict.limit) else {
        return None;
    };
    let share = -margin.si / limit.si.abs();
    share.is_finite().then_some(share)
}

/// Advice that is one of several paths says nothing where every rule that could take it is met without.
fn rest(rules: &[Ruled<'_>], paths: &[(usize, Vec<usize>)], verdicts: &mut [Vec<Verdict>]) {
    for (number, (_, _, path)) in rules.iter().enumerate().filter(|(_, (.., path))| path.severity == Severity::Advice) {
        let takers: Vec<usize> =
            paths.iter().filter(|(_, others)| others.contains(&number)).map(|(taker, _)| *taker).collect();
        if takers.is_empty() {
            continue;
        }
        let Some(mut own) = verdicts.get_mut(number).map(std::mem::take) else { continue };
        for verdict in own.iter_mut().filter(|one| matches!(one.outcome, Outcome::Short | Outcome::Unproven)) {
            let mut needing = takers.iter().filter_map(|taker| Some((rules.get(*taker)?.2, verdicts.get(*taker)?)));
            let needed = needing.any(|(rule, all)| {
                all.iter()
                    .filter(|one| rule.section != path.section || one.subject == verdict.subject)
                    .any(|one| matches!(one.outcome, Outcome::Short | Outcome::Unproven))
            });
            if !needed {
                verdict.message = format!("a path that nothing needs: {}", verdict.message);
                verdict.outcome = Outcome::NotApplicable;
                verdict.help = None;
                verdict.owed.clear();
            }
        }
        if let Some(place) = verdicts.get_mut(number) {
            *place = own;
        }
    }
}
