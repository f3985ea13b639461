//! The published OpenAPI description: what every operation has in common, added to what each route states.
//!
//! A route states its success responses and what is special. [`complete`] adds the problem responses that the edge
//! itself can answer with, by reference to one shared response each, so none is forgotten: 400, 406, 414, 429, 431, 500,
//! 503 for all, 401 and 403 where a key is needed, 404 with a path parameter, 408, 413, 415, 422 with a body. What a route states
//! itself stays. Absent here: the routes.

#![expect(clippy::doc_markdown, reason = "OpenAPI is a name")]

use axum::Extension;
use axum::body::Bytes;
use axum::http::HeaderMap;
use axum::http::StatusCode;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;
use std::collections::BTreeMap;
use utoipa::PartialSchema;
use utoipa::ToSchema;
use utoipa::openapi::Components;
use utoipa::openapi::Content;
use utoipa::openapi::Info;
use utoipa::openapi::License;
use utoipa::openapi::ObjectBuilder;
use utoipa::openapi::OpenApi;
use utoipa::openapi::Ref;
use utoipa::openapi::RefOr;
use utoipa::openapi::header::HeaderBuilder;
use utoipa::openapi::path::Operation;
use utoipa::openapi::path::ParameterIn;
use utoipa::openapi::path::PathItem;
use utoipa::openapi::response::ResponseBuilder;
use utoipa::openapi::schema::Type;
use utoipa::openapi::security::SecurityRequirement;

use crate::http::access::needs;
use crate::http::conditional::EntityTag;
use crate::http::problem;
use crate::http::problem::Document;
use crate::http::query::NoQuery;

/// The description as it is served: its bytes and their tag.
#[derive(Debug, Clone)]
pub struct Published {
    bytes: Bytes,
    tag: EntityTag,
}

impl Published {
    /// Writes a description out once, for every request.
    pub fn new(description: &OpenApi) -> Self {
        // The description is made of strings and numbers, which always can be written.
        let bytes = serde_json::to_vec(description).unwrap_or_default();
        Self { tag: EntityTag::of(&bytes), bytes: bytes.into() }
    }
}

/// How long a copy of the description may be used without asking.
const CACHE: &str = "public, max-age=300";

/// This description.
///
/// OpenAPI 3.1, made from the routes that answer.
#[utoipa::path(
    get,
    path = "/openapi.json",
    tag = "operations",
    responses(
        (status = 200, description = "The description", body = serde_json::Value),
        (status = 304, description = "The client's copy is current"),
    )
)]
pub async fn get_description(
    _: NoQuery,
    headers: HeaderMap,
    Extension(published): Extension<Published>,
) -> Response {
    published.tag.answer(&headers, CACHE, || {
        ([(header::CONTENT_TYPE, "application/json")], published.bytes.clone()).into_response()
    })
}

/// What stands at the head of the description.
pub fn head() -> OpenApi {
    let mut info = Info::new("Rungwright", env!("CARGO_PKG_VERSION"));
    info.description = Some(env!("CARGO_PKG_DESCRIPTION").to_owned());
    let mut license = License::new(env!("CARGO_PKG_LICENSE"));
    license.identifier = Some(env!("CARGO_PKG_LICENSE").to_owned());
    info.license = Some(license);
    OpenApi::new(info, utoipa::openapi::Paths::new())
}

/// Adds the shared problem responses to the components and to every operation.
#[must_use]
pub fn complete(mut description: OpenApi) -> OpenApi {
    let components = description.components.get_or_insert_with(Components::new);
    let mut schemas = vec![(Document::name().into_owned(), Document::schema())];
    Document::schemas(&mut schemas);
    components.schemas.extend(schemas);
    let shared =
        SHARED.iter().map(|(status, name, text)| ((*name).to_owned(), response(*status, text)));
    components.responses.extend(shared);
    components.add_security_scheme(needs::SCHEME, needs::scheme());
    for operation in description.paths.paths.values_mut().flat_map(operations) {
        let path = has_parameter(operation, &ParameterIn::Path);
        let body = operation.request_body.is_some();
        let key = needs_key(operation);
        add(operation, |status| match status {
            401 | 403 => key,
            404 => path,
            408 | 413 | 415 | 422 => body,
            _ => true,
        });
    }
    description
}

/// Status, component name and description.
type Shared = (u16, &'static str, &'static str);

/// The shared problem responses.
const SHARED: &[Shared] = &[
    (400, "MalformedRequest", "The body is not JSON, or a query parameter is wrong or unknown"),
    (401, "KeyMissing", "No key came with the request, or it is not valid"),
    (403, "NotGranted", "The key is not good for this, or grants less than is asked"),
    (404, "NotFound", "There is no such thing"),
    (406, "NotAcceptable", "Nothing that is offered here is acceptable"),
    (408, "BodyTooSlow", "The body did not arrive in time"),
    (413, "BodyTooLarge", "The body is too large"),
    (414, "TargetTooLong", "Path and query are too long"),
    (415, "UnsupportedMediaType", "The body's media type is not understood"),
    (422, "InvalidFields", "Fields of the body are wrong; all of them are listed"),
    (429, "TooManyRequests", "Too many requests; try again after the time stated"),
    (431, "HeadersTooLarge", "The header fields are too large"),
    (500, "Internal", "The service has failed"),
    (503, "Unavailable", "The service is at a limit; try again after the time stated"),
];

fn response(status: u16, text: &str) -> RefOr<utoipa::openapi::Response> {
    let content = Content::new(Some(Ref::from_schema_name(Document::name())));
    let builder = ResponseBuilder::new().description(text).content(problem::MEDIA_TYPE, content);
    let waits = [StatusCode::SERVICE_UNAVAILABLE, StatusCode::TOO_MANY_REQUESTS];
    if !waits.iter().any(|waiting| *waiting == status) {
        return builder.build().into();
    }
    let seconds = ObjectBuilder::new().schema_type(Type::Integer).minimum(Some(0_i32));
    let header = HeaderBuilder::new().schema(Some(seconds)).description(Some("Seconds to wait"));
    builder.header("Retry-After", header.build()).build().into()
}

fn operations(path: &mut PathItem) -> impl Iterator<Item = &mut Operation> {
    let all = [&mut path.get, &mut path.post, &mut path.put, &mut path.patch, &mut path.delete];
    all.into_iter().filter_map(Option::as_mut)
}

fn has_parameter(operation: &Operation, place: &ParameterIn) -> bool {
    operation.parameters.iter().flatten().any(|parameter| match parameter {
        RefOr::T(parameter) => parameter.parameter_in == *place,
        RefOr::Ref(_) => false,
    })
}

fn needs_key(operation: &Operation) -> bool {
    let open = SecurityRequirement::default();
    !operation.security.as_ref().is_some_and(|stated| stated.contains(&open))
}

fn add<F: Fn(u16) -> bool>(operation: &mut Operation, applies: F) {
    let responses: &mut BTreeMap<_, _> = &mut operation.responses.responses;
    for (status, name, _) in SHARED.iter().filter(|(status, ..)| applies(*status)) {
        let reference = RefOr::Ref(Ref::from_response_name(*name));
        responses.entry(status.to_string()).or_insert(reference);
    }
}
