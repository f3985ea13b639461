//! Reading and writing quotes, as the routes ask for it: the store's words, passed on under this roof.
//!
//! Absent here: what stands in a quote (`quote_parts`) and where it is written (`desk`).

pub use crate::store::StoreError;
pub use crate::store::StoreErrorKind;
pub use crate::store::quotes::Action;
pub use crate::store::quotes::KeyedRequest;
pub use crate::store::quotes::NewQuote;
pub use crate::store::quotes::Precondition;
pub use crate::store::quotes::Predecessor;
pub use crate::store::quotes::QuoteChange;
pub use crate::store::quotes::QuoteFilter;
pub use crate::store::quotes::QuoteHead;
pub use crate::store::quotes::QuoteWrite;
pub use crate::store::quotes::SavedAnswer;
pub use crate::store::quotes::WriteFailure;
pub use crate::store::quotes::Written;
pub use crate::store::quotes::list_quotes;
pub use crate::store::quotes::load_history;
pub use crate::store::quotes::load_quote;
pub use crate::store::quotes::saved_answer;
