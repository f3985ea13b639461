//! A catalogue as a ZIP archive of its files.
//!
//! An archive is never unpacked to a disk. What it says of its own sizes is not believed: every entry is read up to a
//! limit and no farther. Absent here: what the files mean.

use std::collections::BTreeSet;
use std::io::Cursor;
use std::io::Read;
use std::io::Write;

use zip::CompressionMethod;
use zip::DateTime;
use zip::ZipArchive;
use zip::ZipWriter;
use zip::read::ZipFile;
use zip::result::ZipResult;
use zip::write::SimpleFileOptions;

use super::documents::is_document;
use super::table::FILE_BYTES_MAX;
use super::upload::Upload;
use super::upload::allowed_names;

/// Entries of an archive at most.
pub const ENTRIES_MAX: usize = 2_000;

/// Bytes of all unpacked entries together at most.
pub const UNPACKED_BYTES_MAX: usize = 256 * 1024 * 1024;

/// What faults of the archive as a whole are blamed on.
const ARCHIVE: &str = "archive";

impl Upload {
    /// A catalogue in a ZIP archive: its files, alone or in one folder.
    pub fn of_zip(bytes: &[u8]) -> Self {
        let mut upload = Self::default();
        match ZipArchive::new(Cursor::new(bytes)) {
            Ok(archive) => read_entries(archive, &mut upload),
            Err(error) => {
                upload.blame(ARCHIVE, "", format!("a ZIP archive of CSV files ({error})"));
            }
        }
        upload
    }

    /// The whole as a ZIP archive; the same content gives the same bytes.
    pub fn zip(&self) -> ZipResult<Vec<u8>> {
        let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
        let options = SimpleFileOptions::default()
            .compression_method(CompressionMethod::Deflated)
            .last_modified_time(DateTime::default());
        for (name, bytes) in self.files() {
            writer.start_file(name, options)?;
            writer.write_all(&bytes)?;
        }
        Ok(writer.finish()?.into_inner())
    }
}

type Archive<'a> = ZipArchive<Cursor<&'a [u8]>>;

fn read_entries(mut archive: Archive<'_>, upload: &mut Upload) {
    if ENTRIES_MAX < archive.len() {
        let allowed = format!("an archive has at most {ENTRIES_MAX} entries");
        return upload.blame(ARCHIVE, &archive.len().to_string(), allowed);
    }
    let folder = folder_of(&archive);
    let mut reading = Reading { upload, folder, left: UNPACKED_BYTES_MAX, seen: BTreeSet::new() };
    for index in 0..archive.len() {
        let read = match archive.by_index(index) {
            Ok(entry) => reading.entry(entry),
            Err(error) => {
                let allowed = format!("a plain entry ({error})");
                reading.upload.blame(ARCHIVE, &format!("entry {index}"), allowed);
                Ok(())
            }
        };
        if read.is_err() {
            // Whoever packed this has no more to say: reading on would only cost.
            return;
        }
    }
    if reading.seen.is_empty() {
        reading.upload.blame(ARCHIVE, "", allowed_names());
    }
}

struct Reading<'a> {
    upload: &'a mut Upload,
    folder: String,
    left: usize,
    seen: BTreeSet<String>,
}

/// The archive unpacks to more than is allowed.
struct TooLarge;

impl Reading<'_> {
    fn entry(&mut self, mut entry: ZipFile<'_, Cursor<&[u8]>>) -> Result<(), TooLarge> {
        let name = match entry.name() {
            Ok(name) => name.into_owned(),
            Err(error) => {
                self.upload.blame(ARCHIVE, "", format!("names in UTF-8 ({error})"));
                return Ok(());
            }
        };
        if entry.is_dir() && entry.enclosed_name().is_some() {
            return Ok(());
        }
        let stays_inside = entry.enclosed_name().is_some() && !name.starts_with('/');
        if !entry.is_file() || !stays_inside || name.contains(['\\', ':']) {
            let allowed = "a file inside the archive: no link, no absolute path, no ..".to_owned();
            self.upload.blame(ARCHIVE, &name, allowed);
            return Ok(());
        }
        let inner = name.strip_prefix(&*self.folder).unwrap_or(&name).to_owned();
        if !self.seen.insert(inner.clone()) {
            self.upload.blame(&inner, &name, "the archive holds a file once".to_owned());
            return Ok(());
        }
        self.unpack(&inner, &mut entry)
    }

    fn unpack<R: Read>(&mut self, inner: &str, entry: &mut R) -> Result<(), TooLarge> {
        match unpacked(entry, self.left.min(FILE_BYTES_MAX)) {
            Ok(Some(bytes)) => {
                self.left = self.left.saturating_sub(bytes.len());
                self.upload.add_file(inner, &bytes);
                Ok(())
            }
            Ok(None) => {
                let allowed = format!(
                    "a file unpacks to at most {FILE_BYTES_MAX} bytes, all of them together to {UNPACKED_BYTES_MAX}"
                );
                self.upload.blame(inner, inner, allowed);
                Err(TooLarge)
            }
            Err(error) => {
                self.upload.blame(inner, inner, format!("an entry that unpacks ({error})"));
                Ok(())
            }
        }
    }
}

/// The one folder in which everything lies, with its slash; empty when the files lie at the top.
fn folder_of(archive: &Archive<'_>) -> String {
    let names = archive.file_names().filter_map(Result::ok).filter(|name| !name.ends_with('/'));
    let names: Vec<_> = names.collect();
    let first = names.first().and_then(|name| name.split_once('/'));
    let folder = first.map(|(folder, _)| format!("{folder}/")).unwrap_or_default();
    if is_document(&folder) || !names.iter().all(|name| name.starts_with(&*folder)) {
        return String::new();
    }
    folder
}

/// The bytes of an entry, or nothing when there are more than allowed.
fn unpacked<R: Read>(entry: &mut R, most: usize) -> std::io::Result<Option<Vec<u8>>> {
    let limit = u64::try_from(most).unwrap_or(u64::MAX).saturating_add(1);
    let mut bytes = Vec::new();
    entry.take(limit).read_to_end(&mut bytes)?;
    Ok((bytes.len() <= most).then_some(bytes))
}
