//! What sun and sky bring: through glass, and onto walls that give part of it inwards and glow to the sky.
//!
//! Sources: ISO 13790:2008, 11.3 (from memory, high). A North American SHGC is of the whole product with its frame, so that
//! no share of the frame is taken off.

use crate::facts::{FLUX, POWER};
use crate::mean_day::MeanDay;
use crate::months::Climate;
use crate::shade::Screen;
use crate::surfaces::{Surface, known, loss};
use mateline_equation::equation;
use mateline_model::home::{Face, Id, Opening, OpeningKind};
use mateline_model::quantity::{
    Area, Conductance, HeatFlux, Power, Ratio, TemperatureDifference, ThermalResistance, ThermalTransmittance, Units,
};
use mateline_model::{Basis, Step, Subject, Term};
use mateline_sdk::{Lack, Request};
use mateline_weather::sky::Plane;

/// A factor without a unit.
const FACTOR: Units = Units::plain(2);
/// Sun that comes at an angle passes less well. Source: ISO 13790:2008, 11.4.2 (from memory, high).
pub(crate) const ANGLE: f64 = 0.9;
/// Share of the sun that a wall of no stated colour takes up. Source: ISO 13790:2008, medium colour (from memory, high).
pub(crate) const COLOUR: f64 = 0.6;
/// Outer film (m²·K/W). Source: ISO 6946:2017 (from memory, high).
const FILM: f64 = 0.04;
/// Radiation between a surface and the sky (W/(m²·K)). Source: ISO 13790:2008, 11.3.4, emissivity 0.9 (from memory, high).
const GLOW: f64 = 4.5;
/// How much colder than the air the sky is (K). Source: ISO 13790:2008, 11.3.5, between the tropics and the poles (from
/// memory, high).
pub(crate) const SKY: f64 = 11.0;

equation! {
    /// The area that collects as much sun as these windows do. Source: ISO 13790:2008, 11.3.3 (from memory, high).
    pub Collecting = "S = F_w Σ g_j A_j" {
        S: Area "collecting area" [Units::AREA],
        F_w: Ratio "sun at an angle" [FACTOR],
        g_j: [Ratio] "solar heat gain coefficient" [FACTOR],
        A_j: [Area] "window" [Units::AREA],
    }

    /// What opaque parts take in from the sun, less what they send to the sky.
    /// Source: ISO 13790:2008, 11.3.4 and 11.3.5 (from memory, high).
    pub Opaque = "Φ_o = α R_se Σ H_k I_k − R_se h_r Δθ Σ F_k H_k" {
        Φ_o: Power "through opaque parts" [POWER],
        α: Ratio "share of the sun taken up" [FACTOR],
        R_se: ThermalResistance "outer film" [Units::RESISTANCE],
        H_k: [Conductance] "heat loss coefficient" [Units::CONDUCTANCE],
        I_k: [HeatFlux] "sun and sky" [FLUX],
        h_r: ThermalTransmittance "radiation to the sky" [Units::TRANSMITTANCE],
        Δθ: TemperatureDifference "sky below air" [Units::new("K", 0, "Δ°F", 0)],
        F_k: [Ratio] "view of the sky" [FACTOR],
    }

    /// What sun and sky bring, mean of a month. Source: ISO 13790:2008, 11.2 (from memory, high).
    pub SunAndSky = "Φ_s = Σ S_j I_j + Φ_o" {
        Φ_s: Power "sun and sky" [POWER],
        S_j: [Area] "collecting area" [Units::AREA],
        I_j: [HeatFlux] "sun and sky" [FLUX],
        Φ_o: Power "through opaque parts" [POWER],
    }
}

/// Windows that look to one side from behind the same shade.
struct Glass {
    face: Face,
    screen: Screen,
    names: Vec<String>,
    gains: Vec<Ratio>,
    areas: Vec<Area>,
    collecting: Area,
}

/// Opaque parts that look to one side.
struct Wall {
    word: &'static str,
    plane: Plane,
    view: f64,
    loss: Conductance,
}

