//! The pages of a PDF as MuPDF reads them: how large their letters are, and how pages begin and end.

use super::{bare, told};
use mateline_packets::{Block, Packet, Table};

/// Points within which text is header or footer: margins of 20 mm and 18 mm (packet.typ).
const MARGINS: (f64, f64) = (56.0, 51.0);
/// Least sizes (pt) of letters in text and in figures, with what rounding takes.
const LEAST: (f64, f64) = (7.99, 6.49);
/// Sizes of the heads of sections and of what stands in them (packet.typ).
const HEADS: [f64; 2] = [14.0, 10.5];

/// Letters of one size in one line.
struct Run {
    x: f64,
    y: f64,
    size: f64,
    text: String,
}

struct Page {
    height: f64,
    runs: Vec<Run>,
}

impl Page {
    /// What stands between header and footer.
    fn body(&self) -> impl Iterator<Item = &Run> {
        self.runs.iter().filter(|run| run.y > MARGINS.0 && run.y < self.height - MARGINS.1)
    }
}

fn attribute(tag: &str, name: &str) -> String {
    let start = tag.find(&format!(" {name}=\"")).map(|at| at + name.len() + 3);
    let value = start.and_then(|start| tag[start..].split('"').next());
    value.unwrap_or_default().to_owned()
}

/// One letter of an attribute of XML.
fn letter(text: &str) -> String {
    let plain = text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&apos;", "'");
    let number = plain.strip_prefix("&#x").and_then(|rest| u32::from_str_radix(rest.trim_end_matches(';'), 16).ok());
    number.and_then(char::from_u32).map_or_else(|| plain.replace("&amp;", "&"), String::from)
}

fn number(tag: &str, name: &str) -> f64 {
    attribute(tag, name).parse().unwrap_or(0.0)
}

fn pages(told: &str) -> Vec<Page> {
    let mut pages: Vec<Page> = Vec::new();
    let mut size = 0.0;
    let mut at = (0.0, 0.0);
    for tag in told.split('<') {
        if tag.starts_with("page ") {
            pages.push(Page { height: number(tag, "height"), runs: Vec::new() });
        } else if tag.starts_with("font ") {
            size = number(tag, "size");
            at = (f64::NAN, f64::NAN);
        } else if tag.starts_with("char ") {
            let Some(page) = pages.last_mut() else { continue };
            if at.0.is_nan() {
                at = (number(tag, "x"), number(tag, "y"));
                page.runs.push(Run { x: at.0, y: at.1, size, text: String::new() });
            }
            if let Some(run) = page.runs.last_mut() {
                run.text.push_str(&letter(&attribute(tag, "c")));
            }
        }
    }
    pages
}

/// The texts of all figures, without spaces.
fn of_figures(packet: &Packet) -> String {
    let mut all = String::new();
    for block in packet.sections.iter().flat_map(|section| &section.blocks) {
        let Block::Figure(figure) = block else { continue };
        for text in figure.svg.split("<text ").skip(1) {
            let inner = text.split_once('>').map_or("", |(_, inner)| inner);
            let inner = inner.split("</text>").next().unwrap_or_default();
            all.push_str(&bare(&inner.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")));
            all.push('\n');
        }
    }
    all
}

/// What is wrong with the pages of a packet.
pub(super) fn faults(packet: &Packet, path: &str) -> Vec<String> {
    let Some(told) = told("mutool", &["draw", "-q", "-F", "stext", "-o", "-", path]) else { return Vec::new() };
    let pages = pages(&told);
    assert!(pages.iter().map(|page| page.runs.len()).sum::<usize>() > 50, "letters are found");
    let figures = of_figures(packet);
    let mut faults = Vec::new();
    for (index, page) in pages.iter().enumerate() {
        let place = format!("{} page {}", packet.title, index + 1);
        for run in page.runs.iter().filter(|run| run.size < LEAST.0 && !bare(&run.text).is_empty()) {
            // Texts of a figure that stand side by side are read as one.
            let in_figure = run.text.split_whitespace().all(|word| figures.contains(&bare(word)));
            if run.size < LEAST.1 || !in_figure {
                faults.push(format!("{place}: '{}' is set in {} pt", run.text, run.size));
            }
        }
        let last = page.body().max_by(|one, other| one.y.total_cmp(&other.y));
        if let Some(head) = last.filter(|run| HEADS.iter().any(|size| (run.size - size).abs() < 0.05)) {
            faults.push(format!("{place} ends with the head '{}'", head.text));
        }
    }
    let mut tables = Vec::new();
    for block in packet.sections.iter().flat_map(|section| &section.blocks) {
        if let Block::Table(table) = block {
            tables.push(table);
        }
    }
    for table in tables.iter().filter(|table| table.rows.len() > 2 && table.above == 0) {
        let parts: Vec<(usize, usize)> =
            pages.iter().enumerate().filter_map(|(index, page)| Some((index, rows(page, table)?))).collect();
        if parts.len() > 1 {
            for (index, _) in parts.iter().filter(|(_, rows)| *rows < 2) {
                faults.push(format!("{} page {}: one row of '{}' alone", packet.title, index + 1, table.title));
            }
        }
    }
    faults
}

/// How many lines begin at the left edge of a table on a page, below its heads; none where it is not on the page.
fn rows(page: &Page, table: &Table) -> Option<usize> {
    let heads: String = table.columns.iter().map(|column| bare(&column.full_head())).collect();
    let body: Vec<&Run> = page.body().collect();
    let mut text = String::new();
    let mut starts = Vec::new();
    for run in &body {
        starts.push(text.len());
        text.push_str(&bare(&run.text));
    }
    let at = text.find(&heads)?;
    let first = body.get(starts.iter().position(|start| *start >= at)?)?;
    let after = starts.iter().position(|start| *start >= at + heads.len())?;
    let left = first.x;
    let mut lines: Vec<f64> = Vec::new();
    for run in body.iter().skip(after) {
        let is_head = HEADS.iter().any(|size| (run.size - size).abs() < 0.05);
        if is_head || run.y <= first.y {
            break;
        }
        if (run.x - left).abs() < 0.6 && !lines.iter().any(|y| (y - run.y).abs() < 1.0) {
            lines.push(run.y);
        }
    }
    Some(lines.len())
}
