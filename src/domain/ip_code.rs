//! IP codes (IEC 60529): what a declared code says about a required one.
//!
//! The answer has three values: a code that leaves something open implies neither yes nor no, and "not stated" is never
//! taken for yes. Absent here: the supplementary letters H, M, S, W and the vehicle codes 6K and 9K (ISO 20653),
//! which are other statements and are refused; and which code a place asks for.

use std::fmt;

/// Codes that one declaration may join with a slash, as in `IPX5/IPX7`.
pub const JOINED_MAX: usize = 3;

/// Highest first numeral: dust-tight.
const ACCESS_MAX: u8 = 6;
/// Highest second numeral: hot high-pressure jets.
const WATER_MAX: u8 = 9;

/// Whether one declaration implies another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Implication {
    /// The declared code rules the required one out, or stays below it.
    No,
    /// The declared code says nothing about it: ask the maker.
    NotStated,
    /// The declared code covers the required one.
    Yes,
}

impl Implication {
    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::No => "no",
            Self::NotStated => "not-stated",
            Self::Yes => "yes",
        }
    }
}

/// Additional letter: access to hazardous parts, where it is better than the first numeral says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Letter {
    A,
    B,
    C,
    D,
}

impl Letter {
    const fn of(symbol: char) -> Option<Self> {
        match symbol {
            'A' => Some(Self::A),
            'B' => Some(Self::B),
            'C' => Some(Self::C),
            'D' => Some(Self::D),
            _ => None,
        }
    }

    const fn symbol(self) -> char {
        match self {
            Self::A => 'A',
            Self::B => 'B',
            Self::C => 'C',
            Self::D => 'D',
        }
    }

    /// The first numeral whose probe is as fine (IEC 60529, from memory).
    const fn probe(self) -> u8 {
        match self {
            Self::A => 1,
            Self::B => 2,
            Self::C => 3,
            Self::D => 4,
        }
    }
}

/// One code between slashes; `None` is the X, "not stated".
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Single {
    access: Option<u8>,
    water: Option<u8>,
    letter: Option<Letter>,
}

/// A declared or required IP code, dual codes included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct IpCode {
    first: Single,
    joined: [Option<Single>; 2],
}

/// A text that is no IP code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotAnIpCode {
    /// The text that came.
    pub text: String,
}

impl fmt::Display for NotAnIpCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:?} is not an IP code, allowed are IP, a numeral 0 to 6 or X, a numeral 0 to 9 or X, a letter A to D if \
             any, and up to {JOINED_MAX} such codes joined by a slash",
            self.text
        )
    }
}

impl std::error::Error for NotAnIpCode {}

impl IpCode {
    /// The code of a text such as `IP44`, `IPX4`, `IP2XD` or `IPX5/IPX7`.
    ///
    /// ```
    /// use rungwright::domain::ip_code::IpCode;
    /// assert_eq!(IpCode::parse("IPX5/IPX7").unwrap().to_string(), "IPX5/IPX7");
    /// // A vehicle code of ISO 20653 is another statement.
    /// assert!(IpCode::parse("IP69K").is_err());
    /// ```
    pub fn parse(text: &str) -> Result<Self, NotAnIpCode> {
        Self::read(text).ok_or_else(|| NotAnIpCode { text: text.to_owned() })
    }

    fn read(text: &str) -> Option<Self> {
        let mut parts = text.split('/').map(single);
        let first = parts.next()??;
        let mut joined = [None; 2];
        for place in &mut joined {
            if let Some(part) = parts.next() {
                *place = Some(part?);
            }
        }
        parts.next().is_none().then_some(Self { first, joined })
    }

    fn singles(&self) -> impl Iterator<Item = Single> {
        std::iter::once(self.first).chain(self.joined.into_iter().flatten())
    }

    /// What this declaration says about a requirement: the best of its joined codes for each code required.
    ///
    /// ```
    /// use rungwright::domain::ip_code::{Implication, IpCode};
    /// let code = |text| IpCode::parse(text).unwrap();
    /// assert_eq!(code("IP44").implies(&code("IPX4")), Implication::Yes);
    /// // X is "not stated", never a number.
    /// assert_eq!(code("IPX4").implies(&code("IP44")), Implication::NotStated);
    /// // Immersion says nothing good about jets.
    /// assert_eq!(code("IP67").implies(&code("IPX5")), Implication::No);
    /// ```
    pub fn implies(&self, required: &Self) -> Implication {
        let best = |wanted: Single| {
            self.singles().map(|own| own.implies(wanted)).max().unwrap_or(Implication::NotStated)
        };
        required.singles().map(best).min().unwrap_or(Implication::NotStated)
    }
}

