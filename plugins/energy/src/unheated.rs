//! Unheated spaces beside the home: how far each is from being as cold as outdoors.
//!
//! A space takes up what the home loses towards it and loses it to outdoors through its own parts and with its air; sun on it
//! and air that passes from the home into it are left out, and junctions count as if it were outdoors. What the home does not
//! tell of a space leaves it as cold as outdoors. Spaces below the floor are in [`crate::ground`].
//!
//! Source: ISO 13789:2017, transfer through unheated spaces (from memory, high).

#![allow(non_snake_case, reason = "symbols are named as the equations print them")]

use crate::surfaces::{Surface, loss};
use mateline_equation::equation;
use mateline_model::home::{Home, UnheatedSpace};
use mateline_model::quantity::{Conductance, Ratio, Units};
use mateline_model::{Pointer, Problem, Step, Subject, Term};
use mateline_sdk::{Lack, Request};

/// Air changes.
const CHANGES: Units = Units::new("1/h", 2, "1/h", 2);
/// A factor.
pub(crate) const FACTOR: Units = Units::plain(4);

equation! {
    /// From an unheated space to outdoors. Source: ISO 13789:2017 (from memory, high).
    pub SpaceToOutdoors = "H_ue = H_o + 0.33[Wh/(m³·K)] n V" {
        H_ue: Conductance "from the space to outdoors" [Units::CONDUCTANCE],
        H_o: Conductance "through its outer parts" [Units::CONDUCTANCE],
        n: Rate "its air changes" [CHANGES],
        V: Volume "its air" [Units::VOLUME],
    }

    /// What the space leaves of the difference between indoors and outdoors. Source: ISO 13789:2017 (from memory, high).
    pub SpaceFactor = "b = H_ue/(H_iu + H_ue)" {
        b: Ratio "share of the difference between indoors and outdoors" [FACTOR],
        H_iu: Conductance "from the home to the space" [Units::CONDUCTANCE],
        H_ue: Conductance "from the space to outdoors" [Units::CONDUCTANCE],
    }

    /// Heat loss coefficient to outdoor air with what unheated spaces keep. Source: ISO 13789:2017 (from memory, high).
    pub(crate) Sheltered = "H_D = H_0 − Σ (1 − b_k) H_k" {
        H_D: Conductance "to outdoor air, through envelope and junctions" [Units::CONDUCTANCE],
        H_0: Conductance "the same with all spaces as cold as outdoors" [Units::CONDUCTANCE],
        b_k: [Ratio] "factor of a space" [FACTOR],
        H_k: [Conductance] "from the home to the space" [Units::CONDUCTANCE],
    }
}

/// A space that the home borders on.
#[derive(Clone, Debug)]
pub(crate) struct Space {
    /// Its name in the home file.
    pub name: &'static str,
    /// The take-off's word for it.
    boundary: &'static str,
    towards: Conductance,
    /// From it to outdoors, its factor and how both follow; or what its description lacks.
    pub told: Result<(Conductance, Ratio, Vec<Step>), Lack>,
}

/// Unheated spaces of a home.
#[derive(Clone, Debug, Default)]
pub(crate) struct Spaces(Vec<Space>);

/// The take-off's word, that of the home file, and what is given there.
fn named(home: &Home) -> [(&'static str, &'static str, Option<&UnheatedSpace>); 3] {
    let spaces = home.enclosure.as_ref().and_then(|enclosure| enclosure.unheated.as_ref());
    [
        ("attic", "attic", spaces.and_then(|spaces| spaces.attic.as_ref())),
        ("garage", "garage", spaces.and_then(|spaces| spaces.garage.as_ref())),
        ("unheated", "other", spaces.and_then(|spaces| spaces.other.as_ref())),
    ]
}

/// Spaces that are described and that nothing of the home borders on.
pub(crate) fn problems(request: &Request<'_>) -> Vec<Problem> {
    let borders = |boundary: &str| {
        let mut parts = request.subjects("surfaces").chain(request.subjects("openings"));
        parts.any(|part| request.text(part, "takeoff.boundary") == Some(boundary))
    };
    if request.subjects("surfaces").next().is_none() {
        return Vec::new();
    }
    let idle = named(request.home).into_iter().filter(|(boundary, _, given)| given.is_some() && !borders(boundary));
    idle.map(|(boundary, name, _)| {
        let path = format!("enclosure.unheated.{name}");
        Problem {
            message: format!("{path} is described, and no part of the home borders on it"),
            at: Pointer::new(path),
            also: Vec::new(),
            help: Some(format!("say 'adjoins: {boundary}' of what borders on it, or leave it out")),
        }
    })
    .collect()
}

