//! Loads along the bearing lines, and the width of footing that spreads them.
//!
//! Boxes span between their long sides; ends carry nothing. Loads are rough sums for planning, never a design.

use crate::facts;
use crate::lack;
use crate::plan::{self, BearingLine};
use crate::sizes::Sizes;
use crate::soil;
use crate::statics::{AreaLoad, Borne, GRAVITY, Loading, Pressures, borne};
use crate::terms::{PRELIMINARY, line, load, own, practice, sum};
use mateline_boxes::Boxes;
use mateline_boxes::coordinate::metres;
use mateline_boxes::placed::Placed;
use mateline_equation::equation;
use mateline_model::home::{Home, Id};
use mateline_model::quantity::{Area, Force, Length, LineLoad, Mass, Pressure, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

/// One psf (Pa).
const PSF: f64 = 47.880_258_98;
/// Live load on floors of the lowest boxes, and of those above: 40 and 30 psf.
///
/// Source: IRC 2021, Table R301.5, rooms other than sleeping rooms, and sleeping rooms (from memory).
const LIVE: (f64, f64) = (40.0 * PSF, 30.0 * PSF);
const LIVE_SOURCE: &str = "IRC 2021, Table R301.5 (from memory)";
/// Weight of reinforced concrete: 150 lb/ft³ (N/m³).
///
/// Source: usual value (from memory).
pub const CONCRETE_WEIGHT: f64 = 150.0 * PSF / 0.3048;
/// Where that weight comes from.
pub const CONCRETE_SOURCE: &str = "reinforced concrete, 150 lb/ft³ (from memory)";

equation! {
    /// Load of a box on which no other stands. Source: addition.
    pub OwnLoad = "P = W g + F" {
        P: Force "load of the box" [facts::FORCE],
        W: Mass "weight of the box" [Units::MASS],
        g: "m/s²" "standard gravity" [facts::ACCELERATION],
        F: Force "snow and live loads" [facts::FORCE],
    }

    /// Load of a box on which others stand. Source: addition.
    pub StackLoad = "P = W g + F + R" {
        P: Force "load of the box with all that stands on it" [facts::FORCE],
        W: Mass "weight of the box" [Units::MASS],
        g: "m/s²" "standard gravity" [facts::ACCELERATION],
        F: Force "snow and live loads" [facts::FORCE],
        R: Force "from the boxes that stand on it" [facts::FORCE],
    }

    /// What one box bears of another that stands on it. Source: statics of a rigid body.
    pub FromAbove = "R = s P" {
        R: Force "from a box above" [facts::FORCE],
        s: f64 "share that this box bears" [Units::PERCENT],
        P: Force "load of the box above" [facts::FORCE],
    }

    /// Load along each of the two long sides of a box, half on each.
    ///
    /// Source: equilibrium of a floor that spans from side to side. Valid for boxes that span across.
    pub BoxLoad = "q = P/(2 L)" {
        q: LineLoad "load along each long side" [facts::LINE],
        P: Force "load of the box with all that stands on it" [facts::FORCE],
        L: Length "length of a long side" [Units::LENGTH],
    }

    /// Load along one of the two long sides of a box, towards which what it bears may lie.
    ///
    /// Source: lever rule. Valid for boxes that span across.
    pub SideLoad = "q = P/(2 L) (1 + 2 e/b)" {
        q: LineLoad "load along the long side" [facts::LINE],
        P: Force "load of the box with all that stands on it" [facts::FORCE],
        L: Length "length of a long side" [Units::LENGTH],
        e: Length "how far the load lies from the middle towards that side" [Units::LENGTH],
        b: Length "distance between the long sides" [Units::LENGTH],
    }

    /// Weight of a wall. Source: weight per volume times section.
    pub WallWeight = "q_w = γ h_w t" {
        q_w: LineLoad "weight of the wall" [facts::LINE],
        γ: "N/m³" "weight of concrete" [facts::WEIGHT],
        h_w: Length "height of the wall" [Units::LENGTH],
        t: Length "concrete wall" [Units::LENGTH],
    }

    /// Width of a strip footing that spreads a line load.
    ///
    /// Source: vertical equilibrium with even pressure. Valid for a load in the middle of the footing.
    pub FootingWidth = "B = (q + q_w)/(q_a − γ t_f)" {
        B: Length "width of footing" [Units::THICKNESS],
        q: LineLoad "load from above" [facts::LINE],
        q_w: LineLoad "weight of the wall" [facts::LINE],
        q_a: Pressure "bearing value of the soil" [Units::LOAD],
        γ: "N/m³" "weight of concrete" [facts::WEIGHT],
        t_f: Length "thickness of the footing" [Units::LENGTH],
    }

    /// Side of a square pad that spreads a point load. Source: as for a strip footing.
    pub PadSide = "a = √(q s/(q_a − γ t_p))" {
        a: Length "side of a pad" [Units::LENGTH],
        q: LineLoad "load along the line" [facts::LINE],
        s: Length "distance between them" [Units::LENGTH],
        q_a: Pressure "bearing value of the soil" [Units::LOAD],
        γ: "N/m³" "weight of concrete" [facts::WEIGHT],
        t_p: Length "thickness of a pad" [Units::LENGTH],
    }
}

/// A strip footing; `None` where its own weight uses the bearing value up.
pub fn footing_width(load: LineLoad, wall: LineLoad, bearing: Pressure, thickness: Length) -> Option<FootingWidth> {
    carries(bearing, thickness).then_some(FootingWidth {
        q: load,
        q_w: wall,
        q_a: bearing,
        γ: CONCRETE_WEIGHT,
        t_f: thickness,
    })
}

/// A pad under each of the points at a distance along a line; `None` as for [`footing_width`].
pub fn pad_side(load: LineLoad, spacing: Length, bearing: Pressure, thickness: Length) -> Option<PadSide> {
    let bears = carries(bearing, thickness) && load.si() >= 0.0;
    bears.then_some(PadSide { q: load, s: spacing, q_a: bearing, γ: CONCRETE_WEIGHT, t_p: thickness })
}

fn carries(bearing: Pressure, thickness: Length) -> bool {
    bearing.si() - CONCRETE_WEIGHT * thickness.si() > 0.0
}

/// Loads along the bearing lines.
#[derive(Clone, Debug, PartialEq)]
pub struct Loads {
    /// Greatest along a side (N/m), where there is one.
    pub side: Option<f64>,
    /// Greatest along a mate line (N/m), where there is one.
    pub mate: Option<f64>,
}

/// The loads of every box, of the sides of the lowest, and the greatest along side and mate lines.
pub fn report(request: &Request<'_>, boxes: &Boxes, lines: &[BearingLine], findings: &mut Findings) -> Option<Loads> {
    let pressures = pressures(request.home);
    let borne = match &pressures {
        Ok(pressures) => borne(request, boxes, *pressures),
        Err(lack) => vec![Err(lack.clone()); boxes.placed.len()],
    };
    let mut found: Vec<(&Id, [f64; 2])> = Vec::new();
    let mut lacking = None;
    for (one, borne) in boxes.placed.iter().zip(&borne) {
        let subject = Subject::element("modules", &one.id);
        match borne {
            Ok(borne) => {
                let basis = borne_basis(request.home, boxes, one, borne);
                findings.fact(&subject, &facts::LOAD_DOWN, Force::from_si(borne.total.force), basis);
            }
            Err(lack) => lack.write(&subject, &[&facts::LOAD_DOWN], findings),
        }
        let owed = [&facts::BOX_LINE_LOAD, &facts::LINE_LOAD_LOW, &facts::LINE_LOAD_HIGH];
        if one.level > 1 {
            let lack = Lack::new(format!("{subject} stands on other boxes, and its load is in theirs"));
            lack.write(&subject, &owed, findings);
            continue;
        }
        let sides = borne.as_ref().map_err(Clone::clone).and_then(|borne| sides(one, borne, &subject));
        match sides {
            Ok(sides) => {
                let values = [&sides[1], &sides[2]].map(|(value, _)| value.si());
                for (definition, (value, basis)) in owed.into_iter().zip(sides) {
                    findings.fact(&subject, definition, value, basis);
                }
                found.push((&one.id, values));
            }
            Err(lack) => {
                lack.write(&subject, &owed, findings);
                lacking.get_or_insert(lack);
            }
        }
    }
    let home = Subject::home();
    if let Some(lack) = lacking {
        lack.write(&home, &[&facts::LINE_LOAD_SIDE, &facts::LINE_LOAD_MATE], findings);
        return None;
    }
    let of = |id: &Id, high: bool| {
        found.iter().find(|(other, _)| *other == id).map_or(0.0, |(_, values)| values[usize::from(high)])
    };
    let overhang = eaves(request.home);
    let greatest = |mate: bool| {
        let loads = lines.iter().filter(|line| line.mate == mate).map(|line| {
            let from_boxes: f64 = line.bearing.iter().zip(&line.high).map(|(id, high)| of(id, *high)).sum();
            (line, from_boxes + if mate { 0.0 } else { overhang.0 })
        });
        loads.fold(None, |best: Option<(&BearingLine, f64)>, next| match best {
            Some(best) if best.1 >= next.1 => Some(best),
            _ => Some(next),
        })
    };
    let mut write = |definition: &QuantityDef, found_line: Option<(&BearingLine, f64)>, mate: bool| {
        let Some((at, value)) = found_line else {
            let what = if mate { "no boxes bear along a mate line" } else { "no box has a free long side" };
            Lack::at(what, "modules").write(&home, &[definition], findings);
            return;
        };
        let mut terms: Vec<Term> = at
            .bearing
            .iter()
            .zip(&at.high)
            .map(|(id, high)| {
                let term = line("q", format!("from {id}"), of(id, *high));
                let definition = if *high { &facts::LINE_LOAD_HIGH } else { &facts::LINE_LOAD_LOW };
                own(term, &Subject::element("modules", id), definition)
            })
            .collect();
        if !mate {
            terms.extend(overhang.1.clone());
        }
        let what = if mate { "load along mate line" } else { "load along the side of" };
        let step = sum(line("q", format!("{what} {}", at.name()), value), terms);
        let basis = practice("greatest sum of what bears on one line").step(step).assuming(PRELIMINARY);
        let path = at.bearing.first().map_or_else(|| "modules".to_owned(), |id| format!("modules.{id}"));
        findings.fact_at(&home, definition, LineLoad::from_si(value), basis, Pointer::new(path));
    };
    let (side, mate) = (greatest(false), greatest(true));
    write(&facts::LINE_LOAD_SIDE, side, false);
    write(&facts::LINE_LOAD_MATE, mate, true);
    Some(Loads { side: side.map(|found| found.1), mate: mate.map(|found| found.1) })
}

/// Snow on the eaves beyond the outer sides (N/m).
fn eaves(home: &Home) -> (f64, Option<Term>) {
    let (Some(snow), Some(overhang)) = (home.site.ground_snow, home.roof.overhang) else { return (0.0, None) };
    let value = snow.si() * overhang.si();
    (value, Some(line("q", "snow on the eaves: ground snow times overhang", value).given("roof.overhang")))
}

/// Snow and live loads per area.
fn pressures(home: &Home) -> Result<Pressures, Lack> {
    let snow = home.site.ground_snow.ok_or_else(|| lack::site("ground_snow"))?.si();
    let given = home.foundation.as_ref().and_then(|foundation| foundation.live_load).map(|live| live.si());
    Ok(Pressures { snow, live: given.unwrap_or(LIVE.0), live_above: given.unwrap_or(LIVE.1) })
}

/// How the load of a box comes about.
fn borne_basis(home: &Home, boxes: &Boxes, one: &Placed, borne: &Borne) -> Basis {
    let given = home.foundation.as_ref().and_then(|foundation| foundation.live_load).is_some();
    let term = |load: &AreaLoad| {
        let area = Units::AREA.show(Area::from_si(load.area).into(), home.units);
        match load.of {
            Loading::Snow => force(format!("snow on {area}"), load.force).given("site.ground_snow"),
            Loading::Live if given => force(format!("live load on {area}"), load.force).given("foundation.live_load"),
            Loading::Live => force(format!("live load on {area}"), load.force).published(LIVE_SOURCE),
        }
    };
    let areas: f64 = borne.areas.iter().map(|load| load.force).sum();
    let mut basis = practice("weight, snow and live load of the box and of what stands on it")
        .step(sum(force("snow and live loads".to_owned(), areas), borne.areas.iter().map(term).collect()));
    let (weight, areas) = (Mass::from_si(borne.weight), Force::from_si(areas));
    let subject = Subject::element("modules", &one.id);
    let mut from_above = Vec::new();
    for (upper, share, part) in &borne.above {
        let Some(upper) = boxes.placed.get(*upper) else { continue };
        let whole = Force::from_si(if *share > 0.0 { part / share } else { 0.0 });
        let step = FromAbove { s: *share, P: whole }.step().1;
        let step = step.fact(FromAbove::P, &Subject::element("modules", &upper.id), facts::LOAD_DOWN.name.clone());
        basis = basis.step(step.meaning(FromAbove::R, format!("from {}", upper.id)));
        from_above.push(Term::new("R", format!("from {}", upper.id), Force::from_si(*part), facts::FORCE));
    }
    if from_above.is_empty() {
        let step = OwnLoad { W: weight, g: GRAVITY, F: areas }.step().1;
        basis = basis.step(step.fact(OwnLoad::W, &subject, "takeoff.weight"));
    } else {
        let above: f64 = borne.above.iter().map(|(.., part)| part).sum();
        let step = StackLoad { W: weight, g: GRAVITY, F: areas, R: Force::from_si(above) }.step().1;
        basis = basis
            .step(sum(
                Term::new("R", "from the boxes that stand on it", Force::from_si(above), facts::FORCE),
                from_above,
            ))
            .step(step.fact(StackLoad::W, &subject, "takeoff.weight"))
            .assuming("a box stands stiffly on the corners of the areas in which it touches the boxes below");
    }
    let basis = basis
        .assuming(PRELIMINARY)
        .assuming("snow on the roof equals the ground snow, and each box carries the roof above it")
        .assuming(
            "roof trusses, rafters and covering above the boxes count only where an assembly of the boxes holds them",
        )
        .assuming("partitions, equipment, wind, uplift and earthquake are not counted");
    if given {
        return basis;
    }
    basis.assuming(
        "live load 40 psf on the lowest floors and 30 psf on those above (IRC 2021, Table R301.5, from memory)",
    )
}

/// Loads along the long sides of a lowest box: half on each, then along its lower and its higher side by the lever rule.
fn sides(one: &Placed, borne: &Borne, subject: &Subject) -> Result<[(LineLoad, Basis); 3], Lack> {
    let across = usize::from(one.runs_east());
    let span = one.spans[across];
    let (run, width) = (Length::from_si(plan::length(one)), Length::from_si(metres(span.length())));
    let offset = borne.total.at[across] - (metres(span.lo) + metres(span.hi)) / 2.0;
    // Where the load lies in the middle, no hair of rounding is a difference.
    let offset = if offset.abs() < 1e-9 { 0.0 } else { offset };
    let whole = Force::from_si(borne.total.force);
    let evenly = "what stands on a box is evened out along its sides";
    let spans = "the box bears along its two long sides; its ends carry nothing";
    let (mean, step) = BoxLoad { P: whole, L: run }.step();
    let size = format!("{}.size", subject.as_str());
    let step = step.fact(BoxLoad::P, subject, facts::LOAD_DOWN.name.clone()).given(BoxLoad::L, size.clone());
    let basis = practice("floor that spans from side to side").step(step);
    let basis = basis.assuming(PRELIMINARY).assuming("half on each side").assuming(spans).assuming(evenly);
    let side = |towards: f64| {
        let load = SideLoad { P: whole, L: run, e: Length::from_si(towards), b: width };
        let (value, step) = load.step();
        let step = step.fact(SideLoad::P, subject, facts::LOAD_DOWN.name.clone());
        let step = step.given(SideLoad::L, size.clone()).given(SideLoad::b, size.clone());
        let basis = practice("floor that spans from side to side").step(step);
        (value, basis.assuming(PRELIMINARY).assuming(spans).assuming(evenly))
    };
    if mean.si().is_finite() && width.si() > 0.0 {
        Ok([(mean, basis), side(-offset), side(offset)])
    } else {
        Err(Lack::at(format!("{} has no length", one.id), subject.as_str()))
    }
}

fn force(meaning: String, newtons: f64) -> Term {
    Term::new("F", meaning, Force::from_si(newtons), facts::FORCE)
}

/// The bearing value of the soil, given or presumptive (Pa).
pub fn soil_bearing(home: &Home) -> Result<(f64, Term), Lack> {
    if let Some(value) = home.site.soil_bearing {
        return Ok((value.si(), load("q_a", "bearing value of the soil", value.si()).given("site.soil_bearing")));
    }
    let soil = home.site.soil.ok_or_else(|| Lack::at("the site has neither soil_bearing nor soil", "site"))?;
    let row = soil::row(soil).ok_or_else(|| lack::site("soil"))?;
    let value = row.bearing.value.si();
    let meaning = format!("presumptive bearing value of {}", row.name);
    Ok((value, load("q_a", meaning, value).published(row.bearing.origin())))
}

/// The soil's bearing value, and the footing it asks for below the heaviest side wall.
pub fn report_footing(home: &Home, sizes: &Result<Sizes, Lack>, loads: Option<&Loads>, findings: &mut Findings) {
    let subject = Subject::home();
    let bearing = match soil_bearing(home) {
        Ok((value, term)) => {
            let origin = matches!(term.origin, mateline_model::Origin::Given(_));
            let basis = crate::terms::given(term.clone()).assuming(PRELIMINARY);
            let basis = if origin {
                basis
            } else {
                Basis {
                    method: "presumptive value by soil class".into(),
                    source: "IRC 2021, Table R401.4.1".into(),
                    ..basis
                }
                .provenance("from memory")
                .assuming("a soil report decides")
            };
            findings.fact(&subject, &facts::SOIL_BEARING, Pressure::from_si(value), basis);
            Ok(term)
        }
        Err(lack) => {
            lack.write(&subject, &[&facts::SOIL_BEARING], findings);
            Err(lack)
        }
    };
    let width = bearing.and_then(|bearing| needed_width(sizes, loads, bearing));
    match width {
        Ok((value, basis)) => {
            findings.fact_at(&subject, &facts::FOOTING_WIDTH_NEEDED, value, basis, Pointer::new("foundation.footing"));
        }
        Err(lack) => lack.write(&subject, &[&facts::FOOTING_WIDTH_NEEDED], findings),
    }
}

fn needed_width(sizes: &Result<Sizes, Lack>, loads: Option<&Loads>, bearing: Term) -> Result<(Length, Basis), Lack> {
    let sizes = sizes.as_ref().map_err(Clone::clone)?;
    if !sizes.has_walls() {
        return Err(Lack::at("piers stand on pads, not on a wall footing", "foundation.kind"));
    }
    let side = loads.and_then(|loads| loads.side);
    let side = side.ok_or_else(|| Lack::at("the load along the side walls is not known", "modules"))?;
    let bearing_value = bearing.value.number().map_or(0.0, |quantity| quantity.si);
    let (height, thickness) = (Length::from_si(sizes.wall_height()), sizes.footing_thickness.length());
    let (wall, weight) = WallWeight { γ: CONCRETE_WEIGHT, h_w: height, t: sizes.wall.length() }.step();
    let footing = footing_width(LineLoad::from_si(side), wall, Pressure::from_si(bearing_value), thickness)
        .ok_or_else(|| {
            Lack::at("the footing's own weight uses up the bearing value of the soil", "foundation.footing.thickness")
        })?;
    let (width, step) = footing.step();
    let basis = practice("vertical equilibrium of a strip footing")
        .step(weight.published(WallWeight::γ, CONCRETE_SOURCE).with(sizes.wall.term()))
        .step(
            step.meaning(FootingWidth::q, "load along the side wall")
                .fact(FootingWidth::q, &Subject::home(), facts::LINE_LOAD_SIDE.name.clone())
                .published(FootingWidth::γ, CONCRETE_SOURCE)
                .with(bearing)
                .with(sizes.footing_thickness.term()),
        )
        .assuming(PRELIMINARY)
        .assuming("pressure is even below the footing; earth on its projections is not counted");
    Ok((width, basis))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]

    use super::*;

    fn load(value: f64) -> LineLoad {
        LineLoad::from_si(value)
    }

    fn pressure(value: f64) -> Pressure {
        Pressure::from_si(value)
    }

    /// One psf and one plf by their definitions: a 14 ft box of 44 ft, 30,000 lb, 50 psf snow and 40 psf live:
    /// 30000/88 + 90·14/2 = 340.9 + 630 = 970.9 plf (by hand).
    #[test]
    fn a_box_by_hand() {
        let (pound, foot) = (0.453_592_37 * GRAVITY, 0.3048);
        let area = 44.0 * 14.0 * foot * foot;
        let (weight, loads) = (Mass::from_si(30_000.0 * pound / GRAVITY), Force::from_si(90.0 * PSF * area));
        let load = OwnLoad { W: weight, g: GRAVITY, F: loads }.value();
        let q = BoxLoad { P: load, L: Length::from_si(44.0 * foot) }.value().si();
        assert!((q / (pound / foot) - (30_000.0 / 88.0 + 630.0)).abs() < 1e-6);
    }

    /// 1,500 plf with a wall of 8 in by 9 ft, footing 10 in thick, 2,000 psf:
    /// (1500 + 900)/(2000 - 125) = 1.28 ft (by hand).
    #[test]
    fn a_footing_by_hand() {
        let (pound, foot) = (0.453_592_37 * GRAVITY, 0.3048);
        let plf = pound / foot;
        let feet = |feet: f64| Length::from_si(feet * foot);
        let wall = WallWeight { γ: CONCRETE_WEIGHT, h_w: feet(9.0), t: feet(8.0 / 12.0) }.value();
        assert!((wall.si() / plf - 900.0).abs() < 1e-6);
        let width = footing_width(load(1500.0 * plf), wall, pressure(2000.0 * PSF), feet(10.0 / 12.0)).unwrap();
        assert!((width.value().si() / foot - 1.28).abs() < 1e-9);
        assert!(footing_width(load(1.0), load(1.0), pressure(100.0 * PSF), feet(1.0)).is_none());
    }

    /// Twice the load, twice the width; a pad's side grows with the root.
    #[test]
    fn scaling() {
        let thick = Length::from_si(0.2);
        let width = |q| footing_width(load(q), load(0.0), pressure(1e5), thick).unwrap().value().si();
        assert!((width(2e4) - 2.0 * width(1e4)).abs() < 1e-12);
        let side = |q| pad_side(load(q), Length::from_si(1.0), pressure(1e5), thick).unwrap().value().si();
        assert!((side(4e4) - 2.0 * side(1e4)).abs() < 1e-12);
    }
}
