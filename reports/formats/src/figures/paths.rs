//! What flows from where to where: rooms in columns from the outdoors on the left to the outdoors on the right, arrows
//! as thick as their flows, and each flow written where it leaves.

mod columns;
mod routes;

use super::measure::{Measure, drawable};
use super::shapes::{About, Outline};
use super::{Rect, broken, clipped, px, text_width};
use columns::Columns;
use mateline_model::quantity::{UnitSystem, Units};
use mateline_model::{Figure, PathLink, PathNode};
use serde::Serialize;

/// Width of the sheet.
const WIDTH: f64 = 920.0;
/// Width of a room and of the outdoors.
const WIDTHS: (f64, f64) = (114.0, 70.0);
/// Margin around everything.
const MARGIN: f64 = 14.0;
/// Most rooms and most flows drawn.
const MOST: (usize, usize) = (60, 240);
/// Width of the line of the greatest flow, and of the least.
const LINES: (f64, f64) = (9.0, 1.0);

#[derive(Serialize)]
pub(super) struct View {
    #[serde(flatten)]
    about: About,
    flows: Vec<FlowView>,
    nodes: Vec<NodeView>,
    key: String,
    has_unreached: bool,
    left_out: Option<String>,
}

#[derive(Serialize)]
struct FlowView {
    path: String,
    head: String,
    line: String,
    casing: String,
    is_nothing: bool,
    label: Vec<Text>,
    halo: Outline,
}

#[derive(Serialize)]
struct NodeView {
    outline: Outline,
    round: String,
    is_outdoors: bool,
    is_unreached: bool,
    middle: String,
    lines: Vec<Text>,
    note: Option<Text>,
}

#[derive(Serialize)]
struct Text {
    x: String,
    y: String,
    anchor: &'static str,
    text: String,
}

/// A flow that can be drawn, in the direction in which it runs.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Flow<'a> {
    from: usize,
    to: usize,
    value: f64,
    label: &'a str,
}

/// The flows between different nodes that exist; one below zero is turned round.
fn flows<'a>(nodes: &[PathNode], links: &'a [PathLink]) -> Vec<Flow<'a>> {
    links
        .iter()
        .filter(|link| link.from != link.to && link.from.max(link.to) < nodes.len())
        .filter_map(|link| {
            let value = drawable(link.value)?;
            let (from, to) = if value < 0.0 { (link.to, link.from) } else { (link.from, link.to) };
            Some(Flow { from, to, value: value.abs(), label: &link.label })
        })
        .collect()
}

pub(super) fn view(
    figure: &Figure,
    id: &str,
    units: &Units,
    nodes: &[PathNode],
    links: &[PathLink],
    system: UnitSystem,
) -> View {
    let measure = Measure::new(units, system);
    let drawn = nodes.get(..MOST.0).unwrap_or(nodes);
    let mut flows = flows(drawn, links);
    let left_out = (nodes.len() - drawn.len()) + links.len().saturating_sub(flows.len().min(MOST.1));
    flows.truncate(MOST.1);
    let is_labelled = flows.iter().any(|flow| !flow.label.trim().is_empty());
    let texts: Vec<Vec<String>> =
        drawn.iter().map(|node| broken(&node.label, 12.0, width(node.outdoors) - 14.0)).collect();
    let least: Vec<f64> =
        drawn.iter().zip(&texts).map(|(node, lines)| columns::least_height(lines.len(), &node.note)).collect();
    let columns = Columns::new(drawn, &flows, &least, if is_labelled { 25.0 } else { 15.0 });
    let most = flows.iter().map(|flow| flow.value).fold(0.0, f64::max);
    let line = |value: f64| if most > 0.0 { (LINES.0 * value / most).max(LINES.1) } else { LINES.1 };
    let routes = routes::routes(&columns, &flows);
    let mut taken: Vec<Rect> = columns.places.iter().map(|place| place.rect).collect();
    let foot = MARGIN + columns.height + 30.0;
    View {
        about: About::new(figure, id, WIDTH, foot + 12.0),
        flows: flows
            .iter()
            .zip(&routes)
            .map(|(flow, route)| flow_view(flow, route, line(flow.value), columns.gap, &measure, &mut taken))
            .collect(),
        nodes: columns
            .places
            .iter()
            .filter_map(|place| {
                let (node, lines) = (drawn.get(place.node)?, texts.get(place.node)?);
                Some(node_view(node, lines, place, place.is_unreached))
            })
            .collect(),
        key: px(foot),
        has_unreached: columns.places.iter().any(|place| place.is_unreached),
        left_out: (left_out > 0).then(|| format!("{left_out} rooms or flows are not drawn")),
    }
}

