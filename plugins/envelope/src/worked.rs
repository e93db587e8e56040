//! The worked calculation of an assembly, step by step, as a person with a pocket calculator follows it.
//!
//! Layers are numbered from inside, beginning with 1: `R2c` is the second layer through its cavity, `R2m` through its
//! member, `f2` its share of framing. Straight ways through the assembly are lettered: `RA`, `fA`.

use crate::construction::{Body, Construction, Matter, ResolvedLayer};
use crate::facts;
use crate::framed::{Component, Section};
use crate::framing_share::Share;
use crate::isothermal_planes::layer_mean;
use mateline_films::surface::{RECALLED, handbook_marks};
use mateline_layers::How;
use mateline_model::home::Boundary;
use mateline_model::quantity::{Ratio, ThermalResistance, ThermalTransmittance, Units};
use mateline_model::{Basis, Step, Term};

/// A resistance in a calculation, with a digit more than in a result.
pub(crate) const R: Units = Units::new("m²·K/W", 4, "h·ft²·°F/Btu", 3);
/// A U-factor in a calculation.
pub(crate) const U: Units = Units::new("W/(m²·K)", 4, "Btu/(h·ft²·°F)", 5);
/// A share in a calculation.
pub(crate) const SHARE: Units = Units::plain(4);

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
             so that the methods can be compared: Rsi {:.4}, Rse {:.4} m²·K/W",
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
        let result = Term::new(symbol.to_owned(), format!("{}{place}", matter.name), matter.resistance, R);
        let depth = |depth| Term::new("d", "depth of the layer", depth, Units::THICKNESS).given(layer.of.depth_path());
        let depth = layer.of.depth().map(depth);
        match matter.how {
            How::Conductivity(conductivity) => {
                let value =
                    Term::new("λ", format!("conductivity of {}", matter.name), conductivity, Units::CONDUCTIVITY);
                let value = self.origin(matter, "conductivity", value);
                Some(Step::new(format!("{symbol} = d/λ")).term(depth?).term(value).result(result))
            }
            How::Fixed => {
                let value = Term::new(
                    "R",
                    format!("resistance of {}, whatever its thickness", matter.name),
                    matter.resistance,
                    R,
                );
                Some(Step::new(format!("{symbol} = R")).term(self.origin(matter, "resistance", value)).result(result))
            }
            How::AirLayer => {
                let value = Term::new("R(d)", "resistance of a closed air layer of this depth", matter.resistance, R);
                Some(
                    Step::new(format!("{symbol} = R(d)")).term(depth?).term(value.published(AIR_LAYERS)).result(result),
                )
            }
            How::Nothing | How::Outside => None,
        }
    }

    fn origin(&self, matter: &Matter<'_>, field: &str, term: Term) -> Term {
        match matter.material {
            Some((_, material)) if matter.is_from_library() => {
                let mark = material.provenance.as_ref().map_or(String::new(), |mark| format!(" ({mark})"));
                term.published(format!("{}{mark}", material.source))
            }
            Some((id, _)) => term.given(format!("materials.{id}.{field}")),
            None => term,
        }
    }

    pub(crate) fn film_terms(&self) -> [Term; 2] {
        let construction = self.construction;
        let films = construction.films(self.boundary);
        let [inner, outer] = handbook_marks(construction.direction, construction.outer_side(self.boundary));
        [
            Term::new("Rsi", "air film inside", films.inner, R).published(inner),
            Term::new("Rse", "air film outside", films.outer, R).published(outer),
        ]
    }

    /// A sum through the layers with the films around it.
    fn sum_step(
        &self,
        symbol: &str,
        meaning: &str,
        total: ThermalResistance,
        mut symbol_of: impl FnMut(&ResolvedLayer<'a>) -> Vec<(String, ThermalResistance)>,
    ) -> Step {
        let [inner, outer] = self.film_terms();
        let mut names = vec!["Rsi".to_owned()];
        let mut terms = vec![inner];
        for layer in self.construction.counting() {
            for (name, resistance) in symbol_of(layer) {
                terms.push(Term::new(name.clone(), format!("layer {}", layer.of.index + 1), resistance, R));
                names.push(name);
            }
        }
        names.push("Rse".to_owned());
        terms.push(outer);
        let step = Step::new(format!("{symbol} = {}", names.join(" + ")));
        terms.into_iter().fold(step, Step::term).result(Term::new(symbol.to_owned(), meaning.to_owned(), total, R))
    }

    /// The way through every cavity.
    pub(crate) fn clear_step(&self, total: ThermalResistance) -> Step {
        self.sum_step("R", "from air to air, without framing", total, |layer| through(layer, false))
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
                &format!("R{letter}"),
                &format!("way {letter}, through {}", way.join(" and ")),
                section.resistance,
                |layer| {
                    let is_member = matches!(layer.body, Body::Framed { .. }) && members.next().unwrap_or(false);
                    through(layer, is_member)
                },
            ));
        }
        steps
    }

    /// `1/R' = Σ f/R`.
    pub(crate) fn upper_step(&self, sections: &[Section], upper: ThermalResistance) -> Step {
        let terms: Vec<String> = (0..sections.len()).map(|number| format!("f{0}/R{0}", letter(number))).collect();
        let mut step = Step::new(format!("1/R' = {}", terms.join(" + ")));
        for (number, section) in sections.iter().enumerate() {
            let letter = letter(number);
            step = step
                .term(Term::new(format!("f{letter}"), format!("share of way {letter}"), section.fraction, SHARE))
                .term(Term::new(format!("R{letter}"), format!("resistance of way {letter}"), section.resistance, R));
        }
        step.result(Term::new("R'", "upper limit, each way for itself", upper, R))
    }

    /// The mean of each framed layer, then their sum.
    pub(crate) fn lower_steps(&self, lower: ThermalResistance) -> Vec<Step> {
        let shares = self.share_terms();
        let mut means = Vec::new();
        let mut steps = Vec::new();
        for layer in self.construction.counting() {
            let Body::Framed { cavity, member, share: Ok(share), .. } = &layer.body else { continue };
            let n = layer.of.index + 1;
            let mean = layer_mean(cavity.resistance, member.resistance, share.fraction());
            means.push((layer.of.index, mean));
            let mut step = Step::new(format!("R{n} = 1/((1 − f{n})/R{n}c + f{n}/R{n}m)"));
            if let Some(term) = shares.iter().find(|term| term.symbol == format!("f{n}")) {
                step = step.term(term.clone());
            }
            steps.push(
                step.term(Term::new(format!("R{n}c"), cavity.name.to_owned(), cavity.resistance, R))
                    .term(Term::new(format!("R{n}m"), member.name.to_owned(), member.resistance, R))
                    .result(Term::new(format!("R{n}"), format!("mean of layer {n}"), mean, R)),
            );
        }
        steps.push(self.sum_step("R''", "lower limit, planes of even temperature", lower, |layer| {
            match means.iter().find(|(index, _)| *index == layer.of.index) {
                Some((_, mean)) => vec![(format!("R{}", layer.of.index + 1), *mean)],
                None => through(layer, false),
            }
        }));
        steps
    }

    /// Everything up to both limits.
    pub(crate) fn limit_steps(
        &self,
        sections: &[Section],
        upper: ThermalResistance,
        lower: ThermalResistance,
    ) -> Vec<Step> {
        let mut steps = self.layer_steps();
        steps.extend(self.section_steps(sections));
        steps.push(self.upper_step(sections, upper));
        steps.extend(self.lower_steps(lower));
        steps
    }
}

