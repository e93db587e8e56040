//! The ducts of a unit: flow and pressure drop of each, and the run from the unit to a room that takes most pressure.

use crate::friction::{Run, SMOOTH};
use crate::operating_point::{Meeting, meet};
use mateline_mixing::linear::{add, at};
use mateline_model::home::{Duct, DuctSide, Elements, Id, VentilationUnit};
use mateline_model::quantity::{Flow, Length, Pressure};
use std::collections::{BTreeMap, BTreeSet};

/// A duct with the flow it carries at design.
#[derive(Clone, Debug)]
pub(crate) struct Carried<'a> {
    pub(crate) id: &'a Id,
    pub(crate) duct: &'a Duct,
    pub(crate) flow: Flow,
    /// Where the flow comes from, in words.
    pub(crate) flow_from: &'static str,
    /// `None` for a duct that counts on both sides.
    pub(crate) side: Option<DuctSide>,
}

impl Carried<'_> {
    pub(crate) fn run(&self) -> Run {
        Run {
            length: self.duct.length,
            diameter: self.duct.diameter,
            roughness: self.duct.roughness.unwrap_or(Length::from_si(SMOOTH)),
            fittings: self.duct.fittings.map_or(0.0, |fittings| fittings.si()),
        }
    }

    /// Pressure drop when the unit moves a share of its design flow.
    pub(crate) fn drop_at(&self, share: f64) -> Pressure {
        self.run().pressure_drop(self.flow * share)
    }
}

/// The ducts that air passes one after another between the unit and one end.
#[derive(Clone, Debug)]
pub(crate) struct Path {
    pub(crate) side: DuctSide,
    /// The duct at its end; `None` where only the ducts common to all runs are given.
    end: Option<usize>,
}

/// A unit's ducts.
#[derive(Clone, Debug)]
pub(crate) struct Ducts<'a> {
    pub(crate) carried: Vec<Carried<'a>>,
    pub(crate) paths: Vec<Path>,
    /// The duct that each branches from.
    parents: Vec<Option<usize>>,
    /// Ducts from the unit outwards: each after the one it branches from.
    order: Vec<usize>,
    /// Ducts that lie in every run of their side: to no room, and nothing branches from them.
    common: Vec<usize>,
    filter: Option<Pressure>,
}

impl<'a> Ducts<'a> {
    /// The ducts of a unit that moves `supply` and `exhaust` at design.
    pub(crate) fn of(unit: &'a VentilationUnit, supply: Flow, exhaust: Flow) -> Ducts<'a> {
        let (parents, order) = tree(&unit.ducts);
        let mut continued = vec![false; parents.len()];
        for parent in parents.iter().flatten() {
            if let Some(flag) = continued.get_mut(*parent) {
                *flag = true;
            }
        }
        let sides = sides(unit, &parents, &order);
        let flows = flows(unit, &parents, &order, &sides, supply, exhaust);
        let carried: Vec<Carried<'a>> = unit
            .ducts
            .iter()
            .zip(sides.iter().zip(flows))
            .map(|((id, duct), (side, (flow, flow_from)))| Carried { id, duct, flow, flow_from, side: *side })
            .collect();
        let any_room = unit.ducts.values().any(|duct| duct.to.is_some());
        let (mut ends, mut common) = (Vec::new(), Vec::new());
        for (index, (of, continued)) in carried.iter().zip(continued).enumerate() {
            let is_end = if any_room { of.duct.to.is_some() } else { of.duct.after.is_some() && !continued };
            if is_end {
                ends.push(index);
            } else if !continued {
                common.push(index);
            }
        }
        let on =
            |index: &usize, side: DuctSide| carried.get(*index).is_some_and(|of| of.side.is_none_or(|own| own == side));
        let mut paths = Vec::new();
        for side in [DuctSide::Supply, DuctSide::Exhaust] {
            let before = paths.len();
            paths.extend(ends.iter().filter(|end| on(end, side)).map(|end| Path { side, end: Some(*end) }));
            if paths.len() == before && common.iter().any(|index| on(index, side)) {
                paths.push(Path { side, end: None });
            }
        }
        Ducts { carried, paths, parents, order, common, filter: unit.filter_drop }
    }

    /// The ducts of a path, from its end to the unit.
    pub(crate) fn along(&self, path: &Path) -> Vec<&Carried<'a>> {
        let mut ducts = Vec::new();
        let mut next = path.end;
        while let Some((index, carried)) = next.and_then(|index| Some((index, self.carried.get(index)?))) {
            ducts.push(carried);
            next = self.parents.get(index).copied().flatten();
        }
        let common = self.common.iter().filter_map(|index| self.carried.get(*index));
        ducts.extend(common.filter(|carried| carried.side.is_none_or(|side| side == path.side)));
        ducts
    }

