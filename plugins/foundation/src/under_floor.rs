//! The space below the boxes: room for services, the way in, and how it is aired.

use crate::facts;
use crate::lack;
use crate::site_plan::SitePlan;
use crate::sizes::{Sizes, Stand};
use crate::terms::{given, length, practice};
use mateline_equation::equation;
use mateline_model::home::{Foundation, FoundationKind, Home};
use mateline_model::quantity::{Area, Length, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack};

equation! {
    /// The floor below the boxes where no wall is known. Source: geometry.
    pub(crate) WholeFloor = "A_i = A" {
        A_i: Area "floor below the boxes" [Units::AREA],
        A: Area "area of the outline" [Units::AREA],
    }

    /// Vent area over floor area. Source: definition.
    pub(crate) VentRatio = "x = A_v/A_i" {
        x: Ratio "vent ratio" [Units::plain(5)],
        A_v: Area "net free area of the vents" [Units::AREA],
        A_i: Area "floor of the space" [Units::AREA],
    }

    /// Floor area over vent area. Source: definition.
    pub(crate) FloorPerVent = "y = A_i/A_v" {
        y: Ratio "floor per vent area" [Units::plain(0)],
        A_i: Area "floor of the space" [Units::AREA],
        A_v: Area "net free area of the vents" [Units::AREA],
    }

    /// Conditioning flow over floor area. Source: definition.
    pub(crate) Conditioning = "q = Q/A_i" {
        q: FlowPerArea "flow for each area of floor" [Units::FLOW_PER_AREA],
        Q: Flow "conditioning flow" [Units::new("L/s", 1, "cfm", 0)],
        A_i: Area "floor of the space" [Units::AREA],
    }

    /// The smaller side of an opening. Source: the home.
    pub(crate) SmallerSide = "a = min(b, h)" {
        a: Length "side of the access opening" [facts::OPENING],
        b: Length "width" [facts::OPENING],
        h: Length "height" [facts::OPENING],
    }

    /// The larger side of an opening. Source: the home.
    pub(crate) LargerSide = "a = max(b, h)" {
        a: Length "side of the access opening" [facts::OPENING],
        b: Length "width" [facts::OPENING],
        h: Length "height" [facts::OPENING],
    }

    /// Underside of the boxes above grade. Source: geometry.
    pub(crate) AboveGrade = "z = h − d" {
        z: Length "underside of the boxes above grade" [Units::LENGTH],
        h: Length "height from floor to boxes" [Units::LENGTH],
        d: Length "floor below grade" [Units::LENGTH],
    }
}

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
        return Lack::at("the foundation is no crawl space", "foundation.kind").write(&subject, &aired, findings);
    }
    let dried = foundation.conditioning_flow.is_some() || foundation.dehumidifier.is_some();
    let vented = !foundation.is_conditioned() && !dried;
    let basis = practice(
        "unvented where the space is conditioned or a conditioning flow or dehumidifier is given, vented otherwise",
    );
    findings.text(&subject, &facts::VENTILATION, if vented { "vented" } else { "unvented" }, basis);
    let sheet = foundation.ground_cover.map(|sheet| sheet.si() > 0.0);
    match sheet.map(|sheet| sheet || foundation.floor.is_some()).or(foundation.floor.as_ref().map(|_| true)) {
        Some(covered) => {
            let basis = practice("a sheet or a floor assembly is named")
                .assuming("a sheet of polyethylene of the given thickness is a Class I retarder");
            findings.flag(&subject, &facts::GROUND_COVERED, covered, basis);
        }
        None => lack::foundation("ground_cover").write(&subject, &[&facts::GROUND_COVERED], findings),
    }
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
            let (value, step) = WholeFloor { A: Area::from_si(plan.outline.area) }.step();
            (value.si(), step.with(plan.area.clone()))
        }
    }
}

