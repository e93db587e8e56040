//! What recovery does to the air at the design outdoor temperature: supply temperature, frost, heat and moisture.

use crate::facts::{self, FLOW, HEAT, TEMPERATURE};
use crate::lack::Lack;
use crate::service::Service;
use mateline_model::home::{Home, VentilationKind};
use mateline_model::quantity::{Flow, Length, MassFlow, Power, Pressure, Temperature, Units};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term};
use mateline_psychrometrics::moist_air::{
    barometer_at, density, humidity_ratio, relative_humidity, saturation_pressure,
};
use mateline_sdk::{Findings, Request};

/// Indoor relative humidity in the heating season (common practice, no source).
pub const INDOORS: f64 = 0.35;
/// Outdoor relative humidity at the design temperature (common practice, no source).
pub const OUTDOORS: f64 = 0.80;
/// Indoor temperature where the site gives none (°C).
const INDOOR_TEMPERATURE: f64 = 20.0;
/// Specific heat of air (J/(kg·K)).
const SPECIFIC_HEAT: f64 = 1_006.0;
/// Coldest outdoor air that is tried for frost (°C).
const COLDEST: f64 = -50.0;

/// Air on both sides of a recovery core.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exchange {
    /// Sensible recovery of the supply air, `(t_s − t_o)/(t_i − t_o)`.
    pub sensible: f64,
    /// Latent recovery of the supply air, `(W_s − W_o)/(W_i − W_o)`.
    pub latent: f64,
    /// Supply over exhaust flow.
    pub ratio: f64,
    /// Indoor temperature.
    pub indoors: Temperature,
    /// Barometric pressure.
    pub barometer: Pressure,
}

impl Exchange {
    /// Supply air behind the core: `t_s = t_o + ε (t_i − t_o)`.
    pub fn supply(&self, outdoors: Temperature) -> Temperature {
        outdoors + (self.indoors - outdoors) * self.sensible
    }

    /// Exhaust air behind the core: `t_x = t_i − ε r (t_i − t_o)`, not below the outdoor air. Heat set free by water that
    /// condenses is left out, which lies on the cold side.
    pub fn exhaust(&self, outdoors: Temperature) -> Temperature {
        let given = (self.sensible * self.ratio).min(1.0);
        outdoors + (self.indoors - outdoors) * (1.0 - given)
    }

    /// Humidity ratios of the indoor air, the outdoor air and the exhaust behind the core, nothing yet condensed:
    /// `W_x = W_i − ε_l r (W_i − W_o)`.
    pub fn humidity(&self, outdoors: Temperature) -> Option<(f64, f64, f64)> {
        let indoor = humidity_ratio(self.indoors, INDOORS, self.barometer)?;
        let outdoor = humidity_ratio(outdoors, OUTDOORS, self.barometer)?;
        Some((indoor, outdoor, indoor - (self.latent * self.ratio).min(1.0) * (indoor - outdoor)))
    }

    /// Whether the exhaust side can ice up: its air is below 0 °C and past saturation over ice.
    pub fn frosts(&self, outdoors: Temperature) -> Option<bool> {
        let leaving = self.exhaust(outdoors);
        let (_, _, ratio) = self.humidity(outdoors)?;
        Some(leaving.si() < 0.0 && relative_humidity(leaving, ratio, self.barometer)? > 1.0)
    }

    /// Outdoor temperature at which frost begins, by bisection; `None` where there is none down to −50 °C.
    pub fn frost_begins(&self) -> Option<Temperature> {
        let (mut cold, mut warm) = (COLDEST, self.indoors.si().min(0.0));
        if !self.frosts(Temperature::from_si(cold))? || self.frosts(Temperature::from_si(warm))? {
            return None;
        }
        while warm - cold > 1e-6 {
            let middle = Temperature::from_si(0.5 * (cold + warm));
            if self.frosts(middle)? { cold = middle.si() } else { warm = middle.si() }
        }
        Some(Temperature::from_si(cold))
    }
}

/// Facts of every unit.
pub(crate) fn report(request: &Request<'_>, services: &[Service<'_>], findings: &mut Findings) {
    for service in services {
        if let Err((lack, owed)) = unit(request.home, service, findings) {
            lack.write(&service.subject, owed, findings);
        }
    }
}

