//! `export`: an edition out of a database as a folder of CSV files, a ZIP archive or a JSON document.

use std::io;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;

use clap::ValueEnum;
use thiserror::Error;

use crate::domain::catalogue::Edition;
use crate::operations::load_edition;
use crate::operations::load_edition::LoadError;
use crate::operations::load_edition::Upload;
use crate::operations::start;
use crate::operations::start::StartError;
use crate::store::Database;
use crate::store::StoreError;
use crate::store::load_edition as read_edition;
use crate::store::published_edition;

/// What to write, and where.
#[derive(Debug, clap::Args)]
pub(super) struct Export {
    /// The folder or file to write; - writes an archive or a document to standard output. A folder is made, and files of
    /// the same names in it are replaced.
    target: PathBuf,
    /// Number of the edition; the one in force when left out.
    #[arg(long)]
    edition: Option<u32>,
    /// The form.
    #[arg(long, default_value = "folder")]
    form: Form,
    /// Database file; the demonstration catalogue when left out.
    #[arg(long, env = "RUNGWRIGHT_DATABASE")]
    database: Option<String>,
}

/// In which form a catalogue is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    /// A folder of CSV files.
    Folder,
    /// A ZIP archive of them.
    Zip,
    /// One JSON document.
    Json,
}

/// Why nothing was written.
#[derive(Debug, Error)]
pub(super) enum ExportError {
    #[error("could not read the database")]
    Open(#[from] StoreError),
    #[error("could not load the catalogue")]
    Start(#[from] StartError),
    #[error("the edition cannot be written faithfully")]
    Unfaithful(#[from] LoadError),
    #[error("could not make the archive")]
    Archive(#[source] Box<dyn std::error::Error + Send + Sync>),
    #[error("could not make the document")]
    Document(#[source] serde_json::Error),
    #[error("could not write {0}")]
    Write(String, #[source] io::Error),
    #[error("a folder cannot be written to standard output; choose --form zip or --form json")]
    FolderToOutput,
}

/// Does it.
pub(super) async fn export(options: &Export) -> Result<(), ExportError> {
    let out = load_edition::faithful(&chosen(options).await?)?;
    let shown = options.target.display().to_string();
    let unwritten = |error| ExportError::Write(shown.clone(), error);
    match options.form {
        Form::Folder if options.target == Path::new("-") => Err(ExportError::FolderToOutput),
        Form::Folder => write_folder(&out, &options.target).map_err(unwritten),
        Form::Zip => {
            let bytes = out.zip().map_err(|error| ExportError::Archive(error.into()))?;
            write(&options.target, &bytes).map_err(unwritten)
        }
        Form::Json => {
            let mut bytes =
                serde_json::to_vec_pretty(&out.json()).map_err(ExportError::Document)?;
            bytes.push(b'\n');
            write(&options.target, &bytes).map_err(unwritten)
        }
    }
}

async fn chosen(options: &Export) -> Result<Edition, ExportError> {
    let Some(address) = &options.database else {
        return Ok(start::demo()?.catalogue.edition().clone());
    };
    let database = Database::open(address).await?;
    let number = match options.edition {
        Some(number) => number,
        None => published_edition(&database).await?.ok_or(StartError::Empty)?,
    };
    let edition = read_edition(&database, number).await?;
    database.close().await;
    Ok(edition)
}

fn write_folder(out: &Upload, folder: &Path) -> io::Result<()> {
    for (name, bytes) in out.files() {
        let path = folder.join(name);
        if let Some(above) = path.parent() {
            std::fs::create_dir_all(above)?;
        }
        std::fs::write(path, bytes)?;
    }
    Ok(())
}

fn write(target: &Path, bytes: &[u8]) -> io::Result<()> {
    if target == Path::new("-") {
        let mut output = io::stdout().lock();
        output.write_all(bytes)?;
        return output.flush();
    }
    std::fs::write(target, bytes)
}
