//! The mark that one process writes quotes to a database file: taken at the start, let go when the process ends.
//!
//! Requests that are being answered are known to their own process alone, so a second process on the same file could
//! not say "still running" to a repeated key. The mark is a lock on a file beside the database, which the operating
//! system lets go of however the process ends. Absent here: who may read.

use std::fs::File;
use std::fs::TryLockError;

use super::database::file_of;
use super::error::StoreError;

/// The mark, for as long as it is held.
#[derive(Debug)]
pub struct SoleWriter {
    _mark: Option<File>,
}

impl SoleWriter {
    /// Takes the mark of a database address; a database in memory belongs to its process anyway.
    pub fn take(address: &str) -> Result<Self, StoreError> {
        let Some(path) = file_of(address) else { return Ok(Self { _mark: None }) };
        let place = format!("{path}.writer");
        let unmarked = |source| StoreError::WriterMark { place: place.as_str().into(), source };
        let mark = File::options().create(true).truncate(false).write(true).open(&place);
        let mark = mark.map_err(unmarked)?;
        match mark.try_lock() {
            Ok(()) => Ok(Self { _mark: Some(mark) }),
            Err(TryLockError::WouldBlock) => Err(StoreError::SecondWriter(path.into())),
            Err(TryLockError::Error(source)) => Err(unmarked(source)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_second_writer_is_refused_until_the_first_has_gone() {
        let folder = std::env::temp_dir().join(format!("rungwright-writer-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let path = folder.join("quotes.sqlite");
        let address = format!("sqlite://{}?mode=rwc", path.display());
        let first = SoleWriter::take(path.to_str().unwrap()).unwrap();
        let second = SoleWriter::take(&address).unwrap_err();
        assert!(second.to_string().contains("another process"), "{second}");
        drop(first);
        drop(SoleWriter::take(&address).unwrap());
        std::fs::remove_dir_all(&folder).unwrap();
        assert!(SoleWriter::take(":memory:").is_ok());
    }
}