const HEAT_FACTS: &[&QuantityDef] = &[&facts::HEAT_LOSS, &facts::HEAT_RECOVERED];
const CORE_FACTS: &[&QuantityDef] = &[
    &facts::SUPPLY_TEMPERATURE,
    &facts::EXHAUST_TEMPERATURE,
    &facts::FROST_RISK,
    &facts::FROST_BEGINS,
    &facts::HEAT_LOSS,
    &facts::HEAT_RECOVERED,
    &facts::MOISTURE_REMOVED,
];

type Owed = (Lack, &'static [&'static QuantityDef]);

fn unit(home: &Home, service: &Service<'_>, findings: &mut Findings) -> Result<(), Owed> {
    let recovers = matches!(
        service.unit.kind,
        VentilationKind::HeatRecovery | VentilationKind::EnergyRecovery | VentilationKind::SpotRecovery
    );
    let owed = if recovers { CORE_FACTS } else { HEAT_FACTS };
    let lacking = |lack| (lack, owed);
    let outdoors = home.site.design_heating.ok_or_else(|| lacking(Lack::at("site has no design_heating", "site")))?;
    let (supply, exhaust) = service.design.clone().map_err(lacking)?;
    let run = service.run_share() * service.throttle(home).map_err(lacking)?;
    let sensible = match service.unit.sensible_recovery {
        Some(sensible) => sensible.si(),
        None if !recovers => 0.0,
        None => {
            let because = format!("{} has no sensible_recovery", service.subject);
            return Err(lacking(Lack::at(because, service.subject.as_str())));
        }
    };
    let barometer = barometer_at(home.site.elevation.unwrap_or(Length::from_si(0.0)));
    let indoors = home.site.indoor_heating.unwrap_or(Temperature::from_si(INDOOR_TEMPERATURE));
    let ratio = if exhaust.si() > 0.0 { supply / exhaust } else { 1.0 };
    let latent = service.unit.latent_recovery.map_or(0.0, |latent| latent.si());
    let exchange = Exchange { sensible, latent, ratio, indoors, barometer };
    let indoor_ratio = humidity_ratio(indoors, INDOORS, barometer);
    let rho = indoor_ratio.map(|ratio| density(indoors, ratio, barometer).si());
    let Some(rho) = rho else {
        return Err(lacking(Lack::at("the indoor temperature is outside the range of the formulas", "site")));
    };
    let moved = if supply > exhaust { supply } else { exhaust };
    let unit = Unit { home, service, exchange, outdoors, rho, flow: moved * run, exhausted: exhaust * run };
    unit.heat(findings);
    if recovers {
        unit.core(findings);
    }
    Ok(())
}

struct Unit<'a, 'b> {
    home: &'b Home,
    service: &'b Service<'a>,
    exchange: Exchange,
    outdoors: Temperature,
    rho: f64,
    flow: Flow,
    exhausted: Flow,
}

impl Unit<'_, '_> {
    fn subject(&self) -> &Subject {
        &self.service.subject
    }

    /// The two temperatures and the recovery, as terms.
    fn terms(&self, step: Step) -> Step {
        let (indoors, outdoors) = (self.exchange.indoors, self.outdoors);
        let mut indoor = Term::new("t_i", "indoor air", indoors, TEMPERATURE);
        if self.home.site.indoor_heating.is_some() {
            indoor = indoor.given("site.indoor_heating");
        }
        let mut sensible = Term::new("ε", "sensible recovery", self.exchange.sensible, Units::PERCENT);
        if self.service.unit.sensible_recovery.is_some() {
            sensible = sensible.given(format!("{}.sensible_recovery", self.subject()));
        }
        step.term(indoor)
            .term(Term::new("t_o", "outdoor air at design", outdoors, TEMPERATURE).given("site.design_heating"))
            .term(sensible)
    }

