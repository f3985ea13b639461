//! Loading a catalogue: bytes into a draft, whole or as changes to an edition; and out again.
//!
//! All of it or nothing: every fault comes back with its file, row and column, only a content without any is written,
//! and it is seen when all of it is there. Absent here: where the bytes come from.

use std::collections::BTreeMap;

use thiserror::Error;
use tokio::runtime::Handle;
use tokio::task::spawn_blocking;

pub use crate::store::catalogue_files::FileFault;
pub use crate::store::catalogue_files::REMOVALS;
pub use crate::store::catalogue_files::Upload;
pub use crate::store::catalogue_files::csv_bytes;
pub use crate::store::drafts::Drafted;
pub use crate::store::drafts::NewDraft;

use crate::domain::catalogue::Edition;
use crate::store::StoreError;
use crate::store::content_hash;
use crate::store::drafts::save_draft;
use crate::store::quotes::saved_answer;

use super::App;
use super::editions::EditionError;
use super::editions::database;
use super::editions::read;

/// The form in which a catalogue comes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Handed {
    /// One JSON document.
    Json(Vec<u8>),
    /// A ZIP archive.
    Zip(Vec<u8>),
    /// Files by name.
    Files(BTreeMap<String, Vec<u8>>),
}

/// Why nothing was loaded.
#[derive(Debug, Error)]
pub enum LoadError {
    /// The catalogue is at fault: everything that is.
    #[error("the catalogue has {} faults", .0.len())]
    Faults(Vec<FileFault>),
    /// The first request with this key is still being answered.
    #[error("the first request with this key is still being answered")]
    KeyRunning,
    /// The edition could not be read or written.
    #[error(transparent)]
    Edition(#[from] EditionError),
}

impl From<StoreError> for LoadError {
    fn from(error: StoreError) -> Self {
        Self::Edition(error.into())
    }
}

impl Handed {
    /// Cuts it into tables.
    pub fn open(self) -> Upload {
        match self {
            Self::Json(bytes) => Upload::of_json(&bytes),
            Self::Zip(bytes) => Upload::of_zip(&bytes),
            Self::Files(files) => Upload::of_files(&files),
        }
    }
}

/// Loads a catalogue as a draft. Repeated with the same key, it gives the answer of the first time.
pub async fn load(app: &App, handed: Handed, new: NewDraft) -> Result<Drafted, LoadError> {
    let database = database(app)?.clone();
    let mut held = None;
    if let Some(request) = &new.request {
        let key = app.desk().and_then(|desk| desk.hold_key(request));
        held = Some(key.ok_or(LoadError::KeyRunning)?);
        if let Some(answer) = saved_answer(&database, request, new.now).await? {
            let is_same = answer.request_hash == request.request_hash;
            return Ok(if is_same { Drafted::Replayed(answer) } else { Drafted::KeyReused });
        }
    }
    let base = match new.base {
        Some(number) => Some(read(app, number).await?),
        None => None,
    };
    let making = spawn_blocking(move || handed.open().edition(base.as_ref().map(Edition::content)));
    let edition = making.await.map_err(EditionError::from)?.map_err(LoadError::Faults)?;
    let runtime = Handle::current();
    let saving = spawn_blocking(move || runtime.block_on(save_draft(&database, &edition, &new)));
    let drafted = saving.await.map_err(EditionError::from)??;
    drop(held);
    Ok(drafted)
}

/// What an edition holds, ready to be written in any form; with what it would take to lose something on the way told.
pub async fn unload(app: &App, number: u32) -> Result<Upload, LoadError> {
    let edition = read(app, number).await?;
    let opened = spawn_blocking(move || faithful(&edition)).await;
    opened.map_err(EditionError::from)?
}

/// The tables of an edition, proved to give the same edition when they are read again.
pub fn faithful(edition: &Edition) -> Result<Upload, LoadError> {
    let out = Upload::of_content(edition.content());
    let back = Upload::of_content(edition.content()).content(None).map_err(LoadError::Faults)?;
    if content_hash(&back)? == content_hash(edition.content())? {
        return Ok(out);
    }
    let fault = FileFault {
        file: "catalogue".into(),
        row: None,
        column: None,
        value: "".into(),
        allowed: "the edition holds something that files cannot say, such as a blank inside a word"
            .to_owned(),
    };
    Err(LoadError::Faults(vec![fault]))
}
