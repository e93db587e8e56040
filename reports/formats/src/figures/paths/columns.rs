//! In which column a room stands, in which order within it, and how high: so that flows run to the right where they
//! can, and through lanes of their own past the columns between.

use super::super::Rect;
use super::{Flow, MARGIN, WIDTH, WIDTHS};
use mateline_model::PathNode;

/// Most columns of rooms between the outdoors.
const MOST_COLUMNS: usize = 3;
/// Space between two things of a column.
const SPACE: f64 = 14.0;

/// A drawn node. The outdoors may stand at both ends.
#[derive(Clone, Debug)]
pub(super) struct Place {
    pub node: usize,
    pub rect: Rect,
    /// A room that no flow reaches or leaves.
    pub is_unreached: bool,
}

/// What stands in a column: a place, or the lane of a flow on its way to a farther column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Item {
    Place(usize),
    Lane(usize),
}

/// A piece of a flow, from an item of one column to one of the same or the next.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    pub flow: usize,
    pub from: (usize, Item),
    pub to: (usize, Item),
}

/// Everything in its place.
pub(super) struct Columns {
    pub places: Vec<Place>,
    pub pieces: Vec<Piece>,
    /// Height of the lane of each flow in each column.
    pub lanes: Vec<((usize, usize), f64)>,
    /// Left edge and width of each column.
    pub edges: Vec<(f64, f64)>,
    /// Space between columns.
    pub gap: f64,
    /// Space between two flows at a room.
    pub pitch: f64,
    pub height: f64,
}

/// How high a node has to be for its words.
pub(super) fn least_height(lines: usize, note: &str) -> f64 {
    14.0 * lines as f64 + if note.trim().is_empty() { 12.0 } else { 25.0 }
}

