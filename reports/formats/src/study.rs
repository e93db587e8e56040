//! A study for its readers: a table for other programs, a page with cost against outcome, and a few lines for the terminal.

use crate::csv::line;
use crate::error::ReportError;
use crate::{VERSION, printable, shown, templates};
use mateline_model::home::Towards;
use mateline_model::{StudyHead, StudyRow};
use serde::Serialize;
use std::collections::BTreeSet;

/// Points that are drawn at most: all that nothing is better than, and of the others evenly chosen ones.
const DRAWN: usize = 2_000;
/// Rows of variants that are listed at most.
const LISTED: usize = 60;

/// A study as it is handed over.
#[derive(Clone, Debug)]
pub struct Papers {
    /// All rows as CSV (RFC 4180), with units in the head.
    pub table: String,
    /// One HTML page that stands alone.
    pub page: String,
    /// A few lines for the terminal.
    pub told: String,
}

/// The papers of a study.
///
/// # Errors
/// When the page's template cannot be filled.
pub fn papers(head: &StudyHead, rows: &[StudyRow]) -> Result<Papers, ReportError> {
    let best = undominated(head, rows);
    let told = told(head, rows, best.len());
    Ok(Papers { table: csv(head, rows), page: page(head, rows, &best, &told)?, told })
}

fn csv(head: &StudyHead, rows: &[StudyRow]) -> String {
    let mut names = vec!["variant".to_owned(), "home".to_owned(), "climate".to_owned()];
    names.extend(head.varied.iter().cloned());
    names.push("cost [$]".to_owned());
    names.extend(head.columns.iter().map(|(name, unit)| with_unit(name, unit)));
    for pack in &head.packs {
        names.extend([format!("{pack} requirements open"), format!("{pack} advice open")]);
    }
    names.push("fault".to_owned());
    let mut text = String::new();
    line(&mut text, names.iter().map(String::as_str));
    for row in rows {
        let mut cells = vec![row.variant.to_string(), row.home.clone(), row.climate.clone().unwrap_or_default()];
        cells.extend(row.set.iter().map(|step| step.clone().unwrap_or_default()));
        cells.push(row.cost.map_or_else(String::new, |cost| cost.to_string()));
        cells.extend(row.values.iter().map(cell));
        let open: Vec<String> =
            row.open.iter().flat_map(|(required, advice)| [required.to_string(), advice.to_string()]).collect();
        cells.extend((0..head.packs.len() * 2).map(|place| open.get(place).cloned().unwrap_or_default()));
        cells.push(row.fault.clone().unwrap_or_default());
        line(&mut text, cells.iter().map(String::as_str));
    }
    text
}

fn with_unit(name: &str, unit: &str) -> String {
    if unit.is_empty() { name.to_owned() } else { format!("{name} [{unit}]") }
}

fn cell(value: &serde_json::Value) -> String {
    match value {
        serde_json::Value::Null => String::new(),
        serde_json::Value::String(text) => text.clone(),
        // Written out: a spreadsheet's guard takes an exponent for no number.
        serde_json::Value::Number(number) if number.to_string().contains('e') => {
            number.as_f64().map_or_else(|| number.to_string(), |value| value.to_string())
        }
        other => other.to_string(),
    }
}

/// What a page says of a study.
#[derive(Serialize)]
struct Page<'a> {
    head: &'a StudyHead,
    version: &'a str,
    sentence: &'a str,
    better: String,
    chart: Option<Chart>,
    names: Vec<String>,
    best: Vec<Listed>,
    best_left_out: usize,
    effects: Vec<Effect>,
    effect_names: Vec<String>,
    faults: Vec<(u64, String)>,
}

#[derive(Serialize)]
struct Listed {
    variant: u64,
    cells: Vec<String>,
}

/// What a step does, by the mean over all variants that have it.
#[derive(Serialize)]
struct Effect {
    of: String,
    step: String,
    variants: usize,
    means: Vec<String>,
}

/// Cost against outcome.
#[derive(Serialize)]
struct Chart {
    x: String,
    y: String,
    x_ends: (String, String),
    y_ends: (String, String),
    points: Vec<Dot>,
    left_out: usize,
}

#[derive(Serialize)]
struct Dot {
    x: String,
    y: String,
    is_best: bool,
    variant: u64,
    told: String,
}

