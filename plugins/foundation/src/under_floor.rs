//! The space below the boxes: room for services, the way in, and how it is aired.

use crate::facts;
use crate::lack::Lack;
use crate::site_plan::SitePlan;
use crate::sizes::{Sizes, Stand};
use crate::terms::{area, given, length, plain, practice};
use mateline_model::home::{Foundation, FoundationKind, Home};
use mateline_model::quantity::{Flow, FlowPerArea, Length, Ratio, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::Findings;

/// Facts on room, access and air below the boxes.
pub fn report(home: &Home, foundation: &Foundation, plan: Result<&SitePlan, &Lack>, findings: &mut Findings) {
    services(foundation, findings);
    access(foundation, findings);
    heights(foundation, findings);
    let subject = Subject::home();
    let aired = [
        &facts::VENTILATION,
        &facts::GROUND_COVERED,
        &facts::VENT_RATIO,
        &facts::FLOOR_PER_VENT_AREA,
        &facts::CONDITIONING,
    ];
    if foundation.kind != FoundationKind::CrawlSpace {
        return Lack::new("the foundation is no crawl space", "foundation.kind").write(&subject, &aired, findings);
    }
    let vented = !foundation.is_conditioned() && foundation.conditioning_flow.is_none();
    let basis = practice("unvented where the space is conditioned or a conditioning flow is given, vented otherwise");
    findings.text(&subject, &facts::VENTILATION, if vented { "vented" } else { "unvented" }, basis);
    let covered = foundation.ground_cover.is_some() || foundation.floor.is_some();
    let basis = practice("a sheet or a floor assembly is named")
        .assuming("a sheet of polyethylene of the given thickness is a Class I retarder");
    findings.flag(&subject, &facts::GROUND_COVERED, covered, basis);
    match plan {
        Ok(plan) => {
            let (floor, step) = floor(home, foundation, plan);
            air(foundation, floor, step, findings);
        }
        Err(lack) => lack.write(&subject, &aired[2..], findings),
    }
}

/// Floor area of the space, inside its walls.
fn floor(home: &Home, foundation: &Foundation, plan: &SitePlan) -> (f64, Step) {
    let stand = Stand { lenient: true, ..Stand::chosen(foundation) };
    match Sizes::of(home, &stand) {
        Ok(sizes) => (plan.inside(sizes.wall.value), plan.inside_step(&sizes)),
        Err(_) => {
            let value = plan.outline.area;
            (value, Step::new("A_i = A").term(plan.area.clone()).result(area("A_i", "floor below the boxes", value)))
        }
    }
}

fn air(foundation: &Foundation, floor: f64, step: Step, findings: &mut Findings) {
    let subject = Subject::home();
    let floor_term = || area("A_i", "floor of the space", floor);
    let vents = foundation.vent_area.map(|vents| vents.si());
    match vents.filter(|vents| *vents > 0.0 && floor > 0.0) {
        Some(vents) => {
            let term = || area("A_v", "net free area of the vents", vents).given("foundation.vent_area");
            let at = Pointer::new("foundation.vent_area");
            let basis = practice("vent area over floor area").step(step.clone()).step(
                Step::new("x = A_v/A_i").term(term()).term(floor_term()).result(plain(
                    "x",
                    "vent ratio",
                    vents / floor,
                    5,
                )),
            );
            findings.fact_at(&subject, &facts::VENT_RATIO, Ratio::from_si(vents / floor), basis, at.clone());
            let basis = practice("floor area over vent area").step(step.clone()).step(
                Step::new("y = A_i/A_v").term(floor_term()).term(term()).result(plain(
                    "y",
                    "floor per vent area",
                    floor / vents,
                    0,
                )),
            );
            findings.fact_at(&subject, &facts::FLOOR_PER_VENT_AREA, Ratio::from_si(floor / vents), basis, at);
        }
        None => {
            let lack = Lack::foundation("vent_area");
            lack.write(&subject, &[&facts::VENT_RATIO, &facts::FLOOR_PER_VENT_AREA], findings);
        }
    }
    match foundation.conditioning_flow.filter(|_| floor > 0.0) {
        Some(flow) => {
            let value = FlowPerArea::from_si(flow.si() / floor);
            let units = Units::new("L/s", 1, "cfm", 0);
            let term = Term::new("Q", "conditioning flow", Flow::from_si(flow.si()), units)
                .given("foundation.conditioning_flow");
            let result = Term::new("q", "flow for each area of floor", value, facts::FLOW_PER_AREA);
            let ratio = Step::new("q = Q/A_i").term(term).term(floor_term()).result(result);
            let basis = practice("flow over floor area").step(step).step(ratio);
            findings.fact_at(
                &subject,
                &facts::CONDITIONING,
                value,
                basis,
                Pointer::new("foundation.conditioning_flow"),
            );
        }
        None => Lack::foundation("conditioning_flow").write(&subject, &[&facts::CONDITIONING], findings),
    }
}

fn services(foundation: &Foundation, findings: &mut Findings) {
    let subject = Subject::home();
    let clearance =
        foundation.clearance_below_services.map(|clearance| (clearance, "foundation.clearance_below_services"));
    let hang = foundation.services_below_floor;
    let bare = foundation.height.filter(|_| hang == Some(false)).map(|height| (height, "foundation.height"));
    let mut room = None;
    if foundation.kind == FoundationKind::Slab {
        Lack::new("there is no space below boxes on a slab", "foundation.kind").write(
            &subject,
            &[&facts::CLEARANCE],
            findings,
        );
    } else if let Some((value, path)) = clearance.or(bare) {
        let term = length("c", "clear height below", value.si()).given(path);
        findings.fact_at(&subject, &facts::CLEARANCE, value, given(term), Pointer::new(path));
        room = Some(value.si());
    } else {
        Lack::foundation("clearance_below_services").write(&subject, &[&facts::CLEARANCE], findings);
    }
    let basis = practice("services of factory-built boxes hang below the floor and are joined from below").step(
        Step::new("services fit").term(
            Term::new(
                "kind",
                "kind of foundation",
                Value::Text(crate::sizes::word(foundation.kind).to_owned()),
                facts::COUNT,
            )
            .given("foundation.kind"),
        ),
    );
    let basis = match hang {
        Some(hang) => basis.step(
            Step::new("services below the floor").term(
                Term::new("hang", "services hang below the floor", Value::Flag(hang), facts::COUNT)
                    .given("foundation.services_below_floor"),
            ),
        ),
        None => basis,
    };
    let fits = match (foundation.kind, hang, room) {
        (_, Some(false), _) => Some(true),
        (FoundationKind::Slab, Some(true), _) => Some(false),
        (FoundationKind::Slab, None, _) | (_, None, _) => None,
        (_, Some(true), room) => room.map(|room| room > 0.0),
    };
    match fits {
        Some(fits) => findings.flag(&subject, &facts::SERVICES_FIT, fits, basis),
        None if hang.is_none() => {
            Lack::foundation("services_below_floor").write(&subject, &[&facts::SERVICES_FIT], findings)
        }
        None => Lack::foundation("clearance_below_services").write(&subject, &[&facts::SERVICES_FIT], findings),
    }
}

fn access(foundation: &Foundation, findings: &mut Findings) {
    let subject = Subject::home();
    let Some(access) = &foundation.access else {
        return Lack::foundation("access").write(&subject, &[&facts::ACCESS_SMALLER, &facts::ACCESS_LARGER], findings);
    };
    let (width, height) = (access.width.si(), access.height.si());
    let mut write = |definition: &QuantityDef, equation: &'static str, value: f64| {
        let side = |symbol, meaning, value, path: &str| {
            Term::new(symbol, meaning, Length::from_si(value), facts::OPENING)
                .given(format!("foundation.access.{path}"))
        };
        let step = Step::new(equation)
            .term(side("b", "width", width, "width"))
            .term(side("h", "height", height, "height"))
            .result(Term::new("a", "side of the access opening", Length::from_si(value), facts::OPENING));
        let basis = Basis::new("sides of the opening", "the home").step(step);
        findings.fact_at(&subject, definition, Length::from_si(value), basis, Pointer::new("foundation.access"));
    };
    write(&facts::ACCESS_SMALLER, "a = min(b, h)", width.min(height));
    write(&facts::ACCESS_LARGER, "a = max(b, h)", width.max(height));
}

