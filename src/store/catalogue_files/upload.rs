//! What a keeper hands in: tables and documents by name, whole or as changes to an edition, with every fault so far.
//!
//! Changes are rows told apart by the key columns of their file: a known key changes the cells of the columns that are
//! given, an unknown key adds a row. `removals.csv` (columns `file` and `key`) takes rows away; with a part go its prices,
//! its quantity breaks and its carton. Absent here: what the rows mean.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::SAMPLES_MAX;

use super::changes;
use super::documents;
use super::documents::WrongDocument;
use super::fault::Faults;
use super::fault::FileFault;
use super::files::FILES;
use super::files::OPTIONAL_FILES;
use super::files::content_of;
use super::locate::Places;
use super::table::read_table;
use super::tables::Documents;
use super::tables::REMOVALS;
use super::tables::Tables;
use super::write::tables_of;

/// The content of an edition in files by name, or **every** fault in them, in order of file and row.
///
/// ```
/// use std::collections::BTreeMap;
/// use rungwright::store::catalogue_files::read;
/// // A missing file is a fault, not an empty catalogue; so is a misspelt one.
/// let faults = read(&BTreeMap::from([("body.csv".to_owned(), Vec::new())])).unwrap_err();
/// assert_eq!(faults.len(), 1 + rungwright::store::catalogue_files::FILES.len());
/// ```
pub fn read(files: &BTreeMap<String, Vec<u8>>) -> Result<EditionContent, Vec<FileFault>> {
    Upload::of_files(files).content(None)
}

/// A catalogue, or changes to one, as handed in.
#[derive(Debug, Default)]
pub struct Upload {
    tables: Tables,
    documents: Documents,
    faults: Faults,
}

impl Upload {
    /// Files by name.
    pub fn of_files(files: &BTreeMap<String, Vec<u8>>) -> Self {
        let mut upload = Self::default();
        for (name, bytes) in files {
            upload.add_file(name, bytes);
        }
        upload
    }

    /// What an edition holds.
    pub fn of_content(content: &EditionContent) -> Self {
        let documents = documents::of_content(content);
        Self { tables: tables_of(content), documents, faults: Faults::default() }
    }

    /// Adds a file by its name: a table, or a document of one of the two folders.
    pub(super) fn add_file(&mut self, name: &str, bytes: &[u8]) {
        if documents::is_document(name) {
            self.add_document(name, documents::read(name, bytes));
        } else if let Some(known) = known_file(name) {
            if let Some(table) = read_table(known, bytes, &mut self.faults) {
                self.tables.insert(known, table);
            }
        } else {
            self.faults.of_file(name, name, allowed_names());
        }
    }

    /// Adds a document, or says what is wrong with it.
    pub(super) fn add_document(&mut self, path: &str, read: Result<Box<str>, WrongDocument>) {
        match read {
            Ok(text) => {
                self.documents.insert(path.into(), text);
            }
            Err(wrong) => self.faults.of_file(path, &wrong.value, wrong.allowed),
        }
        if self.documents.len() == SAMPLES_MAX.saturating_add(1) {
            let allowed = format!("at most {SAMPLES_MAX} sample requests");
            self.faults.of_file(documents::SAMPLES, "", allowed);
        }
    }

    /// The tables handed in.
    pub(super) const fn tables(&self) -> &Tables {
        &self.tables
    }

    /// The tables handed in, to be added to.
    pub(super) const fn tables_mut(&mut self) -> &mut Tables {
        &mut self.tables
    }

    /// The documents handed in.
    pub(super) const fn documents(&self) -> &Documents {
        &self.documents
    }

    /// The faults so far, to be added to.
    pub(super) const fn faults_mut(&mut self) -> &mut Faults {
        &mut self.faults
    }

    /// Notes that something is wrong with a file or the whole of what was handed in.
    pub(super) fn blame(&mut self, file: &str, value: &str, allowed: String) {
        self.faults.of_file(file, value, allowed);
    }

    /// Rows of all tables together: what a progress bar counts.
    pub fn row_count(&self) -> usize {
        self.tables.values().map(|table| table.rows.len()).sum()
    }

    /// The content, or **every** fault. With a base it is the base's content with these changes.
    pub fn content(
        mut self,
        base: Option<&EditionContent>,
    ) -> Result<EditionContent, Vec<FileFault>> {
        let content = self.read(base);
        let faults = self.faults.into_sorted();
        if faults.is_empty() { Ok(content) } else { Err(faults) }
    }

    /// The edition that the content makes, not yet numbered, or **every** fault: of cells first, and only when there is
    /// none, of what does not hang together.
    pub fn edition(mut self, base: Option<&EditionContent>) -> Result<Edition, Vec<FileFault>> {
        let content = self.read(base);
        if !self.faults.is_empty() {
            return Err(self.faults.into_sorted());
        }
        Edition::new(0, content).map_err(|found| {
            let mut places = Places::new(&self.tables);
            for fault in &found {
                self.faults.push_found(places.locate(fault));
            }
            self.faults.into_sorted()
        })
    }

    fn read(&mut self, base: Option<&EditionContent>) -> EditionContent {
        match base {
            Some(base) => self.apply_to(base),
            None => self.check_whole(),
        }
        let mut content = content_of(&self.tables, &mut self.faults);
        documents::fill(&self.documents, &mut content);
        content
    }

    fn check_whole(&mut self) {
        let given: BTreeSet<&str> = self.tables.keys().copied().collect();
        for name in FILES.into_iter().filter(|name| !given.contains(name)) {
            // A file that is there and cannot be read is blamed already.
            if self.faults.are_none_in(name) {
                self.faults.of_file(name, "", "the file is missing and needed".to_owned());
            }
        }
        if self.tables.remove(REMOVALS).is_some() {
            let allowed =
                "rows are taken away from an edition that the changes are based on; name it";
            self.faults.of_file(REMOVALS, REMOVALS, allowed.to_owned());
        }
    }

    fn apply_to(&mut self, base: &EditionContent) {
        let mut tables = tables_of(base);
        let mut documents = documents::of_content(base);
        if let Some(removals) = self.tables.remove(REMOVALS) {
            changes::remove(&removals, (&mut tables, &mut documents), &mut self.faults);
        }
        for (name, table) in std::mem::take(&mut self.tables) {
            changes::overlay(&mut tables, name, table, &mut self.faults);
        }
        documents.append(&mut self.documents);
        self.tables = tables;
        self.documents = documents;
    }
}

/// The name of a file as this program writes it.
pub(super) fn known_file(name: &str) -> Option<&'static str> {
    FILES.into_iter().chain(OPTIONAL_FILES).chain([REMOVALS]).find(|known| *known == name)
}

pub(super) fn allowed_names() -> String {
    let named = [FILES.join(", "), OPTIONAL_FILES.join(", ")].join(", and if wanted ");
    format!("the files are {named}, {}; {REMOVALS} beside changes", documents::FOLDERS.join(", "))
}
