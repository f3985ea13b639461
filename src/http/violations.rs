//! What a schema violation means to the person who sent it: pointer, code, sentence, what is allowed.
//!
//! The sentences are ours; numbers, words and forms come from the schema that refused. A field is called by its
//! schema's `title` (the phrase of the units table), else by its name. Absent here: checking itself (`contract`).

use jsonschema::JsonType;
use jsonschema::ValidationError;
use jsonschema::error::TypeKind;
use jsonschema::error::ValidationErrorKind as Kind;
use serde_json::Value;

use crate::http::fields::escape;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;
use crate::http::schema::UNIT_EXTENSION;

mod alternatives;

/// Longest value of the client's that is quoted back, in characters.
const QUOTED_CHARACTERS_MAX: usize = 60;

/// All that one violation says. Several, because one violation may name several unknown fields, and because that of
/// a choice between shapes is told by the shape that was meant.
pub fn explain(root: &Value, error: &ValidationError<'_>) -> Vec<FieldError> {
    let subject = Subject::new(root, error);
    let kind = error.kind();
    if let Kind::AdditionalProperties { unexpected } | Kind::UnevaluatedProperties { unexpected } =
        kind
    {
        return unexpected.iter().map(|name| subject.unknown_field(name)).collect();
    }
    if let Kind::OneOfNotValid { context }
    | Kind::OneOfMultipleValid { context }
    | Kind::AnyOf { context } = kind
    {
        return alternatives::explain(root, error, context);
    }
    if let Kind::Enum { .. } = kind
        && subject.keyword("type").is_some()
        && !subject.value.is_string()
    {
        // Its type is refused by the keyword beside this one, and one word about it is enough.
        return Vec::new();
    }
    if let Kind::Required { property } = kind {
        return vec![subject.missing(property)];
    }
    vec![subject.explain_value(kind)]
}

/// The value that was refused, and the schema that refused it.
struct Subject<'a> {
    pointer: String,
    value: &'a Value,
    schema: Option<&'a Value>,
}

impl<'a> Subject<'a> {
    fn new(root: &'a Value, error: &'a ValidationError<'_>) -> Self {
        let keyword = error.schema_path().as_str();
        let schema = keyword.rsplit_once('/').and_then(|(above, _)| root.pointer(above));
        Self { pointer: error.instance_path().as_str().to_owned(), value: error.instance(), schema }
    }

    /// What a person calls it.
    fn name(&self) -> String {
        if let Some(title) = self.keyword("title").and_then(Value::as_str) {
            return title.to_owned();
        }
        match self.pointer.rsplit_once('/') {
            None => "the body".to_owned(),
            Some((above, index)) if index.bytes().all(|byte| byte.is_ascii_digit()) => {
                let list = above.rsplit_once('/').map_or("list", |(_, name)| name);
                format!("entry {index} of {list}")
            }
            Some((_, name)) => name.to_owned(),
        }
    }

