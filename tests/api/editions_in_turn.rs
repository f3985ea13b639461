//! Publications that race, drafts that have grown stale, and a database without room.

use serde_json::json;

use crate::editions::Keeper;
use crate::editions::dearer;
use crate::editions::document;

#[tokio::test]
async fn of_two_publications_at_once_one_wins_and_the_other_is_stale() {
    let keeper = Keeper::open().await;
    for number in [2, 3] {
        assert_eq!(keeper.load("/v1/editions", &document()).await.status, 201);
        assert_eq!(keeper.check(number).await["passed"], true);
    }
    let (first, second) = tokio::join!(keeper.publish(2), keeper.publish(3));
    let mut statuses = [first.status.as_u16(), second.status.as_u16()];
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 409]);
    let (won, lost) = if first.status == 200 { (2, second) } else { (3, first) };
    Keeper::check_refused(&lost, 409, "stale-edition");
    assert_eq!(keeper.in_force().await, won);
    // Looked at again against what is in force now, it may follow.
    let other = 5 - won;
    keeper.check(other).await;
    assert_eq!(keeper.publish(other).await.status, 200);
    assert_eq!(keeper.in_force().await, other);
}

#[tokio::test]
async fn changes_to_an_edition_that_was_replaced_are_not_published() {
    let keeper = Keeper::open().await;
    let first = keeper.change(&dearer()).await;
    let second =
        keeper.change(&json!({ "finishes": [{ "finish": "white", "name": "Snow white" }] })).await;
    for draft in [first, second] {
        keeper.check(draft).await;
    }
    assert_eq!(keeper.publish(first).await.status, 200);
    // Checking again does not help: the dearer price would silently go back.
    keeper.check(second).await;
    let refused = keeper.publish(second).await;
    Keeper::check_refused(&refused, 409, "stale-edition");
    assert!(
        refused.json()["detail"].as_str().unwrap().contains("changes to edition 1"),
        "{}",
        refused.body
    );
    assert_eq!(keeper.in_force().await, first);
}

#[tokio::test]
async fn a_disk_that_is_full_in_the_middle_of_an_import_leaves_everything_as_it_was() {
    let keeper = Keeper::open().await;
    let limit = |pages: &str| {
        let (database, sql) =
            (keeper.database().clone(), format!("PRAGMA max_page_count = {pages}"));
        async move {
            let mut transaction = database.begin_write().await.unwrap();
            sqlx::raw_sql(sqlx::AssertSqlSafe(sql)).execute(&mut *transaction).await.unwrap();
            transaction.commit().await.unwrap();
        }
    };
    let pages: i64 = {
        let mut transaction = keeper.database().begin_read().await.unwrap();
        sqlx::query_scalar("PRAGMA page_count").fetch_one(&mut *transaction).await.unwrap()
    };
    limit(&(pages + 20).to_string()).await;
    let full = keeper.load("/v1/editions", &document()).await;
    Keeper::check_refused(&full, 507, "storage-full");
    assert_eq!(keeper.in_force().await, 1);
    assert_eq!(keeper.get_json("/v1/editions").await["items"].as_array().unwrap().len(), 1);
    // With room again, the same catalogue goes in.
    limit("1000000").await;
    assert_eq!(keeper.load("/v1/editions", &document()).await.status, 201);
}

#[tokio::test]
async fn readers_see_one_edition_or_the_other_and_never_a_failure_while_editions_change() {
    let keeper = Keeper::open().await;
    let draft = keeper.change(&dearer()).await;
    keeper.check(draft).await;
    let reading = |reader: Keeper| async move {
        let mut seen = Vec::new();
        for _ in 0..60 {
            let answer = reader.get("/v1/elements/SRW-E-DIMRI-400-BK?market=gb").await;
            assert_eq!(answer.status, 200, "{}", answer.body);
            seen.push(answer.json()["price"]["unit_net"].as_str().unwrap().to_owned());
            tokio::task::yield_now().await;
        }
        seen
    };
    let publishing = async {
        for number in [draft, 1, draft] {
            assert_eq!(keeper.publish(number).await.status, 200);
        }
    };
    let ((), one, two) = tokio::join!(publishing, reading(keeper.clone()), reading(keeper.clone()));
    assert!(one.iter().chain(&two).all(|net| net == "83.95" || net == "84.55"));
    assert_eq!(keeper.in_force().await, draft);
}
