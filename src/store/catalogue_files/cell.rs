//! What may stand in a cell, and its reading.

use jiff::civil::Date;

use crate::domain::catalogue::AttributeName;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::Sku;
use crate::domain::catalogue::Stated;
use crate::domain::catalogue::Thousandths;
use crate::domain::catalogue::Value;
use crate::domain::catalogue::ValueType;
use crate::domain::catalogue::gtin_holds;
use crate::domain::ecodesign::ControlCode;
use crate::domain::evidence::Evidence;
use crate::domain::ip_code::IpCode;
use crate::domain::money::Currency;
use crate::domain::money::UnitPrice;
use crate::domain::protection::ProtectionClass;
use crate::domain::thread::Thread;
use crate::domain::thread::ThreadForm;
use crate::domain::units::Bounds;
use crate::domain::units::UNIT_PRICE_E4;

use super::table::DecimalMark;

/// Characters of a name or sentence at most.
const TEXT_CHARS_MAX: usize = 400;

/// Characters of a code word at most.
const CODE_CHARS_MAX: usize = 40;

/// What may stand in a cell.
#[derive(Debug, Clone, Copy)]
pub(super) enum CellType {
    /// Any text of one line.
    Text,
    /// Lower-case words joined by hyphens: `matt-black`.
    Code,
    /// One of a closed list of words.
    OneOf(fn() -> Vec<&'static str>),
    /// A set of words of a closed list, separated by spaces.
    SetOf(fn() -> Vec<&'static str>),
    /// Codes separated by spaces.
    Codes,
    /// A number with up to three decimals.
    Decimal(&'static Bounds),
    /// A whole number.
    Whole(&'static Bounds),
    /// `yes` or `no`.
    Flag,
    /// `yes`, `no` or `not_stated`.
    Stated,
    /// A part number.
    Sku,
    /// A trade item number with its check digit.
    Gtin,
    /// A thread with its side.
    Thread,
    /// The form of a thread alone.
    ThreadForm,
    /// An IP code.
    Ip,
    /// A protection class.
    Class,
    /// A control code of EU 2024/1103.
    ControlCode,
    /// How a fact is known.
    Evidence,
    /// A calendar day.
    Date,
    /// A net price of one piece.
    Price,
    /// A currency.
    Currency,
    /// An attribute of a kind of part.
    Attribute,
    /// One of the keeper's own attributes.
    Keeper(ValueType),
}

/// A cell that was read.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Cell {
    /// Nothing stands there.
    Absent,
    Text(Box<str>),
    Decimal(f64),
    Whole(i32),
    Flag(bool),
    Stated(Stated),
    Sku(Sku),
    Thread(Thread),
    ThreadForm(ThreadForm),
    Ip(IpCode),
    Class(ProtectionClass),
    ControlCode(ControlCode),
    Evidence(Evidence),
    Date(Date),
    Price(UnitPrice),
    Currency(Currency),
    Attribute(AttributeName),
    Value(Value),
}

impl Cell {
    /// The text of a cell that can tell rows apart.
    pub(super) fn label(&self) -> Option<String> {
        match self {
            Self::Text(text) => Some(text.to_string()),
            Self::Sku(sku) => Some(sku.to_string()),
            Self::Attribute(attribute) => Some(attribute.to_string()),
            Self::ThreadForm(form) => Some(form.code().to_owned()),
            Self::Absent
            | Self::Decimal(_)
            | Self::Whole(_)
            | Self::Flag(_)
            | Self::Stated(_)
            | Self::Thread(_)
            | Self::Ip(_)
            | Self::Class(_)
            | Self::ControlCode(_)
            | Self::Evidence(_)
            | Self::Date(_)
            | Self::Price(_)
            | Self::Currency(_)
            | Self::Value(_) => None,
        }
    }
}

impl CellType {
    /// The cell in a text whose file writes numbers in its own way.
    pub(super) fn read_marked(self, text: &str, mark: DecimalMark) -> Result<Cell, String> {
        if mark == DecimalMark::Point || !self.is_number() {
            return self.read(text);
        }
        self.read(&pointed(text)?)
    }

    const fn is_number(self) -> bool {
        match self {
            Self::Decimal(_) | Self::Price | Self::Keeper(ValueType::Number) => true,
            Self::Keeper(ValueType::Flag | ValueType::Text | ValueType::Words)
            | Self::Text
            | Self::Code
            | Self::OneOf(_)
            | Self::SetOf(_)
            | Self::Codes
            | Self::Whole(_)
            | Self::Flag
            | Self::Stated
            | Self::Sku
            | Self::Gtin
            | Self::Thread
            | Self::ThreadForm
            | Self::Ip
            | Self::Class
            | Self::ControlCode
            | Self::Evidence
            | Self::Date
            | Self::Currency
            | Self::Attribute => false,
        }
    }

    /// The cell in a text that is not empty, or what is allowed there.
    pub(super) fn read(self, text: &str) -> Result<Cell, String> {
        match self {
            Self::Text => one_line(text).map(Cell::Text),
            Self::Code => joined_words(text, b'-').map(Cell::Text),
            Self::OneOf(words) => one_of(text, &words()).map(Cell::Text),
            Self::SetOf(words) => set_of(text, &words()).map(Cell::Text),
            Self::Codes => codes(text).map(Cell::Text),
            Self::Decimal(bounds) => decimal(text, bounds).map(Cell::Decimal),
            Self::Whole(bounds) => whole(text, bounds).map(Cell::Whole),
            Self::Flag => flag(text).map(Cell::Flag),
            Self::Stated => stated(text).map(Cell::Stated),
            Self::Gtin => gtin(text).map(Cell::Text),
            Self::Price => price(text).map(Cell::Price),
            Self::Keeper(value_type) => keeper(text, value_type).map(Cell::Value),
            Self::Attribute => attribute(text).map(Cell::Attribute),
            Self::Sku
            | Self::Thread
            | Self::ThreadForm
            | Self::Ip
            | Self::Class
            | Self::ControlCode
            | Self::Evidence
            | Self::Date
            | Self::Currency => self.read_named(text),
        }
    }

    /// The cells whose notation the domain or a standard defines.
    fn read_named(self, text: &str) -> Result<Cell, String> {
        match self {
            Self::Sku => Sku::parse(text).map(Cell::Sku).map_err(|error| error.to_string()),
            Self::Thread => {
                Thread::parse(text).map(Cell::Thread).map_err(|error| error.to_string())
            }
            Self::Ip => IpCode::parse(text).map(Cell::Ip).map_err(|error| error.to_string()),
            Self::ThreadForm => ThreadForm::parse(text)
                .map(Cell::ThreadForm)
                .ok_or_else(|| listed("a thread form", ThreadForm::ALL.map(ThreadForm::code))),
            Self::Class => ProtectionClass::parse(text)
                .map(Cell::Class)
                .ok_or_else(|| listed("a class", ProtectionClass::ALL.map(ProtectionClass::code))),
            Self::Evidence => Evidence::parse(text)
                .map(Cell::Evidence)
                .ok_or_else(|| listed("an evidence mark", Evidence::ALL.map(Evidence::code))),
            Self::ControlCode => control_code(text),
            Self::Date => text
                .parse::<Date>()
                .map(Cell::Date)
                .map_err(|error| format!("a day is written 2026-01-31 ({error})")),
            Self::Currency => Currency::parse(text).map(Cell::Currency).ok_or_else(|| {
                "a currency that we know by its ISO 4217 code, such as EUR".to_owned()
            }),
            Self::Text
            | Self::Code
            | Self::OneOf(_)
            | Self::SetOf(_)
            | Self::Codes
            | Self::Decimal(_)
            | Self::Whole(_)
            | Self::Flag
            | Self::Stated
            | Self::Gtin
            | Self::Price
            | Self::Attribute
            | Self::Keeper(_) => self.read(text),
        }
    }
}

fn control_code(text: &str) -> Result<Cell, String> {
    ControlCode::parse(text).map(Cell::ControlCode).ok_or_else(|| {
        "a control code of EU 2024/1103 with its eight functions, such as TD (0/2/0/0/5/0/0/0)"
            .to_owned()
    })
}

/// What is allowed where only some words are.
pub(super) fn listed<W: IntoIterator<Item = &'static str>>(what: &str, words: W) -> String {
    let words: Vec<&str> = words.into_iter().collect();
    format!("{what} is one of {}", words.join(", "))
}

fn one_line(text: &str) -> Result<Box<str>, String> {
    let fits = text.chars().count() <= TEXT_CHARS_MAX && !text.chars().any(char::is_control);
    let is_trimmed = text.trim() == text;
    if fits && is_trimmed {
        Ok(text.into())
    } else {
        Err(format!("up to {TEXT_CHARS_MAX} characters of one line, no blanks at the ends"))
    }
}

fn joined_words(text: &str, joint: u8) -> Result<Box<str>, String> {
    let starts = text.bytes().next().is_some_and(|byte| byte.is_ascii_lowercase());
    let inner = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == joint;
    if starts && text.len() <= CODE_CHARS_MAX && text.bytes().all(inner) {
        Ok(text.into())
    } else {
        Err(format!(
            "a lower-case letter, then up to 39 lower-case letters, digits or {:?}",
            char::from(joint)
        ))
    }
}

fn codes(text: &str) -> Result<Box<str>, String> {
    for word in text.split(' ') {
        joined_words(word, b'-')?;
    }
    Ok(text.into())
}

fn one_of(text: &str, words: &[&'static str]) -> Result<Box<str>, String> {
    let found = words.iter().find(|word| **word == text);
    found.map(|word| (*word).into()).ok_or_else(|| listed("the value", words.iter().copied()))
}

fn set_of(text: &str, words: &[&'static str]) -> Result<Box<str>, String> {
    if text.split(' ').all(|word| words.contains(&word)) {
        Ok(text.into())
    } else {
        Err(format!("words separated by single blanks; {}", listed("each", words.iter().copied())))
    }
}

/// A number written with a decimal comma, written with a point. A point in it may part thousands or be a slip: refused.
pub(super) fn pointed(text: &str) -> Result<String, String> {
    if text.contains('.') {
        return Err(
            "a number with a decimal comma, as the file declares, and no point in it".to_owned()
        );
    }
    Ok(text.replace(',', "."))
}

/// The number of a text, with a decimal point.
fn number(text: &str) -> Option<f64> {
    Thousandths::parse(text).and_then(|_well_formed| text.parse().ok())
}

fn decimal(text: &str, bounds: &'static Bounds) -> Result<f64, String> {
    let number = number(text).ok_or_else(|| {
        format!("a number with a decimal point and up to three decimals; {}", range(bounds))
    })?;
    bounds.check(number).map_err(|error| error.to_string())
}

fn whole(text: &str, bounds: &'static Bounds) -> Result<i32, String> {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let is_plain = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
    let number: Option<i32> = if is_plain { text.parse().ok() } else { None };
    let number = number.ok_or_else(|| format!("a whole number; {}", range(bounds)))?;
    bounds.check(f64::from(number)).map(|_inside| number).map_err(|error| error.to_string())
}

fn range(bounds: &Bounds) -> String {
    format!("{} is {} to {} {}", bounds.phrase, bounds.minimum, bounds.maximum, bounds.unit)
}

fn flag(text: &str) -> Result<bool, String> {
    match Value::parse(text, ValueType::Flag) {
        Some(Value::Flag(flag)) => Ok(flag),
        Some(Value::Number(_) | Value::Text(_) | Value::Words(_)) | None => {
            Err("yes or no".to_owned())
        }
    }
}

fn stated(text: &str) -> Result<Stated, String> {
    if text == Stated::NotStated.word() {
        return Ok(Stated::NotStated);
    }
    match flag(text) {
        Ok(flag) => Ok(Stated::from_flag(Some(flag))),
        Err(allowed) => {
            Err(format!("{allowed}, or {} if the maker is silent", Stated::NotStated.word()))
        }
    }
}

/// A trade item number with its check digit.
fn gtin(text: &str) -> Result<Box<str>, String> {
    if gtin_holds(text) {
        Ok(text.into())
    } else {
        Err("8, 12, 13 or 14 digits, the last one the GS1 check digit".to_owned())
    }
}

fn price(text: &str) -> Result<UnitPrice, String> {
    let top = UnitPrice::new(1_000_000_000).format(Currency::EUR);
    let parsed = UnitPrice::parse(text).filter(|price| {
        let bounds = &UNIT_PRICE_E4;
        i32::try_from(price.value()).is_ok_and(|value| bounds.check(f64::from(value)).is_ok())
    });
    parsed.ok_or_else(|| {
        format!("a price of 0 to {top} with a decimal point and up to four decimals")
    })
}

fn keeper(text: &str, value_type: ValueType) -> Result<Value, String> {
    Value::parse(text, value_type)
        .ok_or_else(|| format!("a value of the declared type, {}", value_type.word()))
}

/// The attribute of a text such as `element.watts`.
pub(super) fn attribute(text: &str) -> Result<AttributeName, String> {
    let parts = text.split_once('.');
    let named = parts.and_then(|(kind, name)| {
        let kind = PartKind::parse(kind)?;
        let name = joined_words(name, b'_').ok()?;
        Some(AttributeName { kind, name })
    });
    named.ok_or_else(|| {
        let kinds = listed("the kind", PartKind::ALL.map(PartKind::word));
        format!("a kind of part, a dot and an attribute, such as element.watts; {kinds}")
    })
}
