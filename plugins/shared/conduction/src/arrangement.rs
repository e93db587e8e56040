//! A section cut along all edges of its parts and surfaces: which part fills each field, which surface each open edge
//! has, and whether the section can be solved at all.

use crate::section::{Rect, Section};
pub use crate::unsolved::{CONDUCTIVITIES, SectionError, THINNEST, Unsettled};
use crate::unsolved::{LARGEST, MOST_LINES, MOST_PARTS};

/// An open slit narrower than this (m) is taken for a gap between parts that were meant to touch.
const SLIT: f64 = 1e-3;

/// The open edge of a field: towards lower or higher x, lower or higher y.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Towards lower x.
    Left,
    /// Towards higher x.
    Right,
    /// Towards lower y.
    Low,
    /// Towards higher y.
    High,
}

/// All four.
pub const SIDES: [Side; 4] = [Side::Left, Side::Right, Side::Low, Side::High];

/// A section cut into fields.
#[derive(Clone, Debug)]
pub struct Arrangement {
    /// Lines of x, rising (m).
    pub x: Vec<f64>,
    /// Lines of y, rising (m).
    pub y: Vec<f64>,
    /// The part in each field, row by row from below; `None` where nothing is.
    parts: Vec<Option<usize>>,
    /// The surface on each open edge of each field, in the order of [`SIDES`].
    surfaces: Vec<[Option<usize>; 4]>,
}

impl Arrangement {
    /// Cuts a section up and checks it.
    ///
    /// # Errors
    /// The first [`SectionError`] found.
    pub fn of(section: &Section) -> Result<Arrangement, SectionError> {
        Arrangement::cut(section, None)
    }

    /// Cuts a section up along its own edges and those of another, so that both are solved on one grid.
    ///
    /// # Errors
    /// The first [`SectionError`] found.
    pub fn along(section: &Section, other: &Section) -> Result<Arrangement, SectionError> {
        Arrangement::cut(section, Some(other))
    }

    fn cut(section: &Section, other: Option<&Section>) -> Result<Arrangement, SectionError> {
        let count = section.parts.len() + section.surfaces.len();
        if count > MOST_PARTS {
            return Err(SectionError::TooManyParts(count));
        }
        check_values(section)?;
        let bounds = section.bounds().ok_or(SectionError::Empty)?;
        let rects = || {
            let all = std::iter::once(section).chain(other);
            all.flat_map(|one| one.parts.iter().map(|p| p.rect).chain(one.surfaces.iter().map(|s| s.rect)))
        };
        let x = lines(rects().flat_map(|rect| [rect.left, rect.right]), bounds.left, bounds.right);
        let y = lines(rects().flat_map(|rect| [rect.low, rect.high]), bounds.low, bounds.high);
        let most = x.len().max(y.len());
        if most > MOST_LINES {
            return Err(SectionError::TooManyLines(most));
        }
        let fields = (x.len() - 1) * (y.len() - 1);
        let mut found = Arrangement { x, y, parts: vec![None; fields], surfaces: vec![[None; 4]; fields] };
        found.fill(section)?;
        found.lay_surfaces(section)?;
        found.check_gaps()?;
        found.check_connected()?;
        Ok(found)
    }

    /// The lines of x and y that a grid has to keep: along the others nothing changes.
    pub fn telling(&self, section: &Section) -> (Vec<f64>, Vec<f64>) {
        let conducts = |column, row| self.part(column, row).map(|part| section.parts[part].conductivity.to_bits());
        let seen =
            |column, row, sides: [Side; 2]| (conducts(column, row), sides.map(|side| self.surface(column, row, side)));
        let across = [Side::Low, Side::High];
        let x =
            kept(&self.x, |line| (0..self.rows()).any(|row| seen(line - 1, row, across) != seen(line, row, across)));
        let along = [Side::Left, Side::Right];
        let y = kept(&self.y, |line| {
            (0..self.columns()).any(|column| seen(column, line - 1, along) != seen(column, line, along))
        });
        (x, y)
    }

    /// How many columns.
    pub fn columns(&self) -> usize {
        self.x.len() - 1
    }

    /// How many rows.
    pub fn rows(&self) -> usize {
        self.y.len() - 1
    }

    /// The part in a field.
    pub fn part(&self, column: usize, row: usize) -> Option<usize> {
        self.parts.get(row * self.columns() + column).copied().flatten()
    }

