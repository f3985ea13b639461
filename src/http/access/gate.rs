//! The gate before every route: who asks, whether they may, and how often.
//!
//! 401 without a key that holds, 403 for one that is not good for the operation, 429 beyond the allowance of the key, or of
//! the address where no key holds. The allowance is told with every answer in the fields of
//! draft-ietf-httpapi-ratelimit-headers-10. Absent here: what the caller may do inside a route.

use axum::extract::MatchedPath;
use axum::extract::Request;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::HeaderName;
use axum::http::HeaderValue;
use axum::http::header;
use axum::middleware::Next;
use axum::response::IntoResponse;
use axum::response::Response;
use std::sync::Arc;
use std::time::Instant;

use crate::domain::access::Actor;
use crate::domain::access::Grant;
use crate::domain::access::PerMinute;
use crate::domain::access::Scope;
use crate::domain::access::Taken;
use crate::domain::access::WINDOW_S;
use crate::http::limits;
use crate::http::problem::Code;
use crate::http::problem::Problem;
use crate::operations::App;
use crate::operations::access::Access;
use crate::operations::access::Caller;
use crate::operations::access::Denied;
use crate::operations::access::HeldKey;

use super::client::Client;
use super::keyless::Keyless;
use super::needs::Need;
use super::needs::Needs;

/// What is in force.
pub const RATE_LIMIT_POLICY: HeaderName = HeaderName::from_static("ratelimit-policy");
/// What is left of it.
pub const RATE_LIMIT: HeaderName = HeaderName::from_static("ratelimit");

/// What the gate goes by.
#[derive(Debug, Clone)]
pub struct Gate {
    app: App,
    needs: Needs,
    keyless: Arc<Keyless>,
    started: Instant,
    nobody: Caller,
}

/// What was counted against whom.
#[derive(Debug, Clone, Copy)]
struct Counted {
    policy: &'static str,
    limit: PerMinute,
    taken: Taken,
}

/// A request that may go on.
struct Admitted {
    caller: Caller,
    counted: Option<Counted>,
}

/// A request that may not.
struct Refused {
    problem: Problem,
    /// What `WWW-Authenticate` says with it.
    challenge: Option<Box<str>>,
    counted: Option<Counted>,
}

impl Gate {
    /// A gate before the operations of these needs.
    pub fn new(app: App, needs: Needs, keyless: PerMinute) -> Self {
        let nobody = Actor { name: "nobody".into(), account: Grant::reading().account };
        Self {
            app,
            needs,
            keyless: Arc::new(Keyless::new(keyless)),
            started: Instant::now(),
            nobody: Caller::new(nobody, Grant::reading()),
        }
    }

    fn admit(&self, request: &Request) -> Result<Admitted, Refused> {
        let client = Client::of(request.extensions());
        let path = request.extensions().get::<MatchedPath>();
        let path = path.map(MatchedPath::as_str).unwrap_or_default();
        match self.needs.of(request.method(), path) {
            Some(Need::Nothing) => self.keyless(client, path),
            Some(Need::Key(scope)) => self.keyed(request, (client, scope)),
            None => {
                tracing::error!(route = path, "a route states nowhere who may use it");
                let detail = "it is not stated who may ask this, so nobody may";
                Err(Problem::new(Code::NotOpened, detail).into())
            }
        }
    }

    fn keyless(&self, client: Client, path: &str) -> Result<Admitted, Refused> {
        // Whoever watches over the process must hear whether it lives.
        let is_exempt = path.starts_with(limits::EXEMPT_PATHS);
        let counted = if is_exempt { None } else { self.count_keyless(client)? };
        Ok(Admitted { caller: self.nobody.clone(), counted })
    }

    fn keyed(
        &self,
        request: &Request,
        (client, scope): (Client, Scope),
    ) -> Result<Admitted, Refused> {
        let access = self
            .app
            .access()
            .ok_or_else(|| Refused::from(Problem::new(Code::NotReady, "no keys are loaded yet")))?;
        let shown = match shown_key(request.headers()) {
            Ok(Some(shown)) => shown,
            Ok(None) => return self.without_key(access, (client, scope)),
            Err(detail) => return Err(self.unknown(client, detail)),
        };
        let key = access.recognise(shown, self.app.now());
        let key = key.map_err(|denied| self.unknown(client, told(denied)))?;
        let counted = self.count(&key)?;
        let refused = |refused: Refused| Refused { counted: Some(counted), ..refused };
        check_scope(key.caller().grant(), scope).map_err(refused)?;
        check_origin(key.caller().grant(), request.headers())
            .map_err(|problem| refused(problem.into()))?;
        Ok(Admitted { caller: key.caller().clone(), counted: Some(counted) })
    }

    /// Only where reading is open to this machine, and only reading.
    fn without_key(
        &self,
        access: &Access,
        (client, scope): (Client, Scope),
    ) -> Result<Admitted, Refused> {
        let reader = access.reader().filter(|_| client.is_this_machine && scope == Scope::Browse);
        if let Some(reader) = reader {
            return Ok(Admitted { caller: reader.clone(), counted: None });
        }
        let counted = self.count_keyless(client)?;
        let word = scope.word();
        let detail = format!("send a key that is good for {word} as `Authorization: Bearer <key>`");
        let challenge = Some(format!("Bearer realm=\"rungwright\", scope=\"{word}\"").into());
        Err(Refused { challenge, counted, ..Problem::new(Code::KeyMissing, detail).into() })
    }

