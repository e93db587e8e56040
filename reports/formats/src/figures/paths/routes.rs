//! The way of each flow over the sheet: where it leaves a room, through which lanes it passes, where it arrives.

use super::super::px;
use super::Flow;
use super::columns::{Columns, Item, Piece, ends};

/// Space between the tip of an arrow and the room, and length of the head.
const TIP: (f64, f64) = (1.5, 9.0);
/// Length of the straight stretch where a flow leaves: its amount stands there, and no other flow bends through it.
const STRAIGHT: f64 = 66.0;

/// A flow's way.
pub(super) struct Route {
    /// Where it leaves.
    pub start: (f64, f64),
    /// Whether it leaves to the right.
    pub leaves_right: bool,
    /// Where it arrives.
    pub end: (f64, f64),
    /// Whether it comes from the right.
    pub arrives_right: bool,
    /// The line, up to the head.
    pub path: String,
}

/// The ways of all flows, in their order.
pub(super) fn routes(columns: &Columns, flows: &[Flow<'_>]) -> Vec<Route> {
    let ports = ports(columns);
    (0..flows.len())
        .map(|flow| {
            let own: Vec<(&Piece, &(f64, f64))> =
                columns.pieces.iter().zip(&ports).filter(|(piece, _)| piece.flow == flow).collect();
            route(columns, &own)
        })
        .collect()
}

/// The heights at which each piece leaves and arrives. At a room, the flows of one side are ordered by where they go.
fn ports(columns: &Columns) -> Vec<(f64, f64)> {
    let mut heights: Vec<(f64, f64)> =
        columns.pieces.iter().map(|piece| (columns.middle(piece.from), columns.middle(piece.to))).collect();
    for (index, place) in columns.places.iter().enumerate() {
        for to_right in [false, true] {
            let mut here: Vec<(usize, bool, f64)> = Vec::new();
            for (number, piece) in columns.pieces.iter().enumerate() {
                for (is_start, column) in [(true, piece.from.0), (false, piece.to.0)] {
                    let sides = ends(piece, column, Item::Place(index));
                    let side = if is_start { sides[0] } else { sides[1] };
                    let other = if is_start { piece.to } else { piece.from };
                    if side == Some(to_right) {
                        here.push((number, is_start, columns.middle(other)));
                    }
                }
            }
            here.sort_by(|a, b| a.2.total_cmp(&b.2));
            let middle = place.rect.y + place.rect.h / 2.0;
            let first = middle - columns.pitch * (here.len() as f64 - 1.0) / 2.0;
            for (order, (number, is_start, _)) in here.into_iter().enumerate() {
                let height = first + columns.pitch * order as f64;
                if let Some(ends) = heights.get_mut(number) {
                    if is_start { ends.0 = height } else { ends.1 = height }
                }
            }
        }
    }
    heights
}

fn route(columns: &Columns, pieces: &[(&Piece, &(f64, f64))]) -> Route {
    let side = |column: usize, to_right: bool| {
        let (x, w) = columns.edges.get(column).copied().unwrap_or_default();
        if to_right { x + w } else { x }
    };
    let mut route =
        Route { start: (0.0, 0.0), leaves_right: true, end: (0.0, 0.0), arrives_right: false, path: String::new() };
    for (index, (piece, (from_y, to_y))) in pieces.iter().enumerate() {
        let (leaves_right, arrives_right) = (piece.to.0 >= piece.from.0, piece.to.0 <= piece.from.0);
        let edge = (side(piece.from.0, leaves_right), *from_y);
        let end = (side(piece.to.0, arrives_right), *to_y);
        let is_last = index + 1 == pieces.len();
        let is_within = piece.from.0 == piece.to.0;
        let outward = if arrives_right { 1.0 } else { -1.0 };
        let stop = if is_last { end.0 + outward * (TIP.0 + TIP.1 - 1.0) } else { end.0 };
        let straight = if index == 0 && !is_within { STRAIGHT.min(columns.gap * 0.45) } else { 0.0 };
        let start = (edge.0 + if leaves_right { straight } else { -straight }, edge.1);
        let bend = if is_within { columns.gap.clamp(40.0, 70.0) } else { (end.0 - start.0).abs() * 0.5 };
        let (out, back) = (if leaves_right { bend } else { -bend }, outward * bend);
        if index == 0 {
            route.start = edge;
            route.leaves_right = leaves_right;
            route.path = format!("M{} {}", px(edge.0), px(edge.1));
        }
        if index > 0 || straight > 0.0 {
            route.path.push_str(&format!("L{} {}", px(start.0), px(start.1)));
        }
        let points = [start.0 + out, start.1, stop + back, end.1, stop, end.1].map(px);
        route.path.push_str(&format!("C{}", points.join(" ")));
        if is_last {
            route.end = (end.0 + outward * TIP.0, end.1);
            route.arrives_right = arrives_right;
        }
    }
    route
}

/// The head of the arrow, a little wider than its line.
pub(super) fn head(route: &Route, line: f64) -> String {
    let (x, y) = route.end;
    let back = if route.arrives_right { TIP.1 } else { -TIP.1 };
    let half = (line / 2.0 + 2.4).min(7.0);
    let corners = [(x, y), (x + back, y - half), (x + back, y + half)];
    corners.iter().map(|(x, y)| format!("{},{}", px(*x), px(*y))).collect::<Vec<_>>().join(" ")
}
