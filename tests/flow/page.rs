//! The page, served: who is let in, and how it ends. What is on it is driven in a browser by `tests/page/run`.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::process::{Child, Stdio};

use super::support::{program, refusal};

/// A server, and the port and path of its page.
struct Served {
    child: Child,
    port: u16,
    path: String,
}

impl Served {
    fn start() -> Self {
        let mut child = program().args(["page", "--no-browser"]).stdout(Stdio::piped()).spawn().unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let address = lines
            .map_while(Result::ok)
            .find_map(|line| line.trim().strip_prefix("http://127.0.0.1:").map(String::from));
        let (port, path) = address
            .as_deref()
            .and_then(|at| at.split_once('/'))
            .map(|(port, path)| (port.to_string(), path.to_string()))
            .expect("an address");
        Self { child, port: port.parse().unwrap(), path: format!("/{path}") }
    }

    /// The response to a request with these lines before its body.
    fn sent(&self, first: &str, headers: &[&str], body: &str) -> String {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        let length = format!("Content-Length: {}", body.len());
        let lines = [&[first], headers, &[&length, "Connection: close", "", ""]].concat();
        stream.write_all((lines.join("\r\n") + body).as_bytes()).unwrap();
        let mut said = Vec::new();
        stream.read_to_end(&mut said).unwrap();
        String::from_utf8_lossy(&said).into_owned()
    }

    fn asked(&self, what: &str, body: &str) -> String {
        let [host, origin] =
            [format!("Host: 127.0.0.1:{}", self.port), format!("Origin: http://127.0.0.1:{}", self.port)];
        self.sent(&format!("POST {}{what} HTTP/1.1", self.path), &[&host, &origin], body)
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
    }
}

#[test]
fn the_page_is_served_and_ends_when_asked() {
    let mut served = Served::start();
    let host = format!("Host: 127.0.0.1:{}", served.port);
    let page = served.sent(&format!("GET {} HTTP/1.1", served.path), &[&host], "");
    assert!(page.starts_with("HTTP/1.1 200") && page.contains("<title>Stopwright"), "{page:.300}");
    assert!(page.contains("content-security-policy: default-src 'none'"), "{page:.600}");
    let answer = served.asked("answer", r#"{"want":"guide"}"#);
    assert!(answer.starts_with("HTTP/1.1 200") && answer.contains(r#"{"reply":{"guide""#), "{answer:.300}");
    assert!(served.asked("end", "").starts_with("HTTP/1.1 200"));
    assert_eq!(served.child.wait().unwrap().code(), Some(0));
}

#[test]
fn who_has_no_token_or_comes_from_elsewhere_gets_nothing() {
    let served = Served::start();
    let host = format!("Host: 127.0.0.1:{}", served.port);
    let status = |first: &str, headers: &[&str]| served.sent(first, headers, "{}")[9..12].to_string();
    let answer = format!("POST {}answer HTTP/1.1", served.path);
    assert_eq!(status("GET / HTTP/1.1", &[&host]), "403");
    assert_eq!(status(&answer, &[&host, "Origin: http://evil.example"]), "403");
    assert_eq!(status(&answer, &["Host: evil.example"]), "421");
    assert_eq!(status(&format!("GET {}../../etc/passwd HTTP/1.1", served.path), &[&host]), "403");
}

#[test]
fn a_port_that_is_taken_is_told() {
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    let said = refusal(&["page", "--no-browser", "--port", &port]);
    assert!(said.contains(&format!("port {port} of this computer")), "{said}");
}
