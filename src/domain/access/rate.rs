//! How often somebody may ask: a bucket that empties by one with each request and fills evenly, once a minute from empty.
//!
//! The bucket is kept as the one instant at which it would be full again (the generic cell rate algorithm of ATM
//! networks, ITU-T I.371, from memory), so it costs eight bytes and no timer. Time comes in as nanoseconds since any fixed beginning.

/// Requests that may be made in a minute: the size of the bucket.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct PerMinute(u32);

/// The bucket of one key or of one address.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Bucket {
    full_at_ns: u64,
}

/// What came of asking a bucket.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Taken {
    /// Whether the request may go on.
    pub is_granted: bool,
    /// How many more may follow at once.
    pub remaining: u32,
    /// Whole seconds until the next is granted; 0 while some remain.
    pub wait_s: u32,
    /// Whole seconds until the bucket is full again.
    pub full_s: u32,
}

/// The minute in which an empty bucket fills.
pub const WINDOW_S: u32 = 60;
const SECOND_NS: u64 = 1_000_000_000;
const WINDOW_NS: u64 = 60 * SECOND_NS;

impl PerMinute {
    /// The least.
    pub const MIN: Self = Self(1);
    /// The most: beyond it the machine is the limit.
    pub const MAX: Self = Self(6_000_000);
    /// What a key is given when nobody says: ten a second (our own choice).
    pub const USUAL: Self = Self(600);

    /// So many in a minute.
    pub fn new(count: u32) -> Option<Self> {
        (Self::MIN.0..=Self::MAX.0).contains(&count).then_some(Self(count))
    }

    /// How many.
    pub const fn count(self) -> u32 {
        self.0
    }

    /// Time in which one request comes back.
    fn interval_ns(self) -> u64 {
        WINDOW_NS.checked_div(self.0.into()).unwrap_or(WINDOW_NS)
    }
}

impl Bucket {
    /// Takes one request out, if there is one left.
    ///
    /// ```
    /// use rungwright::domain::access::{Bucket, PerMinute};
    /// let two = PerMinute::new(2).unwrap();
    /// let mut bucket = Bucket::default();
    /// assert_eq!(bucket.take(two, 0).remaining, 1);
    /// assert!(bucket.take(two, 0).is_granted);
    /// // The third waits for half a minute, not for the next full minute.
    /// assert_eq!(bucket.take(two, 0).wait_s, 30);
    /// assert!(bucket.take(two, 30_000_000_000).is_granted);
    /// ```
    pub fn take(&mut self, limit: PerMinute, at_ns: u64) -> Taken {
        let interval = limit.interval_ns();
        let missing = self.full_at_ns.saturating_sub(at_ns);
        let after = missing.saturating_add(interval);
        let is_granted = after <= WINDOW_NS;
        let left = if is_granted { after } else { missing };
        self.full_at_ns = at_ns.saturating_add(left);
        let room = WINDOW_NS.saturating_sub(left);
        let remaining = room.checked_div(interval).unwrap_or(0);
        let waits = left.saturating_add(interval).saturating_sub(WINDOW_NS);
        Taken {
            is_granted,
            remaining: u32::try_from(remaining).unwrap_or(u32::MAX),
            wait_s: if remaining == 0 { whole_seconds(waits) } else { 0 },
            full_s: whole_seconds(left),
        }
    }

    /// Whether nothing is missing from it any more, so that forgetting it changes nothing.
    pub const fn is_full(self, at_ns: u64) -> bool {
        self.full_at_ns <= at_ns
    }
}

/// Rounded up: whoever waits so long is not turned away again.
fn whole_seconds(ns: u64) -> u32 {
    u32::try_from(ns.div_ceil(SECOND_NS)).unwrap_or(u32::MAX)
}