/// The resistances of a layer on a way through its cavity or member.
fn through(layer: &ResolvedLayer<'_>, is_member: bool) -> Vec<(String, ThermalResistance)> {
    let n = layer.of.index + 1;
    match &layer.body {
        Body::Uniform(matter) if matter.how == How::Nothing => Vec::new(),
        Body::Uniform(matter) => vec![(format!("R{n}"), matter.resistance)],
        Body::Framed { member, .. } if is_member => vec![(format!("R{n}m"), member.resistance)],
        Body::Framed { cavity, .. } => vec![(format!("R{n}c"), cavity.resistance)],
        Body::Vented => Vec::new(),
    }
}

fn letter(number: usize) -> String {
    match u8::try_from(number).ok().filter(|number| *number < 26) {
        Some(number) => char::from(b'A' + number).to_string(),
        None => format!("W{}", number + 1),
    }
}

/// `U = 1/R`.
pub(crate) fn inverse_step(symbol: &'static str, resistance: ThermalResistance, u: ThermalTransmittance) -> Step {
    Step::new(format!("U = 1/{symbol}"))
        .term(Term::new(symbol, "resistance from air to air", resistance, R))
        .result(Term::new("U", "U-factor", u, U))
}

/// `R = (R' + R'')/2` and its greatest error.
pub(crate) fn mean_step(upper: ThermalResistance, lower: ThermalResistance, total: ThermalResistance) -> Step {
    Step::new("R = (R' + R'')/2")
        .term(Term::new("R'", "upper limit", upper, R))
        .term(Term::new("R''", "lower limit", lower, R))
        .result(Term::new("R", "resistance from air to air", total, R))
}

/// `e = (R' − R'')/(2 R)`.
pub(crate) fn error_step(
    upper: ThermalResistance,
    lower: ThermalResistance,
    total: ThermalResistance,
    error: Ratio,
) -> Step {
    Step::new("e = (R' − R'')/(2 R)")
        .term(Term::new("R'", "upper limit", upper, R))
        .term(Term::new("R''", "lower limit", lower, R))
        .term(Term::new("R", "resistance from air to air", total, R))
        .result(Term::new("e", "greatest relative error", error, Units::PERCENT))
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
