//! The comparison as a review comment: Markdown that fits a forge's limit and in which text from files stays text.

use super::view::{EditRow, ElementEdits, TurnedRow, View};
use crate::printable;
use mateline_model::Comparison;

/// Bytes of a comment; the usual forges accept a little more.
pub const LONGEST_COMMENT: usize = 60_000;
/// Characters of one text before it is cut.
const LONGEST_TEXT: usize = 400;
/// Bytes kept for the line that counts what was left out of a part.
const ROOM_FOR_COUNT: usize = 64;

/// What changed, in at most [`LONGEST_COMMENT`] bytes: what is left out at the end of a part is counted.
pub fn markdown(comparison: &Comparison) -> String {
    let view = View::of(comparison);
    let mut text = format!("## {}\n\n", prose(&view.title));
    let sentences: Vec<String> = view.sentences.iter().map(|sentence| prose(sentence)).collect();
    text.push_str(&format!("{}\n", sentences.join(" ")));
    let parts = parts(&view);
    let fixed: usize = parts.iter().map(|part| part.head().len() + ROOM_FOR_COUNT).sum();
    let mut left = LONGEST_COMMENT.saturating_sub(text.len() + fixed);
    let mut later: usize = parts.iter().map(Part::size).sum();
    for part in &parts {
        text.push_str(&part.head());
        // What comes later has a third of the room, or as much of it as it needs.
        later -= part.size();
        let mut room = left - later.min(left / 3);
        let mut hidden = 0;
        for row in &part.rows {
            if row.text.len() < room {
                room -= row.text.len() + 1;
                left -= row.text.len() + 1;
                text.push_str(&row.text);
                text.push('\n');
            } else {
                // Nothing later of this part is shown: what stands in the comment is the weightiest.
                hidden += row.counts;
                room = 0;
            }
        }
        if hidden > 0 {
            text.push_str(&format!("\n… and {hidden} more\n"));
        }
    }
    text
}

/// A part of the comment: a heading, lines before its rows, and rows that may be left out.
struct Part {
    heading: String,
    lead: &'static str,
    rows: Vec<Row>,
}

struct Row {
    text: String,
    /// What it stands for in the count of what was left out.
    counts: usize,
}

impl Row {
    fn new(text: String) -> Row {
        Row { text, counts: 1 }
    }
}

impl Part {
    fn head(&self) -> String {
        format!("\n### {}\n\n{}", self.heading, self.lead)
    }

    /// Bytes of all its rows.
    fn size(&self) -> usize {
        self.rows.iter().map(|row| row.text.len() + 1).sum()
    }
}

