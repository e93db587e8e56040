//! Sun and sky on a plane in one hour.
//!
//! The sky is brightest around the sun and along the horizon; how much, follows from how clear and how bright it is.
//!
//! Source: Perez and others 1990, all-sites coefficients (looked up), beside an equally bright sky.

use crate::sun::{Sun, air_mass};
use mateline_model::portable::{cos, sin};
use std::f64::consts::PI;

/// Share of sun and sky that the ground reflects: bare ground and grass; snow would reflect more.
pub const GROUND: f64 = 0.2;
/// Clearness up to which each column of coefficients holds.
const BINS: [f64; 7] = [1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2];
/// Brightness around the sun: constant, by brightness, by zenith; then along the horizon.
const COEFFICIENTS: [[f64; 6]; 8] = [
    [-0.008, 0.588, -0.062, -0.060, 0.072, -0.022],
    [0.130, 0.683, -0.151, -0.019, 0.066, -0.029],
    [0.330, 0.487, -0.221, 0.055, -0.064, -0.026],
    [0.568, 0.187, -0.295, 0.109, -0.152, -0.014],
    [0.873, -0.392, -0.362, 0.226, -0.462, 0.001],
    [1.132, -1.237, -0.412, 0.288, -0.823, 0.056],
    [1.060, -1.600, -0.359, 0.264, -1.127, 0.131],
    [0.678, -0.327, -0.250, 0.156, -1.377, 0.251],
];
/// Weight of the zenith in clearness.
const ZENITH: f64 = 1.041;
/// The lowest sun that brightens the sky around it: 85° from straight up.
const LOWEST: f64 = 85.0;

/// Radiation of an hour (W/m²).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Radiation {
    /// On the level.
    pub global: f64,
    /// Of the sun, on a plane that faces it.
    pub direct: f64,
    /// Of the sky, on the level.
    pub diffuse: f64,
}

/// A plane, by where it looks (rad): tilt from the level, azimuth from south by west.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// 0 looks up, π/2 is a wall.
    pub tilt: f64,
    /// West positive.
    pub azimuth: f64,
}

impl Plane {
    /// Looks up.
    pub const LEVEL: Plane = Plane { tilt: 0.0, azimuth: 0.0 };

    /// A wall that looks so far from south, west positive (°).
    pub fn wall(degrees: f64) -> Plane {
        Plane { tilt: PI / 2.0, azimuth: degrees.to_radians() }
    }

    /// Cosine of the angle at which the sun comes; below nought behind the plane.
    pub fn facing(&self, sun: &Sun) -> f64 {
        let level = sin(self.tilt);
        sun.south * level * cos(self.azimuth) + sun.west * level * sin(self.azimuth) + sun.up * cos(self.tilt)
    }
}

/// A plane as light meets it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Facing {
    /// South, west and up of its normal.
    pub normal: [f64; 3],
    /// South and west of the level direction in it: cosine and sine of its azimuth.
    pub aside: (f64, f64),
    /// Share of the sky before it.
    pub open: f64,
    /// Sine of its tilt.
    pub upright: f64,
}

impl Facing {
    /// Of a plane.
    pub fn of(plane: Plane) -> Facing {
        let (upright, (to_west, to_south)) = (sin(plane.tilt), (sin(plane.azimuth), cos(plane.azimuth)));
        Facing {
            normal: [upright * to_south, upright * to_west, cos(plane.tilt)],
            aside: (to_south, to_west),
            open: (1.0 + cos(plane.tilt)) / 2.0,
            upright,
        }
    }
}

/// What comes to a plane in an hour (W/m²), by where it comes from.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Parts {
    /// Straight from the sun.
    pub beam: f64,
    /// From the sky around the sun.
    pub around: f64,
    /// From the rest of the sky; below nought where the horizon is darker than the rest.
    pub rest: f64,
    /// From the ground.
    pub ground: f64,
    /// How far the sun's ray rises, and how far it runs along the plane, for each length that it comes straight on.
    pub slope: (f64, f64),
}

/// Sun and sky of an hour, worked out once for all planes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Light {
    sun: Sun,
    beam: f64,
    diffuse: f64,
    ground: f64,
    brightness: (f64, f64),
}

impl Light {
    /// Of an hour; `extra` is the radiation outside the air on a plane that faces the sun.
    pub fn of(radiation: &Radiation, sun: Sun, extra: f64) -> Light {
        let lowest = cos(89.0_f64.to_radians());
        Light {
            sun,
            beam: if sun.up > lowest { radiation.direct } else { 0.0 },
            diffuse: radiation.diffuse,
            ground: GROUND * radiation.global,
            brightness: brightness(radiation, &sun, extra),
        }
    }

