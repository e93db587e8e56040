//! The year this home's surfaces and layers go through: outdoor air from its months, indoor air from its humidity class or
//! from a balance of moisture.

use crate::conditions::{Air, Conditions, annual_mean, name, outdoors, with_ground};
use crate::facts;
use crate::indoor::{BalanceExcess, ClassExcess, ExcessAt, GivenOff, Humidity, class_excess, conditions};
use crate::settings::Critical;
use mateline_model::home::{Boundary, Home};
use mateline_model::quantity::{Flow, MassFlow, Pressure, Ratio, Temperature, number};
use mateline_model::{Basis, Origin, Pointer, Subject};
use mateline_psychrometrics::saturation::{OverWater, saturation_step};
use mateline_sdk::{Findings, Lack, Request};

/// What a person gives off on average over the day: 50 g/h (kg/s). Common textbook value, from memory, med.
const PER_PERSON: f64 = 0.050 / 3_600.0;
/// What cooking, washing, drying and plants give off in a dwelling: 100 g/h (kg/s). Common practice, no source.
const ACTIVITIES: f64 = 0.100 / 3_600.0;
/// Indoor temperature in winter where the site gives none (°C).
const INDOORS: f64 = 20.0;
/// The mark of what is taken from the standard.
pub(crate) const RECALLED: &str = "from memory";

/// The year on both sides of the envelope.
#[derive(Clone, Debug)]
pub(crate) struct Climate {
    pub outdoors: [Air; 12],
    /// Towards outdoor air.
    pub air: [Conditions; 12],
    /// Towards the ground.
    pub ground: [Conditions; 12],
    /// The cold day, by which light parts are judged; none where the site gives no design temperature.
    pub cold_day: Option<ColdDay>,
}

/// A cold, damp day.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ColdDay {
    pub conditions: Conditions,
    /// Excess of the indoor vapour pressure in freezing weather.
    pub excess: Pressure,
}

/// Relative humidity outdoors on the cold day. Source: ISO 13788:2012, 5.4 (from memory).
pub(crate) const COLD_DAY_HUMIDITY: Ratio = Ratio::from_si(0.95);

impl ColdDay {
    fn of(home: &Home, excess: Pressure) -> Option<ColdDay> {
        let outside = Air::of_humidity(home.site.design_heating?, COLD_DAY_HUMIDITY.si());
        Some(ColdDay { conditions: conditions(outside, heated_to(home), excess), excess })
    }
}

impl Climate {
    /// The conditions of a part that adjoins this. Attics, crawl spaces, garages and other unheated spaces are taken for
    /// outdoors.
    pub(crate) fn towards(&self, boundary: Boundary) -> &[Conditions; 12] {
        if boundary == Boundary::Ground { &self.ground } else { &self.air }
    }

    /// What is assumed of the outer side.
    pub(crate) fn assumption(boundary: Boundary) -> Option<&'static str> {
        match boundary {
            Boundary::Outdoor | Boundary::Conditioned => None,
            Boundary::Ground => {
                Some("the ground has the annual mean temperature of the air all year, and is saturated")
            }
            _ => Some("the unheated space behind it is as cold and as humid as outdoors"),
        }
    }
}

/// Which indoor humidity counts, with its excess in freezing weather.
struct Indoors {
    excess: Pressure,
    from: String,
    basis: Basis,
    at: Option<Pointer>,
}

