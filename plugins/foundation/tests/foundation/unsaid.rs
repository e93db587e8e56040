//! What a home leaves unsaid is not said to be missing: no fact is made of it, so that no rule finds it short.
//! Source: the invariant in DEVELOPERS.md that a missing input is unproven, and never short.

use crate::support::{because, close, flag, pair, run, si, with, without};
use serde_json::{Value, json};

/// Each pair: what is taken out of the home, and the fact that waits for it.
#[test]
fn what_is_left_out_is_not_denied() {
    let pumped = with(pair(), "/foundation/sump", json!({"pump": true}));
    assert!(flag(&run(&pumped), "home", "sump_given"));
    assert!(!flag(&run(&with(pair(), "/foundation/sump", json!({"pump": false}))), "home", "sump_given"));
    let cases: [(Value, &str, &str, &str); 6] = [
        (pumped, "/foundation/sump/pump", "sump_given", "sump.pump"),
        (pair(), "/foundation/drainage", "sump_needed", "drainage"),
        (pair(), "/foundation/radon/fan_ready", "radon_provisions", "radon.fan_ready"),
        (pair(), "/foundation/radon/vent_pipe", "radon_provisions", "radon.vent_pipe"),
        (pair(), "/foundation/ground_cover", "radon_provisions", "ground_cover"),
        (pair(), "/foundation/radon", "radon_provisions", "radon.vent_pipe"),
    ];
    for (home, pointer, quantity, field) in cases {
        let found = run(&without(home, pointer));
        assert_eq!(because(&found, "home", quantity), format!("the foundation has no {field}"), "{pointer}");
    }
}

/// What the home denies is a fact: three provisions at most, whatever else nobody has said.
#[test]
fn what_is_denied_counts() {
    let four = |home: &Value| si(&run(home), "home", "radon_provisions");
    close(four(&pair()), 4.0, 0.0);
    let denied = with(pair(), "/foundation/radon/fan_ready", json!(false));
    close(four(&denied), 3.0, 0.0);
    close(four(&without(denied, "/foundation/radon/vent_pipe")), 2.0, 0.0);
    close(four(&with(pair(), "/foundation/ground_cover", json!("0 mil"))), 3.0, 0.0);
    // The gravel of the floor is the layer that lets gas pass.
    close(four(&without(pair(), "/foundation/radon/permeable_layer")), 4.0, 0.0);
}

#[test]
fn bare_ground_is_said_to_be_bare() {
    let crawl = json!({
        "kind": "crawl-space", "conditioned": false, "height": "4 ft", "depth_below_grade": "2 ft",
        "footing": {"width": "16 in", "thickness": "8 in", "depth": "5 ft"}, "vent_area": "8 ft²", "ground_cover": "0 mil"
    });
    let home = without(without(with(pair(), "/foundation", crawl), "/openings/w2"), "/spaces/music");
    assert!(!flag(&run(&home), "home", "ground_covered"));
    assert!(flag(&run(&with(home.clone(), "/foundation/ground_cover", json!("6 mil"))), "home", "ground_covered"));
    let unsaid = run(&without(home, "/foundation/ground_cover"));
    assert_eq!(because(&unsaid, "home", "ground_covered"), "the foundation has no ground_cover");
}
