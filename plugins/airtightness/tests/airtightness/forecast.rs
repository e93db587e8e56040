//! Forecasts from a test with parts still open, against closed forms, plain rejection, and what their words promise.

use mateline_airtightness::forecast::{Reading, Row, forecast};
use mateline_airtightness::spread::{CHUNK, Drawn, normals};

fn row(name: &str, spread: f64, [shut, open, closed]: [f64; 3]) -> Row {
    Row { name: name.to_owned(), spread, shut, open, closed }
}

/// One lognormal row and a lognormal error: the logarithm given the reading is normal, with the precisions added
/// (conjugate normal distributions, textbook). Prior of `ln q`: mean `ln m − σ²/2`, deviation `σ`; the reading says
/// `ln M + s²/2 ± s`.
#[test]
fn one_row_against_the_closed_form() {
    let (m, sigma, s, reading) = (2.0_f64, 0.6_f64, 0.1_f64, 3.0_f64);
    let rows = [row("one", sigma.exp(), [m, 0.0, 0.0])];
    let found = forecast(&rows, Reading { flow: reading, sigma: s }).unwrap();
    let (prior, data) = (1.0 / (sigma * sigma), 1.0 / (s * s));
    let mean = ((m.ln() - sigma * sigma / 2.0) * prior + (reading.ln() + s * s / 2.0) * data) / (prior + data);
    let deviation = (1.0 / (prior + data)).sqrt();
    for (share, z) in [(0.1, -1.281_552), (0.5, 0.0), (0.9, 1.281_552)] {
        let expected = (mean + z * deviation).exp();
        assert!((found.finished.quantile(share) / expected - 1.0).abs() < 0.1 * deviation, "{share}");
    }
    assert!(found.effective > 9_000.0, "{}", found.effective);
}

