//! What recovery does to the air at the design outdoor temperature: supply temperature, frost, heat and moisture.

use crate::facts::{self, HEAT};
use crate::service::Service;
use mateline_equation::equation;
use mateline_model::home::{Home, VentilationKind};
use mateline_model::quantity::{Density, Flow, Length, Pressure, SpecificHeat, Temperature, Units};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term};
use mateline_psychrometrics::moist_air::{barometer_at, density, humidity_ratio, saturation_pressure};
use mateline_sdk::{Findings, Lack, Request};

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

/// A humidity ratio.
const HUMIDITY: Units = Units::plain(5);

equation! {
    /// Supply air behind the core. Source: definition of the sensible recovery.
    pub SupplyAir = "t_s = t_o + ε (t_i − t_o)" {
        t_s: Temperature "supply air" [Units::TEMPERATURE],
        t_i: Temperature "indoor air" [Units::TEMPERATURE],
        t_o: Temperature "outdoor air at design" [Units::TEMPERATURE],
        ε: f64 "sensible recovery" [Units::PERCENT],
    }

    /// Exhaust air behind the core. Heat set free by water that condenses is left out, which lies on the cold side.
    /// Source: heat balance of the core.
    pub ExhaustAir = "t_x = t_i − min(1, ε r) (t_i − t_o)" {
        t_x: Temperature "exhaust behind the core" [Units::TEMPERATURE],
        t_i: Temperature "indoor air" [Units::TEMPERATURE],
        t_o: Temperature "outdoor air at design" [Units::TEMPERATURE],
        ε: f64 "sensible recovery" [Units::PERCENT],
        r: f64 "supply over exhaust" [Units::plain(3)],
    }

    /// Humidity ratio of the exhaust behind the core, nothing yet condensed. Source: definition of the latent recovery.
    pub ExhaustHumidity = "W_x = W_i − min(1, ε_l r) (W_i − W_o)" {
        W_x: f64 "humidity ratio of the exhaust behind the core" [HUMIDITY],
        W_i: f64 "indoor humidity ratio" [HUMIDITY],
        W_o: f64 "outdoor humidity ratio" [HUMIDITY],
        ε_l: f64 "latent recovery" [Units::PERCENT],
        r: f64 "supply over exhaust" [Units::plain(3)],
    }

    /// Relative humidity of the exhaust behind the core. Source: ASHRAE Fundamentals, ch. 1 (from memory).
    pub ExhaustSaturation = "φ_x = W_x p/((0.621945 + W_x) p_ws)" {
        φ_x: f64 "relative humidity, nothing condensed" [Units::PERCENT],
        W_x: f64 "humidity ratio of the exhaust behind the core" [HUMIDITY],
        p: Pressure "barometric pressure" [Units::new("kPa", 3, "psi", 3)],
        p_ws: Pressure "saturation pressure" [facts::PASCAL],
    }

    /// Sensible heat of the air without recovery. Source: ASHRAE Fundamentals, ch. 1 (from memory).
    pub AirHeat = "P_0 = ρ c Q max(0, t_i − t_o)" {
        P_0: Power "heat of the same air without recovery" [HEAT],
        ρ: Density "density of the indoor air" [Units::new("kg/m³", 4, "lb/ft³", 5)],
        c: SpecificHeat "specific heat" [Units::new("J/(kg·K)", 0, "Btu/(lb·°F)", 4)],
        Q: Flow "flow, averaged over run time" [Units::FLOW],
        t_i: Temperature "indoor air" [Units::TEMPERATURE],
        t_o: Temperature "outdoor air at design" [Units::TEMPERATURE],
    }

    /// Heat that the air still takes behind a recovery. Source: definition of the sensible recovery.
    pub HeatLost = "P = P_0 (1 − ε)" {
        P: Power "heat the air still takes" [HEAT],
        P_0: Power "heat of the same air without recovery" [HEAT],
        ε: f64 "sensible recovery" [Units::PERCENT],
    }

    /// The same air by another kind of unit. Source: as for the unit's own.
    pub OtherLost = "P_k = P_0 (1 − ε_k)" {
        P_k: Power "the same air" [HEAT],
        P_0: Power "heat of the same air without recovery" [HEAT],
        ε_k: f64 "recovery" [Units::PERCENT],
    }

    /// Heat recovered. Source: definition of the sensible recovery.
    pub HeatRecovered = "P = P_0 ε" {
        P: Power "heat recovered" [HEAT],
        P_0: Power "heat of the same air without recovery" [HEAT],
        ε: f64 "sensible recovery" [Units::PERCENT],
    }

    /// Water that the exhaust carries out. Source: moisture balance; ASHRAE Fundamentals, ch. 1 (from memory).
    pub WaterOut = "m = max(0, ρ Q (W_i − W_o)(1 − ε_l))" {
        m: MassFlow "water carried out" [Units::WATER_PER_DAY],
        ρ: Density "density of the indoor air" [Units::new("kg/m³", 4, "lb/ft³", 5)],
        Q: Flow "exhaust, averaged over run time" [Units::FLOW],
        W_i: f64 "indoor humidity ratio" [HUMIDITY],
        W_o: f64 "outdoor humidity ratio" [HUMIDITY],
        ε_l: f64 "latent recovery" [Units::PERCENT],
    }
}

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
    /// Supply air behind the core.
    pub fn supply(&self, outdoors: Temperature) -> SupplyAir {
        SupplyAir { t_i: self.indoors, t_o: outdoors, ε: self.sensible }
    }

    /// Exhaust air behind the core, not below the outdoor air.
    pub fn exhaust(&self, outdoors: Temperature) -> ExhaustAir {
        ExhaustAir { t_i: self.indoors, t_o: outdoors, ε: self.sensible, r: self.ratio }
    }

    /// Moisture on both sides, nothing yet condensed; `None` outside the range of the formulas.
    pub fn humidity(&self, outdoors: Temperature) -> Option<ExhaustHumidity> {
        let indoor = humidity_ratio(self.indoors, INDOORS, self.barometer)?;
        let outdoor = humidity_ratio(outdoors, OUTDOORS, self.barometer)?;
        Some(ExhaustHumidity { W_i: indoor, W_o: outdoor, ε_l: self.latent, r: self.ratio })
    }

    /// How near the exhaust behind the core is to saturation; `None` outside the range of the formulas.
    pub fn saturation(&self, outdoors: Temperature) -> Option<ExhaustSaturation> {
        let saturated = saturation_pressure(self.exhaust(outdoors).value())?;
        Some(ExhaustSaturation { W_x: self.humidity(outdoors)?.value(), p: self.barometer, p_ws: saturated })
    }

    /// Whether the exhaust side can ice up: its air is below 0 °C and past saturation over ice.
    pub fn frosts(&self, outdoors: Temperature) -> Option<bool> {
        let leaving = self.exhaust(outdoors).value();
        Some(leaving.si() < 0.0 && self.saturation(outdoors)?.value() > 1.0)
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
    let recovers = service.unit.kind.recovers_heat();
    if !recovers {
        let core = CORE_FACTS.iter().copied().filter(|owed| !HEAT_FACTS.contains(owed)).collect::<Vec<_>>();
        Lack::new(format!("{} recovers no heat", service.subject)).write(&service.subject, &core, findings);
    }
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
    let rho = indoor_ratio.map(|ratio| density(indoors, ratio, barometer));
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
    rho: Density,
    flow: Flow,
    exhausted: Flow,
}

