//! Earth and concrete against numbers of others, through the whole plugin.

use crate::support::{FOOT, YARD, close, pair, run, si, with};
use serde_json::{Value, json};

/// One box of 40 by 30 ft on a basement 8 ft deep, without topsoil and without room to work, so that the pit is the
/// example's; the footing ends at its bottom, so that there is no trench.
fn example(soil: &str, shored: bool) -> Value {
    let home = with(
        pair(),
        "/modules",
        json!({
            "A": {"level": 1, "at": {"x": "0 ft", "y": "0 ft"}, "size": {"x": "40 ft", "y": "30 ft", "z": "10 ft"},
                "weight": "60000 lb"}
        }),
    );
    let home = with(home, "/foundation/depth_below_grade", json!("7 ft 4 in"));
    let home = with(home, "/foundation/footing/depth", json!("8 ft"));
    let home = with(home, "/site/soil", json!(soil));
    with(home, "/foundation/earthwork", json!({"shored": shored, "topsoil": "0 ft", "working_space": "0 ft"}))
}

/// 40 x 30 x 8 ft upright: 355.56 yd³ in the ground; loose 394.67 sand, 444.44 loam, 508.44 clay (computed
/// independently from US Army FM 5-434, Table 1-1, from memory). Half of the last digit.
#[test]
fn upright_pit_in_three_soils() {
    for (soil, loose) in [("sand", 394.67), ("loam", 444.44), ("clay", 508.44)] {
        let found = run(&example(soil, true));
        close(si(&found, "home", "excavation_bank") / YARD, 355.56, 0.005);
        close(si(&found, "home", "excavation_loose") / YARD, loose, 0.005);
    }
}

/// The same bottom with sides 1:1, as clay needs: 546.77 yd³ (computed independently; the exact integral agrees).
#[test]
fn sloped_pit() {
    let found = run(&example("clay", false));
    close(si(&found, "home", "side_run"), 1.0, 1e-12);
    close(si(&found, "home", "excavation_bank") / YARD, 546.77, 0.005);
    // Topsoil is stripped over the top, 56 by 46 ft; there is none here.
    close(si(&found, "home", "topsoil_bank"), 0.0, 1e-12);
}

/// Class C, 1 1/2:1, for sand, and for any soil below the water table (29 CFR 1926 Subpart P, App. B, from memory).
#[test]
fn side_slopes() {
    close(si(&run(&example("sand", false)), "home", "side_run"), 1.5, 1e-12);
    let wet = with(example("clay", false), "/site/water_table", json!("5 ft"));
    close(si(&run(&wet), "home", "side_run"), 1.5, 1e-12);
    let own = with(example("clay", false), "/foundation/earthwork/sides", json!("4:3"));
    close(si(&run(&own), "home", "side_run"), 0.75, 1e-12);
}

/// A footing of 20 by 10 in over 140 ft of outline: 7.202 yd³ (computed independently) is for the full outline; along
/// the middle of an 8 in wall it is 140 - 4 * 8/12 ft.
#[test]
fn footing_and_walls() {
    let found = run(&example("clay", true));
    let middle = 140.0 - 4.0 * 8.0 / 12.0;
    close(si(&found, "home", "concrete_footing") / YARD, 7.202 * middle / 140.0, 0.000_5);
    // Wall 9 ft + 8 ft - 10 in - 7 ft 4 in = 8 ft 10 in high, 8 in thick; slab inside it 38 ft 8 in by 28 ft 8 in by 4 in.
    let height = 9.0 + 8.0 - 10.0 / 12.0 - (7.0 + 4.0 / 12.0);
    close(si(&found, "home", "concrete_wall") / YARD, middle * height * 8.0 / 12.0 / 27.0, 1e-9);
    close(si(&found, "home", "concrete_slab") / YARD, (40.0 - 4.0 / 3.0) * (30.0 - 4.0 / 3.0) / 3.0 / 27.0, 1e-9);
    let net: f64 =
        ["concrete_footing", "concrete_wall", "concrete_slab"].iter().map(|name| si(&found, "home", name)).sum();
    close(si(&found, "home", "concrete_total"), 1.1 * net, 1e-9);
    // Both faces of footing and wall.
    let square = FOOT * FOOT;
    close(si(&found, "home", "formwork_area") / square, 2.0 * middle * (10.0 / 12.0 + height), 1e-9);
}

/// Soil is neither made nor lost: what is dug is filled back, hauled away, or was brought.
#[test]
fn soil_balances() {
    for soil in ["sand", "gravel", "silt", "loam", "clay"] {
        let found = run(&with(pair(), "/site/soil", json!(soil)));
        let of = |name| si(&found, "home", name);
        let compacted = of("excavation_compacted") / of("excavation_bank");
        close(of("excavation_bank") + of("import_bank"), of("backfill") / compacted + of("haul_off_bank"), 1e-9);
        assert!(of("haul_off_loose") > of("haul_off_bank"));
        let loads = of("truckloads");
        assert!(loads * 12.0 * YARD >= of("haul_off_loose") && (loads - 1.0) * 12.0 * YARD < of("haul_off_loose"));
    }
}

/// Piers stand 8 ft apart; where their pits run into one another a trench is less to dig than pit by pit.
#[test]
fn pits_of_piers_do_not_count_twice() {
    let found = run(&pair());
    let of = |name| si(&found, "alternatives.piers", name);
    assert!(of("excavation_bank") < 3.0 * si(&found, "alternatives.crawl-space", "excavation_bank"));
    // Upright sides leave the pits apart: 7 piers on each of 3 lines, pads of their own size, 5 ft less 6 in of topsoil. A
    // pad is 10 in thick, or half of what it is wider than a pier of 1 ft, and bears its own weight too.
    let shored = run(&with(pair(), "/foundation/earthwork", json!({"shored": true})));
    let (side, mate) = (si(&shored, "home", "line_load_side"), si(&shored, "home", "line_load_mate"));
    let (bearing, concrete) = (si(&shored, "home", "soil_bearing"), 150.0 * 47.880_258_98 / FOOT);
    let pad = |load: f64| {
        (0..100).fold(FOOT, |side: f64, _| {
            let thickness = ((side - FOOT) / 2.0).max(10.0 / 12.0 * FOOT);
            (load * 8.0 * FOOT / (bearing - concrete * thickness)).sqrt()
        })
    };
    let pit = |load: f64| (pad(load) + 2.0 * FOOT).powi(2) * 4.5 * FOOT;
    let expected = 14.0 * pit(side) + 7.0 * pit(mate);
    close(si(&shored, "alternatives.piers", "excavation_bank"), expected, 1e-6);
}
