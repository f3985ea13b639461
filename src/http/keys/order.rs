//! What is asked for when a key is made or rotated.

use serde::Deserialize;
use serde::Serialize;
use std::collections::BTreeSet;
use utoipa::ToSchema;

use crate::domain::access::Account;
use crate::domain::access::Grant;
use crate::domain::access::Markets;
use crate::domain::access::NoGrant;
use crate::domain::access::Origin;
use crate::domain::access::PerMinute;
use crate::domain::access::Scope;
use crate::domain::access::Scopes;
use crate::domain::catalogue::Tier;
use crate::domain::pricing::discount::DiscountCeiling;
use crate::http::Problem;
use crate::http::fields::Fields;
use crate::http::problem::FieldCode;
use crate::operations::access::NewKey;

/// A key to be made.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewKeyOrder {
    /// What it is for, in words; shown in lists.
    #[schema(min_length = 1, max_length = 100, example = "sales desk, ground floor")]
    pub label: String,
    /// Whose quotes it reads and writes.
    #[schema(pattern = "^[a-z0-9][a-z0-9-]{0,39}$", example = "tern-house")]
    pub account: String,
    /// What it is good for: `browse` alone for web pages, or any of the others.
    #[schema(min_items = 1, max_items = 4)]
    pub scopes: Vec<NewScope>,
    /// Origins of the web pages that a `browse` key is bound to.
    #[serde(default)]
    #[schema(max_items = 20, example = json!(["https://shop.example"]))]
    pub origins: Vec<String>,
    /// Markets in which it may be used; all when left out.
    #[serde(default)]
    #[schema(max_items = 50, example = json!(["gb"]))]
    pub markets: Vec<String>,
    /// The price tier taken when a request names none; `retail` when left out.
    pub price_tier: Option<NewPriceTier>,
    /// The best price tier that a request may name; `price_tier` when left out.
    pub price_tier_best: Option<NewPriceTier>,
    /// Most that a discount may take off, in whole percent; 15 when left out.
    #[schema(minimum = 0, maximum = 100)]
    pub discount_percent_max: Option<u32>,
    /// Whether clashing parts may be quoted with a written reason.
    #[serde(default)]
    pub allow_overrides: bool,
    /// Requests a minute; 600 when left out.
    #[schema(minimum = 1, maximum = 6_000_000)]
    pub requests_per_minute: Option<u32>,
}

/// A kind of work that a key opens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewScope {
    /// Reading the catalogue and asking what fits; no quotes.
    Browse,
    /// Quotes of an account.
    Quote,
    /// Editions.
    Catalogue,
    /// Keys, audit trail, figures.
    Operate,
}

/// A price tier.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewPriceTier {
    /// Anybody.
    Retail,
    /// Fitters and electricians.
    Trade,
    /// Those who sell on.
    Merchant,
}

/// A key to be rotated.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewRotation {
    /// Hours for which the old key still holds; 168, a week, when left out.
    #[schema(minimum = 0, maximum = 2160)]
    pub overlap_hours: Option<u32>,
}

impl NewKeyOrder {
    /// The key that is asked for, or every field that is wrong.
    pub fn read(&self) -> Result<NewKey, Problem> {
        let mut fields = Fields::default();
        let grant = self.grant(&mut fields);
        for why in grant.iter().flat_map(Grant::check) {
            fields.push(place_of(why), FieldCode::Contradiction, why.to_string());
        }
        let grant = fields.finish(grant)?.ok_or_else(Problem::failed)?;
        Ok(NewKey { label: self.label.as_str().into(), grant })
    }

    /// The grant, as far as its fields can be read.
    fn grant(&self, fields: &mut Fields) -> Option<Grant> {
        let account = Account::parse(&self.account).ok_or("no name of an account");
        let scopes = Scopes::new(self.scopes.iter().map(|scope| Scope::from(*scope)));
        let origins = self.origins(fields);
        let codes: BTreeSet<Box<str>> = self.markets.iter().map(|code| (&**code).into()).collect();
        let percent = self.discount_percent_max.map(|percent| percent.saturating_mul(100));
        let ceiling = percent.map_or(Some(DiscountCeiling::USUAL), DiscountCeiling::new);
        let rate = self.requests_per_minute.map_or(Some(PerMinute::USUAL), PerMinute::new);
        let tier = self.price_tier.map_or(Tier::Retail, Tier::from);
        let bounds = "beyond the bounds";
        Some(Grant {
            account: fields.keep("account", FieldCode::BadForm, account)?,
            scopes: fields.keep("scopes", FieldCode::Contradiction, scopes)?,
            origins,
            markets: if codes.is_empty() { Markets::All } else { Markets::Only(codes) },
            tier,
            tier_best: self.price_tier_best.map_or(tier, Tier::from),
            discount_ceiling: fields.keep(
                "discount_percent_max",
                FieldCode::AboveMaximum,
                ceiling.ok_or(bounds),
            )?,
            overrides: self.allow_overrides,
            per_minute: fields.keep(
                "requests_per_minute",
                FieldCode::OutOfRange,
                rate.ok_or(bounds),
            )?,
        })
    }

    fn origins(&self, fields: &mut Fields) -> BTreeSet<Origin> {
        let read = fields.each("origins", &self.origins, |at, text| {
            let why = "an origin is what a browser states: scheme, host in lower case and a port that is not the usual one";
            at.keep("", FieldCode::BadForm, Origin::parse(text).ok_or(why))
        });
        read.into_iter().flatten().collect()
    }
}

/// The field to change.
const fn place_of(why: NoGrant) -> &'static str {
    match why {
        NoGrant::NoOrigin | NoGrant::OriginOfSecret | NoGrant::TooManyOrigins => "origins",
        NoGrant::MarketCount | NoGrant::MarketForm => "markets",
        NoGrant::TierBeyondBest | NoGrant::TierOfPublic => "price_tier_best",
        NoGrant::OverrideOfPublic => "allow_overrides",
    }
}

impl From<NewScope> for Scope {
    fn from(scope: NewScope) -> Self {
        match scope {
            NewScope::Browse => Self::Browse,
            NewScope::Quote => Self::Quote,
            NewScope::Catalogue => Self::Catalogue,
            NewScope::Operate => Self::Operate,
        }
    }
}

impl From<NewPriceTier> for Tier {
    fn from(tier: NewPriceTier) -> Self {
        match tier {
            NewPriceTier::Retail => Self::Retail,
            NewPriceTier::Trade => Self::Trade,
            NewPriceTier::Merchant => Self::Merchant,
        }
    }
}