    /// The surface on an open edge of a field.
    pub fn surface(&self, column: usize, row: usize, side: Side) -> Option<usize> {
        self.surfaces.get(row * self.columns() + column)?.get(side as usize).copied().flatten()
    }

    /// The field on a side of another; `None` beyond the outline.
    fn beside(&self, column: usize, row: usize, side: Side) -> Option<(usize, usize)> {
        match side {
            Side::Left => Some((column.checked_sub(1)?, row)),
            Side::Low => Some((column, row.checked_sub(1)?)),
            Side::Right => (column + 1 < self.columns()).then_some((column + 1, row)),
            Side::High => (row + 1 < self.rows()).then_some((column, row + 1)),
        }
    }

    fn rect(&self, column: usize, row: usize) -> Rect {
        Rect::new(self.x[column], self.y[row], self.x[column + 1], self.y[row + 1])
    }

    fn fields(&self) -> impl Iterator<Item = (usize, usize)> + use<> {
        let columns = self.columns();
        (0..self.rows()).flat_map(move |row| (0..columns).map(move |column| (column, row)))
    }

    fn fill(&mut self, section: &Section) -> Result<(), SectionError> {
        for (number, part) in section.parts.iter().enumerate() {
            let columns = place(&self.x, part.rect.left)..place(&self.x, part.rect.right);
            for row in place(&self.y, part.rect.low)..place(&self.y, part.rect.high) {
                for column in columns.clone() {
                    let index = row * self.columns() + column;
                    if let Some(before) = self.parts[index].replace(number) {
                        return Err(SectionError::Overlap(before, number));
                    }
                }
            }
        }
        Ok(())
    }

    fn lay_surfaces(&mut self, section: &Section) -> Result<(), SectionError> {
        let mut used = vec![false; section.surfaces.len()];
        let mut touched = vec![false; section.environments.len()];
        for (column, row) in
            self.fields().filter(|(column, row)| self.part(*column, *row).is_some()).collect::<Vec<_>>()
        {
            for side in SIDES {
                if self.beside(column, row, side).is_some_and(|(c, r)| self.part(c, r).is_some()) {
                    continue;
                }
                let edge = edge_of(self.rect(column, row), side);
                let holds = |surface: &crate::section::Surface| within(&edge, &surface.rect);
                for (number, _) in section.surfaces.iter().enumerate().filter(|(_, surface)| holds(surface)) {
                    used[number] = true;
                }
                let found = section.surfaces.iter().position(holds);
                if let Some(surface) = found.and_then(|number| section.surfaces.get(number))
                    && let Some(touched) = touched.get_mut(surface.environment)
                {
                    *touched = true;
                }
                let index = row * self.columns() + column;
                self.surfaces[index][side as usize] = found;
            }
        }
        if let Some(astray) = used.iter().position(|used| !used) {
            return Err(SectionError::Astray(astray));
        }
        if touched.iter().filter(|touched| **touched).count() < 2 {
            return Err(SectionError::OneEnvironment);
        }
        Ok(())
    }

    /// A hole that no surface lines, and a slit narrower than any that is drawn on purpose, are mistakes.
    fn check_gaps(&self) -> Result<(), SectionError> {
        let mut reached = vec![false; self.parts.len()];
        let at = |(column, row): (usize, usize)| row * self.columns() + column;
        let empty = |field: &(usize, usize)| self.part(field.0, field.1).is_none();
        let lined = |(column, row): (usize, usize)| {
            SIDES.into_iter().any(|side| {
                let opposite = opposite(side);
                self.beside(column, row, side).is_some_and(|(c, r)| self.surface(c, r, opposite).is_some())
            })
        };
        let outer = |field: (usize, usize)| SIDES.into_iter().any(|side| self.beside(field.0, field.1, side).is_none());
        let mut open: Vec<_> = self.fields().filter(|f| empty(f) && (outer(*f) || lined(*f))).collect();
        while let Some(field) = open.pop() {
            if !std::mem::replace(&mut reached[at(field)], true) {
                open.extend(SIDES.into_iter().filter_map(|side| self.beside(field.0, field.1, side)).filter(empty));
            }
        }
        for field in self.fields().filter(empty) {
            let rect = self.rect(field.0, field.1);
            let between = |a: Side, b: Side| {
                let part = |side| self.beside(field.0, field.1, side).and_then(|(c, r)| self.part(c, r));
                part(a).zip(part(b)).map(|(a, _)| a)
            };
            let slit = between(Side::Left, Side::Right)
                .filter(|_| rect.width() < SLIT)
                .or_else(|| between(Side::Low, Side::High).filter(|_| rect.height() < SLIT));
            let near = || {
                let beside = |side| self.beside(field.0, field.1, side).and_then(|(c, r)| self.part(c, r));
                SIDES.into_iter().find_map(beside).unwrap_or(0)
            };
            if let Some(part) = slit.filter(|_| !lined(field)) {
                return Err(SectionError::Gap(part, rect));
            }
            if !reached[at(field)] {
                return Err(SectionError::Gap(near(), rect));
            }
        }
        Ok(())
    }

