//! Lists of quotes: heads only, newest first, page by page.

use jiff::Timestamp;
use sqlx::QueryBuilder;
use sqlx::Row;
use sqlx::Sqlite;
use sqlx::sqlite::SqliteRow;

use crate::domain::access::Account;
use crate::domain::money::Currency;
use crate::domain::money::Minor;
use crate::domain::quote::QuoteNumber;
use crate::domain::quote::QuoteState;
use crate::store::database::Database;
use crate::store::error::StoreError;

use super::change::state_filter;
use super::rows::get;
use super::rows::instant;
use super::rows::word;

/// Which quotes of an account.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteFilter {
    /// Whose.
    pub account: Account,
    /// State at `now`.
    pub state: Option<QuoteState>,
    /// The customer's reference, whole.
    pub customer_reference: Option<Box<str>>,
    /// Name of a room, whole.
    pub room: Option<Box<str>>,
    /// A part on it.
    pub sku: Option<Box<str>>,
    /// Drafted at or after.
    pub created_from: Option<Timestamp>,
    /// Drafted before.
    pub created_before: Option<Timestamp>,
    /// Only those listed after this place.
    pub after: Option<i64>,
}

/// What a list shows of a revision.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteHead {
    /// Its place in the order of all revisions.
    pub place: i64,
    /// Number.
    pub number: QuoteNumber,
    /// Revision.
    pub revision: u32,
    /// State at the time asked.
    pub state: QuoteState,
    /// The customer's reference.
    pub customer_reference: Option<Box<str>>,
    /// Currency of the gross.
    pub currency: Currency,
    /// What is payable.
    pub gross: Minor,
    /// When it was drafted.
    pub created_at: Timestamp,
    /// Last day.
    pub valid_until: Box<str>,
}

/// A page of revisions, newest first.
pub async fn list_quotes(
    database: &Database,
    filter: &QuoteFilter,
    (now, limit): (Timestamp, u32),
) -> Result<Vec<QuoteHead>, StoreError> {
    let mut query = QueryBuilder::<Sqlite>::new(
        "SELECT id, number, revision, state, customer_reference, currency, gross_minor, created_ms, expires_ms, \
         valid_until FROM quotes WHERE account = ",
    );
    query.push_bind(filter.account.name().to_owned());
    if let Some(state) = filter.state {
        let (word, is_over) = state_filter(state);
        query.push(" AND state = ").push_bind(word);
        match is_over {
            Some(true) => {
                query.push(" AND expires_ms <= ").push_bind(now.as_millisecond());
            }
            Some(false) => {
                query.push(" AND expires_ms > ").push_bind(now.as_millisecond());
            }
            None => {}
        }
    }
    if let Some(reference) = &filter.customer_reference {
        query.push(" AND customer_reference = ").push_bind(reference.to_string());
    }
    if let Some(room) = &filter.room {
        query.push(" AND id IN (SELECT quote_id FROM quote_rooms WHERE name = ");
        query.push_bind(room.to_string()).push(")");
    }
    if let Some(sku) = &filter.sku {
        query.push(" AND EXISTS (SELECT 1 FROM quote_lines WHERE quote_id = id AND sku = ");
        query.push_bind(sku.to_string()).push(")");
    }
    if let Some(from) = filter.created_from {
        query.push(" AND created_ms >= ").push_bind(from.as_millisecond());
    }
    if let Some(before) = filter.created_before {
        query.push(" AND created_ms < ").push_bind(before.as_millisecond());
    }
    if let Some(after) = filter.after {
        query.push(" AND id < ").push_bind(after);
    }
    query.push(" ORDER BY id DESC LIMIT ").push_bind(limit);
    let mut transaction = database.begin_read().await?;
    let rows = query.build().fetch_all(&mut *transaction).await.map_err(StoreError::Read)?;
    rows.iter().map(|row| head(row, now)).collect()
}

fn head(row: &SqliteRow, now: Timestamp) -> Result<QuoteHead, StoreError> {
    let text: String = row.try_get("number").map_err(StoreError::Read)?;
    let number = QuoteNumber::parse(&text).ok_or_else(|| StoreError::Row {
        table: "quotes",
        key: text.as_str().into(),
        column: "number",
        source: "no number of a quote".into(),
    })?;
    let at = |column| instant(row, &number, column).map(Option::unwrap_or_default);
    let stored = word(row, &number, ("state", QuoteState::parse))?;
    let is_over = stored == QuoteState::Issued && at("expires_ms")? <= now;
    let reference: Option<String> = get(row, &number, "customer_reference")?;
    Ok(QuoteHead {
        place: get(row, &number, "id")?,
        revision: get(row, &number, "revision")?,
        state: if is_over { QuoteState::Expired } else { stored },
        customer_reference: reference.map(Into::into),
        currency: word(row, &number, ("currency", Currency::parse))?,
        gross: Minor::new(get(row, &number, "gross_minor")?),
        created_at: at("created_ms")?,
        valid_until: get::<String>(row, &number, "valid_until")?.into(),
        number,
    })
}
