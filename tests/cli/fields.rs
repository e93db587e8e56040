//! Keys of a home at the command line.

use super::*;

#[test]
fn the_keys_of_a_home_are_listed_and_found() {
    let all = stdout(&mateline(&["fields"]));
    assert!(
        all.contains("\nopenings.ID.sill: Height of the sill above the floor.\n  a length with its unit; "),
        "{all}"
    );
    let one = stdout(&mateline(&["fields", "Sill"]));
    assert!(one.contains("openings.ID.sill: ") && !one.contains("openings.ID.shgc"), "{one}");
    let part = stdout(&mateline(&["fields", "openings"]));
    assert!(part.contains("openings.ID.kind (required): What it is.\n  one of\n    window: A window.\n"), "{part}");
    let none = mateline(&["fields", "u_facter"]);
    assert_eq!(code(&none), 2);
    assert!(stderr(&none).contains("(did you mean 'u_factor'?)"), "{}", stderr(&none));
}
