//! A request body read as a JSON document, stricter than JSON asks for.
//!
//! Finds what a plain parse loses: keys named twice, and the place of a number that no computer can hold.
//! `2600.0` becomes the whole number 2600, as JSON Schema counts it. Absent here: what the document means.

use serde::de::DeserializeSeed;
use serde::de::Error;
use serde::de::IgnoredAny;
use serde::de::MapAccess;
use serde::de::SeqAccess;
use serde::de::Visitor;
use serde_json::Map;
use serde_json::Number;
use serde_json::Value;
use serde_json::error::Category;
use std::fmt;

use crate::http::fields::escape;
use crate::http::limits;
use crate::http::problem::Code;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;
use crate::http::problem::Problem;

/// A body that is JSON, the keys it names twice, and the lists that are longer than anybody looks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Document {
    /// The document; of a key named twice the last value.
    pub value: Value,
    /// One error for each repetition.
    pub duplicates: Vec<FieldError>,
    /// One error for each list of which only the first [`limits::LIST_ENTRIES_KEPT`] entries were kept.
    pub shortened: Vec<FieldError>,
}

/// Reads a body. Refuses an empty one, one that is not UTF-8, not JSON or nested deeper than 127 levels (400 each),
/// one of too many values (413), and numbers beyond the range of a double (422).
///
/// ```
/// use rungwright::http::document::parse;
/// assert_eq!(parse(b"{\"a\": 2.0}").unwrap().value["a"].as_i64(), Some(2));
/// // JSON has no such value, whatever JavaScript prints.
/// assert_eq!(parse(b"{\"a\": NaN}").unwrap_err().code().text(), "not-json");
/// ```
pub fn parse(bytes: &[u8]) -> Result<Document, Problem> {
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(Problem::new(Code::EmptyBody, "the body is empty, a JSON object is expected"));
    }
    let text = str::from_utf8(bytes).map_err(|error| {
        let place = error.valid_up_to();
        Problem::new(Code::NotUtf8, format!("the body is not UTF-8 text from byte {place} on"))
    })?;
    let mut found = Found::default();
    let mut reader = serde_json::Deserializer::from_str(text);
    let node = Node { at: &Step::Root, found: &mut found };
    let value = node.deserialize(&mut reader).and_then(|value| reader.end().map(|()| value));
    match value {
        Ok(value) => {
            Ok(Document { value, duplicates: found.duplicates, shortened: found.shortened })
        }
        Err(_) if found.value_count > limits::BODY_VALUES_MAX => Err(too_many_values()),
        Err(error) => Err(refuse(&error, found.failed_at)),
    }
}

fn too_many_values() -> Problem {
    let most = limits::BODY_VALUES_MAX;
    Problem::new(
        Code::BodyTooLarge,
        format!("the body holds more than {most} values, the most of any body"),
    )
}

/// The problem for what the reader stumbled over.
fn refuse(error: &serde_json::Error, failed_at: Option<String>) -> Problem {
    let sentence = error.to_string();
    // The reader names these two cases in words only; tests hold the words.
    if sentence.starts_with("number out of range") {
        let detail = "the number is beyond the range of a double";
        let pointer = failed_at.unwrap_or_default();
        return Problem::invalid(vec![FieldError::at(pointer, FieldCode::NotANumber, detail)]);
    }
    if sentence.starts_with("recursion limit exceeded") {
        return Problem::new(Code::NestedTooDeep, "the body is nested deeper than 127 levels");
    }
    let (line, column) = (error.line(), error.column());
    let detail = match error.classify() {
        Category::Eof => format!("the JSON ends too early, at line {line} column {column}"),
        Category::Io | Category::Syntax | Category::Data => format!("not JSON: {sentence}"),
    };
    Problem::new(Code::NotJson, detail)
}

#[derive(Debug, Default)]
struct Found {
    duplicates: Vec<FieldError>,
    shortened: Vec<FieldError>,
    failed_at: Option<String>,
    value_count: usize,
}

/// The way from the root to a value, kept on the stack: it costs nothing unless something is wrong.
#[derive(Debug)]
enum Step<'a> {
    Root,
    Key(&'a Self, &'a str),
    Index(&'a Self, usize),
}

impl Step<'_> {
    fn pointer(&self) -> String {
        match self {
            Self::Root => String::new(),
            Self::Key(above, key) => format!("{}/{}", above.pointer(), escape(key)),
            Self::Index(above, index) => format!("{}/{index}", above.pointer()),
        }
    }
}

struct Node<'a> {
    at: &'a Step<'a>,
    found: &'a mut Found,
}

impl Found {
    fn count<E: Error>(&mut self) -> Result<(), E> {
        self.value_count = self.value_count.saturating_add(1);
        if self.value_count > limits::BODY_VALUES_MAX {
            return Err(E::custom("too many values"));
        }
        Ok(())
    }
}

impl<'de> DeserializeSeed<'de> for Node<'_> {
    type Value = Value;

    fn deserialize<D: serde::Deserializer<'de>>(self, deserializer: D) -> Result<Value, D::Error> {
        let (at, found) = (self.at, self.found);
        found.count()?;
        let value = deserializer.deserialize_any(Node { at, found: &mut *found });
        if value.is_err() {
            found.failed_at.get_or_insert_with(|| at.pointer());
        }
        value
    }
}

