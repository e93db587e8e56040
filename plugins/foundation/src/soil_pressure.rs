//! Pressure on the soil below what is drawn, and the pads that would do.

use crate::bearing::{CONCRETE_SOURCE, CONCRETE_WEIGHT, Loads, WallWeight};
use crate::facts;
use crate::site_plan::{Pads, SPACING};
use crate::sizes::{STATED, Sizes};
use crate::terms::line as line_term;
use crate::terms::{PRELIMINARY, own, practice};
use mateline_equation::equation;
use mateline_model::home::FoundationKind;
use mateline_model::quantity::{Length, LineLoad, Pressure, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack};

equation! {
    /// Pressure on the soil under a wall on its strip footing. Source: vertical equilibrium with even pressure.
    pub(crate) WallPressure = "p = (q + q_w)/w_f + γ t_f" {
        p: Pressure "pressure on the soil" [Units::LOAD],
        q: LineLoad "load along the wall" [facts::LINE],
        q_w: LineLoad "weight of the wall" [facts::LINE],
        w_f: Length "width of the footing" [Units::LENGTH],
        γ: "N/m³" "weight of concrete" [facts::WEIGHT],
        t_f: Length "thickness of the footing" [Units::LENGTH],
    }

    /// Pressure on the soil under a strip below a slab. Source: vertical equilibrium with even pressure.
    pub(crate) StripPressure = "p = q/w_f + γ t_f" {
        p: Pressure "pressure on the soil" [Units::LOAD],
        q: LineLoad "load along the line" [facts::LINE],
        w_f: Length "width of the footing" [Units::LENGTH],
        γ: "N/m³" "weight of concrete" [facts::WEIGHT],
        t_f: Length "thickness of the footing" [Units::LENGTH],
    }

    /// Pressure on the soil under a square pad. Source: vertical equilibrium with even pressure.
    pub(crate) PadPressure = "p = q s/a² + γ t_p" {
        p: Pressure "pressure on the soil" [Units::LOAD],
        q: LineLoad "load along the line" [facts::LINE],
        s: Length "distance between the pads" [Units::LENGTH],
        a: Length "side of a pad" [Units::LENGTH],
        γ: "N/m³" "weight of concrete" [facts::WEIGHT],
        t_p: Length "thickness of a pad" [Units::LENGTH],
    }
}

/// What each pressure is of.
const ALL: [&QuantityDef; 4] = [&facts::PRESSURE_WALL, &facts::PRESSURE_PADS, &facts::PRESSURE_MATE, &facts::PRESSURE];

/// Pressures under what is drawn of the foundation itself, and the side of the pads that it needs.
pub fn report(
    sizes: &Result<Sizes, Lack>,
    pads: &Result<Vec<Pads>, Lack>,
    loads: Option<&Loads>,
    findings: &mut Findings,
) {
    let subject = Subject::home();
    let sizes = match sizes {
        Ok(sizes) => sizes,
        Err(lack) => {
            lack.write(&subject, &ALL, findings);
            return lack.write(&subject, &[&facts::PAD_SIDE, &facts::PAD_SIDE_NEEDED], findings);
        }
    };
    let (wall, pads_found, mate) = (wall(sizes, loads), under_pads(sizes, loads), mate(sizes, loads));
    let own = if sizes.has_walls() { wall.clone() } else { pads_found.clone() };
    let greatest = own.map(|own| match &mate {
        Ok(mate) if mate.0 > own.0 => mate.clone(),
        _ => own,
    });
    let found = [wall, pads_found, mate, greatest];
    for (definition, found) in ALL.into_iter().zip(found) {
        match found {
            Ok((value, step)) => {
                let basis = practice("vertical equilibrium with even pressure").step(step).assuming(PRELIMINARY);
                let basis = basis.assuming("piers, posts and earth on the footing are not counted");
                findings.fact_at(&subject, definition, value, basis, Pointer::new("foundation.footing"));
            }
            Err(lack) => lack.write(&subject, &[definition], findings),
        }
    }
    sides(sizes, pads, findings);
}

fn load_of(loads: Option<&Loads>, mate: bool) -> Result<(LineLoad, Term), Lack> {
    let (what, quantity) = if mate {
        ("greatest load along a mate line", &facts::LINE_LOAD_MATE)
    } else {
        ("greatest load along a side", &facts::LINE_LOAD_SIDE)
    };
    let load = loads.and_then(|loads| if mate { loads.mate } else { loads.side });
    let lack =
        if mate { "the load along the mate lines is not known" } else { "the load along the sides is not known" };
    let load = load.ok_or_else(|| Lack::at(lack, "modules"))?;
    Ok((LineLoad::from_si(load), own(line_term("q", what, load), &Subject::home(), quantity)))
}

