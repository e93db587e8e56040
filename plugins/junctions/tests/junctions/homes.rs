//! Junctions of whole homes: which there are, how long, and what follows from them.

use crate::support::{because, changed, close, fact, home, only, run, si, text};
use mateline_model::{Drawing, Origin, Value};
use mateline_sdk::Findings;
use serde_json::json;
use std::sync::OnceLock;

/// What the usual home gives, worked out once for all tests.
fn usual() -> &'static Findings {
    static USUAL: OnceLock<Findings> = OnceLock::new();
    USUAL.get_or_init(|| changed(json!({})))
}

/// Two by two boxes of 12 m by 4.2 m by 2.9 m with a gap of 15 mm. By hand: corners 4 x 5.8 m; mate lines in the walls
/// 2 x 2.9 m a level; in the roof 12 m; outline 2 (12 + 8.415) m for rim and footing, less the gap at both ends where
/// edges of the boxes are meant, to 0.03 m; windows 3 x 2 (1.5 + 1.2) m; door 2 (0.9 + 2.1) m.
#[test]
fn every_home_has_the_junctions_of_its_boxes() {
    let findings = usual();
    assert!(findings.missing.is_empty(), "{:?}", findings.missing);
    for (id, length) in [
        ("outside-corner", 23.2),
        ("mate-wall-A-B", 5.8),
        ("mate-wall-C-D", 5.8),
        ("mate-roof-C-D", 12.0),
        ("stacked-rim-A-C", 20.4),
        ("stacked-rim-B-D", 20.4),
        ("floor-rim", 40.8),
        ("wall-to-attic", 40.8),
        ("window-jamb", 16.2),
        ("door-jamb", 6.0),
        ("footing", 40.83),
    ] {
        let subject = format!("junctions.{id}");
        close(si(findings, &subject, "junctions.length"), length, 0.04);
        assert_eq!(text(findings, &subject, "junctions.source"), "solved");
        let psi = si(findings, &subject, "junctions.psi");
        assert!((-0.1..0.3).contains(&psi), "{id}: {psi}");
        let factor = si(findings, &subject, "junctions.surface_factor");
        assert!((0.6..1.0).contains(&factor), "{id}: {factor}");
        let lowest = si(findings, &subject, "junctions.lowest_temperature");
        close(lowest, -15.0 + factor * 35.0, 1e-9);
        assert!(si(findings, &subject, "junctions.balance_error") < 1e-6);
        assert!(si(findings, &subject, "junctions.refinement_change") <= 0.01);
        close(si(findings, &subject, "junctions.loss"), psi * si(findings, &subject, "junctions.length"), 1e-9);
    }
    let total: f64 = findings
        .facts
        .iter()
        .filter(|fact| fact.quantity == "junctions.loss")
        .filter_map(|fact| fact.value.number())
        .map(|quantity| quantity.si)
        .sum();
    close(si(findings, "home", "junctions.loss_total"), total, 1e-9);
    let with = si(findings, "home", "junctions.ua_with_junctions");
    close(si(findings, "home", "junctions.share"), total / with, 1e-12);
    // The share points at the junction that loses most.
    let losses = findings.facts.iter().filter(|fact| fact.quantity == "junctions.loss");
    let most = losses.max_by(|a, b| a.value.number().unwrap().si.total_cmp(&b.value.number().unwrap().si)).unwrap();
    let at = fact(findings, "home", "junctions.share").at.clone().unwrap();
    assert_eq!(at.path, most.subject.as_str());
    assert!(at.note.unwrap().ends_with("is lost here, the most of all junctions"));
}

