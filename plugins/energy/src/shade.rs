//! What an overhang, fins and the horizon leave of sun and sky on an upright window.
//!
//! Sources: geometry; the sky under a long overhang by crossed strings (Hottel).

use mateline_model::home::Opening;
use mateline_model::portable::{hypot, sin, tan};

/// What stands before a window, in m and rad.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Screen {
    overhang: Slat,
    fins: Slat,
    horizon: f64,
}

/// A part that stands out along an edge.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Slat {
    /// How far it stands out.
    out: f64,
    /// From the window's edge to it.
    gap: f64,
    /// How far the window goes on from that edge.
    across: f64,
}

impl Slat {
    /// Share of the window in its shadow, where the sun moves the shadow so far for each length that it stands out.
    fn shadow(&self, slope: f64) -> f64 {
        if self.across <= 0.0 { 0.0 } else { ((self.out * slope - self.gap) / self.across).clamp(0.0, 1.0) }
    }

    /// Share of the half of the view that it closes a part of, which it leaves open.
    fn open(&self) -> f64 {
        if self.across <= 0.0 {
            return 1.0;
        }
        (hypot(self.out, self.gap + self.across) - hypot(self.out, self.gap)) / self.across
    }
}

impl Screen {
    /// What the home says stands before an opening.
    pub fn of(opening: &Opening) -> Screen {
        let Some(shade) = opening.shade.as_deref() else { return Screen::default() };
        let metres = |length: Option<mateline_model::quantity::Length>| length.map_or(0.0, |length| length.si());
        let slat = |out, gap, across| Slat { out: metres(out), gap: metres(gap), across };
        Screen {
            overhang: slat(shade.overhang, shade.overhang_above, opening.height.si()),
            fins: slat(shade.fins, shade.fins_beside, opening.width.si()),
            horizon: shade.horizon.map_or(0.0, |angle| angle.si()),
        }
    }

    /// A horizon that stands so high (rad), and nothing else.
    #[cfg(test)]
    pub(crate) fn horizon(horizon: f64) -> Screen {
        Screen { horizon, ..Screen::default() }
    }

    /// Share in the sun: `rise` is how far the sun's ray rises, `aside` how far it runs along the window, for each length
    /// that it comes straight on.
    pub fn lit(&self, rise: f64, aside: f64) -> f64 {
        if self.horizon > 0.0 && rise < tan(self.horizon) {
            return 0.0;
        }
        (1.0 - self.overhang.shadow(rise)) * (1.0 - self.fins.shadow(aside.abs()))
    }

    /// Share of an equally bright sky that is left: the fins stand on both sides, and each closes half as much.
    pub fn sky(&self) -> f64 {
        self.overhang.open() * self.fins.open() * (1.0 - sin(self.horizon))
    }

    /// Share of the ground's reflection that is left.
    pub fn ground(&self) -> f64 {
        self.fins.open()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Zenith 50°, 20° off the normal; overhang 0.6 m, 0.3 m above a window 1.5 m high; fins 0.5 m, 0.1 m beside a window
    /// 1.2 m wide. Figures computed by hand of the same geometry: shaded 0.1572 and 0.0683, sky 0.8177; half of the last
    /// digit.
    #[test]
    fn an_overhang_and_fins_by_hand() {
        let overhang = Slat { out: 0.6, gap: 0.3, across: 1.5 };
        let fins = Slat { out: 0.5, gap: 0.1, across: 1.2 };
        let off = 20.0_f64.to_radians();
        let rise = tan(40.0_f64.to_radians()) / (1.0 - sin(off) * sin(off)).sqrt();
        assert!((overhang.shadow(rise) - 0.1572).abs() < 0.00005, "{}", overhang.shadow(rise));
        assert!((fins.shadow(tan(off)) - 0.0683).abs() < 0.00005, "{}", fins.shadow(tan(off)));
        assert!((overhang.open() - 0.8177).abs() < 0.00005, "{}", overhang.open());
    }

    /// An overhang without end over the whole window leaves nothing of the sky, one of no depth all of it; no shade ever adds.
    #[test]
    fn shades_only_take() {
        let deep = Slat { out: 1e6, gap: 0.0, across: 1.5 };
        assert!(deep.open() < 1e-5 && Slat { out: 0.0, ..deep }.open() > 1.0 - 1e-12);
        let screen = Screen { overhang: Slat { out: 0.6, gap: 0.2, across: 1.2 }, fins: Slat::default(), horizon: 0.1 };
        for rise in [0.0, 0.05, 0.5, 2.0, 50.0] {
            assert!((0.0..=1.0).contains(&screen.lit(rise, -0.7)));
        }
        assert!(screen.lit(0.05, 0.0) == 0.0 && screen.sky() < 1.0 && screen.ground() == 1.0);
    }
}
