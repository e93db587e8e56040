//! Facts of the home as a whole.

use crate::basis::{area, geometry, length, sum, volume};
use crate::cellar::Cellar;
use crate::enclosure::{Envelope, Site, has_bare_ground};
use crate::facts;
use crate::floors::FloorPlan;
use crate::interior::{Clear, Interior};
use crate::openings::{Placement, sum_of};
use crate::seams::Seam;
use mateline_boxes::coordinate::metres;
use mateline_boxes::outline::Outline;
use mateline_equation::equation;
use mateline_model::home::{AssemblyKind, Boundary, Face, OpeningKind, SpaceUse};
use mateline_model::quantity::{Area, Length, Units, Volume};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack};

equation! {
    /// Height of the boxes. Source: geometry.
    pub(crate) WholeHeight = "H = z_top − z_bottom" {
        H: Length "height" [Units::LENGTH],
        z_top: Length "highest point of the boxes" [Units::LENGTH],
        z_bottom: Length "lowest underside" [Units::LENGTH],
    }

    /// Space below the boxes, by exterior dimensions. Source: geometry.
    pub(crate) SpaceBelow = "V_b = A·h" {
        V_b: Volume "space below the boxes" [Units::VOLUME],
        A: Area "footprint" [Units::AREA],
        h: Length "height below the boxes" [Units::LENGTH],
    }
}

/// What the home's facts are gathered from.
pub struct Whole<'w, 'a, 'b> {
    /// Boxes and their open faces.
    pub site: &'w Site<'a, 'b>,
    /// The outline of the lowest boxes.
    pub footprint: &'w Outline,
    /// The patches of the envelope.
    pub envelope: &'w Envelope<'a>,
    /// Interior dimensions.
    pub interior: &'w Interior<'a, 'b>,
    /// Openings.
    pub openings: &'w [Placement<'a>],
    /// Mate lines.
    pub seams: &'w [Seam],
}