    fn heat(&self, findings: &mut Findings) {
        let rise = (self.exchange.indoors - self.outdoors).si().max(0.0);
        let whole = Power::from_si(self.rho * SPECIFIC_HEAT * self.flow.si() * rise);
        let lost = |share: f64| whole * (1.0 - share);
        let sensible = self.exchange.sensible;
        let air = || {
            Step::new("ρ c Q (t_i − t_o)")
                .term(Term::new("ρ", "density of the indoor air", self.rho, Units::plain(4)))
                .term(Term::new("c", "specific heat (J/(kg·K))", SPECIFIC_HEAT, Units::plain(0)))
                .term(Term::new("Q", "flow, averaged over run time", self.flow, FLOW))
                .result(Term::new("P_0", "heat of the same air without recovery", whole, HEAT))
        };
        let compare = |basis: Basis| {
            // The same air by each kind of unit: a fan alone, and cores of the recoveries this home's units have.
            let mut kinds: Vec<(&str, f64)> = vec![("a fan without recovery", 0.0)];
            for other in &self.home.systems.ventilation {
                if let Some(recovery) = other.1.sensible_recovery {
                    kinds.push((other.0, recovery.si()));
                }
            }
            kinds.into_iter().fold(basis, |basis, (name, recovery)| {
                let words = format!("the same air by {name}");
                basis.step(
                    Step::new("P_0 (1 − ε_k)")
                        .term(Term::new("ε_k", format!("recovery of {name}"), recovery, Units::PERCENT))
                        .result(Term::new("P_k", words, lost(recovery), HEAT)),
                )
            })
        };
        let basis =
            Basis::new("sensible heat of the air at design", "ASHRAE Fundamentals, ch. 1").provenance("from memory");
        let loss = basis.clone().step(self.terms(air())).step(Step::new("P = P_0 (1 − ε)").result(Term::new(
            "P",
            "heat the air still takes",
            lost(sensible),
            HEAT,
        )));
        findings.fact(self.subject(), &facts::HEAT_LOSS, lost(sensible), compare(loss));
        let recovered = whole * sensible;
        let basis = basis.step(self.terms(air())).step(Step::new("P = P_0 ε").result(Term::new(
            "P",
            "heat recovered",
            recovered,
            HEAT,
        )));
        findings.fact(self.subject(), &facts::HEAT_RECOVERED, recovered, basis);
    }

