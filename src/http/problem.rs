//! The one shape of every error answer: an RFC 9457 problem document with a stable code.
//!
//! A [`Problem`] is a code, one sentence, and the wrong fields. It becomes a response in one place
//! ([`Problem::render`]); the outermost layer renders it again with the request id as `instance`.
//! Absent here: how the wrong fields are found (`violations`, `fields`), and causes, which go to the log only.

mod field;

pub use field::FieldCode;
pub use field::FieldError;

use axum::body::Body;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;
use serde::Serialize;
use std::error::Error;
use std::sync::Arc;
use utoipa::ToSchema;

use crate::http::fault_report::FaultView;
use crate::http::fault_report::Report;
use crate::http::limits;
use crate::operations::quotes::StoreError;
use crate::operations::quotes::StoreErrorKind;

/// Media type of a problem document.
pub const MEDIA_TYPE: &str = "application/problem+json";

macro_rules! codes {
    ($($name:ident $status:ident $code:literal $title:literal;)+) => {
        /// What went wrong with a request as a whole. The codes are stable and never reused.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Code {
            $(#[doc = concat!($title, ": `", $code, "`.")] $name,)+
        }

        impl Code {
            /// Every code, in the order of its status.
            pub const ALL: &'static [Self] = &[$(Self::$name),+];

            /// The code as it stands in the document and in its `type`.
            pub const fn text(self) -> &'static str {
                match self { $(Self::$name => $code,)+ }
            }

            /// The status it is answered with.
            pub const fn status(self) -> StatusCode {
                match self { $(Self::$name => StatusCode::$status,)+ }
            }

            /// A title that is the same for every occurrence.
            pub const fn title(self) -> &'static str {
                match self { $(Self::$name => $title,)+ }
            }
        }
    };
}

codes! {
    MalformedRequest BAD_REQUEST "malformed-request" "The request cannot be read";
    EmptyBody BAD_REQUEST "empty-body" "The body is empty";
    NotUtf8 BAD_REQUEST "not-utf-8" "The body is not UTF-8 text";
    NotJson BAD_REQUEST "not-json" "The body is not JSON";
    NestedTooDeep BAD_REQUEST "nested-too-deep" "The body is nested too deep";
    BadQuery BAD_REQUEST "bad-query" "A query parameter is wrong or unknown";
    IdempotencyKeyMissing BAD_REQUEST "idempotency-key-missing" "A request that creates needs an Idempotency-Key";
    IdempotencyKeyBadForm BAD_REQUEST "idempotency-key-bad-form" "The Idempotency-Key has another form than allowed";
    KeyMissing UNAUTHORIZED "key-missing" "A key is needed";
    KeyInvalid UNAUTHORIZED "key-invalid" "The key is not valid";
    ScopeMissing FORBIDDEN "scope-missing" "The key is not good for this";
    OriginNotAllowed FORBIDDEN "origin-not-allowed" "The key is not for pages of this origin";
    BeyondTheKey FORBIDDEN "beyond-the-key" "The key does not grant what is asked";
    NotOpened FORBIDDEN "not-opened" "Nobody may ask this";
    NotFound NOT_FOUND "not-found" "There is no such thing";
    NoSuchRoute NOT_FOUND "no-such-route" "There is nothing at this address";
    MethodNotAllowed METHOD_NOT_ALLOWED "method-not-allowed" "The address does not answer to this method";
    NotAcceptable NOT_ACCEPTABLE "not-acceptable" "No representation is acceptable";
    BodyTooSlow REQUEST_TIMEOUT "body-too-slow" "The body did not arrive in time";
    NoPriceList CONFLICT "no-price-list" "No price list holds on that day";
    IdempotencyKeyRunning CONFLICT "idempotency-key-running" "The first request with this key is still being answered";
    WrongState CONFLICT "wrong-state" "The quote is in a state that does not allow it";
    QuoteExpired CONFLICT "quote-expired" "The offer has ended";
    ValidityPassed CONFLICT "validity-passed" "The last day was over before the quote was issued";
    PriceListEnded CONFLICT "price-list-ended" "The price list of the draft has ended";
    OpenDraft CONFLICT "open-draft" "The quote has a draft already";
    OtherMarket CONFLICT "other-market" "A revision stays in its market";
    KeyEnded CONFLICT "key-ended" "The key has ended or was rotated already";
    TooManyKeys CONFLICT "too-many-keys" "There are as many keys as there may be";
    EditionState CONFLICT "edition-state" "The edition is in a state that does not allow it";
    UncheckedEdition CONFLICT "unchecked-edition" "The edition has not passed its checks";
    StaleEdition CONFLICT "stale-edition" "Another edition was published in the meantime";
    Conflict CONFLICT "conflict" "The present state does not allow it";
    StaleCursor GONE "stale-cursor" "The page's edition is gone";
    PreconditionFailed PRECONDITION_FAILED "precondition-failed" "The thing has changed since it was read";
    BodyTooLarge PAYLOAD_TOO_LARGE "body-too-large" "The body is too large";
    TargetTooLong URI_TOO_LONG "target-too-long" "The address is too long";
    UnsupportedMediaType UNSUPPORTED_MEDIA_TYPE "unsupported-media-type" "The body's media type is not understood";
    InvalidFields UNPROCESSABLE_ENTITY "invalid-fields" "Fields of the body are wrong";
    InvalidCatalogue UNPROCESSABLE_ENTITY "invalid-catalogue" "The catalogue is at fault, and nothing of it was loaded";
    IdempotencyKeyReused UNPROCESSABLE_ENTITY "idempotency-key-reused" "The key was used for another request";
    PreconditionRequired PRECONDITION_REQUIRED "precondition-required" "The change must name the version it is based on";
    TooManyRequests TOO_MANY_REQUESTS "too-many-requests" "Too many requests";
    HeadersTooLarge REQUEST_HEADER_FIELDS_TOO_LARGE "headers-too-large" "The header fields are too large";
    Internal INTERNAL_SERVER_ERROR "internal" "The service has failed";
    Overloaded SERVICE_UNAVAILABLE "overloaded" "The service is at its limit";
    TimedOut SERVICE_UNAVAILABLE "timed-out" "The answer took too long";
    StorageFull INSUFFICIENT_STORAGE "storage-full" "There is no room left to write";
    NotReady SERVICE_UNAVAILABLE "not-ready" "The service is not ready";
}

