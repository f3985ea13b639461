//! Reading the trail: page by page, and from end to end to see whether it holds together.

use sqlx::QueryBuilder;
use sqlx::Row;
use sqlx::Sqlite;
use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;
use thiserror::Error;

use crate::store::database::Database;
use crate::store::error::StoreError;

use super::chain::AuditEntry;
use super::chain::Head;
use super::chain::seal;

/// Most faults that a verification lists.
pub const FAULTS_MAX: usize = 100;
/// Entries read at once.
const PAGE: u32 = 1_000;

/// Which entries.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct AuditFilter {
    /// Only those after this place.
    pub after: i64,
    /// Who.
    pub actor: Option<Box<str>>,
    /// What.
    pub action: Option<Box<str>>,
    /// To what.
    pub subject: Option<Box<str>>,
}

/// What a verification came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verdict {
    /// How many entries there are.
    pub entry_count: u64,
    /// The end of the trail: worth keeping elsewhere.
    pub head: Head,
    /// What is wrong, in the order of the places, the first [`FAULTS_MAX`]; none when the trail holds together.
    pub faults: Vec<AuditFault>,
}

/// Something that is wrong with the trail.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum AuditFault {
    /// The entry is not the one that was sealed.
    #[error("entry {0} was changed: its hash is not that of its content")]
    Changed(i64),
    /// Entries are gone.
    #[error("entries {from} to {to} are missing")]
    Missing {
        /// The first.
        from: i64,
        /// The last.
        to: i64,
    },
    /// The entry does not follow the one before it.
    #[error(
        "entry {0} does not follow the entry before it: it was moved, or one of them was written anew"
    )]
    Unlinked(i64),
    /// The database remembers a later entry.
    #[error("the trail ends with entry {last}, and the database has numbered up to {counted}")]
    CutShort {
        /// The last there is.
        last: i64,
        /// The last there was.
        counted: i64,
    },
    /// A head that was kept elsewhere is not on the trail.
    #[error(
        "entry {0} is not on the trail as it was when its head was noted: the trail was cut or written anew"
    )]
    NotTheHead(i64),
    /// What the entry tells of is there no more, or with other content.
    #[error(
        "{subject} is not what entry {sequence} tells of: it is gone, or its content has another hash"
    )]
    Replaced {
        /// The last entry that tells of it.
        sequence: i64,
        /// The revision of a quote, or the edition.
        subject: Box<str>,
    },
}

/// Entries in their order, from a place on.
pub async fn audit_entries(
    database: &Database,
    filter: &AuditFilter,
    limit: u32,
) -> Result<Vec<AuditEntry>, StoreError> {
    let mut query = QueryBuilder::<Sqlite>::new("SELECT * FROM audit_entries WHERE sequence > ");
    query.push_bind(filter.after);
    let texts = [
        (" AND actor = ", &filter.actor),
        (" AND action = ", &filter.action),
        (" AND subject = ", &filter.subject),
    ];
    for (condition, text) in texts {
        if let Some(text) = text {
            query.push(condition).push_bind(text.to_string());
        }
    }
    query.push(" ORDER BY sequence LIMIT ").push_bind(limit);
    let mut transaction = database.begin_read().await?;
    let rows = query.build().fetch_all(&mut *transaction).await.map_err(StoreError::Read)?;
    rows.iter().map(entry).collect()
}

/// The end of the trail now.
pub async fn audit_head(database: &Database) -> Result<Head, StoreError> {
    let mut transaction = database.begin_read().await?;
    last(&mut transaction).await
}

/// The end of the trail as a connection sees it.
pub(super) async fn last(connection: &mut SqliteConnection) -> Result<Head, StoreError> {
    let sql = "SELECT sequence, hash FROM audit_entries ORDER BY sequence DESC LIMIT 1";
    let row = sqlx::query(sql).fetch_optional(connection).await.map_err(StoreError::Read)?;
    row.map_or_else(
        || Ok(Head::empty()),
        |row| {
            let hash: String = row.try_get("hash").map_err(StoreError::Read)?;
            let sequence = row.try_get("sequence").map_err(StoreError::Read)?;
            Ok(Head { sequence, hash: hash.into() })
        },
    )
}

/// Reads the whole trail and says what is wrong with it. `noted` is a head that was kept elsewhere.
///
/// Quotes and editions are compared by their content hash with what the trail tells of them; that the content has this
/// hash is looked at whenever it is read.
///
/// Changed, removed, moved and added rows are found. What no file can know of itself is found only with `noted`: a trail
/// cut at its end together with its counter, or written anew from some place on by somebody who knows how.
pub async fn verify_audit(
    database: &Database,
    noted: Option<&Head>,
) -> Result<Verdict, StoreError> {
    let mut walk = Walk::new(noted);
    loop {
        let filter = AuditFilter { after: walk.head.sequence, ..AuditFilter::default() };
        let entries = audit_entries(database, &filter, PAGE).await?;
        if entries.is_empty() {
            break;
        }
        for entry in &entries {
            walk.step(entry);
        }
    }
    walk.end(counted(database).await?);
    for fault in replaced(database).await? {
        walk.note(fault);
    }
    Ok(Verdict { entry_count: walk.count, head: walk.head, faults: walk.faults })
}