fn air(foundation: &Foundation, floor: f64, step: Step, findings: &mut Findings) {
    let subject = Subject::home();
    let area = Area::from_si(floor);
    match foundation.vent_area.filter(|vents| vents.si() > 0.0 && floor > 0.0) {
        Some(vents) => {
            let at = Pointer::new("foundation.vent_area");
            let (ratio, worked) = VentRatio { A_v: vents, A_i: area }.step();
            let basis = practice("vent area over floor area").step(step.clone());
            let basis = basis.step(worked.given(VentRatio::A_v, "foundation.vent_area"));
            findings.fact_at(&subject, &facts::VENT_RATIO, ratio, basis, at.clone());
            let (floors, worked) = FloorPerVent { A_i: area, A_v: vents }.step();
            let basis = practice("floor area over vent area").step(step.clone());
            let basis = basis.step(worked.given(FloorPerVent::A_v, "foundation.vent_area"));
            findings.fact_at(&subject, &facts::FLOOR_PER_VENT_AREA, floors, basis, at);
        }
        None => {
            let lack = lack::foundation("vent_area");
            lack.write(&subject, &[&facts::VENT_RATIO, &facts::FLOOR_PER_VENT_AREA], findings);
        }
    }
    match foundation.conditioning_flow.filter(|_| floor > 0.0) {
        Some(flow) => {
            let (value, ratio) = Conditioning { Q: flow, A_i: area }.step();
            let ratio = ratio.given(Conditioning::Q, "foundation.conditioning_flow");
            let basis = practice("flow over floor area").step(step).step(ratio);
            findings.fact_at(
                &subject,
                &facts::CONDITIONING,
                value,
                basis,
                Pointer::new("foundation.conditioning_flow"),
            );
        }
        None => lack::foundation("conditioning_flow").write(&subject, &[&facts::CONDITIONING], findings),
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
        Lack::at("there is no space below boxes on a slab", "foundation.kind").write(
            &subject,
            &[&facts::CLEARANCE],
            findings,
        );
    } else if let Some((value, path)) = clearance.or(bare) {
        let term = length("c", "clear height below", value.si()).given(path);
        findings.fact_at(&subject, &facts::CLEARANCE, value, given(term), Pointer::new(path));
        room = Some(value.si());
    } else {
        lack::foundation("clearance_below_services").write(&subject, &[&facts::CLEARANCE], findings);
    }
    let basis = practice("services of factory-built boxes hang below the floor and are joined from below").step(
        Step::procedure("services fit").term(
            Term::new(
                "kind",
                "kind of foundation",
                Value::Text(crate::sizes::word(foundation.kind).to_owned()),
                Units::COUNT,
            )
            .given("foundation.kind"),
        ),
    );
    let basis = match hang {
        Some(hang) => basis.step(
            Step::procedure("services below the floor").term(
                Term::new("hang", "services hang below the floor", Value::Flag(hang), Units::COUNT)
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
            lack::foundation("services_below_floor").write(&subject, &[&facts::SERVICES_FIT], findings)
        }
        None => lack::foundation("clearance_below_services").write(&subject, &[&facts::SERVICES_FIT], findings),
    }
}

fn access(foundation: &Foundation, findings: &mut Findings) {
    let subject = Subject::home();
    let Some(access) = &foundation.access else {
        return lack::foundation("access").write(&subject, &[&facts::ACCESS_SMALLER, &facts::ACCESS_LARGER], findings);
    };
    let mut write = |definition: &QuantityDef, (value, step): (Length, Step)| {
        let step = step.given(SmallerSide::b, "foundation.access.width");
        let step = step.given(SmallerSide::h, "foundation.access.height");
        let basis = Basis::new("sides of the opening", "the home").step(step);
        findings.fact_at(&subject, definition, value, basis, Pointer::new("foundation.access"));
    };
    write(&facts::ACCESS_SMALLER, SmallerSide { b: access.width, h: access.height }.step());
    write(&facts::ACCESS_LARGER, LargerSide { b: access.width, h: access.height }.step());
}

fn heights(foundation: &Foundation, findings: &mut Findings) {
    let subject = Subject::home();
    let sunk = matches!(foundation.kind, FoundationKind::Basement | FoundationKind::CrawlSpace);
    let Some(height) = foundation.height else {
        return lack::foundation("height").write(&subject, &[&facts::HEIGHT_ABOVE_GRADE], findings);
    };
    let depth = match foundation.depth_below_grade {
        Some(depth) => depth,
        None if sunk => {
            return lack::foundation("depth_below_grade").write(&subject, &[&facts::HEIGHT_ABOVE_GRADE], findings);
        }
        None => Length::from_si(0.0),
    };
    let (value, mut step) = AboveGrade { h: height, d: depth }.step();
    step = step.given(AboveGrade::h, "foundation.height");
    if foundation.depth_below_grade.is_some() {
        step = step.given(AboveGrade::d, "foundation.depth_below_grade");
    }
    let basis = Basis::new("height less depth", "geometry").step(step).assuming("grade is level around the home");
    findings.fact_at(&subject, &facts::HEIGHT_ABOVE_GRADE, value, basis, Pointer::new("foundation.height"));
}
