//! VAT numbers of gb, ie and de: their form and their check digits.
//!
//! The algorithms are from memory, not from an official text. A number that passes may belong to nobody: the check
//! finds slips of the pen and proves nothing. Absent here: whether a number is registered, which only a tax authority can say.

use std::fmt;

/// Longest VAT number, prefix included.
pub const VAT_NUMBER_LENGTH_MAX: usize = 20;

/// What goes with every VAT number that is shown.
pub const NOT_PROVED: &str = "The VAT number was checked for its form and, for gb, ie and de, its check digits (algorithms \
     from memory). That is no proof that it is registered.";

/// A VAT number in capitals without spaces, its country first.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct VatNumber(Box<str>);

/// Why a text is no VAT number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotAVatNumber {
    /// Not two letters and then letters and digits.
    Form,
    /// Not the form that this country uses.
    CountryForm,
    /// The check digit or letter does not fit.
    CheckDigit,
}

impl fmt::Display for NotAVatNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Form => {
                "a VAT number is two letters of the country and up to 18 letters and digits"
            }
            Self::CountryForm => "a VAT number of this country has another form",
            Self::CheckDigit => "the check digits of the VAT number do not fit",
        })
    }
}

impl std::error::Error for NotAVatNumber {}

impl VatNumber {
    /// The number in a text; spaces, dots and hyphens are left out. Countries other than gb (and xi), ie and de are
    /// held to the general form only.
    ///
    /// ```
    /// use rungwright::domain::pricing::vat_number::{NotAVatNumber, VatNumber};
    /// assert_eq!(VatNumber::parse("de 123 456 788").unwrap().as_str(), "DE123456788");
    /// assert_eq!(VatNumber::parse("DE123456789"), Err(NotAVatNumber::CheckDigit));
    /// ```
    pub fn parse(text: &str) -> Result<Self, NotAVatNumber> {
        let kept = text.chars().filter(|character| !" .-".contains(*character));
        let number: String = kept.map(|character| character.to_ascii_uppercase()).collect();
        let plain = |character: char| character.is_ascii_alphanumeric() || "+*".contains(character);
        let country = number.get(..2).ok_or(NotAVatNumber::Form)?;
        let rest = number.get(2..).unwrap_or_default();
        let is_form = country.bytes().all(|byte| byte.is_ascii_uppercase())
            && (2..=VAT_NUMBER_LENGTH_MAX.saturating_sub(2)).contains(&rest.len())
            && rest.chars().all(plain);
        if !is_form {
            return Err(NotAVatNumber::Form);
        }
        match country {
            "GB" | "XI" => check_gb(rest)?,
            "IE" => check_ie(rest)?,
            "DE" => check_de(rest)?,
            _ => {}
        }
        Ok(Self(number.into()))
    }

    /// The number.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Its country, two capitals.
    pub fn country(&self) -> &str {
        self.0.get(..2).unwrap_or_default()
    }
}

fn digits(text: &str) -> Option<Vec<u32>> {
    text.chars().map(|character| character.to_digit(10)).collect()
}

/// Digits times the weights 8, 7, … 2.
fn weighted(digits: &[u32]) -> u32 {
    let products =
        digits.iter().zip((2_u32..=8).rev()).map(|(digit, weight)| digit.saturating_mul(weight));
    products.sum()
}

/// Nine digits, or twelve with a branch: weights 8 to 2 and the two check digits sum to a multiple of 97, or do so
/// with 55 more (numbers of the newer series).
fn check_gb(text: &str) -> Result<(), NotAVatNumber> {
    let digits = digits(text).ok_or(NotAVatNumber::CountryForm)?;
    let (Some(head), Some([tens, ones])) = (digits.get(..7), digits.get(7..9)) else {
        return Err(NotAVatNumber::CountryForm);
    };
    if digits.len() != 9 && digits.len() != 12 {
        return Err(NotAVatNumber::CountryForm);
    }
    let check = tens.saturating_mul(10).saturating_add(*ones);
    let sum = weighted(head).saturating_add(check);
    let fits = sum.is_multiple_of(97) || sum.saturating_add(55).is_multiple_of(97);
    if fits { Ok(()) } else { Err(NotAVatNumber::CheckDigit) }
}

