//! Figures: the boxes of each level in plan, with the outlines below and the mate lines.

use crate::problems::length;
use crate::seams::Seam;
use mateline_boxes::coordinate::metres;
use mateline_boxes::placed::Placed;
use mateline_model::home::Home;
use mateline_model::{Drawing, Figure, PlanBox, PlanSeam, Subject};
use std::collections::BTreeMap;

/// No more boxes or mate lines are named in the words that stand for a figure.
const NAMED: usize = 40;

/// One plan for each level, lowest first.
pub fn plans(home: &Home, boxes: &[Placed], seams: &[Seam]) -> Vec<Figure> {
    let mut levels: BTreeMap<u32, Vec<&Placed>> = BTreeMap::new();
    for placed in boxes {
        levels.entry(placed.level).or_default().push(placed);
    }
    let mut lines: BTreeMap<u32, Vec<(&Seam, PlanSeam)>> = BTreeMap::new();
    for seam in seams {
        if let Some((level, line)) = line(boxes, seam) {
            lines.entry(level).or_default().push((seam, line));
        }
    }
    let mut figures = Vec::new();
    for (level, storey) in &levels {
        let below = level.checked_sub(1).and_then(|below| levels.get(&below)).map_or(&[][..], Vec::as_slice);
        let lines = lines.remove(level).unwrap_or_default();
        figures.push(Figure {
            subject: Subject::home(),
            key: "takeoff.plan".into(),
            title: format!("Modules of level {level}"),
            alternative: in_words(home, *level, storey, below, &lines),
            drawing: Drawing::Plan {
                boxes: storey.iter().map(|placed| plan_box(placed)).collect(),
                below: below.iter().map(|placed| plan_box(placed)).collect(),
                seams: lines.into_iter().map(|(_, line)| line).collect(),
            },
        });
    }
    figures
}

fn plan_box(placed: &Placed) -> PlanBox {
    let [x, y, _] = placed.spans;
    PlanBox { label: placed.id.to_string(), edges: [x.lo, y.lo, x.hi, y.hi].map(metres) }
}

/// A mate line between two boxes of one level, in the middle of its gap.
fn line(boxes: &[Placed], seam: &Seam) -> Option<(u32, PlanSeam)> {
    let contact = &seam.contact;
    let (low, high) = (boxes.get(contact.low)?, boxes.get(contact.high)?);
    if contact.axis == 2 || low.level != high.level {
        return None;
    }
    let at = (metres(low.spans[contact.axis].hi) + metres(high.spans[contact.axis].lo)) / 2.0;
    let (from, to) = (metres(contact.rect.u.lo), metres(contact.rect.u.hi));
    let line = if contact.axis == 0 { [at, from, at, to] } else { [from, at, to, at] };
    Some((low.level, PlanSeam { label: seam.id.clone(), line }))
}

fn in_words(home: &Home, level: u32, storey: &[&Placed], below: &[&Placed], lines: &[(&Seam, PlanSeam)]) -> String {
    let shown = |metres: f64| length(metres, home.units);
    let sizes = storey.iter().map(|placed| {
        let [x, y, _] = placed.spans.map(|span| shown(metres(span.length())));
        format!("{}, {x} from west to east and {y} from south to north", placed.id)
    });
    let mut text = format!("Plan of level {level}. Modules: {}.", listed(sizes));
    if !below.is_empty() {
        text.push_str(&format!(" Below: {}.", listed(below.iter().map(|placed| placed.id.to_string()))));
    }
    if !lines.is_empty() {
        let lengths = lines.iter().map(|(seam, _)| {
            let run = shown(metres(seam.contact.rect.u.length()));
            format!("{}, {run} long", seam.id)
        });
        text.push_str(&format!(" Mate lines: {}.", listed(lengths)));
    }
    text
}

fn listed(items: impl ExactSizeIterator<Item = String>) -> String {
    let count = items.len();
    let mut text: String = items.take(NAMED).collect::<Vec<_>>().join("; ");
    if count > NAMED {
        text.push_str(&format!("; and {} more", count - NAMED));
    }
    text
}