/// What a variant is measured by: smaller is better.
fn measures(head: &StudyHead, row: &StudyRow) -> Option<Vec<f64>> {
    let mut all = Vec::new();
    if row.fault.is_some() {
        return None;
    }
    all.extend(row.cost);
    for (name, side) in &head.better {
        let place = head.columns.iter().position(|(column, _)| column == name)?;
        let value = row.values.get(place)?.as_f64()?;
        all.push(if *side == Towards::More { -value } else { value });
    }
    all.extend(row.open.iter().map(|(required, advice)| (required * 1_000 + advice) as f64));
    Some(all)
}

/// The rows that no other on the same site is better than in everything, in order of their first measure. Rows of which
/// something is not known are left out.
fn undominated(head: &StudyHead, rows: &[StudyRow]) -> Vec<usize> {
    let site = |place: usize| rows.get(place).and_then(|row| row.climate.as_deref());
    let known = rows.iter().enumerate().filter_map(|(place, row)| Some((place, measures(head, row)?)));
    let mut known: Vec<(usize, Vec<f64>)> = known.collect();
    let width = known.iter().map(|(_, measures)| measures.len()).max().unwrap_or(0);
    known.retain(|(_, measures)| measures.len() == width && width > 0);
    let in_order = |a: &[f64], b: &[f64]| {
        std::iter::zip(a, b)
            .map(|(a, b)| a.total_cmp(b))
            .find(|order| order.is_ne())
            .unwrap_or(std::cmp::Ordering::Equal)
    };
    known.sort_by(|(one, a), (other, b)| in_order(a, b).then(one.cmp(other)));
    let mut kept: Vec<(usize, Vec<f64>)> = Vec::new();
    // One that comes later in this order is never better than one that is kept.
    for (place, measures) in known {
        let is_beaten = kept
            .iter()
            .filter(|(other, _)| site(*other) == site(place))
            .any(|(_, other)| std::iter::zip(other, &measures).all(|(other, own)| other <= own) && *other != measures);
        if !is_beaten {
            kept.push((place, measures));
        }
    }
    kept.into_iter().map(|(place, _)| place).collect()
}

fn number(value: f64) -> String {
    if value.fract() == 0.0 {
        return format!("{value:.0}");
    }
    let digits = [1_000.0, 100.0, 10.0, 1.0, 0.1, 0.01].iter().filter(|end| value.abs() < **end).count();
    format!("{value:.digits$}")
}

/// The numbers of a row: cost, columns, and what is open in each pack.
fn numbers(head: &StudyHead, row: &StudyRow) -> Vec<Option<f64>> {
    let values =
        head.columns.iter().enumerate().map(|(place, _)| row.values.get(place).and_then(serde_json::Value::as_f64));
    let open = row.open.iter().flat_map(|(required, advice)| [Some(*required as f64), Some(*advice as f64)]);
    std::iter::once(row.cost).chain(values).chain(open).collect()
}

fn number_names(head: &StudyHead) -> Vec<String> {
    let columns = head.columns.iter().map(|(name, unit)| with_unit(name, unit));
    let open =
        head.packs.iter().flat_map(|pack| [format!("{pack}: requirements open"), format!("{pack}: advice open")]);
    std::iter::once("cost [$]".to_owned()).chain(columns).chain(open).collect()
}

fn page(head: &StudyHead, rows: &[StudyRow], best: &[usize], told: &str) -> Result<String, ReportError> {
    let listed = best.iter().take(LISTED).filter_map(|place| rows.get(*place)).map(|row| listed(head, row));
    let faults: Vec<(u64, String)> =
        rows.iter().filter_map(|row| Some((row.variant, row.fault.clone()?))).take(LISTED).collect();
    let page = Page {
        head,
        version: VERSION,
        sentence: told,
        better: better(head, rows),
        chart: chart(head, rows, best),
        names: names(head),
        best: listed.collect(),
        best_left_out: best.len().saturating_sub(LISTED),
        effects: effects(head, rows),
        effect_names: number_names(head),
        faults,
    };
    templates::fill("study.html", &page, rows.len().min(DRAWN) + 200)
}

fn names(head: &StudyHead) -> Vec<String> {
    let mut names = vec!["home".to_owned(), "climate".to_owned()];
    names.extend(head.varied.iter().cloned());
    names.extend(number_names(head));
    names
}

