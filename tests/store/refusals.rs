//! What the store refuses to write, and what it refuses to believe when reading.

use rungwright::domain::catalogue::EditionContent;
use rungwright::domain::catalogue::Fault;
use rungwright::domain::catalogue::Value;
use rungwright::domain::units::Kilograms;
use rungwright::domain::units::Millimetres;
use rungwright::store::Database;
use rungwright::store::EditionState;
use rungwright::store::StoreError;
use rungwright::store::StoreErrorKind;
use rungwright::store::load_edition;
use rungwright::store::save_edition;
use sqlx::AssertSqlSafe;
use sqlx::Connection as _;
use sqlx::SqliteConnection;

use crate::scratch::Scratch;
use crate::scratch::cause;
use crate::scratch::number;
use crate::scratch::run;
use crate::synthetic::content;

async fn save_error(content: EditionContent) -> StoreError {
    let database = Database::open_in_memory().await.unwrap();
    let error = save_edition(&database, &content, EditionState::Draft).await.unwrap_err();
    assert_eq!(number(&database, "SELECT count(*) FROM editions").await, 0);
    error
}

#[tokio::test]
async fn a_part_number_that_comes_twice_is_refused_before_anything_is_written() {
    let mut twice = content();
    let again = twice.bodies.first().unwrap().clone();
    twice.bodies.push(again.clone());
    let error = save_error(twice).await;
    assert_eq!(error.kind(), StoreErrorKind::Content);
    let fault = Fault::DuplicateSku(again.card.sku);
    assert!(matches!(&error, StoreError::Edition(faults) if faults.0 == [fault]), "{error}");
}

#[tokio::test]
async fn a_figure_outside_its_range_is_refused_by_the_name_of_its_row() {
    let mut wide = content();
    wide.bodies.first_mut().unwrap().size.width = Millimetres::new(2_001);
    let error = save_error(wide).await;
    assert_eq!(error.kind(), StoreErrorKind::Content);
    assert_eq!(error.to_string(), "row B-00000.X of bodies breaks a rule in column width_mm");
    assert_eq!(cause(&error), "width of the body is 2001 mm, allowed are 100 to 2000 mm");
}

#[tokio::test]
async fn a_figure_finer_than_its_column_is_refused_rather_than_rounded() {
    let mut fine = content();
    fine.bodies.first_mut().unwrap().content.dry_mass = Kilograms::new(9.877_5);
    let error = save_error(fine).await;
    assert_eq!(error.to_string(), "row B-00000.X of bodies breaks a rule in column dry_mass_g");
}

#[tokio::test]
async fn a_word_with_a_space_is_refused_because_it_would_come_back_as_two() {
    let mut spaced = content();
    let words = Value::Words(["old oak".into()].into());
    spaced.bodies.first_mut().unwrap().card.attributes.insert("woods".into(), words);
    let error = save_error(spaced).await;
    let told = "row B-00000.X of part_attributes breaks a rule in column value_words";
    assert_eq!(error.to_string(), told);
}

#[tokio::test]
async fn rows_that_contradict_others_are_refused_by_the_schema_itself() {
    let database = Database::open_in_memory().await.unwrap();
    save_edition(&database, &content(), EditionState::Draft).await.unwrap();
    for (rule, sql) in [
        ("unknown part included", "UPDATE included SET sku = 'A-99999.X'"),
        ("body included", "UPDATE included SET sku = 'B-00000.X'"),
        ("unknown part priced", "UPDATE prices SET sku = 'A-99999.X' WHERE sku = 'A-00000.X'"),
        ("unknown finish", "UPDATE elements SET finish = 'gold'"),
        ("prices in another currency", "UPDATE price_lists SET currency = 'EUR'"),
        ("undeclared attribute", "UPDATE part_attributes SET name = 'weight'"),
        ("element row of a body", "UPDATE elements SET sku = 'B-00000.X' WHERE sku = 'E-00000.X'"),
        ("value of another type", "UPDATE part_attributes SET value_text = 'x', value_flag = NULL"),
        ("condition of no rule", "UPDATE rule_conditions SET rule_code = 'none'"),
        ("unknown edition", "UPDATE finishes SET edition = 77"),
        ("duplicate part", "INSERT INTO parts SELECT * FROM parts LIMIT 1"),
        ("lower case", "UPDATE accessories SET sku = 'a' WHERE sku = 'A-00007.X'"),
        ("a day that is none", "UPDATE price_lists SET valid_from = '2026-02-30'"),
        ("end before beginning", "UPDATE price_lists SET valid_to = '2025-12-31'"),
        ("set point of both kinds", "UPDATE elements SET set_point_c = 50, set_point_c_min = 40"),
        ("text in a number", "UPDATE bodies SET width_mm = 'wide'"),
    ] {
        let error = run(&database, sql).await.err();
        assert_eq!(error.map(|error| error.kind()), Some(StoreErrorKind::Constraint), "{rule}");
    }
}

/// Writes past every check, as a foreign tool could.
async fn vandalise(path: &str, sql: &str) {
    let mut connection = SqliteConnection::connect(&format!("sqlite:{path}")).await.unwrap();
    let sql = format!("PRAGMA ignore_check_constraints = ON; PRAGMA foreign_keys = OFF; {sql}");
    sqlx::raw_sql(AssertSqlSafe(sql)).execute(&mut connection).await.unwrap();
    connection.close().await.unwrap();
}

#[tokio::test]
async fn a_row_that_breaks_a_rule_is_an_error_that_names_it() {
    for (sql, told) in [
        (
            "UPDATE bodies SET exponent = 9.0 WHERE sku = 'B-00003.X'",
            "row B-00003.X of bodies breaks a rule in column exponent",
        ),
        (
            "UPDATE elements SET thread = 'M 20' WHERE sku = 'E-00001.X'",
            "row E-00001.X of elements breaks a rule in column thread",
        ),
        (
            "UPDATE controls SET fuse_a_max = 70000 WHERE sku = 'C-00002.X'",
            "row C-00002.X of controls breaks a rule in column fuse_a_max",
        ),
        (
            "UPDATE prices SET unit_price_e4 = -1 WHERE sku = 'E-00004.X'",
            "row E-00004.X of prices breaks a rule in column unit_price_e4",
        ),
        (
            "UPDATE rules SET relation = 'nearly' WHERE code = 'equal'",
            "row equal of rules breaks a rule in column relation",
        ),
        (
            "DELETE FROM accessories WHERE sku = 'A-00005.X'",
            "row A-00005.X of parts breaks a rule in column kind",
        ),
        ("UPDATE bodies SET finish = 'gold'", "the edition does not hang together"),
    ] {
        let scratch = Scratch::new();
        let path = scratch.file("a.db");
        let database = Database::open(&path).await.unwrap();
        let saved = save_edition(&database, &content(), EditionState::Draft).await.unwrap();
        vandalise(&path, sql).await;
        let error = load_edition(&database, saved).await.err();
        assert_eq!(error.map(|error| error.to_string()).as_deref(), Some(told), "{sql}");
    }
}

#[tokio::test]
async fn a_value_that_breaks_its_check_is_found_at_the_start() {
    let scratch = Scratch::new();
    let path = scratch.file("a.db");
    let database = Database::open(&path).await.unwrap();
    save_edition(&database, &content(), EditionState::Draft).await.unwrap();
    database.close().await;
    vandalise(&path, "UPDATE bodies SET exponent = 9.0").await;
    let error = Database::open(&path).await.unwrap_err();
    assert_eq!(error.kind(), StoreErrorKind::Corrupt);
    assert!(error.to_string().ends_with("CHECK constraint failed in bodies"), "{error}");
}
