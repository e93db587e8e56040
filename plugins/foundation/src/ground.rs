//! The ground that is dug: its sides, its topsoil, how it grows when dug and shrinks when compacted.

use crate::lack;
use crate::sizes::{INCH, STATED, Size, earthwork};
use crate::soil::{self, SUBMERGED_RUN, SoilRow};
use crate::terms::{plain, share};
use mateline_model::Term;
use mateline_model::home::{Home, Soil};
use mateline_model::quantity::Volume;
use mateline_sdk::Lack;

/// Room to work outside the wall (m): 2 ft.
const WORKING_SPACE: f64 = 24.0 * INCH;
/// Room for forms on each side of a footing (m): 12 in.
pub const FORM_ROOM: f64 = 12.0 * INCH;
/// Topsoil (m): 6 in.
const TOPSOIL: f64 = 6.0 * INCH;
/// What a truck carries, loose (m³): 12 yd³.
const TRUCK: f64 = 12.0 * 0.764_554_857_984;
/// Sides deeper than this are designed by an engineer (m): 20 ft. A limit of the method, not a judgement.
///
/// Source: 29 CFR 1926 Subpart P, 1926.652 (from memory).
pub const DEEPEST: f64 = 240.0 * INCH;

/// The ground of a site, each value with its origin.
#[derive(Clone, Debug, PartialEq)]
pub struct Ground {
    /// Run of the sides for 1 of rise, or why that is not known.
    pub run: Result<(f64, Term), Lack>,
    /// Growth when dug.
    pub swell: Result<(f64, Term), Lack>,
    /// Volume after compaction over that in the ground.
    pub compacted: Result<(f64, Term), Lack>,
    /// Growth of the topsoil when dug.
    pub topsoil_swell: (f64, Term),
    /// Thickness of the topsoil.
    pub topsoil: Size,
    /// Room to work outside the wall.
    pub working_space: Size,
    /// What a truck carries, loose.
    pub truck: (f64, Term),
    /// What is assumed of the sides.
    pub sides: &'static str,
}

impl Ground {
    /// The ground of a home's site, for a hole of some depth (m).
    pub fn of(home: &Home, deepest: f64) -> Ground {
        let work = earthwork(home);
        let row = home.site.soil.and_then(soil::row);
        let known = || row.ok_or_else(|| lack::site("soil"));
        let wet = home.site.water_table.is_some_and(|table| table.si() < deepest) && home.site.soil != Some(Soil::Rock);
        let (run, sides) = if work.shored {
            let term = plain("r", "run of upright sides", 0.0, 2).given("foundation.earthwork.shored");
            (Ok((0.0, term)), "the sides are held upright by shoring")
        } else if let Some(slope) = work.sides {
            let run = if slope.ratio > 0.0 { Ok(1.0 / slope.ratio) } else { Err(flat()) };
            let term = |run: f64| plain("r", "run for 1 of rise", run, 2).given("foundation.earthwork.sides");
            (run.map(|run| (run, term(run))), "the sides slope as the home says")
        } else if wet {
            let term = plain("r", "run for 1 of rise, below the water table", SUBMERGED_RUN, 2)
                .published("29 CFR 1926 Subpart P, App. B, class C (from memory)");
            (Ok((SUBMERGED_RUN, term)), "the hole reaches below the water table, so that the flattest class applies")
        } else {
            let found = known().map(|row| (row.run.value.si(), run_term(row)));
            (found, "the soil class at the sides is that of the soil's name; a competent person decides on site")
        };
        let ratio = |symbol, meaning: &str, given: Option<f64>, field: &str, of: fn(&SoilRow) -> (f64, String)| {
            if let Some(value) = given {
                return Ok((value, share(symbol, meaning, value).given(format!("foundation.earthwork.{field}"))));
            }
            let (value, origin) = of(known()?);
            Ok((value, share(symbol, meaning, value).published(origin)))
        };
        let swell = ratio("s", "swell", work.swell.map(|ratio| ratio.si()), "swell", |row| {
            (row.swell.value.si(), row.swell.origin())
        });
        let compacted = work.compacted.map(|ratio| ratio.si()).filter(|ratio| *ratio > 0.0);
        let compacted = ratio("c", "compacted volume over that in the ground", compacted, "compacted", |row| {
            (row.compacted.value.si(), row.compacted.origin())
        });
        let earth = soil::row(Soil::Loam);
        let growth = earth.map_or(0.25, |row| row.swell.value.si());
        let origin = earth.map(|row| row.swell.origin()).unwrap_or_default();
        let truck = work.truck.map(|truck| truck.si()).filter(|truck| *truck > 0.0);
        Ground {
            run,
            swell,
            compacted,
            topsoil_swell: (growth, share("s_t", "swell of topsoil, as common earth", growth).published(origin)),
            topsoil: Size::or_stated("τ", "topsoil", work.topsoil, "foundation.earthwork.topsoil", TOPSOIL),
            working_space: Size::or_stated(
                "w",
                "room to work outside the wall",
                work.working_space,
                "foundation.earthwork.working_space",
                WORKING_SPACE,
            ),
            truck: truck.map_or_else(
                || (TRUCK, truck_term(TRUCK).published(STATED)),
                |truck| (truck, truck_term(truck).given("foundation.earthwork.truck")),
            ),
            sides,
        }
    }

    /// Run as a number, where it is known.
    pub fn run_of(&self) -> Result<f64, Lack> {
        self.run.as_ref().map(|run| run.0).map_err(Clone::clone)
    }
}

fn flat() -> Lack {
    Lack::at("sides of no slope run on for ever", "foundation.earthwork.sides")
}

fn run_term(row: &SoilRow) -> Term {
    plain("r", format!("run for 1 of rise, {}", row.name), row.run.value.si(), 2).published(row.run.origin())
}

fn truck_term(truck: f64) -> Term {
    Term::new("V_t", "what a truck carries, loose", Volume::from_si(truck), crate::facts::EARTH)
}
