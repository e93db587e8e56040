//! A section painted layer upon layer: what is painted later covers what lies below it.

use crate::films::{Film, Looks};
use mateline_conduction::arrangement::{SIDES, Side};
use mateline_conduction::section::{Environment, Part, Rect, Section, Surface};

/// A material as it is painted.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Matter {
    pub name: String,
    /// λ (W/(m·K)).
    pub conductivity: f64,
    /// Whether its surface temperature means anything; not so for a block that stands for a window.
    pub watched: bool,
}

impl Matter {
    pub(crate) fn new(name: impl Into<String>, conductivity: f64) -> Matter {
        Matter { name: name.into(), conductivity, watched: true }
    }
}

/// Air, as it is painted.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Air {
    pub name: &'static str,
    pub is_inside: bool,
    pub film: Film,
}

/// The room.
pub(crate) const ROOM: Air = Air { name: "inside", is_inside: true, film: Film::Room };

/// Air outside with one film on all it touches.
pub(crate) const fn outside(resistance: f64) -> Air {
    Air { name: "outside", is_inside: false, film: Film::Fixed(resistance) }
}

#[derive(Clone, Debug, PartialEq)]
enum Paint {
    Matter(Matter),
    Air(Air),
}

/// What has been painted so far.
#[derive(Clone, Debug, Default)]
pub(crate) struct Canvas {
    marks: Vec<(Rect, Paint)>,
    /// Whether the section is a plan, in which every surface is upright.
    is_plan: bool,
}

impl Canvas {
    /// An empty plan.
    pub(crate) fn plan() -> Canvas {
        Canvas { is_plan: true, ..Canvas::default() }
    }

    /// Paints material. A rectangle of no size paints nothing.
    pub(crate) fn matter(&mut self, rect: Rect, matter: &Matter) {
        self.paint(rect, Paint::Matter(matter.clone()));
    }

    /// Paints air.
    pub(crate) fn air(&mut self, rect: Rect, air: Air) {
        self.paint(rect, Paint::Air(air));
    }

    fn paint(&mut self, rect: Rect, paint: Paint) {
        // Sums of thicknesses that should meet do so to the nanometre.
        let exact = |at: f64| (at * 1e9).round() / 1e9 + 0.0;
        let rect = Rect::new(exact(rect.left), exact(rect.low), exact(rect.right), exact(rect.high));
        if rect.width() > 1e-6 && rect.height() > 1e-6 {
            self.marks.push((rect, paint));
        }
    }

    /// The picture as a section: all inside is one environment, all outside another.
    pub(crate) fn section(&self) -> Section {
        let lines = |ends: fn(&Rect) -> [f64; 2]| {
            let mut lines: Vec<f64> = self.marks.iter().flat_map(|(rect, _)| ends(rect)).collect();
            lines.sort_by(f64::total_cmp);
            lines.dedup();
            lines
        };
        let (x, y) = (lines(|rect| [rect.left, rect.right]), lines(|rect| [rect.low, rect.high]));
        let (columns, rows) = (x.len().saturating_sub(1), y.len().saturating_sub(1));
        let mut fields: Vec<Option<usize>> = vec![None; columns * rows];
        for (mark, (rect, _)) in self.marks.iter().enumerate() {
            for row in (0..rows).filter(|row| y[*row] >= rect.low && y[row + 1] <= rect.high) {
                for column in (0..columns).filter(|column| x[*column] >= rect.left && x[column + 1] <= rect.right) {
                    fields[row * columns + column] = Some(mark);
                }
            }
        }
        let picture = Picture { canvas: self, x, y, fields };
        Section {
            parts: picture.parts(),
            surfaces: picture.surfaces(),
            environments: vec![
                Environment { name: ROOM.name.to_owned(), is_inside: true },
                Environment { name: "outside".to_owned(), is_inside: false },
            ],
        }
    }
}

struct Picture<'a> {
    canvas: &'a Canvas,
    x: Vec<f64>,
    y: Vec<f64>,
    fields: Vec<Option<usize>>,
}

impl Picture<'_> {
    fn columns(&self) -> usize {
        self.x.len() - 1
    }

    fn paint(&self, column: usize, row: usize) -> Option<&Paint> {
        if column >= self.columns() {
            return None;
        }
        let mark = (*self.fields.get(row * self.columns() + column)?)?;
        self.canvas.marks.get(mark).map(|(_, paint)| paint)
    }

    fn matter(&self, column: usize, row: usize) -> Option<&Matter> {
        match self.paint(column, row)? {
            Paint::Matter(matter) => Some(matter),
            Paint::Air(_) => None,
        }
    }

    fn rows(&self) -> usize {
        self.y.len() - 1
    }

    /// Runs of one material in each row, with equal runs of the next rows joined to them.
    fn parts(&self) -> Vec<Part> {
        let mut done: Vec<Part> = Vec::new();
        let mut open: Vec<(Part, Matter)> = Vec::new();
        for row in 0..self.rows() {
            let mut runs: Vec<(Part, Matter)> = Vec::new();
            for column in 0..self.columns() {
                let Some(matter) = self.matter(column, row) else { continue };
                let (left, right) = (self.x[column], self.x[column + 1]);
                match runs.last_mut() {
                    Some((run, of)) if of == matter && run.rect.right == left => run.rect.right = right,
                    _ => {
                        let rect = Rect::new(left, self.y[row], right, self.y[row + 1]);
                        let part = Part { rect, conductivity: matter.conductivity, name: matter.name.clone() };
                        runs.push((part, matter.clone()));
                    }
                }
            }
            let mut next = Vec::new();
            for (mut run, matter) in runs {
                let below = open.iter().position(|(part, of)| {
                    *of == matter && part.rect.left == run.rect.left && part.rect.right == run.rect.right
                });
                if let Some(below) = below {
                    run.rect.low = open.swap_remove(below).0.rect.low;
                }
                next.push((run, matter));
            }
            done.extend(open.into_iter().map(|(part, _)| part));
            open = next;
        }
        done.extend(open.into_iter().map(|(part, _)| part));
        done.sort_by(|a, b| a.rect.low.total_cmp(&b.rect.low).then(a.rect.left.total_cmp(&b.rect.left)));
        done
    }

    fn surfaces(&self) -> Vec<Surface> {
        let mut found = Vec::new();
        for row in 0..self.rows() {
            for column in 0..self.columns() {
                let Some(matter) = self.matter(column, row) else { continue };
                for side in SIDES {
                    found.extend(self.surface(matter, column, row, side));
                }
            }
        }
        found
    }

    fn surface(&self, matter: &Matter, column: usize, row: usize, side: Side) -> Option<Surface> {
        let (left, right) = (self.x[column], self.x[column + 1]);
        let (low, high) = (self.y[row], self.y[row + 1]);
        let (beside, rect, looks) = match side {
            Side::Left => ((column.checked_sub(1)?, row), Rect::new(left, low, left, high), Looks::Sideways),
            Side::Right => ((column + 1, row), Rect::new(right, low, right, high), Looks::Sideways),
            Side::Low => ((column, row.checked_sub(1)?), Rect::new(left, low, right, low), Looks::Down),
            Side::High => ((column, row + 1), Rect::new(left, high, right, high), Looks::Up),
        };
        let Paint::Air(air) = self.paint(beside.0, beside.1)? else { return None };
        let looks = if self.canvas.is_plan { Looks::Sideways } else { looks };
        Some(Surface {
            rect,
            environment: usize::from(!air.is_inside),
            resistance: air.film.on(looks),
            watched: matter.watched,
        })
    }
}
