//! Quotes: what is offered, at which price, until when, and what may happen to the offer.
//!
//! A [`Quote`] is one revision. Its [`content`](QuoteContent) never changes, not even as a draft: a change is a
//! revision that names its predecessor. Every transition is a function that takes the time and gives the next state or
//! a [`Refusal`] as a value. Absent here: the clock, ids, rows, and which parts are on offer (`resolver`).

mod number;
pub mod sheet;
mod content;
mod sums;
mod compose;
mod changes;
mod life;

pub use changes::Change;
pub use changes::changes;
pub use compose::AskedLine;
pub use compose::AskedRoom;
pub use compose::Composer;
pub use compose::Faulty;
pub use compose::LineDiscount;
pub use content::Customer;
pub use content::KeptNotice;
pub use content::KeptRequirement;
pub use content::QUOTE_LINES_MAX;
pub use content::QuoteContent;
pub use content::QuotedDelivery;
pub use content::QuotedDiscount;
pub use content::QuotedLine;
pub use content::QuotedRoom;
pub use content::ROOMS_MAX;
pub use content::Seller;
pub use life::Acceptance;
pub use life::Event;
pub use life::EventKind;
pub use life::Quote;
pub use life::QuoteState;
pub use life::Refusal;
pub use life::Withdrawal;
pub use life::expiry;
pub use life::local_day;
pub use life::tag_of;
pub use number::QuoteNumber;
