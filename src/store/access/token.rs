//! What a caller holds: an id that is no secret, and the secret itself, in one text.

use std::fmt;

use super::secret::KeySecret;
use super::secret::SecretError;

/// Bytes of an id: 48 bits, so that thousands of keys hardly ever meet.
const ID_BYTES: usize = 6;
/// Bytes of a secret: 192 bits, beyond any guessing, so that a quick hash is enough.
const SECRET_BYTES: usize = 24;
/// How a secret key begins, so that it is recognised where it does not belong.
const SECRET_MARK: &str = "rwkey";
/// How a key begins that may stand in a web page.
const PUBLIC_MARK: &str = "rwpub";

/// The part of a key that names it: 12 hexadecimal digits.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct KeyId(Box<str>);

/// A whole key, `rwkey_<id>_<secret>` or `rwpub_<id>_<secret>`. It is shown once, when it is made, and never printed by
/// accident.
#[derive(Clone, PartialEq, Eq)]
pub struct Token {
    id: KeyId,
    text: Box<str>,
}

impl fmt::Debug for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Token({}, ..)", self.id)
    }
}

impl fmt::Display for KeyId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl KeyId {
    /// The id of a text.
    pub fn parse(text: &str) -> Option<Self> {
        is_hex(text, ID_BYTES).then(|| Self(text.into()))
    }

    /// The digits.
    pub fn text(&self) -> &str {
        &self.0
    }
}

impl Token {
    /// A new key.
    pub(super) fn make(is_public: bool) -> Result<Self, SecretError> {
        let mut bytes = [0; ID_BYTES + SECRET_BYTES];
        getrandom::fill(&mut bytes)?;
        let (id, secret) = bytes.split_at(ID_BYTES);
        let id = KeyId(hex(id).into());
        let mark = if is_public { PUBLIC_MARK } else { SECRET_MARK };
        let text = format!("{mark}_{id}_{}", hex(secret)).into();
        Ok(Self { id, text })
    }

    /// A secret key that is kept nowhere.
    pub fn passing() -> Result<Self, SecretError> {
        Self::make(false)
    }

    /// The key in a text, if it has the form of one.
    ///
    /// ```
    /// use rungwright::store::access::Token;
    /// let made = Token::passing().unwrap();
    /// assert_eq!(Token::parse(made.reveal()), Some(made));
    /// assert!(Token::parse("rwkey_000000000000_short").is_none());
    /// ```
    pub fn parse(text: &str) -> Option<Self> {
        let mut parts = text.split('_');
        let mark = parts.next().filter(|mark| [SECRET_MARK, PUBLIC_MARK].contains(mark));
        let id = parts.next().and_then(KeyId::parse);
        let secret = parts.next().filter(|secret| is_hex(secret, SECRET_BYTES));
        if mark.is_none() || secret.is_none() || parts.next().is_some() {
            return None;
        }
        id.map(|id| Self { id, text: text.into() })
    }

    /// The id.
    pub const fn id(&self) -> &KeyId {
        &self.id
    }

    /// The whole key, to be handed to whoever it is for.
    pub fn reveal(&self) -> &str {
        &self.text
    }

    /// What is kept of it.
    pub fn hash(&self, secret: &KeySecret) -> blake3::Hash {
        secret.hash(&self.text)
    }
}

fn is_hex(text: &str, byte_count: usize) -> bool {
    let is_digit = |byte: u8| matches!(byte, b'0'..=b'9' | b'a'..=b'f');
    Some(text.len()) == byte_count.checked_mul(2) && text.bytes().all(is_digit)
}

fn hex(bytes: &[u8]) -> String {
    let digits = bytes.iter().flat_map(|byte| [byte >> 4_u8, byte & 15]);
    digits.filter_map(|digit| char::from_digit(digit.into(), 16)).collect()
}