/// A plane part of a section has the resistance that the envelope finds between the members; the closed formula for air
/// in the ceiling's joists and the envelope's rounded table differ by less than 0.1 %.
#[test]
fn plane_parts_are_those_of_the_envelope() {
    let home = home(json!({}));
    let before = crate::support::before(&home);
    let findings = usual();
    let of = |id: &str| {
        let clear = before.get(&format!("assemblies.{id}").as_str().into(), "envelope.r_clear").unwrap();
        1.0 / clear.value.number().unwrap().si
    };
    let steps = &fact(findings, "junctions.wall-to-attic", "junctions.psi").basis.steps;
    let parts: Vec<_> = steps.iter().flat_map(|step| &step.terms).filter(|term| term.symbol == "U_i").collect();
    assert_eq!(parts.len(), 2);
    for term in parts {
        let id = if term.meaning.contains("wall") { "wall" } else { "ceiling" };
        let Value::Number(u) = term.value else { panic!("U is no number") };
        assert!((u.si / of(id) - 1.0).abs() < 1e-3, "{id}: {} against {}", u.si, of(id));
    }
}

/// What the basis shows adds up: ψ is L2D less that without the junction, and less U-factor times length of every part.
#[test]
fn the_basis_can_be_followed() {
    let findings = usual();
    for found in findings.facts.iter().filter(|fact| fact.quantity.starts_with("junctions.psi")) {
        let last = found.basis.steps.last().unwrap();
        let number = |value: &Value| value.number().unwrap().si;
        let all = |symbol: &str| -> Vec<f64> {
            last.terms.iter().filter(|term| term.symbol == symbol).map(|term| number(&term.value)).collect()
        };
        let product = |a: &str, b: &str| -> f64 { all(a).iter().zip(all(b)).map(|(a, b)| a * b).sum() };
        let flows = all("L2D")[0] - all("L2D0").iter().sum::<f64>();
        let sum = flows - product("U_i", "l_i") - product("ΔU_k", "w_k");
        close(sum, number(&found.value), 1e-12);
        assert!(found.basis.steps.iter().any(|step| step.equation.starts_with("L2D = ")), "{}", found.subject);
    }
    for fact in &findings.facts {
        assert!(!fact.basis.method.is_empty() && !fact.basis.source.is_empty(), "{} {}", fact.subject, fact.quantity);
    }
}

#[test]
fn a_given_psi_wins() {
    let corner = json!({"corner": {"kind": "outside-corner", "psi": "-0.05 W/(m·K)",
        "surface_factor": 0.9, "source": "a catalogue, invented"}});
    let findings = changed(only(&["outside-corner"], corner));
    close(si(&findings, "junctions.corner", "junctions.psi"), -0.05, 1e-12);
    assert_eq!(text(&findings, "junctions.corner", "junctions.source"), "given");
    assert_eq!(fact(&findings, "junctions.corner", "junctions.psi").basis.source, "a catalogue, invented");
    close(si(&findings, "junctions.corner", "junctions.length"), 23.2, 0.01);
    assert!(!findings.facts.iter().any(|fact| fact.subject.as_str() == "junctions.outside-corner"));
    assert!(
        !findings
            .facts
            .iter()
            .any(|fact| fact.subject.as_str() == "junctions.corner" && fact.quantity == "junctions.l2d")
    );
}

/// Without a foundation wall there is nothing to draw: a usual value stands in and says so, and no temperature is made
/// up.
#[test]
fn what_is_not_described_gets_a_marked_default() {
    let mut change = only(&["footing"], json!({}));
    change["foundation"] = json!({"wall": null});
    let findings = changed(change);
    let source = text(&findings, "junctions.footing", "junctions.source");
    assert_eq!(source, "default (common practice, no source)");
    let basis = &fact(&findings, "junctions.footing", "junctions.psi").basis;
    let published = |term: &mateline_model::Term| matches!(&term.origin, Origin::Published(mark) if mark == source);
    assert!(basis.steps.iter().filter_map(|step| step.result.as_ref()).any(published));
    assert!(because(&findings, "junctions.footing", "junctions.surface_factor").contains("names no wall"));
}

