//! Exhaust against a tight envelope: hood, dryer and fans, make-up air, and what that means for fires.

use crate::air::Leakage;
use crate::facts::{self, PASCAL};
use crate::service::{Mode, Service};
use mateline_equation::equation;
use mateline_model::home::{DryerKind, Fuel, Home, Venting};
use mateline_model::quantity::{Area, Flow, Pressure, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

equation! {
    /// What fans take out beyond what they bring in. Source: addition.
    pub(crate) NetExhaust = "Q = Σ Q_i" {
        Q: Flow "net exhaust, nothing where negative" [Units::FLOW],
        Q_i: [Flow] "a stream" [Units::FLOW],
    }

    /// Pressure that a net exhaust takes off a home with its windows shut and no wind. Source: power law of ISO 9972,
    /// solved for the pressure.
    pub Depressurisation = "Δp = 50[Pa] (max(0, Q)/q50)^(1/n)" {
        Δp: Pressure "pressure taken off the home" [PASCAL],
        Q: Flow "net exhaust" [Units::FLOW],
        n: f64 "flow exponent" [Units::plain(2)],
        q50: Flow "leakage at 50 Pa" [Units::FLOW],
    }

    /// The two largest exhaust flows. Source: ASHRAE 62.2, 6.4 (from memory, high).
    pub(crate) TwoLargest = "Q = Σ Q_k" {
        Q: Flow "together" [Units::FLOW],
        Q_k: [Flow] "an exhaust" [Units::FLOW],
    }

    /// The two largest exhaust flows per floor area. Source: ASHRAE 62.2, 6.4 (from memory, high).
    pub(crate) PerArea = "q = Q/A" {
        q: FlowPerArea "together, per floor area" [facts::FLOW_PER_AREA],
        Q: Flow "together" [Units::FLOW],
        A: Area "floor area" [Units::AREA],
    }
}

/// A net exhaust against the leakage at 50 Pa, with the exponent of a home whose own is not measured.
pub fn depressurisation(net_exhaust: Flow, q50: Flow, exponent: f64) -> Depressurisation {
    Depressurisation { Q: net_exhaust, n: exponent, q50 }
}

/// Air that leaves or enters: words, path in the home, m³/s.
type Stream = (String, String, f64);

/// Facts of the whole dwelling.
pub(crate) fn report(request: &Request<'_>, services: &[Service<'_>], findings: &mut Findings) {
    let home = Subject::home();
    let dryer = dryer(request.home);
    match &dryer {
        Ok(streams) => {
            let flow = Flow::from_si(streams.iter().map(|(_, _, flow)| flow).sum());
            let step = Step::procedure("Q")
                .term(Term::new("Q", "clothes dryer", flow, Units::FLOW).given("systems.clothes_dryer"));
            findings.fact(
                &home,
                &facts::DRYER_FLOW,
                flow,
                Basis::new("as given; none for a dryer without a vent", "the home").step(step),
            );
        }
        Err(lack) => lack.write(&home, &[&facts::DRYER_FLOW], findings),
    }
    let hood = hood(request.home);
    let ordinary = units(request.home, services, Mode::Ordinary);
    let alone = hood.clone().and_then(|mut out| {
        out.extend(ordinary?);
        Ok(out)
    });
    pressure(request, &facts::HOOD_DEPRESSURISATION, alone, "hood", findings);
    let all = hood.clone().and_then(|mut out| {
        out.extend(dryer.clone()?);
        out.extend(units(request.home, services, Mode::Boost)?);
        Ok(out)
    });
    pressure(request, &facts::WORST_DEPRESSURISATION, all, "everything", findings);
    largest(request, services, hood, dryer, findings);
    combustion(request.home, findings);
}

