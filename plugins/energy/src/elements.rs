//! A zone hour by hour: its air, and the elements around it, each with five nodes from outside to inside.
//!
//! Inner surfaces exchange heat with the air and, by radiation, with the mean of all of them. Since only these two bind the
//! elements together, each element is swept by itself from outside to inside, and two equations are left: of the air and
//! of the mean surface. An hour is one implicit step. What enters equals what leaves and what is stored, to rounding.
//!
//! On a thick wall an hour's step answers up to 0.013 K/K other than the exact one. On air temperature the model reads some
//! per cent below the sum of U-factors, since cold surfaces draw the mean radiant temperature below the air's.
//!
//! Source: ISO 52016-1:2017, 6.5.6 (from memory, high).

/// An hour (s).
const HOUR: f64 = 3_600.0;
/// Radiation between inner surfaces (W/(m²·K)).
const INNER_GLOW: f64 = 5.13;
/// Convection outside (W/(m²·K)).
pub const OUTER_AIR: f64 = 20.0;
/// Radiation outside (W/(m²·K)).
pub const OUTER_GLOW: f64 = 4.14;

/// A part around the zone, for each square metre of it: W/(m²·K) and J/(m²·K), from outside to inside.
#[derive(Clone, Debug, PartialEq)]
pub struct Element {
    /// Area (m²).
    pub area: f64,
    /// From what lies outside to the outermost node.
    pub outer: f64,
    /// Between the nodes.
    pub between: Vec<f64>,
    /// What the nodes store.
    pub stores: Vec<f64>,
    /// From the inner surface to the air.
    pub inner: f64,
}

impl Element {
    /// An opaque element of a resistance without films, that stores `inside` (J/(m²·K)) at its inner surface.
    pub fn opaque(area: f64, resistance: f64, inside: f64, outer: f64, inner: f64) -> Element {
        let (edge, middle) = (6.0 / resistance, 3.0 / resistance);
        Element {
            area,
            outer,
            between: vec![edge, middle, middle, edge],
            stores: vec![0.0, 0.0, 0.0, 0.0, inside],
            inner,
        }
    }

    /// Whether each square metre of it is as of another, but for so small a part.
    pub fn is_like(&self, other: &Element, part: f64) -> bool {
        let near = |a: &f64, b: &f64| (a - b).abs() <= part * b.abs();
        let all = |a: &[f64], b: &[f64]| a.len() == b.len() && a.iter().zip(b).all(|(a, b)| near(a, b));
        near(&self.outer, &other.outer)
            && near(&self.inner, &other.inner)
            && all(&self.between, &other.between)
            && all(&self.stores, &other.stores)
    }

    /// Its nodes that store, with the innermost: what each stores, and the conductance outward from it. A node that stores
    /// nothing is at rest between its neighbours, so that resistances in a row stand for it and nothing changes.
    fn storing(&self) -> Vec<(f64, f64)> {
        let (mut kept, mut outward) = (Vec::with_capacity(self.stores.len()), self.outer);
        for (node, store) in self.stores.iter().enumerate() {
            match self.between.get(node) {
                Some(inward) if *store == 0.0 => outward = outward * inward / (outward + inward),
                inward => {
                    kept.push((*store, outward));
                    outward = inward.copied().unwrap_or_default();
                }
            }
        }
        kept
    }

    /// A window or door of a resistance without films, that stores nothing.
    pub fn light(area: f64, resistance: f64, outer: f64, inner: f64) -> Element {
        Element { area, outer, between: vec![1.0 / resistance], stores: vec![0.0, 0.0], inner }
    }
}

/// What an hour brings to an element: temperature outside (°C), and what its outer surface takes up (W/m²).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Outside {
    /// Behind the outer film.
    pub temperature: f64,
    /// From sun, less what goes to the sky.
    pub taken_up: f64,
}

/// What an hour brings to the zone.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Arrival {
    /// For each element.
    pub outside: Vec<Outside>,
    /// Of the air that comes in (°C).
    pub supply: f64,
    /// From people, lights and appliances (W).
    pub internal: f64,
    /// Through glass (W).
    pub solar: f64,
}

/// Shares that go to the air at once; the rest goes to the surfaces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToAir {
    /// Of internal gains.
    pub internal: f64,
    /// Of the sun.
    pub solar: f64,
    /// Of heating and cooling.
    pub heat: f64,
}