impl Unit<'_, '_> {
    fn subject(&self) -> &Subject {
        &self.service.subject
    }

    /// A step with where its temperatures and recoveries come from.
    fn origins(&self, mut step: Step) -> Step {
        let unit = &self.service.unit;
        let known = [
            (SupplyAir::t_i, self.home.site.indoor_heating.map(|_| "site.indoor_heating".to_owned())),
            (SupplyAir::t_o, Some("site.design_heating".to_owned())),
            (SupplyAir::ε, unit.sensible_recovery.map(|_| format!("{}.sensible_recovery", self.subject()))),
            (WaterOut::ε_l, unit.latent_recovery.map(|_| format!("{}.latent_recovery", self.subject()))),
        ];
        for (symbol, path) in known {
            if let Some(path) = path.filter(|_| step.terms.iter().any(|term| term.symbol == symbol.0)) {
                step = step.given(symbol, path);
            }
        }
        step
    }

    /// The air that reaches the core: outdoors, or what that is warmed to before.
    fn before_core(&self) -> (Temperature, bool) {
        let warmed = self.service.unit.preheat_to.filter(|to| *to > self.outdoors);
        warmed.map_or((self.outdoors, false), |to| (to, true))
    }

    /// The same for the air of the core.
    fn core_origins(&self, step: Step) -> Step {
        let step = self.origins(step);
        let has_air = step.terms.iter().any(|term| term.symbol == SupplyAir::t_o.0);
        if !(has_air && self.before_core().1) {
            return step;
        }
        let step = step.meaning(SupplyAir::t_o, "outdoor air as it is warmed before the core");
        step.given(SupplyAir::t_o, format!("{}.preheat_to", self.subject()))
    }

