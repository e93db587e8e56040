//! The facts of inner surfaces: what the home's humidity asks of them, and what assemblies, junctions and openings have.

use crate::climate::{COLD_DAY_HUMIDITY, Climate, ColdDay, RECALLED, heated_origin, humid_months};
use crate::conditions::{Conditions, name};
use crate::facts::{self, FACTOR};
use crate::indoor::{ExcessAt, IndoorVapour, OutdoorVapour};
use crate::layers::{Layers, noted};
use crate::settings::Critical;
use crate::surface::{
    FactorNeeded, Margin, OPAQUE_FILM, OPENING_FILM, PlaneFactor, ProductFactor, SaturationNeeded, Thicker,
    factor_needed, lacking, least_saturation, most_needed, plane_factor, resistance_lacking,
};
use mateline_films::surface::{Direction, OuterSide, handbook};
use mateline_model::home::{Boundary, Home, Id};
use mateline_model::quantity::{Conductivity, Length, Ratio, ThermalTransmittance, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_psychrometrics::saturation::{DewPoint, OverWater, saturation_step, saturation_temperature_step};
use mateline_sdk::{Findings, Lack, Request};

const SOURCE: &str = "ISO 13788:2012, clause 5";

/// What a surface needs: the factor, and how it was found. The factor is none where no month is colder outdoors.
#[derive(Clone, Debug)]
pub(crate) struct Needed {
    pub month: usize,
    pub factor: f64,
    pub basis: Basis,
}

/// The need towards one side.
fn needed(year: &[Conditions; 12], critical: &Critical, boundary: Boundary) -> Option<Needed> {
    let (month, factor) = most_needed(year, critical.humidity)?;
    let conditions = year.get(month)?;
    let mut steps = steps_of(conditions, critical, name(month))?;
    if let Some(step) = steps.last_mut().filter(|_| boundary != Boundary::Ground) {
        let path = format!("site.months.{}.temperature", name(month).to_lowercase());
        *step = step.clone().given(FactorNeeded::θe, path);
    }
    let basis = Basis::new("monthly need, the highest of the year", SOURCE).provenance(RECALLED);
    let basis = steps
        .into_iter()
        .fold(basis, Basis::step)
        .assuming("monthly means; months whose room air is itself too humid are left out and counted apart");
    let basis = match Climate::assumption(boundary) {
        Some(assumption) => basis.assuming(assumption),
        None => basis,
    };
    Some(Needed { month, factor, basis })
}

/// How the need of one month or day follows.
fn steps_of(conditions: &Conditions, critical: &Critical, when: &str) -> Option<Vec<Step>> {
    let (saturated, saturation) = least_saturation(conditions, critical.humidity).step();
    let saturation = saturation.meaning(SaturationNeeded::pi, format!("vapour pressure indoors in {when}"));
    let saturation = match &critical.source {
        Some(source) => saturation.published(SaturationNeeded::φ, source.clone()),
        None => saturation,
    };
    let (least, point) = saturation_temperature_step(saturated)?;
    let point = point.meaning(DewPoint::θ, "least surface temperature").named(DewPoint::θ, "θsi");
    let (outside, inside) = (conditions.outside.temperature, conditions.inside.temperature);
    let step = FactorNeeded { θsi: least, θe: outside, θi: inside }.step().1;
    Some(vec![saturation, point, step.meaning(FactorNeeded::θe, format!("outside in {when}"))])
}

/// What a cold day needs of a light part, against condensation, and how it was found; none where it is no colder outdoors
/// or the room air itself condenses.
fn needed_on(day: &ColdDay, home: &Home) -> Option<(f64, Basis)> {
    let ColdDay { conditions, excess } = day;
    let (inside, outside) = (conditions.inside.temperature, conditions.outside.temperature);
    let critical = Critical::condensation();
    let is_drier = conditions.inside.humidity() < critical.humidity;
    let factor = factor_needed(conditions, critical.humidity).filter(|_| is_drier)?;
    let (saturated, over) = saturation_step(outside);
    let (vapour, outdoors) = OutdoorVapour { φe: COLD_DAY_HUMIDITY, p_s: saturated }.step();
    let (rest, falls) = ExcessAt { Δp0: *excess, θe: outside }.step();
    let (saturated, within) = saturation_step(inside);
    let indoors = IndoorVapour { pe: vapour, Δp: rest, p_s: saturated }.step().1;
    let given = "site.design_heating";
    let first = [
        over.meaning(OverWater::θ, "outdoors").given(OverWater::θ, given),
        outdoors.published(OutdoorVapour::φe, "ISO 13788:2012, 5.4 (from memory)"),
        falls.fact(ExcessAt::Δp0, &Subject::home(), facts::EXCESS.name).given(ExcessAt::θe, given),
        within.meaning(OverWater::θ, "indoors").from(OverWater::θ, heated_origin(home)),
        indoors,
    ];
    let mut last = steps_of(conditions, &critical, "the cold day")?;
    if let Some(step) = last.last_mut() {
        *step = step.clone().given(FactorNeeded::θe, given).from(FactorNeeded::θi, heated_origin(home));
    }
    let basis = Basis::new("need of the cold day", "ISO 13788:2012, 5.4").provenance(RECALLED);
    let basis = first.into_iter().chain(last).fold(basis, Basis::step);
    let note = "the design temperature for heating stands for the coldest daily mean of an ordinary year";
    Some((
        factor,
        basis.assuming(note).assuming("frames and glass are light: they follow the day, and no water may form"),
    ))
}

/// The cold day's need of an opening of this factor, and the margin.
fn write_cold_day(
    subject: &Subject,
    factor: f64,
    climate: &Result<Climate, Lack>,
    home: &Home,
    at: Pointer,
    findings: &mut Findings,
) {
    let owed = [&facts::COLD_DAY_NEEDED, &facts::COLD_DAY_MARGIN];
    let found = climate.as_ref().map_err(Lack::clone).and_then(|climate| {
        let day = climate.cold_day.ok_or_else(|| Lack::at("site has no design_heating", "site"))?;
        let because = "it is no colder outdoors on the cold day, or the room air itself condenses";
        needed_on(&day, home).ok_or_else(|| Lack::at(because, "site.design_heating"))
    });
    match found {
        Ok((need, basis)) => {
            findings.fact(subject, &facts::COLD_DAY_NEEDED, Ratio::from_si(need), basis);
            let (margin, step) = margin(subject, factor, need, &facts::COLD_DAY_NEEDED);
            let basis = Basis::new("difference", "ISO 13788:2012, 5.4").step(step);
            findings.fact_at(subject, &facts::COLD_DAY_MARGIN, margin, basis, at);
        }
        Err(lack) => lack.write(subject, &owed, findings),
    }
}

/// The need towards one side.
fn need(climate: &Climate, critical: &Critical, boundary: Boundary) -> Result<Needed, Lack> {
    let none = || Lack::at("no month is colder outdoors than indoors", "site.months");
    needed(climate.towards(boundary), critical, boundary).ok_or_else(none)
}

/// What the home asks of its surfaces.
pub(crate) fn report_home(home: &Home, climate: &Climate, mould: &Result<Critical, Lack>, findings: &mut Findings) {
    let subject = Subject::home();
    match mould {
        Ok(mould) => humid_months(home, climate, mould, findings),
        Err(lack) => lack.write(&subject, &[&facts::HUMID_MONTHS], findings),
    }
    match mould.as_ref().map_err(Lack::clone).and_then(|mould| need(climate, mould, Boundary::Outdoor)) {
        Ok(need) => {
            let at = Pointer::new(format!("site.months.{}", name(need.month).to_lowercase()));
            findings.text(&subject, &facts::CRITICAL_MONTH, name(need.month), need.basis.clone());
            findings.fact_at(&subject, &facts::NEEDED_MOULD, Ratio::from_si(need.factor), need.basis, at);
        }
        Err(lack) => lack.write(&subject, &[&facts::CRITICAL_MONTH, &facts::NEEDED_MOULD], findings),
    }
    match need(climate, &Critical::condensation(), Boundary::Outdoor) {
        Ok(need) => findings.fact(&subject, &facts::NEEDED_CONDENSATION, Ratio::from_si(need.factor), need.basis),
        Err(lack) => lack.write(&subject, &[&facts::NEEDED_CONDENSATION], findings),
    }
}

/// A surface with its factor.
struct Surface {
    subject: Subject,
    factor: f64,
    basis: Basis,
    at: Pointer,
}

/// What surfaces are held against.
pub(crate) struct Surfaces<'a> {
    pub request: &'a Request<'a>,
    pub climate: &'a Result<Climate, Lack>,
    pub mould: &'a Result<Critical, Lack>,
}

