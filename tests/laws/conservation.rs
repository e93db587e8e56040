//! Nothing comes from nowhere: areas, loads, air and heat of a whole home close. Parts are tried beside their methods:
//! loads of random stacks (`plugins/foundation`), pollutants of random zones (`plugins/materials`), heat through random
//! sections (`plugins/junctions`), boxes on random grids (`touching.rs`).

use super::homes::{self, Site};
use mateline_engine::Options;
use mateline_model::Report;
use mateline_tests::{check_file, engine, example, number};

fn sum(report: &Report, section: &str, quantity: &str) -> f64 {
    let facts = report.facts.iter().filter(|fact| fact.subject.section() == section && fact.quantity == quantity);
    facts.filter_map(|fact| fact.value.number()).map(|quantity| quantity.si).sum()
}

fn close(what: &str, found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{what}: {found}, not {expected}");
}

fn closes(name: &str, report: &Report) {
    // Every face of every box is open or touches another: twice the contacts, since both boxes have a face there.
    let all: f64 = report
        .home
        .modules
        .values()
        .map(|module| {
            let [x, y, z] = [module.size.x.si(), module.size.y.si(), module.size.z.si()];
            2.0 * (x * y + y * z + z * x)
        })
        .sum();
    let (open, touching) =
        (sum(report, "modules", "takeoff.exposed_area"), sum(report, "seams", "takeoff.contact_area"));
    // A sloped ceiling adds to the faces of its box.
    if report.home.modules.values().all(|module| module.sloped_ceiling.is_none()) {
        close(&format!("{name}, faces of boxes"), open + 2.0 * touching, all);
    }
    // What stands on the ground is what there is.
    let lines: f64 = report
        .facts
        .iter()
        .filter(|fact| fact.subject.section() == "modules")
        .filter_map(|fact| {
            let per_length = ["foundation.line_load_low", "foundation.line_load_high"].contains(&&*fact.quantity);
            let module = report.home.modules.get(fact.subject.id()).filter(|_| per_length)?;
            Some(fact.value.number()?.si * module.size.x.si().max(module.size.y.si()))
        })
        .sum();
    let lowest = report.home.modules.iter().filter(|(_, module)| module.level == 1);
    let down: f64 = lowest
        .filter_map(|(id, _)| report.facts.get(&format!("modules.{id}").as_str().into(), "foundation.load_down"))
        .filter_map(|fact| fact.value.number())
        .map(|load| load.si)
        .sum();
    close(&format!("{name}, loads"), lines, down);
    // Openings and the rest of their walls are the walls.
    let (gross, net) = (sum(report, "surfaces", "takeoff.gross_area"), sum(report, "surfaces", "takeoff.net_area"));
    close(&format!("{name}, openings"), gross - net, number(report, "home", "takeoff.opening_area"));
    // Each zone gets as much air as it gives away.
    assert!(number(report, "home", "ventilation.network_residual") < 1e-9, "{name}");
    // Rooms together lose what the home loses, and months are the year.
    if let Some(load) = report.facts.get(&"home".into(), "energy.heating_load").and_then(|fact| fact.value.number()) {
        close(&format!("{name}, heating loads"), sum(report, "spaces", "energy.heating_load"), load.si);
        for quantity in ["energy.losses", "energy.solar_gains", "energy.heating_need", "energy.cooling_need"] {
            close(&format!("{name}, {quantity}"), sum(report, "months", quantity), number(report, "home", quantity));
        }
    }
    // As much heat comes into each section as goes out.
    let errors = report.facts.iter().filter(|fact| fact.quantity == "junctions.balance_error");
    let errors: Vec<f64> = errors.filter_map(|fact| fact.value.number()).map(|error| error.si).collect();
    assert!(errors.len() > 3 && errors.iter().all(|error| error.abs() < 1e-6), "{name}: {errors:?}");
}

#[test]
fn homes_close() {
    for name in homes::EXAMPLES {
        closes(name, &check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}")));
    }
    let site = Site::new();
    let random = (0..2).filter_map(|seed| engine().check(&site.put(&homes::random(seed)), &Options::default()).ok());
    assert!(random.map(|report| closes("a random home", &report)).count() >= 1);
}
