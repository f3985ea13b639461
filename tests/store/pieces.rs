//! A large edition on its way in: others write meanwhile, nobody sees it before it is whole, and nothing is left of it
//! when its writing ends early.

use std::process::Child;
use std::process::Command;
use std::process::Stdio;
use std::time::Duration;

use rungwright::domain::access::Actor;
use rungwright::domain::catalogue::Edition;
use rungwright::store::Database;
use rungwright::store::StoreError;
use rungwright::store::StoreErrorKind;
use rungwright::store::drafts::Drafted;
use rungwright::store::drafts::NewDraft;
use rungwright::store::drafts::delete_draft;
use rungwright::store::drafts::list_editions;
use rungwright::store::drafts::save_draft;
use rungwright::store::load_edition;
use rungwright::store::sweep;

use crate::generator;
use crate::quotes::create;
use crate::quotes::moment;
use crate::quotes::new_quote;
use crate::quotes::quote_content;
use crate::quotes::writer;
use crate::scratch::Scratch;
use crate::scratch::number;
use crate::scratch::run;

const UNSEEN: &str = "SELECT count(*) FROM editions WHERE is_whole = 0";
/// Names the file for a child process.
const CHILD_FILE: &str = "PIECES_TEST_FILE";
const ATTEMPTS_MAX: u32 = 2_000;

/// Enough rows for several pieces.
fn large() -> Edition {
    Edition::new(0, generator::content(6_000, 5)).unwrap()
}

async fn draft(database: &Database, edition: &Edition) -> Result<u32, StoreError> {
    let render = |_: &_, _: &_| String::new();
    let new =
        NewDraft { request: None, base: None, now: moment(), actor: Actor::program(), render };
    match save_draft(database, edition, &new).await? {
        Drafted::Created(number, _) => Ok(number),
        other @ (Drafted::Replayed(_) | Drafted::KeyReused) => panic!("{other:?}"),
    }
}

async fn check_nothing_is_left(database: &Database, editions: i64) {
    assert_eq!(number(database, "SELECT count(*) FROM editions").await, editions);
    for table in ["parts", "bodies", "elements", "controls", "accessories", "prices", "finishes"] {
        let sql = format!(
            "SELECT count(*) FROM {table} WHERE edition NOT IN (SELECT number FROM editions)"
        );
        assert_eq!(number(database, &sql).await, 0, "{table}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn quotes_are_saved_while_an_edition_is_written_that_nobody_sees_until_it_is_whole() {
    let scratch = Scratch::new();
    let database = Database::open(&scratch.file("a.db")).await.unwrap();
    let (writer, content) = (writer(&database), quote_content());
    let edition = large();
    let (shared, wanted) = (database.clone(), edition.clone());
    let drafting = tokio::spawn(async move { draft(&shared, &wanted).await });
    let mut saved_meanwhile = 0;
    for count in 0.. {
        let before = number(&database, UNSEEN).await;
        create(&writer, new_quote(&format!("meanwhile-{count}"), &content)).await;
        if before == 1 && number(&database, UNSEEN).await == 1 {
            saved_meanwhile += 1;
            assert!(load_edition(&database, 1).await.is_err());
        }
        if drafting.is_finished() {
            break;
        }
        if before == 1 {
            let seen = list_editions(&database, None, 10).await.unwrap();
            assert!(seen.is_empty() || number(&database, UNSEEN).await == 0, "{seen:?}");
        }
    }
    assert!(0 < saved_meanwhile, "every quote waited for the whole edition");
    let saved = drafting.await.unwrap().unwrap();
    let back = load_edition(&database, saved).await.unwrap();
    assert!(back.content() == edition.content(), "what was written comes back");

    let by = Actor::program();
    delete_draft(&database, saved, (moment(), &by)).await.unwrap().unwrap();
    check_nothing_is_left(&database, 0).await;
}

#[tokio::test]
async fn where_there_is_no_room_for_all_of_it_nothing_is_left() {
    let scratch = Scratch::new();
    let database = Database::open(&scratch.file("a.db")).await.unwrap();
    let first = draft(&database, &Edition::new(0, generator::content(100, 5)).unwrap()).await;
    let pages = number(&database, "SELECT page_count FROM pragma_page_count").await;
    // The same code as a full disk; there is room for the first piece and not for the last.
    run(&database, &format!("PRAGMA max_page_count = {}", pages + 150)).await.unwrap();
    let error = draft(&database, &large()).await.unwrap_err();
    assert_eq!(error.kind(), StoreErrorKind::Full, "{error}");
    check_nothing_is_left(&database, 1).await;
    assert!(load_edition(&database, first.unwrap()).await.is_ok());
}

fn start_child(path: &str) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["pieces::child", "--exact", "--ignored"])
        .env(CHILD_FILE, path)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

#[tokio::test]
#[ignore = "the other process of the test below, which starts it"]
async fn child() {
    let path = std::env::var_os(CHILD_FILE).unwrap();
    let database = Database::open(path.to_str().unwrap()).await.unwrap();
    draft(&database, &large()).await.unwrap();
}

/// Waits until the child has begun, so that killing it meets it at work.
async fn is_at_work(database: &Database) -> bool {
    for _ in 0..ATTEMPTS_MAX {
        if number(database, UNSEEN).await == 1 {
            return true;
        }
        tokio::time::sleep(Duration::from_millis(5)).await;
    }
    false
}

#[tokio::test]
async fn what_a_killed_writer_left_is_never_seen_and_goes_at_the_next_start() {
    let scratch = Scratch::new();
    let path = scratch.file("a.db");
    let database = Database::open(&path).await.unwrap();
    let first = draft(&database, &Edition::new(0, generator::content(100, 5)).unwrap()).await;
    let mut child = start_child(&path);
    assert!(is_at_work(&database).await, "the child wrote nothing");
    // What is still being written is nobody's to sweep.
    sweep(&database).await.unwrap();
    assert_eq!(number(&database, UNSEEN).await, 1);
    child.kill().unwrap();
    child.wait().unwrap();

    assert_eq!(number(&database, UNSEEN).await, 1);
    assert_eq!(list_editions(&database, None, 10).await.unwrap().len(), 1);
    assert!(load_edition(&database, 2).await.is_err());
    sweep(&database).await.unwrap();
    check_nothing_is_left(&database, 1).await;
    assert!(load_edition(&database, first.unwrap()).await.is_ok());
}
