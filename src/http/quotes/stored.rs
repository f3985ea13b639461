//! A stored quote by the number in a path.

use crate::domain::quote::Quote;
use crate::http::Problem;
use crate::operations::App;
use crate::operations::access::Caller;
use crate::operations::quotes::load_quote;

use super::absent;
use super::desk;
use super::number;
use super::unread;

/// A quote may change its state at any moment, so a copy is asked about before it is used.
pub(super) const CACHE: &str = "private, no-cache";

/// A revision of a quote, the latest when none is named; 404 when it is not there.
pub(super) async fn load(
    (app, caller): (&App, &Caller),
    text: &str,
    revision: Option<u32>,
) -> Result<Quote, Problem> {
    let number = number(text)?;
    let owned = (&caller.actor().account, &number);
    let found = load_quote(desk(app)?.database(), owned, revision).await;
    found.map_err(|error| unread(&error))?.ok_or_else(|| absent(text))
}
