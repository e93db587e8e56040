//! The worked calculation of a counted share of framing.

use crate::framing_count::{Count, FramedWall, Part, Symbol};
use crate::worked::SHARE;
use mateline_model::home::Framing;
use mateline_model::quantity::{Dimension, Units};
use mateline_model::{Basis, Step, Subject, Term};

/// A count of members.
const COUNT: Units = Units::plain(0);
/// Lengths and areas of members, fine enough to follow.
const AREA: Units = Units::new("m²", 4, "ft²", 3);
const LENGTH: Units = Units::new("m", 3, "ft", 3);

/// Where the symbols of a count come from.
struct Origins<'a> {
    subject: &'a Subject,
    framing: &'a Framing,
    path: &'a str,
}

impl Origins<'_> {
    fn term(&self, symbol: &Symbol) -> Term {
        let units = match symbol.value.dimension {
            Dimension::LENGTH if matches!(symbol.symbol, "t" | "s" | "dh" | "hr") => Units::THICKNESS,
            Dimension::LENGTH => LENGTH,
            Dimension::AREA => AREA,
            _ => COUNT,
        };
        let term = Term::new(symbol.symbol, symbol.meaning.clone(), symbol.value, units);
        let given = |field: &str| format!("{}.framed.{field}", self.path);
        let usual = |term: Term, field: &str, is_given: bool| {
            if is_given {
                term.given(given(field))
            } else {
                term.published("usual number (common practice, no source)")
            }
        };
        let framing = self.framing;
        match symbol.symbol {
            "t" => term.given(given("size")),
            "s" => term.given(given("spacing")),
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
            "dh" => usual(term, "header_depth", framing.header_depth.is_some()),
            _ => term,
        }
    }

    fn step(&self, part: &Part) -> Step {
        let step = part.symbols.iter().map(|symbol| self.term(symbol)).fold(Step::new(part.equation), Step::term);
        step.result(Term::new("A", part.what, part.area, AREA))
    }
}

/// The count of a wall: its height and studs, each sort of member, and their sum over the face.
pub(crate) fn of_wall(subject: &Subject, framing: &Framing, wall: &FramedWall, count: &Count, path: &str) -> Basis {
    let origins = Origins { subject, framing, path };
    let members = &wall.members;
    let (bottom, top) = (f64::from(members.bottom_plates), f64::from(members.top_plates));
    let symbol = |symbol: &'static str, meaning: &str, value: mateline_model::quantity::Quantity| {
        origins.term(&Symbol { symbol, meaning: meaning.to_owned(), value })
    };
    let clear = wall.gross / wall.run - members.rim_height - members.thickness * (bottom + top);
    let has_rims = members.rim_height.si() > 0.0;
    let height = Step::new(if has_rims { "Hc = A/L − hr − (nb + nt) t" } else { "Hc = A/L − (nb + nt) t" })
        .term(Term::new("A", "area with openings", wall.gross, AREA).fact(subject, "takeoff.gross_area"))
        .term(symbol("L", "length of wall", wall.run.into()))
        .term(symbol("nb", "bottom plates", bottom.into()))
        .term(symbol("nt", "top plates", top.into()))
        .term(symbol("t", "thickness of a member", members.thickness.into()));
    let height = if has_rims { height.term(symbol("hr", "height of rims", members.rim_height.into())) } else { height };
    let height = height.result(Term::new("Hc", "height between plates", clear, LENGTH));
    let studs = Step::new("N = ⌈L/s⌉ + 1")
        .term(symbol("L", "length of wall", wall.run.into()))
        .term(symbol("s", "spacing", members.spacing.into()))
        .result(Term::new("N", "regular studs", wall.regular_studs(), COUNT));
    let basis = Basis::new("framing counted member by member", "common practice, no source").step(height).step(studs);
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

/// A step for each sort of member, then `f = Σ A/A_face`.
fn summed(origins: &Origins<'_>, count: &Count, basis: Basis) -> Basis {
    let mut sum = Step::new("f = Σ A/Af");
    for part in &count.parts {
        sum = sum.term(Term::new("A", part.what, part.area, AREA));
    }
    let sum = sum.term(Term::new("Af", "face without openings", count.face, AREA)).result(Term::new(
        "f",
        "share of framing",
        count.fraction,
        SHARE,
    ));
    count.parts.iter().map(|part| origins.step(part)).fold(basis, Basis::step).step(sum)
}
