//! Which requests are let in.
//!
//! Any page of the web may send requests to this computer, and any name may be pointed at its loopback address; a page that
//! was opened with the token is the only one that gets an answer.

use hyper::header::{HOST, ORIGIN};
use hyper::{HeaderMap, Method, StatusCode};

/// What a request that is let in asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Route {
    /// The page.
    Page,
    /// An answer.
    Answer,
    /// The end of the server.
    End,
}

/// Why a request is not let in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Closed {
    /// The status that says so.
    pub(super) status: StatusCode,
    /// Why, in words.
    pub(super) why: &'static str,
}

/// What a request must know.
#[derive(Debug, Clone)]
pub(super) struct Gate {
    /// The port.
    pub(super) port: u16,
    /// The token.
    pub(super) token: String,
}

/// Header in which browsers say where a request comes from.
const FETCH_SITE: &str = "sec-fetch-site";

impl Gate {
    /// The address of the page.
    pub(super) fn address(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.port, self.token)
    }

    /// What a request asks for.
    ///
    /// # Errors
    /// Why it is not let in.
    pub(super) fn let_in(&self, method: &Method, path: &str, headers: &HeaderMap) -> Result<Route, Closed> {
        let closed = |status, why| Err(Closed { status, why });
        let hosts = [format!("127.0.0.1:{}", self.port), format!("[::1]:{}", self.port)];
        let host = sole(headers, HOST.as_str());
        let Some(host) = hosts.iter().find(|ours| Some(ours.as_str()) == host) else {
            return closed(StatusCode::MISDIRECTED_REQUEST, "this address is not the one that was opened");
        };
        let parts: Vec<&str> = path.strip_prefix('/').unwrap_or_default().split('/').collect();
        let [token, what] = parts[..] else {
            return closed(StatusCode::FORBIDDEN, "open the whole address that stopwright printed");
        };
        if !same(token.as_bytes(), self.token.as_bytes()) {
            return closed(StatusCode::FORBIDDEN, "open the address that stopwright printed when it was last started");
        }
        // Navigation has no origin; everything else must come from the page itself.
        if headers.get_all(FETCH_SITE).iter().any(|site| !matches!(site.as_bytes(), b"same-origin" | b"none")) {
            return closed(StatusCode::FORBIDDEN, "another page asks");
        }
        match (method, what) {
            (&Method::GET | &Method::HEAD, "") => Ok(Route::Page),
            (&Method::POST, "answer" | "end") => {
                if sole(headers, ORIGIN.as_str()) != Some(&format!("http://{host}")) {
                    return closed(StatusCode::FORBIDDEN, "another page asks");
                }
                Ok(if what == "answer" { Route::Answer } else { Route::End })
            }
            (_, "" | "answer" | "end") => closed(StatusCode::METHOD_NOT_ALLOWED, "not so"),
            _ => closed(StatusCode::NOT_FOUND, "there is nothing here"),
        }
    }
}

/// The value of a header that stands there once.
fn sole<'h>(headers: &'h HeaderMap, name: &str) -> Option<&'h str> {
    let mut all = headers.get_all(name).iter();
    let first = all.next()?.to_str().ok()?;
    all.next().is_none().then_some(first)
}

/// Whether two texts are the same, in a time that does not tell where they differ.
fn same(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0, |differs, (a, b)| differs | (a ^ b)) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gate() -> Gate {
        Gate { port: 4711, token: "0123456789abcdef".into() }
    }

    fn headers(all: &[(&'static str, &'static str)]) -> HeaderMap {
        let mut headers = HeaderMap::new();
        for (name, value) in all {
            headers.append(*name, value.parse().expect("a header"));
        }
        headers
    }

    const OURS: [(&str, &str); 2] = [("host", "127.0.0.1:4711"), ("origin", "http://127.0.0.1:4711")];

    #[test]
    fn the_page_itself_is_let_in() {
        let let_in = |method, path, all: &[_]| gate().let_in(&method, path, &headers(all));
        assert_eq!(let_in(Method::GET, "/0123456789abcdef/", &OURS[..1]), Ok(Route::Page));
        assert_eq!(let_in(Method::POST, "/0123456789abcdef/answer", &OURS), Ok(Route::Answer));
        let sixth = [("host", "[::1]:4711"), ("origin", "http://[::1]:4711")];
        assert_eq!(let_in(Method::POST, "/0123456789abcdef/end", &sixth), Ok(Route::End));
    }

    #[test]
    fn nobody_else_is() {
        let status = |method: Method, path: &str, all: &[_]| {
            gate().let_in(&method, path, &headers(all)).expect_err("closed").status.as_u16()
        };
        let answer = "/0123456789abcdef/answer";
        // A name that was pointed at the loopback address, another port, no host, two of them.
        for host in ["evil.example:4711", "localhost:4711", "127.0.0.1", "127.0.0.1:80"] {
            assert_eq!(status(Method::GET, "/0123456789abcdef/", &[("host", host)]), 421, "{host}");
        }
        assert_eq!(status(Method::GET, "/0123456789abcdef/", &[]), 421);
        assert_eq!(status(Method::GET, "/0123456789abcdef/", &[OURS[0], OURS[0]]), 421);
        // No token, a stale one, one that is too short or too long.
        for path in ["/", "/answer", "/ffffffffffffffff/", "/0123456789abcde/", "/0123456789abcdef0/", "//"] {
            assert_eq!(status(Method::GET, path, &OURS[..1]), 403, "{path}");
        }
        // Another page's origin, none at all, another page's frame or image.
        assert_eq!(status(Method::POST, answer, &OURS[..1]), 403);
        for origin in ["null", "http://evil.example", "https://127.0.0.1:4711", "http://127.0.0.1:4712"] {
            assert_eq!(status(Method::POST, answer, &[OURS[0], ("origin", origin)]), 403, "{origin}");
        }
        assert_eq!(status(Method::POST, answer, &[OURS[0], OURS[1], ("sec-fetch-site", "cross-site")]), 403);
        assert_eq!(status(Method::GET, "/0123456789abcdef/", &[OURS[0], ("sec-fetch-site", "cross-site")]), 403);
        // Nothing else is there.
        assert_eq!(status(Method::GET, "/0123456789abcdef/../etc", &OURS[..1]), 403);
        assert_eq!(status(Method::GET, "/0123456789abcdef/passwd", &OURS[..1]), 404);
        assert_eq!(status(Method::GET, answer, &OURS), 405);
        assert_eq!(status(Method::PUT, answer, &OURS), 405);
    }
}
