//! The house JSON body, in and out.
//!
//! In: media type (415), size (413), time (408), UTF-8 and JSON (400), then the type's published schema with **all**
//! errors at once (422), then serde. The schema is checked on every request, also the good ones: there is one path,
//! so a bound in the description is always enforced, and checking a request costs microseconds.
//! Absent here: references and rules across fields; the conversion to domain values does those with `fields`.

use axum::extract::FromRequest;
use axum::extract::Request;
use axum::http::HeaderMap;
use axum::http::HeaderValue;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;
use serde::Serialize;
use serde::de::DeserializeOwned;
use utoipa::ToSchema;

use crate::http::access::caller;
use crate::http::document;
use crate::http::problem::Code;
use crate::http::problem::Problem;

pub mod body;
mod draft;

pub use draft::Draft;

/// A JSON body. As an argument of a route it is read and checked; as an answer it is written.
///
/// Wire types derive `Deserialize` with `deny_unknown_fields` and `ToSchema`. Whole numbers may be sent as `2600.0`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Json<T>(pub T);

impl<T, S> FromRequest<S> for Json<T>
where
    T: DeserializeOwned + ToSchema + 'static,
    S: Send + Sync,
{
    type Rejection = Problem;

    async fn from_request(request: Request, _state: &S) -> Result<Self, Problem> {
        let caller = caller::of(request.extensions())?;
        Draft::granted(&read(request).await?, &caller)?.read(Ok).map(Self)
    }
}

async fn read(request: Request) -> Result<Vec<u8>, Problem> {
    check_media_type(request.headers())?;
    check_coding(request.headers())?;
    body::read(request, body::Allowance::QUESTION).await
}

/// A JSON body with its text and hash, for requests that are told apart by their body. White space does not count; the
/// order of keys does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HashedJson<T> {
    /// The checked value.
    pub value: T,
    /// The body as it was read.
    pub document: serde_json::Value,
    /// Hash of it in hexadecimal.
    pub hash: String,
}

impl<T, S> FromRequest<S> for HashedJson<T>
where
    T: DeserializeOwned + ToSchema + 'static,
    S: Send + Sync,
{
    type Rejection = Problem;

    async fn from_request(request: Request, _state: &S) -> Result<Self, Problem> {
        let caller = caller::of(request.extensions())?;
        let bytes = read(request).await?;
        let value = Draft::granted(&bytes, &caller)?.read(Ok)?;
        let document = document::parse(&bytes)?.value;
        let hash = blake3::hash(document.to_string().as_bytes()).to_hex().to_string();
        Ok(Self { value, document, hash })
    }
}

/// A checked value from the bytes of a body: what the extractor does after reading, also for files on a command line.
pub fn parse<T: DeserializeOwned + ToSchema + 'static>(bytes: &[u8]) -> Result<T, Problem> {
    Draft::parse(bytes)?.read(Ok)
}

/// A compressed body is refused, so that no small body can become a large one.
fn check_coding(headers: &HeaderMap) -> Result<(), Problem> {
    let codings = headers.get_all(header::CONTENT_ENCODING).iter();
    let is_plain = |value: &HeaderValue| value.as_bytes().eq_ignore_ascii_case(b"identity");
    if codings.into_iter().all(is_plain) {
        return Ok(());
    }
    let detail = "the body is compressed; send it as it is, without Content-Encoding";
    Err(Problem::new(Code::UnsupportedMediaType, detail))
}

fn check_media_type(headers: &HeaderMap) -> Result<(), Problem> {
    let given = headers.get(header::CONTENT_TYPE).map(HeaderValue::to_str);
    let detail = match given {
        Some(Ok(text)) if is_json(text) => return Ok(()),
        Some(Ok(text)) => format!("the body is {text}, application/json is expected"),
        Some(Err(_)) | None => {
            "the body has no readable Content-Type, application/json is expected".to_owned()
        }
    };
    Err(Problem::new(Code::UnsupportedMediaType, detail))
}

/// `application/json` or `application/….+json`, with no charset or the only one JSON has.
fn is_json(media_type: &str) -> bool {
    let mut parts = media_type.split(';').map(str::trim);
    let essence = parts.next().unwrap_or_default().to_ascii_lowercase();
    let subtype = essence.strip_prefix("application/").unwrap_or_default();
    let charset_is_utf8 = |part: &str| {
        let part = part.to_ascii_lowercase().replace('"', "");
        part.strip_prefix("charset=").is_none_or(|charset| charset == "utf-8")
    };
    (subtype == "json" || subtype.ends_with("+json")) && parts.all(charset_is_utf8)
}

/// Room for most answers, so that a long one is not copied again and again while it grows.
const ANSWER_USUAL: usize = 32 * 1024;

impl<T: Serialize> IntoResponse for Json<T> {
    fn into_response(self) -> Response {
        let mut bytes = Vec::with_capacity(ANSWER_USUAL);
        match serde_json::to_writer(&mut bytes, &self.0) {
            Ok(()) => ([(header::CONTENT_TYPE, "application/json")], bytes).into_response(),
            Err(error) => Problem::internal("writing an answer", &error).into_response(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn json_is_recognised_by_its_media_type() {
        for good in [
            "application/json",
            "Application/JSON; charset=\"UTF-8\"",
            "application/merge-patch+json",
        ] {
            assert!(is_json(good), "{good}");
        }
        for bad in
            ["text/json", "application/jsonp", "json", "", "application/json; charset=latin1"]
        {
            assert!(!is_json(bad), "{bad}");
        }
    }
}