/// Writes down indoor humidity and hands back the year.
pub(crate) fn report(request: &Request<'_>, findings: &mut Findings) -> Result<Climate, Lack> {
    let home = Subject::home();
    let balance = balance(request, findings);
    if let Err(lack) = &balance {
        lack.write(&home, &[&facts::EXCESS_BY_BALANCE], findings);
    }
    let indoors = match request.home.site.humidity_class.and_then(|class| Some((class, class_excess(class)?))) {
        Some((class, excess)) => Ok(by_class(class, excess)),
        None => balance.map(|(excess, basis)| Indoors { excess, from: "moisture balance".to_owned(), basis, at: None }),
    };
    let indoors = match indoors {
        Ok(indoors) => indoors,
        Err(lack) => {
            let lack = Lack::at(format!("site.humidity_class is not given, and {}", lack.because), "site");
            lack.write(&home, &[&facts::HUMIDITY_FROM, &facts::EXCESS], findings);
            return Err(lack);
        }
    };
    findings.text(
        &home,
        &facts::HUMIDITY_FROM,
        indoors.from.clone(),
        Basis::new("the home's own description", "the home file"),
    );
    match indoors.at.clone() {
        Some(at) => findings.fact_at(&home, &facts::EXCESS, indoors.excess, indoors.basis.clone(), at),
        None => findings.fact(&home, &facts::EXCESS, indoors.excess, indoors.basis.clone()),
    }
    let outdoors = outdoors(request.home)?;
    let heated = heated_to(request.home);
    let air = outdoors.map(|outside| conditions(outside, heated, indoors.excess));
    let cold_day = ColdDay::of(request.home, indoors.excess);
    let climate = Climate { ground: with_ground(&air, &outdoors), outdoors, air, cold_day };
    humidities(&climate, indoors.excess, findings);
    Ok(climate)
}

/// Indoor temperature in winter.
pub(crate) fn heated_to(home: &Home) -> Temperature {
    home.site.indoor_heating.unwrap_or(Temperature::from_si(INDOORS))
}

/// Where the indoor temperature comes from.
pub(crate) fn heated_origin(home: &Home) -> Origin {
    match home.site.indoor_heating {
        Some(_) => Origin::Given("site.indoor_heating".to_owned()),
        None => Origin::Published("20 °C where the site gives none (common practice, no source)".to_owned()),
    }
}

fn by_class(class: u8, excess: Pressure) -> Indoors {
    let step = ClassExcess { class: f64::from(class) }.step().1.given(ClassExcess::class, "site.humidity_class");
    let basis = Basis::new("upper limit of the humidity class", "ISO 13788:2012, annex A")
        .provenance(RECALLED)
        .step(step)
        .assuming("whole up to 0 °C outdoors, then falling in a straight line to none at 20 °C");
    let at = Some(Pointer::new("site.humidity_class"));
    Indoors { excess, from: format!("humidity class {class}"), basis, at }
}

/// The excess by the balance of moisture.
fn balance(request: &Request<'_>, findings: &mut Findings) -> Result<(Pressure, Basis), Lack> {
    let subject = Subject::home();
    let home = request.home;
    let given = home.systems.indoor_moisture.clone().unwrap_or_default();
    let sleeping: u32 = home.spaces.values().filter_map(|space| space.sleepers()).sum();
    let people = match given.people.or((sleeping > 0).then_some(sleeping)) {
        Some(people) => people,
        None => {
            let lack = Lack::at("no room says how many people sleep there", "spaces");
            lack.write(&subject, &[&facts::GENERATED], findings);
            return Err(lack);
        }
    };
    let each = given.per_person.unwrap_or(MassFlow::from_si(PER_PERSON));
    let rest = given.activities.unwrap_or(MassFlow::from_si(ACTIVITIES));
    let (all, made) = GivenOff { n: f64::from(people), G1: each, G2: rest }.step();
    let origin = |given: bool, field: &str, mark: &str| match given {
        true => Origin::Given(format!("systems.indoor_moisture.{field}")),
        false => Origin::Published(mark.to_owned()),
    };
    let made = made
        .given(GivenOff::n, if given.people.is_some() { "systems.indoor_moisture.people" } else { "spaces" })
        .from(
            GivenOff::G1,
            origin(given.per_person.is_some(), "per_person", "50 g/h (textbook value, from memory, med)"),
        )
        .from(GivenOff::G2, origin(given.activities.is_some(), "activities", "100 g/h (common practice, no source)"));
    let basis = Basis::new("sum of indoor sources", "common practice, no source").step(made.clone());
    findings.fact(&subject, &facts::GENERATED, all, basis);

    let flow = request
        .number(&subject, "ventilation.delivered_flow")
        .filter(|flow| *flow > 0.0)
        .ok_or_else(|| Lack::at("ventilation.delivered_flow is not known", "systems"))?;
    let kept = Ratio::from_si(moisture_kept(home)?);
    let balance = BalanceExcess { G: all, q: Flow::from_si(flow), η: kept, θi: heated_to(home) };
    let (excess, step) = balance.step();
    if !(excess.si().is_finite() && excess.si() >= 0.0) {
        return Err(Lack::at("no outdoor air carries moisture out", "systems"));
    }
    let step = step
        .fact(BalanceExcess::G, &subject, facts::GENERATED.name)
        .fact(BalanceExcess::q, &subject, "ventilation.delivered_flow")
        .given(BalanceExcess::η, "systems.ventilation")
        .from(BalanceExcess::θi, heated_origin(home));
    let basis = Basis::new("balance of moisture", "ISO 13788:2012, known moisture production and ventilation")
        .provenance(RECALLED)
        .step(made)
        .step(step)
        .assuming("infiltration, and what walls and furniture take up, are not counted")
        .assuming("whole up to 0 °C outdoors, then falling in a straight line to none at 20 °C");
    findings.fact(&subject, &facts::EXCESS_BY_BALANCE, excess, basis.clone());
    Ok((excess, basis))
}

