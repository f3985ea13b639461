//! Keys of callers: made, kept as keyed hashes, read, ended.
//!
//! Absent here: which key came with a request (`operations::access`), and the clock.

mod secret;
mod token;
mod rows;
mod change;

pub use change::KeyChange;
pub use change::KeyFailure;
pub use change::KeyWrite;
pub use change::NewKey;
pub use change::note_key_uses;
pub use change::write_key;
pub use rows::KEYS_MAX;
pub use rows::KeyRecord;
pub use rows::key_change_count;
pub use rows::load_keys;
pub use secret::KeySecret;
pub use secret::SecretError;
pub use token::KeyId;
pub use token::Token;