    fn check_connected(&self) -> Result<(), SectionError> {
        let Some(first) = self.fields().find(|(column, row)| self.part(*column, *row).is_some()) else {
            return Err(SectionError::Empty);
        };
        let mut reached = vec![false; self.parts.len()];
        let mut open = vec![first];
        while let Some((column, row)) = open.pop() {
            if !std::mem::replace(&mut reached[row * self.columns() + column], true) {
                let beside = SIDES.into_iter().filter_map(|side| self.beside(column, row, side));
                open.extend(beside.filter(|(c, r)| self.part(*c, *r).is_some()));
            }
        }
        let apart = self.parts.iter().zip(&reached).find_map(|(part, reached)| part.filter(|_| !reached));
        match (apart, self.part(first.0, first.1)) {
            (Some(part), Some(first)) => Err(SectionError::Unconnected(first, part)),
            _ => Ok(()),
        }
    }
}

/// The side that looks back.
pub fn opposite(side: Side) -> Side {
    match side {
        Side::Left => Side::Right,
        Side::Right => Side::Left,
        Side::Low => Side::High,
        Side::High => Side::Low,
    }
}

fn check_values(section: &Section) -> Result<(), SectionError> {
    for (number, part) in section.parts.iter().enumerate() {
        let Rect { left, low, right, high } = part.rect;
        if [left, low, right, high].iter().any(|edge| !edge.is_finite() || edge.abs() > LARGEST) {
            return Err(SectionError::Size(number));
        }
        let thinnest = part.rect.width().min(part.rect.height());
        if thinnest < THINNEST {
            return Err(SectionError::Thin(number, thinnest));
        }
        if !(CONDUCTIVITIES.0..=CONDUCTIVITIES.1).contains(&part.conductivity) {
            return Err(SectionError::Conductivity(number, part.conductivity));
        }
    }
    for (number, surface) in section.surfaces.iter().enumerate() {
        let Rect { left, low, right, high } = surface.rect;
        if [left, low, right, high].iter().any(|edge| edge.is_nan()) {
            return Err(SectionError::Astray(number));
        }
        if !(surface.resistance.is_finite() && surface.resistance >= 0.0) {
            return Err(SectionError::Resistance(number));
        }
        if surface.environment >= section.environments.len() {
            return Err(SectionError::Environment(number));
        }
    }
    Ok(())
}

/// Half of the distance within which two edges are one (m).
const SAME: f64 = 1e-7;

/// Distinct coordinates between two limits, rising.
fn lines(all: impl Iterator<Item = f64>, low: f64, high: f64) -> Vec<f64> {
    let mut lines: Vec<f64> = all.filter(|at| *at >= low && *at <= high).collect();
    lines.sort_by(f64::total_cmp);
    lines.dedup_by(|next, kept| *next - *kept < 2.0 * SAME);
    lines
}

/// The first line, the last, and those between that tell.
fn kept(lines: &[f64], tells: impl Fn(usize) -> bool) -> Vec<f64> {
    let last = lines.len().saturating_sub(1);
    let keep = |(line, _): &(usize, &f64)| *line == 0 || *line == last || tells(*line);
    lines.iter().enumerate().filter(keep).map(|(_, at)| *at).collect()
}

/// Which line a coordinate is.
fn place(lines: &[f64], at: f64) -> usize {
    lines.partition_point(|line| *line < at - 2.0 * SAME)
}

fn edge_of(rect: Rect, side: Side) -> Rect {
    match side {
        Side::Left => Rect { right: rect.left, ..rect },
        Side::Right => Rect { left: rect.right, ..rect },
        Side::Low => Rect { high: rect.low, ..rect },
        Side::High => Rect { low: rect.high, ..rect },
    }
}

fn within(edge: &Rect, rect: &Rect) -> bool {
    let slack = 2.0 * SAME;
    edge.left >= rect.left - slack
        && edge.right <= rect.right + slack
        && edge.low >= rect.low - slack
        && edge.high <= rect.high + slack
}
