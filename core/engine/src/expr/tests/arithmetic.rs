//! Numbers with units, temperatures, texts, dates and functions.

use super::*;

fn kind(text: &str) -> Kind {
    read(text).check(&Wall).unwrap_or_else(|errors| panic!("{text}: {}", errors[0]))
}

#[test]
fn units_follow_the_arithmetic() {
    use Dimension as D;
    let cases = [
        ("1 / u", D::RESISTANCE),
        ("u * area", D::CONDUCTANCE),
        ("layer.thickness * 2 m", D::AREA),
        ("area / layer.thickness", D::LENGTH),
        ("area / area", D::PLAIN),
        ("layer.thickness + 2 in - 1 mm", D::LENGTH),
        ("min(area, 3 ft²)", D::AREA),
        ("-abs(u)", D::TRANSMITTANCE),
        ("u * area * (indoor - outdoor)", D::POWER),
        ("indoor - outdoor", D::TEMPERATURE_DIFFERENCE),
        ("indoor + warming", D::TEMPERATURE),
        ("warming + indoor", D::TEMPERATURE),
        ("indoor - warming", D::TEMPERATURE),
        ("warming - warming", D::TEMPERATURE_DIFFERENCE),
        ("max(indoor, outdoor)", D::TEMPERATURE),
        ("price / area", D::MONEY_PER_AREA),
        ("count(contains)", D::PLAIN),
        ("leading_number(label)", D::PLAIN),
    ];
    for (text, dimension) in cases {
        assert_eq!(kind(text), Kind::Number(dimension), "{text}");
        assert!(matches!(value(text), Item::Number(quantity) if quantity.dimension == dimension), "{text}");
    }
    for text in ["share > 1", "inspected", "not inspected", "given(lost)", "kind in ['wall']", "inspected or unseen"] {
        assert_eq!(kind(text), Kind::Flag, "{text}");
    }
    assert_eq!(kind("expires"), Kind::Date);
    assert_eq!(kind("anything"), Kind::Unknown);
    assert_eq!(kind("anything + 1 m"), Kind::Unknown);
    assert_eq!(kind("[]"), Kind::List(Box::new(Kind::Unknown)));
    assert_eq!(kind("['a', 'b', 'a']"), Kind::List(Box::new(words(&["a", "b"]))));
    assert_eq!(kind("['a', label]"), Kind::List(Box::new(Kind::Text(None))));
    assert_eq!(kind("[[1], [2]]"), Kind::List(Box::new(Kind::List(Box::new(Kind::PLAIN)))));
}

/// Worked by hand: 0.3 W/(m²·K) over 10 m² with 28 K across it is 84 W.
#[test]
fn a_heat_flow_by_hand() {
    assert!((si("u * area * (indoor - outdoor)") - 84.0).abs() < 1e-9);
    assert!(holds("1 / r_value == 0.4 W/(m²·K)"));
    assert!(holds("indoor - outdoor == 28 K"));
    assert!(holds("outdoor + 28 K == indoor"));
    assert!(holds("indoor > 60 °F and indoor <= 68 °F"));
    assert!(holds("layer.thickness >= 2.5 in and layer.thickness < 64 mm"));
}

#[test]
fn numbers_compare_exactly() {
    assert!(!holds("0.1 + 0.2 == 0.3"));
    assert!(holds("0.1 + 0.2 > 0.3"));
    assert!(holds("0.1 + 0.2 != 0.3"));
    assert!(holds("-0 == 0"));
    assert!(holds("share == 25 %"));
    for (text, expected) in [("1 < 1", false), ("1 <= 1", true), ("1 > 1", false), ("1 >= 1", true), ("1 == 1", true)] {
        assert_eq!(holds(text), expected, "{text}");
    }
}

#[test]
fn texts_are_alike_or_not() {
    assert!(holds("kind == 'wall'"));
    assert!(holds("kind != 'floor'"));
    assert!(holds("kind in ['floor', 'wall']"));
    assert!(!holds("label == '6a'"));
    assert!(holds("label == '6A' and label != kind"));
    assert!(holds("'anything at all' != note"));
    assert!(holds("anything == 'what you like'"));
    assert!(!holds("'wall' in nothing"));
    assert!(holds("inspected == true and inspected != false"));
}

#[test]
fn dates_are_in_the_order_of_the_calendar() {
    assert!(holds("issued < expires"));
    assert!(holds("issued == '2026-02-01'"));
    assert!(holds("'2026-09-30' < expires and expires >= '2027-02-01'"));
    assert!(holds("issued in ['2026-01-31', '2026-02-01']"));
    assert!(!holds("issued > '2026-02-01'"));
}

#[test]
fn functions_give_what_they_say() {
    assert_eq!(si("min(3, 1, 2)"), 1.0);
    assert_eq!(si("max(3, 1, 2)"), 3.0);
    assert_eq!(si("max(1 ft, 13 in, 0.1 m)"), 13.0 * 0.0254);
    assert_eq!(si("abs(-3 m)"), 3.0);
    assert_eq!(si("abs(share)"), 0.25);
    assert_eq!(si("count(contains)"), 1.0);
    assert_eq!(si("count([])"), 0.0);
    assert_eq!(si("leading_number(label)"), 6.0);
    assert_eq!(si("leading_number('2.5.1 in')"), 2.5);
    assert_eq!(si("leading_number('13')"), 13.0);
}