#[test]
fn what_is_missing_is_named() {
    let mut change = only(&["window-jamb", "outside-corner"], json!({}));
    change["openings"] = json!({"w": {"u_factor": null}});
    change["site"] = json!({"design_heating": null});
    let findings = changed(change);
    assert_eq!(because(&findings, "junctions.window-jamb", "junctions.psi"), "openings.w has no u_factor");
    assert!(because(&findings, "home", "junctions.loss_total").contains("openings.w has no u_factor"));
    let lowest = because(&findings, "junctions.outside-corner", "junctions.lowest_temperature");
    assert_eq!(lowest, "site.design_heating is not given");
    let two = json!({"a": {"kind": "outside-corner"}, "b": {"kind": "outside-corner"}});
    let findings = changed(only(&["outside-corner"], two));
    assert!(because(&findings, "junctions.a", "junctions.length").contains("1 more of kind outside-corner"));
    let split = json!({"a": {"kind": "outside-corner", "length": "3.2 m"}, "b": {"kind": "outside-corner"}});
    close(si(&changed(only(&["outside-corner"], split)), "junctions.b", "junctions.length"), 20.0, 0.01);
}

#[test]
fn the_same_home_gives_the_same_facts() {
    let second = run(&home(json!({})));
    assert_eq!(usual().facts, second.facts);
    assert_eq!(usual().missing, second.missing);
}

/// Sections that are alike are solved and drawn once.
#[test]
fn figures_show_each_section_once() {
    let findings = usual();
    let subjects: Vec<&str> = findings.figures.iter().map(|figure| figure.subject.as_str()).collect();
    assert!(subjects.contains(&"junctions.mate-wall-A-B") && !subjects.contains(&"junctions.mate-wall-C-D"));
    for figure in &findings.figures {
        let Drawing::Field { x_edges, y_edges, temperatures, outlines, lowest, .. } = &figure.drawing else {
            panic!("{} is no field", figure.title)
        };
        assert_eq!(temperatures.len(), (x_edges.len() - 1) * (y_edges.len() - 1));
        assert!(temperatures.iter().all(|t| t.is_nan() || (-15.0 - 1e-9..=20.0 + 1e-9).contains(t)));
        assert!(temperatures.len() < 12_000, "{}: {} cells", figure.title, temperatures.len());
        assert!(!outlines.is_empty() && lowest.is_some());
    }
}

/// ISO 13370 by hand for this home: A = 12 x 8.415 m, P = 40.83 m, B' = 4.946 m, clay 1.5 W/(m·K), Rf = 0.1/λ_c + 0.1/λ_e
/// with the library's concrete and EPS, Rw likewise with 0.2 and 0.075 m, z = 2 m.
#[test]
fn a_basement_has_its_ground() {
    use mateline_junctions::ground::{Basement, Floor};
    use mateline_model::quantity::{Area, Conductivity, Length, ThermalResistance};
    let findings = changed(only(&[], json!({})));
    let lambda = |id: &str| mateline_envelope::library()[id].conductivity.unwrap().si();
    let layers = |concrete: f64, eps: f64| {
        ThermalResistance::from_si(concrete / lambda("concrete") + eps / lambda("eps-type-ii"))
    };
    let basement = Basement {
        floor: Floor {
            area: Area::from_si(12.0 * 8.415),
            perimeter: Length::from_si(2.0 * (12.0 + 8.415)),
            wall_thickness: Length::from_si(0.275),
            resistance: layers(0.1, 0.1),
            ground: Conductivity::from_si(1.5),
        },
        depth: Length::from_si(2.0),
        walls: layers(0.2, 0.075),
    };
    // The take-off leaves the gap of 15 mm out of the floor.
    close(si(&findings, "home", "junctions.ground_u_floor"), basement.floor_u().si(), 0.0005);
    close(si(&findings, "home", "junctions.ground_u_wall"), basement.wall_u().si(), 0.0005);
    close(si(&findings, "home", "junctions.ground_loss"), basement.loss().si(), 0.1);
}