impl Spaces {
    /// Those that the home borders on.
    pub(crate) fn of(request: &Request<'_>, surfaces: &[Surface<'_>]) -> Result<Spaces, Lack> {
        let mut spaces = Vec::new();
        for (boundary, name, given) in named(request.home) {
            let mut towards = Conductance::default();
            for surface in surfaces.iter().filter(|surface| surface.boundary == boundary) {
                towards = towards + loss(request, surface.subject)?;
            }
            for id in request.home.openings.keys() {
                let subject = Subject::element("openings", id);
                if request.text(&subject, "takeoff.boundary") == Some(boundary) {
                    towards = towards + loss(request, &subject)?;
                }
            }
            if towards.si() > 0.0 {
                spaces.push(Space { name, boundary, towards, told: told(name, given, towards) });
            }
        }
        Ok(Spaces(spaces))
    }

    /// All that the home borders on.
    pub(crate) fn iter(&self) -> impl Iterator<Item = &Space> {
        self.0.iter()
    }

    fn known(&self) -> impl Iterator<Item = (&Space, Conductance, Ratio)> {
        self.0.iter().filter_map(|space| space.told.as_ref().ok().map(|(out, factor, _)| (space, *out, *factor)))
    }

    /// Share of the difference between indoors and outdoors that lies across a part towards this boundary.
    pub(crate) fn factor(&self, boundary: &str) -> f64 {
        self.known().find(|(space, ..)| space.boundary == boundary).map_or(1.0, |(.., factor)| factor.si())
    }

    /// The same for another home that loses so much towards it (W/K).
    pub(crate) fn factor_with(&self, boundary: &str, towards: f64) -> f64 {
        let known = self.known().find(|(space, ..)| space.boundary == boundary);
        known.map_or(1.0, |(_, H_ue, _)| SpaceFactor { H_iu: Conductance::from_si(towards), H_ue }.value().si())
    }

    /// A heat loss coefficient with what the spaces keep, the steps to it, and what is assumed.
    pub(crate) fn sheltered(&self, all: Conductance) -> (Conductance, Vec<Step>, Vec<String>) {
        let mut said: Vec<String> = Vec::new();
        for space in &self.0 {
            if let Err(lack) = &space.told {
                said.push(format!("{} is as cold as outdoors: {}", called(space.name), lack.because));
            }
        }
        let mut steps: Vec<Step> = Vec::new();
        for (_, _, its) in self.0.iter().filter_map(|space| space.told.as_ref().ok()) {
            steps.extend(its.iter().cloned());
        }
        if steps.is_empty() {
            return (all, steps, said);
        }
        let (factors, losses): (Vec<Ratio>, Vec<Conductance>) =
            self.known().map(|(space, _, factor)| (factor, space.towards)).unzip();
        let (left, step) = Sheltered { H_0: all, b_k: &factors, H_k: &losses }.step();
        let names: Vec<&str> = self.known().map(|(space, ..)| space.name).collect();
        let named = |term, name: &&str| Term { meaning: (*name).to_owned(), ..term };
        steps.push(step.each(Sheltered::b_k, &names, named).each(Sheltered::H_k, &names, named));
        said.push(
            "unheated spaces get no sun and no air from the home, and junctions lose to them as to outdoors".to_owned(),
        );
        (left, steps, said)
    }
}

/// What a sentence calls a space.
fn called(name: &str) -> String {
    if name == "other" { "the unheated space beside the home".to_owned() } else { format!("the {name}") }
}