impl Columns {
    pub(super) fn new(nodes: &[PathNode], flows: &[Flow<'_>], least: &[f64], pitch: f64) -> Columns {
        let levels = levels(nodes, flows);
        let count = levels.iter().flatten().max().map_or(0, |most| most + 1);
        let leaves = |node: usize| flows.iter().any(|flow| flow.from == node);
        let arrives = |node: usize| flows.iter().any(|flow| flow.to == node);
        let mut columns: Vec<Vec<Item>> = vec![Vec::new(); count + 2];
        let mut places = Vec::new();
        // The column and the place of each node: the first where flows leave it, the second where they arrive.
        let mut seats: Vec<[(usize, usize); 2]> = Vec::new();
        for (node, level) in levels.iter().enumerate() {
            let is_unreached = !leaves(node) && !arrives(node);
            let mut stand = |column: usize, is_unreached: bool| {
                let seat = (column, places.len());
                places.push(Place { node, rect: Rect { x: 0.0, y: 0.0, w: 0.0, h: 0.0 }, is_unreached });
                columns.iter_mut().skip(column).take(1).for_each(|items| items.push(Item::Place(seat.1)));
                seat
            };
            seats.push(match level {
                Some(level) => [stand(level + 1, is_unreached); 2],
                None if leaves(node) && arrives(node) => [stand(0, false), stand(count + 1, false)],
                None if arrives(node) => [stand(count + 1, false); 2],
                None => [stand(0, false); 2],
            });
        }
        let pieces = pieces(flows, &seats, &mut columns);
        order(&mut columns, &pieces);
        let mut made = Columns { places, pieces, lanes: Vec::new(), edges: Vec::new(), gap: 0.0, pitch, height: 0.0 };
        made.spread_columns(&columns);
        made.stack(&columns, least);
        made
    }

    /// Gives each column its left edge: empty ones take no room.
    fn spread_columns(&mut self, columns: &[Vec<Item>]) {
        let last = columns.len() - 1;
        let width = |column: usize| match columns.get(column).is_none_or(Vec::is_empty) {
            true => 0.0,
            false if column == 0 || column == last => WIDTHS.1,
            false => WIDTHS.0,
        };
        let used: Vec<f64> = (0..columns.len()).map(width).collect();
        let is_used = |width: &&f64| **width > 0.0;
        let bulges =
            |column: usize| self.pieces.iter().any(|piece| piece.from.0 == piece.to.0 && piece.from.0 == column);
        // Flows within the last column bend out into a gap of their own.
        let right_most = used.iter().rposition(|width| *width > 0.0).unwrap_or(0);
        let between = used.iter().filter(is_used).count().saturating_sub(1);
        let gaps = (between + usize::from(bulges(right_most))) as f64;
        let room = WIDTH - 2.0 * MARGIN - used.iter().sum::<f64>();
        self.gap = (room / gaps.max(1.0)).min(190.0);
        let all = used.iter().sum::<f64>() + self.gap * gaps;
        let mut x = (WIDTH - all) / 2.0;
        for width in used {
            self.edges.push((x, width));
            x += if width > 0.0 { width + self.gap } else { 0.0 };
        }
    }

    /// Stacks the items of each column, the whole column in the middle of the sheet.
    fn stack(&mut self, columns: &[Vec<Item>], least: &[f64]) {
        let ports = |column: usize, item: Item| {
            let at = |to_right: bool| {
                self.pieces.iter().filter(|piece| ends(piece, column, item).contains(&Some(to_right))).count()
            };
            at(true).max(at(false)) as f64
        };
        let height = |column: usize, item: Item| match item {
            Item::Lane(_) => self.pitch,
            Item::Place(place) => {
                let words = self.places.get(place).and_then(|place| least.get(place.node)).copied().unwrap_or(30.0);
                words.max(ports(column, item) * self.pitch + 4.0)
            }
        };
        let heights: Vec<Vec<f64>> = columns
            .iter()
            .enumerate()
            .map(|(column, items)| items.iter().map(|item| height(column, *item)).collect())
            .collect();
        let total = |column: &Vec<f64>| column.iter().sum::<f64>() + SPACE * column.len().saturating_sub(1) as f64;
        self.height = heights.iter().map(total).fold(30.0, f64::max);
        for (column, (items, heights)) in columns.iter().zip(&heights).enumerate() {
            let (x, w) = self.edges.get(column).copied().unwrap_or_default();
            let mut y = MARGIN + (self.height - total(heights)) / 2.0;
            for (item, h) in items.iter().zip(heights) {
                match *item {
                    Item::Lane(flow) => self.lanes.push(((column, flow), y + h / 2.0)),
                    Item::Place(place) => {
                        if let Some(place) = self.places.get_mut(place) {
                            place.rect = Rect { x, y, w, h: *h };
                        }
                    }
                }
                y += h + SPACE;
            }
        }
    }

    /// Where an item of a column is, up and down.
    pub(super) fn middle(&self, (column, item): (usize, Item)) -> f64 {
        match item {
            Item::Place(place) => self.places.get(place).map_or(0.0, |place| place.rect.y + place.rect.h / 2.0),
            Item::Lane(flow) => {
                self.lanes.iter().find(|(key, _)| *key == (column, flow)).map_or(0.0, |(_, height)| *height)
            }
        }
    }
}

/// On which side of an item a piece leaves it and reaches it; true is right. Within a column flows bend to the right.
pub(super) fn ends(piece: &Piece, column: usize, item: Item) -> [Option<bool>; 2] {
    let leaves_right = piece.to.0 >= piece.from.0;
    let arrives_right = piece.to.0 <= piece.from.0;
    [(piece.from == (column, item)).then_some(leaves_right), (piece.to == (column, item)).then_some(arrives_right)]
}

/// The column of each room, counted from 0; none for the outdoors.
///
/// A room stands one column to the right of the rooms it gets air from, air that runs in a circle aside. Rooms whose
/// air leaves the home without passing another room, but came through one, stand in the last column.
fn levels(nodes: &[PathNode], flows: &[Flow<'_>]) -> Vec<Option<usize>> {
    let is_room = |node: usize| nodes.get(node).is_some_and(|node| !node.outdoors);
    let onward: Vec<Vec<usize>> = (0..nodes.len())
        .map(|node| flows.iter().filter(|f| f.from == node && is_room(f.to)).map(|f| f.to).collect())
        .collect();
    let receives = |node: usize| flows.iter().any(|flow| flow.to == node && is_room(flow.from));
    let from_outdoors = |node: usize| flows.iter().any(|flow| flow.to == node && !is_room(flow.from));
    let mut rooms: Vec<usize> = (0..nodes.len()).filter(|node| is_room(*node)).collect();
    rooms.sort_by_key(|room| (receives(*room), !from_outdoors(*room)));
    let mut finished: Vec<usize> = Vec::new();
    let mut seen = vec![false; nodes.len()];
    for room in &rooms {
        visit(*room, &onward, &mut seen, &mut finished);
    }
    finished.reverse();
    let rank = |node: usize| finished.iter().position(|other| *other == node);
    let mut levels: Vec<usize> = vec![0; nodes.len()];
    for room in &finished {
        let next = levels.get(*room).copied().unwrap_or(0) + 1;
        for to in onward.get(*room).into_iter().flatten().filter(|to| rank(**to) > rank(*room)) {
            levels.iter_mut().skip(*to).take(1).for_each(|level| *level = next.max(*level));
        }
    }
    let most = rooms.iter().filter_map(|room| levels.get(*room)).max().copied().unwrap_or(0);
    let is_last = |node: usize| receives(node) && onward.get(node).is_some_and(Vec::is_empty);
    let last = most.min(MOST_COLUMNS - 1);
    // Where there are more steps than columns, all steps between the first and the last share those between.
    let squeezed = |level: usize| match level {
        level if level == most => last,
        level if most > last => level.min(last - 1),
        level => level,
    };
    levels
        .iter()
        .enumerate()
        .map(|(node, level)| is_room(node).then(|| squeezed(if is_last(node) { most } else { *level })))
        .collect()
}

/// Notes a room after all rooms that its air reaches.
fn visit(room: usize, onward: &[Vec<usize>], seen: &mut [bool], finished: &mut Vec<usize>) {
    let Some(is_seen) = seen.get_mut(room) else { return };
    if std::mem::replace(is_seen, true) {
        return;
    }
    for next in onward.get(room).into_iter().flatten() {
        visit(*next, onward, seen, finished);
    }
    finished.push(room);
}

/// The flows cut into pieces from column to column, with lanes where they pass one.
fn pieces(flows: &[Flow<'_>], seats: &[[(usize, usize); 2]], columns: &mut [Vec<Item>]) -> Vec<Piece> {
    let mut pieces = Vec::new();
    for (index, flow) in flows.iter().enumerate() {
        let (Some([(from, seat), _]), Some([_, (to, end)])) = (seats.get(flow.from), seats.get(flow.to)) else {
            continue;
        };
        let between: Vec<usize> = if from <= to { (from + 1..*to).collect() } else { (to + 1..*from).rev().collect() };
        let mut before = (*from, Item::Place(*seat));
        for column in between {
            let Some(items) = columns.get_mut(column).filter(|items| !items.is_empty()) else { continue };
            let lane = (column, Item::Lane(index));
            items.push(lane.1);
            pieces.push(Piece { flow: index, from: before, to: lane });
            before = lane;
        }
        pieces.push(Piece { flow: index, from: before, to: (*to, Item::Place(*end)) });
    }
    pieces
}

/// Orders the items of each column by where their neighbours stand, a few times from left to right and back.
fn order(columns: &mut [Vec<Item>], pieces: &[Piece]) {
    for sweep in 0..8 {
        let count = columns.len();
        for step in 0..count {
            let column = if sweep % 2 == 0 { step } else { count - 1 - step };
            let Some(items) = columns.get(column) else { continue };
            let mut keyed: Vec<(f64, Item)> = items
                .iter()
                .enumerate()
                .map(|(index, item)| {
                    let own = (index as f64 + 0.5) / items.len() as f64;
                    (wanted(columns, pieces, (column, *item)).unwrap_or(own), *item)
                })
                .collect();
            keyed.sort_by(|(a, _), (b, _)| a.total_cmp(b));
            if let Some(items) = columns.get_mut(column) {
                *items = keyed.into_iter().map(|(_, item)| item).collect();
            }
        }
    }
}

/// The mean height, from 0 to 1, of the items that an item has a flow to or from.
fn wanted(columns: &[Vec<Item>], pieces: &[Piece], seat: (usize, Item)) -> Option<f64> {
    let height = |(column, item): (usize, Item)| {
        let items = columns.get(column)?;
        let index = items.iter().position(|other| *other == item)?;
        Some((index as f64 + 0.5) / items.len() as f64)
    };
    let others = pieces.iter().filter_map(|piece| match (piece.from == seat, piece.to == seat) {
        (true, false) => Some(piece.to),
        (false, true) => Some(piece.from),
        _ => None,
    });
    let heights: Vec<f64> = others.filter_map(height).collect();
    (!heights.is_empty()).then(|| heights.iter().sum::<f64>() / heights.len() as f64)
}

#[cfg(test)]
mod tests {
    use super::super::flows;
    use super::super::tests::{link, node};
    use super::*;

    fn levels_of(rooms: usize, links: &[(usize, usize)]) -> Vec<Option<usize>> {
        let mut nodes = vec![node("outdoors", true)];
        nodes.extend((0..rooms).map(|_| node("room", false)));
        let links: Vec<_> = links.iter().map(|(from, to)| link(*from, *to, 1.0)).collect();
        levels(&nodes, &flows(&nodes, &links))
    }

    #[test]
    fn rooms_stand_to_the_right_of_where_their_air_comes_from() {
        let through = levels_of(4, &[(0, 1), (0, 2), (1, 3), (2, 3), (3, 4), (4, 0)]);
        assert_eq!(through, [None, Some(0), Some(0), Some(1), Some(2)]);
    }

    #[test]
    fn air_that_runs_in_a_circle_still_gets_columns() {
        let circle = levels_of(3, &[(1, 2), (2, 3), (3, 1)]);
        assert_eq!(circle, [None, Some(0), Some(1), Some(2)]);
    }

    #[test]
    fn a_long_chain_is_squeezed_into_the_columns_there_are() {
        let chain: Vec<(usize, usize)> = (0..10).map(|room| (room, room + 1)).collect();
        let levels = levels_of(10, &chain);
        assert_eq!(levels.iter().flatten().max(), Some(&(MOST_COLUMNS - 1)));
        assert!(levels.iter().flatten().zip(levels.iter().flatten().skip(1)).all(|(a, b)| a <= b), "{levels:?}");
    }
}