fn parts(view: &View) -> Vec<Part> {
    let part = |heading: String, rows: Vec<Row>| Part { heading, lead: "", rows };
    let turned = |heading: &str, rows: &[TurnedRow]| {
        part(format!("{heading} ({})", rows.len()), rows.iter().map(|row| Row::new(turned_row(row))).collect())
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
        turned("Worse", &view.worse),
        turned("Better", &view.better),
        turned("Still open, in another way", &view.still_open),
        part("Other verdicts".to_owned(), listed(&view.quiet_turns)),
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

fn turned_row(row: &TurnedRow) -> String {
    let advice = if row.is_advice { " (advice)" } else { "" };
    let place = row.place.as_deref().map(|place| format!(" ({})", code(place))).unwrap_or_default();
    let (subject, rule) = (code(&row.subject), code(&row.rule));
    format!("- **{}**, was {}{advice}: {subject} {rule}: {}{place}", row.word, row.was, prose(&row.message))
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
    let others = view.facts.others.iter().map(|others| {
        let (count, section) = others.split_once(" of ").unwrap_or((others, ""));
        Row { text: format!("| {} | {count} not shown | | | | |", cell(section)), counts: count.parse().unwrap_or(1) }
    });
    Part {
        heading: format!("Facts that moved ({})", view.facts.count),
        lead: "| subject | quantity | before | after | difference | |\n|---|---|---|---|---|---|\n",
        rows: rows.chain(others).collect(),
    }
}

/// A code span: nothing in it is markup, a mention or a link.
fn code(text: &str) -> String {
    let text = cut(&printable::line(text));
    let mut longest = 0;
    let mut run = 0;
    for c in text.chars() {
        run = if c == '`' { run + 1 } else { 0 };
        longest = longest.max(run);
    }
    let fence = "`".repeat(longest + 1);
    let pad = if text.is_empty() || text.starts_with(['`', ' ']) || text.ends_with(['`', ' ']) { " " } else { "" };
    format!("{fence}{pad}{text}{pad}{fence}")
}

/// A code span in a table, where a bar would end the cell.
fn cell(text: &str) -> String {
    code(text).replace('|', "\\|")
}

/// Running text: what would be markup is escaped; mentions, references and addresses lose their link by a joiner that
/// takes no room.
fn prose(text: &str) -> String {
    let mut safe = String::new();
    for c in cut(&printable::line(text)).chars() {
        match c {
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '~' | '&' | '$' => safe.extend(['\\', c]),
            '@' | '#' => safe.extend([c, '\u{2060}']),
            c => safe.push(c),
        }
    }
    safe.replace("://", ":\u{2060}//").replace("www.", "www\u{2060}.")
}

fn cut(text: &str) -> String {
    let mut shown: String = text.chars().take(LONGEST_TEXT).collect();
    if shown.len() < text.len() {
        shown.push('…');
    }
    shown
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::comparison::sample;

    #[test]
    fn the_comment_has_its_parts_in_order_of_weight() {
        let comment = markdown(&sample::comparison());
        let mut before = 0;
        for part in [
            "## Heron Lane: revision B (2026-07-01) → C (2026-10-05)\n",
            "1 required verdict turned to short or unproven. In revision C",
            "### Worse (2)",
            "- **short**, was met: `assemblies.wall` `demo/wall-u-factor`: U-factor 0.0520 is above 0.0450 (`home.yaml:31:7`)\n",
            "### Better (1)",
            "### Edits (4)",
            "- `assemblies.wall`\n  - `layers.2.thickness` (`eps`): `2 in` → `3 in`\n",
            "- `openings.w2` added: `{kind: window}`\n",
            "### Facts that moved (3)",
            "| `home` | `envelope.ua` | 220.0 W/K | 210.0 W/K | -10.0 W/K | -4.5 % |\n",
            "| `modules` | 1 not shown |",
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
        long.turned = vec![long.turned[0].clone(); 700];
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

    /// The comment without what a backslash makes plain.
    fn without_escapes(comment: &str) -> String {
        let mut after_backslash = false;
        let mut kept = String::new();
        for c in comment.chars() {
            if after_backslash || c == '\\' {
                after_backslash = !after_backslash;
            } else {
                kept.push(c);
            }
        }
        kept
    }

    /// The comment without its code spans, as a reader of CommonMark finds them.
    fn outside_code(comment: &str) -> String {
        let mut outside = String::new();
        for line in comment.lines() {
            let mut rest = line;
            while let Some(at) = rest.find('`') {
                let (before, from) = rest.split_at(at);
                outside.push_str(before);
                let fence = from.chars().take_while(|c| *c == '`').count();
                let inner = from.get(fence..).unwrap_or_default();
                if before.ends_with('\\') {
                    rest = from.get(1..).unwrap_or_default();
                    continue;
                }
                let mut end = None;
                let mut from_here = 0;
                while let Some(found) = inner.get(from_here..).and_then(|rest| rest.find('`')) {
                    let start = from_here + found;
                    let run = inner.get(start..).map_or(0, |rest| rest.chars().take_while(|c| *c == '`').count());
                    if run == fence {
                        end = Some(start + run);
                        break;
                    }
                    from_here = start + run;
                }
                let end = end.unwrap_or_else(|| panic!("a code span does not end in {line}"));
                rest = inner.get(end..).unwrap_or_default();
            }
            outside.push_str(rest);
            outside.push('\n');
        }
        outside
    }
}
