//! The one writer: takes what waits, does it in one transaction, commits once, and answers only then.
//!
//! While a commit waits for the disk, more requests queue up; they share the next commit. If anything of a batch goes
//! wrong, all of it is rolled back and each request is done again alone, so that one cannot spoil another.
//! Absent here: what a request does to the rows (`create`, `change`).

use std::future::Future;
use std::sync::Arc;

use sqlx::SqliteConnection;
use thiserror::Error;
use tokio::sync::mpsc;
use tokio::sync::oneshot;

use crate::store::database::Database;
use crate::store::error::StoreError;

use super::answer::Written;
use super::change::QuoteChange;
use super::change::change;
use super::create::create;
use super::new_quote::NewQuote;
use super::new_quote::Prepared;

/// Most requests that share a commit.
pub const BATCH_MAX: usize = 128;
/// Most requests that wait; one more is refused at once.
pub const QUEUE_MAX: usize = 512;

/// Something to be written.
#[derive(Debug, Clone)]
pub enum QuoteWrite {
    /// A draft or a revision.
    Create(Box<NewQuote>),
    /// A change of state.
    Change(Box<QuoteChange>),
}

/// Why a write has no answer. Nothing of it was kept.
#[derive(Debug, Clone, Error)]
pub enum WriteFailure {
    /// Too many requests wait.
    #[error("too many writes wait already")]
    QueueFull,
    /// The program is on its way out.
    #[error("the writer has ended")]
    Ended,
    /// The database refused.
    #[error("the quote could not be written")]
    Store(#[source] Arc<StoreError>),
}

type Answer = Result<Written, WriteFailure>;

/// Something to be written, made ready.
#[derive(Debug)]
enum Ready {
    Create(Box<Prepared>),
    Change(Box<QuoteChange>),
}

#[derive(Debug)]
struct Job {
    write: Ready,
    answer: oneshot::Sender<Answer>,
}

/// The way to the writer. Cloning it is cheap; the writer ends with the last clone.
#[derive(Debug, Clone)]
pub struct QuoteWriter {
    queue: mpsc::Sender<Job>,
}

impl QuoteWriter {
    /// The way to a writer of a database, and the writer itself, to be spawned.
    pub fn new(database: Database) -> (Self, impl Future<Output = ()> + Send + 'static) {
        let (queue, jobs) = mpsc::channel(QUEUE_MAX);
        (Self { queue }, run(database, jobs))
    }

    /// Writes, and answers once it is on the disk.
    pub async fn write(&self, write: QuoteWrite) -> Answer {
        // Made ready here, by whoever asks: the writer has only rows to write.
        let write = match write {
            QuoteWrite::Create(new) => Ready::Create(Box::new(Prepared::of(*new))),
            QuoteWrite::Change(change) => Ready::Change(change),
        };
        let (answer, answered) = oneshot::channel();
        self.queue.try_send(Job { write, answer }).map_err(|error| match error {
            mpsc::error::TrySendError::Full(_) => WriteFailure::QueueFull,
            mpsc::error::TrySendError::Closed(_) => WriteFailure::Ended,
        })?;
        answered.await.unwrap_or(Err(WriteFailure::Ended))
    }
}

async fn run(database: Database, mut jobs: mpsc::Receiver<Job>) {
    let mut batch = Vec::with_capacity(BATCH_MAX);
    while 0 < jobs.recv_many(&mut batch, BATCH_MAX).await {
        // Whoever has stopped waiting is not served: nothing was begun for it.
        let waiting: Vec<Job> = batch.drain(..).filter(|job| !job.answer.is_closed()).collect();
        let writes: Vec<&Ready> = waiting.iter().map(|job| &job.write).collect();
        let answers = match together(&database, &writes).await {
            Ok(answers) => answers.into_iter().map(Ok).collect(),
            Err(error) => one_by_one(&database, &writes, error).await,
        };
        for (job, answer) in waiting.into_iter().zip(answers) {
            // The caller may be gone; what was written stands, and its key will find it.
            drop(job.answer.send(answer));
        }
    }
}

/// All in one transaction, or none.
async fn together(database: &Database, writes: &[&Ready]) -> Result<Vec<Written>, StoreError> {
    if writes.is_empty() {
        return Ok(Vec::new());
    }
    let mut transaction = database.begin_write().await?;
    let mut answers = Vec::with_capacity(writes.len());
    // Drafts that stand next to each other in the queue share their statements.
    let both_create = |one: &&Ready, other: &&Ready| one.is_create() && other.is_create();
    for run in writes.chunk_by(both_create) {
        answers.extend(perform(&mut transaction, run).await?);
    }
    transaction.commit().await.map_err(StoreError::Write)?;
    Ok(answers)
}

async fn one_by_one(database: &Database, writes: &[&Ready], error: StoreError) -> Vec<Answer> {
    if let [_] = writes {
        return vec![Err(WriteFailure::Store(Arc::new(error)))];
    }
    let mut answers = Vec::with_capacity(writes.len());
    for write in writes {
        let alone = together(database, &[*write]).await;
        answers.push(match alone {
            Ok(mut written) => written.pop().ok_or(WriteFailure::Ended),
            Err(own) => Err(WriteFailure::Store(Arc::new(own))),
        });
    }
    answers
}

/// A run of drafts, or one change.
async fn perform(
    connection: &mut SqliteConnection,
    run: &[&Ready],
) -> Result<Vec<Written>, StoreError> {
    let mut written = Vec::with_capacity(run.len());
    let mut news = Vec::with_capacity(run.len());
    for write in run {
        match write {
            Ready::Create(prepared) => news.push(&**prepared),
            Ready::Change(wanted) => written.push(change(connection, wanted).await?),
        }
    }
    if !news.is_empty() {
        written.extend(create(connection, &news).await?);
    }
    Ok(written)
}

impl Ready {
    const fn is_create(&self) -> bool {
        match self {
            Self::Create(_) => true,
            Self::Change(_) => false,
        }
    }
}
