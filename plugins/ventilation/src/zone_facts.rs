//! The zones of the home's air and what passes between them, for plugins that carry something else through them.

use crate::air::Air;
use crate::dwelling::Dwelling;
use crate::facts;
use crate::rooms::network_basis;
use mateline_equation::equation;
use mateline_model::quantity::{Flow, Units};
use mateline_model::{Pointer, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack};
use std::collections::BTreeSet;

equation! {
    /// Outdoor air that enters a zone. Source: addition.
    pub(crate) ZoneOutdoor = "Q_o = Σ Q_u + Q_l" {
        Q_o: Flow "outdoor air" [Units::FLOW],
        Q_u: [Flow] "brought by a unit" [Units::FLOW],
        Q_l: Flow "drawn in through leaks" [Units::FLOW],
    }
}

/// Facts of every zone, every room's zone, and every airway.
pub(crate) fn report(dwelling: &Dwelling<'_>, ordinary: &Result<Air<'_>, Lack>, findings: &mut Findings) {
    let names = names(dwelling);
    let name = |zone: usize| names.get(zone).map(String::as_str).unwrap_or_default();
    for (id, zone) in &dwelling.zone_of {
        let subject = Subject::element("spaces", id);
        match ordinary {
            Ok(air) => {
                let what = dwelling.name(*zone);
                let term = Term::new("zone", what, Value::Text(name(*zone).to_owned()), Units::plain(0));
                let step = Step::procedure("rooms that stand open to each other share one air").term(term);
                findings.text(&subject, &facts::ZONE, name(*zone), network_basis(air).step(step));
            }
            Err(lack) => lack.write(&subject, &[&facts::ZONE], findings),
        }
    }
    let Ok(air) = ordinary else { return };
    for zone in 0..dwelling.zones.len() {
        outdoor(dwelling, air, zone, &Subject::element("zones", name(zone)), findings);
    }
    for (from, to, flow) in &air.mixing.transfers {
        let subject = Subject::element("airways", format_args!("{}-to-{}", name(*from), name(*to)));
        let flow = Flow::from_si(*flow);
        let words = format!("from {} to {}", dwelling.name(*from), dwelling.name(*to));
        let step = Step::procedure("flow that the network finds").result(Term::new("Q", words, flow, Units::FLOW));
        let basis = network_basis(air).step(step);
        findings.text(&subject, &facts::AIRWAY_FROM, name(*from), basis.clone());
        findings.text(&subject, &facts::AIRWAY_TO, name(*to), basis.clone());
        findings.fact(&subject, &facts::AIRWAY_FLOW, flow, basis);
    }
}

fn outdoor(dwelling: &Dwelling<'_>, air: &Air<'_>, zone: usize, subject: &Subject, findings: &mut Findings) {
    if let Some(lack) = air.trouble(dwelling, zone) {
        return lack.write(subject, &[&facts::ZONE_OUTDOOR_AIR], findings);
    }
    let spaces = dwelling.zones.get(zone).map(|zone| zone.spaces.as_slice()).unwrap_or_default();
    let fans = spaces.iter().filter_map(|id| Some((*id, air.fans.get(id)?)));
    let brought: Vec<(String, Flow)> = fans
        .flat_map(|(id, fans)| {
            let path = move |unit| format!("systems.ventilation.{unit}.supplies.{id}");
            fans.supply.iter().map(move |(unit, flow)| (path(unit), Flow::from_si(*flow)))
        })
        .collect();
    let flows: Vec<Flow> = brought.iter().map(|(_, flow)| *flow).collect();
    let (value, step) = ZoneOutdoor { Q_u: &flows, Q_l: Flow::from_si(air.leaked(dwelling, zone)) }.step();
    let step = step.each(ZoneOutdoor::Q_u, brought, |term, (path, _)| term.given(path));
    let at = spaces.first().map_or_else(|| Pointer::new("systems"), |id| Pointer::new(format!("spaces.{id}")));
    findings.fact_at(subject, &facts::ZONE_OUTDOOR_AIR, value, network_basis(air).step(step), at);
}

/// A name for each zone: its first room's id, or `circulation`, made longer where a room has that name.
fn names(dwelling: &Dwelling<'_>) -> Vec<String> {
    let mut taken: BTreeSet<String> = dwelling.zone_of.keys().map(ToString::to_string).collect();
    let name = |spaces: &[&mateline_model::home::Id]| match spaces.first() {
        Some(id) => id.to_string(),
        None => {
            let mut name = "circulation".to_owned();
            while !taken.insert(name.clone()) {
                name.push_str("-of-the-home");
            }
            name
        }
    };
    let mut name = name;
    dwelling.zones.iter().map(|zone| name(&zone.spaces)).collect()
}
