//! What is saved comes back as it was.

use rungwright::domain::catalogue::Edition;
use rungwright::store::Database;
use rungwright::store::EditionState;
use rungwright::store::StoreError;
use rungwright::store::content_hash;
use rungwright::store::demo::demo_edition;
use rungwright::store::edition_record;
use rungwright::store::load_edition;
use rungwright::store::published_edition;
use rungwright::store::save_edition;

use crate::scratch::Scratch;
use crate::scratch::edition_tables;
use crate::scratch::number;
use crate::scratch::run;
use crate::synthetic::content;
use crate::synthetic::sized_content;

#[tokio::test]
async fn a_loaded_edition_equals_the_saved_one() {
    let scratch = Scratch::new();
    let path = scratch.file("a.db");
    let database = Database::open(&path).await.unwrap();
    let saved = save_edition(&database, &content(), EditionState::Published).await.unwrap();
    database.close().await;
    let reopened = Database::open(&format!("sqlite://{path}")).await.unwrap();
    let loaded = load_edition(&reopened, saved).await.unwrap();
    assert_eq!(loaded, Edition::new(saved, content()).unwrap());
}

#[tokio::test]
async fn a_database_in_memory_keeps_an_edition_for_its_readers_alone() {
    let database = Database::open(":memory:").await.unwrap();
    let other = Database::open_in_memory().await.unwrap();
    let saved = save_edition(&database, &content(), EditionState::Draft).await.unwrap();
    let loaded = load_edition(&database.clone(), saved).await.unwrap();
    assert_eq!(loaded, Edition::new(saved, content()).unwrap());
    let stranger = load_edition(&other, saved).await;
    assert!(matches!(stranger, Err(StoreError::UnknownEdition(number)) if number == saved));
}

#[tokio::test]
async fn the_made_up_edition_has_a_row_in_every_table() {
    let database = Database::open_in_memory().await.unwrap();
    save_edition(&database, &content(), EditionState::Draft).await.unwrap();
    let tables = edition_tables(&database).await;
    assert_eq!(tables.len(), 28);
    for table in tables {
        assert!(0 < number(&database, &format!("SELECT count(*) FROM {table}")).await, "{table}");
    }
}

#[tokio::test]
async fn publishing_retires_the_edition_published_until_now() {
    let database = Database::open_in_memory().await.unwrap();
    assert_eq!(published_edition(&database).await.unwrap(), None);
    let first = save_edition(&database, &content(), EditionState::Published).await.unwrap();
    let draft = save_edition(&database, &content(), EditionState::Draft).await.unwrap();
    assert_eq!(published_edition(&database).await.unwrap(), Some(first));
    let second = save_edition(&database, &content(), EditionState::Published).await.unwrap();
    assert_eq!(published_edition(&database).await.unwrap(), Some(second));
    for (edition, state) in [
        (first, EditionState::Retired),
        (draft, EditionState::Draft),
        (second, EditionState::Published),
    ] {
        let record = edition_record(&database, edition).await.unwrap().unwrap();
        assert_eq!((record.number, record.state), (edition, state));
        assert_eq!(*record.content_hash, content_hash(&content()).unwrap());
        assert_eq!(record.created_at.len(), "2026-01-01T00:00:00Z".len());
    }
    assert_eq!(edition_record(&database, 99).await.unwrap(), None);
}

#[test]
fn the_hash_ignores_the_order_of_parts_and_sees_the_smallest_change() {
    let hash = content_hash(&content()).unwrap();
    let mut turned = content();
    turned.bodies.reverse();
    turned.rules.reverse();
    assert_eq!(content_hash(&turned).unwrap(), hash);
    let mut changed = content();
    changed.bodies.first_mut().unwrap().heat.exponent += f64::EPSILON;
    assert_ne!(content_hash(&changed).unwrap(), hash);
}

#[tokio::test]
async fn a_draft_may_be_deleted_and_its_number_is_not_given_again() {
    let database = Database::open_in_memory().await.unwrap();
    let draft = save_edition(&database, &content(), EditionState::Draft).await.unwrap();
    run(&database, &format!("DELETE FROM editions WHERE number = {draft}")).await.unwrap();
    for table in edition_tables(&database).await {
        assert_eq!(number(&database, &format!("SELECT count(*) FROM {table}")).await, 0, "{table}");
    }
    let next = save_edition(&database, &content(), EditionState::Draft).await.unwrap();
    assert!(draft < next);
}

#[tokio::test]
async fn an_edition_of_more_rows_than_one_statement_takes_comes_back_whole() {
    let database = Database::open_in_memory().await.unwrap();
    let large = sized_content(750);
    let saved = save_edition(&database, &large, EditionState::Published).await.unwrap();
    let loaded = load_edition(&database, saved).await.unwrap();
    assert_eq!(loaded, Edition::new(saved, large).unwrap());
}

#[tokio::test]
async fn the_demonstration_catalogue_comes_back_as_it_was() {
    let database = Database::open_in_memory().await.unwrap();
    let demo = demo_edition().unwrap();
    let saved = save_edition(&database, &demo, EditionState::Published).await.unwrap();
    let loaded = load_edition(&database, saved).await.unwrap();
    assert_eq!(loaded, Edition::new(saved, demo).unwrap());
}
