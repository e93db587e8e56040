//! The worked calculation of an assembly, step by step, as a person with a pocket calculator follows it.
//!
//! Layers are numbered from inside, beginning with 1: `R2c` is the second layer through its cavity, `R2m` through its
//! member, `f2` its share of framing. Straight ways through the assembly are lettered: `RA`, `fA`.

use crate::construction::{Body, Construction, Matter, ResolvedLayer};
use crate::facts;
use crate::framed::{Component, Section};
use crate::isothermal_planes::{LayerMean, layer_mean};
use crate::parallel_path::{UpperLimit, ways};
use crate::units::TRANSMITTANCE;
use mateline_equation::equation;
use mateline_films::surface::{RECALLED, handbook_marks};
use mateline_layers::framing::SHARE;
use mateline_layers::framing::Share;
use mateline_layers::{How, Plane, RESISTANCE, Series};
use mateline_model::home::Boundary;
use mateline_model::quantity::{ThermalResistance, Units};
use mateline_model::{Basis, Origin, Step, Term};
use std::borrow::Cow;

equation! {
    /// U-factor of a resistance from air to air. Source: ISO 6946:2017, 6.5 (from memory).
    pub(crate) Transmittance = "U = 1/R" {
        U: ThermalTransmittance "U-factor" [TRANSMITTANCE],
        R: ThermalResistance "resistance from air to air" [RESISTANCE],
    }

    /// Resistance of a U-factor. Source: the same, turned round.
    pub(crate) Effective = "R = 1/U" {
        R: ThermalResistance "effective resistance" [RESISTANCE],
        U: ThermalTransmittance "U-factor" [TRANSMITTANCE],
    }
}

const AIR_LAYERS: &str = "ISO 6946:2017, table of unventilated air layers (from memory)";

/// The calculation of one assembly towards one boundary.
pub(crate) struct Worked<'c, 'a> {
    pub construction: &'c Construction<'a>,
    pub boundary: Boundary,
}

