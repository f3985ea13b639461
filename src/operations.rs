//! What the program can be asked to do, and the state it does it with.
//!
//! Absent here: HTTP, the command line, SQL.

pub mod clock;
pub mod compiled_lists;
pub mod start;
pub mod resolve_room;
pub mod next_choices;
pub mod check_parts;
pub mod place_items;
pub mod cite;
pub mod describe_output;
pub mod desk;
pub mod sheets;
pub mod quote_parts;
pub mod quotes;
pub mod access;
pub mod audit;
pub mod older;
pub mod at_hand;
pub mod editions;
pub mod follow;
pub mod load_edition;
pub mod compare_editions;
pub mod try_rule;

use std::sync::Arc;
use std::sync::Mutex;
use std::sync::OnceLock;
use std::sync::PoisonError;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering;
use std::thread;

use arc_swap::ArcSwapOption;
use jiff::Timestamp;
use jiff::civil::Date;

use crate::domain::catalogue::Edition;
use crate::domain::compatibility::Catalogue;
use crate::domain::zones::rules::WiringRules;
use crate::store::rule_packs;
use crate::store::rule_packs::PackError;

use access::Access;
use at_hand::AtHand;
use clock::Clock;
use clock::Stopwatch;
use compiled_lists::CompiledLists;
use desk::Desk;
use older::Older;

/// The running program as its routes see it. Cloning it is cheap and shares the state.
#[derive(Debug, Clone, Default)]
pub struct App {
    readiness: Arc<Mutex<Readiness>>,
    held: Arc<ArcSwapOption<Held>>,
    clock: Clock,
    desk: Arc<OnceLock<Desk>>,
    access: Arc<OnceLock<Access>>,
    older: Arc<Older>,
    at_hand: Arc<AtHand>,
    publishing: Arc<PublicationTurn>,
    loading: Arc<AtomicUsize>,
}

/// Catalogues read at one moment: each may be as large as its limit while it is read.
pub const UPLOADS_AT_ONCE_MAX: usize = 2;

/// A place for a catalogue that is being read; free again when it is dropped.
#[derive(Debug)]
pub struct UploadPlace(Arc<AtomicUsize>);

impl Drop for UploadPlace {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::AcqRel);
    }
}

/// Held by the one publication that may write and swap, so that memory follows the database in its order.
type PublicationTurn = tokio::sync::Mutex<()>;

/// What reads are answered from: replaced as a whole, never changed.
#[derive(Debug)]
pub struct Held {
    /// The edition in force, compiled.
    pub catalogue: Catalogue,
    /// The wiring rules of the edition, or those of the program standing in for them.
    pub wiring_rules: Vec<WiringRules>,
    /// The edition at its retail prices, laid out for the search; see [`Held::lists`].
    pub compiled_lists: OnceLock<CompiledLists>,
}

impl Held {
    /// Holds an edition with the wiring rules that it has, compiled for the search. One without any is served with those of
    /// the program, marked as standing in, so that every answer from them says so.
    pub fn of(edition: Edition) -> Result<Self, PackError> {
        let held = Self::to_look_through(edition)?;
        held.lists();
        Ok(held)
    }

    /// The same without what only a search needs, which is compiled when it is first asked for.
    pub fn to_look_through(edition: Edition) -> Result<Self, PackError> {
        let mut wiring_rules = edition.wiring_rules().to_vec();
        if wiring_rules.is_empty() {
            wiring_rules = rule_packs::load_all()?;
            for rules in &mut wiring_rules {
                rules.is_stand_in = true;
            }
        }
        let catalogue = Catalogue::compile(edition);
        Ok(Self { catalogue, wiring_rules, compiled_lists: OnceLock::new() })
    }

    /// Holds a catalogue, compiled for the search. Takes time that grows with the catalogue: not for a thread that
    /// answers requests.
    pub fn compile(catalogue: Catalogue, wiring_rules: Vec<WiringRules>) -> Self {
        let held = Self { catalogue, wiring_rules, compiled_lists: OnceLock::new() };
        held.lists();
        held
    }

    /// The edition at its retail prices. The first call compiles it, which takes time: not for a thread that answers
    /// requests.
    pub fn lists(&self) -> &CompiledLists {
        self.compiled_lists
            .get_or_init(|| CompiledLists::compile(&self.catalogue, &self.wiring_rules))
    }
}

