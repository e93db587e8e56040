//! The year's balance, month by month, and what stands in its way.

use crate::air;
use crate::balance::{ByAir, Exponent, Gained, HeatNeeded, Lost, Need, Proportion, Through, TimeConstant};
use crate::capacity;
use crate::cooling;
use crate::facts::{self, FLUX, HEAT, HEAT_PER_AREA, MONTH};
use crate::figures;
use crate::gathered::Balance;
use crate::ground::Shell;
use crate::hours::Views;
use crate::load;
use crate::months::{Climate, MONTHS, duration};
use crate::performance;
use crate::rooms;
use crate::solar_arrays;
use crate::stated_year::{self, Divided};
use crate::sun::Collectors;
use crate::surfaces::{known, surfaces};
use crate::totals;
use crate::treated;
use crate::unheated_temperatures;
use crate::used;
use crate::zone_model::Model;
use crate::zones::{self, Part};
use mateline_equation::equation;
use mateline_model::quantity::{Area, Duration, Energy, HeatFlux, Temperature, Units};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};
use mateline_weather::WeatherYear;

/// Indoor temperature in winter where the site gives none (°C). Common practice, no source.
const WINTER: f64 = 20.0;
/// Indoor temperature in summer where the site gives none (°C). Common practice, no source.
const SUMMER: f64 = 25.0;
/// What people, lights and appliances give off in a low-energy home (W/m²). Source: passive-building practice (from
/// memory, high).
const INSIDE: f64 = 2.1;
/// What the results rest on.
const STANDARD: &str = "ISO 13790:2008, monthly method";
const RECALLED: &str = "from memory, high";

equation! {
    /// What people, lights and appliances give off in a month. Source: ISO 13790:2008, 10.2 (from memory, high).
    pub(crate) Inside = "Q_i = φ_i A t" {
        Q_i: Energy "from people, lights and appliances" [HEAT],
        φ_i: HeatFlux "for each floor area" [FLUX],
        A: Area "treated floor area" [Units::AREA],
        t: Duration "the month" [MONTH],
    }

    /// What sun and sky bring in a month. Source: definition.
    pub(crate) Sunshine = "Q_s = Φ_s t" {
        Q_s: Energy "from sun and sky" [HEAT],
        Φ_s: Power "sun and sky" [facts::POWER],
        t: Duration "the month" [MONTH],
    }

    /// A year of months. Source: addition.
    pub(crate) Year = "Q = Σ Q_m" {
        Q: Energy "in the year" [HEAT],
        Q_m: [Energy] "in a month" [HEAT],
    }

    /// Need for each floor area. Source: definition.
    pub(crate) PerArea = "q = Q/(A t)" {
        q: HeatFlux "for each floor area" [HEAT_PER_AREA],
        Q: Energy "in the year" [HEAT],
        A: Area "treated floor area" [Units::AREA],
        t: Duration "the year" [Units::new("yr", 0, "yr", 0)],
    }
}

/// Facts of a room.
const ROOMS: [&QuantityDef; 7] = [
    &facts::HEATING_LOAD,
    &facts::HEATING_LOAD_PER_AREA,
    &facts::COOLING_LOAD,
    &facts::COOLING_HOUR,
    &facts::HIGHEST,
    &facts::WARM_HOURS,
    &facts::WARM_SHARE,
];

/// Facts of a month and of the year.
const MONTHLY: [QuantityDef; 5] =
    [facts::LOSSES, facts::SOLAR_GAINS, facts::INTERNAL_GAINS, facts::HEATING_NEED, facts::COOLING_NEED];

/// Writes the balance, or the one thing that it lacks for every fact.
pub(crate) fn report(request: &Request<'_>, weather: Option<&WeatherYear>, findings: &mut Findings) {
    if let Err(lack) = balance(request, weather, findings) {
        *findings = Findings::default();
        totals::lacking(request, &lack, findings);
        performance::lacking(request, &lack, findings);
        for definition in facts::quantities()
            .into_iter()
            .filter(|definition| !totals::is_by_factors(definition) && !performance::is_of_path(definition))
            .filter(|definition| !unheated_temperatures::is_of_space(definition))
        {
            lack.write(&Subject::home(), &[&definition], findings);
        }
        for id in request.home.spaces.keys() {
            lack.write(&Subject::element("spaces", id), &ROOMS, findings);
        }
    }
}