impl Surfaces<'_> {
    fn against_mould(&self, boundary: Boundary) -> Result<Needed, Lack> {
        need(self.climate.as_ref().map_err(Lack::clone)?, self.mould.as_ref().map_err(Lack::clone)?, boundary)
    }

    fn against_condensation(&self) -> Result<Needed, Lack> {
        need(self.climate.as_ref().map_err(Lack::clone)?, &Critical::condensation(), Boundary::Outdoor)
    }

    /// An assembly: its factor from its U-factor, and the insulation it would take.
    pub(crate) fn report_assembly(
        &self,
        id: &Id,
        layers: Option<&Layers<'_>>,
        flow: Direction,
        boundary: Boundary,
        findings: &mut Findings,
    ) {
        let request = self.request;
        let subject = Subject::element("assemblies", id);
        let film = handbook(flow, OuterSide::StillAir).inner;
        let u = request.number(&subject, "envelope.u_factor").map(ThermalTransmittance::from_si);
        let factor = u.and_then(|u| Some((u, plane_factor(u, film, OPAQUE_FILM)?)));
        let Some((u, factor)) = factor else {
            let lack = Lack::at(format!("envelope.u_factor of {subject} is not known"), subject.as_str());
            lack.write(&subject, &SURFACE, findings);
            return;
        };
        let step = PlaneFactor { U: u, R: film, Rsi: OPAQUE_FILM }.step().1;
        let step = step
            .fact(PlaneFactor::U, &subject, "envelope.u_factor")
            .published(PlaneFactor::R, "ASHRAE Fundamentals, ch. 26, surface films")
            .published(PlaneFactor::Rsi, "ISO 13788:2012 (from memory, high)");
        let basis = Basis::new("temperature factor of a plane part", SOURCE)
            .provenance(RECALLED)
            .step(step)
            .assuming("the mean of the face: framing members and edges are colder");
        let need = self.against_mould(boundary);
        let mut at = Pointer::new(subject.as_str());
        if let (Ok(need), Some(layers)) = (&need, layers)
            && factor < need.factor
        {
            at = insulation(request, &subject, layers, factor, need.factor, findings).unwrap_or(at);
        }
        write(Surface { subject, factor, basis, at }, need, findings);
    }

    /// A junction: the factor its section has.
    pub(crate) fn report_junctions(&self, findings: &mut Findings) {
        let request = self.request;
        let mut subjects: Vec<Subject> = request.subjects("junctions").cloned().collect();
        let named = request.home.junctions.keys().map(|id| Subject::element("junctions", id));
        for subject in named {
            if !subjects.contains(&subject) {
                subjects.push(subject);
            }
        }
        for subject in subjects {
            let id = subject.id().to_owned();
            let given = request
                .home
                .junctions
                .iter()
                .find(|(known, _)| known.to_string() == id)
                .and_then(|(_, one)| one.surface_factor);
            let solved = request.number(&subject, "junctions.surface_factor");
            let term = |factor: f64| {
                Term::new("fRsi", "lowest temperature factor of the section", Ratio::from_si(factor), FACTOR)
            };
            let path = format!("{subject}.surface_factor");
            let found = match (solved, given) {
                (Some(factor), _) => Some((factor, term(factor).fact(&subject, "junctions.surface_factor"))),
                (None, Some(factor)) => Some((factor.si(), term(factor.si()).given(path.clone()))),
                (None, None) => None,
            };
            let Some((factor, term)) = found else {
                let lack = Lack::at(format!("junctions.surface_factor of {subject} is not known"), subject.as_str());
                lack.write(&subject, &SURFACE, findings);
                continue;
            };
            let basis = Basis::new("temperature factor of the section", "ISO 10211 and ISO 13788:2012")
                .provenance(RECALLED)
                .step(Step::procedure("fRsi").result(term));
            let at = Pointer::new(if given.is_some() { path } else { subject.to_string() });
            write(Surface { subject, factor, basis, at }, self.against_mould(Boundary::Outdoor), findings);
        }
    }

    /// An opening: the factor it states for its coldest place, or else its mean from its U-factor, against condensation.
    pub(crate) fn report_openings(&self, findings: &mut Findings) {
        let request = self.request;
        for (id, opening) in &request.home.openings {
            let subject = Subject::element("openings", id);
            let mean = mean_of_product(request, &subject);
            let Some(surface) = opening.surface_factor.map(|stated| coldest_place(&subject, stated, &mean)).or(mean)
            else {
                let lack = Lack::at(format!("envelope.u_factor of {subject} is not known"), subject.as_str());
                lack.write(&subject, &SURFACE, findings);
                lack.write(&subject, &[&facts::COLD_DAY_NEEDED, &facts::COLD_DAY_MARGIN], findings);
                continue;
            };
            write_cold_day(&subject, surface.factor, self.climate, request.home, surface.at.clone(), findings);
            write(surface, self.against_condensation(), findings);
        }
    }
}

