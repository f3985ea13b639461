//! The opaque cursor of a page: where the next page starts, in which edition, under which filters.
//!
//! A cursor is good only for the question and the edition it was made for; otherwise pages would skip or repeat
//! parts without anyone noticing. It is not a secret and grants nothing. Absent here: page sizes and `Link` headers.

use base64::Engine;
use base64::prelude::BASE64_URL_SAFE_NO_PAD;

use crate::http::problem::Code;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;
use crate::http::problem::Problem;

/// Longest cursor a client may send, in bytes; what we make is far shorter.
pub const CURSOR_BYTES_MAX: usize = 256;

/// Hexadecimal digits of the filters' hash.
const FILTER_DIGITS: usize = 16;

/// The question a page belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Listing<'a> {
    /// Number of the edition that answers.
    pub edition: u64,
    /// The path and all filters in a fixed order, without cursor and page size.
    pub filters: &'a str,
}

impl Listing<'_> {
    /// The cursor of the page that starts after a position, which is the sort key of the last entry shown.
    ///
    /// ```
    /// use rungwright::http::cursor::Listing;
    /// let listing = Listing { edition: 12, filters: "/v1/bodies?finish=chrome" };
    /// let cursor = listing.cursor_after("RW-500");
    /// assert_eq!(listing.position(&cursor).unwrap(), "RW-500");
    /// let later = Listing { edition: 13, ..listing };
    /// assert_eq!(later.position(&cursor).unwrap_err().code().status(), 410);
    /// let other = Listing { filters: "/v1/bodies?finish=white", ..listing };
    /// assert_eq!(other.position(&cursor).unwrap_err().code().status(), 400);
    /// ```
    pub fn cursor_after(&self, position: &str) -> String {
        let text = format!("{} {} {position}", self.edition, self.filter_hash());
        BASE64_URL_SAFE_NO_PAD.encode(text)
    }

    /// The position in a cursor; 400 when it is not one of this question's, 410 when its edition is gone.
    pub fn position(&self, cursor: &str) -> Result<String, Problem> {
        let Some((edition, filter_hash, position)) = parse(cursor) else {
            return Err(refuse("cursor is not one that this service made"));
        };
        if filter_hash != self.filter_hash() {
            return Err(refuse("cursor belongs to a list with other filters"));
        }
        if edition != self.edition {
            let now = self.edition;
            let detail =
                format!("the page is of edition {edition}, the present one is {now}; start again");
            return Err(Problem::new(Code::StaleCursor, detail));
        }
        Ok(position)
    }

    fn filter_hash(&self) -> String {
        blake3::hash(self.filters.as_bytes()).to_hex().chars().take(FILTER_DIGITS).collect()
    }
}

fn parse(cursor: &str) -> Option<(u64, String, String)> {
    if cursor.len() > CURSOR_BYTES_MAX {
        return None;
    }
    let text = String::from_utf8(BASE64_URL_SAFE_NO_PAD.decode(cursor).ok()?).ok()?;
    let (edition, rest) = text.split_once(' ')?;
    let (filter_hash, position) = rest.split_once(' ')?;
    Some((edition.parse().ok()?, filter_hash.to_owned(), position.to_owned()))
}

fn refuse(detail: &str) -> Problem {
    Problem::listing(
        Code::BadQuery,
        vec![FieldError::of_parameter("cursor", FieldCode::BadForm, detail)],
    )
}