fn balance(request: &Request<'_>, weather: Option<&WeatherYear>, findings: &mut Findings) -> Result<(), Lack> {
    let home = Subject::home();
    let site = &request.home.site;
    let climate = weather.map_or_else(|| Climate::of(request.home), |year| Ok(Climate::of_file(year)))?;
    let surfaces = surfaces(request)?;
    let shell = Shell::of(request, &surfaces)?;
    let air = air::of(request)?;
    let collectors = Collectors::of(request, &surfaces)?;
    let floor = Area::from_si(known(request, &home, "takeoff.floor_area")?);
    let (treated, treated_basis) = treated::area(request)?;
    let stores = capacity::of(request.home, &surfaces, floor)?;
    let (capacity, capacity_basis) = stores.capacity;
    let rooms = rooms::rooms(request, &shell)?;
    let constant = TimeConstant { C: capacity, H_D: shell.airborne.0, H_g: shell.ground, H_V: air.loss.0 };
    let (constant, step) = constant.step();
    let step = step
        .fact(TimeConstant::C, &home, facts::CAPACITY_FACT.name)
        .fact(TimeConstant::H_D, &home, facts::AIRBORNE_LOSS.name)
        .fact(TimeConstant::H_V, &home, facts::AIR_LOSS.name);
    findings.fact(&home, &facts::TREATED_AREA, treated, treated_basis);
    findings.fact(
        &home,
        &facts::CAPACITY_FACT,
        mateline_model::quantity::Quantity::new(capacity, facts::CAPACITY_FACT.dimension()),
        capacity_basis,
    );
    findings.fact(&home, &facts::INFILTRATION, air.infiltration.0, air.infiltration.1.clone());
    findings.fact(&home, &facts::AIR_LOSS, air.loss.0, air.loss.1.clone());
    findings.fact(&home, &facts::AIRBORNE_LOSS, shell.airborne.0, shell.airborne.1.clone());
    let basis = Basis::new("capacity over losses", "ISO 13790:2008, 12.2.1.3").provenance(RECALLED).step(step);
    findings.fact(&home, &facts::TIME_CONSTANT, constant, basis);
    let (exponent, step) = Exponent { τ: constant }.step();
    let step = step.fact(Exponent::τ, &home, facts::TIME_CONSTANT.name);
    let given = request.home.systems.internal_gains;
    let balance = Balance {
        climate: &climate,
        winter: site.indoor_heating.unwrap_or(Temperature::from_si(WINTER)),
        summer: site.indoor_cooling.unwrap_or(Temperature::from_si(SUMMER)),
        internal: (given.unwrap_or(HeatFlux::from_si(INSIDE)), given.is_some()),
        treated,
        shell,
        air,
        collectors,
        capacity,
        mass_area: stores.mass_area,
        stores: stores.each,
        floor,
        rooms_floor: rooms.iter().map(|room| room.space.floor_area.si()).sum(),
        exponent: (exponent, vec![step]),
    };
    let months: Vec<[Energy; 5]> = (0..12).map(|month| balance.month(month, findings)).collect();
    let by_months = balance.year(&months, findings);
    let mut views = Views::default();
    let whole = Model::of(request, &balance, &surfaces, &mut views, &Part::whole(&balance))?;
    let compared = performance::prepared(request, &balance, &surfaces, &whole, &mut views);
    let (parts, links) = zones::parts(request.home, &balance, &surfaces, &rooms);
    let mut divided = Divided { parts: Vec::new(), links };
    for part in parts {
        let model = Model::of(request, &balance, &surfaces, &mut views, &part)?;
        divided.parts.push((part, model));
    }
    let year =
        stated_year::report(request, &balance, weather, &surfaces, (&whole, &divided, views), by_months, findings)?;
    if request.shown {
        findings.figures.push(figures::ways(request, &balance, &surfaces)?);
        let needs: Vec<[Energy; 2]> = months.iter().map(|[.., heat, cool]| [*heat, *cool]).collect();
        findings.figures.push(figures::months(&needs, request.home.units));
    }
    solar_arrays::report(request, &climate, &year, findings);
    used::report(request, &balance, &year, findings);
    performance::report(request, &balance, &year, compared, findings);
    load::report(request, &balance, &rooms, findings);
    cooling::report(request, &balance, &rooms, findings);
    unheated_temperatures::report(request, &balance, &surfaces, findings)?;
    for id in request.home.spaces.keys().filter(|id| rooms.iter().all(|room| room.id != *id)) {
        let lack = Lack::at("the room lies outside the heated home", format!("spaces.{id}"));
        lack.write(&Subject::element("spaces", id), &ROOMS, findings);
    }
    Ok(())
}