fn heights(foundation: &Foundation, findings: &mut Findings) {
    let subject = Subject::home();
    let sunk = matches!(foundation.kind, FoundationKind::Basement | FoundationKind::CrawlSpace);
    let Some(height) = foundation.height else {
        return Lack::foundation("height").write(&subject, &[&facts::HEIGHT_ABOVE_GRADE], findings);
    };
    let depth = match foundation.depth_below_grade {
        Some(depth) => depth.si(),
        None if sunk => {
            return Lack::foundation("depth_below_grade").write(&subject, &[&facts::HEIGHT_ABOVE_GRADE], findings);
        }
        None => 0.0,
    };
    let value = height.si() - depth;
    let depth = length("d", "floor below grade", depth);
    let depth =
        if foundation.depth_below_grade.is_some() { depth.given("foundation.depth_below_grade") } else { depth };
    let step = Step::new("z = h - d")
        .term(length("h", "height from floor to boxes", height.si()).given("foundation.height"))
        .term(depth)
        .result(length("z", "underside of the boxes above grade", value));
    let basis = Basis::new("height less depth", "geometry").step(step).assuming("grade is level around the home");
    findings.fact_at(
        &subject,
        &facts::HEIGHT_ABOVE_GRADE,
        Length::from_si(value),
        basis,
        Pointer::new("foundation.height"),
    );
}