impl<'de> Visitor<'de> for Node<'_> {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E>(self, value: bool) -> Result<Value, E> {
        Ok(Value::Bool(value))
    }

    fn visit_i64<E>(self, value: i64) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_u64<E>(self, value: u64) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<Value, E> {
        if let Some(whole) = whole(value) {
            return Ok(whole.into());
        }
        Number::from_f64(value).map(Value::Number).ok_or_else(|| E::custom("number out of range"))
    }

    fn visit_str<E>(self, value: &str) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_string<E>(self, value: String) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let mut list = Vec::new();
        while list.len() < limits::LIST_ENTRIES_KEPT {
            let at = Step::Index(self.at, list.len());
            let node = Node { at: &at, found: &mut *self.found };
            let Some(entry) = entries.next_element_seed(node)? else {
                return Ok(Value::Array(list));
            };
            list.push(entry);
        }
        let mut count = list.len();
        while entries.next_element::<IgnoredAny>()?.is_some() {
            count = count.saturating_add(1);
            self.found.count()?;
        }
        if list.len() < count {
            let at = self.at.pointer();
            let detail = format!("the list has {count} entries");
            self.found.shortened.push(FieldError::at(at, FieldCode::TooMany, detail));
        }
        Ok(Value::Array(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let mut object = Map::new();
        while let Some(key) = entries.next_key::<String>()? {
            let at = Step::Key(self.at, &key);
            let value = entries.next_value_seed(Node { at: &at, found: &mut *self.found })?;
            if object.contains_key(&key) {
                let detail = format!("the key {key} is named twice");
                let error = FieldError::at(at.pointer(), FieldCode::DuplicateKey, detail);
                self.found.duplicates.push(error);
            }
            object.insert(key, value);
        }
        Ok(Value::Object(object))
    }
}

/// Doubles count whole numbers exactly up to here.
const EXACT_WHOLE_MAX: f64 = 9_007_199_254_740_992.0;

#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    clippy::float_cmp,
    reason = "a whole number below 2^53 converts exactly"
)]
fn whole(value: f64) -> Option<i64> {
    (value.abs() < EXACT_WHOLE_MAX && libm::trunc(value) == value).then_some(value as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_huge_number_is_named_by_its_place() {
        let problem =
            parse(br#"{"room":{"boundaries":[{"area_m2":1},{"area_m2":1e999}]}}"#).unwrap_err();
        assert_eq!(problem.code(), Code::InvalidFields);
        assert_eq!(problem.errors()[0].pointer.as_deref(), Some("/room/boundaries/1/area_m2"));
    }

    #[test]
    fn keys_named_twice_are_found_at_every_depth() {
        let document = parse(br#"{"a":1,"b":[{"c":1,"c":2}],"a":3}"#).unwrap();
        let pointers = document.duplicates.iter().map(|error| error.pointer.as_deref().unwrap());
        assert_eq!(pointers.collect::<Vec<_>>(), ["/b/0/c", "/a"]);
        assert_eq!(document.value["a"], 3_i32);
    }

    #[test]
    fn depth_is_limited() {
        let deep = "[".repeat(100_000);
        assert_eq!(parse(deep.as_bytes()).unwrap_err().code(), Code::NestedTooDeep);
    }

    #[test]
    fn the_number_of_values_is_limited() {
        let list = |count: usize| format!("[{}1]", "1,".repeat(count.saturating_sub(1)));
        // The list itself is a value too.
        let most = list(limits::BODY_VALUES_MAX.saturating_sub(1));
        assert!(parse(most.as_bytes()).is_ok());
        let problem = parse(list(limits::BODY_VALUES_MAX).as_bytes()).unwrap_err();
        assert_eq!(problem.code(), Code::BodyTooLarge);
    }

    #[test]
    fn a_list_that_is_far_too_long_is_named_and_only_its_beginning_kept() {
        let list = format!("{{\"a\":[{}1]}}", "[1,2],".repeat(9_999));
        let document = parse(list.as_bytes()).unwrap();
        let error = document.shortened.first().unwrap();
        assert_eq!(
            (error.pointer.as_deref(), error.detail.as_str()),
            (Some("/a"), "the list has 10000 entries")
        );
        assert_eq!(document.value["a"].as_array().unwrap().len(), limits::LIST_ENTRIES_KEPT);
    }

    #[test]
    fn rubbish_after_the_document_is_refused() {
        assert_eq!(parse(b"{} {}").unwrap_err().code(), Code::NotJson);
        assert_eq!(parse(b"\xef\xbb\xbf{}").unwrap_err().code(), Code::NotJson);
        assert_eq!(parse(b"{\"a\":\xff}").unwrap_err().code(), Code::NotUtf8);
        assert_eq!(parse(b" \n").unwrap_err().code(), Code::EmptyBody);
    }

    #[test]
    fn whole_numbers_stay_exact() {
        assert_eq!(parse(b"2600.0").unwrap().value.as_i64(), Some(2600));
        assert_eq!(parse(b"1e3").unwrap().value.as_i64(), Some(1000));
        assert_eq!(parse(b"0.5").unwrap().value.as_f64(), Some(0.5_f64));
        assert_eq!(parse(b"18446744073709551615").unwrap().value.as_u64(), Some(u64::MAX));
    }
}
