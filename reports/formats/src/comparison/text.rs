//! The comparison at the terminal: one page that says what moved, in order of weight.

use super::facts::{FactRow, SubjectFacts};
use super::view::{EditRow, ElementEdits, TurnedGroup, TurnedRow, Turns, View};
use crate::printable;
use crate::text::Style;
use mateline_model::Comparison;

/// Rows of one part before the rest are counted.
const LONGEST_PART: usize = 40;
/// Rules of one part before the rest are counted.
const MOST_RULES: usize = 15;
/// Subjects of one rule before the rest are counted.
const MOST_OF_A_RULE: usize = 3;
/// Subjects whose facts are shown.
const MOST_SUBJECTS: usize = 8;

/// What changed: worse, better, edits by element, facts by subject, thin margins, ended records.
pub fn text(comparison: &Comparison, style: Style) -> String {
    let view = View::of(comparison);
    let mut page = Page { text: String::new(), style };
    page.marked(0, "1", &view.title, "");
    view.sentences.iter().for_each(|sentence| page.line(0, sentence));
    for failure in &view.failures {
        page.marked(0, "1;31", "error", &format!(": {failure}"));
    }
    page.whole(&view.facts.whole);
    page.turned("Worse", &view.worse);
    page.listed("Short, now shorter", &view.shorter);
    page.turned("Better", &view.better);
    page.turned("Still open, in another way", &view.still_open);
    if !view.quiet_turns.is_empty() {
        page.heading(&format!("Other verdicts: {}", view.quiet_turns.join(", ")));
    }
    page.listed("Rules changed", &view.rules);
    page.edits(&view);
    page.facts(&view);
    if !view.thin.is_empty() {
        page.heading(&format!("Margins that shrank below {} of the limit: {}", view.threshold, view.thin.len()));
        page.capped(&view.thin, |page, row| {
            page.line(1, &format!("{}  {}  {} → {}", row.rule, row.subject, row.old, row.new));
            page.line(2, &row.message);
        });
    }
    if !view.ended.is_empty() {
        page.heading(&format!("Records that ended between the two dates: {}", view.ended.len()));
        page.capped(&view.ended, |page, row| {
            let backs = if row.backs.is_empty() { "nothing rests on it".to_owned() } else { row.backs.join(", ") };
            page.line(1, &format!("{}  last day {}: {backs}", row.record, row.expired));
        });
    }
    if !view.remarks.is_empty() {
        page.heading("Remarks that are new");
        page.capped(&view.remarks, |page, remark| page.line(1, remark));
    }
    page.text
}

struct Page {
    text: String,
    style: Style,
}

impl Page {
    fn line(&mut self, depth: usize, content: &str) {
        self.marked(depth, "", "", content);
    }

    fn heading(&mut self, content: &str) {
        self.text.push('\n');
        self.marked(0, "1", content, "");
    }

    /// A line that begins with a mark in a colour of its own.
    fn marked(&mut self, depth: usize, colour: &str, mark: &str, content: &str) {
        self.text.extend(std::iter::repeat_n(' ', depth * 2));
        let (mark, content) = (printable::line(mark), printable::line(content));
        if self.style.colour && !mark.is_empty() {
            self.text.push_str(&format!("\u{1b}[{colour}m{mark}\u{1b}[0m"));
        } else {
            self.text.push_str(&mark);
        }
        self.text.push_str(content.trim_end());
        self.text.push('\n');
    }

    fn capped<T>(&mut self, rows: &[T], show: impl Fn(&mut Page, &T)) {
        rows.iter().take(LONGEST_PART).for_each(|row| show(self, row));
        self.more(rows.len().saturating_sub(LONGEST_PART), "");
    }

    fn listed(&mut self, heading: &str, lines: &[String]) {
        if !lines.is_empty() {
            self.heading(&format!("{heading}: {}", lines.len()));
            self.capped(lines, |page, line| page.line(1, line));
        }
    }

    fn more(&mut self, count: usize, of_what: &str) {
        if count > 0 {
            self.line(1, &format!("… and {count} more{of_what}"));
        }
    }

    fn turned(&mut self, heading: &str, turns: &Turns) {
        if turns.count == 0 {
            return;
        }
        self.heading(&format!("{heading}: {}", turns.count));
        turns.groups.iter().take(MOST_RULES).for_each(|group| self.group(group));
        let hidden = turns.groups.get(MOST_RULES..).unwrap_or_default();
        self.more(hidden.iter().map(|group| group.rows.len()).sum(), &format!(" of {} rules", hidden.len()));
    }

