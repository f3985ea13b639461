//! Which media type an answer has, by the request's `Accept` (RFC 9110 12.5.1).
//!
//! What an operation offers is read from the published description, so 406 is answered exactly when nothing that is
//! documented is acceptable. Absent here: languages and encodings. A problem document is sent whatever is accepted.

use axum::extract::MatchedPath;
use axum::extract::Request;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Method;
use axum::http::header;
use axum::middleware::Next;
use axum::response::IntoResponse;
use axum::response::Response;
use std::collections::BTreeMap;
use std::sync::Arc;
use utoipa::openapi::OpenApi;
use utoipa::openapi::RefOr;
use utoipa::openapi::path::Operation;
use utoipa::openapi::path::PathItem;

use crate::http::problem;
use crate::http::problem::Code;
use crate::http::problem::Problem;

/// Method and route template of an operation.
type OperationKey = (String, String);

type MediaTypes = Vec<String>;

/// The media types that each operation documents.
#[derive(Debug, Clone, Default)]
pub struct Offers {
    media_types: Arc<BTreeMap<OperationKey, MediaTypes>>,
}

impl Offers {
    /// Reads them from a description.
    pub fn read(description: &OpenApi) -> Self {
        let mut offers = BTreeMap::new();
        for (path, methods) in &description.paths.paths {
            for (method, operation) in operations(methods) {
                offers.insert((method.to_string(), path.clone()), media_types(operation));
            }
        }
        Self { media_types: Arc::new(offers) }
    }

    fn of(&self, method: &Method, path: &str) -> &[String] {
        // HEAD is answered by the route of GET.
        let method = if method == Method::HEAD { &Method::GET } else { method };
        let key = (method.to_string(), path.to_owned());
        self.media_types.get(&key).map(Vec::as_slice).unwrap_or_default()
    }
}

/// The operations of a path that this service uses, with their methods.
fn operations(methods: &PathItem) -> impl Iterator<Item = (Method, &Operation)> {
    let all = [
        (Method::GET, &methods.get),
        (Method::POST, &methods.post),
        (Method::PUT, &methods.put),
        (Method::PATCH, &methods.patch),
        (Method::DELETE, &methods.delete),
    ];
    all.into_iter()
        .filter_map(|(method, operation)| operation.as_ref().map(|found| (method, found)))
}

/// Media types of the answers that are not problems.
fn media_types(operation: &Operation) -> MediaTypes {
    let mut types = Vec::new();
    for response in operation.responses.responses.values() {
        let RefOr::T(response) = response else { continue };
        let named = response.content.keys().filter(|name| *name != problem::MEDIA_TYPE);
        types.extend(named.cloned());
    }
    types.dedup();
    types
}

/// Answers 406 when the client accepts nothing that the operation offers.
pub async fn check(State(offers): State<Offers>, request: Request, next: Next) -> Response {
    let offered = match request.extensions().get::<MatchedPath>() {
        Some(path) => offers.of(request.method(), path.as_str()),
        None => &[],
    };
    if offered.is_empty() || choose(request.headers(), offered).is_some() {
        return next.run(request).await;
    }
    let detail = format!("this address answers with {}", offered.join(", "));
    Problem::new(Code::NotAcceptable, detail).into_response()
}

/// Media type of a drawing.
const DRAWING: &str = "image/svg+xml";

/// Whether the client likes a drawing better than JSON.
pub fn wants_drawing(headers: &HeaderMap) -> bool {
    choose(headers, &["application/json", DRAWING]) == Some(&DRAWING)
}

/// A drawing as an answer.
pub fn drawing(svg: String) -> Response {
    ([(header::CONTENT_TYPE, DRAWING)], svg).into_response()
}

/// The offered media type that the client likes best; the first offered among equals. None when none is acceptable.
///
/// ```
/// use axum::http::{HeaderMap, header};
/// use rungwright::http::negotiation::choose;
/// let offered = ["application/json", "image/svg+xml"];
/// let mut headers = HeaderMap::new();
/// // No wish is any wish.
/// assert_eq!(choose(&headers, &offered), Some(&"application/json"));
/// headers.insert(header::ACCEPT, "image/*, application/json;q=0.5".parse().unwrap());
/// assert_eq!(choose(&headers, &offered), Some(&"image/svg+xml"));
/// headers.insert(header::ACCEPT, "*/*, application/json;q=0".parse().unwrap());
/// assert_eq!(choose(&headers, &offered), Some(&"image/svg+xml"));
/// ```
pub fn choose<'a, T: AsRef<str>>(headers: &HeaderMap, offered: &'a [T]) -> Option<&'a T> {
    let wishes = wishes(headers);
    if wishes.is_empty() {
        return offered.first();
    }
    let rated = offered.iter().map(|media_type| (weight(&wishes, media_type.as_ref()), media_type));
    let mut best: Option<(u16, &T)> = None;
    for (weight, media_type) in rated.filter(|(weight, _)| *weight > 0) {
        if best.is_none_or(|(so_far, _)| so_far < weight) {
            best = Some((weight, media_type));
        }
    }
    best.map(|(_, media_type)| media_type)
}

/// A media range in lower case and its weight in thousandths.
type Wish = (String, u16);

/// Weight of a wish without one.
const WEIGHT_MAX: u16 = 1000;

fn wishes(headers: &HeaderMap) -> Vec<Wish> {
    let values = headers.get_all(header::ACCEPT).iter().filter_map(|value| value.to_str().ok());
    values.flat_map(|text| text.split(',')).filter_map(parse_wish).collect()
}

fn parse_wish(text: &str) -> Option<Wish> {
    let mut parts = text.split(';').map(str::trim);
    let range = parts.next().filter(|range| !range.is_empty())?.to_ascii_lowercase();
    let quality =
        parts.find_map(|part| part.strip_prefix("q=").or_else(|| part.strip_prefix("Q=")));
    let weight = quality.map_or(Some(WEIGHT_MAX), parse_thousandths)?;
    Some((range, weight))
}

/// `0.5` as 500; nothing for what is not a weight.
fn parse_thousandths(text: &str) -> Option<u16> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    if fraction.len() > 3 || whole.len() != 1 {
        return None;
    }
    format!("{whole}{fraction:0<3}").parse().ok().filter(|weight| *weight <= WEIGHT_MAX)
}

/// Weight of the most specific range that covers a media type.
fn weight(wishes: &[Wish], media_type: &str) -> u16 {
    let family = media_type.split_once('/').map(|(family, _)| format!("{family}/*"));
    let ranges = [Some(media_type.to_owned()), family, Some("*/*".to_owned())];
    let found = ranges.into_iter().flatten().find_map(|range| {
        wishes.iter().find(|(wished, _)| *wished == range).map(|(_, weight)| *weight)
    });
    found.unwrap_or(0)
}
