//! The rows of a study on the disk: a head that says what they follow from, and a line for each variant. What was
//! interrupted goes on where it stopped; what several machines did is put together.

use super::plan::{Plan, Shard};
use mateline_model::{StudyHead as Head, StudyRow as Row};

/// What is left of an earlier run of the same study.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    /// Bytes that can stay.
    pub bytes: usize,
    /// Rows that are there.
    pub rows: usize,
}

/// Several parts as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Merged {
    /// The head of the whole.
    pub head: Head,
    /// All rows in order.
    pub rows: Vec<Row>,
}

/// Why parts cannot be put together, or a file not be gone on with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartFault(pub String);

/// The head of a part of a study.
pub fn head(plan: &Plan<'_>, shard: Shard, version: &str) -> Head {
    let unit = |column: &super::Column| column.units.of(plan.units).0.to_owned();
    let better = plan.columns.iter().filter_map(|column| Some((column.name.clone(), column.better?)));
    Head {
        study: plan.title.clone(),
        schema: 1,
        mateline: version.to_owned(),
        inputs: plan.inputs.clone(),
        shard: (shard.number, shard.of),
        variants: u64::try_from(plan.count()).unwrap_or(u64::MAX),
        varied: plan.varied.iter().map(|varied| varied.name.clone()).collect(),
        columns: plan.columns.iter().map(|column| (column.name.clone(), unit(column))).collect(),
        better: better.collect(),
        packs: plan.packs.clone(),
    }
}

/// The numbers of a part's variants.
fn numbers(head: &Head) -> impl Iterator<Item = u64> {
    (0..head.variants).skip(head.shard.0.saturating_sub(1)).step_by(head.shard.1.max(1))
}

impl Kept {
    /// What can stay of a file that was begun with a head: its whole lines, as far as they are the rows that belong there.
    ///
    /// # Errors
    /// When it belongs to another study, to other inputs or to another version.
    pub fn of(text: &str, head: &Head) -> Result<Kept, PartFault> {
        if text.is_empty() {
            return Ok(Kept { bytes: 0, rows: 0 });
        }
        let first = head.line();
        if !text.starts_with(&first) {
            // A head that was cut off belongs to nothing yet.
            if first.starts_with(text) {
                return Ok(Kept { bytes: 0, rows: 0 });
            }
            let message =
                "it holds the rows of another study, of other inputs or of another version; give another folder";
            return Err(PartFault(message.to_owned()));
        }
        let (mut bytes, mut rows) = (first.len(), 0);
        let mut numbers = numbers(head);
        for line in text.get(bytes..).unwrap_or_default().split_inclusive('\n').filter(|line| line.ends_with('\n')) {
            let Ok(row) = serde_json::from_str::<Row>(line) else { break };
            if numbers.next() != Some(row.variant) {
                break;
            }
            bytes += line.len();
            rows += 1;
        }
        Ok(Kept { bytes, rows })
    }
}

/// Puts the parts of a study together, by name and text.
///
/// # Errors
/// When a part is of another study, other inputs or another version, when one lacks rows, is there twice or is not there.
pub fn merged(parts: &[(String, String)]) -> Result<Merged, PartFault> {
    let fault = |message: String| Err(PartFault(message));
    let mut whole: Option<Head> = None;
    let mut rows: Vec<Row> = Vec::new();
    let mut seen: Vec<(usize, &str)> = Vec::new();
    for (name, text) in parts {
        let mut lines = text.lines();
        let head = lines.next().and_then(|line| serde_json::from_str::<Head>(line).ok());
        let Some(head) = head else { return fault(format!("{name} holds no rows of a study")) };
        let first = whole.get_or_insert_with(|| head.clone());
        if (Head { shard: first.shard, ..head.clone() }) != *first || head.shard.1 != first.shard.1 {
            let what = if head.mateline != first.mateline {
                "another version of mateline"
            } else if head.inputs != first.inputs {
                "other inputs"
            } else {
                "another study or another number of parts"
            };
            return fault(format!("{name} is of {what} than the first part"));
        }
        if let Some((_, other)) = seen.iter().find(|(number, _)| *number == head.shard.0) {
            return fault(format!("{name} and {other} are the same part, {} of {}", head.shard.0, head.shard.1));
        }
        seen.push((head.shard.0, name));
        let mut numbers = numbers(&head);
        for line in lines {
            match serde_json::from_str::<Row>(line) {
                Ok(row) if numbers.next() == Some(row.variant) => rows.push(row),
                _ => {
                    return fault(format!(
                        "{name} has a row that does not belong there: {}",
                        line.chars().take(40).collect::<String>()
                    ));
                }
            }
        }
        if let Some(next) = numbers.next() {
            return fault(format!("{name} is not whole: it lacks variant {next}"));
        }
    }
    let Some(head) = whole else { return fault("there is no part".to_owned()) };
    let lacking = (1..=head.shard.1).find(|number| !seen.iter().any(|(seen, _)| seen == number));
    if let Some(number) = lacking {
        return fault(format!("part {number} of {} is not there", head.shard.1));
    }
    rows.sort_by_key(|row| row.variant);
    Ok(Merged { head: Head { shard: (1, 1), ..head }, rows })
}
