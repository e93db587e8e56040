//! The listing of a check: advice in brief, doubts, remarks and failures, then every requirement that is open, each at its
//! line, and one line that says where the home stands.

use super::Style;
use super::entry::{Entries, Spot, help, note};
use crate::finding::{self, Kind};
use crate::{acts, printable, shown};
use annotate_snippets::{Level, Message};
use mateline_model::{
    OpenPoint, Outcome, Place, PluginStatus, Remark, RemarkAbout, Report, Severity, Summary, Verdict,
};

/// How much of a check is told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Extent {
    /// Where the home stands, in one line.
    Brief,
    /// What is open of the requirements; a line for each rule whose advice is not followed.
    #[default]
    Usual,
    /// Advice like requirements.
    Advice,
    /// Every open verdict by itself, those that are counted under others too.
    All,
}

/// Requirements that nothing can be said about are told in full up to this number, beyond it in a line each.
const MOST_IN_FULL: usize = 6;

/// What a check found open, with places, numbers, sources and help, and where the home stands.
///
/// Requirements come last, one entry for each rule with all that is open by it and all that is counted under it.
pub fn check(report: &Report, style: Style, extent: Extent) -> String {
    let entries = Entries::new(&report.sources, style);
    let mut text = String::new();
    if extent == Extent::All {
        for kind in [Kind::Advice, Kind::Unproven, Kind::Short] {
            for found in report.verdicts.iter().filter(|verdict| Kind::of(verdict) == Some(kind)) {
                verdict(&entries, &mut text, found, kind, Vec::new());
            }
        }
    }
    let rules = if extent == Extent::All { Vec::new() } else { by_rule(report) };
    let (required, advice): (Vec<_>, Vec<_>) =
        rules.iter().partition(|points| points.iter().any(|point| point.verdict.severity == Severity::Required));
    if extent == Extent::Advice {
        advice.iter().for_each(|points| open(report, &entries, &mut text, points));
    }
    let mut brief = Vec::new();
    if extent == Extent::Usual {
        brief.extend(advice.iter().map(|points| in_brief("advice", points, style)));
    }
    let waived = report.verdicts.iter().filter(|verdict| verdict.outcome == Outcome::Waived);
    match extent {
        Extent::Brief => {}
        Extent::Usual => {
            brief.extend(waived.map(|verdict| line_of("waived", &subject_and_message(verdict), "", verdict, style)))
        }
        Extent::Advice | Extent::All => waived.for_each(|verdict| waived_entry(&entries, &mut text, verdict)),
    }
    if !brief.is_empty() {
        text.push_str(&brief.join("\n"));
        text.push_str("\n\n");
    }
    if extent != Extent::Brief {
        report.remarks.iter().for_each(|made| remark(&entries, &mut text, made));
        report.plugins.iter().for_each(|ran| plugin(&entries, &mut text, ran));
        // A home at its beginning lacks much: each thing is a line then, and what is short stands out.
        let unproven = |points: &[OpenPoint<'_>]| points.iter().all(|point| point.verdict.outcome == Outcome::Unproven);
        let many = required.iter().filter(|points| unproven(points)).count() > MOST_IN_FULL;
        let is_line = |points: &[OpenPoint<'_>]| extent == Extent::Usual && many && unproven(points);
        let lines = required.iter().filter(|points| is_line(points));
        let lines: Vec<String> = lines.map(|points| in_brief("unproven", points, style)).collect();
        if !lines.is_empty() {
            text.push_str(&lines.join("\n"));
            text.push_str("\n\n");
        }
        required.iter().filter(|points| !is_line(points)).for_each(|points| open(report, &entries, &mut text, points));
    }
    text.push_str(&summary_line(report));
    text.push('\n');
    text
}

/// Open points that stand for others, those of one rule and outcome together, in the order of the report.
fn by_rule(report: &Report) -> Vec<Vec<OpenPoint<'_>>> {
    let mut rules: Vec<Vec<OpenPoint<'_>>> = Vec::new();
    for point in report.open_points() {
        let same = |points: &&mut Vec<OpenPoint<'_>>| {
            points.first().is_some_and(|first| {
                first.verdict.full_name() == point.verdict.full_name() && first.verdict.outcome == point.verdict.outcome
            })
        };
        match rules.iter_mut().find(same) {
            Some(points) => points.push(point),
            None => rules.push(vec![point]),
        }
    }
    rules
}