    fn unknown(&self, client: Client, detail: &'static str) -> Refused {
        let counted = match self.count_keyless(client) {
            Ok(counted) => counted,
            Err(refused) => return refused,
        };
        let challenge = Some("Bearer realm=\"rungwright\", error=\"invalid_token\"".into());
        Refused { challenge, counted, ..Problem::new(Code::KeyInvalid, detail).into() }
    }

    fn count(&self, key: &HeldKey) -> Result<Counted, Refused> {
        let limit = key.caller().grant().per_minute;
        Counted { policy: "key", limit, taken: key.take(self.at_ns()) }.granted()
    }

    /// Callers on this machine are not counted: whoever has a shell there has better ways to disturb.
    fn count_keyless(&self, client: Client) -> Result<Option<Counted>, Refused> {
        if client.is_this_machine {
            return Ok(None);
        }
        let (limit, taken) =
            (self.keyless.limit(), self.keyless.take(client.address, self.at_ns()));
        Counted { policy: "address", limit, taken }.granted().map(Some)
    }

    fn at_ns(&self) -> u64 {
        u64::try_from(self.started.elapsed().as_nanos()).unwrap_or(u64::MAX)
    }
}

/// Lets a request through with its caller beside it, or refuses it.
pub async fn check(State(gate): State<Gate>, mut request: Request, next: Next) -> Response {
    let (mut response, counted) = match gate.admit(&request) {
        Ok(Admitted { caller, counted }) => {
            request.extensions_mut().insert(caller);
            (next.run(request).await, counted)
        }
        Err(Refused { problem, challenge, counted }) => {
            let mut response = problem.into_response();
            let challenge = challenge.and_then(|text| HeaderValue::from_str(&text).ok());
            if let Some(challenge) = challenge {
                response.headers_mut().insert(header::WWW_AUTHENTICATE, challenge);
            }
            (response, counted)
        }
    };
    if let Some(counted) = counted {
        counted.tell(response.headers_mut());
    }
    response
}

impl Counted {
    fn granted(self) -> Result<Self, Refused> {
        if self.taken.is_granted {
            return Ok(self);
        }
        let (limit, wait) = (self.limit.count(), self.taken.wait_s);
        let whose = if self.policy == "key" { "this key" } else { "this address, without a key" };
        let detail = format!("{whose} may ask {limit} times a minute; wait for {wait} s");
        let problem = Problem::new(Code::TooManyRequests, detail).after(wait);
        Err(Refused { counted: Some(self), ..problem.into() })
    }

    fn tell(self, headers: &mut HeaderMap) {
        let Self { policy, limit, taken } = self;
        let in_force = format!("\"{policy}\";q={};w={WINDOW_S}", limit.count());
        let left = format!("\"{policy}\";r={};t={}", taken.remaining, taken.full_s);
        for (name, text) in [(RATE_LIMIT_POLICY, in_force), (RATE_LIMIT, left)] {
            // Digits and letters, which are always a header value.
            if let Ok(value) = HeaderValue::from_str(&text) {
                headers.insert(name, value);
            }
        }
    }
}

impl From<Problem> for Refused {
    fn from(problem: Problem) -> Self {
        Self { problem, challenge: None, counted: None }
    }
}

/// The key that a request shows, if any.
fn shown_key(headers: &HeaderMap) -> Result<Option<&str>, &'static str> {
    let mut values = headers.get_all(header::AUTHORIZATION).iter();
    let Some(value) = values.next() else { return Ok(None) };
    if values.next().is_some() {
        return Err("the request has two Authorization fields");
    }
    let bearer = "the Authorization field is not `Bearer <key>`";
    let (scheme, shown) =
        value.to_str().ok().and_then(|text| text.split_once(' ')).ok_or(bearer)?;
    if scheme.eq_ignore_ascii_case("bearer") { Ok(Some(shown.trim())) } else { Err(bearer) }
}

const fn told(denied: Denied) -> &'static str {
    match denied {
        Denied::Unknown => "the key is none of this service's",
        Denied::Revoked => "the key was revoked",
        Denied::Ended => "the key has ended; another has taken its place",
    }
}

fn check_scope(grant: &Grant, scope: Scope) -> Result<(), Refused> {
    if grant.scopes.allow(scope) {
        return Ok(());
    }
    let word = scope.word();
    let has = grant.scopes.iter().map(Scope::word).collect::<Vec<_>>().join(", ");
    let detail = format!("this needs a key that is good for {word}; this one is good for {has}");
    let challenge =
        format!("Bearer realm=\"rungwright\", error=\"insufficient_scope\", scope=\"{word}\"");
    let problem = Problem::new(Code::ScopeMissing, detail);
    Err(Refused { challenge: Some(challenge.into()), ..problem.into() })
}

/// A key that everybody can read is good only where a browser vouches for the page.
fn check_origin(grant: &Grant, headers: &HeaderMap) -> Result<(), Problem> {
    if !grant.scopes.are_publishable() {
        return Ok(());
    }
    let given = headers.get(header::ORIGIN).and_then(|value| value.to_str().ok());
    if given.is_some_and(|given| grant.origins.iter().any(|origin| origin.text() == given)) {
        return Ok(());
    }
    let detail = "a browse key is good only in requests of the web pages that it is bound to";
    Err(Problem::new(Code::OriginNotAllowed, detail))
}
