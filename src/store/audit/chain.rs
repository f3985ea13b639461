//! How an entry of the trail is sealed.
//!
//! Absent here: rows.

/// One entry, as it is kept, shown and exported.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AuditEntry {
    /// Its place: 1 is the first, and there are no gaps.
    pub sequence: i64,
    /// When, in milliseconds since 1970 in universal time.
    pub at_ms: i64,
    /// Id of the key, or `command-line` or `program`.
    pub actor: Box<str>,
    /// On behalf of which account.
    pub account: Box<str>,
    /// What was done.
    pub action: Box<str>,
    /// To what.
    pub subject: Box<str>,
    /// More, as a JSON object.
    pub detail: Box<str>,
    /// Hash of the entry before in hexadecimal.
    pub previous_hash: Box<str>,
    /// Hash of this entry in hexadecimal, see [`seal`].
    pub hash: Box<str>,
}

/// The end of the trail at some moment. Kept elsewhere, it shows later whether the trail was cut or written anew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    /// Place of the last entry; 0 of an empty trail.
    pub sequence: i64,
    /// Its hash; [`FIRST_PREVIOUS`] of an empty trail.
    pub hash: Box<str>,
}

/// What stands for the hash before the first entry.
pub const FIRST_PREVIOUS: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// Names what the hashes are of, so that none of another kind can be passed off as one.
const PURPOSE: &[u8] = b"rungwright audit entry 1";

/// The hash of an entry: BLAKE3 over a purpose, the place, the instant and each text, every text behind its length, so
/// that no two entries have the same bytes.
///
/// The lengths and numbers are eight bytes, highest first; the texts are UTF-8, in the order of the fields, the hash of
/// the entry before last. Whoever holds an export can compute it again without this program.
pub fn seal(entry: &AuditEntry) -> Box<str> {
    let mut hasher = blake3::Hasher::new();
    hasher.update(PURPOSE);
    hasher.update(&entry.sequence.to_be_bytes());
    hasher.update(&entry.at_ms.to_be_bytes());
    let AuditEntry { actor, account, action, subject, detail, previous_hash, .. } = entry;
    for text in [actor, account, action, subject, detail, previous_hash] {
        let length = u64::try_from(text.len()).unwrap_or(u64::MAX);
        hasher.update(&length.to_be_bytes());
        hasher.update(text.as_bytes());
    }
    hasher.finalize().to_hex().as_str().into()
}

impl Head {
    /// The head before anything was done.
    pub fn empty() -> Self {
        Self { sequence: 0, hash: FIRST_PREVIOUS.into() }
    }

    /// A head as it was printed: `SEQUENCE:HASH`.
    ///
    /// ```
    /// use rungwright::store::audit::Head;
    /// let head = Head::empty();
    /// assert_eq!(Head::parse(&head.to_string()), Some(head));
    /// assert!(Head::parse("7").is_none());
    /// ```
    pub fn parse(text: &str) -> Option<Self> {
        let (sequence, hash) = text.split_once(':')?;
        let is_hash =
            hash.len() == FIRST_PREVIOUS.len() && hash.bytes().all(|byte| byte.is_ascii_hexdigit());
        let sequence = sequence.parse().ok().filter(|sequence| 0 <= *sequence)?;
        is_hash.then(|| Self { sequence, hash: hash.to_ascii_lowercase().into() })
    }
}

impl std::fmt::Display for Head {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}", self.sequence, self.hash)
    }
}
