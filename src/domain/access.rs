//! Who may ask what: scopes, accounts, origins, what a key grants, and how often it may be used.
//!
//! Absent here: the keys themselves, their secrets and where they are kept; routes; the clock.

mod scope;
mod account;
mod origin;
mod rate;
mod grant;

pub use account::Account;
pub use account::Actor;
pub use grant::Grant;
pub use grant::MARKETS_MAX;
pub use grant::Markets;
pub use grant::NoGrant;
pub use grant::ORIGINS_MAX;
pub use origin::Origin;
pub use rate::Bucket;
pub use rate::PerMinute;
pub use rate::Taken;
pub use rate::WINDOW_S;
pub use scope::NoScopes;
pub use scope::Scope;
pub use scope::Scopes;
