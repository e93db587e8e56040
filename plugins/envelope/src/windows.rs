//! Windows, doors and skylights: values as given, and their averages.

use crate::facts;
use crate::lack::Lack;
use mateline_model::home::{Id, Opening, OpeningKind};
use mateline_model::quantity::{Area, Quantity, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Request};

/// Terms that a basis lists at most.
pub(crate) const MOST_TERMS: usize = 40;

/// Facts of every opening.
pub(crate) fn report_openings(request: &Request<'_>, findings: &mut Findings) {
    for (id, opening) in &request.home.openings {
        let subject = Subject::element("openings", id);
        let values: [(&QuantityDef, &str, Option<Quantity>); 3] = [
            (&facts::U_FACTOR, "u_factor", opening.u_factor.map(Into::into)),
            (&facts::SHGC, "shgc", opening.shgc.map(Into::into)),
            (&facts::AIR_LEAKAGE, "air_leakage", opening.air_leakage.map(Into::into)),
        ];
        for (definition, field, value) in values {
            let path = format!("{subject}.{field}");
            match value {
                Some(value) => {
                    let term = Term::new("x", field.replace('_', " "), value, definition.units.clone());
                    let basis = Basis::new("as given", "the home").step(Step::new("x").term(term.given(path.clone())));
                    findings.fact_at(&subject, definition, value, basis, Pointer::new(path));
                }
                None => {
                    let at = Some(Pointer::new(subject.as_str()));
                    findings.missing(&subject, definition, format!("{subject} has no {field}"), at);
                }
            }
        }
    }
}

/// Averages over the home's glazing, and its share of the floor.
pub(crate) fn report_averages(request: &Request<'_>, findings: &mut Findings) {
    let vertical = |kind| matches!(kind, OpeningKind::Window | OpeningKind::GlazedDoor);
    let skylight = |kind| kind == OpeningKind::Skylight;
    let u = |opening: &Opening| opening.u_factor.map(Quantity::from);
    let shgc = |opening: &Opening| opening.shgc.map(Quantity::from);
    let averages: [(&QuantityDef, &str, &str, Average<'_>); 3] = [
        (&facts::WINDOW_U_AVERAGE, "u_factor", "vertical glazed opening", Average { kind: &vertical, value: &u }),
        (&facts::WINDOW_SHGC_AVERAGE, "shgc", "vertical glazed opening", Average { kind: &vertical, value: &shgc }),
        (&facts::SKYLIGHT_U_AVERAGE, "u_factor", "skylight", Average { kind: &skylight, value: &u }),
    ];
    let home = Subject::home();
    for (definition, field, what, average) in averages {
        match average.over(request, definition, field, what) {
            Ok((value, basis)) => findings.fact(&home, definition, value, basis),
            Err(lack) => findings.missing(&home, definition, lack.because, lack.at),
        }
    }
    let share = || -> Result<_, Lack> {
        let of = |quantity: &str| {
            request.number(&home, quantity).ok_or_else(|| Lack::new(format!("{quantity} of the home is not known")))
        };
        let (glazed, floor) = (Area::from_si(of("takeoff.window_area")?), Area::from_si(of("takeoff.floor_area")?));
        if floor.si() <= 0.0 {
            return Err(Lack::new("the home has no floor area"));
        }
        let step = Step::new("share = Ag/Af")
            .term(Term::new("Ag", "glazed area", glazed, Units::AREA).fact(&home, "takeoff.window_area"))
            .term(Term::new("Af", "conditioned floor area", floor, Units::AREA).fact(&home, "takeoff.floor_area"))
            .result(Term::new("share", "glazed area over floor area", glazed / floor, Units::PERCENT));
        Ok((glazed / floor, Basis::new("ratio of areas", "common practice, no source").step(step)))
    };
    match share() {
        Ok((value, basis)) => findings.fact(&home, &facts::WINDOW_SHARE, value, basis),
        Err(lack) => findings.missing(&home, &facts::WINDOW_SHARE, lack.because, lack.at),
    }
}

/// An average over the openings of some kinds.
struct Average<'a> {
    kind: &'a dyn Fn(OpeningKind) -> bool,
    value: &'a dyn Fn(&Opening) -> Option<Quantity>,
}

impl Average<'_> {
    /// `x̄ = Σ x A / Σ A`, exempt openings left out.
    fn over(
        &self,
        request: &Request<'_>,
        definition: &QuantityDef,
        field: &str,
        what: &str,
    ) -> Result<(Quantity, Basis), Lack> {
        let mut basis = Basis::new("area-weighted average", "common practice, no source");
        let mut step = Step::new("x̄ = Σ x A / Σ A");
        let (mut weighted, mut area, mut counted, mut exempt) = (0.0, 0.0, 0, Vec::new());
        for (id, opening) in request.home.openings.iter().filter(|(_, opening)| (self.kind)(opening.kind)) {
            if opening.code_exempt {
                exempt.push(id.to_string());
                continue;
            }
            let path = format!("openings.{id}");
            let value =
                (self.value)(opening).ok_or_else(|| Lack::at(format!("{path} has no {field}"), path.as_str()))?;
            let share = area_of(request, id)?;
            weighted += value.si * share.si();
            area += share.si();
            counted += 1;
            if counted <= MOST_TERMS {
                let subject = Subject::element("openings", id);
                step = step
                    .term(
                        Term::new("x", id.to_string(), value, definition.units.clone())
                            .given(format!("{path}.{field}")),
                    )
                    .term(Term::new("A", id.to_string(), share, Units::AREA).fact(&subject, "takeoff.area"));
            }
        }
        if area <= 0.0 {
            return Err(Lack::new(format!("the home has no {what} that counts")));
        }
        if counted > MOST_TERMS {
            basis = basis.assuming(format!("{} more openings are in the sums", counted - MOST_TERMS));
        }
        if !exempt.is_empty() {
            basis = basis.assuming(format!("left out as exempt: {}", exempt.join(", ")));
        }
        let mean = Quantity::new(weighted / area, definition.dimension());
        let result = Term::new("x̄", "average", mean, definition.units.clone());
        Ok((mean, basis.step(step.result(result))))
    }
}

/// The area of an opening as the take-off found it.
pub(crate) fn area_of(request: &Request<'_>, id: &Id) -> Result<Area, Lack> {
    request
        .number(&Subject::element("openings", id), "takeoff.area")
        .map(Area::from_si)
        .ok_or_else(|| Lack::at(format!("takeoff.area of openings.{id} is not known"), format!("openings.{id}")))
}