impl Balance<'_> {
    /// What a month loses at an indoor temperature.
    fn lost(&self, month: usize, indoors: Temperature) -> (Energy, Vec<Step>) {
        let home = Subject::home();
        let t = duration(month);
        let outdoors = self.climate.temperatures.get(month).copied().unwrap_or_default();
        let given = self.climate.path(month, "temperature");
        let (through, step) = Through { H_D: self.shell.airborne.0, θ_i: indoors, θ_e: outdoors, t }.step();
        let mut steps =
            vec![step.fact(Through::H_D, &home, facts::AIRBORNE_LOSS.name).given(Through::θ_e, given.clone())];
        let (ground, into) = self.shell.below(self.climate, indoors, month, t);
        steps.extend(into);
        let (by_air, step) = ByAir { H_V: self.air.loss.0, θ_i: indoors, θ_e: outdoors, t }.step();
        steps.push(step.fact(ByAir::H_V, &home, facts::AIR_LOSS.name).given(ByAir::θ_e, given));
        let (lost, step) = Lost { Q_D: through, Q_g: ground, Q_V: by_air }.step();
        steps.push(step);
        (lost, steps)
    }

    /// Writes a month's facts and hands them back in the order of [`MONTHLY`].
    fn month(&self, month: usize, findings: &mut Findings) -> [Energy; 5] {
        let subject = Subject::element("months", MONTHS.get(month % 12).map_or("", |(_, name, _)| name));
        let t = duration(month);
        let basis = |method: &'static str| Basis::new(method, STANDARD).provenance(RECALLED);
        let with = |basis: Basis, steps: Vec<Step>| steps.into_iter().fold(basis, Basis::step);

        let (lost, steps) = self.lost(month, self.winter);
        findings.fact(&subject, &facts::LOSSES, lost, with(basis("losses of the month"), steps));

        let (sun, mut steps) = self.collectors.month(self.climate, month);
        let (solar, step) = Sunshine { Φ_s: sun, t }.step();
        steps.push(step);
        findings.fact(&subject, &facts::SOLAR_GAINS, solar, with(basis("sun and sky in the month"), steps));

        let (inside, step) = Inside { φ_i: self.internal.0, A: self.treated, t }.step();
        let step = step.fact(Inside::A, &Subject::home(), facts::TREATED_AREA.name);
        let step = match self.internal.1 {
            true => step.given(Inside::φ_i, "systems.internal_gains"),
            false => step.published(Inside::φ_i, "passive-building practice (from memory, high)"),
        };
        findings.fact(&subject, &facts::INTERNAL_GAINS, inside, basis("heat given off indoors").step(step));

        let (gained, step) = Gained { Q_i: inside, Q_s: solar }.step();
        let gained_step = step.fact(Gained::Q_i, &subject, facts::INTERNAL_GAINS.name).fact(
            Gained::Q_s,
            &subject,
            facts::SOLAR_GAINS.name,
        );
        let need = Need::of_heating(lost, gained, self.exponent.0);
        let steps = need.steps.into_iter().map(|step| told_of(step, &subject));
        let heating = std::iter::once(gained_step.clone()).chain(self.exponent.1.clone()).chain(steps).collect();
        let mut heating_basis = with(basis("losses less the gains that are of use"), heating);
        heating_basis.assumptions.extend(need.because.map(str::to_owned));
        findings.fact(&subject, &facts::HEATING_NEED, need.heat, heating_basis);

        let (lost_warm, mut steps) = self.lost(month, self.summer);
        let cooling = Need::of_cooling(lost_warm, gained, self.exponent.0);
        steps.push(gained_step);
        steps.extend(self.exponent.1.clone());
        steps.extend(cooling.steps);
        let mut cooling_basis = with(basis("gains less the losses that are of use"), steps);
        cooling_basis.assumptions.extend(cooling.because.map(str::to_owned));
        findings.fact(&subject, &facts::COOLING_NEED, cooling.heat, cooling_basis);
        [lost, solar, inside, need.heat, cooling.heat]
    }

    /// Writes the year's sums, and hands back what it needs for heating and cooling.
    fn year(&self, months: &[[Energy; 5]], findings: &mut Findings) -> [Energy; 2] {
        let mut needs = [Energy::default(); 2];
        let home = Subject::home();
        let subjects = MONTHS.map(|(_, name, _)| Subject::element("months", name));
        for (place, definition) in MONTHLY.iter().enumerate() {
            let each: Vec<Energy> = months.iter().filter_map(|month| month.get(place).copied()).collect();
            let (sum, step) = Year { Q_m: &each }.step();
            let step = step.each(Year::Q_m, &subjects, |term, subject| {
                Term { meaning: subject.id().to_owned(), ..term }.fact(subject, definition.name.clone())
            });
            let basis = match definition.name == facts::SOLAR_GAINS.name {
                true => self.collectors.basis(),
                false => Basis::new("sum of the months", STANDARD).provenance(RECALLED),
            };
            findings.fact(&home, definition, sum, basis.step(step));
            let (per_area, need) = match (place, &mut needs) {
                (3, [heat, _]) => (&facts::HEATING_PER_AREA, heat),
                (4, [_, cool]) => (&facts::COOLING_PER_AREA, cool),
                _ => continue,
            };
            *need = sum;
            let t = Duration::from_si(365.0 * 86_400.0);
            let (need, step) = PerArea { Q: sum, A: self.treated, t }.step();
            let step =
                step.fact(PerArea::Q, &home, definition.name.clone()).fact(PerArea::A, &home, facts::TREATED_AREA.name);
            let basis = Basis::new("need for each treated floor area", STANDARD).provenance(RECALLED).step(step);
            findings.fact(&home, per_area, need, basis);
        }
        needs
    }
}

/// A step of the heating need, with the facts of the month that it takes up.
fn told_of(step: Step, subject: &Subject) -> Step {
    let symbols = [Proportion::Q_l.0, HeatNeeded::Q_l.0];
    let lost = |term: Term| match symbols.contains(&&*term.symbol) {
        true => term.fact(subject, facts::LOSSES.name),
        false => term,
    };
    Step { terms: step.terms.into_iter().map(lost).collect(), ..step }
}
