//! Sample requests of an edition.

use sqlx::SqliteConnection;

use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::SampleRequest;
use crate::store::error::StoreError;

use super::fields::Fields;
use super::rows::Table;

/// Rows of `sample_requests`.
pub(super) fn sample_rows(content: &EditionContent) -> Table {
    let rows = content.samples.iter();
    let rows = rows.map(|sample| vec![(*sample.name).into(), (*sample.request).into()]);
    Table { insert: "INSERT INTO sample_requests (edition, name, request) ", rows: rows.collect() }
}

/// The sample requests of an edition.
pub(super) async fn load_samples(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Vec<SampleRequest>, StoreError> {
    let select = "SELECT * FROM sample_requests WHERE edition = ? ORDER BY name";
    let rows = sqlx::query(select).bind(edition).fetch_all(connection).await;
    let read = |row| {
        let fields = Fields::new("sample_requests", "name", row);
        Ok(SampleRequest { name: fields.text("name")?, request: fields.text("request")? })
    };
    rows.map_err(StoreError::Read)?.iter().map(read).collect()
}
