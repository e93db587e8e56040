//! The lines of text beside a section: how each layer's name is broken, and where its row stands.

use super::super::{broken, clipped, px};
use super::{LEAST_HEIGHT, Stand, TOP, TextLine};
use mateline_model::SectionLayer;

/// Height of a row with one line of text, and of each further line.
const ROW: (f64, f64) = (24.0, 13.0);
/// Width of a layer's name, and of its roles.
const WIDTHS: (f64, f64) = (190.0, 240.0);

/// A layer's row.
pub(super) struct Row {
    /// The middle of the row, where the leader starts.
    pub middle: f64,
    /// The base line of number, thickness and share.
    pub base: f64,
    /// The layer's name, in one line or two.
    pub name: Vec<TextLine>,
    /// The layer's roles, below its name.
    pub roles: Option<TextLine>,
}

/// The rows in the order of the layers, and where the last one on the sheet ends. On the sheet rows run as the layers
/// do, so that no two leaders cross.
pub(super) fn rows(layers: &[SectionLayer], stand: Stand) -> (Vec<Row>, f64) {
    let texts: Vec<(Vec<String>, Option<String>)> = layers.iter().map(texts).collect();
    let height = |(name, roles): &(Vec<String>, Option<String>)| {
        ROW.0 + ROW.1 * (name.len().saturating_sub(1) + usize::from(roles.is_some())) as f64
    };
    let spare = (LEAST_HEIGHT - texts.iter().map(height).sum::<f64>()).max(0.0) / layers.len().max(1) as f64;
    let mut top = TOP;
    let mut row = |text: &(Vec<String>, Option<String>)| {
        let (name, roles) = text;
        let middle = top + (height(text) + spare) / 2.0;
        let base = middle + 4.0 - (height(text) - ROW.0) / 2.0;
        top += height(text) + spare;
        let below = |index: usize| px(base + ROW.1 * index as f64);
        Row {
            middle,
            base,
            name: name.iter().enumerate().map(|(i, text)| TextLine { y: below(i), text: text.clone() }).collect(),
            roles: roles.as_ref().map(|text| TextLine { y: below(name.len()), text: text.clone() }),
        }
    };
    let rows: Vec<Row> = match stand {
        Stand::InsideBelow => {
            let mut from_top: Vec<Row> = texts.iter().rev().map(&mut row).collect();
            from_top.reverse();
            from_top
        }
        Stand::Upright | Stand::InsideAbove => texts.iter().map(&mut row).collect(),
    };
    (rows, top)
}

fn texts(layer: &SectionLayer) -> (Vec<String>, Option<String>) {
    let roles = (!layer.roles.is_empty()).then(|| clipped(&layer.roles.join(", "), 10.5, WIDTHS.1));
    (broken(&layer.label, 12.0, WIDTHS.0), roles)
}
