//! `audit`: verifies the audit trail of a database, or writes it out.
//!
//! Absent here: what is on the trail, and how an entry is sealed (`store::audit`).

use clap::Subcommand;
use serde_json::json;

use crate::operations::audit::AuditEntry;
use crate::operations::audit::AuditFilter;
use crate::operations::audit::Head;
use crate::operations::audit::audit_entries;
use crate::operations::audit::verify_audit;
use crate::store::Database;

use super::Failure;
use super::print;

/// Entries written out at once.
const PAGE: u32 = 1_000;

/// Which database, and what to do with its trail.
#[derive(Debug, clap::Args)]
pub(super) struct Audit {
    /// Database file.
    #[arg(long, env = "RUNGWRIGHT_DATABASE", default_value = "rungwright.sqlite", global = true)]
    database: String,
    #[command(subcommand)]
    deed: Deed,
}

#[derive(Debug, Subcommand)]
enum Deed {
    /// Says whether the trail holds together, and prints its head; exit code 0 when it does.
    Verify {
        /// A head that was printed or logged before, SEQUENCE:HASH: finds a trail that was cut or written anew since.
        #[arg(long, value_parser = head)]
        head: Option<Head>,
    },
    /// Writes the trail out, one JSON object a line, oldest first.
    Export,
}

fn head(text: &str) -> Result<Head, String> {
    Head::parse(text).ok_or_else(|| format!("{text} is no head of a trail: SEQUENCE:HASH"))
}

/// Does what is asked with the trail.
pub(super) async fn run(options: &Audit) -> Result<(), Failure> {
    let database = Database::open(&options.database).await?;
    let done = match &options.deed {
        Deed::Verify { head } => verify(&database, head.as_ref()).await,
        Deed::Export => export(&database).await,
    };
    database.close().await;
    done
}

async fn verify(database: &Database, noted: Option<&Head>) -> Result<(), Failure> {
    let verdict = verify_audit(database, noted).await?;
    if verdict.faults.is_empty() {
        let (count, head) = (verdict.entry_count, &verdict.head);
        return print(&format!("{count} entries hold together; head {head}\n"));
    }
    let faults: Vec<String> = verdict.faults.iter().map(ToString::to_string).collect();
    Err(Failure::Trail(faults.join("; ")))
}

async fn export(database: &Database) -> Result<(), Failure> {
    let mut after = 0;
    loop {
        let filter = AuditFilter { after, ..AuditFilter::default() };
        let entries = audit_entries(database, &filter, PAGE).await?;
        let Some(last) = entries.last() else { return Ok(()) };
        after = last.sequence;
        print(&entries.iter().map(line).collect::<String>())?;
    }
}

/// Everything that the hash is of, and the hash.
fn line(entry: &AuditEntry) -> String {
    let AuditEntry {
        sequence,
        at_ms,
        actor,
        account,
        action,
        subject,
        detail,
        previous_hash,
        hash,
    } = entry;
    let object = json!({
        "sequence": sequence, "at_ms": at_ms, "actor": actor, "account": account, "action": action,
        "subject": subject, "detail": detail, "previous_hash": previous_hash, "hash": hash,
    });
    format!("{object}\n")
}
