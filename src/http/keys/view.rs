//! Keys as they go out: never with their secret, except in the one answer that makes them.

use jiff::Timestamp;
use serde::Serialize;
use std::fmt;
use utoipa::ToSchema;

use crate::domain::access::Markets;
use crate::domain::access::Scope;
use crate::operations::access::KeyRecord;

/// A page of keys.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct KeysView {
    /// Keys, in the order of their ids.
    pub items: Vec<KeyView>,
    /// Opaque: the value of `cursor` for the next page; absent on the last.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_cursor: Option<String>,
}

/// A key that was just made.
#[derive(Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct MadeKeyView {
    /// What it grants.
    pub key: KeyView,
    /// The key itself. It is kept nowhere and never shown again.
    pub secret: String,
}

impl fmt::Debug for MadeKeyView {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "MadeKeyView({:?}, ..)", self.key)
    }
}

/// A key without its secret.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct KeyView {
    /// Its id.
    id: String,
    /// `active`, `ended` or `revoked`.
    state: &'static str,
    /// What it is for.
    label: String,
    /// Whose quotes it reads and writes.
    account: String,
    /// What it is good for.
    scopes: Vec<&'static str>,
    /// Origins of the web pages that it is bound to.
    origins: Vec<String>,
    /// Markets in which it may be used; absent when it may be used in all.
    #[serde(skip_serializing_if = "Option::is_none")]
    markets: Option<Vec<String>>,
    /// The price tier taken when a request names none.
    price_tier: &'static str,
    /// The best price tier that a request may name.
    price_tier_best: &'static str,
    /// Most that a discount may take off, in whole percent.
    discount_percent_max: u32,
    /// Whether clashing parts may be quoted with a written reason.
    allow_overrides: bool,
    /// Requests a minute.
    requests_per_minute: u32,
    /// When it was made.
    created_at: String,
    /// When it ends; absent when no end is set.
    #[serde(skip_serializing_if = "Option::is_none")]
    ends_at: Option<String>,
    /// When it was revoked.
    #[serde(skip_serializing_if = "Option::is_none")]
    revoked_at: Option<String>,
    /// The key that took its place.
    #[serde(skip_serializing_if = "Option::is_none")]
    successor: Option<String>,
    /// When it was last used, to the minute; absent when it never was.
    #[serde(skip_serializing_if = "Option::is_none")]
    last_used_at: Option<String>,
}

impl KeyView {
    /// A key as it is at a moment.
    pub fn new(record: &KeyRecord, now: Timestamp) -> Self {
        let grant = &record.grant;
        let instant = |at: Option<Timestamp>| at.map(|at| at.to_string());
        let markets = match &grant.markets {
            Markets::All => None,
            Markets::Only(codes) => Some(codes.iter().map(ToString::to_string).collect()),
        };
        Self {
            id: record.id.to_string(),
            state: state(record, now),
            label: record.label.to_string(),
            account: grant.account.to_string(),
            scopes: grant.scopes.iter().map(Scope::word).collect(),
            origins: grant.origins.iter().map(ToString::to_string).collect(),
            markets,
            price_tier: grant.tier.word(),
            price_tier_best: grant.tier_best.word(),
            discount_percent_max: grant.discount_ceiling.basis_points().div_euclid(100),
            allow_overrides: grant.overrides,
            requests_per_minute: grant.per_minute.count(),
            created_at: record.created_at.to_string(),
            ends_at: instant(record.ends_at),
            revoked_at: instant(record.revoked_at),
            successor: record.successor.as_ref().map(ToString::to_string),
            last_used_at: instant(record.used_at),
        }
    }
}

/// The word for where a key stands.
pub fn state(record: &KeyRecord, now: Timestamp) -> &'static str {
    if record.revoked_at.is_some() {
        "revoked"
    } else if record.is_active(now) {
        "active"
    } else {
        "ended"
    }
}
