//! A published edition stands for ever.

use rungwright::store::Database;
use rungwright::store::EditionState;
use rungwright::store::StoreError;
use rungwright::store::StoreErrorKind;
use rungwright::store::save_edition;

use crate::scratch::cause;
use crate::scratch::edition_tables;
use crate::scratch::run;
use crate::synthetic::content;

async fn check_refused(database: &Database, sql: &str) {
    let error = run(database, sql).await.err();
    assert_eq!(error.as_ref().map(StoreError::kind), Some(StoreErrorKind::Constraint), "{sql}");
    let cause = cause(&error.unwrap());
    assert!(cause.contains("immutable"), "{sql}: {cause}");
}

#[tokio::test]
async fn no_row_of_a_published_or_retired_edition_is_added_changed_or_removed() {
    let database = Database::open_in_memory().await.unwrap();
    let retired = save_edition(&database, &content(), EditionState::Published).await.unwrap();
    let published = save_edition(&database, &content(), EditionState::Published).await.unwrap();
    for table in edition_tables(&database).await {
        for edition in [retired, published] {
            let own = format!("WHERE edition = {edition}");
            let one = format!("SELECT * FROM {table} {own} LIMIT 1");
            check_refused(&database, &format!("INSERT INTO {table} {one}")).await;
            check_refused(&database, &format!("REPLACE INTO {table} {one}")).await;
            check_refused(&database, &format!("UPDATE {table} SET edition = edition {own}")).await;
            check_refused(&database, &format!("DELETE FROM {table} {own}")).await;
        }
    }
}

#[tokio::test]
async fn no_row_of_a_draft_is_moved_into_a_published_edition() {
    let database = Database::open_in_memory().await.unwrap();
    let published = save_edition(&database, &content(), EditionState::Published).await.unwrap();
    let draft = save_edition(&database, &content(), EditionState::Draft).await.unwrap();
    for table in edition_tables(&database).await {
        let sql = format!("UPDATE {table} SET edition = {published} WHERE edition = {draft}");
        check_refused(&database, &sql).await;
    }
}

#[tokio::test]
async fn a_published_edition_can_only_be_retired_and_published_again() {
    let database = Database::open_in_memory().await.unwrap();
    let number = save_edition(&database, &content(), EditionState::Published).await.unwrap();
    let hash = "0".repeat(64);
    for sql in [
        "UPDATE editions SET state = 'draft'".to_owned(),
        "UPDATE editions SET created_at = '2000-01-01T00:00:00Z'".to_owned(),
        format!("UPDATE editions SET state = 'retired', content_hash = '{hash}'"),
        "DELETE FROM editions".to_owned(),
        format!(
            "REPLACE INTO editions (number, state, created_at, content_hash) \
             VALUES ({number}, 'draft', 'now', '{hash}')"
        ),
    ] {
        check_refused(&database, &sql).await;
    }
    run(&database, "UPDATE editions SET state = 'retired'").await.unwrap();
    for state in ["draft", "checked"] {
        check_refused(&database, &format!("UPDATE editions SET state = '{state}'")).await;
    }
    run(&database, "UPDATE editions SET state = 'published'").await.unwrap();
}

#[tokio::test]
async fn an_edition_is_not_born_published() {
    let database = Database::open_in_memory().await.unwrap();
    let hash = "0".repeat(64);
    let sql = format!("INSERT INTO editions (state, content_hash) VALUES ('published', '{hash}')");
    let error = run(&database, &sql).await.unwrap_err();
    assert!(cause(&error).contains("filled before it is published"), "{}", cause(&error));
}
