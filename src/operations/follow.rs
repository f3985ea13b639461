//! Following what another process publishes: the command line beside a running service.
//!
//! Absent here: publishing itself (`editions`).

use std::time::Duration;

use crate::store::published_edition;

use super::App;
use super::editions::EditionError;
use super::editions::compiled;
use super::editions::database;

/// How often a running service looks whether another process has published an edition.
pub const LOOK_INTERVAL: Duration = Duration::from_secs(1);

/// Follows until the process ends.
#[expect(clippy::infinite_loop, reason = "the task ends with the runtime")]
pub async fn keep_in_force(app: App) {
    let mut looks = tokio::time::interval(LOOK_INTERVAL);
    loop {
        looks.tick().await;
        if let Err(error) = look(&app).await {
            tracing::warn!(%error, "the edition in force could not be looked at");
        }
    }
}

/// Looks once, and answers from the edition that is published in the database from then on.
///
/// It is compiled before anybody waits for it, and looked at again when it is this one's turn: what is published over HTTP
/// meanwhile counts.
pub async fn look(app: &App) -> Result<(), EditionError> {
    let Some(published) = news(app).await? else { return Ok(()) };
    let held = compiled(app, published).await?;
    let turn = app.publishing.lock().await;
    if news(app).await? == Some(published) {
        app.hold_shared(held);
        tracing::info!(edition = published, "another process published an edition");
    }
    drop(turn);
    Ok(())
}

/// The edition published in the database, where it is not the one that is answered from.
async fn news(app: &App) -> Result<Option<u32>, EditionError> {
    let published = published_edition(database(app)?).await?;
    let held = app.snapshot().map(|held| held.catalogue().edition().number());
    Ok(published.filter(|number| held != Some(*number)))
}