/// The verification as far as it has come.
struct Walk<'a> {
    noted: Option<&'a Head>,
    is_noted_found: bool,
    count: u64,
    head: Head,
    faults: Vec<AuditFault>,
}

impl<'a> Walk<'a> {
    fn new(noted: Option<&'a Head>) -> Self {
        let is_noted_found = noted.is_none_or(|head| *head == Head::empty());
        Self { noted, is_noted_found, count: 0, head: Head::empty(), faults: Vec::new() }
    }

    fn note(&mut self, fault: AuditFault) {
        if self.faults.len() < FAULTS_MAX {
            self.faults.push(fault);
        }
    }

    fn step(&mut self, entry: &AuditEntry) {
        let expected = self.head.sequence.saturating_add(1);
        if expected < entry.sequence {
            let to = entry.sequence.saturating_sub(1);
            self.note(AuditFault::Missing { from: expected, to });
        } else if entry.previous_hash != self.head.hash {
            self.note(AuditFault::Unlinked(entry.sequence));
        }
        let sealed = seal(entry);
        if sealed != entry.hash {
            self.note(AuditFault::Changed(entry.sequence));
        }
        self.head = Head { sequence: entry.sequence, hash: entry.hash.clone() };
        self.is_noted_found = self.is_noted_found || self.noted == Some(&self.head);
        self.count = self.count.saturating_add(1);
    }

    fn end(&mut self, counted: i64) {
        let last = self.head.sequence;
        if last < counted {
            self.note(AuditFault::CutShort { last, counted });
        }
        if let Some(noted) = self.noted.filter(|_| !self.is_noted_found) {
            self.note(AuditFault::NotTheHead(noted.sequence));
        }
    }
}

/// The last number that the database gave.
async fn counted(database: &Database) -> Result<i64, StoreError> {
    let mut transaction = database.begin_read().await?;
    let sql = "SELECT coalesce(max(seq), 0) FROM sqlite_sequence WHERE name = 'audit_entries'";
    sqlx::query_scalar(sql).fetch_one(&mut *transaction).await.map_err(StoreError::Read)
}

/// Of every quote and edition the last hash that the trail tells, beside the hash that its row carries. A quote is never
/// removed; an edition that nobody sells from may be, and then there is nothing to compare.
const REPLACED: &str = "
    WITH told AS (
        SELECT max(sequence) AS sequence, subject, action LIKE 'quote-%' AS is_quote,
            CASE WHEN json_valid(detail) THEN json_extract(detail, '$.content_hash') END AS hash
        FROM audit_entries WHERE action LIKE 'quote-%' OR action LIKE 'edition-%'
        GROUP BY subject, is_quote
    )
    SELECT told.sequence, told.subject FROM told
    LEFT JOIN quotes ON told.is_quote AND quotes.number = substr(told.subject, 1, instr(told.subject, '/') - 1)
        AND quotes.revision = CAST(substr(told.subject, instr(told.subject, '/') + 1) AS INTEGER)
    LEFT JOIN editions ON NOT told.is_quote AND editions.number = CAST(told.subject AS INTEGER)
    WHERE told.hash IS NOT coalesce(quotes.content_hash, editions.content_hash)
        AND (told.is_quote OR editions.number IS NOT NULL)
    ORDER BY told.sequence LIMIT ?";

async fn replaced(database: &Database) -> Result<Vec<AuditFault>, StoreError> {
    let mut transaction = database.begin_read().await?;
    let rows = sqlx::query_as(REPLACED).bind(i64::try_from(FAULTS_MAX).unwrap_or(i64::MAX));
    let rows: Vec<(i64, String)> =
        rows.fetch_all(&mut *transaction).await.map_err(StoreError::Read)?;
    let fault = |(sequence, subject): (i64, String)| AuditFault::Replaced {
        sequence,
        subject: subject.into(),
    };
    Ok(rows.into_iter().map(fault).collect())
}

fn entry(row: &SqliteRow) -> Result<AuditEntry, StoreError> {
    let text = |column| {
        let found: Result<String, _> = row.try_get(column);
        found.map(Box::from).map_err(StoreError::Read)
    };
    let number = |column| row.try_get::<i64, _>(column).map_err(StoreError::Read);
    Ok(AuditEntry {
        sequence: number("sequence")?,
        at_ms: number("at_ms")?,
        actor: text("actor")?,
        account: text("account")?,
        action: text("action")?,
        subject: text("subject")?,
        detail: text("detail")?,
        previous_hash: text("previous_hash")?,
        hash: text("hash")?,
    })
}