    /// What comes to a plane.
    pub fn on(&self, plane: &Facing) -> Parts {
        let Sun { south, west, up, .. } = self.sun;
        let [to_south, to_west, to_sky] = plane.normal;
        let facing = (south * to_south + west * to_west + up * to_sky).max(0.0);
        let (around, along) = self.brightness;
        let straight = if facing > 0.0 { 1.0 / facing } else { 0.0 };
        Parts {
            beam: self.beam * facing,
            around: self.diffuse * around * facing / up.max(cos(LOWEST.to_radians())),
            rest: self.diffuse * ((1.0 - around) * plane.open + along * plane.upright),
            ground: self.ground * (1.0 - plane.open),
            slope: (up * straight, (west * plane.aside.0 - south * plane.aside.1) * straight),
        }
    }
}

impl Parts {
    /// All of it, where nothing shades.
    pub fn all(&self) -> f64 {
        self.beam + (self.around + self.rest).max(0.0) + self.ground
    }
}

/// How bright the sky is around the sun and along the horizon.
///
/// `extra` is the radiation outside the air on a plane that faces the sun.
pub fn brightness(radiation: &Radiation, sun: &Sun, extra: f64) -> (f64, f64) {
    let Radiation { direct, diffuse, .. } = *radiation;
    if diffuse <= 0.0 {
        return (0.0, 0.0);
    }
    let zenith = sun.zenith();
    let weight = ZENITH * zenith * zenith * zenith;
    let clearness = ((diffuse + direct) / diffuse + weight) / (1.0 + weight);
    let bright = diffuse * air_mass(zenith) / extra;
    let bin = BINS.iter().position(|up_to| clearness < *up_to).unwrap_or(BINS.len());
    let [a, b, c, d, e, f] = COEFFICIENTS.get(bin).copied().unwrap_or_default();
    ((a + b * bright + c * zenith).max(0.0), d + e * bright + f * zenith)
}

/// All radiation on a plane that nothing shades: sun, sky, and what the ground reflects. Beam of a sun lower than a degree is
/// left out.
pub fn on(plane: &Plane, radiation: &Radiation, sun: &Sun, extra: f64) -> f64 {
    Light::of(radiation, *sun, extra).on(&Facing::of(*plane)).all()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

    /// The sun at a zenith and an azimuth from north (°).
    fn sun(zenith: f64, azimuth: f64) -> Sun {
        let (zenith, azimuth) = (zenith.to_radians(), (azimuth - 180.0).to_radians());
        Sun { up: cos(zenith), south: sin(zenith) * cos(azimuth), west: sin(zenith) * sin(azimuth), hour: 0.0 }
    }

    /// Zenith 50°, azimuth 200°, 700 W/m² direct, 120 W/m² of the sky, 1367 W/m² outside the air: brightness and the sky
    /// on five planes by pvlib 0.16.1, model perez; half of the last digit.
    #[test]
    fn the_sky_on_five_planes() {
        let sun = sun(50.0, 200.0);
        let radiation = Radiation { global: 700.0 * sun.up + 120.0, direct: 700.0, diffuse: 120.0 };
        let (around, along) = brightness(&radiation, &sun, 1_367.0);
        assert!((around - 0.60378).abs() < 5e-6 && (along - 0.22464).abs() < 5e-6, "{around} {along}");
        let plane = |tilt: f64, azimuth: f64| Plane { tilt, azimuth: azimuth.to_radians() };
        let planes = [
            (plane(FRAC_PI_2, 0.0), 0.71985, 131.870),
            (plane(FRAC_PI_2, 90.0), 0.26200, 80.263),
            (plane(30.0_f64.to_radians(), 0.0), 0.91659, 161.156),
            (plane(FRAC_PI_2, 180.0), 0.0, 50.730),
        ];
        for (plane, cosine, from_sky) in planes {
            assert!((plane.facing(&sun).max(0.0) - cosine).abs() < 5e-6, "{plane:?}");
            let parts = Light::of(&radiation, sun, 1_367.0).on(&Facing::of(plane));
            let found = parts.around + parts.rest;
            assert!((found - from_sky).abs() < 5e-4, "{plane:?}: {found}");
        }
        let south = on(&planes[0].0, &radiation, &sun, 1_367.0);
        assert!((south - 692.757).abs() < 0.001, "{south}");
        let level = on(&plane(0.0, 0.0), &radiation, &sun, 1_367.0);
        assert!((level - radiation.global).abs() < 1e-9, "a level plane gets what the level gets: {level}");
    }
}