impl Whole<'_, '_, '_> {
    /// All facts of the home.
    pub fn write(&self, findings: &mut Findings) {
        self.sizes(findings);
        self.floor_areas(findings);
        self.interior_facts(findings);
        self.envelope_area(findings);
        self.ceilings(findings);
        self.garage(findings);
        self.mate_lines(findings);
        self.opening_areas(findings);
        self.people(findings);
    }

    fn sizes(&self, findings: &mut Findings) {
        let home = Subject::home();
        let boxes = self.site.boxes;
        let basis = geometry("boxes of the home");
        findings.count(&home, &facts::MODULE_COUNT, boxes.len(), basis);
        let low = boxes.iter().map(|placed| placed.spans[2].lo).min().unwrap_or(0);
        let high = boxes.iter().map(|placed| placed.reach()[2].hi).max().unwrap_or(0);
        let ends = WholeHeight { z_top: Length::from_si(metres(high)), z_bottom: Length::from_si(metres(low)) };
        let (height, step) = ends.step();
        findings.fact(&home, &facts::HEIGHT, height, geometry("span of the boxes along z").step(step));

        let lowest: Vec<_> = boxes.iter().filter(|placed| placed.level == 1).collect();
        let plan = |placed: &&mateline_boxes::placed::Placed| {
            let plan = placed.face_area(Face::Bottom);
            let subject = Subject::element("modules", &placed.id);
            (plan, area("A", format!("plan of {}", placed.id), plan).fact(&subject, facts::FLOOR_AREA.name))
        };
        let (areas, mut terms): (Vec<f64>, Vec<Term>) = lowest.iter().map(plan).unzip();
        let gaps = self.footprint.area - areas.iter().sum::<f64>();
        if gaps.abs() > 1e-9 {
            terms.push(area("A", "gaps between them", gaps));
        }
        let step = sum(area("A", "footprint", self.footprint.area), terms);
        let basis = geometry("outline of the lowest boxes, gaps closed").step(step);
        findings.fact(&home, &facts::FOOTPRINT_AREA, Area::from_si(self.footprint.area), basis);
        let sides = self.footprint.sides.iter();
        let terms = sides.map(|(side, run)| length("P", format!("{} side", Face::from(*side)), *run)).collect();
        let perimeter = self.footprint.perimeter();
        let step = sum(length("P", "perimeter", perimeter), terms);
        let basis = geometry("outline of the lowest boxes, gaps closed").step(step);
        findings.fact(&home, &facts::FOUNDATION_PERIMETER, Length::from_si(perimeter), basis);
        self.volume(findings);
    }

    fn volume(&self, findings: &mut Findings) {
        let home = Subject::home();
        let mut total: f64 = 0.0;
        let mut terms: Vec<Term> = Vec::new();
        for placed in self.site.boxes {
            let subject = Subject::element("modules", &placed.id);
            total += placed.volume();
            terms.push(
                volume("V", format!("volume of {}", placed.id), placed.volume()).fact(&subject, facts::VOLUME.name),
            );
        }
        let mut basis = geometry("exterior volume of the boxes and of a conditioned space below")
            .assuming("the gaps at the mate lines are left out");
        if self.site.parts.unknown().is_some() {
            basis = basis.assuming("no foundation is described, so nothing below the boxes is counted");
        }
        for (_, part) in self.site.parts.inside() {
            let height = match part.height() {
                Ok(height) => height,
                Err(lack) => return missing(findings, &facts::VOLUME, &lack),
            };
            let below = SpaceBelow { A: Area::from_si(part.outline.area), h: Length::from_si(height) };
            let (below, step) = below.step();
            total += below.si();
            let step = if self.site.parts.is_one() {
                step.fact(SpaceBelow::A, &home, facts::FOOTPRINT_AREA.name)
            } else {
                let plan = format!("plan of the boxes over {}", part.path);
                step.meaning(SpaceBelow::A, plan).given(SpaceBelow::A, "modules")
            };
            basis.steps.push(step.given(SpaceBelow::h, format!("{}.height", part.path)));
            terms.push(volume("V", "space below the boxes", below.si()));
        }
        let step = sum(volume("V", "volume", total), terms);
        findings.fact(&home, &facts::VOLUME, Volume::from_si(total), basis.step(step));
    }

    fn floor_areas(&self, findings: &mut Findings) {
        let floors = match &self.interior.floors {
            Ok(floors) => floors,
            Err(lack) => {
                missing(findings, &facts::FLOOR_AREA_ABOVE_GRADE, lack);
                return missing(findings, &facts::FLOOR_AREA, lack);
            }
        };
        let home = Subject::home();
        let above: f64 = floors.iter().map(|floor| floor.area).sum();
        let basis = self.interior.floor_basis(floors, above);
        findings.fact(&home, &facts::FLOOR_AREA_ABOVE_GRADE, Area::from_si(above), basis);
        let term = area("F", "floor area of the boxes", above).fact(&home, facts::FLOOR_AREA_ABOVE_GRADE.name);
        let mut basis = geometry("floor inside the exterior walls, boxes and conditioned basement");
        let mut terms = vec![term];
        let mut total = above;
        for (counts, cellar) in &self.interior.cellars {
            match cellar {
                Ok(cellar) if *counts => {
                    basis.steps.extend(cellar.floor_steps(&self.interior.thicknesses));
                    terms.push(area("F", "floor of the basement", cellar.area));
                    total += cellar.area;
                }
                // Nothing about a crawl space is needed.
                _ if !counts => basis = basis.assuming("the floor of a crawl space is no floor area"),
                Err(lack) => return missing(findings, &facts::FLOOR_AREA, lack),
                Ok(_) => {}
            }
        }
        let step = sum(area("F", "floor area", total), terms);
        findings.fact(&home, &facts::FLOOR_AREA, Area::from_si(total), basis.step(step));
    }

    fn interior_facts(&self, findings: &mut Findings) {
        let cellars: Result<Vec<&Cellar>, &Lack> =
            self.interior.cellars.iter().map(|(_, cellar)| cellar.as_ref()).collect();
        let known = (&self.interior.floors, &self.interior.clear, cellars);
        let (floors, clear, cellars): (&Vec<FloorPlan<'_>>, &Vec<Clear>, Vec<&Cellar>) = match known {
            (Ok(floors), Ok(clear), Ok(cellars)) => (floors, clear, cellars),
            (Err(lack), _, _) | (_, Err(lack), _) | (_, _, Err(lack)) => {
                missing(findings, &facts::INTERIOR_VOLUME, lack);
                return missing(findings, &facts::INTERIOR_ENVELOPE_AREA, lack);
            }
        };
        let home = Subject::home();
        let in_boxes: f64 = clear.iter().map(|clear| clear.volume).sum();
        let mut basis = self.interior.volume_basis(floors, clear, in_boxes);
        let mut total = in_boxes;
        let mut terms = vec![volume("V", "air in the boxes", in_boxes)];
        for cellar in &cellars {
            total += cellar.volume();
            terms.push(volume("V", "air below the boxes", cellar.volume()));
            basis.steps.push(cellar.volume_step());
        }
        if !cellars.is_empty() {
            basis.steps.push(sum(volume("V", "interior volume", total), terms));
        }
        findings.fact(&home, &facts::INTERIOR_VOLUME, Volume::from_si(total), basis);

        let part = |of: fn(&Clear) -> f64| clear.iter().map(of).sum::<f64>();
        let (walls, ceilings, under) =
            (part(|clear| clear.walls), part(|clear| clear.ceiling), part(|clear| clear.floor));
        let mut terms = vec![
            area("A", "walls: length of their inner faces times clear height", walls),
            area("A", "ceilings below the outside", ceilings),
            area("A", "floors over the outside", under),
        ];
        terms.extend(cellars.iter().map(|cellar| cellar.envelope_term()));
        let total = walls + ceilings + under + cellars.iter().map(|cellar| cellar.envelope()).sum::<f64>();
        let basis = geometry("inner faces of the thermal envelope")
            .step(sum(area("A", "interior envelope area", total), terms))
            .assuming("a side open over less than half of its height counts with its open part only");
        findings.fact(&home, &facts::INTERIOR_ENVELOPE_AREA, Area::from_si(total), basis);
    }

    fn envelope_area(&self, findings: &mut Findings) {
        if let Some(lack) = self.envelope.lacks.first() {
            return missing(findings, &facts::EXTERIOR_ENVELOPE_AREA, lack);
        }
        let mut by_surface = std::collections::BTreeMap::new();
        for (_, patch) in self.envelope.counted() {
            let key = format!("{}-{}-{}", patch.id, patch.boundary, patch.orientation);
            *by_surface.entry(key).or_insert(0.0) += patch.area;
        }
        let surfaces = by_surface.iter().map(|(key, value)| {
            let subject = Subject::element("surfaces", key.as_str());
            area("A", subject.to_string(), *value).fact(&subject, facts::GROSS_AREA.name)
        });
        let mut terms: Vec<Term> = surfaces.collect();
        let mut total: f64 = by_surface.values().sum();
        for (_, part) in self.site.parts.inside().filter(|(_, part)| has_bare_ground(self.site, part)) {
            total += part.outline.area;
            let what = "ground of the crawl space, under its cover";
            terms.push(area("A", what, part.outline.area).given(part.path.clone()));
        }
        let step = sum(area("A", "exterior envelope area", total), terms);
        let basis = geometry("all surfaces of the thermal envelope, openings included").step(step);
        findings.fact(&Subject::home(), &facts::EXTERIOR_ENVELOPE_AREA, Area::from_si(total), basis);
    }

    /// Ceilings and roofs, and of these the roofs.
    fn ceilings(&self, findings: &mut Findings) {
        let kinds: [(&QuantityDef, &[AssemblyKind], &str); 2] = [
            (&facts::CEILING_AREA, &[AssemblyKind::Ceiling, AssemblyKind::Roof], "ceilings and roofs"),
            (&facts::ROOF_AREA, &[AssemblyKind::Roof], "roofs with no attic below them"),
        ];
        for (definition, kinds, what) in kinds {
            if let Some(lack) = self.envelope.lacks.first() {
                missing(findings, definition, lack);
                continue;
            }
            let patches = self.envelope.counted().map(|(_, patch)| patch);
            let patches: Vec<_> = patches.filter(|patch| kinds.contains(&patch.assembly.kind)).collect();
            let total: f64 = patches.iter().map(|patch| patch.area).sum();
            let terms = patches.iter().map(|patch| area("A", patch.id.to_string(), patch.area).given(&patch.source));
            let step = sum(area("A", what, total), terms.collect());
            let basis = geometry("surfaces of the thermal envelope, openings included").step(step);
            findings.fact(&Subject::home(), definition, Area::from_si(total), basis);
        }
    }

    /// What faces a garage, and whether there is one.
    fn garage(&self, findings: &mut Findings) {
        let home = Subject::home();
        let facing = self.envelope.counted().map(|(_, patch)| patch);
        let facing: Vec<_> = facing.filter(|patch| patch.boundary == Boundary::Garage).collect();
        let total: f64 = facing.iter().map(|patch| patch.area).sum();
        let terms = facing.iter().map(|patch| area("A", patch.id.to_string(), patch.area).given(&patch.source));
        let step = sum(area("A", "area facing a garage", total), terms.collect());
        let lack = self.envelope.lacks.first();
        match lack {
            Some(lack) => missing(findings, &facts::GARAGE_AREA, lack),
            None => {
                let basis = geometry("surfaces of the thermal envelope, openings included").step(step.clone());
                findings.fact(&home, &facts::GARAGE_AREA, Area::from_si(total), basis);
            }
        }
        let room = self.site.home.spaces.iter().find(|(_, space)| space.used_as == SpaceUse::Garage);
        let there = room.is_some() || total > 0.0;
        if let Some(lack) = lack.filter(|_| !there) {
            return missing(findings, &facts::GARAGE, lack);
        }
        let step = match room {
            Some((id, _)) => {
                let term = Term::new("use", "room", Value::Text("garage".to_owned()), Units::plain(0));
                Step::procedure("use").term(term.given(format!("spaces.{id}.use")))
            }
            None => step,
        };
        findings.flag(&home, &facts::GARAGE, there, geometry("rooms, and surfaces of the thermal envelope").step(step));
    }

    fn mate_lines(&self, findings: &mut Findings) {
        let mut total = 0.0;
        let mut terms = Vec::new();
        for seam in self.seams {
            match seam.length() {
                Ok(run) => {
                    total += run;
                    terms.push(length("L", seam.id.clone(), run).fact(&seam.subject(), facts::SEAM_LENGTH.name));
                }
                Err(lack) => return missing(findings, &facts::MATE_LINE_LENGTH, lack),
            }
        }
        let step = sum(length("L", "length of the mate lines", total), terms);
        let basis = geometry("edges of all contacts that cross the air barrier").step(step);
        findings.fact(&Subject::home(), &facts::MATE_LINE_LENGTH, Length::from_si(total), basis);
    }

    /// Areas of openings. A home without any is none: it has not listed them yet.
    fn opening_areas(&self, findings: &mut Findings) {
        let home = Subject::home();
        if self.site.home.openings.is_empty() {
            let lack = Lack::at("the home lists no openings", "openings");
            let owed =
                [&facts::OPENING_AREA, &facts::WINDOW_AREA, &facts::EXEMPT_GLAZING_AREA, &facts::EXEMPT_DOOR_AREA];
            return lack.write(&home, &owed, findings);
        }
        let counted = || self.openings.iter().filter(|placement| placement.counts(self.envelope));
        let glazed = || counted().filter(|placement| placement.is_glazed());
        let exempt = |placement: &&Placement<'_>| placement.opening.code_exempt;
        let door = |placement: &&Placement<'_>| placement.opening.kind == OpeningKind::OpaqueDoor;
        let mut write = |definition: &QuantityDef, (total, step): (f64, Step)| {
            findings.fact(&home, definition, Area::from_si(total), geometry("rough openings").step(step));
        };
        write(&facts::OPENING_AREA, sum_of("openings in the thermal envelope", counted()));
        write(&facts::WINDOW_AREA, sum_of("windows, glazed doors and skylights", glazed()));
        let exempt_glazing = sum_of("glazed openings marked code_exempt", glazed().filter(exempt));
        write(&facts::EXEMPT_GLAZING_AREA, exempt_glazing);
        let exempt_doors = sum_of("opaque doors marked code_exempt", counted().filter(door).filter(exempt));
        write(&facts::EXEMPT_DOOR_AREA, exempt_doors);
    }

    fn people(&self, findings: &mut Findings) {
        let spaces = &self.site.home.spaces;
        if spaces.is_empty() {
            let lack = Lack::at("the home lists no spaces", "spaces");
            missing(findings, &facts::BEDROOMS, &lack);
            return missing(findings, &facts::SLEEPERS, &lack);
        }
        let home = Subject::home();
        let bedrooms: Vec<_> = spaces.iter().filter(|(_, space)| space.used_as == SpaceUse::Bedroom).collect();
        let one = |path: String| Term::new("n", "1", 1.0, Units::plain(0)).given(path);
        let terms = bedrooms.iter().map(|(id, _)| one(format!("spaces.{id}.use"))).collect();
        let step = sum(Term::new("n", "bedrooms", bedrooms.len() as f64, Units::plain(0)), terms);
        findings.count(
            &home,
            &facts::BEDROOMS,
            bedrooms.len(),
            Basis::new("rooms used as bedroom", "the home").step(step),
        );
        if let Some((id, _)) = bedrooms.iter().find(|(_, space)| space.sleepers().is_none()) {
            let lack = Lack::at(
                format!("spaces.{id} is a bedroom and does not say how many sleep there"),
                format!("spaces.{id}"),
            );
            return missing(findings, &facts::SLEEPERS, &lack);
        }
        let mut total = 0.0;
        let mut terms = Vec::new();
        for (id, space) in spaces {
            let Some(sleeps) = space.sleepers().map(f64::from) else { continue };
            let field = if space.sleeps.is_some() { "sleeps" } else { "sleeper_ages" };
            total += sleeps;
            let term = Term::new("n", format!("sleep in {id}"), sleeps, Units::plain(0));
            terms.push(term.given(format!("spaces.{id}.{field}")));
        }
        let step = sum(Term::new("n", "people who sleep in the home", total, Units::plain(0)), terms);
        let basis = Basis::new("people who sleep in the rooms", "the home").step(step);
        findings.fact(&home, &facts::SLEEPERS, total, basis);
    }
}

fn missing(findings: &mut Findings, definition: &QuantityDef, lack: &Lack) {
    let at: Option<Pointer> = lack.at.clone();
    findings.missing(&Subject::home(), definition, lack.because.clone(), at);
}
