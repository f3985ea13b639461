//! Several writers at once, in one process and in several, and a writer that is killed.

use std::process::Child;
use std::process::Command;
use std::process::Stdio;
use std::time::Duration;

use rungwright::domain::catalogue::Edition;
use rungwright::store::Database;
use rungwright::store::EditionState;
use rungwright::store::StoreErrorKind;
use rungwright::store::load_edition;
use rungwright::store::save_edition;
use sqlx::ConnectOptions as _;
use sqlx::sqlite::SqliteConnectOptions;

use crate::scratch::Scratch;
use crate::scratch::number;
use crate::scratch::run;
use crate::scratch::texts;
use crate::synthetic::content;
use crate::synthetic::sized_content;

/// Names the file for a child process; its second word is how many editions to save.
const CHILD_FILE: &str = "STORE_TEST_FILE";
const CHILD_COUNT: &str = "STORE_TEST_COUNT";
const PARTS_OF_A_KIND: u16 = 60;
const ATTEMPTS_MAX: u32 = 500;
const COUNT_EDITIONS: &str = "SELECT count(*) FROM editions";

fn start_child(path: &str, count: u32) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["writers::child", "--exact", "--ignored"])
        .env(CHILD_FILE, path)
        .env(CHILD_COUNT, count.to_string())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

#[tokio::test]
#[ignore = "the other process of the tests below, which start it"]
async fn child() {
    let path = std::env::var_os(CHILD_FILE).unwrap();
    let count = std::env::var_os(CHILD_COUNT).unwrap();
    let database = Database::open(path.to_str().unwrap()).await.unwrap();
    for _ in 0..count.to_str().unwrap().parse::<u32>().unwrap() {
        let content = sized_content(PARTS_OF_A_KIND);
        save_edition(&database, &content, EditionState::Published).await.unwrap();
    }
}

#[tokio::test]
async fn two_processes_open_one_new_file_and_write_at_once() {
    let scratch = Scratch::new();
    let path = scratch.file("a.db");
    let children = [start_child(&path, 5), start_child(&path, 5)];
    for mut child in children {
        assert!(child.wait().unwrap().success());
    }
    let database = Database::open(&path).await.unwrap();
    assert_eq!(number(&database, COUNT_EDITIONS).await, 10);
}

