//! The reader of catalogue files: every wrong cell and row is named with its place and what is allowed there.

use rungwright::store::demo::demo_files;

use crate::edits::edited;
use crate::edits::faults;
use crate::edits::only;
use crate::edits::set_cell;
use crate::edits::text;
use crate::edits::with_cell;

/// The one fault of one cell.
fn check_cell(file: &str, sku: &str, (column, value): (&str, &str), allowed: &str) {
    let fault = only(&with_cell(file, sku, column, value));
    assert_eq!(&*fault.file, file);
    assert_eq!(fault.column.as_deref(), Some(column), "{fault}");
    assert!(fault.row.is_some_and(|row| 1 < row), "{fault}");
    assert!(fault.allowed.contains(allowed), "{fault}");
}

#[test]
fn all_faults_of_all_files_come_at_once() {
    let mut files = with_cell("bodies.csv", "SRW-B-ALAMO-350.600-BK", "width_mm", "12");
    for (file, sku, column, value) in [
        ("bodies.csv", "SRW-B-ALAMO-350.600-BK", "exponent", "steep"),
        ("bodies.csv", "SRW-B-ALAMO-350.600-CH", "filled", "true"),
        ("elements.csv", "SRW-E-GLEED-400-BK", "ip", "IP69K"),
        ("elements.csv", "SRW-E-GLEED-400-BK", "control_code", "??"),
        ("controls.csv", "SRW-C-KIST-13-WH", "load_w_max", "1e300"),
        ("prices.csv", "gb-2026", "unit_price", "1e300"),
    ] {
        set_cell(&mut files, (file, sku), column, value);
    }
    let found = faults(&files);
    let places: Vec<String> = found
        .iter()
        .filter(|fault| &*fault.file != "prices.csv")
        .map(|fault| format!("{} {}", fault.file, fault.column.as_deref().unwrap_or("-")))
        .collect();
    assert_eq!(
        places,
        [
            "bodies.csv exponent",
            "bodies.csv width_mm",
            "bodies.csv filled",
            "controls.csv load_w_max",
            "elements.csv control_code",
            "elements.csv ip",
        ]
    );
    let prices = found.iter().filter(|fault| &*fault.file == "prices.csv").count();
    assert!(400 < prices, "each wrong price of the list is named, {prices} were");
}

#[test]
fn a_fault_names_file_row_column_value_and_what_is_allowed() {
    let fault = only(&with_cell("bodies.csv", "SRW-B-ALAMO-350.600-CH", "width_mm", "12"));
    assert_eq!(
        fault.to_string(),
        "bodies.csv, row 3, column width_mm: \"12\": width of the body is 12 mm, allowed are 100 to 2000 mm"
    );
}

#[test]
fn a_cell_of_the_wrong_form_is_refused() {
    let body = "SRW-B-ALAMO-350.600-BK";
    check_cell("bodies.csv", body, ("finish", "Matt Black"), "lower-case");
    check_cell("bodies.csv", body, ("heat_source", "gas"), "electric, central_heating, dual_fuel");
    check_cell("bodies.csv", body, ("width_mm", "350.5"), "whole number");
    check_cell("bodies.csv", body, ("width_mm", "99999999999"), "whole number");
    check_cell("bodies.csv", body, ("exponent", "1.2345"), "three decimals");
    check_cell("bodies.csv", body, ("exponent", "NaN"), "decimal point");
    check_cell("bodies.csv", body, ("rated_output_w", "-5"), "allowed are 20 to 5000");
    check_cell("bodies.csv", body, ("filled", "1"), "yes or no");
    check_cell("bodies.csv", body, ("thread", "G 1/2"), "is not a thread");
    check_cell("bodies.csv", body, ("gtin", "2990000100611"), "check digit");
    check_cell("bodies.csv", body, ("name", ""), "a value is needed");
    check_cell("bodies.csv", body, ("evidence", "rumour"), "evidence mark");
    check_cell("bodies.csv", body, ("tube_count", "many"), "declared type, number");
    let element = "SRW-E-LUNT-600-WH";
    check_cell("elements.csv", element, ("thermal_cut_out", ""), "a value is needed");
    check_cell("elements.csv", element, ("declared_zones", "0 1"), "one of 1, 2");
    check_cell("elements.csv", element, ("class", "2"), "I, II, III");
    check_cell("elements.csv", element, ("sheath_diameter_mm", "12.25"), "a multiple of 0.1");
    check_cell("controls.csv", "SRW-C-KIST-13-WH", ("roles", "kettle"), "fused_connection_unit");
}

