//! Least squares against others: the split of trims by scipy, a line by a certified data set.

use crate::worked::{cell, in_unit, largest, largest_as_stated, table};

/// `trims_reference.csv`: the trims' own distances made least by `scipy.optimize`, with a leak of
/// that script's own, and the hole that the first trim needs by its root finder.
#[test]
fn trims_are_split_as_by_scipy() {
    let (mut trims, mut holes) = (Vec::new(), Vec::new());
    let rows = table("trims_reference");
    assert_eq!(rows.len(), 6);
    for row in &rows {
        let points = [("points", row["points"].as_str())];
        let of = |id: &str, unit: &str| in_unit("trims", id, unit, &points);
        trims.push(of("offset", "%") - cell(row, "offset_percent"));
        holes.push(of("diameter", "mm") / cell(row, "diameter_mm") - 1.0);
        // Two points leave no residual.
        if row["points"].matches(';').count() > 1 {
            trims.push(of("residual", "%") - cell(row, "residual_percent"));
        }
        if row["needed_mm"].is_empty() {
            continue;
        }
        let (airflow, rest) = row["points"].split_once(" = ").expect("a point");
        let (trim, rest) = rest.split_once(" @ ").expect("a trim");
        let manifold = rest.split(';').next().expect("a manifold pressure");
        let first = [("airflow", airflow), ("trim", trim), ("manifold", manifold)];
        let needed = in_unit("needed", "diameter", "mm", &first);
        holes.push(needed / cell(row, "needed_mm") - 1.0);
    }
    // In hundredths of the air, as the README states them.
    let trims: Vec<f64> = trims.iter().map(|off| off / 100.0).collect();
    largest_as_stated("scipy: trim, hole", 0, &trims, 1e-6);
    largest_as_stated("scipy: trim, hole", 1, &holes, 1e-6);
}

/// `line_norris.csv`: NIST Statistical Reference Datasets, Norris (data and certified values), its
/// `x` taken for kPa and its `y` for mV.
#[test]
fn a_sweep_has_the_certified_line() {
    let rows = table("line_norris");
    assert_eq!(rows.len(), 36);
    let points: Vec<String> = rows
        .iter()
        .map(|row| format!("{} kPa = {} mV", row["x"], row["y"]))
        .collect();
    let points = points.join(";");
    let of = |id: &str, unit: &str| in_unit("sensor", id, unit, &[("points", &points)]);
    let (gain, offset) = (of("gain", "mV/kPa"), of("offset", "mV"));
    let slope = gain / 1.002_116_818_020_45 - 1.0;
    let intercept = offset / -0.262_323_073_774_029 - 1.0;
    largest_as_stated("NIST StRD, Norris", 0, &[slope, intercept], 1e-11);
    // What the line leaves, as a sum of squares, is certified as well.
    let squares: f64 = rows
        .iter()
        .map(|row| {
            let line = offset + gain * cell(row, "x");
            (cell(row, "y") - line).powi(2)
        })
        .sum();
    largest(
        "NIST StRD, residuals",
        &[squares / 26.617_398_529_422_4 - 1.0],
        1e-11,
    );
}