/// Lets go of editions on a thread of their own: a large one consists of a million pieces.
fn let_go(gone: Vec<Arc<Held>>) {
    if !gone.is_empty() {
        drop(thread::spawn(move || drop(gone)));
    }
}

/// What one request is answered from, from its first to its last byte.
#[derive(Debug, Clone)]
pub struct Snapshot {
    held: Arc<Held>,
    today: Date,
    clock: Clock,
}

/// Whether requests should be sent to this process.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Readiness {
    /// Still loading.
    #[default]
    Starting,
    /// Everything that an answer needs is loaded.
    Ready,
    /// On its way out: requests in flight are answered, new ones should go elsewhere.
    Draining,
}

impl App {
    /// A program that reads the time from this clock.
    pub fn with_clock(clock: Clock) -> Self {
        Self { clock, ..Self::default() }
    }

    /// Whether requests should be sent here now.
    pub fn readiness(&self) -> Readiness {
        *self.readiness.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Moves on to a later state; never back, so that a late "ready" cannot undo draining.
    ///
    /// ```
    /// use rungwright::operations::{App, Readiness};
    /// let app = App::default();
    /// app.advance(Readiness::Draining);
    /// app.advance(Readiness::Ready);
    /// assert_eq!(app.readiness(), Readiness::Draining);
    /// ```
    pub fn advance(&self, to: Readiness) {
        let mut now = self.readiness.lock().unwrap_or_else(PoisonError::into_inner);
        *now = to.max(*now);
    }

    /// Answers from another catalogue from now on. Requests under way finish on the one they began with, and the
    /// edition of before can still be asked for by its number.
    pub fn hold(&self, held: Held) {
        self.hold_shared(Arc::new(held));
    }

    fn hold_shared(&self, held: Arc<Held>) {
        // What is in force need not be held at hand as well.
        let_go(self.at_hand.let_go(held.catalogue.edition().number()).into_iter().collect());
        let before = self.held.swap(Some(held));
        if let Some(before) = before {
            let_go(self.older.keep(before));
        }
    }

    /// Opens the desk at which quotes are written. Once: a second desk is not taken.
    pub fn open_desk(&self, desk: Desk) {
        // Two writers on one database would wait for each other.
        drop(self.desk.set(desk));
    }

    /// A place to read a catalogue in; nothing while all are taken.
    pub fn upload_place(&self) -> Option<UploadPlace> {
        let taken = self.loading.fetch_add(1, Ordering::AcqRel);
        let place = UploadPlace(Arc::clone(&self.loading));
        (taken < UPLOADS_AT_ONCE_MAX).then_some(place)
    }

    /// The desk at which quotes are written; nothing in a program without a database.
    pub fn desk(&self) -> Option<&Desk> {
        self.desk.get()
    }

    /// Opens the service to the holders of keys. Once: a second set is not taken.
    pub fn open_access(&self, access: Access) {
        drop(self.access.set(access));
    }

    /// The keys; nothing in a program that was opened to nobody.
    pub fn access(&self) -> Option<&Access> {
        self.access.get()
    }

    /// The time, in whole milliseconds, as rows hold it.
    pub fn now(&self) -> Timestamp {
        let now = self.clock.now();
        Timestamp::from_millisecond(now.as_millisecond()).unwrap_or(now)
    }

    /// What a request that begins now is answered from; nothing before a catalogue is loaded.
    pub fn snapshot(&self) -> Option<Snapshot> {
        Some(self.snapshot_from(self.held.load_full()?))
    }

    fn snapshot_from(&self, held: Arc<Held>) -> Snapshot {
        Snapshot { held, today: self.clock.today(), clock: self.clock }
    }
}

impl Snapshot {
    /// A snapshot that no running program holds: for the command line and for tests.
    pub fn of(held: Held, today: Date) -> Self {
        Self { held: Arc::new(held), today, clock: Clock::System }
    }

    /// The catalogue.
    pub fn catalogue(&self) -> &Catalogue {
        &self.held.catalogue
    }

    /// The wiring rules of all countries.
    pub fn wiring_rules(&self) -> &[WiringRules] {
        &self.held.wiring_rules
    }

    /// A stopwatch started now, by the clock that the program reads.
    pub fn stopwatch(&self) -> Stopwatch {
        Stopwatch::start(self.clock)
    }

    /// The catalogue compiled for its retail prices.
    pub fn compiled_lists(&self) -> &CompiledLists {
        self.held.lists()
    }

    /// The day on which the request began.
    pub const fn today(&self) -> Date {
        self.today
    }
}