    /// Length of the ducts that air passes on a path.
    pub(crate) fn length(&self, path: &Path) -> Length {
        self.along(path).iter().map(|carried| carried.duct.length).sum()
    }

    /// Pressure that each path takes when the unit moves a share of its design flow, the filter counted on the supply
    /// side and taken to grow with the square of the flow.
    pub(crate) fn pressures(&self, share: f64) -> Vec<Pressure> {
        let drops: Vec<f64> = self.carried.iter().map(|carried| carried.drop_at(share).si()).collect();
        let mut from_unit = drops.clone();
        for index in &self.order {
            if let Some(parent) = self.parents.get(*index).copied().flatten() {
                let before = at(&from_unit, parent);
                add(&mut from_unit, *index, before);
            }
        }
        let shared = |side: DuctSide| {
            let on = |index: &&usize| self.carried.get(**index).is_some_and(|of| of.side.is_none_or(|own| own == side));
            self.common.iter().filter(on).map(|index| at(&drops, *index)).sum::<f64>()
        };
        let (supply, exhaust) = (shared(DuctSide::Supply), shared(DuctSide::Exhaust));
        let of = |path: &Path| {
            let shared = if path.side == DuctSide::Supply { supply } else { exhaust };
            let run = path.end.map_or(0.0, |end| at(&from_unit, end));
            Pressure::from_si(run + shared) + self.filter_on(path.side) * (share * share)
        };
        self.paths.iter().map(of).collect()
    }

    pub(crate) fn filter_on(&self, side: DuctSide) -> Pressure {
        let none = Pressure::from_si(0.0);
        if side == DuctSide::Supply { self.filter.unwrap_or(none) } else { none }
    }

    /// The path that takes most at design flow.
    pub(crate) fn worst(&self) -> Option<(&Path, Pressure)> {
        let mut worst: Option<(&Path, Pressure)> = None;
        for (path, pressure) in self.paths.iter().zip(self.pressures(1.0)) {
            if worst.is_none_or(|(_, most)| pressure > most) {
                worst = Some((path, pressure));
            }
        }
        worst
    }

    /// Where the fan curve meets the path that takes most.
    pub(crate) fn meeting(&self, unit: &VentilationUnit, design: Flow) -> Option<Meeting> {
        if unit.fan_curve.len() < 2 || self.paths.is_empty() || design.si() <= 0.0 {
            return None;
        }
        let curve: Vec<(Flow, Pressure)> = unit.fan_curve.iter().map(|point| (point.flow, point.pressure)).collect();
        meet(&curve, |flow| {
            Pressure::from_si(self.pressures(flow / design).into_iter().map(Pressure::si).fold(0.0, f64::max))
        })
    }
}

/// The duct that each branches from, and all ducts from the unit outwards. Ducts that branch from each other in a ring
/// are left out of the order.
pub(crate) fn tree(ducts: &Elements<Duct>) -> (Vec<Option<usize>>, Vec<usize>) {
    let parents: Vec<Option<usize>> =
        ducts.values().map(|duct| duct.after.as_ref().and_then(|after| ducts.get_index_of(after))).collect();
    let mut branches: Vec<Vec<usize>> = vec![Vec::new(); parents.len()];
    for (index, parent) in parents.iter().enumerate() {
        if let Some(branches) = parent.and_then(|parent| branches.get_mut(parent)) {
            branches.push(index);
        }
    }
    let mut order: Vec<usize> = Vec::new();
    order.extend(parents.iter().enumerate().filter(|(_, parent)| parent.is_none()).map(|(index, _)| index));
    let mut next = 0;
    while let Some(index) = order.get(next) {
        if let Some(branches) = branches.get(*index) {
            order.extend(branches);
        }
        next += 1;
    }
    (parents, order)
}