/// Internal 40 %, sun 10 %, heating and cooling 40 %. Source: ISO 52016-1:2017, 6.5.6 (from memory, med).
pub const USUAL: ToAir = ToAir { internal: 0.4, solar: 0.1, heat: 0.4 };

/// A zone of one air.
#[derive(Clone, Debug)]
pub struct Zone {
    elements: Vec<Swept>,
    nodes: Vec<Node>,
    area: f64,
    air: f64,
    stores: f64,
    to_air: ToAir,
    /// Share of the mean surface in the temperature that is held: 0 for air, 1/2 for what people feel.
    radiant: f64,
    /// Of the air and of the mean surface, as an hour leaves them.
    equations: [[f64; 2]; 2],
    /// What a watt of heating brings to both equations, and what it raises the temperatures by.
    by_watt: [f64; 2],
    watt: [f64; 2],
    to_surfaces: f64,
}

/// An hour whose sides stand ready: mean surface and air without heat, and what each surface gets of gains (W/m²).
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Begun {
    pub free: [f64; 2],
    radiant: f64,
}

/// What a sweep needs of an element that does not change, by its share in the zone's sums.
#[derive(Clone, Copy, Debug)]
struct Swept {
    area: f64,
    /// From what lies outside to its first node.
    outer: f64,
    /// Share of what its outer surface takes up that gets there.
    taken: f64,
    inner: f64,
    /// Its first node, and the one after its last.
    first: usize,
    end: usize,
}

/// A node: what it stores over an hour, the conductance outward from it, the conductance inward and one over its diagonal.
#[derive(Clone, Copy, Debug)]
struct Node {
    stores: f64,
    outward: f64,
    ratio: f64,
    inverse: f64,
}

/// Temperatures of a zone (°C): its air, and the nodes of each element that store, with the innermost, from outside to inside.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// Air.
    pub air: f64,
    /// Mean of the inner surfaces.
    pub mean: f64,
    /// Nodes, element after element.
    pub nodes: Vec<f64>,
    /// Heat brought in over the hour (W), below nought where it is taken out.
    pub heat: f64,
}

impl State {
    /// What people feel.
    pub fn operative(&self) -> f64 {
        0.5 * (self.air + self.mean)
    }

    /// How far two states are apart at most (K).
    pub fn apart(&self, other: &State) -> f64 {
        let nodes = self.nodes.iter().zip(&other.nodes);
        nodes.map(|(one, other)| (one - other).abs()).fold((self.air - other.air).abs(), f64::max)
    }
}

impl Zone {
    /// A zone whose air is exchanged by `air` (W/K, bridges included) and stores `stores` (J/K).
    pub fn new(elements: &[Element], air: f64, stores: f64, to_air: ToAir, radiant: f64) -> Zone {
        let area: f64 = elements.iter().map(|element| element.area).sum();
        let (mut swept, mut nodes) = (Vec::with_capacity(elements.len()), Vec::with_capacity(5 * elements.len()));
        let (mut mean_air, mut mean_mean, mut mean_heat) = (0.0, 0.0, 0.0);
        let (mut gives_air, mut gives_mean, mut gives_heat, mut film) = (0.0, 0.0, 0.0, 0.0);
        for element in elements {
            let first = nodes.len();
            let kept = element.storing();
            let outer = kept.first().map_or(element.outer, |(_, outward)| *outward);
            let (mut before, mut outward) = (outer, outer);
            for (node, (store, _)) in kept.iter().enumerate() {
                let inward = kept.get(node + 1).map_or(element.inner + INNER_GLOW, |(_, outward)| *outward);
                let diagonal = store / HOUR + before + inward;
                let ratio = inward / diagonal;
                nodes.push(Node { stores: store / HOUR, outward, ratio, inverse: 1.0 / diagonal });
                // What is left of the conductance inward once the outer nodes are swept.
                (before, outward) = (inward - inward * ratio, inward);
            }
            let (area, inner, taken) = (element.area, element.inner, outer / element.outer);
            let inverse = nodes.last().map_or(0.0, |node| node.inverse);
            swept.push(Swept { area, outer, taken, inner, first, end: nodes.len() });
            mean_air += area * inverse * inner;
            mean_mean += area * inverse * INNER_GLOW;
            mean_heat += area * inverse;
            gives_air += area * inner * inverse * inner;
            gives_mean += area * inner * inverse * INNER_GLOW;
            gives_heat += area * inner * inverse;
            film += area * inner;
        }
        let equations = [[area - mean_mean, -mean_air], [-gives_mean, stores / HOUR + film + air - gives_air]];
        let to_surfaces = (1.0 - to_air.heat) / area;
        let by_watt = [mean_heat * to_surfaces, to_air.heat + gives_heat * to_surfaces];
        let watt = solved(equations, by_watt);
        Zone { elements: swept, nodes, area, air, stores, to_air, radiant, equations, by_watt, watt, to_surfaces }
    }