/// A refusal or a failure on its way to the client.
///
/// ```
/// use rungwright::http::problem::{Code, Problem};
/// let problem = Problem::new(Code::NotFound, "there is no body RW-1");
/// assert_eq!(problem.code().status(), 404);
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    code: Code,
    detail: String,
    errors: Vec<FieldError>,
    retry_after_s: u32,
    report: Option<Arc<Report>>,
}

/// A problem document as it is sent, `application/problem+json`, RFC 9457.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Problem)]
pub struct Document {
    /// Address that explains the code, relative to the service: `/problems/<code>`.
    #[serde(rename = "type")]
    #[schema(example = "/problems/invalid-fields")]
    kind: String,
    /// Title of the code, always the same.
    title: &'static str,
    /// The status of the response.
    #[schema(minimum = 400, maximum = 599, example = 422)]
    status: u16,
    /// What is wrong with this request, for people.
    detail: String,
    /// Id of the request, also in `X-Request-Id` and in the service's log.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    instance: Option<String>,
    /// Stable code for programs.
    #[schema(example = "invalid-fields")]
    code: &'static str,
    /// Every wrong field. Absent when no field is to blame.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    errors: Vec<FieldError>,
    /// Every fault of a catalogue that was handed in. Absent for any other problem.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    faults: Vec<FaultView>,
}

impl Problem {
    /// A problem with one sentence and no fields.
    pub fn new<D: Into<String>>(code: Code, detail: D) -> Self {
        let retry_after_s = limits::RETRY_AFTER_S.into();
        Self { code, detail: detail.into(), errors: Vec::new(), report: None, retry_after_s }
    }

    /// The same problem, with the seconds to wait before another try. Told with 429 and 503 only.
    #[must_use]
    pub const fn after(mut self, seconds: u32) -> Self {
        self.retry_after_s = seconds;
        self
    }

    /// 422 with every wrong field of the body; beyond [`limits::FIELD_ERRORS_MAX`] it says that there are more.
    pub fn invalid(errors: Vec<FieldError>) -> Self {
        Self::listing(Code::InvalidFields, errors)
    }

    /// A problem of any code that lists wrong fields.
    pub fn listing(code: Code, mut errors: Vec<FieldError>) -> Self {
        let count = errors.len();
        errors.truncate(limits::FIELD_ERRORS_MAX);
        let subject = if code == Code::BadQuery { "the query" } else { "the body" };
        let detail = match (count, errors.first()) {
            (1, Some(only)) => only.detail.clone(),
            _ if count > errors.len() => {
                let listed = errors.len();
                format!("{subject} has more than {listed} errors, the first {listed} are listed")
            }
            _ => format!("{subject} has {count} errors"),
        };
        Self { errors, ..Self::new(code, detail) }
    }

