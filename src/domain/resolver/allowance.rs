//! How far a search may go: combinations looked at, rails kept in memory, and until somebody says that the time is up.
//!
//! An answer is whole or it says which limit was reached, so a slow machine never gets another answer than a quick one.
//! Absent here: the clock, which the caller asks.

use std::cell::Cell;
use std::fmt;

/// The most pairs and combinations that one question may look at.
pub const SEARCH_NODES_MAX: usize = 2_000_000;

/// The most pairs and combinations that a question answered at once may look at.
pub const AT_ONCE_NODES_MAX: usize = 2_000;

/// The most rails that one question may keep at a time, 64 bytes each.
pub const RAILS_KEPT_MAX: usize = 1_000_000;

/// A limit that ends a search.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Limit {
    /// [`SEARCH_NODES_MAX`] or what the caller set instead.
    Nodes,
    /// The caller's time.
    Time,
    /// [`RAILS_KEPT_MAX`].
    Memory,
}

impl Limit {
    /// The word for it in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Nodes => "search_nodes",
            Self::Time => "search_time",
            Self::Memory => "search_memory",
        }
    }
}

/// What a question may use up, shared by all searches that its answer takes.
pub struct Allowance<'a> {
    nodes_max: usize,
    is_time_up: &'a dyn Fn() -> bool,
    has_time_run_out: Cell<bool>,
}

impl fmt::Debug for Allowance<'_> {
    fn fmt(&self, form: &mut fmt::Formatter<'_>) -> fmt::Result {
        form.debug_struct("Allowance").field("nodes_max", &self.nodes_max).finish_non_exhaustive()
    }
}

impl Allowance<'static> {
    /// So many combinations for each search, and all the time there is.
    pub fn nodes(nodes_max: usize) -> Self {
        Self::new(nodes_max, &|| false)
    }
}

impl<'a> Allowance<'a> {
    /// [`SEARCH_NODES_MAX`] combinations for each search, until the caller says that the time is up.
    ///
    /// ```
    /// use rungwright::domain::resolver::Allowance;
    /// // Time that is up before the search begins lets no answer through, not even a quick one.
    /// let allowance = Allowance::until(&|| true);
    /// assert!(allowance.is_time_up());
    /// ```
    pub fn until(is_time_up: &'a dyn Fn() -> bool) -> Self {
        Self::new(SEARCH_NODES_MAX, is_time_up)
    }

    /// So many combinations for each search, until the caller says that the time is up.
    pub(super) fn new(nodes_max: usize, is_time_up: &'a dyn Fn() -> bool) -> Self {
        Self { nodes_max, is_time_up, has_time_run_out: Cell::new(false) }
    }

    /// Other combinations for each search, in the same time.
    pub(super) fn with_nodes(&self, nodes_max: usize) -> Allowance<'_> {
        Allowance::new(nodes_max, self.is_time_up)
    }

    /// Whether the time is up. Once it was, it stays so: what was cut short once is never called whole later.
    pub fn is_time_up(&self) -> bool {
        if !self.has_time_run_out.get() && (self.is_time_up)() {
            self.has_time_run_out.set(true);
        }
        self.has_time_run_out.get()
    }
}

/// Nodes after which the time is asked for again.
const NODES_BETWEEN_LOOKS: usize = 512;

/// What one search has left.
#[derive(Debug)]
pub(super) struct Nodes<'a> {
    allowance: &'a Allowance<'a>,
    left: usize,
    unwatched: usize,
    limit: Option<Limit>,
    lower_bound: Option<i64>,
}

impl<'a> Nodes<'a> {
    /// Everything that is allowed.
    pub(super) fn new(allowance: &'a Allowance<'a>) -> Self {
        let left = allowance.nodes_max;
        let mut nodes = Self { allowance, left, unwatched: 0, limit: None, lower_bound: None };
        nodes.look();
        if left == 0 {
            nodes.stop(Limit::Nodes);
        }
        nodes
    }

    /// Uses so many.
    pub(super) fn spend(&mut self, count: usize) {
        if self.is_spent() {
            return;
        }
        self.left = self.left.saturating_sub(count);
        self.unwatched = self.unwatched.saturating_add(count);
        if self.left == 0 {
            self.stop(Limit::Nodes);
        } else if NODES_BETWEEN_LOOKS <= self.unwatched {
            self.look();
        }
    }

    /// Looks at the time after work that counts as no combination.
    pub(super) fn watch(&mut self, work: usize) {
        self.unwatched = self.unwatched.saturating_add(work);
        if !self.is_spent() && NODES_BETWEEN_LOOKS <= self.unwatched {
            self.look();
        }
    }

    /// Notes how many rails are kept.
    pub(super) fn hold(&mut self, rails: usize) {
        if RAILS_KEPT_MAX <= rails {
            self.stop(Limit::Memory);
        }
    }

    /// The limit that was reached.
    pub(super) const fn limit(&self) -> Option<Limit> {
        self.limit
    }

    /// The least net price of what was not seen, as far as it was noted.
    pub(super) const fn lower_bound(&self) -> Option<i64> {
        self.lower_bound
    }

    /// Notes that what costs so much was not seen.
    pub(super) fn leave(&mut self, net: i64) {
        self.lower_bound = Some(self.lower_bound.map_or(net, |least| least.min(net)));
    }

    /// How many are left.
    pub(super) const fn left(&self) -> usize {
        self.left
    }

    /// Uses up all that is left: there is more to look at than may be.
    pub(super) fn exhaust(&mut self) {
        self.stop(Limit::Nodes);
    }

    /// Whether a limit was reached.
    pub(super) const fn is_spent(&self) -> bool {
        self.limit.is_some()
    }

    fn look(&mut self) {
        self.unwatched = 0;
        if self.allowance.is_time_up() {
            self.stop(Limit::Time);
        }
    }

    fn stop(&mut self, limit: Limit) {
        self.left = 0;
        self.limit = self.limit.or(Some(limit));
    }
}