    /// The same zone where its air exchanges so much with other zones (W/K), as [`crate::touching`] works it.
    pub fn touching(mut self, by: f64) -> Zone {
        self.equations[1][1] += by;
        self.watt = solved(self.equations, self.by_watt);
        self
    }

    /// What a watt of heating raises mean surface and air by.
    pub(crate) fn by_heat(&self) -> [f64; 2] {
        self.watt
    }

    /// What a watt that comes with air raises them by.
    pub(crate) fn by_air(&self) -> [f64; 2] {
        solved(self.equations, [0.0, 1.0])
    }

    /// What is held, of mean surface and air.
    pub(crate) fn held(&self, [mean, air]: [f64; 2]) -> f64 {
        self.radiant * mean + (1.0 - self.radiant) * air
    }

    /// All of one temperature.
    pub fn state(&self, temperature: f64) -> State {
        State { air: temperature, mean: temperature, nodes: vec![temperature; self.nodes.len()], heat: 0.0 }
    }

    /// What is stored at these temperatures beyond nought (J).
    pub fn stored(&self, state: &State) -> f64 {
        let of = |element: &Swept| {
            let nodes = self.nodes.get(element.first..element.end).unwrap_or_default();
            let held = state.nodes.get(element.first..element.end).unwrap_or_default();
            element.area * nodes.iter().zip(held).map(|(node, at)| node.stores * HOUR * at).sum::<f64>()
        };
        self.stores * state.air + self.elements.iter().map(of).sum::<f64>()
    }

    /// What leaves through elements and with the air at these temperatures, less what their outer surfaces take up (W).
    pub fn leaves(&self, state: &State, arrival: &Arrival) -> f64 {
        let of = |(element, outside): (&Swept, &Outside)| {
            let outermost = state.nodes.get(element.first).copied().unwrap_or_default();
            element.area * (element.outer * (outermost - outside.temperature) - element.taken * outside.taken_up)
        };
        self.air * (state.air - arrival.supply) + self.elements.iter().zip(&arrival.outside).map(of).sum::<f64>()
    }

    /// An hour in which the held temperature stays between two.
    pub fn hour(&self, state: &mut State, arrival: &Arrival, low: f64, high: f64) {
        let begun = self.begin(state, arrival);
        let held = self.held(begun.free);
        let heat = (held.max(low).min(high) - held) / self.held(self.watt);
        let [mean, air] = begun.free;
        self.end(state, &begun, [mean + heat * self.watt[0], air + heat * self.watt[1]], heat);
    }

    /// Sweeps what an hour brings inward, which leaves the sides of all nodes in their places, until [`Zone::end`] takes them.
    pub(crate) fn begin(&self, state: &mut State, arrival: &Arrival) -> Begun {
        let to = self.to_air;
        let convective = to.internal * arrival.internal + to.solar * arrival.solar;
        let radiant = ((1.0 - to.internal) * arrival.internal + (1.0 - to.solar) * arrival.solar) / self.area;
        // Each inner surface is `p + s (h T_a + h_r T_m + q)`.
        let (mut mean, mut gives) = (0.0, 0.0);
        for (element, outside) in self.elements.iter().zip(&arrival.outside) {
            let mut carried = element.outer * outside.temperature + element.taken * outside.taken_up;
            let places = state.nodes.get_mut(element.first..element.end).unwrap_or_default();
            let (mut side, mut inverse) = (0.0, 0.0);
            for (node, place) in self.of(element).iter().zip(places) {
                side = node.stores * *place + carried;
                *place = side;
                carried = side * node.ratio;
                inverse = node.inverse;
            }
            let surface = element.area * inverse * (side + radiant);
            mean += surface;
            gives += element.inner * surface;
        }
        let known = [mean, self.stores / HOUR * state.air + self.air * arrival.supply + convective + gives];
        Begun { free: solved(self.equations, known), radiant }
    }

