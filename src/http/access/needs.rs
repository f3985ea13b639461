//! What each operation needs, from the one place where it is stated: the description.

use axum::http::Method;
use std::collections::BTreeMap;
use std::sync::Arc;
use utoipa::openapi::OpenApi;
use utoipa::openapi::path::Operation;
use utoipa::openapi::path::PathItem;
use utoipa::openapi::security::HttpAuthScheme;
use utoipa::openapi::security::HttpBuilder;
use utoipa::openapi::security::SecurityRequirement;
use utoipa::openapi::security::SecurityScheme;
use utoipa_axum::router::OpenApiRouter;

use crate::domain::access::Scope;
use crate::operations::App;

/// What a caller needs for an operation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Need {
    /// Nothing: what must be known before there is a key.
    Nothing,
    /// A key that is good for this.
    Key(Scope),
}

/// Name of the security scheme in the description.
pub const SCHEME: &str = "key";

/// Some routes with what each of them needs. Routes that state it already keep it.
///
/// A route registered without this is described without it, fails a test, and is closed to everybody.
pub fn needing(need: Need, mut routes: OpenApiRouter<App>) -> OpenApiRouter<App> {
    let requirement = match need {
        Need::Nothing => SecurityRequirement::default(),
        Need::Key(scope) => SecurityRequirement::new(SCHEME, [scope.word()]),
    };
    for operation in routes.get_openapi_mut().paths.paths.values_mut().flat_map(operations_mut) {
        operation.security.get_or_insert_with(|| vec![requirement.clone()]);
    }
    routes
}

/// The security scheme as it is published.
pub fn scheme() -> SecurityScheme {
    let text = "A key of the service as a bearer token. `browse` keys begin with `rwpub_` and are bound to the origins of web \
                pages; all others begin with `rwkey_`, are secret, and may browse as well. The scopes that an operation \
                needs stand with it: browse, quote, catalogue, operate.";
    let scheme = HttpBuilder::new().scheme(HttpAuthScheme::Bearer).bearer_format("opaque");
    SecurityScheme::Http(scheme.description(Some(text)).build())
}

/// Method and route template of an operation.
type OperationKey = (String, String);

/// What every operation of a description needs.
#[derive(Debug, Clone, Default)]
pub struct Needs(Arc<BTreeMap<OperationKey, Need>>);

impl Needs {
    /// Reads them from a description.
    pub fn read(description: &OpenApi) -> Self {
        let mut needs = BTreeMap::new();
        for (path, methods) in &description.paths.paths {
            let stated = operations(methods).filter_map(|(method, operation)| {
                Some(((method.to_string(), path.clone()), need_of(operation)?))
            });
            needs.extend(stated);
        }
        Self(Arc::new(needs))
    }

    /// What an operation needs; nothing is known of one that does not state it.
    pub fn of(&self, method: &Method, path: &str) -> Option<Need> {
        // HEAD is answered by the route of GET.
        let method = if method == Method::HEAD { &Method::GET } else { method };
        self.0.get(&(method.to_string(), path.to_owned())).copied()
    }

    /// Methods of a path that a web page may use.
    pub fn methods_for_pages(&self, path: &str) -> Vec<&str> {
        let is_for_pages = |need: Need| need == Need::Nothing || need == Need::Key(Scope::Browse);
        let of_path = self.0.iter().filter(|((_, own), need)| own == path && is_for_pages(**need));
        of_path.map(|((method, _), _)| method.as_str()).collect()
    }
}

/// What an operation states; nothing when it states something that is not of ours.
fn need_of(operation: &Operation) -> Option<Need> {
    let [requirement] = operation.security.as_deref()? else { return None };
    let stated = serde_json::to_value(requirement).ok()?;
    let stated = stated.as_object()?;
    if stated.is_empty() {
        return Some(Need::Nothing);
    }
    let scopes = stated.get(SCHEME)?.as_array()?;
    let [scope] = scopes.as_slice() else { return None };
    Scope::parse(scope.as_str()?).map(Need::Key)
}

fn operations(methods: &PathItem) -> impl Iterator<Item = (Method, &Operation)> {
    let all = [
        (Method::GET, &methods.get),
        (Method::POST, &methods.post),
        (Method::PUT, &methods.put),
        (Method::PATCH, &methods.patch),
        (Method::DELETE, &methods.delete),
    ];
    all.into_iter().filter_map(|(method, found)| found.as_ref().map(|found| (method, found)))
}

fn operations_mut(methods: &mut PathItem) -> impl Iterator<Item = &mut Operation> {
    let PathItem { get, post, put, patch, delete, .. } = methods;
    [get, post, put, patch, delete].into_iter().filter_map(Option::as_mut)
}