/// The heated basement of these homes, its floor's and walls' layers by the library's conductivities.
fn shell(depth: f64, floor: f64) -> mateline_junctions::ground::Basement {
    use mateline_junctions::ground::{Basement, Floor};
    use mateline_model::quantity::{Area, Conductivity, Length, ThermalResistance};
    let lambda = |id: &str| mateline_envelope::library()[id].conductivity.unwrap().si();
    Basement {
        floor: Floor {
            area: Area::from_si(12.0 * 8.415),
            perimeter: Length::from_si(2.0 * (12.0 + 8.415)),
            wall_thickness: Length::from_si(0.275),
            resistance: ThermalResistance::from_si(floor * (0.1 / lambda("concrete") + 0.1 / lambda("eps-type-ii"))),
            ground: Conductivity::from_si(1.5),
        },
        depth: Length::from_si(depth),
        walls: ThermalResistance::from_si(0.2 / lambda("concrete") + 0.075 / lambda("eps-type-ii")),
    }
}

fn at_depth(depth: &str, more: serde_json::Value) -> serde_json::Value {
    let mut change = only(&[], json!({}));
    change["foundation"] = json!({"depth_below_grade": depth});
    change["foundation"].as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    change
}

/// Soil has no film, however much of the wall stands above grade: `d_w = λ (Rsi + Rw + Rse)` of ISO 13370 with the wall's
/// layers alone.
#[test]
fn a_wall_mostly_above_grade_keeps_no_wind_film_in_the_ground() {
    for depth in [0.6, 2.0] {
        let findings = changed(at_depth(&format!("{depth} m"), json!({})));
        close(si(&findings, "home", "junctions.ground_u_wall"), shell(depth, 1.0).wall_u().si(), 1e-6);
    }
}

/// Hardcore below a slab conducts as the ground and is no resistance of the floor (ISO 13370, from memory).
#[test]
fn hardcore_is_ground() {
    let bare = si(&changed(at_depth("2 m", json!({}))), "home", "junctions.ground_u_floor");
    let mut change = at_depth("2 m", json!({}));
    change["assemblies"] = json!({"slab": {"layers": [
        {"material": "concrete", "thickness": "100 mm"},
        {"material": "eps-type-ii", "thickness": "100 mm", "role": "continuous-insulation"},
        {"material": "gravel", "thickness": "200 mm"},
    ]}});
    close(si(&changed(change), "home", "junctions.ground_u_floor"), bare, 1e-12);
}

/// A window below grade, in its well, is a window for the envelope and no wall for the ground.
#[test]
fn windows_below_grade_are_no_wall() {
    let before = si(&changed(at_depth("2 m", json!({}))), "home", "junctions.ground_loss");
    let mut change = at_depth("2 m", json!({}));
    change["openings"] = json!({"low": {"kind": "window", "module": "foundation", "face": "south", "width": "1.5 m",
        "height": "0.8 m", "sill": "0.6 m", "u_factor": "1.0 W/(m²·K)"}});
    let after = si(&changed(change), "home", "junctions.ground_loss");
    close(before - after, 1.2 * shell(2.0, 1.0).wall_u().si(), 1e-6);
}

/// A crawl space inside the envelope whose ground is covered by a sheet: a basement whose floor resists nothing.
#[test]
fn covered_ground_of_a_crawl_space() {
    let crawl = json!({"kind": "crawl-space", "height": "1.2 m", "floor": null, "ground_cover": "10 mil"});
    let findings = changed(at_depth("0.6 m", crawl));
    close(si(&findings, "home", "junctions.ground_u_floor"), shell(0.6, 0.0).floor_u().si(), 0.0005);
    close(si(&findings, "home", "junctions.ground_loss"), shell(0.6, 0.0).loss().si(), 0.1);
    assert!(si(&findings, "home", "junctions.ua_with_junctions") > 0.0);
}

