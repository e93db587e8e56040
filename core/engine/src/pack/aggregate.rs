//! A figure over the elements of a section as a pack's file writes it key by key, such as the area of all surfaces to the
//! outdoors: `{sum: takeoff.net_area, over: surfaces, where: "takeoff.boundary == 'outdoor'"}`.

use super::value_file::AggregateFile;
use crate::expr::Figure;

/// The figure of a file, its section, and what it is of. A count names its section itself.
///
/// # Errors
/// What is said twice, or not at all.
pub(super) fn figure(file: &AggregateFile) -> Result<(Figure, &str, Option<&str>), String> {
    let given: Vec<(Figure, &str)> = [
        (Figure::Sum, &file.sum),
        (Figure::Min, &file.min),
        (Figure::Max, &file.max),
        (Figure::Mean, &file.mean),
        (Figure::Count, &file.count),
    ]
    .into_iter()
    .filter_map(|(figure, text)| Some((figure, text.as_deref()?)))
    .collect();
    let [(figure, of)] = given.as_slice() else {
        return Err(format!("the value has {} figures; give one of sum, min, max, mean and count", given.len()));
    };
    match (figure, &file.over) {
        (Figure::Count, Some(_)) => Err("'count' names its section itself; drop 'over'".to_owned()),
        (Figure::Count, None) => Ok((*figure, of, None)),
        (_, None) => Err(format!("'{}' needs a section: 'over'", figure.name())),
        _ if file.weighted_by.is_some() && *figure != Figure::Mean => {
            Err(format!("'{}' takes no weights; only 'mean' does", figure.name()))
        }
        (_, Some(over)) => Ok((*figure, over, Some(of))),
    }
}

/// A figure as an expression, with the key of the file that each part of it comes from, by where the part begins.
pub(super) struct Written {
    pub text: String,
    parts: Vec<(usize, &'static str)>,
}

impl Written {
    /// `sum(takeoff.net_area over surfaces where takeoff.boundary == 'outdoor')`.
    pub fn new(file: &AggregateFile, figure: Figure, over: &str, of: Option<&str>) -> Written {
        let mut written = Written { text: String::new(), parts: Vec::new() };
        written.add(figure.name(), "(", figure.name());
        if let Some(of) = of {
            written.add(figure.name(), "", of);
            written.text.push_str(" over ");
        }
        written.add(if of.is_some() { "over" } else { figure.name() }, "", over);
        for (key, part) in [("where", &file.filter), ("weighted_by", &file.weighted_by)] {
            if let Some(part) = part {
                written.text.push_str(&format!(" {key} "));
                written.add(key, "", part);
            }
        }
        written.text.push(')');
        written
    }

    fn add(&mut self, key: &'static str, behind: &str, part: &str) {
        self.parts.push((self.text.len(), key));
        self.text.push_str(part);
        self.text.push_str(behind);
    }

    /// The key of the file that a byte of the text comes from.
    pub fn key_at(&self, byte: usize) -> &'static str {
        self.parts.iter().rev().find(|(start, _)| *start <= byte).map_or("value", |(_, key)| key)
    }
}
