//! Zones that touch, through the same hour together.
//!
//! Air of one exchanges heat with air of another through the floors and partitions between them. What a zone's elements do in
//! the hour is swept as in [`crate::elements`]; of each zone one equation is left, its air by the air of its neighbours, in
//! one of three ways: without heat, or held at the lower or at the upper temperature. The equations are solved as a band, and
//! the ways are chosen anew until each zone's is its own. Whatever is chosen, heat closes to rounding.
//!
//! Source: ISO 52016-1:2017, 6.5.6, thermally coupled zones (from memory, med).

use crate::elements::{Arrival, Begun, State, Zone};

/// So near a bound nothing changes (K, W).
const EVEN: f64 = 1e-9;
/// The ways are chosen at most so often for each zone.
const MOST: usize = 4;

/// How zones touch.
#[derive(Clone, Debug)]
pub struct Touching {
    /// Of each zone those that it touches, with what they exchange (W/K).
    beside: Vec<Vec<(usize, f64)>>,
    /// How far apart in their order two that touch are.
    band: usize,
    hour: Vec<InHour>,
    /// The band of equations, row after row.
    rows: Vec<f64>,
    air: Vec<f64>,
}

/// How a zone is held.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
enum Way {
    #[default]
    Free,
    Low,
    High,
}

/// A zone in the hour.
#[derive(Clone, Copy, Debug, Default)]
struct InHour {
    begun: Begun,
    way: Way,
    /// Temperatures by a watt of heat, and by a watt that comes with air.
    heat: [f64; 2],
    air: [f64; 2],
    /// What is held without heat, and by each of these watts.
    held: [f64; 3],
}

impl InHour {
    /// Heat without what comes from others, and by a watt that does (W).
    fn heated(&self, low: f64, high: f64) -> [f64; 2] {
        let to = match self.way {
            Way::Free => return [0.0; 2],
            Way::Low => low,
            Way::High => high,
        };
        let [free, by_heat, by_air] = self.held;
        [(to - free) / by_heat, -by_air / by_heat]
    }
}

impl Touching {
    /// So many zones with what they exchange, pair by pair.
    pub fn new(count: usize, links: Vec<(usize, usize, f64)>) -> Touching {
        let mut beside = vec![Vec::new(); count];
        for (one, other, by) in &links {
            for (zone, second) in [(*one, *other), (*other, *one)] {
                if let Some(place) = beside.get_mut(zone) {
                    place.push((second, *by));
                }
            }
        }
        let band = links.iter().map(|(one, other, _)| one.abs_diff(*other)).max().unwrap_or_default();
        let hour = vec![InHour::default(); count];
        Touching { beside, band, hour, rows: Vec::new(), air: vec![0.0; count] }
    }

    fn near(&self, zone: usize) -> &[(usize, f64)] {
        self.beside.get(zone).map_or(&[], Vec::as_slice)
    }

    /// What a zone exchanges with all others (W/K).
    pub fn of(&self, zone: usize) -> f64 {
        self.near(zone).iter().map(|(_, by)| by).sum()
    }

    /// What comes to a zone from others at the temperatures of their air (W), less what goes to them.
    pub fn comes(&self, zone: usize, states: &[State]) -> f64 {
        let air = |zone: usize| states.get(zone).map_or(0.0, |state| state.air);
        self.near(zone).iter().map(|(other, by)| by * (air(*other) - air(zone))).sum()
    }