/// The walls of an unheated basement above grade stand in the wind: `Uw = 1/(0.13 + Rw + 0.04)`; by hand with 0.33·0.3 of
/// air: `1/U = 1/Uf + A/(A Ubf + z P Ubw + h P Uw + 0.099 V)`.
#[test]
fn walls_of_an_unheated_basement_by_hand() {
    let mut change = at_depth("2 m", json!({"conditioned": false}));
    change["enclosure"] = json!({"floors": "cold-floor"});
    change["assemblies"] = json!({"cold-floor": {"adjoins": "unheated-basement"}});
    let home = home(change);
    let before = crate::support::before(&home);
    let floor =
        |quantity: &str| before.get(&"assemblies.cold-floor".into(), quantity).unwrap().value.number().unwrap().si;
    let (shell, area, perimeter) = (shell(2.0, 1.0), 12.0 * 8.415, 2.0 * (12.0 + 8.415));
    let above = 2.6 - 2.0 + floor("envelope.thickness");
    let walls = 1.0 / (0.13 + shell.walls.si() + 0.04);
    let around = area * shell.floor_u().si()
        + 2.0 * perimeter * shell.wall_u().si()
        + above * perimeter * walls
        + 0.33 * 0.3 * area * 2.6;
    let expected = 1.0 / (1.0 / floor("envelope.u_factor") + area / around);
    close(si(&run(&home), "home", "junctions.ground_u_floor"), expected, 1e-5);
}

#[test]
fn other_foundations() {
    let crawl = json!({"enclosure": {"floors": "cold-floor"}, "foundation": {"kind": "crawl-space", "conditioned": false,
        "wall": null, "floor": null, "height": "0.9 m", "depth_below_grade": "0.3 m", "vent_area": "0.06 m²"}});
    let mut crawl = crawl;
    crawl["junctions"] = only(&["mate-floor", "floor-rim"], json!({}))["junctions"].take();
    let findings = changed(crawl);
    let u = si(&findings, "home", "junctions.ground_u_floor");
    assert!(u > 0.05 && u < 0.2, "{u}");
    assert_eq!(text(&findings, "junctions.mate-floor-A-B", "junctions.source"), "solved");
    assert_eq!(text(&findings, "junctions.floor-rim", "junctions.source"), "solved");
    let slab = json!({"enclosure": {"floors": "cold-floor"}, "foundation": {"kind": "slab", "wall": null, "floor": "slab",
        "height": null, "depth_below_grade": null, "footing": {"width": "300 mm", "thickness": "600 mm", "depth": "0.6 m"}}});
    let mut slab = slab;
    slab["junctions"] = only(&["slab-edge"], json!({}))["junctions"].take();
    let findings = changed(slab.clone());
    let bare = si(&findings, "home", "junctions.ground_u_floor");
    let open = si(&findings, "junctions.slab-edge", "junctions.psi");
    assert!(open > 0.05, "{open}");
    let mut edged = slab;
    edged["junctions"]["edge"] = json!({"kind": "slab-edge", "section":
        {"edge_insulation": "75 mm", "edge_depth": "0.6 m", "edge_material": "xps"}});
    let findings = changed(edged);
    assert!(si(&findings, "home", "junctions.ground_u_floor") < bare);
    assert!(si(&findings, "junctions.edge", "junctions.psi") < open);
}

