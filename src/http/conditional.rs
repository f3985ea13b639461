//! Entity tags and the answer "you have it already".
//!
//! Tags are strong. A compressed body is another representation, so its tag carries a suffix, which is taken off
//! again when a client sends it back. A change states the tag that it is based on in `If-Match`.

use axum::http::HeaderMap;
use axum::http::HeaderName;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;
use utoipa::PartialSchema;
use utoipa::openapi::ObjectBuilder;
use utoipa::openapi::RefOr;
use utoipa::openapi::Schema;
use utoipa::openapi::Type;

use crate::http::problem::Code;
use crate::http::problem::Problem;

/// What a compressed representation's tag ends with.
const COMPRESSED_SUFFIX: &str = "-gzip";
/// Hexadecimal digits of a content hash kept in a tag: 128 bits.
const HASH_DIGITS: usize = 32;

/// A strong entity tag, without its quotes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EntityTag(String);

impl EntityTag {
    /// The tag of some bytes: equal for equal bytes on every machine.
    pub fn of(bytes: &[u8]) -> Self {
        let hash = blake3::hash(bytes).to_hex();
        Self(hash.chars().take(HASH_DIGITS).collect())
    }

    /// A tag that is known by name: letters, digits, dots and hyphens.
    pub fn named(text: &str) -> Self {
        Self(text.to_owned())
    }

    /// The tag as a header value.
    pub fn header(&self) -> HeaderValue {
        // Hexadecimal digits are always a header value.
        HeaderValue::from_str(&format!("\"{}\"", self.0))
            .unwrap_or(HeaderValue::from_static("\"\""))
    }

    /// Whether `If-None-Match` names this tag, `*` included. Weak marks are ignored, as RFC 9110 13.1.2 says.
    ///
    /// ```
    /// use axum::http::{HeaderMap, header};
    /// use rungwright::http::conditional::EntityTag;
    /// let tag = EntityTag::of(b"parts");
    /// let mut headers = HeaderMap::new();
    /// assert!(!tag.is_known_to(&headers));
    /// let given = format!("\"other\", W/{}", tag.header().to_str().unwrap());
    /// headers.insert(header::IF_NONE_MATCH, given.parse().unwrap());
    /// assert!(tag.is_known_to(&headers));
    /// ```
    pub fn is_known_to(&self, headers: &HeaderMap) -> bool {
        let values = headers.get_all(header::IF_NONE_MATCH).iter();
        let mut named =
            values.filter_map(|value| value.to_str().ok()).flat_map(|text| text.split(','));
        named.any(|tag| self.is_named_by(tag.trim()))
    }

    fn is_named_by(&self, tag: &str) -> bool {
        let opaque = tag.strip_prefix("W/").unwrap_or(tag).trim_matches('"');
        tag == "*" || opaque.strip_suffix(COMPRESSED_SUFFIX).unwrap_or(opaque) == self.0
    }

    /// The response with its tag and cache rule, or 304 without a body when the client has it.
    pub fn answer<F: FnOnce() -> Response>(
        &self,
        headers: &HeaderMap,
        cache: &'static str,
        make: F,
    ) -> Response {
        let mut response = if self.is_known_to(headers) {
            StatusCode::NOT_MODIFIED.into_response()
        } else {
            make()
        };
        let fields = response.headers_mut();
        fields.insert(header::ETAG, self.header());
        fields.insert(header::CACHE_CONTROL, HeaderValue::from_static(cache));
        fields.insert(header::VARY, HeaderValue::from_static("accept, accept-encoding"));
        response
    }
}

/// The form of `If-Match`, for the description: entity tags in quotes, or `*`.
#[derive(Debug)]
pub enum EntityTags {}

impl PartialSchema for EntityTags {
    fn schema() -> RefOr<Schema> {
        let tag = r#"(W/)?"[!#-~]*""#;
        let pattern = format!("^([*]|{tag}( *, *{tag})*)$");
        ObjectBuilder::new().schema_type(Type::String).pattern(Some(pattern)).into()
    }
}

/// What a change is based on: the tags of `If-Match`, or none for `*`. 428 without the header (RFC 6585). Weak tags
/// never match (RFC 9110 13.1.1).
pub fn if_match(headers: &HeaderMap) -> Result<Option<Vec<String>>, Problem> {
    let values = headers.get_all(header::IF_MATCH);
    let texts: Vec<&str> = values.iter().filter_map(|value| value.to_str().ok()).collect();
    if texts.is_empty() {
        let detail = "If-Match must name the entity tag of the state that the change is based on";
        return Err(Problem::new(Code::PreconditionRequired, detail));
    }
    let given: Vec<&str> = texts.iter().flat_map(|text| text.split(',')).map(str::trim).collect();
    if given.contains(&"*") {
        return Ok(None);
    }
    let tags = given.into_iter().filter_map(opaque);
    let plain = |tag: &str| tag.strip_suffix(COMPRESSED_SUFFIX).unwrap_or(tag).to_owned();
    Ok(Some(tags.map(plain).collect()))
}

/// What stands inside the quotes of a strong tag.
fn opaque(tag: &str) -> Option<&str> {
    tag.strip_prefix('"').and_then(|rest| rest.strip_suffix('"'))
}

/// Marks the tag of a body that was compressed on its way out.
pub fn mark_compressed(mut response: Response) -> Response {
    if response.headers().contains_key(header::CONTENT_ENCODING)
        && let Some(marked) = marked(response.headers(), header::ETAG)
    {
        response.headers_mut().insert(header::ETAG, marked);
    }
    response
}

fn marked(headers: &HeaderMap, name: HeaderName) -> Option<HeaderValue> {
    let tag = headers.get(name)?.to_str().ok()?.strip_suffix('"')?;
    HeaderValue::from_str(&format!("{tag}{COMPRESSED_SUFFIX}\"")).ok()
}
