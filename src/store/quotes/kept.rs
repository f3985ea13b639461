//! The content of a quote as JSON and back: what is written once is read for ever.
//!
//! Written field by field in a fixed order, so that the same content gives the same bytes; read strictly, naming the
//! field that is wrong. A field that a later program adds must be readable when it is absent ([`Kept::absent`]).
//! Absent here: which fields there are (`form`).

use std::borrow::Cow;

use serde_json::Map;
use serde_json::Value;

/// A kept text that cannot be read back.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{path}: {reason}")]
pub struct NotKept {
    /// The field, names joined by dots.
    pub path: String,
    /// What is wrong.
    pub reason: &'static str,
}

impl NotKept {
    pub(super) const fn new(reason: &'static str) -> Self {
        Self { path: String::new(), reason }
    }

    pub(super) fn within(mut self, field: &str) -> Self {
        self.path =
            if self.path.is_empty() { field.to_owned() } else { format!("{field}.{}", self.path) };
        self
    }
}

/// A value that can be kept.
pub(super) trait Kept: Sized {
    /// As JSON.
    fn keep(&self) -> Value;
    /// Back from JSON.
    fn back(value: Value) -> Result<Self, NotKept>;
    /// What an absent field means.
    fn absent() -> Result<Self, NotKept> {
        Err(NotKept::new("the field is missing"))
    }
}

/// A field taken out of an object.
pub(super) fn field<T: Kept>(object: &mut Map<String, Value>, name: &str) -> Result<T, NotKept> {
    let value = object.remove(name).map_or_else(T::absent, T::back);
    value.map_err(|error| error.within(name))
}

/// The object of a value.
pub(super) fn object(value: Value) -> Result<Map<String, Value>, NotKept> {
    match value {
        Value::Object(object) => Ok(object),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) | Value::Array(_) => {
            Err(NotKept::new("an object is expected"))
        }
    }
}

impl<T: Kept> Kept for Option<T> {
    fn keep(&self) -> Value {
        self.as_ref().map_or(Value::Null, T::keep)
    }

    fn back(value: Value) -> Result<Self, NotKept> {
        if value.is_null() { Ok(None) } else { T::back(value).map(Some) }
    }

    fn absent() -> Result<Self, NotKept> {
        Ok(None)
    }
}

impl<T: Kept> Kept for Vec<T> {
    fn keep(&self) -> Value {
        Value::Array(self.iter().map(T::keep).collect())
    }

    fn back(value: Value) -> Result<Self, NotKept> {
        let Value::Array(entries) = value else { return Err(NotKept::new("a list is expected")) };
        let numbered = entries.into_iter().enumerate();
        let back = |(index, entry): (usize, Value)| {
            T::back(entry).map_err(|error| error.within(&index.to_string()))
        };
        numbered.map(back).collect()
    }
}

macro_rules! plain {
    ($($type:ty: $value:ident => $read:expr, $reason:literal;)+) => {$(
        impl Kept for $type {
            fn keep(&self) -> Value {
                Value::from(self.clone())
            }

            fn back($value: Value) -> Result<Self, NotKept> {
                $read.ok_or(NotKept::new($reason))
            }
        }
    )+};
}

plain! {
    String: value => value.as_str().map(ToOwned::to_owned), "a text is expected";
    i64: value => value.as_i64(), "a whole number is expected";
    u32: value => value.as_u64().and_then(|number| number.try_into().ok()), "a small whole number is expected";
    i32: value => value.as_i64().and_then(|number| number.try_into().ok()), "a small whole number is expected";
    u16: value => value.as_u64().and_then(|number| number.try_into().ok()), "a small whole number is expected";
    bool: value => value.as_bool(), "true or false is expected";
}

impl Kept for Box<str> {
    fn keep(&self) -> Value {
        Value::from(&**self)
    }

    fn back(value: Value) -> Result<Self, NotKept> {
        String::back(value).map(Into::into)
    }
}

impl Kept for Cow<'static, str> {
    fn keep(&self) -> Value {
        Value::from(&**self)
    }

    fn back(value: Value) -> Result<Self, NotKept> {
        String::back(value).map(Cow::Owned)
    }
}

impl<const COUNT: usize> Kept for [i32; COUNT] {
    fn keep(&self) -> Value {
        self.to_vec().keep()
    }

    fn back(value: Value) -> Result<Self, NotKept> {
        let list = Vec::<i32>::back(value)?;
        list.try_into()
            .map_err(|_other_length| NotKept::new("another count of numbers is expected"))
    }
}

impl Kept for [u32; 3] {
    fn keep(&self) -> Value {
        self.to_vec().keep()
    }

    fn back(value: Value) -> Result<Self, NotKept> {
        let list = Vec::<u32>::back(value)?;
        list.try_into().map_err(|_other_length| NotKept::new("three numbers are expected"))
    }
}

/// Keeps a struct by the names of its fields.
macro_rules! kept {
    ($($type:ident { $($field:ident),+ $(,)? })+) => {$(
        impl Kept for $type {
            fn keep(&self) -> Value {
                let mut object = Map::new();
                $(object.insert(stringify!($field).to_owned(), self.$field.keep());)+
                Value::Object(object)
            }

            fn back(value: Value) -> Result<Self, NotKept> {
                let mut object = object(value)?;
                Ok(Self { $($field: field(&mut object, stringify!($field))?),+ })
            }
        }
    )+};
}

/// Keeps a value by a text that prints it and a function that parses it.
macro_rules! worded {
    ($($type:ty: $print:expr, $parse:expr;)+) => {$(
        impl Kept for $type {
            fn keep(&self) -> Value {
                let print: fn(&$type) -> String = $print;
                Value::from(print(self))
            }

            fn back(value: Value) -> Result<Self, NotKept> {
                let text = value.as_str().ok_or(NotKept::new("a text is expected"))?;
                let parse: fn(&str) -> Option<$type> = $parse;
                parse(text).ok_or(NotKept::new("the word is not known"))
            }
        }
    )+};
}

/// Keeps a number that stands in a type of its own.
macro_rules! numbered {
    ($($type:ty: $number:ty, $print:expr, $make:expr;)+) => {$(
        impl Kept for $type {
            fn keep(&self) -> Value {
                let print: fn(&$type) -> $number = $print;
                Value::from(print(self))
            }

            fn back(value: Value) -> Result<Self, NotKept> {
                let make: fn($number) -> $type = $make;
                <$number as Kept>::back(value).map(make)
            }
        }
    )+};
}

pub(super) use kept;
pub(super) use numbered;
pub(super) use worded;
