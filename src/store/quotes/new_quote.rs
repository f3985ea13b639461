//! A quote about to be saved, and what can be made ready of it before its number is known, outside the one writer:
//! content, hash, answer.

use jiff::Timestamp;
use jiff::civil::Date;

use crate::domain::access::Actor;
use crate::domain::quote::Quote;
use crate::domain::quote::QuoteContent;
use crate::domain::quote::QuoteNumber;
use crate::domain::quote::QuoteState;

use super::answer::KeyedRequest;
use super::change::Precondition;
use super::form::keep_content;
use super::rows::hash_of;

/// Days for which the answer of an idempotency key is kept.
pub const KEY_KEPT_DAYS: i64 = 31;

/// Makes the body of the answer that is kept for a quote.
pub type Render = fn(&Quote) -> String;

/// The revision that a new one follows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Predecessor {
    /// Its number.
    pub number: QuoteNumber,
    /// Which revision, in which state.
    pub precondition: Precondition,
}

/// A draft about to be saved.
#[derive(Debug, Clone)]
pub struct NewQuote {
    /// The request.
    pub request: KeyedRequest,
    /// What is on offer.
    pub content: QuoteContent,
    /// Last day.
    pub valid_until: Date,
    /// End of that day.
    pub expires_at: Timestamp,
    /// Year of the number, in the seller's time zone.
    pub year: i16,
    /// The time.
    pub now: Timestamp,
    /// Who drafts it; it belongs to their account.
    pub by: Actor,
    /// The revision that it follows, if any.
    pub predecessor: Option<Predecessor>,
    /// Makes the answer.
    pub render: Render,
}

/// The ordinal that no quote has, under which an answer is made ready.
const NO_ORDINAL: u32 = 0;

/// A new quote made ready.
#[derive(Debug, Clone)]
pub(super) struct Prepared {
    /// The request and its content.
    pub new: NewQuote,
    /// The content as it is kept.
    pub content: String,
    /// Its hash.
    pub hash: String,
    /// The answer under the number that no quote has, where that number stands in it once and nowhere else.
    pub template: Option<String>,
}

impl Prepared {
    /// Makes a new quote ready.
    pub(super) fn of(new: NewQuote) -> Self {
        let content = keep_content(&new.content);
        let hash = hash_of(&content);
        let template = if new.predecessor.is_none() {
            let number = nobody(&new);
            let printed = number.to_string();
            let text = (new.render)(&draft(&new, number));
            (text.matches(&printed).count() == 1).then_some(text)
        } else {
            None
        };
        Self { new, content, hash, template }
    }

    /// The answer to the first draft under its number.
    pub(super) fn answer(&self, number: &QuoteNumber) -> String {
        match &self.template {
            Some(text) => text.replacen(&nobody(&self.new).to_string(), &number.to_string(), 1),
            // Somebody wrote that very number into a name; then the answer is made now.
            None => (self.new.render)(&draft(&self.new, number.clone())),
        }
    }
}

fn nobody(new: &NewQuote) -> QuoteNumber {
    QuoteNumber::new(&new.content.market, new.year, NO_ORDINAL)
}

/// The first draft of a number.
pub(super) fn draft(new: &NewQuote, number: QuoteNumber) -> Quote {
    Quote {
        number,
        revision: 1,
        predecessor: None,
        state: QuoteState::Draft,
        version: 1,
        created_at: new.now,
        valid_until: new.valid_until,
        expires_at: new.expires_at,
        issued_at: None,
        acceptance: None,
        withdrawal: None,
        changes: Vec::new(),
        content: new.content.clone(),
    }
}