/// The side of each duct: as given, by its room, or as the duct it branches from; a trunk that says nothing takes the
/// side of its branches.
fn sides(unit: &VentilationUnit, parents: &[Option<usize>], order: &[usize]) -> Vec<Option<DuctSide>> {
    let own = |duct: &Duct| {
        duct.side.or_else(|| {
            let room = duct.to.as_ref()?;
            let exhausts = || unit.exhausts.contains_key(room).then_some(DuctSide::Exhaust);
            unit.supplies.contains_key(room).then_some(DuctSide::Supply).or_else(exhausts)
        })
    };
    let mut sides: Vec<Option<DuctSide>> = unit.ducts.values().map(own).collect();
    let pass = |sides: &mut Vec<Option<DuctSide>>, from: usize, to: usize| {
        let side = sides.get(from).copied().flatten();
        if let Some(slot) = sides.get_mut(to) {
            *slot = slot.or(side);
        }
    };
    let links = || order.iter().filter_map(|index| Some((*index, parents.get(*index).copied().flatten()?)));
    for (index, parent) in links() {
        pass(&mut sides, parent, index);
    }
    for (index, parent) in links().collect::<Vec<_>>().into_iter().rev() {
        pass(&mut sides, index, parent);
    }
    sides
}

/// The design flow of each duct: as given, the room's, the sum of its branches, or the unit's own; and which of these.
/// Where some of the unit's rooms have no duct, a trunk at the unit carries the unit's whole flow.
fn flows(
    unit: &VentilationUnit,
    parents: &[Option<usize>],
    order: &[usize],
    sides: &[Option<DuctSide>],
    supply: Flow,
    exhaust: Flow,
) -> Vec<(Flow, &'static str)> {
    let side = |index: usize| sides.get(index).copied().flatten();
    let mut alike: BTreeMap<(&Id, bool), usize> = BTreeMap::new();
    for (index, duct) in unit.ducts.values().enumerate().filter(|(_, duct)| duct.flow.is_none()) {
        if let Some(room) = &duct.to {
            *alike.entry((room, side(index) == Some(DuctSide::Exhaust))).or_default() += 1;
        }
    }
    let own = |index: usize, duct: &Duct| {
        if let Some(flow) = duct.flow {
            return Some((flow, "as given"));
        }
        let room = duct.to.as_ref()?;
        let exhausts = side(index) == Some(DuctSide::Exhaust);
        let flow = if exhausts { unit.exhausts.get(room)? } else { unit.supplies.get(room)? };
        let count = alike.get(&(room, exhausts)).copied().unwrap_or(1);
        Some((*flow / count as f64, "the room's share"))
    };
    let mut flows: Vec<Option<(Flow, &'static str)>> =
        unit.ducts.values().enumerate().map(|(index, duct)| own(index, duct)).collect();
    let mut branches: Vec<Option<Flow>> = vec![None; flows.len()];
    let whole = |index: usize| match side(index) {
        Some(DuctSide::Supply) => supply,
        Some(DuctSide::Exhaust) => exhaust,
        None if supply > exhaust => supply,
        None => exhaust,
    };
    let ducted: BTreeSet<&Id> = unit.ducts.values().filter_map(|duct| duct.to.as_ref()).collect();
    let complete = |index: usize| match side(index) {
        Some(DuctSide::Supply) => unit.supplies.keys().all(|room| ducted.contains(room)),
        Some(DuctSide::Exhaust) => unit.exhausts.keys().all(|room| ducted.contains(room)),
        None => false,
    };
    for index in order.iter().rev() {
        let branched = parents.get(*index).copied().flatten().is_some() || complete(*index);
        let sum = branches.get(*index).copied().flatten().filter(|_| branched);
        let Some(slot) = flows.get_mut(*index) else { continue };
        let (flow, _) = *slot.get_or_insert_with(|| match sum {
            Some(sum) => (sum, "the sum of its branches"),
            None => (whole(*index), "the unit's flow"),
        });
        if let Some(sum) = parents.get(*index).copied().flatten().and_then(|parent| branches.get_mut(parent)) {
            *sum = Some(sum.unwrap_or(Flow::from_si(0.0)) + flow);
        }
    }
    let none = (Flow::from_si(0.0), "not known");
    flows.into_iter().map(|flow| flow.unwrap_or(none)).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    fn unit(ducts: serde_json::Value) -> VentilationUnit {
        serde_json::from_value(serde_json::json!({
            "kind": "heat-recovery", "supply": "100 cfm", "exhaust": "100 cfm",
            "supplies": {"a": "60 cfm", "b": "40 cfm"}, "exhausts": {"k": "100 cfm"}, "ducts": ducts,
        }))
        .unwrap()
    }

    fn names(ducts: &Ducts<'_>, path: &Path) -> Vec<String> {
        ducts.along(path).iter().map(|carried| carried.id.to_string()).collect()
    }

    fn cfm(flow: Flow) -> f64 {
        flow.in_unit("cfm").unwrap()
    }

    #[test]
    fn branches_follow_their_trunk_and_loose_trunks_count_everywhere() {
        let unit = unit(serde_json::json!({
            "intake": {"length": "2 m", "diameter": "150 mm", "side": "supply"},
            "trunk": {"length": "5 m", "diameter": "150 mm"},
            "to-a": {"to": "a", "length": "3 m", "diameter": "100 mm", "after": "trunk"},
            "to-b": {"to": "b", "length": "9 m", "diameter": "100 mm", "after": "trunk"},
            "from-k": {"to": "k", "length": "1 m", "diameter": "150 mm"},
        }));
        let flow = Flow::from_si(100.0 * crate::rates::CFM);
        let ducts = Ducts::of(&unit, flow, flow);
        let lists: Vec<Vec<String>> = ducts.paths.iter().map(|path| names(&ducts, path)).collect();
        assert_eq!(lists, vec![vec!["to-a", "trunk", "intake"], vec!["to-b", "trunk", "intake"], vec!["from-k"]]);
        let flows: Vec<f64> = ducts.carried.iter().map(|c| cfm(c.flow).round()).collect();
        assert_eq!(flows, vec![100.0, 100.0, 60.0, 40.0, 100.0]);
        // The longer branch carries less: its friction by hand, (40/60)^1.8 × 3 of the shorter one's, is larger.
        let (worst, pressure) = ducts.worst().unwrap();
        assert_eq!(names(&ducts, worst).first().map(String::as_str), Some("to-b"));
        let sum: f64 = ducts
            .carried
            .iter()
            .filter(|c| ["to-b", "trunk", "intake"].contains(&c.id.as_ref()))
            .map(|c| c.drop_at(1.0).si())
            .sum();
        assert!((pressure.si() - sum).abs() < 1e-12);
    }

    #[test]
    fn the_filter_counts_on_the_supply_side_and_grows_with_the_square() {
        let mut unit = unit(serde_json::json!({
            "to-a": {"to": "a", "length": "0 m", "diameter": "100 mm"},
            "from-k": {"to": "k", "length": "0 m", "diameter": "150 mm"},
        }));
        unit.filter_drop = Some(Pressure::from_si(30.0));
        let flow = Flow::from_si(0.05);
        let ducts = Ducts::of(&unit, flow, flow);
        let of = |share: f64| ducts.pressures(share).into_iter().map(Pressure::si).collect::<Vec<f64>>();
        assert_eq!(of(1.0), vec![30.0, 0.0]);
        assert_eq!(of(0.5), vec![7.5, 0.0]);
    }
}
