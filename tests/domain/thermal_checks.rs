//! Every published figure of `tests/fixtures/thermal_checks.csv`, computed again by the domain.
//!
//! A row goes to the code by its quantity. A row that nobody computes is a failure, not a gap; a row known from memory or
//! by inference alone is named so wherever it is reported.
#![expect(clippy::default_numeric_fallback, reason = "test figures are plain decimals")]
#![expect(
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a malformed row stops the test"
)]
#![expect(clippy::print_stdout, reason = "the list of rows is worth reading")]

mod emission;
mod energy;
mod fill;
mod heat;
mod law;
mod row;

use std::collections::BTreeSet;

use row::Found;
use row::Row;
use row::load_rows;

#[test]
fn every_published_figure_is_met() {
    let rows = load_rows();
    let mut failures = Vec::new();
    for row in &rows {
        let outcome = check(row);
        let shown = outcome.as_ref().map_or_else(String::clone, |()| "met".to_owned());
        let line = format!("{} {} [{}]: {shown}", row.id, row.quantity, row.how_known);
        println!("{line}");
        if outcome.is_err() {
            failures.push(line);
        }
    }
    assert!(
        failures.is_empty(),
        "{} of {} rows:\n{}",
        failures.len(),
        rows.len(),
        failures.join("\n")
    );
}

#[test]
fn the_rows_are_all_there_and_each_has_a_name_of_its_own() {
    let rows = load_rows();
    let names: BTreeSet<_> = rows.iter().map(|row| row.id.clone()).collect();
    assert_eq!((rows.len(), names.len()), (123, 123));
}

#[test]
fn rows_known_only_from_memory_or_by_inference_are_these() {
    let rows = load_rows();
    let weak: Vec<_> = rows.iter().filter(|row| row.is_weak()).map(|row| row.id.as_str()).collect();
    assert_eq!(weak, ["F19", "F20", "R21", "R22", "R23", "R26", "R29"]);
}

#[test]
fn a_quantity_that_nobody_computes_is_a_failure() {
    let mut row = load_rows().remove(0);
    row.quantity = "phlogiston".to_owned();
    assert_eq!(check(&row), Err("nobody computes this quantity".to_owned()));
}

#[test]
fn a_figure_outside_its_tolerance_is_a_failure() {
    let mut row = load_rows().remove(0);
    row.expected = "401".to_owned();
    assert_eq!(check(&row), Err("expected 401 within 0, found 400".to_owned()));
}

fn check(row: &Row) -> Result<(), String> {
    let found = heat::find(row)
        .or_else(|| emission::find(row))
        .or_else(|| fill::find(row))
        .or_else(|| energy::find(row))
        .or_else(|| law::find(row))
        .ok_or("nobody computes this quantity")?;
    match found {
        Found::Text(text) if text == row.expected => Ok(()),
        Found::Text(text) => Err(format!("expected {}, found {text}", row.expected)),
        Found::Number(number) => check_number(row, number),
    }
}

fn check_number(row: &Row, found: f64) -> Result<(), String> {
    let expected: f64 = row.expected.parse().map_err(|error| format!("{error}"))?;
    // A printed figure is exact up to its tolerance; the billionth absorbs binary noise.
    if (found - expected).abs() <= row.tolerance + 1e-9 * expected.abs() {
        return Ok(());
    }
    Err(format!("expected {expected} within {}, found {found}", row.tolerance))
}