/// The pack's factor is out of reach of 20 mm of foam and within reach of more: the thickness found reaches it, and one
/// two millimetres thinner does not.
#[test]
fn insulation_that_brings_the_factor_back() {
    let thin = |foam: &str| {
        let mut change = only(&["floor-rim"], json!({}));
        change["assemblies"] = json!({"wall": {"layers": [
            {"material": "gypsum-board", "thickness": "12.7 mm"},
            {"framed": {"member": "softwood", "size": "2x6", "spacing": "16 in", "fill": "cellulose-dense-pack"}},
            {"material": "osb", "thickness": "11 mm"},
            {"material": "eps-type-ii", "thickness": foam, "role": "continuous-insulation"},
            {"vented-cavity": "19 mm"},
            {"material": "fibre-cement", "thickness": "8 mm"},
        ]}});
        change
    };
    let factor = |foam: &str| si(&changed(thin(foam)), "junctions.floor-rim", "junctions.surface_factor");
    let (now, thick) = (factor("20 mm"), factor("120 mm"));
    assert!(now + 0.01 < thick, "{now} and {thick}");
    let wanted = (now + thick) / 2.0;
    let settings = [("a-pack".to_owned(), json!({"surface_factor": wanted}))];
    let findings = crate::support::asked(&home(thin("20 mm")), &settings);
    let needed = fact(&findings, "junctions.floor-rim", "junctions.insulation_needed");
    assert_eq!(needed.at.as_ref().unwrap().path, "assemblies.wall.layers.3");
    let found = si(&findings, "junctions.floor-rim", "junctions.insulation_needed");
    assert!((0.02..0.12).contains(&found), "{found}");
    assert!(factor(&format!("{} mm", found * 1e3)) >= wanted - 1e-9);
    assert!(factor(&format!("{} mm", found * 1e3 - 2.0)) < wanted);
    let note = fact(&findings, "junctions.floor-rim", "junctions.surface_factor").at.as_ref().unwrap();
    assert!(note.note.as_ref().unwrap().contains("the surface factor reaches 0."), "{note:?}");
    // Nothing is said where the factor is reached, and a factor no thickness brings is missing with its reason.
    let met = [("a-pack".to_owned(), json!({"surface_factor": now - 0.01}))];
    let asked = crate::support::asked(&home(thin("20 mm")), &met);
    assert!(!asked.facts.iter().any(|fact| fact.quantity == "junctions.insulation_needed"));
    let never = [
        ("a-pack".to_owned(), json!({"surface_factor": 0.999})),
        ("other".to_owned(), json!({"surface_factor": null})),
    ];
    let asked = crate::support::asked(&home(thin("20 mm")), &never);
    assert!(because(&asked, "junctions.floor-rim", "junctions.insulation_needed").contains("300 mm more brings"));
    let odd = [("odd".to_owned(), json!({"surface_facto": 0.7}))];
    let asked = crate::support::asked(&home(thin("20 mm")), &odd);
    assert!(because(&asked, "home", "junctions.insulation_needed").contains("the settings of odd"));
}

/// A store changes no fact, whatever it holds; with one, nothing is solved a second time.
#[test]
fn a_store_changes_nothing_but_the_work() {
    use std::collections::BTreeMap;
    use std::sync::Mutex;
    #[derive(Default)]
    struct Shelf {
        held: Mutex<BTreeMap<String, Vec<u8>>>,
        kept: Mutex<usize>,
    }
    impl mateline_junctions::Store for Shelf {
        fn fetch(&self, name: &str) -> Option<Vec<u8>> {
            self.held.lock().unwrap().get(name).cloned()
        }
        fn keep(&self, name: &str, bytes: &[u8]) {
            *self.kept.lock().unwrap() += 1;
            self.held.lock().unwrap().insert(name.to_owned(), bytes.to_vec());
        }
    }
    let shelf = Shelf::default();
    let same = |findings: &Findings| {
        assert_eq!(findings.facts, usual().facts);
        assert_eq!(format!("{:?}", findings.figures), format!("{:?}", usual().figures));
    };
    same(&crate::support::run_with(&home(json!({})), &shelf));
    let first = *shelf.kept.lock().unwrap();
    assert!(first > 10, "{first}");
    same(&crate::support::run_with(&home(json!({})), &shelf));
    assert_eq!(*shelf.kept.lock().unwrap(), first, "nothing is solved again");
    // What is no answer of the solver is solved again.
    for bytes in shelf.held.lock().unwrap().values_mut() {
        *bytes = b"{\"l2d\":1e9}".to_vec();
    }
    same(&crate::support::run_with(&home(json!({})), &shelf));
    assert_eq!(*shelf.kept.lock().unwrap(), 2 * first);
}

