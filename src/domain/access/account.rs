//! Whose something is, and who did something.

use std::fmt;

/// To whom keys and quotes belong: 1 to 40 lower-case letters, digits and hyphens, not beginning with a hyphen.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Account(Box<str>);

/// Who did something.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Actor {
    /// Id of the key, or a word for those who need none: `command-line`, `program`.
    pub name: Box<str>,
    /// On behalf of which account.
    pub account: Account,
}

impl Account {
    /// Longest name.
    pub const LENGTH_MAX: usize = 40;

    /// The account of a name.
    ///
    /// ```
    /// use rungwright::domain::access::Account;
    /// assert!(Account::parse("tern-house").is_some());
    /// // Names stand in addresses and in logs, so they are plain.
    /// assert!(Account::parse("Tern House").is_none() && Account::parse("-a").is_none());
    /// ```
    pub fn parse(name: &str) -> Option<Self> {
        let is_plain =
            |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
        let fits = (1..=Self::LENGTH_MAX).contains(&name.len());
        (fits && !name.starts_with('-') && name.bytes().all(is_plain)).then(|| Self(name.into()))
    }

    /// The seller's own account, to which everything belongs that is older than accounts.
    pub fn house() -> Self {
        Self("house".into())
    }

    /// The account of the key that a demonstration prints.
    pub fn demo() -> Self {
        Self("demo".into())
    }

    /// The name.
    pub fn name(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Account {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl Actor {
    /// Somebody with a shell on the machine.
    pub fn command_line() -> Self {
        Self { name: "command-line".into(), account: Account::house() }
    }

    /// The program by itself.
    pub fn program() -> Self {
        Self { name: "program".into(), account: Account::house() }
    }
}
