//! Refusals for want of time or room, and before and after the service is ready.

use axum::body::Body;
use axum::body::Bytes;
use axum::body::HttpBody;
use axum::http::Request;
use hyper::body::Frame;
use rungwright::http::limits::Limits;
use rungwright::http::routes;
use rungwright::operations::App;
use rungwright::operations::Readiness;
use std::convert::Infallible;
use std::pin::Pin;
use std::task::Context;
use std::task::Poll;
use std::time::Duration;

use crate::service::ask_of;
use crate::service::post;
use crate::service::registry;

#[tokio::test]
async fn an_answer_that_takes_too_long() {
    let limits = Limits { request_time_out: Duration::from_millis(100), ..Limits::default() };
    let service = routes::assemble(registry(), App::default(), &limits);
    insta::assert_snapshot!(ask_of(service, Request::get("/slow"), Body::empty()).await.told(), @r#"
    503 Service Unavailable
    content-type: application/problem+json
    retry-after: 1
    x-request-id: test
    {
      "type": "/problems/timed-out",
      "title": "The answer took too long",
      "status": 503,
      "detail": "there was no answer within 0.1 s",
      "instance": "test",
      "code": "timed-out"
    }
    "#);
}

#[tokio::test]
async fn more_requests_at_once_than_there_are_places() {
    let limits = Limits { requests_at_once_max: 1, ..Limits::default() };
    let service = routes::assemble(registry(), App::default(), &limits);
    let slow = tokio::spawn(ask_of(service.clone(), Request::get("/slow"), Body::empty()));
    tokio::time::sleep(Duration::from_millis(100)).await;
    let shed = ask_of(service.clone(), Request::get("/picture"), Body::empty()).await;
    insta::assert_snapshot!(shed.told(), @r#"
    503 Service Unavailable
    content-type: application/problem+json
    retry-after: 1
    x-request-id: test
    {
      "type": "/problems/overloaded",
      "title": "The service is at its limit",
      "status": 503,
      "detail": "more requests are in work than the service takes at once; try again",
      "instance": "test",
      "code": "overloaded"
    }
    "#);
    let live = ask_of(service.clone(), Request::get("/health/live"), Body::empty()).await;
    assert_eq!(live.status, 200);
    assert_eq!(slow.await.unwrap().status, 200);
    let later = ask_of(service, Request::get("/picture"), Body::empty()).await;
    assert_eq!(later.status, 200);
}

#[tokio::test]
async fn a_body_that_does_not_arrive() {
    let never = Body::new(Stalled);
    insta::assert_snapshot!(post(never).await.told(), @r#"
    408 Request Timeout
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/body-too-slow",
      "title": "The body did not arrive in time",
      "status": 408,
      "detail": "the body did not arrive within 5 s",
      "instance": "test",
      "code": "body-too-slow"
    }
    "#);
}

/// A body that has begun and does not go on.
struct Stalled;

impl HttpBody for Stalled {
    type Data = Bytes;
    type Error = Infallible;

    fn poll_frame(
        self: Pin<&mut Self>,
        _context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Self::Data>, Self::Error>>> {
        Poll::Pending
    }
}

#[tokio::test]
async fn a_service_that_is_not_ready() {
    let app = App::default();
    let service = routes::assemble(registry(), app.clone(), &Limits::default());
    let starting = ask_of(service.clone(), Request::get("/health/ready"), Body::empty()).await;
    insta::assert_snapshot!(starting.told(), @r#"
    503 Service Unavailable
    content-type: application/problem+json
    retry-after: 1
    x-request-id: test
    {
      "type": "/problems/not-ready",
      "title": "The service is not ready",
      "status": 503,
      "detail": "the service is starting",
      "instance": "test",
      "code": "not-ready"
    }
    "#);
    app.advance(Readiness::Ready);
    let ready = ask_of(service.clone(), Request::get("/health/ready"), Body::empty()).await;
    assert_eq!(
        ready.told(),
        "200 OK\ncontent-type: application/json\nx-request-id: test\n{\n  \"status\": \"ok\"\n}"
    );
    app.advance(Readiness::Draining);
    let draining = ask_of(service, Request::get("/health/ready"), Body::empty()).await;
    assert_eq!(draining.json()["detail"], "the service is shutting down");
}