fn wall(sizes: &Sizes, loads: Option<&Loads>) -> Result<(Pressure, Step), Lack> {
    if !sizes.has_walls() {
        return Err(Lack::at("piers stand on pads, not on a wall footing", "foundation.kind"));
    }
    let (load, term) = load_of(loads, false)?;
    let height = Length::from_si(sizes.wall_height());
    let weight = WallWeight { γ: CONCRETE_WEIGHT, h_w: height, t: sizes.wall.length() }.value();
    let (width, thickness) = (sizes.footing_width.length(), sizes.footing_thickness.length());
    let (pressure, step) = WallPressure { q: load, q_w: weight, w_f: width, γ: CONCRETE_WEIGHT, t_f: thickness }.step();
    let step = step.with(term).with(sizes.footing_width.term()).with(sizes.footing_thickness.term());
    Ok((pressure, step.published(WallPressure::γ, CONCRETE_SOURCE)))
}

/// Under the pads of piers along a side or a mate line, whichever is loaded more.
fn under_pads(sizes: &Sizes, loads: Option<&Loads>) -> Result<(Pressure, Step), Lack> {
    if sizes.has_walls() {
        return Err(Lack::at("walls stand on a footing, not on pads", "foundation.kind"));
    }
    let known = loads.ok_or_else(|| Lack::at("the loads along the bearing lines are not known", "modules"))?;
    pad(sizes, loads, known.mate.unwrap_or(0.0) > known.side.unwrap_or(0.0))
}

fn pad(sizes: &Sizes, loads: Option<&Loads>, mate: bool) -> Result<(Pressure, Step), Lack> {
    let (load, term) = load_of(loads, mate)?;
    let (side, thickness) = (sizes.footing_width.length(), sizes.footing_thickness.length());
    let pad = PadPressure { q: load, s: Length::from_si(SPACING), a: side, γ: CONCRETE_WEIGHT, t_p: thickness };
    let (pressure, step) = pad.step();
    let step = step.with(term).published(PadPressure::s, STATED).published(PadPressure::γ, CONCRETE_SOURCE);
    let step = step.from(PadPressure::a, sizes.footing_width.origin.clone());
    Ok((pressure, step.from(PadPressure::t_p, sizes.footing_thickness.origin.clone())))
}

fn mate(sizes: &Sizes, loads: Option<&Loads>) -> Result<(Pressure, Step), Lack> {
    match sizes.kind {
        FoundationKind::Piers => pad(sizes, loads, true),
        FoundationKind::Slab => {
            let (load, term) = load_of(loads, true)?;
            let (width, thickness) = (sizes.footing_width.length(), sizes.footing_thickness.length());
            let strip = StripPressure { q: load, w_f: width, γ: CONCRETE_WEIGHT, t_f: thickness };
            let (pressure, step) = strip.step();
            let step = step.with(term).with(sizes.footing_width.term()).with(sizes.footing_thickness.term());
            Ok((pressure, step.published(StripPressure::γ, CONCRETE_SOURCE)))
        }
        FoundationKind::Basement | FoundationKind::CrawlSpace => {
            Err(Lack::at("the home draws no pads under its mate lines", "foundation"))
        }
    }
}

/// Side of the pads as drawn, and as the load asks for.
fn sides(sizes: &Sizes, pads: &Result<Vec<Pads>, Lack>, findings: &mut Findings) {
    let subject = Subject::home();
    if sizes.has_walls() {
        let lack = Lack::at("walls stand on a footing, not on pads", "foundation.kind");
        lack.write(&subject, &[&facts::PAD_SIDE], findings);
    } else {
        let basis = crate::terms::given(Term { symbol: "a".into(), ..sizes.footing_width.term() });
        let at = Pointer::new("foundation.footing.width");
        findings.fact_at(&subject, &facts::PAD_SIDE, sizes.footing_width.length(), basis, at);
    }
    let pads = match pads {
        Ok(pads) => pads,
        Err(lack) => return lack.write(&subject, &[&facts::PAD_SIDE_NEEDED], findings),
    };
    let largest = pads.iter().filter_map(|group| Some((group, group.needed?))).fold(None, |best, next| match best {
        Some((_, side)) if side >= next.1 => best,
        _ => Some(next),
    });
    match largest {
        Some((group, side)) => {
            let mut basis: Basis = practice("vertical equilibrium of a square pad").assuming(PRELIMINARY);
            basis.steps.extend(group.sizing.clone());
            let basis =
                basis.assuming("a pad is no thinner than it stands out beyond what it carries (IRC 2021, R403.1.1)");
            findings.fact_at(
                &subject,
                &facts::PAD_SIDE_NEEDED,
                Length::from_si(side),
                basis,
                Pointer::new("foundation"),
            );
        }
        None => {
            let lack =
                Lack::at("no pads are needed, or their load and the soil's bearing value are not known", "foundation");
            lack.write(&subject, &[&facts::PAD_SIDE_NEEDED], findings);
        }
    }
}