    /// Sweeps outward, once mean surface, air and heat are known.
    pub(crate) fn end(&self, state: &mut State, begun: &Begun, [mean, air]: [f64; 2], heat: f64) {
        let onto = begun.radiant + heat * self.to_surfaces;
        for element in &self.elements {
            let mut inward = element.inner * air + INNER_GLOW * mean + onto;
            let places = state.nodes.get_mut(element.first..element.end).unwrap_or_default();
            for (node, place) in self.of(element).iter().zip(places).rev() {
                *place = node.inverse * (*place + inward);
                inward = node.outward * *place;
            }
        }
        (state.air, state.mean, state.heat) = (air, mean, heat);
    }

    fn of(&self, element: &Swept) -> &[Node] {
        self.nodes.get(element.first..element.end).unwrap_or_default()
    }
}

/// Two equations of two unknowns.
fn solved([[a, b], [c, d]]: [[f64; 2]; 2], [p, q]: [f64; 2]) -> [f64; 2] {
    let determinant = a * d - b * c;
    [(p * d - b * q) / determinant, (a * q - p * c) / determinant]
}

#[cfg(test)]
mod tests {
    use super::*;

    const OUTER: f64 = OUTER_AIR + OUTER_GLOW;

    /// Class D of ISO 52016-1 (from memory, high): an eighth, three quarters and an eighth.
    fn spread(area: f64, resistance: f64, stores: f64, inner: f64) -> Element {
        let stores = [0.125, 0.25, 0.25, 0.25, 0.125].map(|share| share * stores).to_vec();
        Element { stores, ..Element::opaque(area, resistance, 0.0, OUTER, inner) }
    }

    fn arrival(count: usize, outdoors: f64, internal: f64, solar: f64) -> Arrival {
        Arrival {
            outside: vec![Outside { temperature: outdoors, taken_up: 0.0 }; count],
            supply: outdoors,
            internal,
            solar,
        }
    }

    fn small_window() -> Element {
        Element::light(2.0, 1.0 / 1.2 - 0.17, OUTER, 2.5)
    }

    fn small() -> Zone {
        Zone::new(&[spread(10.0, 2.5, 1e5, 2.5), small_window()], 10.0, 120e3, USUAL, 0.0)
    }

    /// One wall of 10 m² and nothing else at 20 K: its radiation to itself cancels, so that 10 x 20/(1/2.5 + 2.5 + 1/24.14) W
    /// pass. First principles.
    #[test]
    fn one_wall_steady() {
        let zone = Zone::new(&[spread(10.0, 2.5, 1e5, 2.5)], 0.0, 1e5, ToAir { heat: 1.0, ..USUAL }, 0.0);
        let mut state = zone.state(20.0);
        for _ in 0..5_000 {
            zone.hour(&mut state, &arrival(1, 0.0, 0.0, 0.0), 20.0, 20.0);
        }
        let by_hand = 10.0 * 20.0 / (1.0 / 2.5 + 2.5 + 1.0 / OUTER);
        assert!((state.heat - by_hand).abs() < 1e-6, "{} beside {by_hand}", state.heat);
    }

    /// A wall and a window at −5 °C with 100 W inside and 200 W of sun, from 20 °C: free, and held at 20 °C. Air, heat and
    /// surfaces by a dense solver in an independent script (numpy) of the same equations; half of the last digit.
    #[test]
    fn a_small_zone_free_and_held() {
        let zone = small();
        let brought = arrival(2, -5.0, 100.0, 200.0);
        let run = |low: f64, high: f64| {
            let mut state = zone.state(20.0);
            (0..24)
                .map(|_| {
                    zone.hour(&mut state, &brought, low, high);
                    state.clone()
                })
                .collect::<Vec<_>>()
        };
        let free = run(f64::NEG_INFINITY, f64::INFINITY);
        for (hour, air) in [(0, 17.7886), (1, 16.8939), (2, 16.4790), (23, 13.0622)] {
            assert!((free[hour].air - air).abs() < 0.0001, "{hour}: {}", free[hour].air);
            assert!(free[hour].heat == 0.0);
        }
        let held = run(20.0, 20.0);
        for (hour, heat) in [(0, 224.588), (1, 148.565), (2, 121.396), (23, 138.390)] {
            assert!((held[hour].heat - heat).abs() < 0.001, "{hour}: {}", held[hour].heat);
        }
        let (wall, window) = (held[23].nodes[4], held[23].nodes[5]);
        assert!((wall - 25.066).abs() < 0.001 && (window - 21.599).abs() < 0.001);
    }