    /// 422 with every fault of a catalogue.
    pub fn of_catalogue(report: Report) -> Self {
        let count = report.faults.len();
        let detail = match report.faults.first() {
            Some(only) if count == 1 => format!("{}: {}", only.file, only.allowed),
            Some(_) | None => format!("the catalogue has {count} faults; nothing of it was loaded"),
        };
        let report = Some(Arc::new(report));
        Self { report, ..Self::new(Code::InvalidCatalogue, detail) }
    }

    /// 500; the cause goes to the log, the client learns the request id only.
    pub fn internal(doing: &'static str, cause: &(dyn Error + 'static)) -> Self {
        tracing::error!(error = cause, doing, "the service failed while {doing}");
        Self::failed()
    }

    /// What a database that refuses means for the client: try again, or wait until somebody has made room.
    pub fn of_store(doing: &'static str, error: &StoreError) -> Self {
        match error.kind() {
            StoreErrorKind::Busy => {
                Self::new(Code::Overloaded, "the database is busy with other writes; try again")
            }
            StoreErrorKind::Full | StoreErrorKind::Unwritable => {
                tracing::error!(%error, doing, "the database refused while {doing}");
                Self::new(Code::NotReady, "nothing can be written at present")
            }
            StoreErrorKind::Corrupt
            | StoreErrorKind::Constraint
            | StoreErrorKind::Content
            | StoreErrorKind::Other => Self::internal(doing, error),
        }
    }

    /// 500 without a cause to log, or with one that is logged already.
    pub fn failed() -> Self {
        Self::new(Code::Internal, "the service has failed; its log has the cause under this id")
    }

    /// The problem that stands for a bare status which a library answered with.
    pub fn of_status(status: StatusCode) -> Self {
        let class = if status.is_server_error() { Code::Internal } else { Code::MalformedRequest };
        let mut codes = Code::ALL.iter().copied();
        let code = codes.find(|code| code.status() == status).unwrap_or(class);
        if code == Code::Internal {
            Self::failed()
        } else {
            Self::new(code, code.title().to_lowercase())
        }
    }

    /// Its code.
    pub const fn code(&self) -> Code {
        self.code
    }

    /// What went wrong, for people.
    pub fn detail(&self) -> &str {
        &self.detail
    }

    /// The wrong fields.
    pub fn errors(&self) -> &[FieldError] {
        &self.errors
    }

    /// The response; `instance` is the request id once it is known.
    pub fn render(&self, instance: Option<&str>) -> Response {
        if let Some(response) =
            self.report.as_deref().and_then(|report| report.table(self.code.status()))
        {
            return self.mark(response);
        }
        let document = Document {
            kind: format!("/problems/{}", self.code.text()),
            title: self.code.title(),
            status: self.code.status().as_u16(),
            detail: self.detail.clone(),
            instance: instance.map(ToOwned::to_owned),
            code: self.code.text(),
            errors: self.errors.clone(),
            faults: self.report.as_deref().map(|report| report.faults.clone()).unwrap_or_default(),
        };
        // Strings and whole numbers only, which serde_json cannot fail on; an empty body is the answer if it did.
        let body = serde_json::to_vec(&document).unwrap_or_default();
        let mut response = Response::new(Body::from(body));
        *response.status_mut() = self.code.status();
        let headers = response.headers_mut();
        headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(MEDIA_TYPE));
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
        let waits = [StatusCode::SERVICE_UNAVAILABLE, StatusCode::TOO_MANY_REQUESTS];
        if waits.contains(&self.code.status()) {
            headers.insert(header::RETRY_AFTER, HeaderValue::from(self.retry_after_s));
        }
        self.mark(response)
    }

    /// The response with the problem beside it, for the layer that adds the request id.
    fn mark(&self, mut response: Response) -> Response {
        response.extensions_mut().insert(self.clone());
        response
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        self.render(None)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn codes_are_kebab_case_and_used_once() {
        let codes = Code::ALL.iter().map(|code| code.text());
        let fields = FieldCode::ALL.iter().map(|code| code.text());
        let all = codes.chain(fields).collect::<Vec<_>>();
        for code in &all {
            assert!(
                code.chars().all(|each| each.is_ascii_lowercase() || "-8".contains(each)),
                "{code}"
            );
        }
        assert_eq!(all.iter().collect::<BTreeSet<_>>().len(), all.len());
    }

    #[test]
    fn a_long_list_of_errors_is_cut_and_says_so() {
        let error = FieldError::at("/x", FieldCode::Missing, "x is missing");
        let problem = Problem::invalid(vec![error; 1000]);
        assert_eq!(problem.errors().len(), limits::FIELD_ERRORS_MAX);
        assert_eq!(problem.detail, "the body has more than 256 errors, the first 256 are listed");
    }
}
