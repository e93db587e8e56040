//! Sections with a mistake in them: each is named, none is solved.

use mateline_conduction::arrangement::SectionError;
use mateline_conduction::section::{Environment, Part, Rect, Section, Surface};
use mateline_conduction::solution::{Accuracy, solve};

fn part(left: f64, low: f64, right: f64, high: f64) -> Part {
    Part { rect: Rect::new(left, low, right, high), conductivity: 0.1, name: "material".to_owned() }
}

fn surface(left: f64, low: f64, right: f64, high: f64, environment: usize) -> Surface {
    Surface { rect: Rect::new(left, low, right, high), environment, resistance: 0.1, watched: true }
}

/// Two parts side by side between warm and cold.
fn sound() -> Section {
    let environment = |name: &str, is_inside| Environment { name: name.to_owned(), is_inside };
    Section {
        parts: vec![part(0.0, 0.0, 0.5, 0.2), part(0.5, 0.0, 1.0, 0.2)],
        surfaces: vec![surface(0.0, 0.0, 1.0, 0.0, 0), surface(0.0, 0.2, 1.0, 0.2, 1)],
        environments: vec![environment("cold", false), environment("warm", true)],
    }
}

fn error(change: impl FnOnce(&mut Section)) -> SectionError {
    let mut section = sound();
    change(&mut section);
    let error = solve(&section, &Accuracy::STANDARD).unwrap_err();
    let words = error.to_string();
    assert!(words.starts_with(char::is_lowercase) && !words.ends_with('.'), "{words}");
    error
}

#[test]
fn each_mistake_has_its_name() {
    assert!(solve(&sound(), &Accuracy::STANDARD).is_ok());
    assert_eq!(error(|s| s.parts.clear()), SectionError::Empty);
    assert_eq!(error(|s| s.parts[1] = part(0.4, 0.0, 1.0, 0.2)), SectionError::Overlap(0, 1));
    assert_eq!(error(|s| s.parts[1] = part(0.0, 0.0, 0.5, 0.2)), SectionError::Overlap(0, 1));
    assert_eq!(error(|s| s.parts[1].conductivity = 0.0), SectionError::Conductivity(1, 0.0));
    assert_eq!(error(|s| s.parts[0].conductivity = 1e6), SectionError::Conductivity(0, 1e6));
    assert!(matches!(error(|s| s.parts[0].conductivity = f64::NAN), SectionError::Conductivity(0, _)));
    assert_eq!(error(|s| s.parts[1].rect.right = f64::INFINITY), SectionError::Size(1));
    assert!(matches!(error(|s| s.parts[1].rect.right = 0.4), SectionError::Thin(1, _)));
    assert_eq!(error(|s| s.surfaces[0].environment = 1), SectionError::OneEnvironment);
    assert_eq!(error(|s| s.surfaces.truncate(1)), SectionError::OneEnvironment);
    assert_eq!(error(|s| s.surfaces[1].environment = 7), SectionError::Environment(1));
    assert_eq!(error(|s| s.surfaces[1].resistance = -0.1), SectionError::Resistance(1));
    assert_eq!(error(|s| s.surfaces.push(surface(0.0, 0.1, 1.0, 0.1, 0))), SectionError::Astray(2));
}

/// A foil of steel 0.05 mm thin is thinner than the grid carries; one of 0.5 mm is carried.
#[test]
fn metal_may_be_thin_but_not_a_foil() {
    let sheet = |thickness: f64| {
        move |section: &mut Section| {
            section.parts.push(Part { conductivity: 50.0, ..part(0.0, 0.2, 1.0, 0.2 + thickness) });
            section.surfaces[1] = surface(0.0, 0.2 + thickness, 1.0, 0.2 + thickness, 1);
        }
    };
    assert!(matches!(error(sheet(0.000_05)), SectionError::Thin(2, _)));
    let mut section = sound();
    sheet(0.000_5)(&mut section);
    assert!(solve(&section, &Accuracy::STANDARD).is_ok());
}

#[test]
fn gaps_and_islands() {
    // A slit of half a millimetre between two parts.
    assert!(matches!(error(|s| s.parts[1] = part(0.5005, 0.0, 1.0, 0.2)), SectionError::Gap(..)));
    // Two parts apart.
    assert_eq!(error(|s| s.parts[1] = part(0.7, 0.0, 1.0, 0.2)), SectionError::Unconnected(0, 1));
    // A hole in the middle that nothing lines.
    let ring = |section: &mut Section| {
        section.parts = vec![
            part(0.0, 0.0, 1.0, 0.05),
            part(0.0, 0.15, 1.0, 0.2),
            part(0.0, 0.05, 0.4, 0.15),
            part(0.6, 0.05, 1.0, 0.15),
        ];
    };
    assert!(matches!(error(ring), SectionError::Gap(_, _)));
    // The same hole, lined, is a duct.
    let mut duct = sound();
    ring(&mut duct);
    duct.surfaces.push(surface(0.4, 0.05, 0.6, 0.15, 1));
    assert!(solve(&duct, &Accuracy::STANDARD).is_ok());
}

/// What cannot settle within the cells allowed is not reported as a result, but says how far it got.
#[test]
fn an_unsettled_section_is_no_result() {
    let mut section = sound();
    section.parts[1].conductivity = 50.0;
    section.surfaces[1] = surface(0.0, 0.2, 0.3, 0.2, 1);
    let hurried = Accuracy { flow: 1e-6, flow_at_most: 1e-6, factor: 0.1, most_cells: 5_000, ..Accuracy::STANDARD };
    let error = solve(&section, &hurried).unwrap_err();
    let SectionError::Unsettled(unsettled) = &error else { panic!("{error}") };
    assert!(unsettled.l2d > 0.0 && unsettled.change.is_some() && unsettled.factor.is_some(), "{error}");
    let words = error.to_string();
    assert!(words.contains("W/(m·K) on the last, ") && words.contains("fRsi is"), "{words}");
    // Its surface temperatures settle all the same.
    let surfaces = Accuracy { flow_at_most: f64::INFINITY, ..hurried };
    assert!(solve(&section, &surfaces).unwrap().lowest().is_some());
}
