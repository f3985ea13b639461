//! Tells a failed choice between shapes (`oneOf`, `anyOf`) by the shape that was meant.
//!
//! A tagged object is told by the branch whose tag it carries, a nullable object by the branch that is not null; only
//! when no branch was meant does the choice itself become the error. Absent here: single values.

use jsonschema::JsonType;
use jsonschema::ValidationError;
use jsonschema::error::TypeKind;
use jsonschema::error::ValidationErrorKind as Kind;
use serde_json::Value;

use super::Subject;
use crate::http::problem::FieldError;

/// One branch's errors.
type Branch = Vec<ValidationError<'static>>;

/// The errors of the branch that was meant, or what all branches miss, or the tags to choose from.
pub(super) fn explain(
    root: &Value,
    choice: &ValidationError<'_>,
    branches: &[Branch],
) -> Vec<FieldError> {
    let is_shaped = |errors: &&Branch| !errors.iter().any(|error| is_other_type(choice, error));
    let shaped = branches.iter().filter(is_shaped).collect::<Vec<_>>();
    let mut meant = shaped.iter().filter(|errors| tag_errors(choice, errors).next().is_none());
    if let (Some(errors), None) = (meant.next(), meant.next())
        && !errors.is_empty()
    {
        return errors.iter().flat_map(|error| super::explain(root, error)).collect();
    }
    let subject = Subject::new(root, choice);
    let missing = missing_in_all(choice, &shaped).into_iter();
    let mut told = missing.map(|property| subject.missing(property)).collect::<Vec<_>>();
    let tags = shaped.iter().filter_map(|errors| tag_errors(choice, errors).next());
    let tags = tags.collect::<Vec<_>>();
    let words = tags.iter().filter_map(|error| tag_word(error)).collect::<Vec<_>>();
    if let Some(first) = tags.first() {
        told.push(Subject::new(root, first).not_one_of(&words.join(", ")));
    }
    if told.is_empty() {
        told.push(subject.not_of_types(&types(branches)));
    }
    told
}

/// Fields that every branch demands and the value does not have, the tag among them.
fn missing_in_all<'a>(choice: &ValidationError<'_>, shaped: &[&'a Branch]) -> Vec<&'a Value> {
    let demanded = |errors: &'a Branch| {
        let own = errors.iter().filter(|error| error.instance_path() == choice.instance_path());
        own.filter_map(|error| {
            if let Kind::Required { property } = error.kind() { Some(property) } else { None }
        })
    };
    let Some((first, others)) = shaped.split_first() else { return Vec::new() };
    let in_others = |property: &&Value| {
        others.iter().all(|errors| demanded(errors).any(|each| each == *property))
    };
    demanded(first).filter(in_others).collect()
}

/// The types that the branches take.
fn types(branches: &[Branch]) -> Vec<JsonType> {
    let mut types = Vec::new();
    for kind in branches.iter().flatten().map(ValidationError::kind) {
        if let Kind::Type { kind: TypeKind::Single(one) } = kind
            && !types.contains(one)
        {
            types.push(*one);
        }
    }
    types
}

/// The value is not even of the branch's type: null for an object, text for a list.
fn is_other_type(choice: &ValidationError<'_>, error: &ValidationError<'_>) -> bool {
    matches!(error.kind(), Kind::Type { .. }) && error.instance_path() == choice.instance_path()
}

/// Errors of a direct field that must hold a certain word: the branch's tag says it is another branch's value.
fn tag_errors<'a>(
    choice: &'a ValidationError<'_>,
    errors: &'a [ValidationError<'static>],
) -> impl Iterator<Item = &'a ValidationError<'static>> {
    let depth = depth(choice).saturating_add(1);
    errors.iter().filter(move |error| depth == self::depth(error) && tag_word(error).is_some())
}

/// The one word a tag must be; nothing for other errors.
fn tag_word(error: &ValidationError<'_>) -> Option<String> {
    if let Kind::Constant { expected_value } = error.kind() {
        return Some(super::plain(expected_value));
    }
    let Kind::Enum { options } = error.kind() else { return None };
    match options.as_array().map(Vec::as_slice) {
        Some([word]) => Some(super::plain(word)),
        Some(_) | None => None,
    }
}

fn depth(error: &ValidationError<'_>) -> usize {
    error.instance_path().as_str().matches('/').count()
}
