//! Exhaust against a tight envelope: hood, dryer and fans, make-up air, and what that means for fires.

use crate::air::LEAKAGE_EXPONENT;
use crate::facts::{self, FLOW, PASCAL};
use crate::lack::Lack;
use crate::service::{Mode, Service};
use mateline_model::home::{DryerKind, Fuel, Home, Venting};
use mateline_model::quantity::{Area, Flow, Pressure, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Findings, Request};

/// Pressure that a net exhaust takes off a home: `Δp = 50 (Q/q50)^(1/n)`, with `n` = 0.65.
///
/// `Q` is what fans take out beyond what they bring in, `q50` the leakage at 50 Pa. The power law of ISO 9972 solved for
/// the pressure; windows shut, no wind.
pub fn depressurisation(net_exhaust: Flow, q50: Flow) -> Pressure {
    if net_exhaust.si() <= 0.0 {
        return Pressure::from_si(0.0);
    }
    Pressure::from_si(50.0 * (net_exhaust / q50).powf(1.0 / LEAKAGE_EXPONENT))
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
            let step = Step::new("Q").term(Term::new("Q", "clothes dryer", flow, FLOW).given("systems.clothes_dryer"));
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
        return Err(Lack::at("systems has no kitchen_hood", "systems"));
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
        return Err(Lack::at("systems has no clothes_dryer", "systems"));
    };
    match (dryer.kind, dryer.flow) {
        (DryerKind::Condensing | DryerKind::None, _) => Ok(Vec::new()),
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
    let q50 = request.number(&home, "airtightness.best_q50").filter(|q50| *q50 > 0.0);
    let found = streams.and_then(|streams| {
        let net: f64 = streams.iter().map(|(_, _, flow)| flow).sum();
        match q50 {
            None if net > 1e-12 => Err(Lack::new("airtightness.best_q50 of the home is not known")),
            q50 => Ok((streams, Flow::from_si(net), q50.map(Flow::from_si))),
        }
    });
    let (streams, net, q50) = match found {
        Ok(found) => found,
        Err(lack) => return lack.write(&home, &[definition], findings),
    };
    let drop = q50.map_or(Pressure::from_si(0.0), |q50| depressurisation(net, q50));
    let mut sum = Step::new("Q = Σ Q_i");
    for (words, path, flow) in streams {
        sum = sum.term(Term::new("Q_i", words, Flow::from_si(flow), FLOW).given(path));
    }
    let mut step = Step::new("Δp = 50 (Q/q50)^(1/n)").term(Term::new("Q", "net exhaust", net, FLOW)).term(Term::new(
        "n",
        "flow exponent",
        LEAKAGE_EXPONENT,
        Units::plain(2),
    ));
    if let Some(q50) = q50 {
        step = step.term(Term::new("q50", "leakage at 50 Pa", q50, FLOW).fact(&home, "airtightness.best_q50"));
    }
    let running = match what {
        "hood" => "the hood runs with the units in ordinary operation; fans on demand and dryer are off",
        _ => "hood, dryer and fans on demand run, and every unit at its highest flow",
    };
    let mut basis = Basis::new("net exhaust against the leakage", "power law of ISO 9972")
        .provenance("from memory")
        .step(sum.result(Term::new("Q", "net exhaust, nothing where negative", net, FLOW)))
        .step(step.result(Term::new("Δp", "pressure taken off the home", drop, PASCAL)))
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
        let mut streams: Vec<Stream> = hood?.into_iter().filter(|(_, _, flow)| *flow > 0.0).collect();
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
    let sum = Flow::from_si(streams.iter().map(|(_, _, flow)| flow).sum());
    let mut step = Step::new("Q = Q_1 + Q_2");
    for (index, (words, path, flow)) in streams.into_iter().enumerate() {
        let symbol = if index == 0 { "Q_1" } else { "Q_2" };
        step = step.term(Term::new(symbol, words, Flow::from_si(flow), FLOW).given(path));
    }
    let basis = Basis::new("two largest exhaust flows", "ASHRAE 62.2, 6.4")
        .provenance("from memory, high")
        .step(step.result(Term::new("Q", "together", sum, FLOW)))
        .assuming("make-up air is not taken off; of a unit counts what it exhausts beyond its supply");
    findings.fact(&home, &facts::TWO_LARGEST_EXHAUSTS, sum, basis.clone());
    match request.number(&home, "takeoff.floor_area").filter(|area| *area > 0.0) {
        Some(area) => {
            let area = Area::from_si(area);
            let step = Step::new("Q/A")
                .term(Term::new("Q", "together", sum, FLOW).fact(&home, facts::TWO_LARGEST_EXHAUSTS.name.clone()))
                .term(Term::new("A", "floor area", area, Units::AREA).fact(&home, "takeoff.floor_area"));
            findings.fact(&home, &facts::TWO_LARGEST_PER_AREA, sum / area, basis.step(step));
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
        basis.step(Step::new("venting").term(term))
    });
    if appliances.is_empty() {
        let lack = Lack::at("systems names neither heating nor hot water", "systems");
        return lack.write(&subject, &[&facts::NATURAL_DRAUGHT, &facts::COMBUSTION_CAUTION], findings);
    }
    if natural.is_empty() && !unsaid.is_empty() {
        let path = unsaid.first().cloned().unwrap_or_default();
        let lack = Lack::at(format!("{} has no venting", unsaid.join(" and ")), path);
        lack.write(&subject, &[&facts::NATURAL_DRAUGHT], findings);
    } else {
        findings.flag(&subject, &facts::NATURAL_DRAUGHT, !natural.is_empty() || !solid.is_empty(), basis.clone());
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
        assert!((depressurisation(q50, q50).si() - 50.0).abs() < 1e-12);
        assert!((depressurisation(q50 * 0.5, q50).si() - 17.21).abs() < 0.005);
        assert_eq!(depressurisation(Flow::from_si(-0.01), q50).si(), 0.0);
    }
}
