//! Sun and sky on any plane, month by month, from the monthly mean on a level surface.
//!
//! A month is one day, repeated: its sun stands as on the day whose extraterrestrial radiation is the month's mean, its beam
//! is as strong from sunrise to sunset, its sky equally bright all over, and the ground reflects a fifth. For a plane that
//! looks to the equator this is the published method in closed form; any other plane, and any shade, is summed over the day.
//!
//! Sources: Klein's mean days and monthly diffuse fractions by sunset angle, as in Duffie and Beckman, Solar Engineering
//! of Thermal Processes, ch. 1 and 2 (from memory, high).

use crate::shade::Screen;
use mateline_model::portable::{acos, cos, powi, sin, tan};
use mateline_model::quantity::{Angle, HeatFlux};
use mateline_weather::sky::{Facing, GROUND, Plane};
use mateline_weather::sun::SOLAR_CONSTANT;
use std::f64::consts::PI;

/// The day of the year that stands for each month.
const DAYS: [f64; 12] = [17.0, 47.0, 75.0, 105.0, 135.0, 162.0, 198.0, 228.0, 258.0, 288.0, 318.0, 344.0];
/// Parts of the time from sunrise to sunset over which a plane's sun is summed.
const PARTS: u32 = 96;
/// Parts of an hour over which a plane's sun is summed.
const IN_HOUR: u32 = 6;
/// Sunset angle at which the two correlations of the diffuse fraction meet (rad): 81.4°.
const WINTER: f64 = 81.4 * PI / 180.0;

/// The day that stands for a month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeanDay {
    /// Sine and cosine of the latitude.
    latitude: (f64, f64),
    /// Sine and cosine of the declination.
    declination: (f64, f64),
    /// Angle from noon to sunset.
    sunset: f64,
    /// On a level surface, mean over day and night (W/m²).
    global: f64,
    /// Of it, from the sky.
    diffuse: f64,
}

impl MeanDay {
    /// The mean day of a month, counted from 0, at a latitude, with this mean radiation on a level surface.
    pub fn of(month: usize, latitude: Angle, global: HeatFlux) -> MeanDay {
        let bare = MeanDay::bare(month, latitude);
        let above = bare.outside(month);
        let clearness = if above > 0.0 { global.si() / above } else { 0.0 };
        let diffuse = bare.diffuse_fraction(clearness) * global.si();
        MeanDay { global: global.si(), diffuse, ..bare }
    }

    /// Sun paths alone.
    fn bare(month: usize, latitude: Angle) -> MeanDay {
        let day = DAYS.get(month % 12).copied().unwrap_or_default();
        let declination = (23.45_f64).to_radians() * sin(2.0 * PI * (284.0 + day) / 365.0);
        let latitude = latitude.si();
        let sunset = acos((-tan(latitude) * tan(declination)).clamp(-1.0, 1.0));
        let both = |angle: f64| (sin(angle), cos(angle));
        MeanDay { latitude: both(latitude), declination: both(declination), sunset, global: 0.0, diffuse: 0.0 }
    }

    /// Radiation outside the air on a level surface, mean over day and night (W/m²).
    fn outside(&self, month: usize) -> f64 {
        let day = DAYS.get(month % 12).copied().unwrap_or_default();
        let distance = 1.0 + 0.033 * cos(2.0 * PI * day / 365.0);
        let path = self.latitude.1 * self.declination.1 * sin(self.sunset)
            + self.sunset * self.latitude.0 * self.declination.0;
        SOLAR_CONSTANT * distance / PI * path
    }

    /// Most that a level surface gets in a month, counted from 0, were there no air.
    pub fn most(month: usize, latitude: Angle) -> HeatFlux {
        HeatFlux::from_si(MeanDay::bare(month, latitude).outside(month).max(0.0))
    }

    /// Share of the sky, by clearness `K`: a cubic for winter days, another for longer ones, never above the whole.
    fn diffuse_fraction(&self, k: f64) -> f64 {
        let [a, b, c, d] =
            if self.sunset <= WINTER { [1.391, -3.560, 4.189, -2.137] } else { [1.311, -3.022, 3.427, -1.821] };
        (a + b * k + c * powi(k, 2) + d * powi(k, 3)).clamp(0.0, 1.0)
    }

    /// Share of the sky in the radiation on a level surface.
    pub fn sky_share(&self) -> f64 {
        if self.global > 0.0 { self.diffuse / self.global } else { 1.0 }
    }