fn listed(head: &StudyHead, row: &StudyRow) -> Listed {
    let mut cells = vec![row.home.clone(), row.climate.clone().unwrap_or_default()];
    cells.extend(row.set.iter().map(|step| step.clone().unwrap_or_else(|| "as it stands".to_owned())));
    let numbers = numbers(head, row).into_iter().map(|value| value.map_or_else(|| "not known".to_owned(), number));
    cells.extend(numbers);
    Listed { variant: row.variant, cells }
}

/// What makes a variant better, in words.
fn better(head: &StudyHead, rows: &[StudyRow]) -> String {
    let mut words: Vec<String> = Vec::new();
    if rows.iter().any(|row| row.cost.is_some()) {
        words.push("less cost".to_owned());
    }
    let side = |side: &Towards| if *side == Towards::More { "more" } else { "less" };
    words.extend(head.better.iter().map(|(name, towards)| format!("{} {name}", side(towards))));
    words.extend(head.packs.iter().map(|pack| format!("less open of {pack}")));
    words.join(", ")
}

fn effects(head: &StudyHead, rows: &[StudyRow]) -> Vec<Effect> {
    let mut effects = Vec::new();
    for (place, name) in head.varied.iter().enumerate() {
        let mut steps: Vec<Option<&str>> = Vec::new();
        for row in rows {
            let step = row.set.get(place).and_then(Option::as_deref);
            if !steps.contains(&step) {
                steps.push(step);
            }
        }
        for step in steps {
            let with = rows.iter().filter(|row| row.fault.is_none());
            let with: Vec<&StudyRow> =
                with.filter(|row| row.set.get(place).and_then(Option::as_deref) == step).collect();
            let all: Vec<Vec<Option<f64>>> = with.iter().map(|row| numbers(head, row)).collect();
            let mean = |column: usize| {
                let values: Vec<f64> = all.iter().filter_map(|numbers| *numbers.get(column)?).collect();
                let is_known = !values.is_empty() && values.len() == all.len();
                is_known.then(|| values.iter().sum::<f64>() / values.len() as f64)
            };
            let means =
                (0..number_names(head).len()).map(|column| mean(column).map_or_else(|| "not known".to_owned(), number));
            effects.push(Effect {
                of: name.clone(),
                step: step.unwrap_or("as it stands").to_owned(),
                variants: with.len(),
                means: means.collect(),
            });
        }
    }
    effects
}

/// Left, right, top and bottom of the plot.
const PLOT: (f64, f64, f64, f64) = (80.0, 700.0, 20.0, 380.0);

fn chart(head: &StudyHead, rows: &[StudyRow], best: &[usize]) -> Option<Chart> {
    let names = number_names(head);
    let best: BTreeSet<usize> = best.iter().copied().collect();
    let all: Vec<Vec<Option<f64>>> = rows.iter().map(|row| numbers(head, row)).collect();
    let at = |numbers: &Vec<Option<f64>>, column: usize| numbers.get(column).copied().flatten();
    let has = |column: &usize| all.iter().any(|numbers| at(numbers, *column).is_some());
    // Cost where there is one; the first value that is better to one side, else what is open.
    let better = head.better.first().and_then(|(name, _)| head.columns.iter().position(|(column, _)| column == name));
    let y =
        better.map(|place| place + 1).or(Some(1 + head.columns.len()).filter(|_| !head.packs.is_empty())).or(Some(1));
    let y = y.filter(has)?;
    let x = if has(&0) { 0 } else { (1..names.len()).find(|column| *column != y && has(column))? };
    let both = all.iter().enumerate();
    let all: Vec<(usize, f64, f64)> =
        both.filter_map(|(place, numbers)| Some((place, at(numbers, x)?, at(numbers, y)?))).collect();
    let ends = |values: &mut dyn Iterator<Item = f64>| {
        values.fold((f64::MAX, f64::MIN), |(low, high), v| (low.min(v), high.max(v)))
    };
    let (x_low, x_high) = ends(&mut all.iter().map(|(_, x, _)| *x));
    let (y_low, y_high) = ends(&mut all.iter().map(|(_, _, y)| *y));
    let share = |value: f64, low: f64, high: f64| if high > low { (value - low) / (high - low) } else { 0.5 };
    let every = all.len().div_ceil(DRAWN).max(1);
    let drawn: Vec<&(usize, f64, f64)> = all
        .iter()
        .enumerate()
        .filter(|(n, (place, ..))| n % every == 0 || best.contains(place))
        .map(|(_, dot)| dot)
        .collect();
    let left_out = all.len() - drawn.len();
    let dot = |(place, x, y): &(usize, f64, f64)| {
        let row = rows.get(*place);
        let steps = row.into_iter().flat_map(|row| std::iter::zip(&head.varied, &row.set));
        let steps = steps.map(|(name, step)| format!("{name} {}", step.as_deref().unwrap_or("as it stands")));
        Dot {
            x: format!("{:.1}", PLOT.0 + share(*x, x_low, x_high) * (PLOT.1 - PLOT.0)),
            y: format!("{:.1}", PLOT.3 - share(*y, y_low, y_high) * (PLOT.3 - PLOT.2)),
            is_best: best.contains(place),
            variant: row.map_or(0, |row| row.variant),
            told: steps.collect::<Vec<_>>().join(", "),
        }
    };
    Some(Chart {
        x: names.get(x)?.clone(),
        y: names.get(y)?.clone(),
        x_ends: (number(x_low), number(x_high)),
        y_ends: (number(y_low), number(y_high)),
        points: drawn.into_iter().map(dot).collect(),
        left_out,
    })
}

