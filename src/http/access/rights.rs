//! Whether a request asks for more than its key grants: another market, a better price tier.
//!
//! `market` and `tier` mean the same wherever they stand in a body or a query, so they are looked for in all of it, once,
//! by the extractors; a route cannot forget to. Absent here: discounts and overrides, which depend on the sums.

use serde_json::Value;

use crate::domain::access::Grant;
use crate::domain::access::Markets;
use crate::domain::catalogue::Tier;
use crate::http::fields::escape;
use crate::http::problem::Code;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;
use crate::http::problem::Problem;

/// 403 with every place of a body that asks for more than is granted.
pub fn check_body(grant: &Grant, body: &Value) -> Result<(), Problem> {
    if grants_everything(grant) {
        return Ok(());
    }
    let mut errors = Vec::new();
    walk(grant, body, &mut String::new(), &mut errors);
    finish(errors)
}

/// 403 with every parameter of a query that asks for more than is granted.
pub fn check_query(grant: &Grant, pairs: &[(String, String)]) -> Result<(), Problem> {
    let beyond = |(name, text): &(String, String)| {
        let why = excess(grant, name, text)?;
        Some(FieldError::of_parameter(name, FieldCode::NotGranted, &why))
    };
    finish(pairs.iter().filter_map(beyond).collect())
}

fn finish(errors: Vec<FieldError>) -> Result<(), Problem> {
    if errors.is_empty() { Ok(()) } else { Err(Problem::listing(Code::BeyondTheKey, errors)) }
}

fn grants_everything(grant: &Grant) -> bool {
    grant.markets == Markets::All && Tier::ALL.iter().all(|tier| *tier <= grant.tier_best)
}

/// The depth of a body is bounded where it is read, so this cannot run away.
fn walk(grant: &Grant, value: &Value, place: &mut String, errors: &mut Vec<FieldError>) {
    let length = place.len();
    match value {
        Value::Object(fields) => {
            for (name, inner) in fields {
                place.push('/');
                place.push_str(&escape(name));
                if let Some(why) = inner.as_str().and_then(|text| excess(grant, name, text)) {
                    errors.push(FieldError::at(&**place, FieldCode::NotGranted, why));
                }
                walk(grant, inner, place, errors);
                place.truncate(length);
            }
        }
        Value::Array(entries) => {
            for (index, inner) in entries.iter().enumerate() {
                place.push('/');
                place.push_str(&index.to_string());
                walk(grant, inner, place, errors);
                place.truncate(length);
            }
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

/// Why a named text asks for too much.
fn excess(grant: &Grant, name: &str, text: &str) -> Option<String> {
    match name {
        "market" if !grant.markets.include(text) => {
            Some(format!("the key is not for the market {text:?}"))
        }
        "tier" if Tier::parse(text).is_some_and(|tier| grant.tier_best < tier) => Some(format!(
            "the key is for {} prices at best, not for {text}",
            grant.tier_best.word()
        )),
        _ => None,
    }
}
