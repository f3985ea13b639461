//! The id of a request: the client's if it is sane, else one of ours.
//!
//! Absent here: where it is shown (`observe`).

use axum::http::HeaderMap;
use axum::http::HeaderName;
use axum::http::HeaderValue;
use std::hash::BuildHasher;
use std::hash::Hasher;
use std::hash::RandomState;

use crate::http::limits;

/// The header a client may send its id in, and hears it in.
pub const HEADER: HeaderName = HeaderName::from_static("x-request-id");

/// An id of letters, digits, dots, underscores and hyphens.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RequestId(String);

impl RequestId {
    /// The client's own id, or a new one when it sent none or one that could disturb a log.
    pub fn of(headers: &HeaderMap) -> Self {
        let given = headers.get(HEADER).and_then(|value| value.to_str().ok());
        given.filter(|text| is_sane(text)).map_or_else(Self::make, |text| Self(text.to_owned()))
    }

    /// Sixteen hexadecimal digits. Unlikely to meet another, not secret.
    fn make() -> Self {
        Self(format!("{:016x}", RandomState::new().build_hasher().finish()))
    }

    /// The id.
    pub fn text(&self) -> &str {
        &self.0
    }

    /// The id as a header value.
    pub fn header(&self) -> HeaderValue {
        // Its few characters are all fit for a header.
        HeaderValue::from_str(&self.0).unwrap_or(HeaderValue::from_static("-"))
    }
}

fn is_sane(text: &str) -> bool {
    let is_plain = |byte: u8| byte.is_ascii_alphanumeric() || b"._-".contains(&byte);
    (1..=limits::REQUEST_ID_BYTES_MAX).contains(&text.len()) && text.bytes().all(is_plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_sane_ids_are_taken_over() {
        let id = |text: &str| {
            let mut headers = HeaderMap::new();
            headers.insert(HEADER, text.parse().unwrap());
            RequestId::of(&headers).0
        };
        assert_eq!(id("shop-7.A_1"), "shop-7.A_1");
        for bad in ["", "a b", "a\"b", "é", &"a".repeat(65)] {
            assert_eq!(id(bad).len(), 16, "{bad}");
            assert_ne!(id(bad), bad);
        }
    }

    #[test]
    fn made_ids_differ() {
        assert_ne!(RequestId::make(), RequestId::make());
    }
}
