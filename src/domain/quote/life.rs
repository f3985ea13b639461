//! The life of one revision: drafted, issued, accepted, expired, withdrawn, superseded.
//!
//! `expired` is never stored: an issued quote is expired from its instant on, whoever asks. Absent here: the clock.

use std::fmt;

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use crate::domain::catalogue::time_zone as zone_of;

use super::changes::Change;
use super::changes::changes;
use super::content::QuoteContent;
use super::number::QuoteNumber;

/// Where a revision stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum QuoteState {
    /// Numbered, not yet an offer.
    Draft,
    /// An offer that stands.
    Issued,
    /// Accepted, once.
    Accepted,
    /// Issued, and its last day is over.
    Expired,
    /// Taken back.
    Withdrawn,
    /// Replaced by a later revision.
    Superseded,
}

impl QuoteState {
    /// The six states.
    pub const ALL: [Self; 6] = [
        Self::Draft,
        Self::Issued,
        Self::Accepted,
        Self::Expired,
        Self::Withdrawn,
        Self::Superseded,
    ];

    /// The word for it in JSON and SQL.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Draft => "draft",
            Self::Issued => "issued",
            Self::Accepted => "accepted",
            Self::Expired => "expired",
            Self::Withdrawn => "withdrawn",
            Self::Superseded => "superseded",
        }
    }

    /// The state of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|state| state.word() == word)
    }
}

/// Who accepted, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Acceptance {
    /// Who.
    pub by: Box<str>,
    /// When.
    pub at: Timestamp,
}

/// Why it was taken back, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Withdrawal {
    /// Why.
    pub reason: Box<str>,
    /// When.
    pub at: Timestamp,
}

/// One revision of a quote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Quote {
    /// Its number, shared by all revisions.
    pub number: QuoteNumber,
    /// 1 is the first.
    pub revision: u32,
    /// The revision that it replaces.
    pub predecessor: Option<u32>,
    /// Where it stands, as stored: never `Expired`. See [`Quote::state_at`].
    pub state: QuoteState,
    /// Counts the changes of state, from 1.
    pub version: u32,
    /// When it was drafted.
    pub created_at: Timestamp,
    /// Last day of the offer, in the seller's time zone.
    pub valid_until: Date,
    /// The first instant at which it no longer stands.
    pub expires_at: Timestamp,
    /// When it was issued.
    pub issued_at: Option<Timestamp>,
    /// Its acceptance.
    pub acceptance: Option<Acceptance>,
    /// Its withdrawal.
    pub withdrawal: Option<Withdrawal>,
    /// What differs from the predecessor.
    pub changes: Vec<Change>,
    /// What is on offer.
    pub content: QuoteContent,
}

/// Why something cannot happen to a quote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// The revision is in a state in which this does not happen.
    State(QuoteState),
    /// The offer ended.
    Expired(Timestamp),
    /// The last day was over before it was issued.
    ValidityPassed(Date),
    /// The price list no longer holds.
    PriceListEnded(Date),
    /// There is a draft already.
    OpenDraft(u32),
    /// The market of a revision differs from its predecessor's.
    OtherMarket,
}

impl Refusal {
    /// Stable code.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::State(_) => "wrong-state",
            Self::Expired(_) => "quote-expired",
            Self::ValidityPassed(_) => "validity-passed",
            Self::PriceListEnded(_) => "price-list-ended",
            Self::OpenDraft(_) => "open-draft",
            Self::OtherMarket => "other-market",
        }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::State(state) => {
                write!(f, "the quote is {}, which does not allow it", state.word())
            }
            Self::Expired(at) => {
                write!(f, "the quote expired at {at}; a revision can renew the offer")
            }
            Self::ValidityPassed(day) => {
                write!(f, "its last day, {day}, is over; draft a revision")
            }
            Self::PriceListEnded(day) => {
                write!(f, "its price list ended on {day}; draft a revision at present prices")
            }
            Self::OpenDraft(revision) => {
                write!(f, "revision {revision} is a draft already; issue or withdraw it first")
            }
            Self::OtherMarket => f.write_str("a revision stays in the market of its number"),
        }
    }
}

/// What happened to a revision.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum EventKind {
    /// Drafted.
    Drafted,
    /// Issued.
    Issued,
    /// Accepted.
    Accepted,
    /// Withdrawn.
    Withdrawn,
    /// Superseded.
    Superseded,
}

impl EventKind {
    /// The five kinds.
    pub const ALL: [Self; 5] =
        [Self::Drafted, Self::Issued, Self::Accepted, Self::Withdrawn, Self::Superseded];

    /// The word for it in JSON and SQL.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Drafted => "drafted",
            Self::Issued => "issued",
            Self::Accepted => "accepted",
            Self::Withdrawn => "withdrawn",
            Self::Superseded => "superseded",
        }
    }

    /// The kind of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// One entry of a quote's history. Never changed, never removed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// The revision.
    pub revision: u32,
    /// What happened.
    pub kind: EventKind,
    /// When; never before the entry above it, even when the clock was moved back.
    pub at: Timestamp,
    /// Who or why, as given.
    pub note: Box<str>,
}

impl Quote {
    /// The state at an instant: an issued quote is expired from its instant on.
    pub fn state_at(&self, moment: Timestamp) -> QuoteState {
        if self.state == QuoteState::Issued && self.expires_at <= moment {
            QuoteState::Expired
        } else {
            self.state
        }
    }