impl<'a> Worked<'_, 'a> {
    /// A basis with the assumptions and marks that hold for every resistance of the assembly.
    pub(crate) fn basis(&self, method: &'static str, source: &'static str) -> Basis {
        let construction = self.construction;
        let marks = handbook_marks(construction.direction, construction.outer_side(self.boundary));
        let recalled = match (marks.contains(&RECALLED), construction.is_from_memory()) {
            (true, true) => "formula, films and material values from memory",
            (true, false) => "formula and films from memory",
            (false, true) => "formula and material values from memory",
            (false, false) => "formula from memory",
        };
        let films = construction.films(self.boundary);
        let outer = construction.outer_side(self.boundary);
        let mut basis = Basis::new(method, source).provenance(recalled).assuming(format!(
            "handbook air films for {} with {} serve every method, \
             so that the methods can be compared: Rsi {:.4} m²·K/W, Rse {:.4} m²·K/W",
            construction.direction.words(),
            outer.words(),
            films.inner.si(),
            films.outer.si()
        ));
        if construction.is_ventilated {
            basis = basis.assuming(
                "the ventilated cavity and what lies outside it add no resistance; \
                 its air is still air to the surface behind it",
            );
        }
        let sheets: Vec<&str> = construction
            .counting()
            .flat_map(ResolvedLayer::matter)
            .filter(|matter| matter.how == How::Nothing)
            .map(|matter| matter.name)
            .collect();
        if !sheets.is_empty() {
            basis = basis.assuming(format!("membranes and coatings add no resistance: {}", sheets.join(", ")));
        }
        if construction.counting().filter(|layer| matches!(layer.body, Body::Framed { .. })).count() > 1 {
            basis = basis.assuming("members of different framed layers lie independently of each other");
        }
        basis
    }

    /// One step per resistance of a layer.
    pub(crate) fn layer_steps(&self) -> Vec<Step> {
        self.construction.counting().flat_map(|layer| self.steps_of(layer)).collect()
    }

    fn steps_of(&self, layer: &ResolvedLayer<'a>) -> Vec<Step> {
        let number = layer.of.index + 1;
        match &layer.body {
            Body::Uniform(matter) => self.matter_step(layer, matter, &format!("R{number}"), "").into_iter().collect(),
            Body::Framed { cavity, member, .. } => [
                self.matter_step(layer, cavity, &format!("R{number}c"), " between the members"),
                self.matter_step(layer, member, &format!("R{number}m"), " members"),
            ]
            .into_iter()
            .flatten()
            .collect(),
            Body::Vented => Vec::new(),
        }
    }

    /// How one resistance follows.
    pub(crate) fn matter_step(
        &self,
        layer: &ResolvedLayer<'_>,
        matter: &Matter<'_>,
        symbol: &str,
        place: &str,
    ) -> Option<Step> {
        let meaning = format!("{}{place}", matter.name);
        let depth = layer.of.depth();
        let result = Term::new(symbol.to_owned(), meaning.clone(), matter.resistance, RESISTANCE);
        match matter.how {
            How::Conductivity(conductivity) => {
                let step = Plane { d: depth?, λ: conductivity }
                    .step()
                    .1
                    .given(Plane::d, layer.of.depth_path())
                    .meaning(Plane::λ, format!("conductivity of {}", matter.name))
                    .from(Plane::λ, self.origin(matter, "conductivity"))
                    .meaning(Plane::R, meaning);
                Some(step.named(Plane::R, symbol.to_owned()))
            }
            How::Fixed => {
                let meaning = format!("resistance of {}, whatever its thickness", matter.name);
                let origin = self.origin(matter, "resistance");
                let value = Term { origin, ..Term::new("R", meaning, matter.resistance, RESISTANCE) };
                Some(Step::new(format!("{symbol} = R")).term(value).result(result))
            }
            How::Labelled => {
                let meaning = format!("resistance on the label of {}, which does not fill the cavity", matter.name);
                let origin = self.origin(matter, "labelled_resistance");
                let value = Term { origin, ..Term::new("R", meaning, matter.resistance, RESISTANCE) };
                Some(Step::new(format!("{symbol} = R")).term(value).result(result))
            }
            How::Pressed => {
                let depth = Term::new("d", "depth that it is pressed into", depth?, Units::THICKNESS);
                let depth = depth.given(layer.of.depth_path());
                let meaning = format!("resistance of {} pressed into this depth, by its chart", matter.name);
                let origin = self.origin(matter, "pressed");
                let value = Term { origin, ..Term::new("R(d)", meaning, matter.resistance, RESISTANCE) };
                Some(Step::procedure(format!("{symbol} = R(d)")).term(depth).term(value).result(result))
            }
            How::AirLayer => {
                let depth = Term::new("d", "depth of the layer", depth?, Units::THICKNESS).given(layer.of.depth_path());
                let value =
                    Term::new("R(d)", "resistance of a closed air layer of this depth", matter.resistance, RESISTANCE);
                let step = Step::procedure(format!("{symbol} = R(d)"));
                Some(step.term(depth).term(value.published(AIR_LAYERS)).result(result))
            }
            How::Nothing | How::Outside => None,
        }
    }

    fn origin(&self, matter: &Matter<'_>, field: &str) -> Origin {
        match matter.material {
            Some((_, material)) if matter.is_from_library() => {
                let mark = material.provenance.as_ref().map_or(String::new(), |mark| format!(" ({mark})"));
                Origin::Published(format!("{}{mark}", material.source))
            }
            Some((id, _)) => Origin::Given(format!("materials.{id}.{field}")),
            None => Origin::Computed,
        }
    }

    /// A sum through the layers with the films around it.
    fn sum_step(
        &self,
        symbol: impl Into<Cow<'static, str>>,
        meaning: &str,
        mut resistance_of: impl FnMut(&ResolvedLayer<'a>) -> Option<(String, ThermalResistance)>,
    ) -> Step {
        let construction = self.construction;
        let films = construction.films(self.boundary);
        let [inner, outer] = handbook_marks(construction.direction, construction.outer_side(self.boundary));
        let (mut labels, mut numbers, mut layers) = (Vec::new(), Vec::new(), Vec::new());
        for layer in construction.counting() {
            if let Some((label, resistance)) = resistance_of(layer) {
                labels.push(label);
                numbers.push(layer.of.index + 1);
                layers.push(resistance);
            }
        }
        Series { Rsi: films.inner, R_j: &layers, Rse: films.outer }
            .step()
            .1
            .published(Series::Rsi, inner)
            .published(Series::Rse, outer)
            .meaning(Series::R, meaning)
            .each(Series::R_j, numbers, |term, number| Term { meaning: format!("layer {number}"), ..term })
            .written("j", &labels)
            .named(Series::R, symbol)
    }

    /// The way through every cavity.
    pub(crate) fn clear_step(&self) -> Step {
        self.sum_step("R", "from air to air, without framing", |layer| through(layer, false))
    }

    /// The shares of framing, each with its origin.
    pub(crate) fn share_terms(&self) -> Vec<Term> {
        let main = self.construction.main_framing().map(|layer| layer.of.index);
        self.construction
            .counting()
            .filter_map(|layer| {
                let Body::Framed { share: Ok(share), .. } = &layer.body else { return None };
                let symbol = format!("f{}", layer.of.index + 1);
                let term = Term::new(
                    symbol,
                    format!("share of framing in layer {}", layer.of.index + 1),
                    share.fraction(),
                    SHARE,
                );
                Some(match share {
                    Share::Given(_, path) => term.given(path.clone()),
                    _ if main == Some(layer.of.index) => {
                        term.fact(&self.construction.subject, facts::FRAMING_FRACTION.name)
                    }
                    Share::Wall(..) | Share::Deck(_) => term,
                })
            })
            .collect()
    }

    /// Every straight way through, with its share of the face.
    pub(crate) fn section_steps(&self, sections: &[Section]) -> Vec<Step> {
        let shares = self.share_terms();
        let mut steps = Vec::new();
        for (number, section) in sections.iter().enumerate() {
            let letter = letter(number);
            let mut members = section.through_members.iter().copied();
            let factors: Vec<String> = shares
                .iter()
                .zip(&section.through_members)
                .map(|(term, member)| if *member { term.symbol.to_string() } else { format!("(1 − {})", term.symbol) })
                .collect();
            let share = Term::new(format!("f{letter}"), format!("share of way {letter}"), section.fraction, SHARE);
            let step = Step::new(format!("f{letter} = {}", factors.join(" × ")));
            steps.push(shares.iter().cloned().fold(step, Step::term).result(share));
            let way: Vec<&str> =
                section.through_members.iter().map(|member| if *member { "member" } else { "cavity" }).collect();
            steps.push(self.sum_step(
                format!("R{letter}"),
                &format!("way {letter}, through {}", way.join(" and ")),
                |layer| {
                    let is_member = matches!(layer.body, Body::Framed { .. }) && members.next().unwrap_or(false);
                    through(layer, is_member)
                },
            ));
        }
        steps
    }

    /// The upper limit from the ways.
    pub(crate) fn upper_step(&self, sections: &[Section]) -> Step {
        let letters: Vec<String> = (0..sections.len()).map(letter).collect();
        let (shares, resistances) = ways(sections);
        let named = |words: &'static str| {
            move |term: Term, way: &String| Term { meaning: format!("{words} of way {way}"), ..term }
        };
        UpperLimit { f_k: &shares, R_k: &resistances }
            .step()
            .1
            .each(UpperLimit::f_k, &letters, named("share"))
            .each(UpperLimit::R_k, &letters, named("resistance"))
            .written("k", &letters)
    }

    /// The mean of each framed layer, then their sum.
    pub(crate) fn lower_steps(&self) -> Vec<Step> {
        let shares = self.share_terms();
        let mut means = Vec::new();
        let mut steps = Vec::new();
        for layer in self.construction.counting() {
            let Body::Framed { cavity, member, share: Ok(share), .. } = &layer.body else { continue };
            let n = layer.of.index + 1;
            let mean = LayerMean { f: share.fraction(), R_c: cavity.resistance, R_m: member.resistance };
            let mut step = mean.step().1.meaning(LayerMean::R, format!("mean of layer {n}"));
            if let Some(term) = shares.iter().find(|term| term.symbol == format!("f{n}")) {
                step = step.meaning(LayerMean::f, term.meaning.clone()).from(LayerMean::f, term.origin.clone());
            }
            steps.push(
                step.meaning(LayerMean::R_c, cavity.name)
                    .meaning(LayerMean::R_m, member.name)
                    .named(LayerMean::R, format!("R{n}"))
                    .named(LayerMean::f, format!("f{n}"))
                    .named(LayerMean::R_c, format!("R{n}c"))
                    .named(LayerMean::R_m, format!("R{n}m")),
            );
            means.push((layer.of.index, layer_mean(cavity.resistance, member.resistance, share.fraction())));
        }
        let meaning = "lower limit, planes of even temperature";
        steps.push(self.sum_step(
            "R''",
            meaning,
            |layer| match means.iter().find(|(index, _)| *index == layer.of.index) {
                Some((_, mean)) => Some(((layer.of.index + 1).to_string(), *mean)),
                None => through(layer, false),
            },
        ));
        steps
    }

    /// Everything up to both limits.
    pub(crate) fn limit_steps(&self, sections: &[Section]) -> Vec<Step> {
        let mut steps = self.layer_steps();
        steps.extend(self.section_steps(sections));
        steps.push(self.upper_step(sections));
        steps.extend(self.lower_steps());
        steps
    }
}

