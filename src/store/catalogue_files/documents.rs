//! Documents beside the tables: sample requests, one JSON file each in a folder, and the list of wiring rules.

use std::collections::BTreeMap;
use std::error::Error as _;

use serde_json::Value;

use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::SAMPLE_BYTES_MAX;
use crate::domain::catalogue::SampleRequest;
use crate::store::rule_packs;

use super::table::BYTE_ORDER_MARK;
use super::tables::Documents;

/// The folder of sample requests.
pub(super) const SAMPLES: &str = "sample_requests";

/// What documents are called, for whoever misspells one.
pub(super) const FOLDERS: [&str; 1] = ["sample_requests/NAME.json"];

/// Letters of a name at most.
const NAME_MAX: usize = 60;

/// Whether a path is that of a document.
pub(super) fn is_document(path: &str) -> bool {
    path == rule_packs::FILE || path.split_once('/').is_some_and(|(folder, _)| folder == SAMPLES)
}

/// What is wrong with a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct WrongDocument {
    /// What stands there.
    pub value: String,
    /// What is allowed.
    pub allowed: String,
}

/// The document of a path as compact JSON.
pub(super) fn read(path: &str, bytes: &[u8]) -> Result<Box<str>, WrongDocument> {
    let bytes = bytes.strip_prefix(BYTE_ORDER_MARK).unwrap_or(bytes);
    if path == rule_packs::FILE {
        return wiring_rules(bytes);
    }
    if SAMPLE_BYTES_MAX < bytes.len() {
        let allowed = format!("a sample request has at most {SAMPLE_BYTES_MAX} bytes");
        return Err(wrong(&bytes.len().to_string(), allowed));
    }
    match serde_json::from_slice(bytes) {
        Ok(value) => from_value(path, &value),
        Err(error) => Err(wrong("", format!("one JSON object ({error})"))),
    }
}

/// A document that is read already.
pub(super) fn from_value(path: &str, value: &Value) -> Result<Box<str>, WrongDocument> {
    if path == rule_packs::FILE {
        return wiring_rules(value.to_string().as_bytes());
    }
    let name = path.split_once('/').and_then(|(_, rest)| rest.strip_suffix(".json"));
    if !name.is_some_and(is_name) {
        let allowed = "a name of lower-case letters, digits and hyphens, then .json";
        return Err(wrong(path, allowed.to_owned()));
    }
    if !value.is_object() {
        return Err(wrong("", "one JSON object, as POST /v1/resolutions takes it".to_owned()));
    }
    let text = value.to_string();
    if SAMPLE_BYTES_MAX < text.len() {
        let allowed = format!("a sample request has at most {SAMPLE_BYTES_MAX} bytes");
        return Err(wrong(&text.len().to_string(), allowed));
    }
    Ok(text.into())
}

/// The list of a catalogue's wiring rules, as the program writes it.
fn wiring_rules(bytes: &[u8]) -> Result<Box<str>, WrongDocument> {
    let text = str::from_utf8(bytes);
    let text = text.map_err(|error| wrong("", format!("the file is not UTF-8: {error}")))?;
    let packs = rule_packs::read_list(text).map_err(|error| {
        let cause = error.source().map(ToString::to_string).unwrap_or_default();
        wrong(&cause, error.to_string())
    })?;
    Ok(compact(&rule_packs::write_list(&packs)))
}

fn compact(text: &str) -> Box<str> {
    serde_json::from_str::<Value>(text).map(|value| value.to_string()).unwrap_or_default().into()
}

fn wrong(value: &str, allowed: String) -> WrongDocument {
    WrongDocument { value: value.to_owned(), allowed }
}

fn is_name(text: &str) -> bool {
    let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
    !text.is_empty() && text.len() <= NAME_MAX && text.bytes().all(plain)
}

/// The documents of an edition.
pub(super) fn of_content(content: &EditionContent) -> Documents {
    let samples = content.samples.iter();
    let address = |name: &str| format!("{SAMPLES}/{name}.json").into();
    let mut documents: Documents =
        samples.map(|sample| (address(&sample.name), sample.request.clone())).collect();
    let rules = compact(&rule_packs::write_list(&content.wiring_rules));
    documents.insert(rule_packs::FILE.into(), rules);
    documents
}

/// Puts documents where the content holds them.
///
/// A catalogue without a file of wiring rules gets those of the program, and keeps them from then on; one with an empty list
/// leaves them to whichever program serves the edition.
pub(super) fn fill(documents: &Documents, content: &mut EditionContent) {
    // Both were read before: the file when it was handed in, the program's own by every test.
    let rules = match documents.get(rule_packs::FILE) {
        None => rule_packs::load_all(),
        Some(text) => rule_packs::read_list(text),
    };
    content.wiring_rules = rules.unwrap_or_default();
    for (path, text) in documents {
        let name = path.strip_prefix(SAMPLES).and_then(|rest| rest.strip_prefix('/'));
        let name = name.and_then(|rest| rest.strip_suffix(".json"));
        let sample = name.map(|name| SampleRequest { name: name.into(), request: text.clone() });
        content.samples.extend(sample);
    }
}

/// Files by name, each as indented JSON.
pub(super) fn files(documents: &Documents) -> BTreeMap<String, Vec<u8>> {
    documents.iter().map(|(path, text)| (path.to_string(), indented(text))).collect()
}

fn indented(text: &str) -> Vec<u8> {
    let value: Value = serde_json::from_str(text).unwrap_or(Value::Null);
    let mut bytes = serde_json::to_vec_pretty(&value).unwrap_or_default();
    bytes.push(b'\n');
    bytes
}