fn width(outdoors: bool) -> f64 {
    if outdoors { WIDTHS.1 } else { WIDTHS.0 }
}

fn node_view(node: &PathNode, lines: &[String], place: &columns::Place, is_unreached: bool) -> NodeView {
    let rect = place.rect;
    let middle = rect.x + rect.w / 2.0;
    let note = (!node.note.trim().is_empty()).then(|| clipped(&node.note, 12.0, rect.w - 10.0));
    let height = 14.0 * lines.len() as f64 + if note.is_some() { 13.0 } else { 0.0 };
    let first = rect.y + (rect.h - height) / 2.0 + 11.0;
    let text = |y: f64, text: String| Text { x: px(middle), y: px(y), anchor: "middle", text };
    NodeView {
        outline: rect.into(),
        round: px(if node.outdoors { 16.0 } else { 2.0 }),
        is_outdoors: node.outdoors,
        is_unreached,
        middle: px(middle),
        note: note.map(|note| text(first + 14.0 * lines.len() as f64 - 1.0, note)),
        lines: lines.iter().enumerate().map(|(i, line)| text(first + 14.0 * i as f64, line.clone())).collect(),
    }
}

/// A flow with its amount beside the place where it leaves, a little higher or lower where another is written there.
fn flow_view(
    flow: &Flow<'_>,
    route: &routes::Route,
    line: f64,
    gap: f64,
    measure: &Measure<'_>,
    taken: &mut Vec<Rect>,
) -> FlowView {
    let room = gap - 20.0;
    let value = clipped(&measure.text(flow.value), 12.0, room);
    let way = (!flow.label.trim().is_empty()).then(|| clipped(flow.label, 12.0, room));
    let width = text_width(&value, 12.0).max(way.as_deref().map_or(0.0, |way| text_width(way, 12.0))) + 4.0;
    let (x, y) = route.start;
    let height = if way.is_some() { 27.0 } else { 14.0 };
    let left = if route.leaves_right { x + 6.0 } else { x - 6.0 - width };
    let (anchor, at) = if route.leaves_right { ("start", left + 2.0) } else { ("end", left + width - 2.0) };
    let beside = |off: f64| Rect { x: left, y: y - height / 2.0 + off, w: width, h: height };
    let is_free = |rect: &Rect| taken.iter().all(|other| !rect.overlaps(other));
    let halo =
        [0.0, -14.0, 14.0, -28.0, 28.0, -42.0, 42.0].map(beside).into_iter().find(is_free).unwrap_or(beside(0.0));
    taken.push(halo);
    let first = halo.y + 11.0;
    let mut label = vec![Text { x: px(at), y: px(first), anchor, text: value }];
    label.extend(way.map(|way| Text { x: px(at), y: px(first + 12.5), anchor, text: way }));
    FlowView {
        path: route.path.clone(),
        head: routes::head(route, line),
        line: px(line),
        casing: px(line + 3.0),
        is_nothing: flow.value == 0.0,
        label,
        halo: halo.into(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use mateline_model::{Drawing, Subject};

    pub(super) fn node(label: &str, outdoors: bool) -> PathNode {
        PathNode { label: label.to_owned(), note: String::new(), outdoors }
    }

    pub(super) fn link(from: usize, to: usize, value: f64) -> PathLink {
        PathLink { from, to, value, label: String::new() }
    }

    fn drawn(nodes: &[PathNode], links: &[PathLink]) -> View {
        let figure = Figure {
            key: "".into(),
            subject: Subject::home(),
            title: String::new(),
            alternative: String::new(),
            drawing: Drawing::Table { columns: Vec::new(), rows: Vec::new(), note: String::new() },
        };
        view(&figure, "f", &Units::new("m³/h", 0, "cfm", 1), nodes, links, UnitSystem::Ip)
    }

    /// Outdoors, 24 rooms of which every third sends its air on through a hall, each with some air of its own.
    fn many() -> (Vec<PathNode>, Vec<PathLink>) {
        let mut nodes = vec![node("outdoors", true), node("hall", false)];
        let mut links = Vec::new();
        for index in 0..24 {
            nodes.push(node(&format!("room {index}"), false));
            let room = index + 2;
            match index % 3 {
                0 => links.extend([link(0, room, 0.01), link(room, 1, 0.01)]),
                1 => links.extend([link(1, room, 0.01), link(room, 0, 0.01)]),
                _ => links.extend([link(0, room, 0.002), link(room, 0, 0.002)]),
            }
        }
        (nodes, links)
    }

    fn rect(outline: &Outline) -> Rect {
        let [x, y, w, h] = [&outline.x, &outline.y, &outline.w, &outline.h].map(|v| v.parse().unwrap());
        Rect { x, y, w, h }
    }

    #[test]
    fn neither_rooms_nor_amounts_cover_each_other_in_a_home_of_25_rooms() {
        let (nodes, links) = many();
        let view = drawn(&nodes, &links);
        assert_eq!((view.nodes.len(), view.flows.len()), (27, 48));
        let rects: Vec<Rect> =
            view.nodes.iter().map(|n| rect(&n.outline)).chain(view.flows.iter().map(|f| rect(&f.halo))).collect();
        for (index, one) in rects.iter().enumerate() {
            assert!(one.x >= 0.0 && one.x + one.w <= WIDTH, "{one:?}");
            for other in rects.iter().skip(index + 1) {
                assert!(!one.overlaps(other), "{one:?} {other:?}");
            }
        }
    }

    #[test]
    fn air_runs_from_the_outdoors_on_the_left_through_the_rooms_to_the_outdoors_on_the_right() {
        let nodes = [node("bath", false), node("hall", false), node("bedroom", false), node("outdoors", true)];
        let view = drawn(&nodes, &[link(3, 2, 0.02), link(2, 1, 0.02), link(0, 1, -0.02), link(0, 3, 0.02)]);
        let of = |label: &str| -> Vec<f64> {
            let named = view.nodes.iter().filter(|n| n.lines[0].text == label);
            named.map(|n| rect(&n.outline).x).collect()
        };
        let (out, bed, hall, bath) = (of("outdoors"), of("bedroom"), of("hall"), of("bath"));
        assert!(out[0] < bed[0] && bed[0] < hall[0] && hall[0] < bath[0] && bath[0] < out[1], "{out:?}");
        assert_eq!(view.flows[0].label[0].text, "42.4 cfm");
    }

    #[test]
    fn flows_that_cannot_be_are_left_out_and_a_room_without_air_is_marked() {
        let nodes = [node("outdoors", true), node("bath", false)];
        let links = [link(0, 0, 1.0), link(0, 7, 1.0), link(0, 1, f64::NAN), link(1, usize::MAX, 1.0)];
        let view = drawn(&nodes, &links);
        assert!(view.flows.is_empty() && view.has_unreached);
        assert_eq!(view.left_out.as_deref(), Some("4 rooms or flows are not drawn"));
        assert!(view.nodes.iter().any(|n| n.is_unreached && n.lines[0].text == "bath"));
    }

    #[test]
    fn the_thickness_of_an_arrow_follows_its_flow() {
        let nodes = [node("outdoors", true), node("a", false), node("b", false)];
        let view = drawn(&nodes, &[link(0, 1, 0.04), link(0, 2, 0.02)]);
        assert_eq!((view.flows[0].line.as_str(), view.flows[1].line.as_str()), ("9", "4.5"));
    }
}
