//! The drawn layers: strips side by side or one above the other, to scale, with the framing members in them.

use super::super::Rect;
use super::{DRAWING, Member, Stand, TOP, member, sound};
use mateline_model::SectionLayer;

/// Least width at which a layer can be seen; thinner ones are drawn this wide.
const THINNEST: f64 = 2.0;
/// Most members drawn in one layer.
const MOST_MEMBERS: i32 = 40;
/// Where along a layer its first member stands: off the middle, so that leaders to the layer miss it more often.
const FIRST_MEMBER: f64 = 0.58;

pub(super) struct Strips {
    /// Drawn depth of each layer.
    depths: Vec<f64>,
    /// Drawn depth per metre.
    scale: f64,
    /// Whether some layer is drawn wider than it is.
    pub is_widened: bool,
    stand: Stand,
}

impl Strips {
    /// Layers that would be too thin to see get the least width, and the others share what is left to scale.
    pub(super) fn new(layers: &[SectionLayer], room: f64, stand: Stand) -> Strips {
        let sizes: Vec<f64> = layers.iter().map(|layer| sound(layer.thickness)).collect();
        let mut scale = 0.0;
        let mut thin = vec![false; sizes.len()];
        for _ in 0..=sizes.len() {
            let rest: f64 = sizes.iter().zip(&thin).filter(|(_, is_thin)| !**is_thin).map(|(size, _)| size).sum();
            let used = THINNEST * thin.iter().filter(|is_thin| **is_thin).count() as f64;
            scale = if rest > 0.0 { (room - used).max(0.0) / rest } else { 0.0 };
            let now: Vec<bool> = sizes.iter().map(|size| size * scale < THINNEST).collect();
            if now == thin {
                break;
            }
            thin = now;
        }
        let depths = sizes.iter().map(|size| (size * scale).max(THINNEST)).collect();
        Strips { depths, scale, is_widened: thin.contains(&true), stand }
    }

    /// The strips in the order of the layers; `height` is that of the whole drawing.
    pub(super) fn rects(&self, height: f64) -> Vec<Rect> {
        let mut along = 0.0;
        let strip = |depth: &f64| {
            let before = along;
            along += depth;
            match self.stand {
                Stand::Upright => Rect { x: DRAWING.0 + before, y: TOP, w: *depth, h: height },
                Stand::InsideAbove => Rect { x: DRAWING.0, y: TOP + before, w: DRAWING.1, h: *depth },
                Stand::InsideBelow => Rect { x: DRAWING.0, y: TOP + height - before - depth, w: DRAWING.1, h: *depth },
            }
        };
        self.depths.iter().map(strip).collect()
    }

    /// Framing members across a strip, at their spacing.
    pub(super) fn members(&self, layer: &SectionLayer, strip: &Rect) -> Vec<Member> {
        let Some((width, spacing)) = layer.members else { return Vec::new() };
        let (width, spacing) = (sound(width) * self.scale, sound(spacing) * self.scale);
        let is_upright = self.stand == Stand::Upright;
        let (start, length) = if is_upright { (strip.y, strip.h) } else { (strip.x, strip.w) };
        if width <= 0.0 || spacing <= width {
            return Vec::new();
        }
        let first = start + length * FIRST_MEMBER;
        (-MOST_MEMBERS / 2..=MOST_MEMBERS / 2)
            .filter_map(|step| {
                let centre = first + f64::from(step) * spacing;
                let (from, to) = ((centre - width / 2.0).max(start), (centre + width / 2.0).min(start + length));
                (to - from > 1.0).then(|| match is_upright {
                    true => member(Rect { x: strip.x, y: from, w: strip.w, h: to - from }),
                    false => member(Rect { x: from, y: strip.y, w: to - from, h: strip.h }),
                })
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use mateline_model::Hatch;

    fn layers(sizes: &[f64]) -> Vec<SectionLayer> {
        let layer = |size: &f64| SectionLayer {
            label: String::new(),
            thickness: *size,
            share: 0.0,
            hatch: Hatch::Plain,
            members: None,
            roles: Vec::new(),
        };
        sizes.iter().map(layer).collect()
    }

    #[test]
    fn layers_fill_the_room_and_stay_to_scale() {
        let strips = Strips::new(&layers(&[0.1, 0.2, 0.000_1]), 302.0, Stand::Upright);
        assert!((strips.depths.iter().sum::<f64>() - 302.0).abs() < 1e-9, "{:?}", strips.depths);
        assert!(strips.is_widened);
        let [a, b, c] = strips.depths[..] else { unreachable!() };
        assert!((b / a - 2.0).abs() < 1e-9);
        assert!((c - THINNEST).abs() < 1e-12);
    }

    #[test]
    fn strips_stack_the_way_they_stand() {
        let layers = layers(&[0.1, 0.2]);
        let y = |stand| Strips::new(&layers, 300.0, stand).rects(300.0).first().map(|rect| rect.y);
        assert_eq!(y(Stand::InsideAbove), Some(TOP));
        assert_eq!(y(Stand::InsideBelow), Some(TOP + 200.0));
    }
}