    /// Mean radiation on a plane behind a screen, over day and night.
    pub fn on(&self, plane: Plane, screen: &Screen) -> HeatFlux {
        let beam = (self.global - self.diffuse) * self.beam_ratio(plane, screen);
        let open = (1.0 + cos(plane.tilt)) / 2.0;
        let sky = self.diffuse * open * screen.sky();
        let ground = GROUND * self.global * (1.0 - open) * screen.ground();
        HeatFlux::from_si(beam + sky + ground)
    }

    /// Radiation on a plane behind a screen in each hour of the day by the sun (W/m²); sky and ground follow the sun's height.
    pub fn hours(&self, plane: Plane, screen: &Screen) -> [f64; 24] {
        let open = (1.0 + cos(plane.tilt)) / 2.0;
        let sky = self.diffuse * open * screen.sky() + GROUND * self.global * (1.0 - open) * screen.ground();
        let direct = self.global - self.diffuse;
        let facing = Facing::of(plane);
        let (mut beams, mut heights) = ([0.0; 24], [0.0; 24]);
        for (hour, (beam, height)) in beams.iter_mut().zip(&mut heights).enumerate() {
            // The part of the hour in which the sun is up.
            let begins = (PI / 12.0 * (hour as f64 - 12.0)).max(-self.sunset);
            let length = (PI / 12.0 * (hour as f64 - 11.0)).min(self.sunset) - begins;
            for part in 0..if length > 0.0 { IN_HOUR } else { 0 } {
                let turn = begins + length * (f64::from(part) + 0.5) / f64::from(IN_HOUR);
                let (up, lit) = self.sun(turn, &facing, screen);
                *beam += length * lit;
                *height += length * up;
            }
        }
        let whole: f64 = heights.iter().sum();
        let mut hours = [0.0; 24];
        if whole > 0.0 {
            for ((on, beam), height) in hours.iter_mut().zip(beams).zip(heights) {
                *on = 24.0 * (direct * beam + sky * height) / whole;
            }
        }
        hours
    }

    /// How high the sun stands at an hour angle, and how straight it comes onto a plane behind a screen.
    fn sun(&self, turn: f64, plane: &Facing, screen: &Screen) -> (f64, f64) {
        let (across, along) = (self.declination.1 * cos(turn), self.declination.0);
        let up = self.latitude.1 * across + self.latitude.0 * along;
        if up <= 0.0 {
            return (0.0, 0.0);
        }
        let south = self.latitude.0 * across - self.latitude.1 * along;
        let west = self.declination.1 * sin(turn);
        let [to_south, to_west, to_sky] = plane.normal;
        let facing = south * to_south + west * to_west + up * to_sky;
        if facing <= 0.0 {
            return (up, 0.0);
        }
        let aside = west * plane.aside.0 - south * plane.aside.1;
        (up, facing * screen.lit(up / facing, aside / facing))
    }