/// What is open by one rule: the first in full, the others and what is counted under them in a line each.
fn open(report: &Report, entries: &Entries<'_>, text: &mut String, points: &[OpenPoint<'_>]) {
    let Some((first, others)) = points.split_first() else { return };
    let Some(kind) = Kind::of(first.verdict) else { return };
    let mut notes: Vec<Message<'static>> = others
        .iter()
        .map(|point| {
            let at = point.verdict.at.as_ref().map(|at| format!(" ({})", shown::place(at))).unwrap_or_default();
            note(&format!("also {}{at}", subject_and_message(point.verdict)))
        })
        .collect();
    let under: Vec<&Verdict> = points.iter().flat_map(|point| &point.under).copied().collect();
    notes.extend(shown::waiting(&under).as_deref().map(note));
    if first.verdict.severity == Severity::Required {
        let mut who: Vec<String> = points.iter().map(|point| acts::of(report, point.verdict).told()).collect();
        who.dedup();
        notes.push(note(&format!("acts: {}", who.join("; "))));
    }
    verdict(entries, text, first.verdict, kind, notes);
}

fn subject_and_message(verdict: &Verdict) -> String {
    format!("{}  {}", verdict.subject, verdict.message)
}

/// How many are counted under these.
fn waiting(points: &[OpenPoint<'_>]) -> usize {
    points.iter().map(|point| point.under.len()).sum()
}

/// What is open by one rule in one line: what it says of its only subject, or its title and all subjects.
fn in_brief(word: &str, points: &[OpenPoint<'_>], style: Style) -> String {
    let more = shown::more_wait(waiting(points)).map_or_else(String::new, |more| format!(" ({more})"));
    match points {
        [] => String::new(),
        [one] => line_of(word, &subject_and_message(one.verdict), &more, one.verdict, style),
        [first, ..] => {
            let subjects: Vec<&str> = points.iter().map(|point| point.verdict.subject.as_str()).collect();
            line_of(word, &format!("{}: {}", first.verdict.title, subjects.join(", ")), &more, first.verdict, style)
        }
    }
}

/// A line with what waits and the rule at its end, cut where the terminal ends.
fn line_of(word: &str, what: &str, more: &str, verdict: &Verdict, style: Style) -> String {
    let rule = format!("{more} [{}]", verdict.full_name());
    let line = printable::line(&format!("{word}: {what}")).into_owned();
    let room = style.width.max(40).saturating_sub(rule.chars().count());
    if line.chars().count() <= room {
        return line + &rule;
    }
    line.chars().take(room.saturating_sub(2)).collect::<String>() + " …" + &rule
}

fn level(kind: Kind) -> Level<'static> {
    let level = match kind.level() {
        finding::Level::Error => Level::ERROR,
        finding::Level::Warning => Level::WARNING,
        finding::Level::Note => Level::NOTE,
    };
    level.with_name(kind.word())
}

fn verdict(entries: &Entries<'_>, text: &mut String, verdict: &Verdict, kind: Kind, others: Vec<Message<'static>>) {
    let title = subject_and_message(verdict);
    let cited = shown::cited(&verdict.source, Some(&verdict.provenance));
    let mut notes = vec![note(&format!("{}, {cited}", verdict.full_name()))];
    notes.splice(0..0, others);
    notes.extend(verdict.help.as_deref().map(help));
    let spots: Vec<Spot<'_>> = spot(verdict.at.as_ref(), verdict.at_note.as_deref()).collect();
    entries.write(text, level(kind), &title, &spots, notes);
}

fn waived_entry(entries: &Entries<'_>, text: &mut String, verdict: &Verdict) {
    let title = subject_and_message(verdict);
    let spots: Vec<Spot<'_>> = spot(verdict.at.as_ref(), None).collect();
    entries.write(text, Level::NOTE.with_name("waived"), &title, &spots, vec![note(&verdict.full_name())]);
}

fn remark(entries: &Entries<'_>, text: &mut String, remark: &Remark) {
    let level = if remark.fails { Level::ERROR } else { Level::NOTE };
    let spots: Vec<Spot<'_>> = spot(remark.at.as_ref(), None).collect();
    entries.write(text, level.with_name(remark.about.word()), &remark.message, &spots, Vec::new());
}

fn plugin(entries: &Entries<'_>, text: &mut String, plugin: &PluginStatus) {
    let Some(failure) = &plugin.failure else { return };
    let title = format!("plugin {} failed: {failure}", plugin.name);
    let owed = plugin.writes.join(", ");
    let notes = if owed.is_empty() { Vec::new() } else { vec![note(&format!("facts that are missing: {owed}"))] };
    entries.write(text, Level::ERROR, &title, &[], notes);
}

fn spot<'a>(at: Option<&'a Place>, label: Option<&'a str>) -> impl Iterator<Item = Spot<'a>> {
    at.map(|place| Spot { place, label, is_main: true }).into_iter()
}

/// `Heron Lane, revision C: no requirement open; 24 pieces of advice; final test owed; 1 waived; 760 met, 120 not
/// applicable`
fn summary_line(report: &Report) -> String {
    let Summary { met, waived, not_applicable, .. } = report.summary();
    let (required, advice): (Vec<_>, Vec<_>) =
        report.open_points().into_iter().partition(|point| point.verdict.severity == Severity::Required);
    let mut parts = vec![requirements(&required)];
    parts.extend(match advice.len() {
        0 => None,
        1 => Some("1 piece of advice".to_owned()),
        count => Some(format!("{count} pieces of advice")),
    });
    let mut owed: Vec<&str> = report.verdicts.iter().filter_map(|verdict| verdict.provisional.as_deref()).collect();
    owed.sort_unstable();
    owed.dedup();
    parts.extend(owed.into_iter().map(str::to_owned));
    parts.extend(match report.remarks.iter().filter(|remark| remark.about == RemarkAbout::Doubt).count() {
        0 => None,
        1 => Some("1 value in doubt".to_owned()),
        count => Some(format!("{count} values in doubt")),
    });
    if waived > 0 {
        parts.push(format!("{waived} waived"));
    }
    parts.push(format!("{met} met, {not_applicable} not applicable"));
    let line = format!("{}, revision {}: {}", report.name(), report.revision().id, parts.join("; "));
    printable::line(&line).into_owned()
}

/// `2 requirements open (1 short, 1 unproven), 5 more wait for them`
fn requirements(open: &[OpenPoint<'_>]) -> String {
    let of = |outcome: Outcome| match open.iter().filter(|point| point.verdict.outcome == outcome).count() {
        0 => None,
        count => Some(format!("{count} {outcome}")),
    };
    let kinds: Vec<String> = [of(Outcome::Short), of(Outcome::Unproven)].into_iter().flatten().collect();
    let more = shown::more_wait(waiting(open)).map_or_else(String::new, |more| format!(", {more} for them"));
    match open.len() {
        0 => "no requirement open".to_owned(),
        1 => format!("1 requirement open ({}){more}", kinds.join(", ")),
        count => format!("{count} requirements open ({}){more}", kinds.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::fixture;

    #[test]
    fn a_shortfall_is_shown_at_its_line_with_source_and_help() {
        let text = check(&fixture::report(), Style::PLAIN, Extent::All);
        let expected = "\
short: assemblies.wall  U-factor 0.0520 Btu/(h·ft²·°F) is above 0.0450
 --> home.yaml:8:7
  |
8 |     - {material: eps-type-ii, thickness: 1 in}
  |       ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ 28 % of the resistance sits here
  |
  = energy-code-demo/wall-u-factor, Table 1 (from memory, high)
  = help: thicken the continuous insulation to at least 1 3/4 in
";
        assert!(text.contains(expected), "{text}");
    }

    #[test]
    fn requirements_come_last_beside_where_the_home_stands() {
        let text = check(&fixture::report(), Style::PLAIN, Extent::All);
        let at = |part: &str| text.find(part).unwrap_or_else(|| panic!("{part} in {text}"));
        assert!(at("advice: modules.A") < at("unproven: openings.w1"));
        assert!(at("unproven: openings.w1") < at("short: assemblies.wall"));
        let usual = check(&fixture::report(), Style::PLAIN, Extent::Usual);
        let at = |part: &str| usual.find(part).unwrap_or_else(|| panic!("{part} in {usual}"));
        assert!(at("advice: modules.A") < at("remark: the waiver"));
        assert!(at("remark: the waiver") < at("error: plugin airtightness failed: the flow exponent is 0.31"));
        assert!(at("error: plugin airtightness failed") < at("short: assemblies.wall"));
        let stands = "Heron Lane, revision C: 2 requirements open (1 short, 1 unproven); 1 piece of advice; 1 waived; \
                      1 met, 2 not applicable\n";
        assert!(usual.ends_with(&format!("\n\n{stands}")), "{usual}");
        assert_eq!(check(&fixture::report(), Style::PLAIN, Extent::Brief), stands);
    }

    #[test]
    fn advice_is_a_line_and_no_longer_than_the_terminal() {
        let usual = check(&fixture::report(), Style { colour: false, width: 60 }, Extent::Usual);
        let advice: Vec<&str> = usual.lines().filter(|line| line.starts_with("advice: ")).collect();
        assert_eq!(advice.len(), 1, "{usual}");
        assert!(advice[0].chars().count() <= 60 && advice[0].ends_with(" … [modular-demo/road-width]"), "{advice:?}");
        let told = check(&fixture::report(), Style::PLAIN, Extent::Advice);
        assert!(told.contains("= help: ask the carrier about escorts"), "{told}");
    }

    #[test]
    fn a_verdict_without_a_place_has_no_snippet() {
        let mut report = fixture::report();
        report.verdicts.retain(|verdict| verdict.rule == "wall-u-factor");
        report.remarks.clear();
        report.plugins.clear();
        report.verdicts.iter_mut().for_each(|verdict| verdict.at = None);
        let text = check(&report, Style::PLAIN, Extent::All);
        assert!(!text.contains("-->"), "{text}");
        assert!(text.contains("= energy-code-demo/wall-u-factor"), "{text}");
    }

    #[test]
    fn a_place_outside_its_file_is_still_named() {
        let mut report = fixture::report();
        for (line, column, shown) in
            [(9_999, 1, "= home.yaml:9999:1\n"), (0, 0, "= home.yaml\n"), (8, 9_999, "--> home.yaml:8:")]
        {
            let place = Place { file: "home.yaml".to_owned(), line, column, length: 7 };
            report.verdicts.iter_mut().for_each(|verdict| verdict.at = Some(place.clone()));
            assert!(check(&report, Style::PLAIN, Extent::All).contains(shown), "{line}:{column}");
        }
    }

    #[test]
    fn no_escape_sequence_of_a_file_reaches_the_terminal() {
        let evil = "\u{1b}]0;owned\u{7}\u{9b}31m\u{202e}\r\n";
        let report = fixture::hostile(evil);
        let plain = check(&report, Style::PLAIN, Extent::All);
        assert!(plain.chars().all(|c| c == '\n' || !c.is_control()), "{plain:?}");
        assert!(!plain.contains('\u{202e}'));
        let coloured = check(&report, Style { colour: true, width: 80 }, Extent::All);
        let without_our_own = coloured.split("\u{1b}[").skip(1).all(|part| {
            part.split_once('m').is_some_and(|(code, _)| code.chars().all(|c| c.is_ascii_digit() || c == ';'))
        });
        assert!(without_our_own && !coloured.contains("\u{1b}]"), "{coloured:?}");
    }
}