    /// An element that stores at its inner surface alone is one node; with so little in the others that it does not show, it is
    /// five, and goes the same way.
    #[test]
    fn nodes_that_store_nothing_are_left_out() {
        let one = Element::opaque(10.0, 2.5, 1e5, OUTER, 2.5);
        let mut five = one.clone();
        five.stores[..4].fill(1e-6);
        let run = |element: Element| {
            let zone = Zone::new(&[element, small_window()], 10.0, 120e3, USUAL, 0.5);
            let mut state = zone.state(20.0);
            let mut brought = arrival(2, -5.0, 100.0, 200.0);
            brought.outside[0].taken_up = 90.0;
            (0..24).for_each(|_| zone.hour(&mut state, &brought, 20.0, 25.0));
            (state.nodes.len(), state.heat, zone.leaves(&state, &brought))
        };
        let ((few, heat, leaves), (many, same, also)) = (run(one), run(five));
        assert_eq!((few, many), (2, 6));
        assert!((heat - same).abs() < 1e-6 && (leaves - also).abs() < 1e-6, "{heat} {same}, {leaves} {also}");
    }

    /// Energy in is energy out and what is stored, each hour to 1e-9 of it.
    #[test]
    fn heat_closes_each_hour() {
        let zone = small();
        let mut state = zone.state(18.0);
        for hour in 0..48 {
            let outdoors = -5.0 + 8.0 * f64::from(hour % 24) / 24.0;
            let mut brought = arrival(2, outdoors, 150.0, if hour % 24 > 8 { 400.0 } else { 0.0 });
            brought.outside[0].taken_up = 30.0;
            let before = zone.stored(&state);
            zone.hour(&mut state, &brought, 20.0, 24.0);
            let (out, stored) = (zone.leaves(&state, &brought), (zone.stored(&state) - before) / HOUR);
            let brought_in = 150.0 + brought.solar + state.heat;
            assert!((brought_in - out - stored).abs() < 1e-9 * 1_000.0, "{hour}: {brought_in}, {out}, {stored}");
        }
    }

    /// 200 mm of concrete (1.8 W/(m·K), 480 kJ/(m²·K)) between films of 0.13 and 0.04, outdoors from 0 to 1 °C, indoors 0 °C: the
    /// inner surface by this step (an independent script, 1e-5) and exactly (series, 0.015).
    #[test]
    fn a_step_through_concrete() {
        let element = Element { inner: 1.0 / 0.13, outer: 1.0 / 0.04, ..spread(1.0, 0.2 / 1.8, 480e3, 0.0) };
        // The air of the zone holds more than all else and stands still; what the surface radiates comes back to it.
        let zone = Zone::new(&[element], 0.0, 1e18, USUAL, 0.0);
        let mut state = zone.state(0.0);
        let table = [
            (1, 0.01585, 0.00286),
            (2, 0.04746, 0.03407),
            (4, 0.13169, 0.13683),
            (8, 0.27867, 0.29194),
            (16, 0.41090, 0.41664),
            (24, 0.44813, 0.45014),
        ];
        for hour in 1..=24 {
            let brought = arrival(1, 1.0, 0.0, 0.0);
            zone.hour(&mut state, &brought, f64::NEG_INFINITY, f64::INFINITY);
            if let Some((_, stepped, exact)) = table.iter().find(|(at, ..)| *at == hour) {
                let inner = state.nodes[4];
                assert!((inner - stepped).abs() < 1e-5 && (inner - exact).abs() < 0.015, "{hour}: {inner}");
            }
        }
    }
}
