//! Drawn sections answer to what a designer changes, and sections of a home's own are taken as they are.

use crate::support::{because, changed, close, home, only, problems, psi, run, si, text};
use serde_json::{Value, json};

/// One junction with a section of these sizes.
fn with(kind: &str, section: Value) -> Value {
    only(&[kind], json!({"j": {"kind": kind, "section": section}}))
}

fn mate_wall(section: Value) -> Value {
    only(&["mate-wall"], json!({"j": {"kind": "mate-wall", "section": section, "length": "1 m"}}))
}

#[test]
fn a_mate_line_answers_to_its_gap() {
    let usual = psi(mate_wall(json!({})), "j");
    let open = psi(mate_wall(json!({"joint_insulated": false})), "j");
    let wide = psi(mate_wall(json!({"gap": "25 mm"})), "j");
    let filled = psi(mate_wall(json!({"gap_fill": "mineral-wool-batt"})), "j");
    assert!(open > usual, "open {open}, usual {usual}");
    assert!(wide > usual, "wide {wide}, usual {usual}");
    assert!(filled < usual, "filled {filled}, usual {usual}");
    // With no gap and one member of each box, little is left beside the framing that is counted already.
    let closed = psi(mate_wall(json!({"gap": "0 mm", "studs": 1})), "j");
    assert!(closed < usual && closed.abs() < 0.01, "{closed}");
}

#[test]
fn rims_answer_to_their_insulation() {
    for (kind, id) in [("floor-rim", "j"), ("stacked-rim", "j"), ("wall-to-attic", "j")] {
        let usual = psi(with(kind, json!({})), id);
        let bare = psi(with(kind, json!({"rim_insulation": "0 mm"})), id);
        let thick = psi(with(kind, json!({"rim_insulation": "250 mm"})), id);
        assert!(bare > usual && usual > thick, "{kind}: {bare}, {usual}, {thick}");
    }
}

#[test]
fn an_eave_answers_to_the_depth_of_its_insulation() {
    let full = psi(with("wall-to-attic", json!({})), "j");
    let low = psi(with("wall-to-attic", json!({"eave_depth": "150 mm"})), "j");
    let same = psi(with("wall-to-attic", json!({"eave_depth": "450 mm"})), "j");
    assert!(low > full + 0.01, "{low} above {full}");
    close(same, full, 1e-3);
}

#[test]
fn a_jamb_answers_to_where_the_frame_stands() {
    let outer = changed(with("window-jamb", json!({})));
    let middle = changed(with("window-jamb", json!({"frame_inset": "60 mm"})));
    let factor = |findings| si(findings, "junctions.j", "junctions.surface_factor");
    assert!(factor(&middle) > factor(&outer), "a frame in line with the framing keeps the reveal warmer");
    let findings = changed(with("window-jamb", json!({"frame_inset": "250 mm"})));
    assert!(because(&findings, "junctions.j", "junctions.psi").contains("leaves the wall on its inner side"));
}

/// Rim and top of the foundation wall add up to the rim that holds both.
#[test]
fn the_top_of_the_foundation_wall_is_counted_once() {
    let both = psi(only(&["floor-rim"], json!({})), "floor-rim");
    let apart = changed(only(&["floor-rim"], json!({"top": {"kind": "foundation-top"}})));
    let of = |id: &str| si(&apart, &format!("junctions.{id}"), "junctions.psi");
    // Each ψ is known to 0.1 % of an L2D of about half a watt.
    close(of("floor-rim") + of("top"), both, 1.5e-3);
    let mut cold = only(&[], json!({"top": {"kind": "foundation-top"}}));
    cold["enclosure"] = json!({"floors": "cold-floor"});
    cold["foundation"] = json!({"conditioned": false});
    assert!(because(&changed(cold), "junctions.top", "junctions.psi").contains("outside the thermal envelope"));
}

