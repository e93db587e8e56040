//! What the foundation does against frost, water and soil gas, as far as the home says.

use crate::facts;
use crate::lack;
use crate::site_plan::PIER;
use crate::sizes::{STATED, Sizes, layers};
use crate::soil;
use crate::terms::{given, length, plain, practice, sum};
use mateline_equation::equation;
use mateline_model::home::{Discharge, Foundation, FoundationException, FoundationKind, Home};
use mateline_model::quantity::{Length, Units};
use mateline_model::{Basis, Origin, Pointer, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack};

equation! {
    /// How far a footing in the middle below a wall stands out. Source: geometry.
    pub(crate) Projection = "p = (w_f − t)/2" {
        p: Length "projection" [Units::THICKNESS],
        w_f: Length "width of the footing" [Units::LENGTH],
        t: Length "concrete wall" [Units::LENGTH],
    }

    /// How far a pad stands out beyond its pier. Source: geometry.
    pub(crate) PadProjection = "p = (a − d_p)/2" {
        p: Length "projection" [Units::THICKNESS],
        a: Length "side of a pad" [Units::LENGTH],
        d_p: Length "diameter of a pier" [Units::LENGTH],
    }

    /// A footing against the frost. Source: difference.
    pub(crate) FrostMargin = "m = D_f − D_fr" {
        m: Length "footing below the frost depth" [Units::LENGTH],
        D_f: Length "underside of the footing" [Units::LENGTH],
        D_fr: Length "frost depth" [Units::LENGTH],
    }

    /// The lowest point of floor or footing against the water. Source: difference.
    pub(crate) WaterMargin = "m = z_w − max(D_f, d_g)" {
        m: Length "water table below the lowest point" [Units::LENGTH],
        z_w: Length "water table below grade" [Units::LENGTH],
        D_f: Length "underside of the footing below grade" [Units::LENGTH],
        d_g: Length "ground below the floor" [Units::LENGTH],
    }
}

/// Facts on footings as drawn, frost, water and radon.
pub fn report(home: &Home, foundation: &Foundation, sizes: &Result<Sizes, Lack>, findings: &mut Findings) {
    as_drawn(home, foundation, sizes, findings);
    frost(home, foundation, findings);
    water(home, foundation, sizes, findings);
    pumps(foundation, findings);
    sheets(home, foundation, findings);
}

/// A length as the home gives it, or that it gives none.
fn drawn(definition: &QuantityDef, value: Option<Length>, path: &str, lack: Lack, findings: &mut Findings) {
    let subject = Subject::home();
    match value {
        Some(value) => {
            let term = Term::new("x", definition.label(), value, definition.units.clone()).given(path);
            findings.fact_at(&subject, definition, value, given(term), Pointer::new(path));
        }
        None => lack.write(&subject, &[definition], findings),
    }
}