fn told(head: &StudyHead, rows: &[StudyRow], best: usize) -> String {
    let faulty = rows.iter().filter(|row| row.fault.is_some()).count();
    let met =
        rows.iter().filter(|row| row.fault.is_none() && row.open.iter().all(|(required, _)| *required == 0)).count();
    let mut text = format!("{}: {}", printable::line(&head.study), shown::counted(rows.len(), "variant", "variants"));
    if !head.packs.is_empty() {
        text.push_str(&format!(", {met} with no requirement open"));
    }
    if best > 0 {
        text.push_str(&format!(", {best} that no other on its site is better than in everything"));
    }
    if faulty > 0 {
        text.push_str(&format!(", {faulty} that cannot be"));
    }
    text + "\n"
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    fn head() -> StudyHead {
        StudyHead {
            study: "Walls <and> roofs".to_owned(),
            schema: 1,
            mateline: "1".to_owned(),
            inputs: "0".to_owned(),
            shard: (1, 1),
            variants: 4,
            varied: vec!["foam".to_owned()],
            columns: vec![("need, all".to_owned(), "kWh".to_owned())],
            better: vec![("need, all".to_owned(), Towards::Less)],
            packs: vec!["code".to_owned()],
        }
    }

    fn row(variant: u64, step: &str, cost: f64, need: f64, climate: Option<&str>) -> StudyRow {
        StudyRow {
            variant,
            home: "home.yaml".to_owned(),
            climate: climate.map(str::to_owned),
            set: vec![Some(step.to_owned())],
            cost: Some(cost),
            values: vec![need.into()],
            open: vec![(0, 0)],
            fault: None,
        }
    }

    /// One is kept that is dearer and better, or cheaper and worse; not one that is both dearer and worse, unless it stands
    /// on another site; of two alike both.
    #[test]
    fn what_nothing_is_better_than_is_found() {
        let rows = [
            row(0, "1 in", 10.0, 90.0, None),
            row(1, "2 in", 20.0, 80.0, None),
            row(2, "3 in", 25.0, 85.0, None),
            row(3, "4 in", 25.0, 85.0, Some("elsewhere")),
            row(4, "5 in", 20.0, 80.0, None),
        ];
        assert_eq!(undominated(&head(), &rows), [0, 1, 4, 3]);
    }

    /// A table that other programs read: quotes doubled, units in the head, nothing in place of what is not known. On the
    /// page names are text, and each kept variant has its row.
    #[test]
    fn a_table_and_a_page_hold_the_rows() {
        let mut odd = row(1, "2 \"in\"", 20.0, 80.0, None);
        (odd.cost, odd.values) = (None, vec![serde_json::Value::Null]);
        let rows = [row(0, "1 in", 10.5, 90.25, None), odd];
        let table = csv(&head(), &rows);
        assert_eq!(
            table,
            "variant,home,climate,foam,cost [$],\"need, all [kWh]\",code requirements open,code advice open,fault\r\n\
             0,home.yaml,,1 in,10.5,90.25,0,0,\r\n1,home.yaml,,\"2 \"\"in\"\"\",,,0,0,\r\n"
        );
        let page = papers(&head(), &rows).unwrap().page;
        assert!(page.contains("Walls &lt;and&gt; roofs") && page.contains("id=\"variant-0\""), "{page}");
    }
}