    fn heat(&self, findings: &mut Findings) {
        let sensible = self.exchange.sensible;
        let air = AirHeat {
            ρ: self.rho,
            c: SpecificHeat::from_si(SPECIFIC_HEAT),
            Q: self.flow,
            t_i: self.exchange.indoors,
            t_o: self.outdoors,
        };
        let (whole, air) = air.step();
        let air = self.origins(air);
        let compare = |basis: Basis| {
            // The same air by each kind of unit: a fan alone, and cores of the recoveries this home's units have.
            let mut kinds: Vec<(&str, f64)> = vec![("a fan without recovery", 0.0)];
            for other in &self.home.systems.ventilation {
                if let Some(recovery) = other.1.sensible_recovery {
                    kinds.push((other.0, recovery.si()));
                }
            }
            kinds.into_iter().fold(basis, |basis, (name, recovery)| {
                let step = OtherLost { P_0: whole, ε_k: recovery }.step().1;
                let step = step.meaning(OtherLost::ε_k, format!("recovery of {name}"));
                basis.step(step.meaning(OtherLost::P_k, format!("the same air by {name}")))
            })
        };
        let basis = Basis::new("sensible heat of the air at design", "ASHRAE Fundamentals, ch. 1")
            .provenance("from memory")
            .step(air);
        let (lost, step) = HeatLost { P_0: whole, ε: sensible }.step();
        findings.fact(self.subject(), &facts::HEAT_LOSS, lost, compare(basis.clone().step(self.origins(step))));
        let (recovered, step) = HeatRecovered { P_0: whole, ε: sensible }.step();
        findings.fact(self.subject(), &facts::HEAT_RECOVERED, recovered, basis.step(self.origins(step)));
    }

    fn core(&self, findings: &mut Findings) {
        let subject = self.subject();
        let (air, _) = self.before_core();
        let (supply, step) = self.exchange.supply(air).step();
        let basis = Basis::new("temperature behind the core", "definition of the recovery")
            .step(self.core_origins(step))
            .assuming(
                "the rated recovery holds at the design temperature, without defrost; heat of the fans is left out",
            );
        findings.fact(subject, &facts::SUPPLY_TEMPERATURE, supply, basis);
        let (leaving, step) = self.exchange.exhaust(air).step();
        let leaving_step = self.core_origins(step);
        let basis = Basis::new("temperature behind the core", "heat balance of the core").step(leaving_step.clone());
        findings.fact(subject, &facts::EXHAUST_TEMPERATURE, leaving, basis);

        let moist = [&facts::FROST_RISK, &facts::FROST_BEGINS, &facts::MOISTURE_REMOVED];
        if self.service.unit.kind == VentilationKind::EnergyRecovery && self.service.unit.latent_recovery.is_none() {
            let lack = Lack::at(format!("{subject} recovers moisture and has no latent_recovery"), subject.as_str());
            return lack.write(subject, &moist, findings);
        }
        // Warming leaves the water in the air as it is: taken at 80 % at the core's temperature there is more of it, and
        // frost is found sooner.
        let (moisture, outside) = (self.exchange.humidity(air), self.exchange.humidity(self.outdoors));
        let (Some(moisture), Some(outside), Some(wet)) = (moisture, outside, self.exchange.saturation(air)) else {
            let lack = Lack::at("a temperature is outside the range of the formulas", "site.design_heating");
            return lack.write(subject, &moist, findings);
        };
        let moisture_step = self.origins(moisture.step().1);
        let basis = Basis::new("psychrometrics of the exhaust behind the core", "ASHRAE Fundamentals, ch. 1")
            .provenance("from memory")
            .step(leaving_step)
            .step(moisture_step.clone())
            .step(wet.step().1)
            .assuming("indoor air at 35 %, outdoor air at 80 % relative humidity (common practice, no source)")
            .assuming("frost where the air is below 0 °C and past saturation; heat of condensing is left out");
        let frosts = self.exchange.frosts(air).unwrap_or(true);
        findings.flag(subject, &facts::FROST_RISK, frosts, basis.clone());
        match self.exchange.frost_begins() {
            Some(begins) => {
                let step = Step::procedure("t_x < 0 °C and φ_x > 1").result(Term::new(
                    "t_o",
                    "outdoor air at which frost begins",
                    begins,
                    Units::TEMPERATURE,
                ));
                findings.fact(subject, &facts::FROST_BEGINS, begins, basis.step(step));
            }
            None => {
                let because = "the exhaust side does not reach frost between 0 and −50 °C outdoors";
                Lack::new(because).write(subject, &[&facts::FROST_BEGINS], findings);
            }
        }
        let out =
            WaterOut {
                ρ: self.rho, Q: self.exhausted, W_i: outside.W_i, W_o: outside.W_o, ε_l: self.exchange.latent
            };
        let (out, step) = out.step();
        let step = self.origins(step);
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
        assert!((core(0.8, 0.0).supply(cold).value().si() - 12.0).abs() < 1e-12);
        assert!((core(0.8, 0.0).exhaust(cold).value().si() + 12.0).abs() < 1e-12);
        assert_eq!(core(0.0, 0.0).exhaust(cold).value(), Temperature::from_si(20.0));
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