    fn group(&mut self, group: &TurnedGroup) {
        let colour = match group.word.as_str() {
            "short" => "1;31",
            "unproven" => "1;33",
            _ => "1;32",
        };
        let advice = if group.is_advice { " (advice)" } else { "" };
        let turn = format!(", was {}{advice}: ", group.was);
        let said = |row: &TurnedRow| match &row.place {
            Some(place) => format!("{}  ({place})", row.message),
            None => row.message.clone(),
        };
        if let [row] = group.rows.as_slice() {
            self.marked(1, colour, &group.word, &format!("{turn}{}  {}", row.subject, group.rule));
            self.line(2, &said(row));
            return;
        }
        self.marked(1, colour, &group.word, &format!("{turn}{}, {} subjects", group.rule, group.rows.len()));
        for row in group.rows.iter().take(MOST_OF_A_RULE) {
            self.line(2, &format!("{}  {}", row.subject, said(row)));
        }
        let hidden = group.rows.len().saturating_sub(MOST_OF_A_RULE);
        if hidden > 0 {
            self.line(2, &format!("… and {hidden} more"));
        }
    }

    fn edits(&mut self, view: &View) {
        if view.edits.is_empty() {
            return;
        }
        self.heading(&format!("Edits: {}", view.edit_count));
        let mut shown = 0;
        for element in &view.edits {
            if shown >= LONGEST_PART {
                break;
            }
            self.element(element, LONGEST_PART - shown);
            shown += element.rows.len();
        }
        self.more(view.edit_count.saturating_sub(LONGEST_PART), "");
    }

    fn element(&mut self, element: &ElementEdits, most: usize) {
        match (element.whole, element.rows.as_slice()) {
            (Some(whole), [row]) => {
                let value = row.new.as_ref().or(row.old.as_ref()).map(String::as_str).unwrap_or_default();
                self.line(1, &format!("{}  {whole}: {value}", element.element));
            }
            // A single value, such as the name of the home.
            (None, [row]) if row.field.is_empty() => self.line(1, &format!("{}  {}", element.element, change(row))),
            (_, [row]) => self.line(1, &format!("{}  {}  {}", element.element, name(row), change(row))),
            _ => {
                self.line(1, &element.element);
                let rows: Vec<&EditRow> = element.rows.iter().take(most).collect();
                let width = rows.iter().map(|row| name(row).chars().count()).filter(|width| *width <= 48).max();
                let width = width.unwrap_or(0);
                for row in rows {
                    self.line(2, &format!("{:width$}  {}", name(row), change(row)));
                }
            }
        }
    }

    fn facts(&mut self, view: &View) {
        let facts = &view.facts;
        if facts.count == 0 {
            return;
        }
        self.heading(&format!("Facts that moved: {}", facts.count));
        facts.subjects.iter().take(MOST_SUBJECTS).for_each(|subject| self.subject(subject));
        let hidden = facts.subjects.get(MOST_SUBJECTS..).unwrap_or_default();
        let hidden_facts: usize = hidden.iter().map(|subject| subject.rows.len() + subject.more).sum();
        self.more(hidden_facts, &format!(" of {} subjects", hidden.len()));
        if !facts.others.is_empty() {
            let others: Vec<String> =
                facts.others.iter().map(|other| format!("{} of {}", other.count, other.of)).collect();
            self.line(1, &format!("not shown: {}", others.join(", ")));
        }
    }

    /// What moved of the whole home.
    fn whole(&mut self, rows: &[FactRow]) {
        if !rows.is_empty() {
            self.heading("The home as a whole");
            self.rows(1, rows, |row| &row.label);
        }
    }

    fn subject(&mut self, subject: &SubjectFacts) {
        let more = if subject.more > 0 { format!("  ({} more)", subject.more) } else { String::new() };
        self.line(1, &format!("{}{more}", subject.subject));
        self.rows(2, &subject.rows, |row| &row.quantity);
    }

    /// Rows in columns, named by one of their texts.
    fn rows(&mut self, depth: usize, rows: &[FactRow], named: fn(&FactRow) -> &String) {
        let width =
            |column: fn(&FactRow) -> &String| rows.iter().map(|row| column(row).chars().count()).max().unwrap_or(0);
        let (name, old, new) = (width(named), width(|row| &row.old), width(|row| &row.new));
        for row in rows {
            let moved = [row.difference.as_str(), row.change.as_str()];
            let moved = moved.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ");
            self.line(depth, &format!("{:name$}  {:old$} → {:new$}  {moved}", named(row), row.old, row.new));
        }
    }
}