    /// What tells this state of this revision from every other: the text of its entity tag.
    pub fn tag(&self, state: QuoteState) -> String {
        tag_of((&self.number, self.revision), (self.version, state))
    }

    /// Makes the draft an offer.
    pub fn issue(self, moment: Timestamp) -> Result<Self, Refusal> {
        if self.state != QuoteState::Draft {
            return Err(Refusal::State(self.state_at(moment)));
        }
        if self.expires_at <= moment {
            return Err(Refusal::ValidityPassed(self.valid_until));
        }
        let today = local_day(moment, &self.content.seller.time_zone);
        if let Some(last) = self.content.price_list_valid_to.filter(|last| *last < today) {
            return Err(Refusal::PriceListEnded(last));
        }
        Ok(Self { issued_at: Some(moment), ..self.moved_to(QuoteState::Issued) })
    }

    /// Accepts the offer: once, and before it ends. At the very instant of expiry it has ended.
    pub fn accept(self, by: &str, moment: Timestamp) -> Result<Self, Refusal> {
        match self.state_at(moment) {
            QuoteState::Issued => {
                let acceptance = Some(Acceptance { by: by.into(), at: moment });
                Ok(Self { acceptance, ..self.moved_to(QuoteState::Accepted) })
            }
            QuoteState::Expired => Err(Refusal::Expired(self.expires_at)),
            state @ (QuoteState::Draft
            | QuoteState::Accepted
            | QuoteState::Withdrawn
            | QuoteState::Superseded) => Err(Refusal::State(state)),
        }
    }

    /// Takes a draft or an offer back. What was accepted or replaced stays.
    pub fn withdraw(self, reason: &str, moment: Timestamp) -> Result<Self, Refusal> {
        match self.state {
            QuoteState::Draft | QuoteState::Issued => {
                let withdrawal = Some(Withdrawal { reason: reason.into(), at: moment });
                Ok(Self { withdrawal, ..self.moved_to(QuoteState::Withdrawn) })
            }
            state @ (QuoteState::Accepted
            | QuoteState::Expired
            | QuoteState::Withdrawn
            | QuoteState::Superseded) => Err(Refusal::State(state)),
        }
    }

    /// Marks a draft or an offer as replaced by a later revision.
    pub fn supersede(self) -> Result<Self, Refusal> {
        match self.state {
            QuoteState::Draft | QuoteState::Issued => Ok(self.moved_to(QuoteState::Superseded)),
            state @ (QuoteState::Accepted
            | QuoteState::Expired
            | QuoteState::Withdrawn
            | QuoteState::Superseded) => Err(Refusal::State(state)),
        }
    }

    /// Whether a revision may follow: not on what was accepted, withdrawn or already replaced.
    pub fn check_revisable(&self) -> Result<(), Refusal> {
        match self.state {
            QuoteState::Draft | QuoteState::Issued | QuoteState::Expired => Ok(()),
            state @ (QuoteState::Accepted | QuoteState::Withdrawn | QuoteState::Superseded) => {
                Err(Refusal::State(state))
            }
        }
    }

    /// This draft as the revision after another, with what differs.
    pub fn following(self, predecessor: &Self, revision: u32) -> Result<Self, Refusal> {
        predecessor.check_revisable()?;
        if predecessor.content.market != self.content.market {
            return Err(Refusal::OtherMarket);
        }
        let changes = changes(
            (&predecessor.content, predecessor.valid_until),
            (&self.content, self.valid_until),
        );
        let number = predecessor.number.clone();
        Ok(Self { number, revision, predecessor: Some(predecessor.revision), changes, ..self })
    }

    fn moved_to(self, state: QuoteState) -> Self {
        Self { state, version: self.version.saturating_add(1), ..self }
    }
}

/// The text of the entity tag of a revision in a state.
pub fn tag_of(
    (number, revision): (&QuoteNumber, u32),
    (version, state): (u32, QuoteState),
) -> String {
    format!("{number}.r{revision}.v{version}.{}", state.word())
}

/// The instant at which a day ends in a time zone. On a day whose midnight the clocks skip, the first instant after it.
///
/// ```
/// use jiff::civil::date;
/// use jiff::tz::TimeZone;
/// use rungwright::domain::quote::expiry;
/// let dublin = rungwright::domain::catalogue::time_zone("Europe/Dublin").unwrap();
/// // In summer the day ends an hour before it does in universal time.
/// assert_eq!(expiry(date(2028, 2, 29), &dublin).unwrap().to_string(), "2028-03-01T00:00:00Z");
/// assert_eq!(expiry(date(2026, 6, 30), &dublin).unwrap().to_string(), "2026-06-30T23:00:00Z");
/// ```
pub fn expiry(last_day: Date, zone: &TimeZone) -> Result<Timestamp, jiff::Error> {
    zone.to_timestamp(last_day.tomorrow()?.at(0, 0, 0, 0))
}

/// The day at an instant in a time zone; in universal time where the zone is not known.
pub fn local_day(moment: Timestamp, time_zone: &str) -> Date {
    let zone = zone_of(time_zone).unwrap_or(TimeZone::UTC);
    zone.to_datetime(moment).date()
}
