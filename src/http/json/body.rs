//! Reads a body within its size and its time.
//!
//! A body that is too large is read away up to a second limit before it is refused: a connection closed with unread
//! bytes is reset, and the client would see that instead of the answer. Absent here: what the bytes mean.

use axum::body::Body;
use axum::body::Bytes;
use axum::body::HttpBody;
use axum::extract::Request;
use axum::http::HeaderMap;
use axum::http::header;
use std::future::poll_fn;
use std::pin::Pin;
use std::time::Duration;
use tokio::time::timeout;

use crate::http::limits;
use crate::http::problem::Code;
use crate::http::problem::Problem;

/// How large a body may be, and how long it may take to arrive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Allowance {
    /// Bytes at most.
    pub bytes_max: usize,
    /// Bytes that are still read away when there are more, so that the client gets to read the refusal.
    pub drained_max: usize,
    /// Time.
    pub time_out: Duration,
}

impl Allowance {
    /// What a JSON body that asks something is allowed.
    pub const QUESTION: Self = Self {
        bytes_max: limits::BODY_BYTES_MAX,
        drained_max: limits::DRAINED_BYTES_MAX,
        time_out: limits::BODY_TIME_OUT,
    };
    /// What a catalogue is allowed.
    pub const CATALOGUE: Self = Self {
        bytes_max: limits::CATALOGUE_BYTES_MAX,
        drained_max: limits::CATALOGUE_BYTES_MAX.saturating_add(limits::DRAINED_BYTES_MAX),
        time_out: limits::CATALOGUE_TIME_OUT,
    };
}

/// The whole body, or 413, 408 or 400.
pub async fn read(request: Request, allowed: Allowance) -> Result<Vec<u8>, Problem> {
    let waits = request.headers().contains_key(header::EXPECT);
    let stated = stated_length(request.headers());
    if waits && stated.is_some_and(|length| length > allowed.bytes_max) {
        // The client asked before sending; it hears no without having sent anything.
        return Err(too_large(allowed));
    }
    let collected = timeout(allowed.time_out, collect(request.into_body(), allowed)).await;
    collected.unwrap_or_else(|_| {
        let seconds = allowed.time_out.as_secs();
        Err(Problem::new(Code::BodyTooSlow, format!("the body did not arrive within {seconds} s")))
    })
}

fn stated_length(headers: &HeaderMap) -> Option<usize> {
    headers.get(header::CONTENT_LENGTH)?.to_str().ok()?.parse().ok()
}

fn too_large(allowed: Allowance) -> Problem {
    let most = allowed.bytes_max;
    let detail = format!("the body is larger than {most} bytes, the most that is taken here");
    Problem::new(Code::BodyTooLarge, detail)
}

async fn collect(mut body: Body, allowed: Allowance) -> Result<Vec<u8>, Problem> {
    let mut bytes = Vec::new();
    let mut length = 0_usize;
    while let Some(chunk) = next_chunk(&mut body).await? {
        length = length.saturating_add(chunk.len());
        if length <= allowed.bytes_max {
            bytes.extend_from_slice(&chunk);
        } else if length > allowed.drained_max {
            return Err(too_large(allowed));
        }
    }
    if length > allowed.bytes_max { Err(too_large(allowed)) } else { Ok(bytes) }
}

/// The next bytes; trailers count as none.
async fn next_chunk(body: &mut Body) -> Result<Option<Bytes>, Problem> {
    match poll_fn(|context| Pin::new(&mut *body).poll_frame(context)).await {
        None => Ok(None),
        Some(Ok(frame)) => Ok(Some(frame.into_data().unwrap_or_default())),
        Some(Err(error)) => {
            tracing::debug!(%error, "a body broke off");
            Err(Problem::new(Code::MalformedRequest, "the body broke off or is wrongly framed"))
        }
    }
}
