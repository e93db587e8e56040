//! The facts of one junction.

use crate::defaults;
use crate::facts::{self, PSI_UNITS};
use crate::figure;
use crate::films;
use crate::insulation;
use crate::lack::Lack;
use crate::plan::{LengthFrom, Planned, word};
use crate::psi::{Flow, Psi, SolvedJunction};
use crate::solved::HeatFlow;
use crate::solving::Outcome;
use crate::thicker::Needed;
use mateline_conduction::solution::Accuracy;
use mateline_equation::equation;
use mateline_model::quantity::{Conductance, Conductivity, Length, Ratio, Temperature, Units, number};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Request};

equation! {
    /// Heat loss coefficient of a junction. Source: ISO 10211:2017 (from memory).
    pub(crate) JunctionLoss = "H = ψ l" {
        H: Conductance "heat loss coefficient" [Units::CONDUCTANCE],
        ψ: Conductivity "linear thermal transmittance" [PSI_UNITS],
        l: Length "length" [Units::LENGTH],
    }

    /// Surface temperature at a temperature factor. Source: ISO 13788:2012 (from memory).
    pub(crate) SurfaceTemperature = "θsi = θe + fRsi (θi − θe)" {
        θsi: Temperature "lowest inner surface" [Units::TEMPERATURE],
        θe: Temperature "outdoors, for heating design" [Units::TEMPERATURE],
        fRsi: Ratio "temperature factor" [Units::plain(3)],
        θi: Temperature "indoors" [Units::TEMPERATURE],
    }
}

/// Indoor temperature in winter where the home gives none (°C).
const INDOORS: f64 = 20.0;
/// The method's name.
const METHOD: &str = "two-dimensional steady conduction by finite volumes";
const SOURCE: &str = "ISO 10211:2017";
const RECALLED: &str = "method from memory, checked against cases 1 and 2 of its annex C";

/// Heat loss of a junction, or why it is not known.
pub(crate) type Loss = Result<Conductance, String>;

/// Writes a junction down and hands back its heat loss.
pub(crate) fn write(
    request: &Request<'_>,
    planned: &Planned<'_>,
    outcome: &Outcome,
    needed: Option<&Needed>,
    findings: &mut Findings,
) -> Loss {
    let subject = Subject::element("junctions", &planned.id);
    let found = if planned.junction.is_some() { "as listed" } else { "found where the faces of the boxes meet" };
    findings.text(&subject, &facts::KIND, word(planned.kind), Basis::new(found, "geometry and the home file"));
    let psi = write_psi(&subject, planned, outcome, findings);
    write_factor(request, &subject, planned, outcome, needed, findings);
    if let Some(needed) = needed {
        insulation::write(&subject, needed, findings);
    }
    if let Outcome::Solved(solved) = outcome {
        write_solution(&subject, solved, findings);
        if let Ok(surfaces) = &solved.surfaces
            && solved.like.is_none()
            && request.shown
        {
            findings.figures.push(figure::field(request, &subject, planned, solved, surfaces));
        }
        say_unsolved(solved, planned, findings);
    }
    let (length, from) = match &planned.length {
        Ok(length) => *length,
        Err(lack) => {
            findings.missing(&subject, &facts::LENGTH, lack.because.clone(), lack.at.clone());
            findings.missing(&subject, &facts::LOSS, lack.because.clone(), lack.at.clone());
            return Err(lack.because.clone());
        }
    };
    let length = Length::from_si(length);
    let term = Term::new("l", "length", length, Units::LENGTH);
    let (term, how) = match from {
        LengthFrom::Given => (term.given(format!("{subject}.length")), "given"),
        LengthFrom::Boxes => (term, "edges where the faces of the boxes meet, each level by itself"),
        LengthFrom::Rest => (term, "edges where the faces of the boxes meet, less what other entries give"),
        LengthFrom::Perimeter => {
            (term.fact(&Subject::home(), "takeoff.foundation_perimeter"), "outline of the lowest boxes")
        }
    };
    let basis = Basis::new(how, "geometry of the boxes")
        .step(Step::procedure("l").result(term))
        .assuming("sloped ceilings count as level; openings by their whole outline");
    findings.fact(&subject, &facts::LENGTH, length, basis);
    let psi = psi.inspect_err(|lack| {
        findings.missing(&subject, &facts::LOSS, lack.because.clone(), lack.at.clone());
    });
    let psi = psi.map_err(|lack| lack.because)?;
    let (loss, step) = JunctionLoss { ψ: psi, l: length }.step();
    let step =
        step.fact(JunctionLoss::ψ, &subject, facts::PSI.name).fact(JunctionLoss::l, &subject, facts::LENGTH.name);
    findings.fact(&subject, &facts::LOSS, loss, Basis::new("ψ times length", SOURCE).step(step));
    Ok(loss)
}