/// The resistance of a layer on a way through its cavity or member, with what numbers it: `3c`.
fn through(layer: &ResolvedLayer<'_>, is_member: bool) -> Option<(String, ThermalResistance)> {
    let n = layer.of.index + 1;
    match &layer.body {
        Body::Uniform(matter) if matter.how == How::Nothing => None,
        Body::Uniform(matter) => Some((n.to_string(), matter.resistance)),
        Body::Framed { member, .. } if is_member => Some((format!("{n}m"), member.resistance)),
        Body::Framed { cavity, .. } => Some((format!("{n}c"), cavity.resistance)),
        Body::Vented => None,
    }
}

fn letter(number: usize) -> String {
    match u8::try_from(number).ok().filter(|number| *number < 26) {
        Some(number) => char::from(b'A' + number).to_string(),
        None => format!("W{}", number + 1),
    }
}

/// The U-factor of a resistance under its symbol.
pub(crate) fn inverse_step(symbol: &'static str, resistance: ThermalResistance) -> Step {
    Transmittance { R: resistance }.step().1.named(Transmittance::R, symbol)
}

/// The layer that a designer would change first, and its share of the resistance: the continuous insulation where there
/// is any, else the layer that resists most.
pub(crate) fn telling_layer(construction: &Construction<'_>, component: &Component) -> Option<(usize, f64)> {
    let lower = crate::isothermal_planes::lower_limit(component);
    let shares = construction
        .counting()
        .zip(&component.layers)
        .map(|(layer, resistance)| (layer.of.index, crate::isothermal_planes::mean_of(resistance) / lower));
    let continuous: Vec<usize> = construction.continuous_insulation().iter().map(|(layer, _)| layer.of.index).collect();
    let greatest = |best: Option<(usize, f64)>, next: (usize, f64)| match best {
        Some(found) if found.1 >= next.1 => Some(found),
        _ => Some(next),
    };
    let (among, all) = shares.fold((None, None), |(among, all), next| {
        (if continuous.contains(&next.0) { greatest(among, next) } else { among }, greatest(all, next))
    });
    among.or(all)
}