    /// Beam on a plane over beam on the level, summed over the day.
    fn beam_ratio(&self, plane: Plane, screen: &Screen) -> f64 {
        let facing = Facing::of(plane);
        let (mut on_plane, mut on_level) = (0.0, 0.0);
        for part in 0..PARTS {
            let turn = self.sunset * ((2.0 * f64::from(part) + 1.0) / f64::from(PARTS) - 1.0);
            let (up, lit) = self.sun(turn, &facing, screen);
            on_level += up;
            on_plane += lit;
        }
        if on_level > 0.0 { on_plane / on_level } else { 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn angle(degrees: f64) -> Angle {
        Angle::from_si(degrees.to_radians())
    }

    /// MJ/(m²·d) as a mean heat flow.
    fn daily(megajoules: f64) -> HeatFlux {
        HeatFlux::from_si(megajoules * 1e6 / 86_400.0)
    }

    /// The sky's share of the published example for Madison, 43° N, by month. Source: Duffie and Beckman, monthly means
    /// on a tilted plane, as compiled (from memory, high); half of the last digit.
    #[test]
    fn the_skys_share_of_the_textbook() {
        let level = [6.44, 9.89, 12.86, 16.05, 21.36, 23.04, 22.58, 20.33, 14.59, 10.48, 6.37, 5.74];
        let printed = [0.409, 0.366, 0.435, 0.453, 0.390, 0.381, 0.376, 0.368, 0.423, 0.390, 0.458, 0.409];
        for (month, (level, printed)) in level.into_iter().zip(printed).enumerate() {
            let share = MeanDay::of(month, angle(43.0), daily(level)).sky_share();
            assert!((share - printed).abs() < 0.0006, "{month}: {share} beside {printed}");
        }
    }

    /// Beam on a plane of 60° that looks south over beam on the level, at the same place. Source and tolerance as above;
    /// the sum over the day stands within 0.1 % of the closed form.
    #[test]
    fn beam_on_a_tilted_plane_of_the_textbook() {
        let plane = Plane { tilt: PI / 3.0, azimuth: 0.0 };
        let printed = [2.788, 2.043, 1.419, 0.960, 0.711, 0.617, 0.657, 0.844, 1.214, 1.813, 2.565, 3.062];
        for (month, printed) in printed.into_iter().enumerate() {
            let ratio = MeanDay::of(month, angle(43.0), daily(10.0)).beam_ratio(plane, &Screen::default());
            assert!((ratio / printed - 1.0).abs() < 0.001, "{month}: {ratio} beside {printed}");
        }
    }

    /// The whole example with the ground's reflectance of 0.2, May to November: 16.6, 16.5, 16.8, 17.5, 15.6, 15.2, 11.4
    /// MJ/(m²·d). Source as above; half of the last digit.
    #[test]
    fn radiation_on_a_tilted_plane_of_the_textbook() {
        let plane = Plane { tilt: PI / 3.0, azimuth: 0.0 };
        let level = [21.36, 23.04, 22.58, 20.33, 14.59, 10.48, 6.37];
        let printed = [16.6, 16.5, 16.8, 17.5, 15.6, 15.2, 11.4];
        for (month, (level, printed)) in level.into_iter().zip(printed).enumerate() {
            let on = MeanDay::of(month + 4, angle(43.0), daily(level)).on(plane, &Screen::default());
            let megajoules = on.si() * 86_400.0 / 1e6;
            assert!((megajoules - printed).abs() < 0.055, "{month}: {megajoules} beside {printed}");
        }
    }

    /// A south wall in Greensboro (36.1° N) from monthly means on the level, kWh/m² a month. Source: the same method in
    /// closed form by an independent script on the public hourly file of that place; 0.2 %.
    #[test]
    fn a_south_wall_in_greensboro() {
        let days = [31.0, 28.0, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];
        let level =
            [74.848, 85.751, 131.766, 162.302, 174.719, 187.527, 188.581, 174.054, 132.813, 111.264, 73.045, 69.533];
        let wall = [
            111.849, 96.6666, 105.199, 88.1357, 73.8993, 69.4037, 73.3809, 83.6634, 90.4866, 112.447, 98.9652, 113.082,
        ];
        for (month, ((days, level), wall)) in days.into_iter().zip(level).zip(wall).enumerate() {
            let hours: f64 = 24.0 * days;
            let day = MeanDay::of(month, angle(36.1), HeatFlux::from_si(level * 1e3 / hours));
            let found = day.on(Plane::wall(0.0), &Screen::default()).si() * hours / 1e3;
            assert!((found / wall - 1.0).abs() < 0.002, "{month}: {found} beside {wall}");
        }
    }

    /// The hours of a day make the day: within 1 % on any wall, exactly on the level.
    #[test]
    fn hours_make_the_day() {
        let screen = Screen::default();
        for month in [0, 3, 6, 9] {
            let day = MeanDay::of(month, angle(44.0), HeatFlux::from_si(150.0));
            for plane in [Plane::LEVEL, Plane::wall(0.0), Plane::wall(90.0), Plane::wall(-135.0)] {
                let (mean, whole) = (day.hours(plane, &screen).iter().sum::<f64>() / 24.0, day.on(plane, &screen).si());
                assert!((mean / whole - 1.0).abs() < 0.01, "{month}, {plane:?}: {mean} beside {whole}");
            }
            assert!((day.hours(Plane::LEVEL, &screen).iter().sum::<f64>() / 24.0 - 150.0).abs() < 1e-9);
        }
    }

    /// Symmetry: east equals west, a level plane gets what the level gets, and mirrored hemispheres mirror the year.
    #[test]
    fn planes_are_symmetric() {
        let screen = Screen::default();
        for month in 0..12 {
            let day = MeanDay::of(month, angle(44.0), HeatFlux::from_si(150.0));
            let (east, west) = (day.on(Plane::wall(-90.0), &screen).si(), day.on(Plane::wall(90.0), &screen).si());
            assert!((east - west).abs() < 1e-9, "{east} and {west}");
            assert!((day.on(Plane::LEVEL, &screen).si() - 150.0).abs() < 1e-9);
        }
        let (june, december) = (MeanDay::most(5, angle(60.0)), MeanDay::most(11, angle(60.0)));
        assert!(june.si() > 10.0 * december.si() && MeanDay::most(11, angle(80.0)).si() < 1e-9);
        let dark = MeanDay::of(11, angle(80.0), HeatFlux::default());
        assert!(dark.on(Plane::wall(0.0), &screen).si().abs() < 1e-9);
    }
}