/// Thickness that the outermost insulation would need, and a pointer at it.
fn insulation(
    request: &Request<'_>,
    subject: &Subject,
    layers: &Layers<'_>,
    factor: f64,
    needed: f64,
    findings: &mut Findings,
) -> Option<Pointer> {
    let place = layers.outermost_insulation()?;
    let layer = layers.layers.get(place)?;
    resistance_lacking(factor, needed, OPAQUE_FILM)?;
    let (more, lacking) = lacking(factor, needed, OPAQUE_FILM).step();
    let conductivity = Conductivity::from_si(layer.thickness / layer.resistance);
    let (wanted, step) = Thicker { d0: Length::from_si(layer.thickness), λ: conductivity, ΔR: more }.step();
    let step = step.meaning(Thicker::d0, format!("{} as drawn", layer.name)).given(Thicker::d0, layers.path(place));
    let basis = Basis::new("resistance that is lacking, as thickness", SOURCE).provenance(RECALLED);
    let basis = basis.step(lacking).step(step);
    let words = Units::THICKNESS.show(wanted.into(), request.home.units);
    findings.fact(subject, &facts::SURFACE_INSULATION, wanted, basis);
    Some(noted(layers.path(place), Some(format!("at least {words} of it keeps the inner surface free of mould"))))
}