fn write_psi(
    subject: &Subject,
    planned: &Planned<'_>,
    outcome: &Outcome,
    findings: &mut Findings,
) -> Result<Conductivity, Lack> {
    let path = subject.as_str();
    let state = |findings: &mut Findings, text: &str, how: &str| {
        findings.text(subject, &facts::SOURCE, text, Basis::new(how.to_owned(), "geometry and the home file"));
    };
    if let Some(psi) = planned.junction.and_then(|junction| junction.psi) {
        let said = planned.junction.and_then(|junction| junction.source.as_ref());
        let said = said.map_or_else(|| "no source".to_owned(), |source| source.to_string());
        let term = Term::new("ψ", "linear thermal transmittance", psi, PSI_UNITS).given(format!("{path}.psi"));
        let basis = Basis::new("as given", said).step(Step::procedure("ψ").result(term));
        findings.fact_at(subject, &facts::PSI, psi, basis, Pointer::new(format!("{path}.psi")));
        state(findings, "given", "the home gives ψ");
        return Ok(psi);
    }
    match outcome {
        Outcome::Solved(solved) => {
            let flow = match (&solved.flow, &solved.drawn.no_flanks) {
                (Ok(flow), None) => flow,
                (Err(lack), _) | (_, Some(lack)) => {
                    let owed = [&facts::PSI, &facts::PSI_INTERIOR, &facts::SOURCE];
                    all_missing(subject, &owed, lack, findings);
                    return Err(lack.clone());
                }
            };
            let (psi, step) = solved.psi(flow);
            let basis = psi_basis(solved, flow, "exterior", step);
            findings.fact_at(subject, &facts::PSI, psi, basis, place(planned, path));
            let (inner, step) = solved.psi_interior(flow);
            findings.fact(subject, &facts::PSI_INTERIOR, inner, psi_basis(solved, flow, "interior", step));
            let how = if planned.junction.is_some_and(|junction| !junction.rectangles.is_empty()) {
                "solved from the junction's own rectangles"
            } else {
                "solved from a section drawn from the assemblies"
            };
            state(findings, "solved", how);
            Ok(psi)
        }
        Outcome::Lacking(lack) if lack.undescribed => {
            let psi = Conductivity::from_si(defaults::psi(planned.kind));
            let term = Term::new("ψ", "usual value", psi, PSI_UNITS).published(defaults::MARK);
            let basis = Basis::new(format!("usual value of a {}", word(planned.kind)), defaults::MARK)
                .step(Step::procedure("ψ").result(term))
                .assuming(format!("no section is drawn: {}", lack.because));
            findings.fact_at(subject, &facts::PSI, psi, basis, place(planned, path));
            state(findings, defaults::MARK, "no section could be drawn");
            Ok(psi)
        }
        Outcome::Lacking(lack) => {
            findings.missing(subject, &facts::PSI, lack.because.clone(), lack.at.clone());
            Err(lack.clone())
        }
        Outcome::Idle => Err(Lack::at(format!("{path} has no psi"), path)),
    }
}

fn all_missing(subject: &Subject, owed: &[&QuantityDef], lack: &Lack, findings: &mut Findings) {
    for definition in owed {
        findings.missing(subject, definition, lack.because.clone(), lack.at.clone());
    }
}

