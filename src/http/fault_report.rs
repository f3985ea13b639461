//! The faults of a catalogue as they go out: in the problem document, or as a table to open beside the source.

use axum::body::Body;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::header;
use axum::response::Response;
use serde::Serialize;
use utoipa::ToSchema;

use crate::operations::load_edition::FileFault;
use crate::operations::load_edition::csv_bytes;

/// Media type of the table.
pub const CSV: &str = "text/csv";

/// Columns of the table.
const COLUMNS: [&str; 5] = ["file", "row", "column", "value", "allowed"];

/// One thing wrong in a catalogue that was handed in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct FaultView {
    /// Name of the file; of the list, for a JSON document.
    #[schema(example = "bodies.csv")]
    pub file: String,
    /// Line on which the row begins, the header being 1; in a JSON document the place in the list, from 1. Absent when
    /// the whole file is meant.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub row: Option<u64>,
    /// Name of the column. Absent when the whole row is meant.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub column: Option<String>,
    /// The value as it stands there, shortened.
    pub value: String,
    /// What is wrong with it and what is allowed.
    pub allowed: String,
}

/// Every fault of a catalogue.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Report {
    /// The faults, in order of file, row and column.
    pub faults: Vec<FaultView>,
    /// Whether the client asked for a table.
    pub as_table: bool,
}

impl Report {
    /// The response as a table; nothing when the problem document is wanted.
    pub(super) fn table(&self, status: StatusCode) -> Option<Response> {
        if !self.as_table {
            return None;
        }
        let mut response = Response::new(Body::from(table(&self.faults)));
        *response.status_mut() = status;
        let headers = response.headers_mut();
        headers.insert(header::CONTENT_TYPE, HeaderValue::from_static("text/csv; charset=utf-8"));
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
        Some(response)
    }
}

/// Faults as CSV that a spreadsheet may open.
pub fn table(faults: &[FaultView]) -> Vec<u8> {
    let rows = faults.iter().map(|fault| {
        let row = fault.row.map(|row| row.to_string()).unwrap_or_default();
        let column = fault.column.clone().unwrap_or_default();
        vec![fault.file.clone(), row, column, fault.value.clone(), fault.allowed.clone()]
    });
    csv_bytes(&COLUMNS, rows)
}

impl From<&FileFault> for FaultView {
    fn from(fault: &FileFault) -> Self {
        Self {
            file: fault.file.to_string(),
            row: fault.row,
            column: fault.column.as_deref().map(ToOwned::to_owned),
            value: fault.value.to_string(),
            allowed: fault.allowed.clone(),
        }
    }
}