/// Glass of one opening.
pub(crate) struct Pane {
    /// The room it serves.
    pub space: Option<Id>,
    pub module: Id,
    pub plane: Plane,
    pub screen: Screen,
    /// Collecting area (m²).
    pub collecting: f64,
    /// Solar heat gain coefficient.
    pub gain: Ratio,
    /// Share of the sun that its blind lets through while it is drawn; the whole where there is none.
    pub blind: f64,
}

/// All that collects sun.
pub(crate) struct Collectors {
    pub panes: Vec<Pane>,
    glass: Vec<Glass>,
    walls: Vec<Wall>,
}

/// Where a face looks.
fn plane(face: Face) -> Option<Plane> {
    match face {
        Face::South => Some(Plane::wall(0.0)),
        Face::West => Some(Plane::wall(90.0)),
        Face::North => Some(Plane::wall(180.0)),
        Face::East => Some(Plane::wall(-90.0)),
        Face::Top => Some(Plane::LEVEL),
        Face::Bottom => None,
    }
}

/// Where a surface looks, in the take-off's words, and how much of the sky it sees; none below a floor.
pub(crate) fn side(word: &str) -> Option<(Plane, f64)> {
    Some(match word {
        "south" => (Plane::wall(0.0), 0.5),
        "west" => (Plane::wall(90.0), 0.5),
        "north" => (Plane::wall(180.0), 0.5),
        "east" => (Plane::wall(-90.0), 0.5),
        "up" => (Plane::LEVEL, 1.0),
        _ => return None,
    })
}

fn is_glazed(opening: &Opening) -> bool {
    matches!(opening.kind, OpeningKind::Window | OpeningKind::GlazedDoor | OpeningKind::Skylight)
}