fn as_drawn(home: &Home, foundation: &Foundation, sizes: &Result<Sizes, Lack>, findings: &mut Findings) {
    let footing = foundation.footing.as_ref();
    let lack = || lack::foundation("footing");
    drawn(&facts::FOOTING_WIDTH, footing.map(|f| f.width), "foundation.footing.width", lack(), findings);
    drawn(&facts::FOOTING_THICKNESS, footing.map(|f| f.thickness), "foundation.footing.thickness", lack(), findings);
    let spacing = lack::foundation("anchor_spacing");
    drawn(&facts::ANCHOR_SPACING, foundation.anchor_spacing, "foundation.anchor_spacing", spacing, findings);
    drawn(&facts::LEVELNESS, foundation.levelness, "foundation.levelness", lack::foundation("levelness"), findings);
    let subject = Subject::home();
    match foundation.bears_mate_lines {
        Some(bears) => {
            let basis =
                flag_basis("bearing lines under the mate lines, as drawn", "foundation.bears_mate_lines", bears);
            findings.flag(&subject, &facts::BEARS_MATE_LINES, bears, basis);
        }
        None => lack::foundation("bears_mate_lines").write(&subject, &[&facts::BEARS_MATE_LINES], findings),
    }
    let storeys = home.modules.values().map(|module| module.level).max().unwrap_or(0);
    let basis = Basis::new("highest level of the boxes", "the home")
        .step(Step::procedure("n = max(level)").result(plain("n", "storeys", f64::from(storeys), 0)));
    findings.fact(&subject, &facts::STOREYS, f64::from(storeys), basis);
    match (footing, sizes) {
        (None, _) => lack().write(&subject, &[&facts::FOOTING_PROJECTION], findings),
        (Some(_), Ok(sizes)) if sizes.has_walls() && !matches!(sizes.wall.origin, Origin::Published(_)) => {
            let (value, step) = Projection { w_f: sizes.footing_width.length(), t: sizes.wall.length() }.step();
            let step = step.with(sizes.footing_width.term()).with(sizes.wall.term());
            let basis = Basis::new("footing in the middle below the wall", "geometry").step(step);
            let at = Pointer::new("foundation.footing.width");
            findings.fact_at(&subject, &facts::FOOTING_PROJECTION, value, basis, at);
        }
        (Some(_), Ok(sizes)) if sizes.has_walls() => {
            let lack = Lack::at("no layer of concrete says how thick the foundation wall is", "foundation.wall");
            lack.write(&subject, &[&facts::FOOTING_PROJECTION], findings);
        }
        (Some(_), Ok(sizes)) => {
            let pad = PadProjection { a: sizes.footing_width.length(), d_p: Length::from_si(PIER) };
            let (value, step) = pad.step();
            let step = step.from(PadProjection::a, sizes.footing_width.origin.clone());
            let step = step.published(PadProjection::d_p, STATED);
            let basis = Basis::new("pier in the middle of its pad", "geometry").step(step);
            let at = Pointer::new("foundation.footing.width");
            findings.fact_at(&subject, &facts::FOOTING_PROJECTION, value, basis, at);
        }
        (Some(_), Err(lack)) => lack.write(&subject, &[&facts::FOOTING_PROJECTION], findings),
    }
}

fn frost(home: &Home, foundation: &Foundation, findings: &mut Findings) {
    let subject = Subject::home();
    let depth = foundation.footing.as_ref().and_then(|footing| footing.depth);
    let frost = home.site.frost_depth;
    drawn(&facts::FROST_DEPTH, frost, "site.frost_depth", lack::site("frost_depth"), findings);
    let lack = Lack::at("the footing has no depth", "foundation");
    drawn(&facts::FOOTING_DEPTH, depth, "foundation.footing.depth", lack.clone(), findings);
    match (depth, frost) {
        (Some(depth), Some(frost)) => {
            let (value, step) = FrostMargin { D_f: depth, D_fr: frost }.step();
            let step = step.given(FrostMargin::D_f, "foundation.footing.depth");
            let step = step.given(FrostMargin::D_fr, "site.frost_depth");
            let basis = Basis::new("depth of the footing less frost depth", "geometry").step(step);
            let at = Pointer::new("foundation.footing.depth");
            findings.fact_at(&subject, &facts::FROST_MARGIN, value, basis, at);
        }
        (None, _) => lack.write(&subject, &[&facts::FROST_MARGIN], findings),
        (_, None) => lack::site("frost_depth").write(&subject, &[&facts::FROST_MARGIN], findings),
    }
}