/// Seven digits, a check letter, perhaps a second letter that weighs 9; or the older form with a letter second.
fn check_ie(text: &str) -> Result<(), NotAVatNumber> {
    let bytes = text.as_bytes();
    let modern = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let (head, check, extra) = match bytes.len() {
        8 if modern(1) => (text.get(..7).map(ToOwned::to_owned), bytes.get(7), None),
        9 => (text.get(..7).map(ToOwned::to_owned), bytes.get(7), bytes.get(8)),
        8 => {
            let tail = text.get(2..7).unwrap_or_default();
            (text.get(..1).map(|first| format!("0{tail}{first}")), bytes.get(7), None)
        }
        _ => return Err(NotAVatNumber::CountryForm),
    };
    let digits = head.as_deref().and_then(digits).ok_or(NotAVatNumber::CountryForm)?;
    let extra = match extra {
        None | Some(b'W') => 0,
        Some(letter @ b'A'..=b'I') => u32::from(letter.saturating_sub(b'A')).saturating_add(1),
        Some(_) => return Err(NotAVatNumber::CountryForm),
    };
    let sum = weighted(&digits).saturating_add(extra.saturating_mul(9));
    let letters = b"WABCDEFGHIJKLMNOPQRSTUV";
    let place = usize::try_from(sum.checked_rem(23).unwrap_or_default()).unwrap_or_default();
    if check == letters.get(place) { Ok(()) } else { Err(NotAVatNumber::CheckDigit) }
}

/// Nine digits, the last by ISO 7064 modulus 11, 10.
fn check_de(text: &str) -> Result<(), NotAVatNumber> {
    let digits = digits(text).filter(|digits| digits.len() == 9 && digits.first() != Some(&0));
    let digits = digits.ok_or(NotAVatNumber::CountryForm)?;
    let step = |product: u32, digit: &u32| {
        let sum = product.saturating_add(*digit).checked_rem(10).unwrap_or_default();
        let sum = if sum == 0 { 10 } else { sum };
        sum.saturating_mul(2).checked_rem(11).unwrap_or_default()
    };
    let product = digits.iter().take(8).fold(10, step);
    let check = 11_u32.saturating_sub(product).checked_rem(10).unwrap_or_default();
    if digits.get(8) == Some(&check) { Ok(()) } else { Err(NotAVatNumber::CheckDigit) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_with_the_right_check_digits_pass() {
        // Made up from the run 1234567: no register was asked whether anybody has them.
        for text in [
            "GB123456782",
            "GB 1234567 27",
            "GB123456782001",
            "IE1234567T",
            "IE1234567FA",
            "DE123456788",
            "FR12345",
        ] {
            assert!(VatNumber::parse(text).is_ok(), "{text}");
        }
    }

    #[test]
    fn one_wrong_character_is_found() {
        for text in [
            "GB123456783",
            "GB123456728",
            "IE1234567U",
            "IE1234567FB",
            "DE123456789",
            "DE213456788",
        ] {
            assert_eq!(VatNumber::parse(text), Err(NotAVatNumber::CheckDigit), "{text}");
        }
        for text in
            ["GB12345678", "GB1234567820", "IE12345T", "IE1234567FZ", "DE12345678A", "DE023456788"]
        {
            assert_eq!(VatNumber::parse(text), Err(NotAVatNumber::CountryForm), "{text}");
        }
        for text in ["", "G", "1234", "GB", "ÄÖ12345", "FR1234567890123456789", "FR12<45"] {
            assert_eq!(VatNumber::parse(text), Err(NotAVatNumber::Form), "{text}");
        }
    }
}
