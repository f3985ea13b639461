//! Lists, histories and answers of quotes as they go out.

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::quote::Event;
use crate::domain::quote::Quote;
use crate::domain::quote::QuoteNumber;
use crate::operations::quotes::QuoteHead;

/// A page of quotes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct QuotesView {
    /// Revisions, newest first.
    pub items: Vec<QuoteHeadView>,
    /// Opaque: the value of `cursor` for the next page; absent on the last.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_cursor: Option<String>,
}

/// What a list shows of a revision.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct QuoteHeadView {
    /// Number.
    number: String,
    /// Revision.
    revision: u32,
    /// State now.
    state: &'static str,
    /// The customer's reference.
    #[serde(skip_serializing_if = "Option::is_none")]
    customer_reference: Option<String>,
    /// ISO 4217 code.
    currency: String,
    /// What is payable.
    gross: String,
    /// When it was drafted.
    created_at: String,
    /// Last day.
    valid_until: String,
}

/// The history of a quote.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct HistoryView {
    /// Number.
    number: String,
    /// What happened, oldest first.
    events: Vec<EventView>,
}

/// One entry of the history.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct EventView {
    /// The revision.
    revision: u32,
    /// `drafted`, `issued`, `accepted`, `withdrawn` or `superseded`.
    kind: &'static str,
    /// When.
    at: String,
    /// Who or why.
    note: String,
}

/// What was asked and answered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct AnswersView {
    /// Number.
    number: String,
    /// Revision.
    revision: u32,
    /// Room by room.
    rooms: Vec<RoomAnswerView>,
}

/// What was asked and answered for a room.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct RoomAnswerView {
    /// Name of the room.
    name: String,
    /// The request.
    request: serde_json::Value,
    /// The answer with the chosen option; null for parts of the caller's own.
    answer: serde_json::Value,
}

impl From<&QuoteHead> for QuoteHeadView {
    fn from(head: &QuoteHead) -> Self {
        Self {
            number: head.number.to_string(),
            revision: head.revision,
            state: head.state.word(),
            customer_reference: head.customer_reference.as_deref().map(ToOwned::to_owned),
            currency: head.currency.code().to_owned(),
            gross: head.currency.format(head.gross),
            created_at: head.created_at.to_string(),
            valid_until: head.valid_until.to_string(),
        }
    }
}

impl HistoryView {
    /// The view of a history.
    pub fn new(number: &QuoteNumber, events: &[Event]) -> Self {
        let view = |event: &Event| EventView {
            revision: event.revision,
            kind: event.kind.word(),
            at: event.at.to_string(),
            note: event.note.to_string(),
        };
        Self { number: number.to_string(), events: events.iter().map(view).collect() }
    }
}

impl From<&Quote> for AnswersView {
    fn from(quote: &Quote) -> Self {
        let json = |text: &str| serde_json::from_str(text).unwrap_or(serde_json::Value::Null);
        let rooms = quote.content.rooms.iter().map(|room| RoomAnswerView {
            name: room.name.to_string(),
            request: json(&room.request),
            answer: json(&room.answer),
        });
        let number = quote.number.to_string();
        Self { number, revision: quote.revision, rooms: rooms.collect() }
    }
}
