//! Equations as they are compiled: values against sums by hand, and the steps that show them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test may stop here")]

use mateline_equation::equation;
use mateline_model::quantity::{Area, Dimension, Length, ThermalResistance, Units, unit};
use mateline_model::{Origin, Step, Subject};

const LOAD: Units = Units::new("kN/m", 2, "plf", 0);
const BEARING: Units = Units::new("kPa", 1, "psf", 0);
const WEIGHT: Units = Units::new("kN/m³", 2, "lbf/ft³", 1);
const FLOW: Units = Units::new("L/s", 1, "cfm", 1);
const DEGREES: Units = Units::new("°C", 1, "°F", 1);

equation! {
    /// Width of a strip footing under a line load. Source: vertical equilibrium with even pressure.
    Footing = "B = (q + q_w)/(q_a − γ t_f)" {
        B: Length "width of footing" [Units::THICKNESS],
        q: LineLoad "load along the wall" [LOAD],
        q_w: LineLoad "weight of the wall" [LOAD],
        q_a: Pressure "bearing of the soil" [BEARING],
        γ: "N/m³" "weight of concrete" [WEIGHT],
        t_f: Length "depth of footing" [Units::THICKNESS],
    }

    /// Rate of a dwelling. Source: ASHRAE 62.2-2019, equation 4.1b (from memory, high).
    Rate = "Q_tot = 0.03[cfm/ft²] A + 7.5[cfm] (N_br + 1) + 7.5[cfm] N_x" {
        Q_tot: Flow "total rate" [FLOW],
        A: Area "floor area" [Units::AREA],
        N_br: f64 "bedrooms" [Units::plain(0)],
        N_x: f64 "sleepers beyond" [Units::plain(0)],
    }

    /// Layers in series. Source: ISO 6946:2017, 6.7.1.1 (from memory, high).
    Series = "R = R_si + Σ R_j + R_se" {
        R: ThermalResistance "total" [Units::RESISTANCE],
        R_si: ThermalResistance "inside" [Units::RESISTANCE],
        R_j: [ThermalResistance] "a layer" [Units::RESISTANCE],
        R_se: ThermalResistance "outside" [Units::RESISTANCE],
    }

    /// Parallel paths. Source: ISO 6946:2017, 6.7.2.3 (from memory, high).
    Upper = "1/R' = Σ f_j/R_j" {
        upper "R'": ThermalResistance "upper limit" [Units::RESISTANCE],
        f_j: [f64] "share of a section" [Units::PERCENT],
        R_j: [ThermalResistance] "a section" [Units::RESISTANCE],
    }

    /// Friction in a round duct, solved elsewhere. Source: Colebrook's equation.
    Friction = "1/√f = −2 log₁₀(ε/(3.7 D) + 2.51/(Re √f))" {
        f: f64 "friction factor" [Units::plain(4)],
        ε: Length "roughness" [Units::THICKNESS],
        D: Length "diameter" [Units::THICKNESS],
        Re: f64 "Reynolds number" [Units::plain(0)],
    }

    /// Every other sign of the language at once. Source: none, a trial.
    Signs = "y = −2 x² + |a − b|/(3 min(a, b)) + ⌈x⌉ · ⌊x⌋ + x^0.5 √x − ln(exp(x)) + 10 log₁₀(x)/2 x⁻¹ + max n_j + π" {
        y: f64 "all" [Units::plain(3)],
        x: f64 "a number" [Units::plain(3)],
        a: Length "one" [Units::LENGTH],
        b: Length "other" [Units::LENGTH],
        n_j: [f64] "of a list" [Units::plain(3)],
    }

    /// Supply behind a recovery. Source: definition of the effectiveness.
    Supply = "θ_s = θ_o + ε (θ_i − θ_o)" {
        θ_s: Temperature "supply" [DEGREES],
        θ_o: Temperature "outdoors" [DEGREES],
        ε: f64 "effectiveness" [Units::PERCENT],
        θ_i: Temperature "indoors" [DEGREES],
    }
}

fn close(value: f64, expected: f64) {
    assert!((value - expected).abs() <= 1e-12 * expected.abs(), "{value} against {expected}");
}

/// 900 plf of load and 600 plf of wall on 1500 psf less 150 lbf/ft³ × 8 in = 100 psf: 1500/1400 ft.
#[test]
fn a_footing_by_hand_in_inch_pounds() {
    let si = |text: &str| mateline_model::quantity::parse(text).unwrap().si;
    let footing = Footing {
        q: "900 plf".parse().unwrap(),
        q_w: "600 plf".parse().unwrap(),
        q_a: "1500 psf".parse().unwrap(),
        γ: si("150 lbf/ft³"),
        t_f: "8 in".parse().unwrap(),
    };
    close(footing.value().in_unit("ft").unwrap(), 1500.0 / 1400.0);
    let (value, step) = footing.step();
    assert_eq!(value, footing.value());
    assert_eq!(step.equation, "B = (q + q_w)/(q_a − γ t_f)");
    let symbols: Vec<&str> = step.terms.iter().map(|term| &*term.symbol).collect();
    assert_eq!(symbols, ["q", "q_w", "q_a", "γ", "t_f"]);
    assert_eq!(step.terms[3].value.number().map(|q| q.dimension), unit("N/m³").map(|unit| unit.dimension));
    assert_eq!(step.result.unwrap().meaning, "width of footing");
}

/// 2,400 ft², three bedrooms, nobody beyond: 72 + 30 cfm, whatever units are shown.
#[test]
fn a_constant_carries_its_unit() {
    let rate = Rate { A: "2400 ft²".parse().unwrap(), N_br: 3.0, N_x: 0.0 };
    close(rate.value().in_unit("cfm").unwrap(), 102.0);
}