/// A piece of plane wall, 1 m of EPS 100 mm behind gypsum board: no junction at all, so ψ is nothing and fRsi follows from
/// the layers: `1 − 0.25 U'` with `1/U' = 0.25 + R + 0.04`.
fn plane() -> Value {
    let u = 1.0 / (0.13 + 0.012 / 0.2 + 0.1 / 0.04 + 0.04);
    json!({
        "materials": {
            "foam": {"conductivity": "0.04 W/(m·K)", "source": "invented", "density": "20 kg/m³"},
            "board": {"conductivity": "0.2 W/(m·K)", "source": "invented", "density": "800 kg/m³"},
        },
        "junctions": only(&["outside-corner"], json!({"own": {"kind": "outside-corner", "length": "1 m",
            "rectangles": [
                {"material": "foam", "x": "0 m", "y": "0 m", "width": "1 m", "height": "100 mm"},
                {"material": "board", "x": "0 m", "y": "100 mm", "width": "1 m", "height": "12 mm"},
            ],
            "boundaries": [
                {"touches": "outside", "x": "0 m", "y": "0 m", "width": "1 m"},
                {"touches": "inside", "x": "0 m", "y": "112 mm", "width": "1 m"},
            ],
            "flanks": [{"u_factor": format!("{u} W/(m²·K)"), "exterior": "1 m"}],
        }}))["junctions"],
    })
}

#[test]
fn a_section_of_ones_own() {
    let findings = changed(plane());
    close(si(&findings, "junctions.own", "junctions.psi"), 0.0, 1e-9);
    assert_eq!(text(&findings, "junctions.own", "junctions.source"), "solved");
    let factor = 1.0 - 0.25 / (0.25 + 0.012 / 0.2 + 0.1 / 0.04 + 0.04);
    close(si(&findings, "junctions.own", "junctions.surface_factor"), factor, 1e-9);
    let mut bare = plane();
    bare["junctions"]["own"]["flanks"] = json!([]);
    assert!(because(&changed(bare), "junctions.own", "junctions.psi").contains("no flanks"));
}

/// Each mistake is a problem at its place.
#[test]
fn mistakes_in_sections_are_named_where_they_are() {
    let at = |change: &dyn Fn(&mut Value)| {
        let mut home = plane();
        change(&mut home["junctions"]["own"]);
        let found = problems(home);
        assert_eq!(found.len(), 1, "{found:?}");
        (found[0].at.path.clone(), found[0].message.clone())
    };
    let (path, message) = at(&|own| own["rectangles"][1]["y"] = json!("90 mm"));
    assert_eq!(path, "junctions.own.rectangles.1");
    assert_eq!(message, "junctions.own: rectangles 0 and 1 overlap");
    let (path, _) = at(&|own| own["rectangles"][1]["y"] = json!("100.5 mm"));
    assert_eq!(path, "junctions.own.boundaries.1");
    let (path, message) = at(&|own| own["rectangles"][0]["material"] = json!("fome"));
    assert_eq!(
        (path.as_str(), message.as_str()),
        ("junctions.own.rectangles.0.material", "there is no material 'fome'")
    );
    let (path, _) = at(&|own| own["boundaries"][0]["touches"] = json!("inside"));
    assert_eq!(path, "junctions.own");
    let (path, _) = at(&|own| own["boundaries"][0]["y"] = json!("3 m"));
    assert_eq!(path, "junctions.own.boundaries.0");
    let (path, _) = at(&|own| own["rectangles"] = json!([]));
    assert_eq!(path, "junctions.own");
    let found =
        problems(with("mate-wall", json!({"gap": "4 m", "studs": 99, "wall": "no-wall", "gap_fill": "nothing"})));
    let paths: Vec<&str> = found.iter().map(|problem| problem.at.path.as_str()).collect();
    let section = "junctions.j.section";
    for field in ["gap", "studs", "wall", "gap_fill"] {
        assert!(paths.contains(&format!("{section}.{field}").as_str()), "{field}: {paths:?}");
    }
}

/// Framing that no wall has room for is said to be so.
#[test]
fn a_row_of_studs_has_its_limit() {
    let many = json!({"assemblies": {"wall": {"layers": [
        {"material": "gypsum-board", "thickness": "12.7 mm"},
        {"framed": {"member": "softwood", "size": "2x6", "spacing": "16 in", "fill": "cellulose-dense-pack",
            "corner_studs": 4_000_000, "fraction": 0.2}},
        {"material": "osb", "thickness": "11 mm"},
    ]}}});
    let mut many = many;
    many["junctions"] = only(&["outside-corner"], json!({}))["junctions"].take();
    let findings = run(&home(many));
    assert!(because(&findings, "junctions.outside-corner", "junctions.psi").contains("wide together"));
}