    fn core(&self, findings: &mut Findings) {
        let subject = self.subject();
        let supply = self.exchange.supply(self.outdoors);
        let step = self.terms(Step::new("t_s = t_o + ε (t_i − t_o)"));
        let basis = Basis::new("temperature behind the core", "definition of the recovery")
            .step(step.result(Term::new("t_s", "supply air", supply, TEMPERATURE)))
            .assuming(
                "the rated recovery holds at the design temperature, without defrost; heat of the fans is left out",
            );
        findings.fact(subject, &facts::SUPPLY_TEMPERATURE, supply, basis);
        let leaving = self.exchange.exhaust(self.outdoors);
        let ratio = Term::new("r", "supply over exhaust", self.exchange.ratio, Units::plain(3));
        let step = self.terms(Step::new("t_x = t_i − ε r (t_i − t_o)")).term(ratio.clone());
        let leaving_step = step.result(Term::new("t_x", "exhaust behind the core", leaving, TEMPERATURE));
        let basis = Basis::new("temperature behind the core", "heat balance of the core").step(leaving_step.clone());
        findings.fact(subject, &facts::EXHAUST_TEMPERATURE, leaving, basis);

        let moist = [&facts::FROST_RISK, &facts::FROST_BEGINS, &facts::MOISTURE_REMOVED];
        if self.service.unit.kind == VentilationKind::EnergyRecovery && self.service.unit.latent_recovery.is_none() {
            let lack = Lack::at(format!("{subject} recovers moisture and has no latent_recovery"), subject.as_str());
            return lack.write(subject, &moist, findings);
        }
        let Some((inside, outside, carried)) = self.exchange.humidity(self.outdoors) else {
            let lack = Lack::at("a temperature is outside the range of the formulas", "site.design_heating");
            return lack.write(subject, &moist, findings);
        };
        let humid = Units::plain(5);
        let mut latent = Term::new("ε_l", "latent recovery", self.exchange.latent, Units::PERCENT);
        if self.service.unit.latent_recovery.is_some() {
            latent = latent.given(format!("{subject}.latent_recovery"));
        }
        let moisture_step = Step::new("W_x = W_i − ε_l r (W_i − W_o)")
            .term(Term::new("W_i", "indoor humidity ratio", inside, humid.clone()))
            .term(Term::new("W_o", "outdoor humidity ratio", outside, humid.clone()))
            .term(latent.clone())
            .term(ratio)
            .result(Term::new("W_x", "humidity ratio of the exhaust behind the core", carried, humid.clone()));
        let saturated = saturation_pressure(leaving).map_or(0.0, Pressure::si);
        let wet = relative_humidity(leaving, carried, self.exchange.barometer).unwrap_or_default();
        let basis = Basis::new("psychrometrics of the exhaust behind the core", "ASHRAE Fundamentals, ch. 1")
            .provenance("from memory")
            .step(leaving_step)
            .step(moisture_step.clone())
            .step(
                Step::new("φ_x = p_w(W_x)/p_ws(t_x)")
                    .term(Term::new("p_ws", "saturation pressure", Pressure::from_si(saturated), facts::PASCAL))
                    .result(Term::new("φ_x", "relative humidity, nothing condensed", wet, Units::PERCENT)),
            )
            .assuming("indoor air at 35 %, outdoor air at 80 % relative humidity (common practice, no source)")
            .assuming("frost where the air is below 0 °C and past saturation; heat of condensing is left out");
        let frosts = self.exchange.frosts(self.outdoors).unwrap_or(true);
        findings.flag(subject, &facts::FROST_RISK, frosts, basis.clone());
        match self.exchange.frost_begins() {
            Some(begins) => {
                let step = Step::new("t_x < 0 °C and φ_x > 1").result(Term::new(
                    "t_o",
                    "outdoor air at which frost begins",
                    begins,
                    TEMPERATURE,
                ));
                findings.fact(subject, &facts::FROST_BEGINS, begins, basis.step(step));
            }
            None => {
                let because = "the exhaust side does not reach frost between 0 and −50 °C outdoors";
                Lack::new(because).write(subject, &[&facts::FROST_BEGINS], findings);
            }
        }
        let out = self.rho * self.exhausted.si() * (inside - outside) * (1.0 - self.exchange.latent);
        let out = MassFlow::from_si(out.max(0.0));
        let step = Step::new("m = ρ Q (W_i − W_o)(1 − ε_l)")
            .term(Term::new("ρ", "density of the indoor air", self.rho, Units::plain(4)))
            .term(Term::new("Q", "exhaust, averaged over run time", self.exhausted, FLOW))
            .term(latent)
            .result(Term::new("m", "water carried out", out, facts::MOISTURE_REMOVED.units.clone()));
        let basis =
            Basis::new("moisture balance of the unit's air", "ASHRAE Fundamentals, ch. 1").provenance("from memory");
        let basis = basis.step(moisture_step).step(step);
        let basis =
            basis.assuming("indoor air at 35 %, outdoor air at 80 % relative humidity (common practice, no source)");
        findings.fact(subject, &facts::MOISTURE_REMOVED, out, basis);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    fn core(sensible: f64, latent: f64) -> Exchange {
        let barometer = Pressure::from_si(101_325.0);
        Exchange { sensible, latent, ratio: 1.0, indoors: Temperature::from_si(20.0), barometer }
    }

    #[test]
    fn temperatures_of_a_balanced_core() {
        let cold = Temperature::from_si(-20.0);
        assert!((core(0.8, 0.0).supply(cold).si() - 12.0).abs() < 1e-12);
        assert!((core(0.8, 0.0).exhaust(cold).si() + 12.0).abs() < 1e-12);
        assert_eq!(core(0.0, 0.0).exhaust(cold), Temperature::from_si(20.0));
    }

    /// A better core is colder on its exhaust side and frosts sooner; one that passes moisture back frosts later.
    #[test]
    fn frost_by_kind() {
        let begins = |sensible, latent| core(sensible, latent).frost_begins().unwrap().si();
        assert!(begins(0.9, 0.0) > begins(0.7, 0.0));
        assert!(begins(0.8, 0.6) < begins(0.8, 0.0));
        // The exhaust of a core without moisture transfer is past saturation whenever it is below 0 °C: indoor air of
        // 20 °C and 35 % has its dew point at 4 °C. So frost begins where 20 − 0.8 (20 − t) = 0, at −5 °C.
        assert!((begins(0.8, 0.0) + 5.0).abs() < 1e-4);
        assert_eq!(core(0.2, 0.0).frost_begins(), None);
    }
}
