//! Who may ask what, at the door: keys, scopes, origins, how often, and from where.
//!
//! What an operation needs is stated beside its route with [`needing`] and published with it; [`gate`] reads it from
//! there, and an operation that states nothing is closed to everybody. Absent here: the keys (`operations::access`).

pub mod needs;
pub mod client;
pub mod keyless;
pub mod caller;
pub mod rights;
pub mod gate;
pub mod pages;

pub use caller::Called;
pub use needs::Need;
pub use needs::needing;