impl Collectors {
    /// What the home's openings and surfaces say.
    pub(crate) fn of(request: &Request<'_>, surfaces: &[Surface<'_>]) -> Result<Collectors, Lack> {
        let (mut glass, mut panes): (Vec<Glass>, Vec<Pane>) = Default::default();
        for (id, opening) in request.home.openings.iter().filter(|(_, opening)| is_glazed(opening)) {
            let subject = Subject::element("openings", id);
            let outside = request.text(&subject, "takeoff.boundary");
            let Some(plane) = plane(opening.face).filter(|_| outside != Some("outside-envelope")) else { continue };
            let gain = opening.shgc.ok_or_else(|| Lack::at(format!("{subject} has no shgc"), subject.as_str()))?;
            let area = Area::from_si(known(request, &subject, "takeoff.area")?);
            let screen = Screen::of(opening);
            let collecting = ANGLE * gain.si() * area.si();
            let blind = opening.shade.as_ref().and_then(|shade| shade.blind).map_or(1.0, Ratio::si);
            let (space, module) = (opening.space.clone(), opening.module.clone());
            panes.push(Pane { space, module, plane, screen, collecting, gain, blind });
            let place = glass.iter().position(|one| one.face == opening.face && one.screen == screen);
            let group = match place.and_then(|place| glass.get_mut(place)) {
                Some(group) => group,
                None => {
                    let collecting = Area::default();
                    let (names, gains, areas) = Default::default();
                    glass.push(Glass { face: opening.face, screen, names, gains, areas, collecting });
                    let Some(group) = glass.last_mut() else { continue };
                    group
                }
            };
            group.names.push(subject.to_string());
            group.gains.push(gain);
            group.areas.push(area);
        }
        for group in &mut glass {
            group.collecting = group.worked().value();
        }
        let mut walls = Vec::new();
        for word in ["south", "west", "north", "east", "up"] {
            let Some((plane, view)) = side(word) else { continue };
            let mut sum = Conductance::default();
            for one in surfaces.iter().filter(|one| one.boundary == "outdoor" && one.orientation == word) {
                sum = sum + loss(request, one.subject)?;
            }
            if sum.si() > 0.0 {
                walls.push(Wall { word, plane, view, loss: sum });
            }
        }
        Ok(Collectors { panes, glass, walls })
    }

    /// What they bring in a month, counted from 0, and how that follows.
    pub(crate) fn month(&self, climate: &Climate, month: usize) -> (Power, Vec<Step>) {
        let global = climate.radiation.get(month).copied().unwrap_or_default();
        let day = MeanDay::of(month, climate.latitude, global);
        let on_glass: Vec<HeatFlux> = self
            .glass
            .iter()
            .map(|group| plane(group.face).map_or(HeatFlux::default(), |plane| day.on(plane, &group.screen)))
            .collect();
        let on_walls: Vec<HeatFlux> = self.walls.iter().map(|wall| day.on(wall.plane, &Screen::default())).collect();
        let mut level = Step::procedure("sun and sky on each plane, by the mean day of the month")
            .term(Term::new("G", "on the level", global, FLUX).given(climate.path(month, "radiation")))
            .term(Term::new("f", "of it, from the sky", Ratio::from_si(day.sky_share()), FACTOR))
            .term(
                Term::new("L", "latitude", climate.latitude, Units::new("°", 2, "°", 2)).given(climate.latitude_path()),
            );
        for (group, on) in self.glass.iter().zip(&on_glass) {
            level = level.term(Term::new("I", format!("on {}", group.names.join(", ")), *on, FLUX));
        }
        let losses: Vec<Conductance> = self.walls.iter().map(|wall| wall.loss).collect();
        let views: Vec<Ratio> = self.walls.iter().map(|wall| Ratio::from_si(wall.view)).collect();
        let opaque = Opaque {
            α: Ratio::from_si(COLOUR),
            R_se: ThermalResistance::from_si(FILM),
            H_k: &losses,
            I_k: &on_walls,
            h_r: ThermalTransmittance::from_si(GLOW),
            Δθ: TemperatureDifference::from_si(SKY),
            F_k: &views,
        };
        let standard = "ISO 13790:2008, 11.3 (from memory, high)";
        let (through, opaque) = opaque.step();
        let mut opaque = opaque.published(Opaque::α, "medium colour of ISO 13790:2008 (from memory, high)");
        for symbol in [Opaque::R_se, Opaque::h_r, Opaque::Δθ] {
            opaque = opaque.published(symbol, standard);
        }
        for symbol in [Opaque::H_k, Opaque::I_k, Opaque::F_k] {
            opaque = opaque
                .each(symbol, &self.walls, |term, wall| Term { meaning: format!("looking {}", wall.word), ..term });
        }
        let collecting: Vec<Area> = self.glass.iter().map(|group| group.collecting).collect();
        let (all, step) = SunAndSky { S_j: &collecting, I_j: &on_glass, Φ_o: through }.step();
        let named = |term, group: &Glass| Term { meaning: group.names.join(", "), ..term };
        let step = step.each(SunAndSky::S_j, &self.glass, named).each(SunAndSky::I_j, &self.glass, named);
        (all, vec![level, opaque, step])
    }

    /// What opaque parts take in less what they send to the sky (W), where each plane gets so much sun (W/m²).
    pub(crate) fn opaque_gain(&self, on: impl Fn(Plane) -> f64) -> f64 {
        let of = |wall: &Wall| wall.loss.si() * FILM * (COLOUR * on(wall.plane) - GLOW * SKY * wall.view);
        self.walls.iter().map(of).sum()
    }

    /// How the collecting areas follow.
    pub(crate) fn basis(&self) -> Basis {
        let mut basis = Basis::new("sun through glass and onto walls, by months", "ISO 13790:2008, 11.3")
            .provenance("from memory, high")
            .assuming("the sky is equally bright all over, and the ground reflects a fifth: no snow")
            .assuming("no blind or curtain is drawn, and no shade counts but what openings give under shade")
            .assuming("sunlit walls are of medium colour; opaque doors gain nothing");
        for group in &self.glass {
            let named = |term, name: &String| Term { meaning: name.clone(), ..term };
            let step = group.worked().step().1;
            basis = basis.step(
                step.each(Collecting::g_j, &group.names, |term, name| named(term, name).given(format!("{name}.shgc")))
                    .each(Collecting::A_j, &group.names, |term, name| {
                        named(term, name).fact(&Subject::from(name.as_str()), "takeoff.area")
                    })
                    .published(Collecting::F_w, "ISO 13790:2008, 11.4.2 (from memory, high)"),
            );
        }
        basis
    }
}

impl Glass {
    fn worked(&self) -> Collecting<'_> {
        Collecting { F_w: Ratio::from_si(ANGLE), g_j: &self.gains, A_j: &self.areas }
    }
}
