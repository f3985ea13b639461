//! The origin of a web page, as a browser states it (RFC 6454, section 6.2).

use std::fmt;

/// `scheme://host` or `scheme://host:port`, in lower case, as it stands in the `Origin` field.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Origin(Box<str>);

impl Origin {
    /// Longest origin: the longest host name has 253 letters, and scheme and port come to it.
    pub const LENGTH_MAX: usize = 270;

    /// The origin of a text, if a browser would write it so.
    ///
    /// ```
    /// use rungwright::domain::access::Origin;
    /// assert!(Origin::parse("https://shop.example").is_some());
    /// assert!(Origin::parse("http://localhost:3000").is_some());
    /// // A browser leaves out the usual port and never writes a path, so these would match nothing.
    /// assert!(Origin::parse("https://shop.example:443").is_none());
    /// assert!(Origin::parse("https://shop.example/").is_none());
    /// // Pages without an origin of their own say `null`; a key is not bound to all of them at once.
    /// assert!(Origin::parse("null").is_none());
    /// ```
    pub fn parse(text: &str) -> Option<Self> {
        let (scheme, rest) = text.split_once("://")?;
        let usual_port = match scheme {
            "https" => "443",
            "http" => "80",
            _ => return None,
        };
        let (host, port) = match rest.rsplit_once(':') {
            Some((host, port)) if !port.ends_with(']') => (host, Some(port)),
            Some(_) | None => (rest, None),
        };
        let is_port = |digits: &str| {
            digits != usual_port
                && !digits.starts_with('0')
                && digits.bytes().all(|byte| byte.is_ascii_digit())
                && digits.parse::<u16>().is_ok()
        };
        let fits = text.len() <= Self::LENGTH_MAX && is_host(host) && port.is_none_or(is_port);
        fits.then(|| Self(text.into()))
    }

    /// The origin as it stands in the field.
    pub fn text(&self) -> &str {
        &self.0
    }
}

/// A name of letters, digits, dots and hyphens, or an address of version 6 in brackets.
fn is_host(host: &str) -> bool {
    let inside = host.strip_prefix('[').and_then(|rest| rest.strip_suffix(']'));
    if let Some(address) = inside {
        let is_of_address = |byte: u8| matches!(byte, b'0'..=b'9' | b'a'..=b'f' | b':');
        return !address.is_empty() && address.bytes().all(is_of_address);
    }
    let is_of_name = |byte: u8| matches!(byte, b'0'..=b'9' | b'a'..=b'z' | b'.' | b'-');
    !host.is_empty() && host.bytes().all(is_of_name)
}

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
