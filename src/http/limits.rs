//! Every limit of the HTTP edge, by name, and the answer a client gets on reaching it.
//!
//! Tests shorten the time-outs by building their own [`Limits`]; the program uses the default, which quotes the
//! constants. Absent here: limits of single fields (the schemas quote `domain::units`) and of the search.

use std::time::Duration;

use crate::domain::access::PerMinute;

/// Largest request body in bytes; more is answered 413.
///
/// Wide enough that a list of ten thousand drawn parts is read and refused at its own limit, which says more.
pub const BODY_BYTES_MAX: usize = 1536 * 1024;
/// Most values in a body, counting every number, text, list and object; more is answered 413.
///
/// Checking a value against its schema takes microseconds, so this keeps the worst body to some hundredths of a second.
pub const BODY_VALUES_MAX: usize = 20_000;
/// Most entries of a list that are looked at; a longer list is refused.
///
/// The rest is read away, one value each by the count.
/// No list of a published schema may be this long, so the refusal names the list's own limit.
pub const LIST_ENTRIES_KEPT: usize = 512;
/// How much of a body that is already too large is still read away, so that the client gets to read the 413
/// and not a broken connection.
pub const DRAINED_BYTES_MAX: usize = 8 * 1024 * 1024;
/// Largest catalogue that is handed in over HTTP, in bytes as sent; more is answered 413. The command line takes more.
pub const CATALOGUE_BYTES_MAX: usize = 64 * 1024 * 1024;
/// Time for a catalogue to arrive; more is answered 408.
pub const CATALOGUE_TIME_OUT: Duration = Duration::from_mins(1);
/// Time for a keeper's request on editions from routed to answered; more is answered 503.
pub const KEEPER_TIME_OUT: Duration = Duration::from_mins(3);
/// Longest path and query in bytes; more is answered 414.
pub const TARGET_BYTES_MAX: usize = 4 * 1024;
/// Largest sum of header names and values in bytes; more is answered 431.
pub const HEADER_BYTES_MAX: usize = 16 * 1024;
/// Most header fields of a request that reach the routes; more is answered 431.
pub const HEADER_FIELDS_MAX: usize = 64;
/// Most header fields the connection reads at all; beyond it the connection answers 431 without a document and closes.
pub const CONNECTION_HEADER_FIELDS_MAX: usize = 128;
/// Most bytes of a request head the connection holds; beyond it the connection answers 431 without a document and closes.
pub const CONNECTION_BUFFER_BYTES_MAX: usize = 64 * 1024;
/// Most field errors listed in one problem document; the detail says when there are more.
pub const FIELD_ERRORS_MAX: usize = 256;
/// Longest client-made request id in bytes; a longer one is replaced by ours.
pub const REQUEST_ID_BYTES_MAX: usize = 64;
/// Most requests worked on at once; one more is answered 503 with `Retry-After`.
pub const REQUESTS_AT_ONCE_MAX: usize = 256;
/// Most open connections; one more is answered 503 and closed.
pub const CONNECTIONS_MAX: usize = 1024;
/// Requests a minute of one address without a key that holds; more is answered 429.
pub const KEYLESS_PER_MINUTE: PerMinute = PerMinute::USUAL;
/// Paths that are answered even when all places are taken: the process must be able to say that it lives.
pub const EXEMPT_PATHS: &str = "/health/";
/// What `Retry-After` says on a 503, in seconds.
pub const RETRY_AFTER_S: u16 = 1;
/// Time for a whole request from routed to answered; more is answered 503.
pub const REQUEST_TIME_OUT: Duration = Duration::from_secs(10);
/// Time for a request body to arrive; more is answered 408.
pub const BODY_TIME_OUT: Duration = Duration::from_secs(5);
/// Time from accepted to the first byte; then the connection is closed.
pub const FIRST_BYTE_TIME_OUT: Duration = Duration::from_secs(10);
/// Time for a request head to arrive, and between two requests of a kept connection; then it is closed.
pub const HEAD_OR_IDLE_TIME_OUT: Duration = Duration::from_secs(15);
/// Longest life of a connection; then it is closed after the answer in flight.
pub const CONNECTION_LIFE_MAX: Duration = Duration::from_mins(10);
/// Time between "not ready" and the end of accepting, for a load balancer to notice.
pub const DRAIN_NOTICE: Duration = Duration::from_secs(1);
/// Time for requests in flight to end after accepting has ended; then they are cut.
pub const DRAIN_TIME_MAX: Duration = Duration::from_secs(20);
/// Pause after a failed accept (no file descriptor left), so that the loop does not spin.
pub const ACCEPT_PAUSE: Duration = Duration::from_millis(100);

/// The limits of connections and requests that a test may want shorter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// See [`REQUESTS_AT_ONCE_MAX`].
    pub requests_at_once_max: usize,
    /// See [`KEYLESS_PER_MINUTE`].
    pub keyless_per_minute: PerMinute,
    /// See [`CONNECTIONS_MAX`].
    pub connections_max: usize,
    /// See [`REQUEST_TIME_OUT`].
    pub request_time_out: Duration,
    /// See [`KEEPER_TIME_OUT`].
    pub keeper_time_out: Duration,
    /// See [`FIRST_BYTE_TIME_OUT`].
    pub first_byte_time_out: Duration,
    /// See [`HEAD_OR_IDLE_TIME_OUT`].
    pub head_or_idle_time_out: Duration,
    /// See [`CONNECTION_LIFE_MAX`].
    pub connection_life_max: Duration,
    /// See [`DRAIN_NOTICE`].
    pub drain_notice: Duration,
    /// See [`DRAIN_TIME_MAX`].
    pub drain_time_max: Duration,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            requests_at_once_max: REQUESTS_AT_ONCE_MAX,
            keyless_per_minute: KEYLESS_PER_MINUTE,
            connections_max: CONNECTIONS_MAX,
            request_time_out: REQUEST_TIME_OUT,
            keeper_time_out: KEEPER_TIME_OUT,
            first_byte_time_out: FIRST_BYTE_TIME_OUT,
            head_or_idle_time_out: HEAD_OR_IDLE_TIME_OUT,
            connection_life_max: CONNECTION_LIFE_MAX,
            drain_notice: DRAIN_NOTICE,
            drain_time_max: DRAIN_TIME_MAX,
        }
    }
}
