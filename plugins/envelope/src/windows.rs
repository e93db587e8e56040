//! Windows, doors and skylights: values as given, and their averages.

use crate::facts;
use mateline_equation::equation;
use mateline_model::home::{Id, Opening, OpeningKind};
use mateline_model::quantity::{Area, Quantity, Ratio, ThermalTransmittance, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Symbol, Term};
use mateline_sdk::{Findings, Lack, Request};

equation! {
    /// Area-weighted U-factor of openings. Source: common practice, no source.
    pub(crate) MeanU = "U_m = (Σ U_i A_i)/(Σ A_i)" {
        U_m: ThermalTransmittance "average" [Units::TRANSMITTANCE],
        U_i: [ThermalTransmittance] "an opening" [Units::TRANSMITTANCE],
        A_i: [Area] "an opening" [Units::AREA],
    }

    /// Area-weighted solar heat gain coefficient of openings. Source: common practice, no source.
    pub(crate) MeanGain = "g_m = (Σ g_i A_i)/(Σ A_i)" {
        g_m: Ratio "average" [Units::plain(3)],
        g_i: [Ratio] "an opening" [Units::plain(3)],
        A_i: [Area] "an opening" [Units::AREA],
    }

    /// Glazing over floor area. Source: common practice, no source.
    pub(crate) WindowShare = "share = Ag/Af" {
        share: Ratio "glazed area over floor area" [Units::PERCENT],
        Ag: Area "glazed area" [Units::AREA],
        Af: Area "conditioned floor area" [Units::AREA],
    }
}

/// Parts whose own step a basis shows at most.
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
                    let basis =
                        Basis::new("as given", "the home").step(Step::procedure("x").term(term.given(path.clone())));
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
    let upright = |kind| vertical(kind) || kind == OpeningKind::OpaqueDoor;
    let glazed = |kind| vertical(kind) || skylight(kind);
    let u = |opening: &Opening| opening.u_factor.map(Quantity::from);
    let shgc = |opening: &Opening| opening.shgc.map(Quantity::from);
    let (windows, skylights) = ("vertical glazed opening", "skylight");
    let averages = [
        (
            &facts::WINDOW_U_AVERAGE,
            Average { kind: &vertical, value: &u, field: "u_factor", what: windows, mean: mean_u },
        ),
        (
            &facts::WINDOW_SHGC_AVERAGE,
            Average { kind: &vertical, value: &shgc, field: "shgc", what: windows, mean: mean_gain },
        ),
        (
            &facts::SKYLIGHT_U_AVERAGE,
            Average { kind: &skylight, value: &u, field: "u_factor", what: skylights, mean: mean_u },
        ),
        (
            &facts::FENESTRATION_U_AVERAGE,
            Average { kind: &upright, value: &u, field: "u_factor", what: "window or door", mean: mean_u },
        ),
        (
            &facts::GLAZING_SHGC_AVERAGE,
            Average { kind: &glazed, value: &shgc, field: "shgc", what: "glazed opening", mean: mean_gain },
        ),
    ];
    let home = Subject::home();
    for (definition, average) in averages {
        match average.over(request) {
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
        let (share, step) = WindowShare { Ag: glazed, Af: floor }.step();
        let step =
            step.fact(WindowShare::Ag, &home, "takeoff.window_area").fact(WindowShare::Af, &home, "takeoff.floor_area");
        Ok((share, Basis::new("ratio of areas", "common practice, no source").step(step)))
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
    field: &'a str,
    /// What is averaged over, in words.
    what: &'a str,
    mean: fn(&[Quantity], &[Area]) -> Mean,
}

/// A mean, its step, and the symbols of what it is over and of the areas.
type Mean = (Quantity, Step, [Symbol; 2]);

fn mean_u(values: &[Quantity], areas: &[Area]) -> Mean {
    let values: Vec<_> = values.iter().map(|value| ThermalTransmittance::from_si(value.si)).collect();
    let (mean, step) = MeanU { U_i: &values, A_i: areas }.step();
    (mean.into(), step, [MeanU::U_i, MeanU::A_i])
}

fn mean_gain(values: &[Quantity], areas: &[Area]) -> Mean {
    let values: Vec<_> = values.iter().map(|value| Ratio::from_si(value.si)).collect();
    let (mean, step) = MeanGain { g_i: &values, A_i: areas }.step();
    (mean.into(), step, [MeanGain::g_i, MeanGain::A_i])
}

impl Average<'_> {
    /// The mean, exempt openings left out.
    fn over(&self, request: &Request<'_>) -> Result<(Quantity, Basis), Lack> {
        let (field, what) = (self.field, self.what);
        let (mut values, mut areas, mut counted, mut exempt) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        for (id, opening) in request.home.openings.iter().filter(|(_, opening)| (self.kind)(opening.kind)) {
            if opening.code_exempt {
                exempt.push(id.to_string());
                continue;
            }
            let path = format!("openings.{id}");
            let value =
                (self.value)(opening).ok_or_else(|| Lack::at(format!("{path} has no {field}"), path.as_str()))?;
            values.push(value);
            areas.push(area_of(request, id)?);
            counted.push(id);
        }
        if areas.iter().copied().sum::<Area>().si() <= 0.0 {
            return Err(Lack::new(format!("the home has no {what} that counts")));
        }
        let (mean, step, [value, area]) = (self.mean)(&values, &areas);
        let step = step
            .each(value, &counted, |term, id| {
                Term { meaning: id.to_string(), ..term }.given(format!("openings.{id}.{field}"))
            })
            .each(area, &counted, |term, id| {
                Term { meaning: id.to_string(), ..term }.fact(&Subject::element("openings", id), "takeoff.area")
            });
        let mut basis = Basis::new("area-weighted average", "common practice, no source");
        if !exempt.is_empty() {
            basis = basis.assuming(format!("left out as exempt: {}", exempt.join(", ")));
        }
        Ok((mean, basis.step(step)))
    }
}

/// The area of an opening as the take-off found it.
pub(crate) fn area_of(request: &Request<'_>, id: &Id) -> Result<Area, Lack> {
    request
        .number(&Subject::element("openings", id), "takeoff.area")
        .map(Area::from_si)
        .ok_or_else(|| Lack::at(format!("takeoff.area of openings.{id} is not known"), format!("openings.{id}")))
}