/// The ground stands in for what the envelope counts below grade, and nothing else changes.
#[test]
fn the_ground_is_counted_once() {
    let home = home(only(&[], json!({})));
    let before = crate::support::before(&home);
    let findings = run(&home);
    let number =
        |subject: &str, quantity: &str| before.get(&subject.into(), quantity).unwrap().value.number().unwrap().si;
    let below: f64 = before
        .subjects()
        .filter(|subject| subject.section() == "surfaces")
        .filter(|subject| before.get(subject, "takeoff.boundary").unwrap().value.text() == Some("ground"))
        .map(|subject| {
            number(subject.as_str(), "takeoff.net_area") * {
                let id = before.get(subject, "takeoff.assembly").unwrap().value.text().unwrap();
                number(&format!("assemblies.{id}"), "envelope.u_factor")
            }
        })
        .sum();
    assert!(below > 10.0);
    let expected = number("home", "envelope.ua") - below
        + si(&findings, "home", "junctions.ground_loss")
        + si(&findings, "home", "junctions.loss_total");
    close(si(&findings, "home", "junctions.ua_with_junctions"), expected, 1e-9);
}

#[test]
fn unheated_basements_piers_and_overhangs() {
    let mut unheated = json!({"enclosure": {"floors": "cold-floor"}, "foundation": {"conditioned": false}});
    unheated["junctions"] = only(&[], json!({}))["junctions"].take();
    unheated["assemblies"] = json!({"cold-floor": {"adjoins": "unheated-basement"}});
    let findings = changed(unheated);
    let floor = fact(&findings, "home", "junctions.ground_u_floor");
    assert_eq!(floor.basis.method, "floor over an unheated basement");
    assert!((0.05..0.3).contains(&si(&findings, "home", "junctions.ground_u_floor")));
    let mut piers = json!({"enclosure": {"floors": "open-floor"},
        "foundation": {"kind": "piers", "conditioned": null, "wall": null, "floor": null, "depth_below_grade": null}});
    piers["assemblies"] = json!({"open-floor": {"kind": "exposed-floor", "layers": [
        {"material": "plywood", "thickness": "19 mm"},
        {"framed": {"member": "softwood", "size": "2x10", "spacing": "16 in", "fill": "cellulose-dense-pack"}},
        {"material": "mineral-wool-board", "thickness": "40 mm", "role": "continuous-insulation"},
    ]}});
    piers["junctions"] = only(&["floor-rim"], json!({}))["junctions"].take();
    let findings = changed(piers.clone());
    assert_eq!(because(&findings, "home", "junctions.ground_loss"), "a home on piers stands over outdoor air");
    let psi = si(&findings, "junctions.floor-rim", "junctions.psi");
    assert!((-0.1..0.15).contains(&psi), "{psi}");
    assert!(si(&findings, "home", "junctions.ua_with_junctions") > 0.0);
    // The upper pair set a metre to the east: 8.4 m of end and 2 x 1 m of side hang over air.
    let mut over = piers;
    over["modules"] = json!({"C": {"at": {"x": "1 m"}}, "D": {"at": {"x": "1 m"}}});
    let findings = changed(over);
    close(si(&findings, "junctions.overhang", "junctions.length"), 10.4, 0.05);
    assert_eq!(text(&findings, "junctions.overhang", "junctions.source"), "solved");
    let mut bare = json!({"modules": {"C": {"at": {"x": "1 m"}}, "D": {"at": {"x": "1 m"}}}});
    bare["junctions"] = only(&[], json!({}))["junctions"].take();
    let findings = changed(bare);
    assert!(because(&findings, "junctions.overhang", "junctions.psi").contains("is no floor over outdoor air"));
}