/// Share of moisture that the units' recovery brings back, weighted by their supply air.
fn moisture_kept(home: &Home) -> Result<f64, Lack> {
    let (mut kept, mut all) = (0.0, 0.0);
    for (id, unit) in &home.systems.ventilation {
        // What is missing is not nought: it would make the home drier than it is.
        if let Some(because) = unit.lacks_latent_recovery(id) {
            return Err(Lack::at(because, format!("systems.ventilation.{id}")));
        }
        let flow = unit.supply.map_or(0.0, Flow::si) * unit.run_time.map_or(1.0, Ratio::si);
        all += flow;
        kept += flow * unit.latent_recovery.map_or(0.0, Ratio::si).clamp(0.0, 1.0);
    }
    Ok(if all > 0.0 { kept / all } else { 0.0 })
}

/// The lowest and highest indoor humidity.
fn humidities(climate: &Climate, excess: Pressure, findings: &mut Findings) {
    let subject = Subject::home();
    let of = |(month, conditions): (usize, &Conditions)| (month, conditions.inside.humidity());
    let mut sorted: Vec<(usize, f64)> = climate.air.iter().enumerate().map(of).collect();
    sorted.sort_by(|a, b| a.1.total_cmp(&b.1));
    let ends = [(&facts::LOWEST_HUMIDITY, sorted.first()), (&facts::HIGHEST_HUMIDITY, sorted.last())];
    for (definition, end) in ends {
        let Some((month, _)) = end.copied() else { continue };
        let Some(month_air) = climate.air.get(month) else { continue };
        let path = format!("site.months.{}", name(month).to_lowercase());
        let (at_outdoors, indoors) = (month_air.outside.temperature, month_air.inside.temperature);
        let (rest, falls) = ExcessAt { Δp0: excess, θe: at_outdoors }.step();
        let falls =
            falls.fact(ExcessAt::Δp0, &subject, facts::EXCESS.name).given(ExcessAt::θe, format!("{path}.temperature"));
        let (saturated, saturation) = saturation_step(indoors);
        let (humidity, step) = Humidity { pe: month_air.outside.vapour, Δp: rest, p_s: saturated }.step();
        let step = step.meaning(Humidity::pe, format!("outdoors in {}", name(month))).given(Humidity::pe, path);
        let basis = Basis::new("vapour pressure over saturation", "ISO 13788:2012, annexes A and E")
            .provenance(RECALLED)
            .step(falls)
            .step(saturation.meaning(OverWater::θ, "indoors"))
            .step(step);
        findings.fact(&subject, definition, humidity, basis);
    }
}

/// Months in which the room air itself is as humid as mould needs.
pub(crate) fn humid_months(home: &Home, climate: &Climate, mould: &Critical, findings: &mut Findings) {
    let humid = climate.air.iter().filter(|month| month.inside.humidity() >= mould.humidity).count();
    let method = format!("months with indoor humidity of {} % or more", number(mould.humidity * 100.0, 0));
    let basis = Basis::new(method, "ISO 13788:2012, critical surface humidity")
        .provenance(RECALLED)
        .assuming(format!(
            "in a month as warm as {:.1} °C or more outdoors, indoors is as warm and as humid as outdoors; annual mean {} °C",
            heated_to(home).si(),
            number(annual_mean(&climate.outdoors), 1)
        ));
    findings.count(&Subject::home(), &facts::HUMID_MONTHS, humid, basis);
}
