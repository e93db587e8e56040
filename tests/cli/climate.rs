//! The climate of a weather file at the command line.

use super::*;

/// A table with one row, which is no year.
const SHORT: &str = "\
# place: Nowhere
# latitude: 45
# longitude: -75
# zone: -5
# elevation: 100
# stamps: end
time,temperature [C],ghi [W/m2],dni [W/m2],dhi [W/m2]
01-01 01:00,-3,0,0,0
";

#[test]
fn a_file_that_is_no_year_is_refused_with_its_place() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("weather.csv");
    let refused = |text: &str| {
        std::fs::write(&path, text).unwrap();
        let output = mateline(&["climate", path.to_str().unwrap()]);
        assert_eq!((code(&output), stdout(&output).as_str()), (2, ""));
        stderr(&output)
    };
    let short = refused(SHORT);
    assert!(
        short.contains("weather.csv: the file ends after 1 of 8760 hours; the hour of 01-01 that begins at 01:00"),
        "{short}"
    );
    let wrong = refused(&SHORT.replace(",-3,", ",cold,"));
    assert!(wrong.contains("weather.csv: row 8, temperature: 'cold' is no number"), "{wrong}");
    let nothing = mateline(&["climate", folder.path().to_str().unwrap()]);
    assert_eq!(code(&nothing), 2);
    assert!(stderr(&nothing).contains("it is not a file"), "{}", stderr(&nothing));
}