/// Three rows by plain rejection: homes straight from the budget, kept by the likelihood of the reading. The generator
/// is another one, so that nothing is shared but the model.
#[test]
fn several_rows_against_plain_rejection() {
    let rows = [
        row("seams open", 2.0, [0.0, 3.0, 0.0]),
        row("seams", 2.5, [0.0, 0.0, 1.0]),
        row("walls", 1.8, [4.0, 0.0, 0.0]),
    ];
    let reading = Reading { flow: 9.5, sigma: 0.06 };
    let found = forecast(&rows, reading).unwrap();
    let mut state = 7_u64;
    let mut uniform = move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((state >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    };
    let mut kept = Vec::new();
    for _ in 0..1_500_000 {
        let mut normal = || (-2.0 * uniform().ln()).sqrt() * (std::f64::consts::TAU * uniform()).cos();
        let factors: Vec<f64> =
            rows.iter().map(|row| (row.spread.ln() * normal() - row.spread.ln().powi(2) / 2.0).exp()).collect();
        let tested: f64 = rows.iter().zip(&factors).map(|(row, f)| (row.shut + row.open) * f).sum();
        let off = (reading.flow.ln() + reading.sigma.powi(2) / 2.0 - tested.ln()) / reading.sigma;
        if uniform() < (-off * off / 2.0).exp() {
            kept.push(rows.iter().zip(&factors).map(|(row, f)| (row.shut + row.closed) * f).sum::<f64>());
        }
    }
    let kept = Drawn::new(kept);
    assert!(kept.count() > 20_000, "{}", kept.count());
    let width = kept.quantile(0.9) - kept.quantile(0.1);
    for share in [0.1, 0.5, 0.9] {
        let (value, expected) = (found.finished.quantile(share), kept.quantile(share));
        assert!((value - expected).abs() < 0.03 * width, "{share}: {value} against {expected}");
    }
    assert!((found.finished.mean() - kept.mean()).abs() < 0.02 * width);
}

/// Rows of the size of a four-box home: seams, openings, holes, lines and surfaces; the seams once unsealed.
fn home(open: f64) -> Vec<Row> {
    vec![
        row("seam-unsealed", 2.0, [0.0, 150.0 * open, 0.0]),
        row("seam-two-seals", 2.5, [20.0 * (1.0 - open), 0.0, 20.0 * open]),
        row("window-hinged", 1.6, [25.0, 0.0, 0.0]),
        row("frame-sealed", 1.8, [12.0, 0.0, 0.0]),
        row("hole-sealant", 2.0, [22.0, 0.0, 0.0]),
        row("damper-closed", 1.8, [30.0, 0.0, 0.0]),
        row("sill-sealed", 2.0, [18.0, 0.0, 0.0]),
        row("rim", 2.0, [14.0, 0.0, 0.0]),
        row("wall-barrier", 1.7, [30.0, 0.0, 0.0]),
        row("ceiling-barrier", 1.7, [20.0, 0.0, 0.0]),
        row("concrete", 2.0, [16.0, 0.0, 0.0]),
    ]
}

/// Truths drawn from the budget, and their tests simulated with all seams open, with half of them and with none: the
/// stated range of eight homes in ten holds 75 to 85 in a hundred, and the stated chances of staying below a target, small,
/// middling and great, come true as often as stated, within 0.05. What is right follows from the meaning of the words.
fn calibrated(truths: usize, room: f64) {
    for (stage, open) in [("all", 1.0), ("half", 0.5), ("none", 0.0)] {
        let rows = home(open);
        let (mut held, mut stated, mut came) = (0.0, [0.0; 3], [0.0; 3]);
        let mut counts = [0.0_f64; 3];
        for truth in 0..truths {
            let sigma = 0.02;
            let draw = |name: &str| normals(&format!("truth of {name}"), truth / CHUNK)[truth % CHUNK];
            let factor = |row: &Row| {
                let sigma = row.spread.ln();
                (sigma * draw(&row.name) - sigma * sigma / 2.0).exp()
            };
            let tested: f64 = rows.iter().map(|row| (row.shut + row.open) * factor(row)).sum();
            let finished: f64 = rows.iter().map(|row| (row.shut + row.closed) * factor(row)).sum();
            let flow = tested * (sigma * draw("reading") - sigma * sigma / 2.0).exp();
            let found = forecast(&rows, Reading { flow, sigma }).unwrap();
            let range = found.finished.quantile(0.1)..=found.finished.quantile(0.9);
            held += f64::from(u8::from(range.contains(&finished)));
            let chance = found.finished.share_at_most(200.0);
            let bin = if chance < 1.0 / 3.0 { 0 } else { 1 + usize::from(chance > 2.0 / 3.0) };
            counts[bin] += 1.0;
            stated[bin] += chance;
            came[bin] += f64::from(u8::from(finished <= 200.0));
            assert!(found.effective > 1_000.0, "{stage}: {}", found.effective);
        }
        let all = truths as f64;
        let share = held / all;
        assert!((0.80 - share).abs() <= 0.05 + room, "{stage}: {share}");
        for ((stated, came), count) in stated.iter().zip(came).zip(counts).filter(|(_, count)| *count > 0.0) {
            let off = (stated - came).abs() / count;
            // Beyond 0.05, two standard errors of a share of one half.
            assert!(off <= 0.05 + 1.0 / count.sqrt(), "{stage}: {stated} stated, {came} came, of {count}");
        }
    }
}

/// With 60 truths the standard error of a share of 0.8 is 0.05: two of them are allowed beyond.
#[test]
fn forecasts_hold_what_they_state() {
    calibrated(60, 0.10);
}

#[test]
#[ignore = "takes minutes: cargo test --workspace --test airtightness forecast -- --ignored --nocapture"]
fn forecasts_hold_what_they_state_for_many() {
    calibrated(2_000, 0.0);
}

/// Other draws move the quantiles by little.
#[test]
fn quantiles_are_stable() {
    let named = |end: &str| -> Vec<Row> {
        home(1.0).into_iter().map(|row| Row { name: format!("{}{end}", row.name), ..row }).collect()
    };
    let reading = Reading { flow: 340.0, sigma: 0.02 };
    let (one, other) = (forecast(&named(" a"), reading).unwrap(), forecast(&named(" b"), reading).unwrap());
    for share in [0.1, 0.5, 0.9] {
        let (a, b) = (one.finished.quantile(share), other.finished.quantile(share));
        assert!((a / b - 1.0).abs() < 0.03, "{share}: {a} {b}");
    }
}

/// The reading raises the forecast, whatever is open.
#[test]
fn a_leakier_reading_forecasts_no_less() {
    let mean = |flow: f64| forecast(&home(0.5), Reading { flow, sigma: 0.02 }).unwrap().finished.mean();
    let means: Vec<f64> = [150.0, 200.0, 260.0, 340.0, 500.0].map(mean).to_vec();
    assert!(means.is_sorted(), "{means:?}");
    assert!(means.iter().all(|mean| *mean > 0.0));
}
