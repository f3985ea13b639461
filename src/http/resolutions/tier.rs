//! Whose prices a request takes.

use serde::Deserialize;
use utoipa::ToSchema;

use crate::domain::catalogue::Tier;

/// What kind of customer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewTier {
    /// Anybody.
    Retail,
    /// Fitters and electricians.
    Trade,
    /// Those who sell on.
    Merchant,
}

impl From<NewTier> for Tier {
    fn from(tier: NewTier) -> Self {
        match tier {
            NewTier::Retail => Self::Retail,
            NewTier::Trade => Self::Trade,
            NewTier::Merchant => Self::Merchant,
        }
    }
}