fn water(home: &Home, foundation: &Foundation, sizes: &Result<Sizes, Lack>, findings: &mut Findings) {
    let subject = Subject::home();
    let both = [&facts::WATER_MARGIN, &facts::WATER_TABLE_HIGH, &facts::SUMP_NEEDED];
    let retains = retains_earth(foundation);
    match retains {
        Ok(retains) => {
            let basis = practice("a space below grade with walls around it");
            findings.flag(&subject, &facts::RETAINS_EARTH, retains, basis);
        }
        Err(ref lack) => lack.write(&subject, &[&facts::RETAINS_EARTH], findings),
    }
    match home.site.soil.and_then(soil::row) {
        Some(row) => {
            let basis = Basis::new("soil group by the soil's name", row.well_drained.source.clone())
                .provenance(row.well_drained.provenance.clone());
            findings.flag(&subject, &facts::WELL_DRAINED, row.well_drained.value, basis);
        }
        None => lack::site("soil").write(&subject, &[&facts::WELL_DRAINED], findings),
    }
    match &foundation.drainage {
        Some(_) => {
            let basis = practice("a footing drain is described in the home");
            findings.flag(&subject, &facts::DRAINAGE_GIVEN, true, basis);
        }
        None => lack::foundation("drainage").write(&subject, &[&facts::DRAINAGE_GIVEN], findings),
    }

    let (table, sizes) = match (home.site.water_table, sizes) {
        (None, _) => return lack::site("water_table").write(&subject, &both, findings),
        (_, Err(lack)) => return lack.write(&subject, &both, findings),
        (Some(table), Ok(sizes)) => (table, sizes),
    };
    let water = WaterMargin { z_w: table, D_f: sizes.footing_depth.length(), d_g: Length::from_si(sizes.pit_depth()) };
    let (margin, step) = water.step();
    let step = step.given(WaterMargin::z_w, "site.water_table").with(sizes.footing_depth.term());
    let basis = practice("water table against the lowest point of floor or footing").step(step);
    let at = || Pointer::new("site.water_table");
    findings.fact_at(&subject, &facts::WATER_MARGIN, margin, basis.clone(), at());
    let margin = margin.si();
    findings.flag(&subject, &facts::WATER_TABLE_HIGH, margin < 0.0, basis);
    let drain = foundation.drainage.as_ref().map(|drainage| drainage.discharge);
    let high = margin < 0.0 && foundation.kind == FoundationKind::Basement;
    // Where a drain leads that nobody has drawn is not known.
    if !high && drain.is_none() && !matches!(retains, Ok(false)) {
        return lack::foundation("drainage").write(&subject, &[&facts::SUMP_NEEDED], findings);
    }
    let needed = high || drain == Some(Discharge::Sump);
    let basis = practice("the drain leads to a sump, or the water table is high below a basement").step(
        Step::procedure("m, discharge").term(crate::terms::own(
            length("m", "water table below the lowest point", margin),
            &subject,
            &facts::WATER_MARGIN,
        )),
    );
    findings.flag(&subject, &facts::SUMP_NEEDED, needed, basis);
}

/// Whether the walls hold back earth beside a space below grade, of the whole or of what some boxes stand on.
fn retains_earth(foundation: &Foundation) -> Result<bool, Lack> {
    let is_space = |kind| matches!(kind, FoundationKind::Basement | FoundationKind::CrawlSpace);
    let below = |except: &FoundationException| except.depth_below_grade.is_some_and(|depth| depth.si() > 0.0);
    if foundation.except.iter().any(|except| is_space(except.kind) && below(except)) {
        return Ok(true);
    }
    if let Some(number) = foundation.except.iter().position(|one| is_space(one.kind) && one.depth_below_grade.is_none())
    {
        let path = format!("foundation.except.{number}");
        return Err(Lack::at(format!("{path} has no depth_below_grade"), path));
    }
    match (foundation.kind, foundation.depth_below_grade) {
        (FoundationKind::Slab | FoundationKind::Piers, _) => Ok(false),
        (_, Some(depth)) => Ok(depth.si() > 0.0),
        (_, None) => Err(lack::foundation("depth_below_grade")),
    }
}

