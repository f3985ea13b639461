//! The migrations say what the domain says.

use std::collections::BTreeSet;

use rungwright::domain::units::Bounds;
use rungwright::domain::units::QUANTITIES;
use rungwright::store::Database;
use rungwright::store::EditionState;
use rungwright::store::StoreErrorKind;
use rungwright::store::save_edition;

use crate::scratch::edition_tables;
use crate::scratch::number;
use crate::scratch::run;
use crate::scratch::texts;
use crate::synthetic::content;

/// One `CHECK (column BETWEEN a AND b)` of the migrations, and the row of the table of quantities that it quotes.
#[derive(Debug)]
struct Quoted {
    table: String,
    column: String,
    minimum: f64,
    maximum: f64,
    name: String,
}

fn migrations() -> String {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/migrations");
    let mut paths: Vec<_> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths.iter().map(|path| std::fs::read_to_string(path).unwrap()).collect()
}

fn quoted_ranges() -> Vec<Quoted> {
    let mut table = "";
    let mut ranges = Vec::new();
    let text = migrations();
    for line in text.lines() {
        if let Some(rest) = line.strip_prefix("CREATE TABLE ") {
            table = rest.trim_end_matches(" (");
        }
        if line.contains(" BETWEEN ") {
            ranges.push(quoted_range(table, line));
        }
    }
    ranges
}

fn quoted_range(table: &str, line: &str) -> Quoted {
    let (before, name) = line.split_once("-- ").unwrap_or((line, "no row named"));
    let (_, check) = before.split_once("CHECK (").unwrap();
    let words: Vec<&str> = check.split_whitespace().collect();
    let [column, between, minimum, and, maximum] = <[&str; 5]>::try_from(words).unwrap();
    assert_eq!([between, and], ["BETWEEN", "AND"], "{line}");
    Quoted {
        table: table.to_owned(),
        column: column.to_owned(),
        minimum: minimum.parse().unwrap(),
        maximum: maximum.trim_end_matches([')', ',']).parse().unwrap(),
        name: name.trim().to_owned(),
    }
}

fn bounds(name: &str) -> &'static Bounds {
    let found = QUANTITIES.iter().find(|(known, _)| *known == name);
    found.map(|(_, bounds)| *bounds).ok_or(name).unwrap()
}

#[test]
fn every_range_in_the_schema_is_the_range_of_the_quantity_it_names() {
    for range in quoted_ranges() {
        let bounds = bounds(&range.name);
        let quoted = [range.minimum, range.maximum].map(f64::to_bits);
        assert_eq!(quoted, [bounds.minimum, bounds.maximum].map(f64::to_bits), "{range:?}");
        assert!(range.column.starts_with(bounds.field), "{range:?}");
    }
}

#[test]
fn every_quantity_of_the_catalogue_has_its_range_in_the_schema() {
    let quoted: BTreeSet<String> = quoted_ranges().into_iter().map(|range| range.name).collect();
    let wanted = [
        "BODY_WIDTH_MM",
        "BODY_HEIGHT_MM",
        "BODY_DEPTH_MM",
        "RATED_OUTPUT_W",
        "EXPONENT",
        "DRY_MASS_G",
        "FLUID_VOLUME_ML",
        "PERMITTED_GAUGE_KPA",
        "IMMERSED_LENGTH_MM",
        "ELEMENT_WATTS",
        "SET_POINT_C",
        "FLUID_LIMIT_C",
        "FLEX_LENGTH_MM",
        "HEAD_LENGTH_MM",
        "CONTROL_LOAD_W",
        "LEAD_DAYS",
        "UNIT_PRICE_E4",
        "TAX_RATE_BP",
    ];
    assert_eq!(quoted, wanted.map(str::to_owned).into());
}

#[tokio::test]
async fn a_value_just_outside_its_range_is_refused_and_the_ends_are_taken() {
    let database = Database::open_in_memory().await.unwrap();
    save_edition(&database, &content(), EditionState::Draft).await.unwrap();
    for range in quoted_ranges() {
        let Quoted { table, column, minimum, maximum, .. } = &range;
        for outside in [minimum - 1.0_f64, maximum + 1.0_f64] {
            let sql = format!("UPDATE {table} SET {column} = {outside}");
            let error = run(&database, &sql).await.err();
            assert_eq!(error.map(|error| error.kind()), Some(StoreErrorKind::Constraint), "{sql}");
        }
    }
    for (table, column, end) in [
        ("prices", "unit_price_e4", "0"),
        ("prices", "unit_price_e4", "1000000000"),
        ("parts", "lead_days", "365"),
        ("bodies", "exponent", "1.5"),
        ("bodies", "width_mm", "100"),
    ] {
        run(&database, &format!("UPDATE {table} SET {column} = {end}")).await.unwrap();
    }
}

#[tokio::test]
async fn every_table_is_strict() {
    let database = Database::open_in_memory().await.unwrap();
    let sql = "SELECT name FROM pragma_table_list WHERE schema = 'main' AND NOT strict \
               AND name NOT LIKE 'sqlite%' AND name <> '_sqlx_migrations'";
    assert_eq!(texts(&database, sql).await, Vec::<String>::new());
    assert!(1 < edition_tables(&database).await.len());
}

#[tokio::test]
async fn every_table_of_an_edition_has_its_three_triggers() {
    let database = Database::open_in_memory().await.unwrap();
    for table in edition_tables(&database).await {
        let sql = format!(
            "SELECT count(*) FROM sqlite_schema WHERE type = 'trigger' AND tbl_name = '{table}'"
        );
        assert_eq!(number(&database, &sql).await, 3, "{table}");
    }
}
