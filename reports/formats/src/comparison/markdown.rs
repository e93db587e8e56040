//! The comparison as a review comment.

use super::facts::FactRow;
use super::view::{EditRow, ElementEdits, TurnedGroup, TurnedRow, Turns, View};
use crate::comment::{Part, Row, cell, code, fit, prose};
use mateline_model::Comparison;

/// Subjects of one rule before the rest are counted.
const MOST_OF_A_RULE: usize = 5;

/// What changed, in at most [`crate::LONGEST_COMMENT`] bytes: what is left out at the end of a part is counted.
pub fn markdown(comparison: &Comparison) -> String {
    let view = View::of(comparison);
    let sentences: Vec<String> = view.sentences.iter().map(|sentence| prose(sentence)).collect();
    fit(format!("## {}\n\n{}\n", prose(&view.title), sentences.join(" ")), &parts(&view))
}

/// What changed, part by part.
pub(super) fn of(comparison: &Comparison) -> Vec<Part> {
    parts(&View::of(comparison))
}

fn parts(view: &View) -> Vec<Part> {
    let part = |heading: String, rows: Vec<Row>| Part { heading, lead: "", rows };
    let turned = |heading: &str, turns: &Turns| {
        part(format!("{heading} ({})", turns.count), turns.groups.iter().flat_map(group).collect())
    };
    let listed = |items: &[String]| items.iter().map(|item| Row::new(format!("- {}", prose(item)))).collect();
    let thin = view.thin.iter().map(|row| {
        let (rule, subject) = (code(&row.rule), code(&row.subject));
        Row::new(format!("- {rule} {subject}: {} → {}; {}", row.old, row.new, prose(&row.message)))
    });
    let ended = view.ended.iter().map(|row| {
        let backs: Vec<String> = row.backs.iter().map(|element| code(element)).collect();
        let backs = if backs.is_empty() { "nothing rests on it".to_owned() } else { backs.join(", ") };
        Row::new(format!("- {}, last day {}: {backs}", code(&row.record), row.expired))
    });
    let mut parts = vec![
        part("Plugins that failed".to_owned(), listed(&view.failures)),
        whole(view),
        turned("Worse", &view.worse),
        part(format!("Short, now shorter ({})", view.shorter.len()), listed(&view.shorter)),
        turned("Better", &view.better),
        turned("Still open, in another way", &view.still_open),
        part("Other verdicts".to_owned(), listed(&view.quiet_turns)),
        part(format!("Rules changed ({})", view.rules.len()), listed(&view.rules)),
        part(format!("Edits ({})", view.edit_count), view.edits.iter().flat_map(element).collect()),
        facts(view),
        part(
            format!("Margins that shrank below {} of the limit ({})", view.threshold, view.thin.len()),
            thin.collect(),
        ),
        part(format!("Records that ended between the two dates ({})", view.ended.len()), ended.collect()),
        part("Remarks that are new".to_owned(), listed(&view.remarks)),
    ];
    parts.retain(|part| !part.rows.is_empty());
    parts
}

/// A rule with the first subjects it turned on, and the count of the others.
fn group(group: &TurnedGroup) -> Vec<Row> {
    let advice = if group.is_advice { " (advice)" } else { "" };
    let turn = format!("- **{}**, was {}{advice}: {}", group.word, group.was, code(&group.rule));
    let said = |row: &TurnedRow| {
        let place = row.place.as_deref().map(|place| format!(" ({})", code(place))).unwrap_or_default();
        format!("{}: {}{place}", code(&row.subject), prose(&row.message))
    };
    if let [row] = group.rows.as_slice() {
        return vec![Row::new(format!("{turn} {}", said(row)))];
    }
    let head = Row { text: format!("{turn}, {} subjects", group.rows.len()), counts: 0 };
    let rows = group.rows.iter().take(MOST_OF_A_RULE).map(|row| Row::new(format!("  - {}", said(row))));
    let hidden = group.rows.len().saturating_sub(MOST_OF_A_RULE);
    let more = (hidden > 0).then(|| Row { text: format!("  - … and {hidden} more"), counts: hidden });
    std::iter::once(head).chain(rows).chain(more).collect()
}

fn element(element: &ElementEdits) -> Vec<Row> {
    let name = code(&element.element);
    match (element.whole, element.rows.as_slice()) {
        (Some(whole), [row]) => {
            let value = row.new.as_ref().or(row.old.as_ref()).map(|value| code(value)).unwrap_or_default();
            vec![Row::new(format!("- {name} {whole}: {value}"))]
        }
        (None, [row]) if row.field.is_empty() => vec![Row::new(format!("- {name}: {}", change(row)))],
        (_, rows) => {
            let head = Row { text: format!("- {name}"), counts: 0 };
            let rows = rows.iter().map(|row| {
                let item = row.item.as_deref().map(|item| format!(" ({})", code(item))).unwrap_or_default();
                Row::new(format!("  - {}{item}: {}", code(&row.field), change(row)))
            });
            std::iter::once(head).chain(rows).collect()
        }
    }
}

