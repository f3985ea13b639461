//! Quotes in the database: written by one writer that shares commits, read from one state each.
//!
//! Number, quote, lines, history and the answer kept for its idempotency key are one transaction. Absent here: what a
//! transition does (`domain::quote`), the clock, and the answers' form (they come as texts made by a function).

mod kept;
mod form;
mod sheet_form;
mod rows;
mod answer;
mod change;
mod new_quote;
mod save;
mod create;
mod list;
mod writer;

pub use answer::KeyedRequest;
pub use answer::SavedAnswer;
pub use answer::Written;
pub use change::Action;
pub use change::Precondition;
pub use change::QuoteChange;
pub(in crate::store) use create::answer_of;
pub use create::saved_answer;
pub use kept::NotKept;
pub use list::QuoteFilter;
pub use list::QuoteHead;
pub use list::list_quotes;
pub use new_quote::KEY_KEPT_DAYS;
pub use new_quote::NewQuote;
pub use new_quote::Predecessor;
pub use new_quote::Render;
pub use rows::load_history;
pub use rows::load_quote;
pub(in crate::store) use save::keep;
pub use writer::BATCH_MAX;
pub use writer::QUEUE_MAX;
pub use writer::QuoteWrite;
pub use writer::QuoteWriter;
pub use writer::WriteFailure;
