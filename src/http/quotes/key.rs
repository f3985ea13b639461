//! The `Idempotency-Key` of a request that creates.
//!
//! Its form follows the draft of the HTTP API group (draft-ietf-httpapi-idempotency-key-header-07): a quoted string;
//! the bare text is taken too. Absent here: what is kept under it (`store::quotes`).

use axum::http::HeaderMap;
use utoipa::PartialSchema;
use utoipa::openapi::ObjectBuilder;
use utoipa::openapi::RefOr;
use utoipa::openapi::Schema;
use utoipa::openapi::Type;

use crate::http::Problem;
use crate::http::problem::Code;
use crate::operations::access::Caller;
use crate::operations::quotes::KeyedRequest;

/// Name of the header.
pub(super) const HEADER: &str = "idempotency-key";
/// Longest key, without quotes.
pub(super) const KEY_LENGTH_MAX: usize = 200;

/// The form of a key, for the description: in quotes or without.
#[derive(Debug)]
pub(in crate::http) enum IdempotencyKey {}

impl PartialSchema for IdempotencyKey {
    fn schema() -> RefOr<Schema> {
        let bare = format!(r"[!#-\[\]-~]{{1,{KEY_LENGTH_MAX}}}");
        let pattern = format!("^({bare}|\"{bare}\")$");
        ObjectBuilder::new().schema_type(Type::String).pattern(Some(pattern)).into()
    }
}

/// The request by its key; 400 without one or with one of another form.
pub(in crate::http) fn keyed(
    headers: &HeaderMap,
    (caller, route): (&Caller, &str),
    request_hash: &str,
) -> Result<KeyedRequest, Problem> {
    let mut values = headers.get_all(HEADER).iter();
    let Some(value) = values.next() else {
        let detail = "send an Idempotency-Key: the same key with the same body creates once, however often it is sent";
        return Err(Problem::new(Code::IdempotencyKeyMissing, detail));
    };
    let text = value.to_str().unwrap_or_default();
    let text = text.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(text);
    let plain = |byte: u8| byte.is_ascii_graphic() && byte != b'"' && byte != b'\\';
    let fits = (1..=KEY_LENGTH_MAX).contains(&text.len()) && text.bytes().all(plain);
    if !fits || values.next().is_some() {
        let detail = format!(
            "an Idempotency-Key is sent once: 1 to {KEY_LENGTH_MAX} visible ASCII characters without quotes inside"
        );
        return Err(Problem::new(Code::IdempotencyKeyBadForm, detail));
    }
    // Two accounts that take the same key by chance do not hear of each other.
    let scope = format!("{} {route}", caller.actor().account);
    Ok(KeyedRequest { scope: scope.into(), key: text.into(), request_hash: request_hash.into() })
}
