//! The audit trail: append-only, sealed, and what is found when somebody gets behind that.

use rungwright::domain::access::Actor;
use rungwright::domain::access::Grant;
use rungwright::domain::access::Scopes;
use rungwright::store::Database;
use rungwright::store::EditionState;
use rungwright::store::StoreErrorKind;
use rungwright::store::access::KeyChange;
use rungwright::store::access::KeySecret;
use rungwright::store::access::NewKey;
use rungwright::store::access::write_key;
use rungwright::store::audit::AuditFilter;
use rungwright::store::audit::Head;
use rungwright::store::audit::audit_entries;
use rungwright::store::audit::audit_head;
use rungwright::store::audit::seal;
use rungwright::store::audit::verify_audit;
use rungwright::store::save_edition;

use crate::quotes::create;
use crate::quotes::new_quote;
use crate::quotes::quote_content;
use crate::quotes::writer;
use crate::scratch::run;
use crate::synthetic::content;

/// Takes away what refuses changes: somebody with a tool of their own.
const UNGUARDED: &str = "DROP TRIGGER audit_entries_stand; DROP TRIGGER audit_entries_keep;";

/// A database with five deeds on its trail.
async fn five_deeds() -> Database {
    let database = Database::open_in_memory().await.unwrap();
    let secret = KeySecret::random().unwrap();
    let grant = Grant { scopes: Scopes::all_secret(), ..Grant::reading() };
    for number in 1..=5 {
        let new = NewKey { label: format!("key {number}").into(), grant: grant.clone() };
        let by = Actor::command_line();
        let now = "2026-06-15T12:00:00Z".parse().unwrap();
        write_key((&database, &secret), &KeyChange::Make(new), (&by, now)).await.unwrap();
    }
    database
}

/// What verification says after some SQL, with the head of before noted elsewhere or not.
async fn check(sql: &str, is_noted: bool) -> String {
    let database = five_deeds().await;
    let noted = audit_head(&database).await.unwrap();
    run(&database, &format!("{UNGUARDED}{sql}")).await.unwrap();
    let verdict = verify_audit(&database, is_noted.then_some(&noted)).await.unwrap();
    let faults: Vec<String> = verdict.faults.iter().map(ToString::to_string).collect();
    faults.join("\n")
}

#[tokio::test]
async fn a_trail_that_nobody_touched_holds_together() {
    assert_eq!(check("", true).await, "");
    let database = five_deeds().await;
    let verdict = verify_audit(&database, Some(&Head::empty())).await.unwrap();
    assert_eq!((verdict.entry_count, verdict.head.sequence, verdict.faults.len()), (5, 5, 0));
}

#[tokio::test]
async fn nothing_on_the_trail_is_changed_removed_or_put_in_between() {
    let database = five_deeds().await;
    for (sql, because) in [
        ("UPDATE audit_entries SET actor = 'x' WHERE sequence = 2", "never changed"),
        ("DELETE FROM audit_entries WHERE sequence = 5", "never removed"),
        (
            "INSERT OR REPLACE INTO audit_entries SELECT * FROM audit_entries WHERE sequence = 5",
            "follows the last",
        ),
        (
            "INSERT INTO audit_entries SELECT 9, at_ms, actor, account, action, subject, detail, previous_hash, hash \
             FROM audit_entries WHERE sequence = 5",
            "follows the last",
        ),
    ] {
        let error = run(&database, sql).await.err().ok_or(sql).unwrap();
        assert_eq!(error.kind(), StoreErrorKind::Constraint, "{sql}");
        let cause = std::error::Error::source(&error).unwrap().to_string();
        assert!(cause.contains(because), "{sql}: {cause}");
    }
}

#[tokio::test]
async fn every_kind_of_tampering_is_found() {
    insta::assert_snapshot!(check("UPDATE audit_entries SET actor = 'x' WHERE sequence = 2", false).await,
        @"entry 2 was changed: its hash is not that of its content");
    insta::assert_snapshot!(check("UPDATE audit_entries SET at_ms = at_ms + 1 WHERE sequence = 5", false).await,
        @"entry 5 was changed: its hash is not that of its content");
    insta::assert_snapshot!(check("DELETE FROM audit_entries WHERE sequence IN (2, 3)", false).await,
        @"entries 2 to 3 are missing");
    insta::assert_snapshot!(check("DELETE FROM audit_entries WHERE sequence = 1", false).await,
        @"entries 1 to 1 are missing");
    // Two rows change places: the place is under the seal.
    let swap = "UPDATE audit_entries SET sequence = -1 WHERE sequence = 2; \
                UPDATE audit_entries SET sequence = 2 WHERE sequence = 3; \
                UPDATE audit_entries SET sequence = 3 WHERE sequence = -1";
    insta::assert_snapshot!(check(swap, false).await, @r"
    entry 2 does not follow the entry before it: it was moved, or one of them was written anew
    entry 2 was changed: its hash is not that of its content
    entry 3 does not follow the entry before it: it was moved, or one of them was written anew
    entry 3 was changed: its hash is not that of its content
    entry 4 does not follow the entry before it: it was moved, or one of them was written anew
    ");
    insta::assert_snapshot!(check("DELETE FROM audit_entries WHERE sequence = 5", false).await,
        @"the trail ends with entry 4, and the database has numbered up to 5");
}

#[tokio::test]
async fn a_cut_with_the_counter_and_a_trail_written_anew_are_found_only_by_a_head_kept_elsewhere() {
    let cut = "DELETE FROM audit_entries WHERE sequence = 5; \
               UPDATE sqlite_sequence SET seq = 4 WHERE name = 'audit_entries'";
    assert_eq!(check(cut, false).await, "", "a file cannot know what it has forgotten");
    insta::assert_snapshot!(check(cut, true).await,
        @"entry 5 is not on the trail as it was when its head was noted: the trail was cut or written anew");
    let database = five_deeds().await;
    let noted = audit_head(&database).await.unwrap();
    let filter = AuditFilter { after: 4, ..AuditFilter::default() };
    let mut last = audit_entries(&database, &filter, 1).await.unwrap().remove(0);
    last.actor = "somebody-else".into();
    let hash = seal(&last);
    let sql = format!(
        "{UNGUARDED}UPDATE audit_entries SET actor = 'somebody-else', hash = '{hash}' WHERE sequence = 5"
    );
    run(&database, &sql).await.unwrap();
    assert_eq!(verify_audit(&database, None).await.unwrap().faults, []);
    assert_eq!(verify_audit(&database, Some(&noted)).await.unwrap().faults.len(), 1);
}

#[tokio::test]
async fn a_quote_or_an_edition_that_was_put_in_another_ones_place_is_found() {
    let database = Database::open_in_memory().await.unwrap();
    save_edition(&database, &content(), EditionState::Published).await.unwrap();
    let writer = writer(&database);
    create(&writer, new_quote("one", &quote_content())).await;
    let told = || async {
        let faults = verify_audit(&database, None).await.unwrap().faults;
        faults.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    assert_eq!(told().await, Vec::<String>::new());
    let hash = "0".repeat(64);
    run(
        &database,
        &format!(
            "DROP TRIGGER quotes_stand; UPDATE quotes SET content_hash = '{hash}'; \
             DROP TRIGGER editions_stand; UPDATE editions SET content_hash = '{hash}'"
        ),
    )
    .await
    .unwrap();
    let faults = told().await;
    assert_eq!(faults.len(), 2, "{faults:#?}");
    assert!(faults[0].starts_with("1 is not what entry 1 tells of"), "{faults:#?}");
    assert!(faults[1].contains("/1 is not what entry 2 tells of"), "{faults:#?}");
}