    fn keyword(&self, name: &str) -> Option<&'a Value> {
        self.schema.and_then(|schema| schema.get(name))
    }

    fn error(&self, code: FieldCode, detail: String) -> FieldError {
        FieldError::at(self.pointer.clone(), code, detail)
    }

    fn unknown_field(&self, name: &str) -> FieldError {
        let pointer = format!("{}/{}", self.pointer, escape(name));
        let detail = format!("there is no field {} here", cut(name));
        let error = FieldError::at(pointer, FieldCode::UnknownField, detail);
        match self.keyword("properties").and_then(Value::as_object) {
            Some(known) => error.allowing(known.keys().cloned().collect::<Vec<_>>().join(", ")),
            None => error,
        }
    }

    fn missing(&self, property: &Value) -> FieldError {
        let name = property.as_str().unwrap_or_default();
        let pointer = format!("{}/{}", self.pointer, escape(name));
        FieldError::at(pointer, FieldCode::Missing, format!("{name} is missing"))
    }

    /// An error of the value itself, not of its fields.
    fn explain_value(&self, kind: &Kind) -> FieldError {
        match kind {
            Kind::Type { kind } => self.wrong_type(kind),
            Kind::Minimum { .. } | Kind::ExclusiveMinimum { .. } => {
                self.out_of_bounds(FieldCode::BelowMinimum, ("minimum", "maximum"))
            }
            Kind::Maximum { .. } | Kind::ExclusiveMaximum { .. } => {
                self.out_of_bounds(FieldCode::AboveMaximum, ("minimum", "maximum"))
            }
            Kind::MinItems { .. } | Kind::MinProperties { .. } => {
                self.out_of_bounds(FieldCode::TooFew, ("minItems", "maxItems"))
            }
            Kind::MaxItems { .. } | Kind::MaxProperties { .. } | Kind::AdditionalItems { .. } => {
                self.out_of_bounds(FieldCode::TooMany, ("minItems", "maxItems"))
            }
            Kind::MinLength { .. } => {
                self.out_of_bounds(FieldCode::TooShort, ("minLength", "maxLength"))
            }
            Kind::MaxLength { .. } => {
                self.out_of_bounds(FieldCode::TooLong, ("minLength", "maxLength"))
            }
            Kind::MultipleOf { multiple_of } => {
                let detail = format!(
                    "{} is {}, must be a multiple of {multiple_of}",
                    self.name(),
                    self.quoted()
                );
                self.error(FieldCode::NotAMultiple, detail)
            }
            Kind::Enum { options } => self.not_one_of(&listed(options)),
            Kind::Constant { expected_value } => self.not_one_of(&plain(expected_value)),
            Kind::Pattern { pattern } => self.bad_form(pattern),
            Kind::Format { format } => self.bad_form(format),
            Kind::UniqueItems => {
                let detail = format!("{} names the same thing twice", self.name());
                self.error(FieldCode::Repeated, detail)
            }
            Kind::AdditionalProperties { .. }
            | Kind::AnyOf { .. }
            | Kind::BacktrackLimitExceeded { .. }
            | Kind::RegexEngineFailure { .. }
            | Kind::Contains
            | Kind::ContentEncoding { .. }
            | Kind::ContentMediaType { .. }
            | Kind::Custom { .. }
            | Kind::FalseSchema
            | Kind::FromUtf8 { .. }
            | Kind::Not { .. }
            | Kind::OneOfMultipleValid { .. }
            | Kind::OneOfNotValid { .. }
            | Kind::PropertyNames { .. }
            | Kind::Required { .. }
            | Kind::UnevaluatedItems { .. }
            | Kind::UnevaluatedProperties { .. }
            | Kind::Referencing(_) => {
                let detail = format!("{} does not fit its description", self.name());
                self.error(FieldCode::BadForm, detail)
            }
        }
    }

    fn wrong_type(&self, kind: &TypeKind) -> FieldError {
        let several = match kind {
            TypeKind::Single(one) => vec![*one],
            TypeKind::Multiple(several) => several.into_iter().collect(),
        };
        self.not_of_types(&several)
    }

    /// `null` is what an optional field adds and nobody needs to hear.
    fn not_of_types(&self, types: &[JsonType]) -> FieldError {
        let others = types.iter().filter(|kind| **kind != JsonType::Null);
        let expected = others.map(|kind| type_name(*kind)).collect::<Vec<_>>().join(" or ");
        let detail = format!("{} is {}, must be {expected}", self.name(), self.described());
        self.error(FieldCode::WrongType, detail).allowing(expected)
    }

    fn out_of_bounds(&self, code: FieldCode, keywords: (&str, &str)) -> FieldError {
        let range = self.range(keywords);
        let unit = self.keyword(UNIT_EXTENSION).and_then(Value::as_str).unwrap_or_default();
        let space = if unit.is_empty() { "" } else { " " };
        let name = self.name();
        let detail = match self.value {
            Value::Array(entries) => {
                format!("{name} has {} entries, allowed are {range}", entries.len())
            }
            Value::String(text) => {
                format!("{name} has {} characters, allowed are {range}", text.chars().count())
            }
            Value::Object(fields) => {
                format!("{name} has {} fields, allowed are {range}", fields.len())
            }
            Value::Number(number) => {
                format!("{name} is {number}{space}{unit}, allowed are {range}{space}{unit}")
            }
            Value::Null | Value::Bool(_) => {
                format!("{name} is {}, allowed are {range}", self.value)
            }
        };
        self.error(code, detail).allowing(range)
    }

    fn range(&self, (least, most): (&str, &str)) -> String {
        match (self.keyword(least), self.keyword(most)) {
            (Some(lowest), Some(highest)) => format!("{} to {}", number(lowest), number(highest)),
            (Some(lowest), None) => format!("at least {}", number(lowest)),
            // A list or a text without a stated minimum may be empty.
            (None, Some(highest)) if least != "minimum" => format!("0 to {}", number(highest)),
            (None, Some(highest)) => format!("at most {}", number(highest)),
            (None, None) => "other values".to_owned(),
        }
    }

    fn not_one_of(&self, allowed: &str) -> FieldError {
        let detail = format!("{} is {}, allowed are {allowed}", self.name(), self.quoted());
        self.error(FieldCode::NotOneOf, detail).allowing(allowed)
    }

    fn bad_form(&self, form: &str) -> FieldError {
        let detail =
            format!("{} is {}, which does not have the form {form}", self.name(), self.quoted());
        self.error(FieldCode::BadForm, detail).allowing(form)
    }

    /// The client's own value, short.
    fn quoted(&self) -> String {
        match self.value {
            Value::Array(_) | Value::Object(_) => self.described().to_owned(),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {
                cut(&plain(self.value))
            }
        }
    }

    fn described(&self) -> &'static str {
        match self.value {
            Value::Null => "null",
            Value::Bool(true) => "true",
            Value::Bool(false) => "false",
            Value::Number(number) if number.is_f64() => "a number with decimals",
            Value::Number(_) => "a number",
            Value::String(_) => "text",
            Value::Array(_) => "a list",
            Value::Object(_) => "an object",
        }
    }
}

const fn type_name(kind: JsonType) -> &'static str {
    match kind {
        JsonType::Null => "null",
        JsonType::Boolean => "true or false",
        JsonType::Integer => "a whole number",
        JsonType::Number => "a number",
        JsonType::String => "text",
        JsonType::Array => "a list",
        JsonType::Object => "an object",
    }
}

/// Words of an enumeration, with commas; `null` is what an optional field adds and nobody needs to hear.
fn listed(options: &Value) -> String {
    let words = options.as_array().map(Vec::as_slice).unwrap_or_default();
    let words = words.iter().filter(|word| !word.is_null()).map(plain);
    words.collect::<Vec<_>>().join(", ")
}

/// A value without the quotes of JSON text.
fn plain(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), ToOwned::to_owned)
}

/// A bound without the `.0` that a double brings.
fn number(value: &Value) -> String {
    value.as_f64().map_or_else(|| value.to_string(), |value| value.to_string())
}

fn cut(text: &str) -> String {
    let mut short = text.chars().take(QUOTED_CHARACTERS_MAX).collect::<String>();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}
