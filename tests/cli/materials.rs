//! Materials and categories of finishes at the command line.

use super::*;

#[test]
fn materials_are_listed_and_found() {
    let all = stdout(&mateline(&["materials"]));
    assert!(all.lines().count() > 150, "{all}");
    let found = mateline(&["materials", "Cellulose"]);
    let text = stdout(&found);
    let ids: Vec<&str> = text.lines().filter_map(|line| line.split(':').next()).collect();
    assert_eq!((code(&found), ids), (0, vec!["cellulose-dense-pack", "cellulose-loose-fill"]));
    assert!(text.contains("conductivity 0.27 Btu·in/(h·ft²·°F)") || text.contains("conductivity 0.270"), "{text}");
    assert!(text.contains("(ASHRAE Fundamentals, ch. 26, table 1, looked up)"), "{text}");
    let metric = stdout(&mateline(&["materials", "cellulose", "--units", "si"]));
    assert!(metric.contains("W/(m·K)"), "{metric}");
    // By the name it had before, and by another word for a category.
    assert!(stdout(&mateline(&["materials", "house wrap"])).starts_with("weather-wrap: "));
    let paint = stdout(&mateline(&["materials", "subfloor"]));
    assert!(paint.contains("subfloor-adhesive: finish, adhesive"), "{paint}");
    assert!(paint.contains("  healthy-materials/adhesive-voc: at most 50 g/L (SCAQMD Rule 1168"), "{paint}");
    let none = mateline(&["materials", "xpss"]);
    assert_eq!(code(&none), 2);
    assert!(
        stderr(&none).contains("no material and no category has 'xpss' in its name (did you mean 'xps'?)"),
        "{}",
        stderr(&none)
    );
}
