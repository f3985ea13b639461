//! Opening: the settings really on, and every file that must not be used refused by name.

use std::fs::OpenOptions;
use std::io::Seek as _;
use std::io::SeekFrom;
use std::io::Write as _;
use std::path::Path;

use rungwright::store::Database;
use rungwright::store::EditionState;
use rungwright::store::StoreError;
use rungwright::store::StoreErrorKind;
use rungwright::store::check_sqlite_version;
use rungwright::store::load_edition;
use rungwright::store::save_edition;

use crate::scratch::Scratch;
use crate::scratch::number;
use crate::scratch::run;
use crate::scratch::texts;
use crate::synthetic::content;
use crate::synthetic::sized_content;

#[test]
fn an_sqlite_that_can_damage_a_write_ahead_log_is_refused() {
    for version in ["3.51.3", "3.51.10", "3.53.0", "4.0.0", "3.51.3.1"] {
        assert!(check_sqlite_version(version).is_ok(), "{version}");
    }
    for version in ["3.51.2", "3.40.1", "3.6.23", "2.99.99", "3.51", "", "newest"] {
        let error = check_sqlite_version(version).unwrap_err().to_string();
        assert!(
            error.starts_with(&format!("SQLite {version} is too old: before 3.51.3")),
            "{error}"
        );
    }
}

#[tokio::test]
async fn the_settings_that_keep_data_are_really_on() {
    let scratch = Scratch::new();
    let path = scratch.file("a.db");
    let database = Database::open(&path).await.unwrap();
    save_edition(&database, &content(), EditionState::Draft).await.unwrap();
    assert!(0 < std::fs::metadata(format!("{path}-wal")).unwrap().len());
    assert_eq!(texts(&database, "PRAGMA journal_mode").await, ["wal"]);
    assert_eq!(number(&database, "PRAGMA foreign_keys").await, 1);
    assert_eq!(number(&database, "PRAGMA query_only").await, 1);
    assert_eq!(number(&database, "PRAGMA busy_timeout").await, 5_000);
    let mut writer = database.begin_write().await.unwrap();
    for (pragma, wanted) in [
        ("PRAGMA synchronous", 2_i64),
        ("PRAGMA foreign_keys", 1),
        ("PRAGMA recursive_triggers", 1),
        ("PRAGMA query_only", 0),
    ] {
        let found: i64 = sqlx::query_scalar(pragma).fetch_one(&mut *writer).await.unwrap();
        assert_eq!(found, wanted, "{pragma}");
    }
}

#[tokio::test]
async fn closing_leaves_one_file_with_everything_in_it() {
    let scratch = Scratch::new();
    let path = scratch.file("a.db");
    let database = Database::open(&path).await.unwrap();
    let saved = save_edition(&database, &content(), EditionState::Draft).await.unwrap();
    load_edition(&database, saved).await.unwrap();
    database.close().await;
    assert!(!Path::new(&format!("{path}-wal")).exists());
    let copy = scratch.file("copy.db");
    std::fs::copy(&path, &copy).unwrap();
    let copied = Database::open(&copy).await.unwrap();
    assert!(load_edition(&copied, saved).await.is_ok());
}

#[tokio::test]
async fn a_schema_of_a_newer_program_is_refused() {
    let scratch = Scratch::new();
    let path = scratch.file("a.db");
    let database = Database::open(&path).await.unwrap();
    let sql = "INSERT INTO _sqlx_migrations (version, description, success, checksum, execution_time) \
               VALUES (9999, 'from the future', 1, x'00', 0)";
    run(&database, sql).await.unwrap();
    database.close().await;
    let error = Database::open(&path).await.unwrap_err();
    assert!(matches!(error, StoreError::NewerSchema(9999)), "{error}");
}

#[tokio::test]
async fn a_file_that_is_no_database_is_refused_and_left_as_it_was() {
    let scratch = Scratch::new();
    let path = scratch.file("letter.txt");
    let letter = "Dear Sir or Madam, ".repeat(400);
    std::fs::write(&path, &letter).unwrap();
    let error = Database::open(&path).await.unwrap_err();
    assert_eq!(error.kind(), StoreErrorKind::Corrupt, "{error}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), letter);
}

async fn damaged(offset: u64) -> StoreError {
    let scratch = Scratch::new();
    let path = scratch.file("a.db");
    let database = Database::open(&path).await.unwrap();
    save_edition(&database, &sized_content(200), EditionState::Draft).await.unwrap();
    database.close().await;
    let mut file = OpenOptions::new().write(true).open(&path).unwrap();
    assert!(offset + 8_192 < file.metadata().unwrap().len());
    file.seek(SeekFrom::Start(offset)).unwrap();
    file.write_all(&[0xa5; 4_096]).unwrap();
    drop(file);
    Database::open(&path).await.unwrap_err()
}

#[tokio::test]
async fn a_damaged_page_is_found_at_the_start() {
    for offset in [40_960, 102_400] {
        let error = damaged(offset).await;
        assert_eq!(error.kind(), StoreErrorKind::Corrupt, "{error}");
        assert!(error.to_string().contains("a.db"), "{error}");
    }
}

#[tokio::test]
async fn a_damaged_header_is_found_at_the_start() {
    assert_eq!(damaged(0).await.kind(), StoreErrorKind::Corrupt);
}

#[tokio::test]
async fn a_path_into_no_folder_is_refused() {
    let scratch = Scratch::new();
    let error = Database::open(&scratch.file("nowhere/a.db")).await.unwrap_err();
    assert_eq!(error.kind(), StoreErrorKind::Unwritable, "{error}");
}

#[tokio::test]
async fn an_address_of_another_kind_of_database_is_refused() {
    for address in ["postgres://localhost/rails", "", "sqlite:"] {
        let error = Database::open(address).await.unwrap_err();
        assert!(matches!(error, StoreError::Address(_)), "{address:?}: {error}");
    }
}

#[tokio::test]
async fn a_path_with_odd_characters_is_taken_as_it_stands() {
    let scratch = Scratch::new();
    let path = scratch.file("50% off? #1.db");
    let database = Database::open(&path).await.unwrap();
    save_edition(&database, &content(), EditionState::Draft).await.unwrap();
    assert!(Path::new(&path).exists());
}