#[test]
fn sums_go_over_lists_and_are_written_out_on_demand() {
    let r = ThermalResistance::from_si;
    let layers = [r(1.0), r(2.5)];
    let (total, step) = Series { R_si: r(0.13), R_j: &layers, R_se: r(0.04) }.step();
    close(total.si(), 3.67);
    assert_eq!(step.equation, "R = R_si + Σ R_j + R_se");
    let step = step
        .each(Series::R_j, ["wool", "board"], |term, name| term.published(name))
        .meaning(Series::R, "of the wall")
        .written("j", &["1", "2c"]);
    assert_eq!(step.equation, "R = R_si + R1 + R2c + R_se");
    let symbols: Vec<&str> = step.terms.iter().map(|term| &*term.symbol).collect();
    assert_eq!(symbols, ["R_si", "R1", "R2c", "R_se"]);
    assert_eq!(step.terms[2].origin, Origin::Published("board".to_owned()));
    assert_eq!(step.result.map(|term| term.meaning).as_deref(), Some("of the wall"));

    let (upper, step) = Upper { f_j: &[0.25, 0.75], R_j: &[r(1.0), r(3.0)] }.step();
    close(upper.si(), 2.0);
    let symbols: Vec<&str> = step.terms.iter().map(|term| &*term.symbol).collect();
    assert_eq!(symbols, ["f_j", "R_j", "f_j", "R_j"]);
    assert_eq!(step.written("j", &["A", "B"]).equation, "1/R' = fA/RA + fB/RB");

    let (nothing, step) = Series { R_si: r(0.13), R_j: &[], R_se: r(0.04) }.step();
    close(nothing.si(), 0.17);
    assert_eq!(step.written::<&str>("j", &[]).equation, "R = R_si + 0 + R_se");
}

#[test]
fn a_sum_within_a_product_is_written_in_brackets() {
    let written = |text: &'static str| Step::new(text).written("j", &["1", "2"]).equation.into_owned();
    assert_eq!(written("Q = v Σ Q_j"), "Q = v (Q1 + Q2)");
    assert_eq!(written("C = (Σ S_j a_j + S)/Q"), "C = (S1 a1 + S2 a2 + S)/Q");
    assert_eq!(written("Q = max(Σ S_j/k_j, Σ E_i)"), "Q = max(S1/k1 + S2/k2, Σ E_i)");
    assert_eq!(written("m = −Σ (a_j + b_j)"), "m = −((a1 + b1) + (a2 + b2))");
}

/// Handed in: the value is the solution, and the step shows it. Moody's chart at Re = 10⁵ and ε/D = 0.001: about 0.0222.
#[test]
fn a_solved_equation_shows_what_it_is_given() {
    let friction = Friction { f: 0.0222, ε: Length::from_si(1e-4), D: Length::from_si(0.1), Re: 1e5 };
    let (value, step) = friction.step();
    assert_eq!(value, 0.0222);
    assert_eq!(step.terms.len(), 3);
    assert!(Friction::EQUATION.tried.is_none());
}

#[test]
fn every_sign_of_the_language() {
    let value = Signs { x: 2.5, a: Length::from_si(1.0), b: Length::from_si(4.0), n_j: &[1.0, 7.0, 3.0] }.value();
    let expected =
        -2.0 * 6.25 + 3.0 / 3.0 + 6.0 + 2.5 - 2.5 + 10.0 * mateline_model::portable::log10(2.5) / 2.0 / 2.5 + 7.0;
    close(value, expected + std::f64::consts::PI);
}

/// 0 °F outdoors, 70 °F indoors, 80 %: 56 °F.
#[test]
fn temperatures_on_a_scale_have_differences() {
    let supply = Supply { θ_o: "0 °F".parse().unwrap(), ε: 0.8, θ_i: "70 °F".parse().unwrap() };
    close(supply.value().in_unit("°F").unwrap(), 56.0);
}

#[test]
fn an_equation_is_a_line_of_the_catalogue() {
    let entry = Upper::EQUATION;
    assert_eq!((entry.name, entry.text), ("Upper", "1/R' = Σ f_j/R_j"));
    assert!(entry.about.contains("ISO 6946"));
    let symbols: Vec<(&str, Dimension)> = entry.symbols.iter().map(|s| (s.symbol, s.dimension)).collect();
    assert_eq!(symbols[0], ("R'", Dimension::RESISTANCE));
    let mut next = 1.0;
    let step = entry.tried.unwrap()(&mut || {
        next += 1.0;
        next
    });
    let numbers: Vec<f64> = step.terms.iter().filter_map(|term| term.value.number()).map(|q| q.si).collect();
    assert_eq!(numbers, [2.0, 5.0, 3.0, 6.0, 4.0, 7.0]);
    close(step.result.unwrap().value.number().unwrap().si, 1.0 / (2.0 / 5.0 + 3.0 / 6.0 + 4.0 / 7.0));
}

#[test]
fn terms_say_where_they_come_from() {
    let home = Subject::home();
    let (_, step) = Rate { A: Area::from_si(100.0), N_br: 1.0, N_x: 0.0 }.step();
    let step = step.fact(Rate::A, &home, "takeoff.floor_area").given(Rate::N_br, "spaces");
    assert_eq!(step.terms[0].origin, Origin::Fact(home, "takeoff.floor_area".into()));
    assert_eq!(step.terms[1].origin, Origin::Given("spaces".to_owned()));
    assert_eq!(step.terms[2].origin, Origin::Computed);
}