fn change(row: &EditRow) -> String {
    match (&row.old, &row.new) {
        (Some(old), Some(new)) => format!("{} → {}", code(old), code(new)),
        (None, Some(new)) => format!("added, {}", code(new)),
        (Some(old), None) => format!("removed, {}", code(old)),
        (None, None) => String::new(),
    }
}

fn whole(view: &View) -> Part {
    let row = |row: &FactRow| {
        let (name, old, new) = (prose(&row.label), prose(&row.old), prose(&row.new));
        Row::new(format!("| {name} | {old} | {new} | {} | {} |", prose(&row.difference), row.change))
    };
    Part {
        heading: "The home as a whole".to_owned(),
        lead: "| | before | after | difference | |\n|---|---|---|---|---|\n",
        rows: view.facts.whole.iter().map(row).collect(),
    }
}

fn facts(view: &View) -> Part {
    let rows = view.facts.subjects.iter().flat_map(|subject| {
        let more = (subject.more > 0).then(|| Row {
            text: format!("| {} | {} more | | | | |", cell(&subject.subject), subject.more),
            counts: subject.more,
        });
        let rows = subject.rows.iter().map(|row| {
            let (of, name) = (cell(&subject.subject), cell(&row.quantity));
            let (old, new) = (prose(&row.old), prose(&row.new));
            Row::new(format!("| {of} | {name} | {old} | {new} | {} | {} |", prose(&row.difference), row.change))
        });
        rows.chain(more)
    });
    let others = view.facts.others.iter().map(|other| Row {
        text: format!("| {} | {} not shown | | | | |", prose(&other.of), other.count),
        counts: other.count,
    });
    Part {
        heading: format!("Facts that moved ({})", view.facts.count),
        lead: "| subject | quantity | before | after | difference | |\n|---|---|---|---|---|---|\n",
        rows: rows.chain(others).collect(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::comment::LONGEST_COMMENT;
    use crate::comment::reading::{outside_code, without_escapes};
    use crate::comparison::sample;
    use mateline_model::Turned;

    #[test]
    fn the_comment_has_its_parts_in_order_of_weight() {
        let comment = markdown(&sample::comparison());
        let mut before = 0;
        for part in [
            "## Heron Lane: revision B (2026-07-01) → C (2026-10-05)\n",
            "1 required verdict turned to short or unproven. In revision C",
            "### The home as a whole",
            "| What it is | 220.0 W/K | 210.0 W/K | -10.0 W/K | -4.5 % |\n",
            "### Worse (2)",
            "- **short**, was met: `demo/wall-u-factor` `assemblies.wall`: U-factor 0.0520 is above 0.0450 (`home.yaml:31:7`)\n",
            "### Better (1)",
            "### Edits (4)",
            "- `assemblies.wall`\n  - `layers.2.thickness` (`eps`): `2 in` → `3 in`\n",
            "- `openings.w2` added: `{kind: window}`\n",
            "### Facts that moved (3)",
            "| modules | 1 not shown |",
            "### Margins that shrank below 5.0 % of the limit (1)",
            "### Records that ended",
        ] {
            let at = comment.get(before..).and_then(|rest| rest.find(part));
            before += at.unwrap_or_else(|| panic!("'{part}' is missing or out of order in\n{comment}"));
        }
    }

    #[test]
    fn a_comment_of_any_size_fits_and_counts_what_it_leaves_out() {
        let mut long = sample::comparison();
        long.edits = vec![long.edits[0].clone(); 5_000];
        long.turned = (0..700).map(|at| Turned { rule: format!("demo/rule-{at}"), ..long.turned[0].clone() }).collect();
        long.new.home = "x".repeat(100_000);
        let comment = markdown(&long);
        assert!(comment.len() <= LONGEST_COMMENT, "{}", comment.len());
        assert!(comment.len() > LONGEST_COMMENT - 2_000, "{}", comment.len());
        let shown = comment.matches("- **short**").count();
        assert!(comment.contains(&format!("… and {} more", 700 - shown)), "{shown}");
        assert!(comment.contains("### Edits (5000)") && comment.contains("### Records that ended"));
        let shown = comment.matches("  - `layers").count();
        assert!(comment.contains(&format!("… and {} more", 5_000 - shown)), "{shown}");
    }

    #[test]
    fn text_from_files_stays_text() {
        assert_eq!(code("a`b``c"), "```a`b``c```");
        assert_eq!(code("`a"), "`` `a ``");
        assert_eq!(cell("a|b"), "`a\\|b`");
        assert_eq!(
            prose("<b>*x* [l](http://a) @team #1"),
            "\\<b\\>\\*x\\* \\[l\\](http:\u{2060}//a) @\u{2060}team #\u{2060}1"
        );
        for evil in
            ["</p><script>alert(1)</script>", "`` ` @all #1 |||", "\n# heading\n- [x] done", "![i](https://x.y/z.png)"]
        {
            let comment = markdown(&sample::hostile(evil));
            let outside = without_escapes(&outside_code(&comment));
            for markup in ["<", "@all", "\n# heading", "\n- [x]", "https://"] {
                assert!(!outside.contains(markup), "{markup} in\n{outside}");
            }
        }
    }
}
