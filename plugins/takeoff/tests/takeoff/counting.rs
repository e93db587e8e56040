//! Random arrangements of boxes on a grid of whole metres, against counting unit cubes.

use crate::samples::home;
use mateline_boxes::Boxes;
use mateline_boxes::contact::Arrangement;
use mateline_boxes::coordinate::GAP;
use mateline_boxes::placed::{FACES, Placed, direction};
use mateline_model::home::Boundary;
use mateline_takeoff::foundation::Below;
use mateline_takeoff::seams::seams;
use proptest::prelude::*;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

type Cell = [i64; 3];

/// South-west lower corner and size of a box in whole metres.
type Whole = ([i64; 3], [i64; 3]);

fn boxes() -> impl Strategy<Value = Vec<Whole>> {
    let one = ([0..7i64, 0..7i64, 0..5i64], [1..5i64, 1..5i64, 1..4i64]);
    prop::collection::vec(one, 1..12)
}

/// The boxes in a home, each `inset` mm smaller on all four sides.
fn placed(wholes: &[Whole], inset: f64) -> Boxes {
    let modules = wholes.iter().enumerate().map(|(i, (at, size))| {
        let [x, y, z] = at.map(|metres| metres as f64 * 1e3);
        let [dx, dy, dz] = size.map(|metres| metres as f64 * 1e3);
        let mm = |value: f64| format!("{value} mm");
        let at = json!({ "x": mm(x + inset), "y": mm(y + inset), "z": mm(z) });
        let size = json!({ "x": mm(dx - 2.0 * inset), "y": mm(dy - 2.0 * inset), "z": mm(dz) });
        (format!("M{i}"), json!({ "level": 1, "at": at, "size": size }))
    });
    Boxes::of(&home(json!({ "modules": Value::Object(modules.collect()) })))
}

fn cells((at, size): &Whole) -> BTreeSet<Cell> {
    let mut cells = BTreeSet::new();
    for x in at[0]..at[0] + size[0] {
        for y in at[1]..at[1] + size[1] {
            cells.extend((at[2]..at[2] + size[2]).map(|z| [x, y, z]));
        }
    }
    cells
}

/// Those boxes, in order, that overlap none before them.
fn apart(wholes: Vec<Whole>) -> Vec<Whole> {
    let mut taken = BTreeSet::new();
    let mut kept = Vec::new();
    for whole in wholes {
        let cells = cells(&whole);
        if taken.is_disjoint(&cells) {
            taken.extend(cells);
            kept.push(whole);
        }
    }
    kept
}

/// Which box owns each cube.
fn owners(wholes: &[Whole]) -> BTreeMap<Cell, usize> {
    wholes.iter().enumerate().flat_map(|(i, whole)| cells(whole).into_iter().map(move |cell| (cell, i))).collect()
}

fn step(mut cell: Cell, axis: usize, high: bool) -> Cell {
    cell[axis] += if high { 1 } else { -1 };
    cell
}

/// Edge length of the contact of `low` and `high` with outside beside it, counted edge by edge of the unit squares.
fn counted_seam(owners: &BTreeMap<Cell, usize>, low: usize, high: usize, axis: usize) -> i64 {
    let meets = |cell: &Cell| owners.get(cell) == Some(&low) && owners.get(&step(*cell, axis, true)) == Some(&high);
    let mut length = 0;
    for cell in owners.keys().filter(|cell| meets(cell)) {
        for across in (0..3).filter(|across| *across != axis) {
            for towards in [false, true] {
                let beside = step(*cell, across, towards);
                let outside = !owners.contains_key(&beside) || !owners.contains_key(&step(beside, axis, true));
                length += i64::from(!meets(&beside) && outside);
            }
        }
    }
    length
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Volume, open area of each face, contacts and the length of mate lines.
    #[test]
    fn boxes_agree_with_cubes(wholes in boxes()) {
        let wholes = apart(wholes);
        let boxes = placed(&wholes, 0.0);
        prop_assert_eq!(boxes.placed.len(), wholes.len());
        let owners = owners(&wholes);
        let volume: f64 = boxes.placed.iter().map(Placed::volume).sum();
        prop_assert!((volume - owners.len() as f64).abs() < 1e-9);
        prop_assert!(boxes.arrangement.overlaps.is_empty());
        for (i, faces) in boxes.open.iter().enumerate() {
            for face in FACES {
                let (axis, high) = direction(face);
                let free = |cell: &Cell| !owners.contains_key(&step(*cell, axis, high));
                let counted = owners.iter().filter(|(cell, owner)| **owner == i && free(cell)).count() as f64;
                prop_assert!((faces.of(face).area - counted).abs() < 1e-9, "{face} of {i}");
            }
        }
        let mut contacts: BTreeMap<(usize, usize, usize), i64> = BTreeMap::new();
        for (cell, low) in &owners {
            for axis in 0..3 {
                if let Some(high) = owners.get(&step(*cell, axis, true)).filter(|high| *high != low) {
                    *contacts.entry((*low, *high, axis)).or_default() += 1;
                }
            }
        }
        let outside = Below::Outside(Boundary::Outdoor);
        let found = seams(&boxes, &|_| &outside);
        prop_assert_eq!(found.len(), contacts.len());
        for seam in found {
            let key = (seam.contact.low, seam.contact.high, seam.contact.axis);
            prop_assert!((seam.contact.area - contacts.get(&key).copied().unwrap_or(0) as f64).abs() < 1e-9);
            let length = seam.length().unwrap();
            let counted = counted_seam(&owners, key.0, key.1, key.2);
            prop_assert!((length - counted as f64).abs() < 1e-9, "{}: {length} against {counted}", seam.id);
        }
    }

    /// Pairs that share a cube are those found to overlap.
    #[test]
    fn overlaps_agree_with_cubes(wholes in boxes()) {
        let arrangement = placed(&wholes, 0.0).arrangement;
        let mut shared = Vec::new();
        for (i, a) in wholes.iter().enumerate() {
            for (j, b) in wholes.iter().enumerate().skip(i + 1) {
                if !cells(a).is_disjoint(&cells(b)) {
                    shared.push((i, j));
                }
            }
        }
        prop_assert_eq!(arrangement.overlaps, shared);
    }

    /// With a marriage gap between all boxes, the same boxes touch, faces that were covered stay covered, and no face
    /// is open by more than its seams are wide.
    #[test]
    fn gaps_change_no_contact(wholes in boxes()) {
        let wholes = apart(wholes);
        let (tight, loose) = (placed(&wholes, 0.0), placed(&wholes, 12.7));
        let (touching, gapped) = (&tight.arrangement, &loose.arrangement);
        let pairs = |arrangement: &Arrangement| -> Vec<(usize, usize, usize)> {
            arrangement.contacts.iter().map(|contact| (contact.low, contact.high, contact.axis)).collect()
        };
        prop_assert_eq!(pairs(touching), pairs(gapped));
        for contact in &gapped.contacts {
            prop_assert_eq!(contact.gap, if contact.axis == 2 { 0 } else { GAP });
        }
        for (tight, loose) in tight.open.iter().zip(&loose.open) {
            for face in FACES {
                let (before, after) = (tight.of(face).area, loose.of(face).area);
                prop_assert!(before > 0.0 || after == 0.0, "{face}: {after}");
                prop_assert!((before - after).abs() < 0.0127 * 40.0, "{face}: {before} and {after}");
            }
        }
    }
}
