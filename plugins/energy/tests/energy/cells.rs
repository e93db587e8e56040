//! A kilowatt of solar cells through the public year of Greensboro against pvlib.

use mateline_energy::cells::hours;
use mateline_weather::sky::Plane;
use mateline_weather::{month_of, read};

/// Alternating current in kWh for each kW by pvlib 0.16.1 on the makers' file: Perez sky, physical cover, cell temperature of
/// glass and polymer in the open, losses of 14.08 %, inverter. Year by tilt and direction 0.5 %, months of 30° south 1 %:
/// the sun's place differs by 0.01°, and low suns differ by more.
#[test]
fn a_kilowatt_in_greensboro_by_hours() {
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/sparrow-court/weather/greensboro.csv");
    let weather = read(&std::fs::read_to_string(file).unwrap()).unwrap();
    let plane = |tilt: f64, from_south: f64| Plane { tilt: tilt.to_radians(), azimuth: from_south.to_radians() };
    let years = [
        (plane(30.0, 0.0), 1_391.6),
        (plane(18.0, 0.0), 1_358.0),
        (plane(30.0, -90.0), 1_141.8),
        (plane(30.0, 90.0), 1_146.5),
        (plane(45.0, 0.0), 1_366.8),
        (plane(90.0, 0.0), 885.7),
    ];
    for (plane, expected) in years {
        let sum = hours(&weather, plane).unwrap().iter().sum::<f64>();
        assert!((sum / expected - 1.0).abs() < 0.005, "{plane:?}: {sum} beside {expected}");
    }
    let months = [91.8, 96.3, 125.0, 134.8, 131.8, 134.1, 136.0, 135.6, 117.2, 112.8, 85.7, 90.6];
    let mut found = [0.0; 12];
    for (hour, power) in hours(&weather, plane(30.0, 0.0)).unwrap().into_iter().enumerate() {
        found[month_of(hour)] += power;
    }
    for (found, expected) in found.into_iter().zip(months) {
        assert!((found / expected - 1.0).abs() < 0.01, "{found} beside {expected}");
    }
}