#[test]
fn a_row_that_contradicts_itself_is_refused() {
    let body = "SRW-B-ALAMO-350.600-BK";
    check_cell("bodies.csv", body, ("watts_max", "50"), "at least the smallest");
    check_cell("bodies.csv", body, ("lowest_tube_mm", "700"), "below the top");
    check_cell("bodies.csv", body, ("thread", "G 1/2 ext"), "internal thread");
    let fixed = "SRW-E-GLEED-400-BK";
    check_cell("elements.csv", fixed, ("set_point_max_c_lockable", "43"), "fixed element");
    check_cell("elements.csv", fixed, ("thread", "G 1/2 int"), "external thread");
    let adjustable = "SRW-E-LUNT-600-WH";
    check_cell("elements.csv", adjustable, ("set_point_c_min", ""), "lowest and highest");
    check_cell("elements.csv", adjustable, ("set_point_c_max", "25"), "at least the lowest");
    check_cell("elements.csv", adjustable, ("set_point_max_c_lockable", "80"), "between");
    check_cell("controls.csv", "SRW-C-KIST-13-WH", ("fuse_a_max", ""), "connection unit");
    check_cell("accessories.csv", "SRW-A-INHIB-100", ("pack_ml", ""), "inhibitor states it");
}

#[test]
fn a_column_of_the_keepers_own_must_be_declared() {
    let fault = only(&edited("attributes.csv", "body.tube_count,number,\n", ""));
    assert_eq!((&*fault.file, fault.row), ("bodies.csv", Some(1)));
    assert_eq!(fault.column.as_deref(), Some("tube_count"));
    let found = faults(&edited("attributes.csv", "body.tube_count", "body.rated_output_w"));
    assert!(found.iter().any(|wrong| wrong.allowed.contains("no typed attribute")));
}

#[test]
fn a_part_number_stands_once_whatever_the_kind() {
    let files = edited("controls.csv", "SRW-C-KIST-13-WH,", "SRW-A-KEY-5,");
    let fault = only(&files);
    assert_eq!((&*fault.file, &*fault.value), ("accessories.csv", "SRW-A-KEY-5"));
    let found = faults(&edited("controls.csv", "SRW-C-KIST-13-WH,", "srw/kist\u{1f600},"));
    assert!(found[0].allowed.contains("is no SKU"), "{}", found[0]);
}

#[test]
fn a_price_stands_once_in_a_list_that_exists() {
    let line = "gb-2026,SRW-A-KEY-5,";
    let twice = format!("gb-2026,SRW-A-KEY-5,1.00\n{line}");
    assert!(
        only(&edited("prices.csv", line, &twice)).allowed.contains("list, sku tell the rows apart")
    );
    let elsewhere = only(&edited("prices.csv", line, "gb-2020,SRW-A-KEY-5,"));
    assert_eq!((elsewhere.column.as_deref(), &*elsewhere.value), (Some("list"), "gb-2020"));
    let backwards = only(&edited("price_lists.csv", "2026-12-31", "2025-12-31"));
    assert!(backwards.allowed.contains("not before the first"), "{backwards}");
}

#[test]
fn a_row_that_says_the_same_pair_again_is_named() {
    for (file, line) in [
        ("listed_pairs.csv", "finish,matt-black,anthracite\n"),
        ("thread_matings.csv", "NPT,Rc,no,none,none,memory\n"),
        ("included.csv", "SRW-B-HAAR-400.800-BK,SRW-A-VENT-G12-BK,2\n"),
    ] {
        let mut files = demo_files();
        let twice = format!("{}{line}", text(&files, file));
        files.insert(file.to_owned(), twice.into_bytes());
        let fault = only(&files);
        assert_eq!(&*fault.file, file);
        assert!(fault.allowed.contains("each stands once"), "{fault}");
    }
}

#[test]
fn a_fault_in_one_file_does_not_hide_those_of_another() {
    let mut files = edited("prices.csv", "gb-2026,SRW-A-KEY-5,", "gb-2020,SRW-A-KEY-5,");
    set_cell(&mut files, ("bodies.csv", "SRW-B-HAAR-400.800-BK"), "width_mm", "wide");
    let line = "SRW-B-HAAR-400.800-BK,SRW-A-KEY-SLOT,1\n";
    let included = format!("{}{line}", text(&files, "included.csv"));
    files.insert("included.csv".to_owned(), included.into_bytes());
    let found: Vec<String> = faults(&files).iter().map(|fault| fault.file.to_string()).collect();
    // The carton of the faulty body is not blamed for the body's own fault.
    assert_eq!(found, ["bodies.csv", "prices.csv"]);
}

/// The one fault of a rule that is written otherwise.
fn check_rule((from, to): (&str, &str), column: &str, allowed: &str) {
    let fault = only(&edited("rules.csv", from, to));
    assert_eq!(fault.column.as_deref(), Some(column), "{fault}");
    assert!(fault.allowed.contains(allowed), "{fault}");
}

#[test]
fn a_rule_of_unknown_attributes_or_values_is_named() {
    let when = "control.time_switch=yes; element.regulation=adjustable";
    check_rule((when, "control.time_switch=perhaps"), "when", "which is a flag");
    check_rule((when, "control.moon_phase=full"), "when", "control.moon_phase is none");
    check_rule((when, "control.time_switch"), "when", "an attribute, = and its value");
    check_rule(("element.watts,within", "watts,within"), "left", "a kind of part, a dot");
    check_rule(("body.finish,,finish,,", "body.finish,,,,"), "table", "pair table");
    check_rule(("body.watts_min body.watts_max", "body.watts_min watts"), "right", "a dot");
    check_rule((",body,2,", ",rail,2,"), "right", "body, element, control");
}