async fn open_eight_at_once(path: &str) {
    let open = || {
        let own = path.to_owned();
        tokio::spawn(async move { Database::open(&own).await })
    };
    let tasks: Vec<_> = std::iter::repeat_with(open).take(8).collect();
    for task in tasks {
        let database = task.await.unwrap().unwrap();
        assert_eq!(number(&database, COUNT_EDITIONS).await, 0);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn eight_pools_open_one_new_file_at_once() {
    for _ in 0_u32..20 {
        let scratch = Scratch::new();
        open_eight_at_once(&scratch.file("a.db")).await;
    }
}

#[tokio::test]
async fn opening_waits_for_a_reader_of_a_file_that_has_no_log_yet() {
    let scratch = Scratch::new();
    let path = scratch.file("a.db");
    let options = SqliteConnectOptions::new().filename(&path).create_if_missing(true);
    let mut reader = options.connect().await.unwrap();
    let sql = "CREATE TABLE notes (text TEXT); BEGIN; SELECT count(*) FROM notes";
    sqlx::raw_sql(sql).execute(&mut reader).await.unwrap();
    let opening = tokio::spawn(async move { Database::open(&path).await });
    tokio::time::sleep(Duration::from_millis(250)).await;
    assert!(!opening.is_finished());
    sqlx::raw_sql("COMMIT").execute(&mut reader).await.unwrap();
    assert!(opening.await.unwrap().is_ok());
}

#[tokio::test(flavor = "multi_thread")]
async fn two_pools_of_one_process_write_at_once() {
    let scratch = Scratch::new();
    let path = scratch.file("a.db");
    let pools = [Database::open(&path).await.unwrap(), Database::open(&path).await.unwrap()];
    let tasks: Vec<_> = pools
        .iter()
        .cycle()
        .take(12)
        .cloned()
        .map(|database| {
            tokio::spawn(async move {
                save_edition(&database, &content(), EditionState::Published).await
            })
        })
        .collect();
    let mut numbers = Vec::new();
    for task in tasks {
        numbers.push(task.await.unwrap().unwrap());
    }
    numbers.sort_unstable();
    assert_eq!(numbers, (1..=12).collect::<Vec<u32>>());
    let [database, _] = pools;
    assert_eq!(
        texts(&database, "SELECT state FROM editions WHERE number = 12").await,
        ["published"]
    );
}

#[tokio::test]
async fn readers_see_the_last_whole_state_while_a_writer_writes() {
    let scratch = Scratch::new();
    let database = Database::open(&scratch.file("a.db")).await.unwrap();
    let saved = save_edition(&database, &content(), EditionState::Draft).await.unwrap();
    let mut writer = database.begin_write().await.unwrap();
    sqlx::query("DELETE FROM editions").execute(&mut *writer).await.unwrap();
    assert!(load_edition(&database, saved).await.is_ok());
    drop(writer);
    assert!(load_edition(&database, saved).await.is_ok());
}

#[tokio::test]
async fn a_writer_that_waits_in_vain_is_told_that_the_database_is_busy() {
    let scratch = Scratch::new();
    let path = scratch.file("a.db");
    let database = Database::open(&path).await.unwrap();
    let other = Database::open(&path).await.unwrap();
    let held = other.begin_write().await.unwrap();
    let error = database.begin_write().await.err().unwrap();
    assert_eq!(error.kind(), StoreErrorKind::Busy, "{error}");
    drop(held);
    assert!(database.begin_write().await.is_ok());
}

#[tokio::test]
async fn a_full_database_is_told_apart_and_keeps_what_it_has() {
    let scratch = Scratch::new();
    let database = Database::open(&scratch.file("a.db")).await.unwrap();
    let saved = save_edition(&database, &content(), EditionState::Draft).await.unwrap();
    // The same code as a full disk: SQLite may not grow the file beyond this many pages.
    run(&database, "PRAGMA max_page_count = 1").await.unwrap();
    let error = save_edition(&database, &sized_content(400), EditionState::Draft).await;
    assert_eq!(error.map_err(|error| error.kind()), Err(StoreErrorKind::Full));
    assert_eq!(number(&database, COUNT_EDITIONS).await, 1);
    assert!(load_edition(&database, saved).await.is_ok());
}

/// Waits until a child has saved an edition beyond those kept, so that killing it meets it at work.
async fn has_more(path: &str, kept: i64) -> bool {
    for _ in 0..ATTEMPTS_MAX {
        let database = Database::open(path).await.unwrap();
        let found = number(&database, COUNT_EDITIONS).await;
        database.close().await;
        if kept < found {
            return true;
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    false
}

#[tokio::test]
async fn a_killed_writer_leaves_whole_editions_only() {
    let scratch = Scratch::new();
    let path = scratch.file("a.db");
    let wanted = sized_content(PARTS_OF_A_KIND);
    let mut kept = 0;
    for round in 0_u64..6 {
        let mut child = start_child(&path, u32::MAX);
        assert!(has_more(&path, kept).await, "the child saved nothing");
        tokio::time::sleep(Duration::from_millis(7 * round)).await;
        child.kill().unwrap();
        child.wait().unwrap();
        let database = Database::open(&path).await.unwrap();
        let found = number(&database, COUNT_EDITIONS).await;
        assert!(kept < found, "an edition was lost");
        for saved in kept + 1..=found {
            let saved = u32::try_from(saved).unwrap();
            let loaded = load_edition(&database, saved).await.unwrap();
            assert_eq!(loaded, Edition::new(saved, wanted.clone()).unwrap());
        }
        kept = found;
        database.close().await;
    }
}
