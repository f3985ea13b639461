//! The house query string: unknown, repeated and wrong parameters are refused, all at once, each by its name.
//!
//! A query type derives `Deserialize` and `IntoParams`; its published parameters are its contract, as a body's schema
//! is. Parameters whose schema is a type of its own need `#[param(inline)]`. A list is sent by repeating its name.
//! Absent here: paging rules (`cursor`).

use axum::extract::FromRequestParts;
use axum::extract::Query as AxumQuery;
use axum::http::Uri;
use axum::http::request::Parts;
use serde::de::DeserializeOwned;
use serde_json::Map;
use serde_json::Value;
use serde_json::json;
use std::collections::BTreeMap;
use utoipa::IntoParams;
use utoipa::openapi::Required;
use utoipa::openapi::path::Parameter;
use utoipa::openapi::path::ParameterIn;

use crate::http::access::caller;
use crate::http::access::rights::check_query;
use crate::http::contract::Contract;
use crate::http::document;
use crate::http::problem::Code;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;
use crate::http::problem::Problem;

/// A checked query string.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Query<T>(pub T);

impl<T, S> FromRequestParts<S> for Query<T>
where
    T: DeserializeOwned + IntoParams + 'static,
    S: Send + Sync,
{
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, _state: &S) -> Result<Self, Problem> {
        let caller = caller::of(&parts.extensions)?;
        check_query(caller.grant(), &pairs(&parts.uri)?)?;
        parse(&parts.uri).map(Self)
    }
}

/// Refuses every query parameter: for routes that have none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct NoQuery;

impl<S: Send + Sync> FromRequestParts<S> for NoQuery {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, _state: &S) -> Result<Self, Problem> {
        let unknown = |(name, _): (String, String)| {
            FieldError::of_parameter(&name, FieldCode::UnknownField, &no_parameter(&name))
        };
        let errors = pairs(&parts.uri)?.into_iter().map(unknown).collect::<Vec<_>>();
        if errors.is_empty() { Ok(Self) } else { Err(Problem::listing(Code::BadQuery, errors)) }
    }
}

/// A checked value from an address.
pub fn parse<T: DeserializeOwned + IntoParams + 'static>(uri: &Uri) -> Result<T, Problem> {
    let parameters = T::into_params(|| Some(ParameterIn::Query));
    let schemas = schemas(&parameters);
    let (value, mut errors) = gather(pairs(uri)?, &schemas);
    let contract = Contract::kept::<T, _>(|| contract(&parameters, &schemas))?;
    errors.extend(contract.check(&value).into_iter().map(named));
    if !errors.is_empty() {
        return Err(Problem::listing(Code::BadQuery, errors));
    }
    serde_json::from_value(value).map_err(|error| {
        tracing::warn!(%error, "a query kept its published parameters and did not fit its type");
        Problem::new(Code::BadQuery, error.to_string())
    })
}

/// Names and values as they came, unescaped.
type Pairs = Vec<(String, String)>;

fn pairs(uri: &Uri) -> Result<Pairs, Problem> {
    let pairs = AxumQuery::<Pairs>::try_from_uri(uri);
    pairs.map(|AxumQuery(pairs)| pairs).map_err(|error| {
        tracing::debug!(%error, "a query string could not be read");
        Problem::new(Code::BadQuery, "the query string cannot be read")
    })
}

fn schemas(parameters: &[Parameter]) -> BTreeMap<String, Value> {
    let schema =
        |parameter: &Parameter| serde_json::to_value(&parameter.schema).unwrap_or(Value::Null);
    parameters.iter().map(|parameter| (parameter.name.clone(), schema(parameter))).collect()
}

fn contract(parameters: &[Parameter], schemas: &BTreeMap<String, Value>) -> Value {
    let demanded =
        parameters.iter().filter(|parameter| matches!(parameter.required, Required::True));
    let required = demanded.map(|parameter| parameter.name.as_str()).collect::<Vec<_>>();
    json!({ "type": "object", "additionalProperties": false, "properties": schemas, "required": required })
}

/// The pairs as an object, each text read as its schema's type; and an error for each repetition.
fn gather(pairs: Pairs, schemas: &BTreeMap<String, Value>) -> (Value, Vec<FieldError>) {
    let mut object = Map::new();
    let mut errors = Vec::new();
    for (name, text) in pairs {
        let schema = schemas.get(&name).unwrap_or(&Value::Null);
        if has_type(schema, "array") {
            let entry = read(&text, schema.get("items").unwrap_or(&Value::Null));
            let list = object.entry(name).or_insert_with(|| Value::Array(Vec::new()));
            if let Value::Array(entries) = list {
                entries.push(entry);
            }
        } else if object.contains_key(&name) {
            let detail = format!("the parameter {name} is given twice");
            errors.push(FieldError::of_parameter(&name, FieldCode::DuplicateKey, &detail));
        } else {
            object.insert(name, read(&text, schema));
        }
    }
    (Value::Object(object), errors)
}

/// A text as the number or truth value its schema wants; as text when it is neither, for the contract to refuse.
fn read(text: &str, schema: &Value) -> Value {
    let number = has_type(schema, "integer") || has_type(schema, "number");
    if (number || has_type(schema, "boolean"))
        && let Ok(document) = document::parse(text.as_bytes())
        && (document.value.is_number() || document.value.is_boolean())
    {
        return document.value;
    }
    Value::from(text)
}

fn has_type(schema: &Value, name: &str) -> bool {
    match schema.get("type") {
        Some(Value::Array(types)) => types.iter().any(|each| each == name),
        Some(one) => one == name,
        None => false,
    }
}

/// An error at a place of the object as an error of the parameter.
fn named(error: FieldError) -> FieldError {
    let pointer = error.pointer.unwrap_or_default();
    let name = pointer.split('/').nth(1).unwrap_or_default().replace("~1", "/").replace("~0", "~");
    let is_unknown = error.code == FieldCode::UnknownField;
    let detail = if is_unknown { no_parameter(&name) } else { error.detail };
    FieldError { pointer: None, parameter: Some(name), detail, ..error }
}

fn no_parameter(name: &str) -> String {
    format!("there is no parameter {name} here")
}