/// Says aloud what could not be solved: a number that nobody misses is missing all the same.
fn say_unsolved(solved: &SolvedJunction, planned: &Planned<'_>, findings: &mut Findings) {
    let lacks = [solved.flow.as_ref().err(), solved.surfaces.as_ref().err()];
    let at = place(planned, &format!("junctions.{}", planned.id));
    let mut said: Vec<&str> = Vec::new();
    for lack in lacks.into_iter().flatten().filter(|_| solved.like.is_none()) {
        if !said.contains(&lack.because.as_str()) {
            said.push(&lack.because);
            findings.remark(lack.because.clone(), at.clone());
        }
    }
}

/// Where a reader can change a junction.
fn place(planned: &Planned<'_>, path: &str) -> Pointer {
    if planned.junction.is_some() { Pointer::new(path) } else { Pointer::new("enclosure") }
}

/// The worked calculation of ψ.
fn psi_basis(solved: &SolvedJunction, flow: &Flow, dimensions: &str, psi: Step) -> Basis {
    let mut basis = Basis::new(METHOD, SOURCE).provenance(RECALLED);
    basis = basis.step(l2d_step("L2D", "coupling coefficient of the section", flow.section()));
    if let Some(without) = flow.without() {
        basis = basis.step(l2d_step("L2D0", "the same without the junction", without));
    }
    basis = basis.step(psi.meaning(Psi::ψ, format!("for {dimensions} dimensions")));
    let own = |path: &str| solved.drawn.flanks.iter().any(|flank| flank.name.contains(path));
    if !own(".flanks.") {
        basis = basis.assuming(format!("films: {}", films::SOURCE));
        basis = basis.assuming("exterior dimensions end at the face of the boxes, as the take-off measures them");
    }
    if !solved.drawn.counted.is_empty() {
        basis = basis.assuming("members that the assembly's share of framing holds already are not counted again");
    }
    match flow {
        Flow::Beside(both) => {
            basis = basis.assuming(format!(
                "both sections are solved on the same grids; their difference last changed by {:.5} W/(m·K)",
                both.change
            ));
        }
        Flow::Alone(flow) if flow.refinement_change > Accuracy::FINE.flow => {
            basis = basis.assuming(format!(
                "no finer grid can be solved: the heat flow may be off by {:.2} %, and ψ by {:.4} W/(m·K)",
                flow.off * 1e2,
                flow.off * flow.l2d
            ));
        }
        Flow::Alone(_) => {}
    }
    if let Some(like) = &solved.like {
        basis = basis.assuming(format!("the section is that of junctions.{like}, where its temperatures are drawn"));
    }
    for note in &solved.drawn.notes {
        basis = basis.assuming(note.clone());
    }
    basis
}

/// `L2D` with the grids it was found on.
fn l2d_step(symbol: &'static str, meaning: &str, solution: &HeatFlow) -> Step {
    let grids: Vec<String> = solution.series.iter().map(usize::to_string).collect();
    let share = |value: f64| Ratio::from_si(value);
    Step::procedure(format!("{symbol} = Φ/(θi − θe)"))
        .term(Term::new(
            "n",
            format!("cells, after grids of {}", grids.join(", ")),
            solution.cells() as f64,
            Units::COUNT,
        ))
        .term(Term::new("Δ", "change of Φ when the cells were last halved", share(solution.refinement_change), CHANGE))
        .term(Term::new("ε", "heat in less heat out", share(solution.balance_error), BALANCE))
        .result(Term::new(symbol, meaning.to_owned(), Conductivity::from_si(solution.l2d), PSI_UNITS))
}

const CHANGE: Units = Units::new("%", 3, "%", 3);
const BALANCE: Units = Units::new("%", 9, "%", 9);