/// `layers.4.thickness (eps-type-ii)`
fn name(row: &EditRow) -> String {
    match &row.item {
        Some(item) => format!("{} ({item})", row.field),
        None => row.field.clone(),
    }
}

/// `2 in → 3 in`, `added: …`, `removed: …`, with the place.
fn change(row: &EditRow) -> String {
    let place = row.place.as_deref().map(|place| format!("  ({place})")).unwrap_or_default();
    let words = match (&row.old, &row.new) {
        (Some(old), Some(new)) => format!("{old} → {new}"),
        (None, Some(new)) => format!("added: {new}"),
        (Some(old), None) => format!("removed: {old}"),
        (None, None) => String::new(),
    };
    format!("{words}{place}")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::comparison::sample;

    #[test]
    fn the_page_says_what_moved_in_order_of_weight() {
        let expected = "\
Heron Lane: revision B (2026-07-01) → C (2026-10-05)
1 required verdict turned to short or unproven.
In revision C 1 required verdict is short or unproven.
Rules changed. Required and short or unproven are in B 3 by its own rules and 1 by those of C, in C 2 by the rules of B and 1 by its own.

The home as a whole
  What it is  220.0 W/K → 210.0 W/K  -10.0 W/K, -4.5 %

Worse: 2
  short, was met: assemblies.wall  demo/wall-u-factor
    U-factor 0.0520 is above 0.0450  (home.yaml:31:7)
  unproven, was not there (advice): openings.w2  demo/label
    openings.w2 has no evidence

Short, now shorter: 1
  demo/hoist home: 1.00 m → 2.00 m beyond its limit; hoist 8.00 m is above 6.00 m

Better: 1
  met, was short: home  demo/ua
    UA 210.0 is at most 220.0

Other verdicts: 1 met → gone

Rules changed: 1
  looser: demo/ua, The rule ua: at most 200 W/K → at most 220 W/K; 220 W/K is above 200 W/K

Edits: 4
  assemblies.wall
    layers.2.thickness (eps)  2 in → 3 in  (home.yaml:31:20)
    layers.4                  removed: {vented-cavity: 3/4 in}
  openings.w2  added: {kind: window}
  home  Heron → Heron Lane  (home.yaml:1:7)

Facts that moved: 3
  not shown: 1 of 1 subject that had none before, 1 of modules

Margins that shrank below 5.0 % of the limit: 1
  demo/ua  home  9.1 % → 2.0 %
    UA 210.0 is at most 220.0

Records that ended between the two dates: 1
  label  last day 2026-09-30: finishes.paint

Remarks that are new
  the waiver of demo/hoist matches no verdict (home.yaml:9:1)
";
        assert_eq!(text(&sample::comparison(), Style::PLAIN), expected);
    }

    #[test]
    fn nothing_to_say_is_said_in_three_lines() {
        let found = text(&sample::quiet(), Style::PLAIN);
        assert_eq!(found.lines().count(), 3, "{found}");
        assert!(found.contains("The two say the same"), "{found}");
    }

    #[test]
    fn a_long_part_is_counted_to_its_end() {
        let mut long = sample::comparison();
        let edit = long.edits[0].clone();
        long.edits = vec![edit; 95];
        long.turned = vec![long.turned[0].clone(); 50];
        let found = text(&long, Style::PLAIN);
        assert!(found.contains("Worse: 50\n  short, was met: demo/wall-u-factor, 50 subjects\n"), "{found}");
        assert!(found.contains("\n    … and 47 more\n"), "{found}");
        assert!(found.contains("Edits: 95\n") && found.contains("  … and 55 more\n"), "{found}");
    }

    #[test]
    fn a_plugin_that_failed_is_named() {
        let found = text(&sample::broken(), Style::PLAIN);
        assert!(found.contains("error: plugin envelope failed on the earlier revision, B: no λ"), "{found}");
    }

    #[test]
    fn no_escape_sequence_of_a_file_reaches_the_terminal() {
        let evil = "\u{1b}]0;owned\u{7}\u{9b}31m\u{202e}\r\n";
        let plain = text(&sample::hostile(evil), Style::PLAIN);
        assert!(plain.chars().all(|c| c == '\n' || !c.is_control()), "{plain:?}");
        assert!(!plain.contains('\u{202e}'));
        let coloured = text(&sample::hostile(evil), Style { colour: true, width: 80 });
        let ours = coloured.split("\u{1b}[").skip(1).all(|part| {
            part.split_once('m').is_some_and(|(code, _)| code.chars().all(|c| c.is_ascii_digit() || c == ';'))
        });
        assert!(ours && !coloured.contains("\u{1b}]"), "{coloured:?}");
    }
}