/// Hood and its make-up air.
fn hood(home: &Home) -> Result<Vec<Stream>, Lack> {
    let Some(hood) = &home.systems.kitchen_hood else {
        return Err(Lack::at("systems has no kitchen_hood", "systems.kitchen_hood"));
    };
    if !hood.vented {
        return Ok(Vec::new());
    }
    let flow = hood.flow.ok_or_else(|| Lack::at("systems.kitchen_hood has no flow", "systems.kitchen_hood"))?;
    let mut streams = vec![("kitchen hood".to_owned(), "systems.kitchen_hood.flow".to_owned(), flow.si())];
    if let Some(make_up) = hood.make_up_air {
        streams.push(("make-up air".to_owned(), "systems.kitchen_hood.make_up_air".to_owned(), -make_up.si()));
    }
    Ok(streams)
}

fn dryer(home: &Home) -> Result<Vec<Stream>, Lack> {
    let Some(dryer) = &home.systems.clothes_dryer else {
        return Err(Lack::at("systems has no clothes_dryer", "systems.clothes_dryer"));
    };
    match (dryer.kind, dryer.flow) {
        (DryerKind::Condensing | DryerKind::HeatPump | DryerKind::None, _) => Ok(Vec::new()),
        (DryerKind::Vented, Some(flow)) => {
            Ok(vec![("clothes dryer".to_owned(), "systems.clothes_dryer.flow".to_owned(), flow.si())])
        }
        (DryerKind::Vented, None) => {
            Err(Lack::at("systems.clothes_dryer is vented and has no flow", "systems.clothes_dryer"))
        }
    }
}