fn single(text: &str) -> Option<Single> {
    let mut symbols = text.strip_prefix("IP")?.chars();
    let access = numeral(symbols.next()?, ACCESS_MAX)?;
    let water = numeral(symbols.next()?, WATER_MAX)?;
    let letter = match symbols.next() {
        None => None,
        Some(symbol) => Some(Letter::of(symbol)?),
    };
    let says_nothing = access.is_none() && water.is_none() && letter.is_none();
    (symbols.next().is_none() && !says_nothing).then_some(Single { access, water, letter })
}

/// The outer `None` is a refusal, the inner one the X.
#[expect(clippy::option_option, reason = "unreadable and not stated are two different things")]
fn numeral(symbol: char, maximum: u8) -> Option<Option<u8>> {
    if symbol == 'X' {
        return Some(None);
    }
    let figure = u8::try_from(symbol.to_digit(10)?).ok()?;
    (figure <= maximum).then_some(Some(figure))
}

impl Single {
    fn implies(self, required: Self) -> Implication {
        let access =
            required.access.map_or(Implication::Yes, |wanted| at_least(self.access, wanted));
        let water = required.water.map_or(Implication::Yes, |wanted| water(self.water, wanted));
        let letter =
            required.letter.map_or(Implication::Yes, |wanted| self.reaches(wanted.probe()));
        access.min(water).min(letter)
    }

    /// Access alone: the additional letter or the first numeral, whichever is finer.
    fn reaches(self, probe: u8) -> Implication {
        let by_letter = self.letter.map(Letter::probe);
        at_least(by_letter.max(self.access), probe)
    }
}

fn at_least(declared: Option<u8>, required: u8) -> Implication {
    match declared {
        Some(figure) if required <= figure => Implication::Yes,
        Some(_) => Implication::No,
        None if required == 0 => Implication::Yes,
        None => Implication::NotStated,
    }
}

/// Second numerals are no ladder: up to 6 each implies the lower ones (IEC 60529 clause 6, read); 7 and 8 are
/// immersion, 9 is hot jets, and those three leave splash and drops unstated.
fn water(declared: Option<u8>, required: u8) -> Implication {
    match (declared, required) {
        (_, 0) | (Some(8), 7) => Implication::Yes,
        (None, _) | (Some(7..=9), 1..=4) => Implication::NotStated,
        (Some(figure), wanted) if figure <= 6 && wanted <= figure => Implication::Yes,
        (Some(figure), wanted) if figure == wanted => Implication::Yes,
        (Some(_), _) => Implication::No,
    }
}

impl fmt::Display for Single {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("IP")?;
        for numeral in [self.access, self.water] {
            match numeral {
                Some(figure) => write!(f, "{figure}")?,
                None => f.write_str("X")?,
            }
        }
        self.letter.map_or(Ok(()), |letter| write!(f, "{}", letter.symbol()))
    }
}

impl fmt::Display for IpCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.first)?;
        self.joined.into_iter().flatten().try_for_each(|part| write!(f, "/{part}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_that_is_no_ip_code_is_refused() {
        for text in [
            "", "IP", "IP4", "44", "ip44", "IP74", "IPXX", "IP44E", "IP44AB", "IP6K9K", "IP44/",
            "IP44 ",
        ] {
            assert!(IpCode::parse(text).is_err(), "{text:?}");
        }
        assert!(IpCode::parse("IP65/IP66/IP67/IP68").is_err());
    }

    #[test]
    fn printing_a_code_and_reading_it_again_gives_the_code() {
        for text in ["IP44", "IPX4", "IP2XD", "IPXXB", "IPX5/IPX7", "IP66/IP68/IP69"] {
            assert_eq!(IpCode::parse(text).unwrap().to_string(), text);
        }
    }

    #[test]
    fn a_dual_requirement_needs_both_halves() {
        let dual = IpCode::parse("IPX5/IPX7").unwrap();
        assert_eq!(IpCode::parse("IPX5").unwrap().implies(&dual), Implication::No);
        assert_eq!(IpCode::parse("IP66/IP68").unwrap().implies(&dual), Implication::Yes);
    }
}
