//! What a write came to, and the answers kept for repeated requests.

use crate::domain::quote::Quote;
use crate::domain::quote::Refusal;

/// A request that creates, by its idempotency key.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct KeyedRequest {
    /// What the key is good for: the account and the route.
    pub scope: Box<str>,
    /// The key.
    pub key: Box<str>,
    /// Hash of the request's body in hexadecimal.
    pub request_hash: Box<str>,
}

/// An answer that was given once and is given again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SavedAnswer {
    /// Hash of the body that it answered.
    pub request_hash: Box<str>,
    /// Address of what was created.
    pub location: Box<str>,
    /// Its entity tag, without quotes.
    pub entity_tag: Box<str>,
    /// The body.
    pub body: Box<str>,
}

/// What a write came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Written {
    /// Created, with this answer.
    Created(SavedAnswer),
    /// Created before; the answer of then.
    Replayed(SavedAnswer),
    /// The key was used for another body.
    KeyReused,
    /// Changed.
    Changed(Box<Quote>),
    /// It cannot happen.
    Refused(Refusal),
    /// The state that it was based on is gone.
    Stale,
    /// There is no such quote.
    Absent,
}
