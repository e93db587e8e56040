//! The parts of the house under which verdicts and figures stand.

use mateline_model::home::AssemblyKind;
use mateline_model::{Report, Subject};

/// A part of the house, in the order a reader walks through it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum House {
    Envelope,
    Openings,
    MateLines,
    Boxes,
    Foundation,
    Air,
    Rooms,
    Systems,
    Materials,
    Whole,
}

impl House {
    /// Its head.
    pub(super) fn title(self) -> &'static str {
        match self {
            House::Whole => "Whole home",
            House::Envelope => "Walls, floors and roofs",
            House::Openings => "Windows and doors",
            House::MateLines => "Mate lines",
            House::Boxes => "Boxes",
            House::Foundation => "Foundation",
            House::Air => "Air",
            House::Rooms => "Rooms",
            House::Systems => "Systems",
            House::Materials => "Materials",
        }
    }

    /// The part that a subject belongs to; one about the whole home, by the quantity judged.
    pub(super) fn of(report: &Report, subject: &Subject, quantity: Option<&str>) -> House {
        let id = subject.id();
        match subject.section() {
            "assemblies" => match report.home.assemblies.iter().find(|(known, _)| known.as_ref() == id) {
                Some((_, assembly)) if is_foundation(assembly.kind) => House::Foundation,
                _ => House::Envelope,
            },
            "surfaces" | "enclosure" | "junctions" | "roof" => House::Envelope,
            "openings" => House::Openings,
            "seams" => House::MateLines,
            "modules" => House::Boxes,
            "foundation" => House::Foundation,
            "penetrations" | "measurements" | "leaks" => House::Air,
            "spaces" => House::Rooms,
            "systems" => House::Systems,
            "finishes" | "materials" | "evidence" | "air" => House::Materials,
            _ => House::of_quantity(quantity.unwrap_or_default()),
        }
    }

    /// The part that a fact about the whole home belongs to, by the plugin that found it.
    fn of_quantity(quantity: &str) -> House {
        match quantity.split_once('.').map(|(plugin, _)| plugin) {
            Some("airtightness" | "ventilation") => House::Air,
            Some("foundation") => House::Foundation,
            Some("materials") => House::Materials,
            _ => House::Whole,
        }
    }
}

fn is_foundation(kind: AssemblyKind) -> bool {
    matches!(kind, AssemblyKind::BasementWall | AssemblyKind::CrawlWall | AssemblyKind::Slab)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn a_subject_stands_with_its_part_of_the_house() {
        let report = fixture::report();
        let of = |section: &str, quantity: Option<&str>| House::of(&report, &Subject::from(section), quantity);
        assert_eq!(of("assemblies.wall", None), House::Envelope);
        assert_eq!(of("assemblies.basement-wall", None), House::Foundation);
        assert_eq!(of("assemblies.unknown", None), House::Envelope);
        assert_eq!(of("spaces.studio", None), House::Rooms);
        assert_eq!(of("systems.ventilation", None), House::Systems);
        assert_eq!(of("home", Some("airtightness.ach50")), House::Air);
        assert_eq!(of("home", Some("envelope.ua")), House::Whole);
        assert_eq!(of("leaks.budget", None), House::Air);
        assert_eq!(of("air.home-formaldehyde", None), House::Materials);
        assert_eq!(of("something.else", None), House::Whole);
    }
}