fn pumps(foundation: &Foundation, findings: &mut Findings) {
    let subject = Subject::home();
    match foundation.sump.as_ref().map(|sump| sump.pump) {
        Some(Some(pump)) => {
            let basis = practice("a sump with a pump is described in the home");
            findings.flag(&subject, &facts::SUMP_GIVEN, pump, basis);
        }
        Some(None) => lack::foundation("sump.pump").write(&subject, &[&facts::SUMP_GIVEN], findings),
        None => lack::foundation("sump").write(&subject, &[&facts::SUMP_GIVEN], findings),
    }
    match foundation.fixtures_below_sewer {
        Some(below) => {
            let basis =
                flag_basis("a fixture below the sewer drains only by a pump", "foundation.fixtures_below_sewer", below);
            findings.flag(&subject, &facts::EJECTOR_NEEDED, below, basis);
        }
        None => lack::foundation("fixtures_below_sewer").write(&subject, &[&facts::EJECTOR_NEEDED], findings),
    }
    match foundation.ejector {
        Some(ejector) => {
            let basis = practice("an ejector is described in the home");
            findings.flag(&subject, &facts::EJECTOR_GIVEN, ejector, basis);
        }
        None => lack::foundation("ejector").write(&subject, &[&facts::EJECTOR_GIVEN], findings),
    }
}

fn sheets(home: &Home, foundation: &Foundation, findings: &mut Findings) {
    let subject = Subject::home();
    drawn(
        &facts::RETARDER_THICKNESS,
        foundation.ground_cover,
        "foundation.ground_cover",
        lack::foundation("ground_cover"),
        findings,
    );
    let gravel = foundation.floor.as_ref().and_then(|floor| layers(home, floor, "gravel"));
    let radon = foundation.radon.as_ref();
    let layer = radon.and_then(|radon| radon.permeable_layer);
    let in_floor = gravel.as_ref().map(|(value, _)| Length::from_si(*value));
    match (gravel, layer) {
        (Some((value, path)), _) => {
            drawn(&facts::BASE_THICKNESS, Some(Length::from_si(value)), &path, lack::foundation("floor"), findings);
        }
        (None, layer) => {
            let lack = Lack::at("neither a gravel layer of the floor nor radon.permeable_layer is given", "foundation");
            drawn(&facts::BASE_THICKNESS, layer, "foundation.radon.permeable_layer", lack, findings);
        }
    }
    let is_there = |size: Option<Length>| size.map(|size| size.si() > 0.0);
    let named = [
        ("gas-permeable layer", is_there(layer.or(in_floor)), "radon.permeable_layer"),
        ("sheet", is_there(foundation.ground_cover), "ground_cover"),
        ("vent pipe", radon.and_then(|radon| is_there(radon.vent_pipe)), "radon.vent_pipe"),
        ("power and room for a fan", radon.and_then(|radon| radon.fan_ready), "radon.fan_ready"),
    ];
    // Where one is left out by the home's own words, all four are not there, whatever else nobody has said.
    let is_out = named.iter().any(|(_, there, _)| *there == Some(false));
    if let (false, Some((.., path))) = (is_out, named.iter().find(|(_, there, _)| there.is_none())) {
        return lack::foundation(path).write(&subject, &[&facts::RADON_PROVISIONS], findings);
    }
    let terms: Vec<Term> = named
        .iter()
        .filter(|(_, there, _)| *there == Some(true))
        .map(|(what, _, path)| plain("n", *what, 1.0, 0).given(format!("foundation.{path}")))
        .collect();
    let count = terms.len() as f64;
    let basis = practice("provisions named in the home, of four").step(sum(plain("n", "provisions", count, 0), terms));
    findings.fact(&subject, &facts::RADON_PROVISIONS, count, basis);
}

fn flag_basis(method: &'static str, path: &str, value: bool) -> Basis {
    let term = Term::new("x", "as the home says", Value::Flag(value), Units::COUNT).given(path);
    practice(method).step(Step::procedure("x = x").term(term))
}
