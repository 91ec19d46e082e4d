//! A request read, and its response: within limits of size and time, and with headers that keep the page to itself.

use std::time::Duration;

use http_body_util::{BodyExt, Full as Whole, LengthLimitError, Limited};
use hyper::body::{Body, Bytes, Incoming};
use hyper::header::{
    ALLOW, CACHE_CONTROL, CONNECTION, CONTENT_SECURITY_POLICY, CONTENT_TYPE, HeaderName, HeaderValue, REFERRER_POLICY,
    RETRY_AFTER, X_CONTENT_TYPE_OPTIONS,
};
use hyper::{Request, Response, StatusCode};
use tokio::sync::{Notify, Semaphore};
use tokio::time::timeout;

use super::answers::{Answers, Full};
use super::gate::{Closed, Gate, Route};
use crate::page::{self, Document};

/// The largest body of a request, bytes.
const LARGEST_BODY: usize = 4 * 1024 * 1024;
/// Bodies that are read at once at most, so that they stay within memory.
const MOST_BODIES: usize = 8;
/// Time for a body.
const BODY_WITHIN: Duration = Duration::from_secs(20);

/// Headers of every response.
const ALWAYS: [(HeaderName, &str); 5] = [
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (REFERRER_POLICY, "no-referrer"),
    (CACHE_CONTROL, "no-store"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
];

/// Responds to requests.
pub(super) struct Service {
    gate: Gate,
    answers: Answers,
    page: Document,
    bodies: Semaphore,
    end: Notify,
}

type Response_ = Response<Whole<Bytes>>;

impl Service {
    pub(super) fn new(gate: Gate, answers: Answers) -> Self {
        Self { gate, answers, page: page::served(), bodies: Semaphore::new(MOST_BODIES), end: Notify::new() }
    }

    /// Told when the page asks the server to end.
    pub(super) fn end(&self) -> &Notify {
        &self.end
    }

    /// Responds to one request.
    pub(super) async fn respond(&self, request: Request<Incoming>) -> Response_ {
        let mut response = match self.gate.let_in(request.method(), request.uri().path(), request.headers()) {
            Err(Closed { status, why }) => said(status, why),
            Ok(Route::Page) => self.page(),
            Ok(Route::Answer) => self.answer(request.into_body()).await,
            Ok(Route::End) => {
                self.end.notify_one();
                said(StatusCode::OK, "stopwright has ended")
            }
        };
        for (name, value) in ALWAYS {
            response.headers_mut().insert(name, HeaderValue::from_static(value));
        }
        response
    }

    fn page(&self) -> Response_ {
        let mut response = with_type(StatusCode::OK, "text/html; charset=utf-8", self.page.html.clone().into());
        match HeaderValue::from_str(&self.page.policy) {
            Ok(policy) => {
                response.headers_mut().insert(CONTENT_SECURITY_POLICY, policy);
                response
            }
            // Without its policy the page is not to be shown.
            Err(_) => said(StatusCode::INTERNAL_SERVER_ERROR, "the page has no policy"),
        }
    }

    async fn answer(&self, body: Incoming) -> Response_ {
        if body.size_hint().lower() > LARGEST_BODY as u64 {
            return closing(said(StatusCode::PAYLOAD_TOO_LARGE, "this is more than 4 MiB"));
        }
        let Ok(_room) = self.bodies.try_acquire() else { return busy() };
        let request = match timeout(BODY_WITHIN, Limited::new(body, LARGEST_BODY).collect()).await {
            Err(_) => return closing(said(StatusCode::REQUEST_TIMEOUT, "the request took too long to arrive")),
            Ok(Err(e)) if e.is::<LengthLimitError>() => {
                return closing(said(StatusCode::PAYLOAD_TOO_LARGE, "this is more than 4 MiB"));
            }
            Ok(Err(_)) => return closing(said(StatusCode::BAD_REQUEST, "the request did not arrive whole")),
            Ok(Ok(whole)) => whole.to_bytes().to_vec(),
        };
        match self.answers.ask(request) {
            Err(Full) => busy(),
            Ok(answer) => match answer.await {
                Ok(bytes) => with_type(StatusCode::OK, "application/octet-stream", bytes.into()),
                Err(_) => said(StatusCode::INTERNAL_SERVER_ERROR, "there is no answer"),
            },
        }
    }
}

/// What the queue cannot take may be asked again.
fn busy() -> Response_ {
    let mut response = said(StatusCode::SERVICE_UNAVAILABLE, "too much is asked at once: ask again");
    response.headers_mut().insert(RETRY_AFTER, HeaderValue::from_static("1"));
    response
}

/// The same, after which the connection is closed: the rest of the body is not waited for.
fn closing(mut response: Response_) -> Response_ {
    response.headers_mut().insert(CONNECTION, HeaderValue::from_static("close"));
    response
}

/// A status with a few words.
fn said(status: StatusCode, words: &'static str) -> Response_ {
    let mut response = with_type(status, "text/plain; charset=utf-8", words.into());
    if status == StatusCode::METHOD_NOT_ALLOWED {
        response.headers_mut().insert(ALLOW, HeaderValue::from_static("GET, HEAD, POST"));
    }
    response
}

fn with_type(status: StatusCode, media: &'static str, body: Bytes) -> Response_ {
    let mut response = Response::new(Whole::new(body));
    *response.status_mut() = status;
    response.headers_mut().insert(CONTENT_TYPE, HeaderValue::from_static(media));
    response
}
