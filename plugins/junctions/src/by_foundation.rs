//! Heat through the ground below a home, by the kind of its foundation, where that gives enough.

use crate::facts;
use crate::ground_facts::{basement, slab};
use crate::lack::Lack;
use crate::under_floor::{crawl_space, unheated_basement};
use mateline_model::Subject;
use mateline_model::home::FoundationKind;
use mateline_model::quantity::Conductance;
use mateline_sdk::{Findings, Request};

/// What the ground does to the heat loss of the whole.
pub(crate) enum Ground {
    /// It takes the place of what the envelope counts for surfaces of this boundary.
    InPlaceOf(&'static str, Conductance),
    /// Nothing of the envelope touches it, for this reason.
    None(&'static str),
    /// It is not known.
    Lacking(String),
}

/// Writes the ground's facts, or what they lack.
pub(crate) fn write(request: &Request<'_>, findings: &mut Findings) -> Ground {
    let Some(foundation) = &request.home.foundation else {
        lacking(findings, &Lack::at("the home has no foundation", "foundation"), true);
        return Ground::None("the home gives no foundation: floors count as the envelope has them");
    };
    let inside = foundation.is_conditioned();
    let result = if foundation.except.is_empty() {
        match foundation.kind {
            FoundationKind::Slab => slab(request, foundation, findings).map(|loss| ("ground", loss)),
            FoundationKind::Basement | FoundationKind::CrawlSpace if inside => {
                basement(request, foundation, findings).map(|loss| ("ground", loss))
            }
            FoundationKind::CrawlSpace => crawl_space(request, foundation, findings).map(|loss| ("crawl-space", loss)),
            FoundationKind::Basement => {
                unheated_basement(request, foundation, findings).map(|loss| ("unheated-basement", loss))
            }
            FoundationKind::Piers => {
                lacking(findings, &Lack::new("a home on piers stands over outdoor air"), inside);
                return Ground::None("a home on piers stands over outdoor air, as the envelope counts it");
            }
        }
    } else {
        Err(Lack::at("the boxes stand on foundations of more than one kind", "foundation.except"))
    };
    match result {
        Ok((boundary, loss)) => {
            if !inside {
                no_walls(findings);
            }
            Ground::InPlaceOf(boundary, loss)
        }
        Err(lack) => {
            lacking(findings, &lack, inside);
            Ground::Lacking(lack.because)
        }
    }
}

fn lacking(findings: &mut Findings, lack: &Lack, with_walls: bool) {
    let home = Subject::home();
    for definition in [&facts::GROUND_U_FLOOR, &facts::GROUND_LOSS, &facts::GROUND_SEASONAL] {
        findings.missing(&home, definition, lack.because.clone(), lack.at.clone());
    }
    if with_walls {
        findings.missing(&home, &facts::GROUND_U_WALL, lack.because.clone(), lack.at.clone());
    } else {
        no_walls(findings);
    }
}

fn no_walls(findings: &mut Findings) {
    let because = "no wall of heated space stands in the ground";
    findings.missing(&Subject::home(), &facts::GROUND_U_WALL, because, None);
}
