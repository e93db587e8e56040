//! The worked calculation of a counted share of framing.

use mateline_layers::framing::Count;
use mateline_layers::framing::wall::FramedWall;
use mateline_model::home::Framing;
use mateline_model::{Basis, Step, Subject, Term};

/// Where the symbols of a count come from.
struct Origins<'a> {
    subject: &'a Subject,
    framing: &'a Framing,
    path: &'a str,
}

impl Origins<'_> {
    fn term(&self, term: Term) -> Term {
        let given = |field: &str| format!("{}.framed.{field}", self.path);
        let usual = |term: Term, field: &str, is_given: bool| {
            if is_given {
                term.given(given(field))
            } else {
                term.published("usual number (common practice, no source)")
            }
        };
        let framing = self.framing;
        match &*term.symbol {
            "t" => term.given(given("size")),
            "s" => term.given(given("spacing")),
            "A" => term.fact(self.subject, "takeoff.gross_area"),
            "L" => term.fact(self.subject, "takeoff.run_length"),
            "nc" => term.fact(self.subject, "takeoff.corners"),
            "ne" => term.fact(self.subject, "takeoff.mate_line_ends"),
            "nb" => usual(term, "bottom_plates", framing.bottom_plates.is_some()),
            "nt" => usual(term, "top_plates", framing.top_plates.is_some()),
            "nj" => usual(term, "jacks", framing.jacks.is_some()),
            "nk" => usual(term, "corner_studs", framing.corner_studs.is_some()),
            "nm" => usual(term, "mate_line_studs", framing.mate_line_studs.is_some()),
            "nr" => term.given(given("blocking_rows")),
            "hr" => term.given(given("rim_height")),
            "dh_o" => usual(term, "header_depth", framing.header_depth.is_some()),
            _ => term,
        }
    }

    fn step(&self, step: Step) -> Step {
        Step { terms: step.terms.into_iter().map(|term| self.term(term)).collect(), ..step }
    }
}

/// The count of a wall: its height and studs, each sort of member, and their sum over the face.
pub(crate) fn of_wall(subject: &Subject, framing: &Framing, wall: &FramedWall, count: &Count, path: &str) -> Basis {
    let origins = Origins { subject, framing, path };
    let has_rims = wall.members.rim_height.si() > 0.0;
    let basis = Basis::new("framing counted member by member", "common practice, no source")
        .step(origins.step(wall.clear().1))
        .step(origins.step(wall.studs().step().1));
    let mut basis = summed(&origins, count, basis);
    let openings: Vec<String> = wall.openings.iter().map(|opening| opening.words()).collect();
    if !openings.is_empty() {
        basis = basis.assuming(format!("openings counted: {}", openings.join(", ")));
    }
    basis
        .assuming("one full-height stud stands at each side of an opening, beside the jacks")
        .assuming(
            "window jacks without a given sill reach up to a header below the plates; \
             no header is deeper than the wall leaves above its opening",
        )
        .assuming(if has_rims {
            "members and rims are solid through the depth of the layer"
        } else {
            "members are solid through the depth of the layer; with no rim_height given, floor and ceiling rims within \
             the wall's height count as wall"
        })
}

/// The count of a floor, ceiling or roof.
pub(crate) fn of_deck(subject: &Subject, framing: &Framing, count: &Count, path: &str) -> Basis {
    let basis = Basis::new("framing counted from spacing and rims", "common practice, no source");
    summed(&Origins { subject, framing, path }, count, basis).assuming(
        "one rim member stands along each of the four sides of every box; x and y are the boxes' sizes in plan",
    )
}

/// The steps of each sort of member, then their share of the face.
fn summed(origins: &Origins<'_>, count: &Count, basis: Basis) -> Basis {
    let steps = count.parts.iter().flat_map(|part| &part.steps).map(|step| origins.step(step.clone()));
    steps.fold(basis, Basis::step).step(count.share().1)
}