    /// An hour in which what is held stays between two in each zone. Each zone was made with [`Zone::touching`] by what it
    /// exchanges with all others.
    pub fn hour(&mut self, zones: &[&Zone], states: &mut [State], arrivals: &[Arrival], low: f64, high: f64) {
        if let ([zone], [state], [arrival]) = (zones, &mut *states, arrivals) {
            zone.hour(state, arrival, low, high);
            return;
        }
        for (((place, zone), state), arrival) in self.hour.iter_mut().zip(zones).zip(&mut *states).zip(arrivals) {
            let (begun, heat, air) = (zone.begin(state, arrival), zone.by_heat(), zone.by_air());
            let held = [zone.held(begun.free), zone.held(heat), zone.held(air)];
            *place = InHour { begun, way: place.way, heat, air, held };
        }
        self.solve(low, high);
        for _ in 0..MOST * zones.len() {
            if !self.choose(low, high) {
                break;
            }
            self.solve(low, high);
        }
        for (number, (zone, state)) in zones.iter().zip(states).enumerate() {
            let Some(place) = self.hour.get(number) else { continue };
            let comes = self.incoming(number);
            let [without, by] = place.heated(low, high);
            let heat = without + by * comes;
            let [mean, _] = place.begun.free;
            let mean = mean + comes * place.air[0] + heat * place.heat[0];
            let air = self.air.get(number).copied().unwrap_or_default();
            zone.end(state, &place.begun, [mean, air], heat);
        }
    }

    /// What the air of others brings to a zone, as against air of 0 °C (W).
    fn incoming(&self, zone: usize) -> f64 {
        let air = |zone: usize| self.air.get(zone).copied().unwrap_or_default();
        self.near(zone).iter().map(|(other, by)| by * air(*other)).sum()
    }

    /// Air of all zones by their ways. Each equation has more on its own zone than on all others, so that none changes places.
    fn solve(&mut self, low: f64, high: f64) {
        let (band, width) = (self.band, 2 * self.band + 1);
        self.rows.clear();
        self.rows.resize(width * self.hour.len(), 0.0);
        let weight = |place: &InHour| {
            let [without, by] = place.heated(low, high);
            (place.begun.free[1] + without * place.heat[1], place.air[1] + by * place.heat[1])
        };
        for (number, (place, air)) in self.hour.iter().zip(&mut self.air).enumerate() {
            let (side, of) = weight(place);
            *air = side;
            if let Some(own) = self.rows.get_mut(number * width + band) {
                *own = 1.0;
            }
            for (other, by) in self.beside.get(number).into_iter().flatten() {
                if let Some(place) = self.rows.get_mut(number * width + band + other - number) {
                    *place -= of * by;
                }
            }
        }
        let count = self.hour.len();
        let at = |row: usize, column: usize| row * width + band + column - row;
        let read = |rows: &[f64], place: usize| rows.get(place).copied().unwrap_or_default();
        for pivot in 0..count {
            for row in pivot + 1..count.min(pivot + band + 1) {
                let part = read(&self.rows, at(row, pivot)) / read(&self.rows, at(pivot, pivot));
                for column in pivot + 1..count.min(pivot + band + 1) {
                    let above = read(&self.rows, at(pivot, column));
                    if let Some(place) = self.rows.get_mut(at(row, column)) {
                        *place -= part * above;
                    }
                }
                let above = read(&self.air, pivot);
                if let Some(side) = self.air.get_mut(row) {
                    *side -= part * above;
                }
            }
        }
        for row in (0..count).rev() {
            let known: f64 = (row + 1..count.min(row + band + 1))
                .map(|column| read(&self.rows, at(row, column)) * read(&self.air, column))
                .sum();
            let own = read(&self.rows, at(row, row));
            if let Some(side) = self.air.get_mut(row) {
                *side = (*side - known) / own;
            }
        }
    }

    /// Chooses the way of each zone anew, and says whether one changed.
    fn choose(&mut self, low: f64, high: f64) -> bool {
        let mut changed = false;
        for number in 0..self.hour.len() {
            let comes = self.incoming(number);
            let Some(place) = self.hour.get_mut(number) else { continue };
            let [without, by] = place.heated(low, high);
            let (heat, [free, _, by_air]) = (without + by * comes, place.held);
            let way = match place.way {
                Way::Free if free + by_air * comes < low - EVEN => Way::Low,
                Way::Free if free + by_air * comes > high + EVEN => Way::High,
                Way::Low if heat < -EVEN => Way::Free,
                Way::High if heat > EVEN => Way::Free,
                way => way,
            };
            changed |= way != place.way;
            place.way = way;
        }
        changed
    }
}
