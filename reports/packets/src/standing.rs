//! How the home stands, for the first page: what is open, who acts, by when.

use crate::Audience;
use crate::packet::{Line, Standing};
use crate::source::Source;
use crate::words;
use mateline_model::{OpenCounts, OpenPoint, Outcome, Report, Severity, Verdict};
use mateline_reports::acts::{self, Act, Actor, NO_DATE};
use mateline_reports::shown;
use std::collections::BTreeMap;

/// Requirements that the first page names one by one.
const MOST_NAMED: usize = 6;
/// Places that it names of each.
const MOST_PLACES: usize = 3;

pub(crate) fn standing(source: Source<'_>, audience: Audience) -> Standing {
    let Source { report, attached } = source;
    let waived = report.summary().waived;
    let missing = attached.missing().count();
    let unmet = report.fails() || report.plugin_failed();
    let open = unmet || missing > 0;
    let head = match (unmet, open) {
        (true, _) => "Not final: requirements are open",
        (false, true) => "Not final: files are missing",
        (false, false) => "No requirement is open",
    };
    let points = source.open().into_iter().filter(|point| point.verdict.severity == Severity::Required).collect();
    let mut sentences = one_by_one(report, points, audience);
    for plugin in report.plugins.iter().filter(|plugin| plugin.failure.is_some()) {
        sentences.push(format!("The calculation {} failed; its facts are missing.", plugin.name));
    }
    let failing = report.remarks.iter().filter(|remark| remark.fails);
    sentences.extend(failing.map(|remark| words::sentence(&remark.message)));
    if missing > 0 {
        let files = shown::counted(missing, "file that a record names", "files that records name");
        sentences.push(format!("{files} cannot be read; see certificates and records."));
    }
    let OpenCounts { advice, .. } = report.open_counts();
    if advice > 0 {
        let pieces = shown::counted(advice, "piece of advice is", "pieces of advice are");
        sentences.push(format!("{pieces} open, which keeps no requirement from being met."));
    }
    if waived > 0 {
        let is = if waived == 1 { "is" } else { "are" };
        sentences.push(format!("{} {is} waived by agreement.", requirements(waived)));
    }
    Standing { open, head: head.to_owned(), lines: lines(report), sentences }
}

fn requirements(count: usize) -> String {
    shown::counted(count, "requirement", "requirements")
}

/// What is open, who acts, by when. Advice asks nobody to act.
fn lines(report: &Report) -> Vec<Line> {
    let OpenCounts { short, unproven, .. } = report.open_counts();
    let owed: Vec<Act> = report.verdicts.iter().filter_map(|verdict| acts::owed_for_now(report, verdict)).collect();
    let parts = [
        (short > 0).then(|| format!("{} short", requirements(short))),
        (unproven > 0).then(|| format!("{} not yet shown to be met", requirements(unproven))),
    ];
    let mut what: Vec<String> = parts.into_iter().flatten().collect();
    if what.is_empty() {
        what.push("no requirement".to_owned());
    }
    what.extend(provisional(report));
    let required = report.open_points().into_iter().filter(|point| point.verdict.severity == Severity::Required);
    let open = required.map(|point| acts::of(report, point.verdict));
    let mut parties: BTreeMap<Actor, (usize, Vec<String>)> = BTreeMap::new();
    for act in open.chain(owed) {
        let (count, dates) = parties.entry(act.who).or_default();
        *count += 1;
        if !dates.contains(&act.by) {
            dates.push(act.by);
        }
    }
    let several = parties.len() > 1;
    let party = |(who, (count, _)): (&Actor, &(usize, Vec<String>))| {
        if several { format!("{} ({count})", who.word()) } else { who.word().to_owned() }
    };
    let date = |(who, (_, dates)): (&Actor, &(usize, Vec<String>))| {
        let dates = dates.join(", ");
        if several { format!("{}: {dates}", who.word()) } else { dates }
    };
    let who: Vec<String> = parties.iter().map(party).collect();
    let dates: Vec<String> = parties.iter().map(date).collect();
    let or_none = |text: String, none: &str| if text.is_empty() { none.to_owned() } else { text };
    vec![
        Line { name: "What is open", text: words::sentence(&what.join("; ")) },
        Line { name: "Who acts", text: words::sentence(&or_none(who.join(", "), "nobody has to")) },
        Line { name: "By when", text: words::sentence(&or_none(dates.join("; "), "nothing is due")) },
    ]
}

/// What is met for the time being, in the words of the rules: `2 requirements met by forecast, final test owed`.
fn provisional(report: &Report) -> Vec<String> {
    let mut alike: Vec<(&str, usize)> = Vec::new();
    for said in report.verdicts.iter().filter_map(|verdict| verdict.provisional.as_deref()) {
        match alike.iter_mut().find(|(known, _)| *known == said) {
            Some((_, count)) => *count += 1,
            None => alike.push((said, 1)),
        }
    }
    alike.into_iter().map(|(said, count)| format!("{} {}", requirements(count), shown::met_for_now(said))).collect()
}

/// The requirements that are open by one rule and to be closed alike.
struct Alike<'a> {
    verdict: &'a Verdict,
    act: Act,
    places: Vec<String>,
}

/// Each requirement that is open with where, who acts and by when; the owner is not told places by their ids.
fn one_by_one(report: &Report, points: Vec<OpenPoint<'_>>, audience: Audience) -> Vec<String> {
    let mut alike: Vec<Alike<'_>> = Vec::new();
    for OpenPoint { verdict, .. } in points {
        let act = acts::of(report, verdict);
        let place = verdict.subject.to_string();
        match alike.iter_mut().find(|one| one.verdict.full_name() == verdict.full_name() && one.act == act) {
            Some(one) => one.places.push(place),
            None => alike.push(Alike { verdict, act, places: vec![place] }),
        }
    }
    let more = alike.len().saturating_sub(MOST_NAMED);
    let line = |Alike { verdict, act, places }: &Alike<'_>| {
        let others = places.len().saturating_sub(MOST_PLACES);
        let mut named: Vec<String> = places.iter().take(MOST_PLACES).cloned().collect();
        named.extend((others > 0).then(|| format!("{others} more")));
        let place = match audience {
            Audience::Owner => String::new(),
            _ => format!(", {}", words::joined(&named)),
        };
        let state = if verdict.outcome == Outcome::Short { "Short" } else { "Not yet shown" };
        let by = if act.by == NO_DATE { String::new() } else { format!(", {}", act.by) };
        format!("{state}: {}{place}; the {} acts{by}.", verdict.title, act.who.word())
    };
    let mut lines: Vec<String> = alike.iter().take(MOST_NAMED).map(line).collect();
    lines.extend((more > 0).then(|| format!("{more} more stand under open points.")));
    lines
}
