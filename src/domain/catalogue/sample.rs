//! Sample requests: questions kept with a catalogue, asked of two editions to see what a change does.
//!
//! Absent here: what a request means. Its text is JSON as `POST /v1/resolutions` takes it.

/// Sample requests of one edition at most.
pub const SAMPLES_MAX: usize = 500;

/// Bytes of one sample request at most.
pub const SAMPLE_BYTES_MAX: usize = 64 * 1024;

/// A question that a keeper wants answered before and after a change.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct SampleRequest {
    /// Its name: lower-case words joined by hyphens.
    pub name: Box<str>,
    /// The request as compact JSON.
    pub request: Box<str>,
}
