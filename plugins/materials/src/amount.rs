//! How much of a finish there is, and in which rooms.

use crate::category::{self, Cover};
use crate::facts;
use mateline_equation::equation;
use mateline_model::home::{Finish, FinishKind, Home, Id, Space, SpaceUse};
use mateline_model::quantity::{Area, Length, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

equation! {
    /// Area of a finish that covers the floor or ceiling of its rooms. Source: common practice, no source.
    pub Covered = "A = Σ A_i" {
        A: Area "area of the finish" [Units::AREA],
        A_i: [Area] "floor of a room" [Units::AREA],
    }
}

/// Terms that a basis lists at most.
pub(crate) const MOST_TERMS: usize = 40;

/// The area of a finish.
#[derive(Clone, Debug)]
pub(crate) struct Amount<'a> {
    /// All of it.
    pub total: Area,
    /// Whether it follows from the rooms, by their floor or ceiling.
    pub derived: Option<Cover>,
    /// Floor of all its rooms.
    pub floors: Area,
    /// What lies in each room.
    pub shares: Vec<(&'a Id, Area)>,
}

/// The rooms a finish is in: those named, else all but the garage.
pub(crate) fn rooms<'a>(home: &'a Home, finish: &Finish) -> Vec<(&'a Id, &'a Space)> {
    let named = |id: &Id| finish.within.iter().any(|room| room == id);
    let within = |id: &Id, space: &Space| {
        if finish.within.is_empty() { space.used_as != SpaceUse::Garage } else { named(id) }
    };
    home.spaces.iter().filter(|(id, space)| within(id, space)).collect()
}

/// The area given, else what may be derived: floors and ceilings are as large as the floors of their rooms.
pub(crate) fn amount<'a>(home: &'a Home, path: &str, finish: &Finish) -> Result<Amount<'a>, Lack> {
    let rooms = rooms(home, finish);
    let floors: Area = rooms.iter().map(|(_, space)| space.floor_area).sum();
    let covers = category::find(&finish.category).and_then(|(_, category)| category.covers);
    let (total, derived) = match (finish.area, covers) {
        (Some(area), _) => (area, None),
        (None, Some(cover @ (Cover::Floor | Cover::Ceiling))) if !rooms.is_empty() => (floors, Some(cover)),
        (None, _) => return Err(Lack::at(format!("{path} has no area, and it cannot be derived"), path)),
    };
    let shares = if floors.si() > 0.0 {
        rooms.iter().map(|(id, space)| (*id, total * (space.floor_area / floors))).collect()
    } else {
        Vec::new()
    };
    Ok(Amount { total, derived, floors, shares })
}

impl Amount<'_> {
    /// What of it lies in one room.
    pub(crate) fn in_room(&self, room: &Id) -> Option<Area> {
        self.shares.iter().find(|(id, _)| *id == room).map(|(_, area)| *area)
    }
}

/// Facts on area and length.
pub(crate) fn report(request: &Request<'_>, findings: &mut Findings) {
    for (id, finish) in &request.home.finishes {
        let subject = Subject::element("finishes", id);
        match amount(request.home, subject.as_str(), finish) {
            Ok(amount) => {
                let basis = basis(request.home, &subject, finish, &amount);
                findings.fact(&subject, &facts::AREA, amount.total, basis);
            }
            // Pipes and joint fillers come by length or mass; only what emits owes an area.
            Err(lack) if !finish.emissions.is_empty() => lack.write(&subject, &[&facts::AREA], findings),
            Err(_) => {}
        }
        length(request, &subject, finish, findings);
    }
}

fn basis(home: &Home, subject: &Subject, finish: &Finish, amount: &Amount<'_>) -> Basis {
    let Some(cover) = amount.derived else {
        let term = Term::new("A", "area", amount.total, Units::AREA).given(format!("{subject}.area"));
        return Basis::new("as given", "the home").step(Step::procedure("A").term(term));
    };
    let rooms = rooms(home, finish);
    let (listed, more) = rooms.split_at(rooms.len().min(MOST_TERMS));
    let floors = listed.iter().map(|(_, space)| space.floor_area);
    let rest = (!more.is_empty()).then(|| more.iter().map(|(_, space)| space.floor_area).sum());
    let step = Covered { A_i: &floors.chain(rest).collect::<Vec<_>>() }.step().1;
    let step = step.each(Covered::A_i, listed, |term, (id, _)| {
        Term { meaning: format!("floor of {id}"), ..term }.given(format!("spaces.{id}.floor_area"))
    });
    let mut basis = Basis::new("floor areas of the rooms", "common practice, no source").step(step);
    if !more.is_empty() {
        basis = basis.assuming(format!("the last number is {} more rooms together", more.len()));
    }
    if cover == Cover::Ceiling {
        basis = basis.assuming("ceilings are flat: as large as the floor below");
    }
    if finish.within.is_empty() {
        basis = basis.assuming("it is in every room but a garage, since none is named");
    }
    basis
}

fn length(request: &Request<'_>, subject: &Subject, finish: &Finish, findings: &mut Findings) {
    if let Some(length) = finish.length {
        let path = format!("{subject}.length");
        let term = Term::new("L", "length", length, Units::LENGTH).given(path.clone());
        let basis = Basis::new("as given", "the home").step(Step::procedure("L").term(term));
        findings.fact_at(subject, &facts::LENGTH, length, basis, Pointer::new(path));
        return;
    }
    let of_seams = category::find(&finish.category).is_some_and(|(id, _)| id == "seam-sealant");
    let is_sealant = category::kind(subject.as_str(), finish) == Ok(FinishKind::Sealant);
    if !of_seams {
        if is_sealant {
            let at = Some(Pointer::new(subject.as_str()));
            findings.missing(subject, &facts::LENGTH, format!("{subject} has no length"), at);
        }
        return;
    }
    let home = Subject::home();
    match request.number(&home, "takeoff.mate_line_length") {
        Some(length) => {
            let length = Length::from_si(length);
            let term = Term::new("L", "length of all mate lines", length, Units::LENGTH);
            let step = Step::procedure("L").term(term.fact(&home, "takeoff.mate_line_length"));
            let basis = Basis::new("length of the mate lines", "common practice, no source").step(step);
            findings.fact(subject, &facts::LENGTH, length, basis.assuming("one bead along every mate line"));
        }
        None => {
            let because = format!("{subject} has no length, and takeoff.mate_line_length of the home is not known");
            findings.missing(subject, &facts::LENGTH, because, Some(Pointer::new(subject.as_str())));
        }
    }
}
