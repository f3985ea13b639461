//! A request body that may be wrong: what can be read of it although its schema objects.
//!
//! A route whose conversion finds faults of its own (references to nothing, fields that are wrong only together)
//! takes a [`Draft`], so that the client hears of those and of the schema's in one answer. Absent here: the
//! sentences (`violations`), and the conversions themselves.

use axum::extract::FromRequest;
use axum::extract::Request;
use serde::de::DeserializeOwned;
use serde_json::Value;
use utoipa::ToSchema;

use crate::http::access::caller;
use crate::http::access::rights::check_body;
use crate::http::contract::Contract;
use crate::http::document;
use crate::http::document::Document;
use crate::http::problem::Code;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;
use crate::http::problem::Problem;
use crate::operations::access::Caller;

/// A body as far as it can be read, and what its schema says against it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft<T> {
    value: Option<T>,
    errors: Vec<FieldError>,
}

impl<T, S> FromRequest<S> for Draft<T>
where
    T: DeserializeOwned + ToSchema + 'static,
    S: Send + Sync,
{
    type Rejection = Problem;

    async fn from_request(request: Request, _state: &S) -> Result<Self, Problem> {
        let caller = caller::of(request.extensions())?;
        Self::granted(&super::read(request).await?, &caller)
    }
}

impl<T: DeserializeOwned + ToSchema + 'static> Draft<T> {
    /// Reads the bytes of a body; refuses what is not JSON at all.
    pub fn parse(bytes: &[u8]) -> Result<Self, Problem> {
        Self::checked(document::parse(bytes)?)
    }

    /// Reads the bytes of a caller's body; refuses also what asks for more than the caller's key grants.
    pub fn granted(bytes: &[u8], caller: &Caller) -> Result<Self, Problem> {
        let document = document::parse(bytes)?;
        check_body(caller.grant(), &document.value)?;
        Self::checked(document)
    }

    fn checked(document: Document) -> Result<Self, Problem> {
        let mut errors = document.duplicates;
        errors.extend(Contract::of_body::<T>()?.check(&document.value));
        document.shortened.into_iter().for_each(|list| tell_length(list, &mut errors));
        if errors.is_empty() {
            let value = serde_json::from_value(document.value).map_err(|error| {
                // The schema let through what the Rust type refuses: our slip, but the client can still be told.
                tracing::warn!(error = %error, "a body kept its published schema and did not fit its type");
                let field = FieldError::at("", FieldCode::BadForm, error.to_string());
                Problem::invalid(vec![field])
            });
            return value.map(|value| Self { value: Some(value), errors });
        }
        let value = salvage(&document.value, &errors);
        Ok(Self { value, errors })
    }
}

impl<T> Draft<T> {
    /// Whether its schema has nothing against it.
    pub const fn is_sound(&self) -> bool {
        self.errors.is_empty()
    }

    /// The body as far as it can be read, before anything is refused.
    pub const fn readable(&self) -> Option<&T> {
        self.value.as_ref()
    }

    /// What a conversion makes of the body, or every fault of the schema and of the conversion.
    ///
    /// A fault that the conversion finds at a place the schema objects to already, or that may only stem from what
    /// was left out there, is not told twice.
    pub fn read<U, F: FnOnce(T) -> Result<U, Problem>>(self, convert: F) -> Result<U, Problem> {
        let mut errors = self.errors;
        match self.value.map(convert) {
            Some(Ok(value)) if errors.is_empty() => return Ok(value),
            Some(Err(problem)) if errors.is_empty() => return Err(problem),
            Some(Err(problem)) if problem.code() == Code::InvalidFields => {
                let more = problem.errors().iter().filter(|error| is_news(error, &errors));
                let more: Vec<FieldError> = more.cloned().collect();
                errors.extend(more);
            }
            Some(Ok(_) | Err(_)) | None => {}
        }
        Err(Problem::invalid(errors))
    }
}

/// Tells how long a list was of which only the beginning was kept: with the schema's limit where the schema has one.
fn tell_length(list: FieldError, errors: &mut Vec<FieldError>) {
    let same =
        |error: &&mut FieldError| error.pointer == list.pointer && error.code == FieldCode::TooMany;
    match errors.iter_mut().find(same) {
        Some(known) => {
            let allowed = known.allowed.as_deref().unwrap_or_default();
            known.detail = format!("{}; allowed here are {allowed}", list.detail);
        }
        None => errors.push(list),
    }
}

fn is_news(error: &FieldError, known: &[FieldError]) -> bool {
    let place = error.pointer.as_deref().unwrap_or_default();
    let overlaps = |other: &FieldError| {
        let other = other.pointer.as_deref().unwrap_or_default();
        is_within(place, other) || is_within(other, place)
    };
    error.code != FieldCode::Missing && !known.iter().any(overlaps)
}

fn is_within(place: &str, outer: &str) -> bool {
    place.strip_prefix(outer).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}

/// The value without what its schema objects to. Where a field cannot be left out, the object round it goes.
fn salvage<T: DeserializeOwned>(document: &Value, errors: &[FieldError]) -> Option<T> {
    let mut places: Vec<String> = errors.iter().filter_map(|error| error.pointer.clone()).collect();
    let mut left = document.clone();
    loop {
        // A number out of bounds can still be read, so the first look is at the body as it came.
        if let Ok(value) = serde_json::from_value(left.clone()) {
            return Some(value);
        }
        places.retain(|place| !place.is_empty());
        if places.is_empty() {
            return None;
        }
        for place in &mut places {
            remove(&mut left, place);
            place.truncate(place.rfind('/').unwrap_or_default());
        }
    }
}

/// Takes a field out of its object. An entry of a list stays, because those after it are known by their place.
fn remove(document: &mut Value, place: &str) {
    let Some((above, name)) = place.rsplit_once('/') else { return };
    if let Some(Value::Object(fields)) = document.pointer_mut(above) {
        fields.shift_remove(&name.replace("~1", "/").replace("~0", "~"));
    }
}
