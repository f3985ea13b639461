//! Values of parts' attributes, out and in: truth values, numbers, texts, sets of words.

use serde::Deserialize;
use serde_json::Value as Json;
use utoipa::PartialSchema;
use utoipa::ToSchema;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::ArrayBuilder;
use utoipa::openapi::schema::ObjectBuilder;
use utoipa::openapi::schema::OneOfBuilder;
use utoipa::openapi::schema::Schema;
use utoipa::openapi::schema::Type;

use crate::domain::catalogue::Thousandths;
use crate::domain::catalogue::Value;
use crate::domain::catalogue::ValueType;

/// A value as it goes out.
pub fn json(value: &Value) -> Json {
    match value {
        Value::Flag(flag) => Json::Bool(*flag),
        // Written by its decimal text, so that no binary fraction shows.
        Value::Number(number) => number.to_string().parse().map_or(Json::Null, Json::Number),
        Value::Text(text) => Json::String(text.to_string()),
        Value::Words(words) => {
            Json::Array(words.iter().map(|word| Json::String(word.to_string())).collect())
        }
    }
}

/// The value of an attribute, of the attribute's type: as answers give it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum NewValue {
    /// Yes or no.
    Flag(bool),
    /// A number of up to three decimals.
    Number(f64),
    /// A word or phrase.
    Text(String),
    /// A set of words, in any order.
    Words(Vec<String>),
}

/// The longest text of a catalogue, and so of a value.
const TEXT_CHARS_MAX: usize = 400;

/// The most words that such a text holds.
const WORDS_MAX: usize = 200;

impl PartialSchema for NewValue {
    fn schema() -> RefOr<Schema> {
        let plain = |kind| ObjectBuilder::new().schema_type(kind);
        let text = || plain(Type::String).max_length(Some(TEXT_CHARS_MAX));
        OneOfBuilder::new()
            .item(plain(Type::Boolean))
            .item(plain(Type::Number))
            .item(text())
            .item(ArrayBuilder::new().items(text()).max_items(Some(WORDS_MAX)))
            .description(Some("A value of the attribute's type, as answers give it."))
            .into()
    }
}

impl ToSchema for NewValue {}

/// Why a value is none of an attribute's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotAValue {
    /// It is of another type.
    OtherType,
    /// It is a number with more decimals than attributes have, or too large for one.
    NoThousandths,
}

impl NewValue {
    /// The value, read as one of a type.
    ///
    /// ```
    /// use rungwright::domain::catalogue::{Value, ValueType};
    /// use rungwright::http::values::{NewValue, NotAValue};
    /// let text = NewValue::Text("500".to_owned());
    /// // A number written as text is a text: nothing is guessed.
    /// assert_eq!(text.read(ValueType::Number), Err(NotAValue::OtherType));
    /// assert_eq!(text.read(ValueType::Text), Ok(Value::text("500")));
    /// ```
    pub fn read(&self, value_type: ValueType) -> Result<Value, NotAValue> {
        match (self, value_type) {
            (Self::Flag(flag), ValueType::Flag) => Ok(Value::Flag(*flag)),
            (Self::Number(number), ValueType::Number) => {
                let thousandths = Thousandths::parse(&number.to_string());
                thousandths.map(Value::Number).ok_or(NotAValue::NoThousandths)
            }
            (Self::Text(text), ValueType::Text) => Ok(Value::text(text)),
            (Self::Words(words), ValueType::Words) => {
                Ok(Value::Words(words.iter().map(|word| word.as_str().into()).collect()))
            }
            (Self::Flag(_) | Self::Number(_) | Self::Text(_) | Self::Words(_), _) => {
                Err(NotAValue::OtherType)
            }
        }
    }
}

/// What a person calls the values of a type.
pub const fn type_phrase(value_type: ValueType) -> &'static str {
    match value_type {
        ValueType::Flag => "true or false",
        ValueType::Number => "a number",
        ValueType::Text => "text",
        ValueType::Words => "a list of words",
    }
}