/// From a space to outdoors, and its factor.
fn told(
    name: &str,
    given: Option<&UnheatedSpace>,
    towards: Conductance,
) -> Result<(Conductance, Ratio, Vec<Step>), Lack> {
    let at = format!("enclosure.unheated.{name}");
    let space = given.ok_or_else(|| Lack::at(format!("{at} is not given"), "enclosure"))?;
    let lacks = |field: &str| Lack::at(format!("{at}.{field} is not given"), at.as_str());
    let H_o = space.outer_loss.ok_or_else(|| lacks("outer_loss"))?;
    let V = space.volume.ok_or_else(|| lacks("volume"))?;
    let n = space.air_changes.ok_or_else(|| lacks("air_changes"))?;
    if H_o.si() <= 0.0 {
        let because = format!("{at}.outer_loss is nought, and every space loses something through its own parts");
        return Err(Lack::at(because, format!("{at}.outer_loss")));
    }
    let (H_ue, out) = SpaceToOutdoors { H_o, n, V }.step();
    let out = out
        .given(SpaceToOutdoors::H_o, format!("{at}.outer_loss"))
        .given(SpaceToOutdoors::n, format!("{at}.air_changes"))
        .given(SpaceToOutdoors::V, format!("{at}.volume"))
        .meaning(SpaceToOutdoors::H_ue, format!("{name}, to outdoors"));
    let (b, factor) = SpaceFactor { H_iu: towards, H_ue }.step();
    Ok((H_ue, b, vec![out, factor.meaning(SpaceFactor::b, format!("of the {name}"))]))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]

    use super::*;
    use mateline_model::quantity::{Rate, Volume};

    fn space(outer_loss: f64, air_changes: f64) -> UnheatedSpace {
        UnheatedSpace {
            outer_loss: Some(Conductance::from_si(outer_loss)),
            volume: Some(Volume::from_si(90.0)),
            air_changes: Some(Rate::from_si(air_changes / 3_600.0)),
        }
    }

    /// A garage by hand: 40 W/K towards it; its own parts 60 W/K and 90 m³ of air changed once an hour, 29.7 W/K: b =
    /// 89.7/129.7 = 0.6916. Heat into the space is heat out of it at 20 °C indoors and −5 °C outdoors: at 2.71 °C, 691.6 W.
    #[test]
    fn a_garage_by_hand() {
        let (H_ue, b, _) = told("garage", Some(&space(60.0, 1.0)), Conductance::from_si(40.0)).unwrap();
        let b = b.si();
        assert!((H_ue.si() - 89.7).abs() < 1e-9 && (b - 0.6916).abs() < 5e-5, "{H_ue}, {b}");
        let space = 20.0 - b * 25.0;
        assert!((space - 2.71).abs() < 0.005);
        assert!((40.0 * (20.0 - space) - 89.7 * (space + 5.0)).abs() < 1e-9);
    }

    /// More air or thinner walls only bring a space nearer to outdoors; open to the wind it is outdoors.
    #[test]
    fn a_space_lies_between_indoors_and_outdoors() {
        let factor = |outer_loss: f64, air_changes: f64| {
            told("attic", Some(&space(outer_loss, air_changes)), Conductance::from_si(40.0)).unwrap().1.si()
        };
        let mut before = 0.0;
        for (outer_loss, air_changes) in [(1.0, 0.0), (60.0, 0.0), (60.0, 1.0), (60.0, 10.0), (600.0, 10.0)] {
            let b = factor(outer_loss, air_changes);
            assert!(b > before && b < 1.0, "{outer_loss}, {air_changes}: {b} after {before}");
            before = b;
        }
        assert!((factor(1e12, 0.0) - 1.0).abs() < 1e-9);
    }

    /// Whatever is missing leaves no factor, and neither does a space that loses nothing.
    #[test]
    fn a_space_that_is_half_described_is_as_cold_as_outdoors() {
        let whole = space(60.0, 1.0);
        let towards = Conductance::from_si(40.0);
        for (given, because) in [
            (None, "enclosure.unheated.other is not given"),
            (Some(UnheatedSpace { volume: None, ..whole.clone() }), "enclosure.unheated.other.volume is not given"),
            (Some(UnheatedSpace { air_changes: None, ..whole.clone() }), "other.air_changes is not given"),
            (Some(UnheatedSpace { outer_loss: None, ..whole }), "other.outer_loss is not given"),
            (Some(space(0.0, 1.0)), "other.outer_loss is nought"),
        ] {
            let lack = told("other", given.as_ref(), towards).unwrap_err();
            assert!(lack.because.contains(because), "{}", lack.because);
            let spaces = Spaces(vec![Space { name: "other", boundary: "unheated", towards, told: Err(lack) }]);
            assert!(spaces.factor("unheated") == 1.0 && spaces.factor_with("unheated", 10.0) == 1.0);
            assert_eq!(spaces.sheltered(Conductance::from_si(100.0)).0, Conductance::from_si(100.0));
        }
    }
}