/// What each unit takes out beyond what it brings in.
fn units(home: &Home, services: &[Service<'_>], mode: Mode) -> Result<Vec<Stream>, Lack> {
    let mut streams = Vec::new();
    for service in services {
        let (supply, exhaust) = service.totals(home, mode)?;
        if (exhaust - supply).abs() > 1e-12 {
            let words = format!("{}, exhaust less supply", service.id);
            streams.push((words, service.subject.to_string(), exhaust - supply));
        }
    }
    Ok(streams)
}

fn pressure(
    request: &Request<'_>,
    definition: &mateline_model::QuantityDef,
    streams: Result<Vec<Stream>, Lack>,
    what: &str,
    findings: &mut Findings,
) {
    let home = Subject::home();
    let leakage = Leakage::of(request);
    let found = streams.and_then(|streams| {
        let net: f64 = streams.iter().map(|(_, _, flow)| flow).sum();
        match leakage {
            None if net > 1e-12 => Err(Lack::new("airtightness.best_q50 of the home is not known")),
            leakage => Ok((streams, Flow::from_si(net), leakage)),
        }
    });
    let (streams, net, leakage) = match found {
        Ok(found) => found,
        Err(lack) => return lack.write(&home, &[definition], findings),
    };
    let flows: Vec<Flow> = streams.iter().map(|(.., flow)| Flow::from_si(*flow)).collect();
    let sum = NetExhaust { Q_i: &flows }
        .step()
        .1
        .each(NetExhaust::Q_i, streams, |term, (words, path, _)| Term { meaning: words, ..term }.given(path));
    let (drop, step) = match leakage {
        Some(Leakage { q50, exponent }) => {
            let (drop, step) = depressurisation(net, Flow::from_si(q50), exponent).step();
            let step = step.fact(Depressurisation::q50, &home, "airtightness.best_q50");
            let known = request.number(&home, "airtightness.best_exponent").is_some();
            (drop, if known { step.fact(Depressurisation::n, &home, "airtightness.best_exponent") } else { step })
        }
        None => {
            let none = Pressure::from_si(0.0);
            (none, Step::new("Δp = 0").result(Term::new("Δp", "pressure taken off the home", none, PASCAL)))
        }
    };
    let running = match what {
        "hood" => "the hood runs with the units in ordinary operation; fans on demand and dryer are off",
        _ => "hood, dryer and fans on demand run, and every unit at its highest flow",
    };
    let mut basis = Basis::new("net exhaust against the leakage", "power law of ISO 9972")
        .provenance("from memory")
        .step(sum)
        .step(step)
        .assuming(running)
        .assuming("windows shut, inner doors open, no wind; fans hold their flows");
    if drop.si() > 50.0 {
        basis = basis
            .assuming("beyond the 50 Pa of the test no fan of this kind holds its flow: less air is moved than given");
    }
    findings.fact_at(&home, definition, drop, basis, Pointer::new("systems.kitchen_hood"));
}

/// The two largest exhaust flows.
fn largest(
    request: &Request<'_>,
    services: &[Service<'_>],
    hood: Result<Vec<Stream>, Lack>,
    dryer: Result<Vec<Stream>, Lack>,
    findings: &mut Findings,
) {
    let home = Subject::home();
    let all = || -> Result<Vec<Stream>, Lack> {
        let hood = hood?;
        let net: f64 = hood.iter().map(|(_, _, flow)| flow).sum();
        let words = if hood.len() > 1 { "kitchen hood less its make-up air" } else { "kitchen hood" };
        let mut streams = vec![(words.to_owned(), "systems.kitchen_hood".to_owned(), net)];
        streams.retain(|(_, _, flow)| *flow > 0.0);
        streams.extend(dryer?);
        streams.extend(units(request.home, services, Mode::Boost)?.into_iter().filter(|(_, _, flow)| *flow > 0.0));
        streams.sort_by(|a, b| b.2.total_cmp(&a.2));
        streams.truncate(2);
        Ok(streams)
    };
    let streams = match all() {
        Ok(streams) => streams,
        Err(lack) => {
            return lack.write(&home, &[&facts::TWO_LARGEST_EXHAUSTS, &facts::TWO_LARGEST_PER_AREA], findings);
        }
    };
    let flows: Vec<Flow> = streams.iter().map(|(.., flow)| Flow::from_si(*flow)).collect();
    let (sum, step) = TwoLargest { Q_k: &flows }.step();
    let labels: Vec<&str> = ["_1", "_2"].into_iter().take(flows.len()).collect();
    let step = step
        .each(TwoLargest::Q_k, streams, |term, (words, path, _)| Term { meaning: words, ..term }.given(path))
        .written("k", &labels);
    let basis = Basis::new("two largest exhaust flows", "ASHRAE 62.2, 6.4")
        .provenance("from memory, high")
        .step(step)
        .assuming(
            "net of the make-up air that comes with the hood; of a unit counts what it exhausts beyond its supply",
        );
    findings.fact(&home, &facts::TWO_LARGEST_EXHAUSTS, sum, basis.clone());
    match request.number(&home, "takeoff.floor_area").filter(|area| *area > 0.0) {
        Some(area) => {
            let area = Area::from_si(area);
            let (each, step) = PerArea { Q: sum, A: area }.step();
            let step = step.fact(PerArea::Q, &home, facts::TWO_LARGEST_EXHAUSTS.name.clone()).fact(
                PerArea::A,
                &home,
                "takeoff.floor_area",
            );
            findings.fact(&home, &facts::TWO_LARGEST_PER_AREA, each, basis.step(step));
        }
        None => {
            let lack = Lack::new("takeoff.floor_area of the home is not known");
            lack.write(&home, &[&facts::TWO_LARGEST_PER_AREA], findings);
        }
    }
}

/// Appliances that burn fuel, and how they vent.
fn combustion(home: &Home, findings: &mut Findings) {
    let subject = Subject::home();
    let mut appliances: Vec<(&str, Fuel, Option<Venting>)> = Vec::new();
    if let Some(heating) = &home.systems.heating {
        appliances.push(("heating", heating.fuel, heating.venting));
    }
    if let Some(hot_water) = &home.systems.hot_water {
        appliances.push(("hot_water", hot_water.fuel, hot_water.venting));
    }
    let burns = |fuel: Fuel| matches!(fuel, Fuel::Gas | Fuel::Propane | Fuel::Oil | Fuel::Wood);
    let listed = |pick: &dyn Fn(Fuel, Option<Venting>) -> bool| -> Vec<String> {
        let found = appliances.iter().filter(|(_, fuel, venting)| burns(*fuel) && pick(*fuel, *venting));
        found.map(|(name, ..)| format!("systems.{name}")).collect()
    };
    let natural = listed(&|_, venting| matches!(venting, Some(Venting::Natural | Venting::Unvented)));
    let solid =
        listed(&|fuel, venting| fuel == Fuel::Wood && !matches!(venting, Some(Venting::Natural | Venting::Unvented)));
    let unsaid = listed(&|fuel, venting| fuel != Fuel::Wood && venting.is_none());
    let mut cautions = Vec::new();
    if !natural.is_empty() {
        cautions.push(format!(
            "{} burns fuel with room air: exhaust fans can pull its flue gas into the home",
            natural.join(" and ")
        ));
    }
    if !solid.is_empty() {
        cautions.push(format!(
            "{} burns wood: opened or low-burning, it can smoke back when exhaust fans run",
            solid.join(" and ")
        ));
    }
    if !unsaid.is_empty() {
        cautions.push(format!("{} burns fuel and does not say how it vents", unsaid.join(" and ")));
    }
    let basis = Basis::new("fuel and venting of the appliances named", "ASHRAE 62.2, 6.4")
        .provenance("from memory, high")
        .assuming("only heating and hot water are described; a stove, fireplace or other appliance counts too");
    let basis = appliances.iter().fold(basis, |basis, (name, fuel, venting)| {
        let words = format!(
            "{name}: {}",
            serde_json::to_value(fuel).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
        );
        let vented = match venting {
            Some(venting) => {
                serde_json::to_value(venting).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
            }
            None => "no venting given".to_owned(),
        };
        let term = Term::new("venting", words, mateline_model::Value::Text(vented), Units::plain(0))
            .given(format!("systems.{name}"));
        basis.step(Step::procedure("venting").term(term))
    });
    if appliances.is_empty() {
        let lack = Lack::at("systems names neither heating nor hot water", "systems.heating");
        return lack.write(&subject, &[&facts::NATURAL_DRAUGHT, &facts::COMBUSTION_CAUTION], findings);
    }
    let unnamed = [("heating", home.systems.heating.is_none()), ("hot water", home.systems.hot_water.is_none())];
    let unnamed = unnamed.into_iter().find(|(_, unnamed)| *unnamed);
    // One that needs room air is enough; that none does takes all of them.
    match (natural.is_empty() && solid.is_empty(), unsaid.first(), unnamed) {
        (true, Some(path), _) => {
            let lack = Lack::at(format!("{} has no venting", unsaid.join(" and ")), path.clone());
            lack.write(&subject, &[&facts::NATURAL_DRAUGHT], findings);
        }
        (true, None, Some((name, _))) => {
            Lack::at(format!("systems names no {name}"), "systems").write(
                &subject,
                &[&facts::NATURAL_DRAUGHT],
                findings,
            );
        }
        (none, ..) => findings.flag(&subject, &facts::NATURAL_DRAUGHT, !none, basis.clone()),
    }
    let words = if cautions.is_empty() {
        "none: no appliance named burns fuel with room air".to_owned()
    } else {
        cautions.join("; ")
    };
    findings.text(&subject, &facts::COMBUSTION_CAUTION, words, basis);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An exhaust as large as the leakage at 50 Pa makes 50 Pa; half of it `50/2^(1/0.65)` = 17.2 Pa; none, none.
    #[test]
    fn the_power_law() {
        let q50 = Flow::from_si(0.08);
        assert!((depressurisation(q50, q50, 0.65).value().si() - 50.0).abs() < 1e-12);
        assert!((depressurisation(q50 * 0.5, q50, 0.65).value().si() - 17.21).abs() < 0.005);
        assert_eq!(depressurisation(Flow::from_si(-0.01), q50, 0.65).value().si(), 0.0);
    }
}