fn write_factor(
    request: &Request<'_>,
    subject: &Subject,
    planned: &Planned<'_>,
    outcome: &Outcome,
    needed: Option<&Needed>,
    findings: &mut Findings,
) {
    let path = format!("{subject}.surface_factor");
    let given = planned.junction.and_then(|junction| junction.surface_factor);
    let factor = match (given, outcome) {
        (Some(factor), _) => {
            let term = Term::new("fRsi", "temperature factor", factor, Units::plain(3)).given(path.as_str());
            let basis = Basis::new("as given", "the home file").step(Step::procedure("fRsi").result(term));
            findings.fact_at(subject, &facts::SURFACE_FACTOR, factor, basis, Pointer::new(path));
            factor.si()
        }
        (None, Outcome::Solved(solved)) => {
            let surfaces = match &solved.surfaces {
                Ok(surfaces) => surfaces,
                Err(lack) => {
                    let owed = [&facts::SURFACE_FACTOR, &facts::LOWEST_TEMPERATURE];
                    return all_missing(subject, &owed, lack, findings);
                }
            };
            let lowest = surfaces.lowest;
            let basis = Basis::new(METHOD, "ISO 10211:2017 and ISO 13788:2012")
                .provenance(RECALLED)
                .step(Step::procedure("fRsi = (θsi − θe)/(θi − θe)").result(Term::new(
                    "fRsi",
                    format!("lowest, at x = {} m, y = {} m of the section", number(lowest.x, 3), number(lowest.y, 3)),
                    Ratio::from_si(lowest.factor),
                    Units::plain(3),
                )))
                .assuming("0.25 m²·K/W on every inner surface")
                .assuming(format!(
                    "{} cells; it changed by {:.4} when the cells were last halved",
                    surfaces.cells, surfaces.factor_change
                ));
            findings.fact_at(
                subject,
                &facts::SURFACE_FACTOR,
                Ratio::from_si(lowest.factor),
                basis,
                insulation::place(needed, request.home.units).unwrap_or_else(|| place(planned, subject.as_str())),
            );
            lowest.factor
        }
        (None, Outcome::Lacking(lack)) => {
            let owed = [&facts::SURFACE_FACTOR, &facts::LOWEST_TEMPERATURE];
            return all_missing(subject, &owed, lack, findings);
        }
        (None, Outcome::Idle) => return,
    };
    let site = &request.home.site;
    let Some(outdoors) = site.design_heating else {
        let because = "site.design_heating is not given";
        findings.missing(subject, &facts::LOWEST_TEMPERATURE, because, Some(Pointer::new("site")));
        return;
    };
    let indoors = site.indoor_heating.unwrap_or(Temperature::from_si(INDOORS));
    let (found, step) = SurfaceTemperature { θe: outdoors, fRsi: Ratio::from_si(factor), θi: indoors }.step();
    let step = step.given(SurfaceTemperature::θe, "site.design_heating").fact(
        SurfaceTemperature::fRsi,
        subject,
        facts::SURFACE_FACTOR.name,
    );
    let step = match site.indoor_heating {
        Some(_) => step.given(SurfaceTemperature::θi, "site.indoor_heating"),
        None => step,
    };
    let basis = Basis::new("temperature factor at design temperatures", "ISO 13788:2012").provenance("from memory");
    findings.fact(subject, &facts::LOWEST_TEMPERATURE, found, basis.step(step));
}

fn write_solution(subject: &Subject, solved: &SolvedJunction, findings: &mut Findings) {
    let basis = || Basis::new(METHOD, SOURCE).provenance(RECALLED);
    let flow = match &solved.flow {
        Ok(flow) => flow,
        Err(lack) => {
            let owed = [&facts::L2D, &facts::CELLS, &facts::BALANCE_ERROR, &facts::REFINEMENT_CHANGE];
            return all_missing(subject, &owed, lack, findings);
        }
    };
    let section = flow.section();
    let l2d = l2d_step("L2D", "coupling coefficient", section);
    findings.fact(subject, &facts::L2D, Conductivity::from_si(section.l2d), basis().step(l2d));
    findings.count(subject, &facts::CELLS, section.cells(), basis());
    let surfaces = solved.surfaces.as_ref().map_or(0.0, |surfaces| surfaces.balance_error);
    let mut share = |definition: &QuantityDef, value: f64| {
        findings.fact(subject, definition, Ratio::from_si(value), basis().assuming("the worst of all sections solved"));
    };
    share(&facts::BALANCE_ERROR, flow.balance_error().max(surfaces));
    share(&facts::REFINEMENT_CHANGE, flow.refinement_change());
}
