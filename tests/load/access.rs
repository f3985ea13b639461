//! What looking at a key costs a request: recognised among many, counted, and refused.
#![expect(clippy::unwrap_used, reason = "a bench stops at the first surprise")]

use divan::Bencher;
use jiff::Timestamp;
use rungwright::operations::access::Access;
use rungwright::operations::access::KeySecret;
use rungwright::operations::access::Token;
use rungwright::operations::start::demo_grant;

/// Keys in memory.
const KEYS: usize = 2_000;

fn main() {
    divan::main();
}

/// A ring of many keys, and one of them.
fn ring() -> (Access, Token) {
    let access = Access::closed(KeySecret::random().unwrap());
    let mut last = Token::passing().unwrap();
    for _ in 0..KEYS {
        last = Token::passing().unwrap();
        access.lend(&last, demo_grant());
    }
    (access, last)
}

#[divan::bench]
fn a_key_is_recognised_and_counted(bencher: Bencher<'_, '_>) {
    let (access, token) = ring();
    let now = Timestamp::UNIX_EPOCH;
    bencher.bench(|| access.recognise(token.reveal(), now).unwrap().take(0));
}

#[divan::bench]
fn an_unknown_key_is_refused(bencher: Bencher<'_, '_>) {
    let (access, _) = ring();
    let stranger = Token::passing().unwrap();
    bencher.bench(|| access.recognise(stranger.reveal(), Timestamp::UNIX_EPOCH).unwrap_err());
}