/// The mean of frame and glass.
fn mean_of_product(request: &Request<'_>, subject: &Subject) -> Option<Surface> {
    let u = ThermalTransmittance::from_si(request.number(subject, "envelope.u_factor")?);
    plane_factor(u, OPENING_FILM, OPENING_FILM)?;
    let (factor, step) = ProductFactor { U: u, Rsi: OPENING_FILM }.step();
    let step = step
        .fact(ProductFactor::U, subject, "envelope.u_factor")
        .published(ProductFactor::Rsi, "ISO 13788:2012 (from memory, high)");
    let factor = factor.si();
    let basis = Basis::new("temperature factor of the whole product", SOURCE).provenance(RECALLED).step(step).assuming(
        "the mean of frame and glass: the edge of the glass is colder and is not in it, as no surface_factor is stated",
    );
    Some(Surface { subject: subject.clone(), factor, basis, at: Pointer::new(format!("{subject}.u_factor")) })
}

/// The coldest place as stated; no warmer than the mean, which a lowest factor cannot be above.
fn coldest_place(subject: &Subject, stated: Ratio, mean: &Option<Surface>) -> Surface {
    let path = format!("{subject}.surface_factor");
    let term = |symbol: &'static str, meaning: &'static str, value: f64| {
        Term::new(symbol, meaning, Ratio::from_si(value), FACTOR)
    };
    let basis =
        Basis::new("temperature factor of the coldest place", "the home file; ISO 13788:2012, ISO 10077-2:2017")
            .provenance(RECALLED)
            .assuming("tested or calculated for frame and glass edge with 0.13 m²·K/W inside");
    let given = term("fRsi", "lowest of frame and glass edge, as stated", stated.si()).given(path.clone());
    let (factor, basis) =
        match mean {
            Some(mean) if mean.factor < stated.si() => {
                let step = Step::procedure("fRsi, at most that of the mean of frame and glass")
                    .term(given)
                    .result(term("fRsi,m", "mean by U-factor", mean.factor));
                let words = "what is stated is above the mean of frame and glass, where no lowest factor can be";
                (mean.factor, basis.step(step).assuming(words))
            }
            _ => (stated.si(), basis.step(Step::procedure("fRsi").result(given))),
        };
    Surface { subject: subject.clone(), factor, basis, at: Pointer::new(path) }
}

const SURFACE: [&QuantityDef; 3] = [&facts::SURFACE_FACTOR, &facts::SURFACE_NEEDED, &facts::SURFACE_MARGIN];

fn write(surface: Surface, need: Result<Needed, Lack>, findings: &mut Findings) {
    let Surface { subject, factor, basis, at } = surface;
    findings.fact_at(&subject, &facts::SURFACE_FACTOR, Ratio::from_si(factor), basis, at.clone());
    let need = match need {
        Ok(need) => need,
        Err(lack) => return lack.write(&subject, &SURFACE[1..], findings),
    };
    let (margin, step) = margin(&subject, factor, need.factor, &facts::SURFACE_NEEDED);
    findings.fact(&subject, &facts::SURFACE_NEEDED, Ratio::from_si(need.factor), need.basis);
    findings.fact_at(&subject, &facts::SURFACE_MARGIN, margin, Basis::new("difference", SOURCE).step(step), at);
}

/// A factor beyond what is needed.
fn margin(subject: &Subject, factor: f64, need: f64, needed: &QuantityDef) -> (Ratio, Step) {
    let (margin, step) = Margin { fRsi: Ratio::from_si(factor), f_min: Ratio::from_si(need) }.step();
    let step = step.fact(Margin::fRsi, subject, facts::SURFACE_FACTOR.name);
    (margin, step.fact(Margin::f_min, subject, needed.name.clone()))
}
