//! The listing of a check: what is short or unproven, each at its line, then remarks, failures and one line of counts.

use super::Style;
use super::entry::{Entries, Spot, help, note};
use crate::finding::{self, Kind};
use crate::{printable, shown};
use annotate_snippets::Level;
use mateline_model::{Outcome, Place, PluginStatus, Remark, RemarkAbout, Report, Severity, Summary, Verdict};

/// Every shortfall and open question with its place, numbers, source and help, then one line of counts.
///
/// Required shortfalls come first, then what is required and unproven, then advice; within each the order of the packs.
/// What is waived follows with its value, in brief.
pub fn check(report: &Report, style: Style) -> String {
    let entries = Entries::new(&report.sources, style);
    let mut text = String::new();
    for kind in Kind::ALL {
        for found in report.verdicts.iter().filter(|verdict| Kind::of(verdict) == Some(kind)) {
            verdict(&entries, &mut text, found, kind);
        }
    }
    report.verdicts.iter().filter(|verdict| verdict.outcome == Outcome::Waived).for_each(|verdict| {
        waived(&entries, &mut text, verdict);
    });
    report.remarks.iter().for_each(|made| remark(&entries, &mut text, made));
    report.plugins.iter().for_each(|ran| plugin(&entries, &mut text, ran));
    text.push_str(&summary_line(report));
    text.push('\n');
    text
}

fn level(kind: Kind) -> Level<'static> {
    let level = match kind.level() {
        finding::Level::Error => Level::ERROR,
        finding::Level::Warning => Level::WARNING,
        finding::Level::Note => Level::NOTE,
    };
    level.with_name(kind.word())
}

fn verdict(entries: &Entries<'_>, text: &mut String, verdict: &Verdict, kind: Kind) {
    let title = format!("{}  {}", verdict.subject, verdict.message);
    let cited = shown::cited(&verdict.source, Some(&verdict.provenance));
    let mut notes = vec![note(&format!("{}, {cited}", verdict.full_name()))];
    notes.extend(verdict.help.as_deref().map(help));
    let spots: Vec<Spot<'_>> = spot(verdict.at.as_ref(), verdict.at_note.as_deref()).collect();
    entries.write(text, level(kind), &title, &spots, notes);
}

fn waived(entries: &Entries<'_>, text: &mut String, verdict: &Verdict) {
    let title = format!("{}  {}", verdict.subject, verdict.message);
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

/// `Heron Lane, revision C: 41 met, 2 short, 3 unproven (1 of them advice), 1 waived, 120 not applicable`
fn summary_line(report: &Report) -> String {
    let Summary { met, short, unproven, waived, not_applicable, .. } = report.summary();
    let advice = |outcome: Outcome| {
        let is_advice = |v: &&Verdict| v.outcome == outcome && v.severity == Severity::Advice;
        match report.verdicts.iter().filter(is_advice).count() {
            0 => String::new(),
            count => format!(" ({count} of them advice)"),
        }
    };
    let (short_advice, unproven_advice) = (advice(Outcome::Short), advice(Outcome::Unproven));
    let doubts = match report.remarks.iter().filter(|remark| remark.about == RemarkAbout::Doubt).count() {
        0 => String::new(),
        1 => ", 1 value in doubt".to_owned(),
        count => format!(", {count} values in doubt"),
    };
    let line = format!(
        "{}, revision {}: {met} met, {short} short{short_advice}, {unproven} unproven{unproven_advice}, \
         {waived} waived, {not_applicable} not applicable{doubts}",
        report.name(),
        report.revision().id,
    );
    printable::line(&line).into_owned()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::fixture;

    #[test]
    fn a_shortfall_is_shown_at_its_line_with_source_and_help() {
        let text = check(&fixture::report(), Style::PLAIN);
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
    fn what_is_required_comes_before_advice_and_the_counts_come_last() {
        let text = check(&fixture::report(), Style::PLAIN);
        let at = |part: &str| text.find(part).unwrap_or_else(|| panic!("{part} in {text}"));
        assert!(at("short: assemblies.wall") < at("unproven: openings.w1"));
        assert!(at("unproven: openings.w1") < at("advice: modules.A"));
        assert!(at("advice: modules.A") < at("remark: the waiver"));
        assert!(at("remark: the waiver") < at("error: plugin airtightness failed: the flow exponent is 0.31"));
        assert!(
            text.ends_with(
                "\nHeron Lane, revision C: 1 met, 2 short (1 of them advice), 1 unproven, 1 waived, 2 not applicable\n"
            ),
            "{text}"
        );
    }

    #[test]
    fn a_verdict_without_a_place_has_no_snippet() {
        let mut report = fixture::report();
        report.verdicts.retain(|verdict| verdict.rule == "wall-u-factor");
        report.remarks.clear();
        report.plugins.clear();
        report.verdicts.iter_mut().for_each(|verdict| verdict.at = None);
        let text = check(&report, Style::PLAIN);
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
            assert!(check(&report, Style::PLAIN).contains(shown), "{line}:{column}");
        }
    }

    #[test]
    fn no_escape_sequence_of_a_file_reaches_the_terminal() {
        let evil = "\u{1b}]0;owned\u{7}\u{9b}31m\u{202e}\r\n";
        let report = fixture::hostile(evil);
        let plain = check(&report, Style::PLAIN);
        assert!(plain.chars().all(|c| c == '\n' || !c.is_control()), "{plain:?}");
        assert!(!plain.contains('\u{202e}'));
        let coloured = check(&report, Style { colour: true, width: 80 });
        let without_our_own = coloured.split("\u{1b}[").skip(1).all(|part| {
            part.split_once('m').is_some_and(|(code, _)| code.chars().all(|c| c.is_ascii_digit() || c == ';'))
        });
        assert!(without_our_own && !coloured.contains("\u{1b}]"), "{coloured:?}");
    }
}
