//! The page: one document, put together of the files beside this one, in two bodies. Served, it asks the server that it came
//! from; standalone, it has the library in itself and works from disk.
//!
//! `index.html` is the page as it is written, with its style and scripts in files of their own; here they are put into it,
//! and a policy is made that lets nothing else in.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

/// The page and the content security policy that it is to have.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Document {
    /// The page.
    pub html: String,
    /// The policy, as the header's value.
    pub policy: String,
}

/// The line of the page that its policy stands below.
const CHARSET: &str = "<meta charset=\"utf-8\">";

const PAGE: &str = include_str!("index.html");
const STYLE: &str = include_str!("style.css");
const WORKER: &str = include_str!("worker.js");

/// The scripts in their order, by the names that the page has them by.
const SCRIPTS: &[(&str, &str)] = &[
    ("answerer.js", include_str!("answerer.js")),
    ("dom.js", include_str!("dom.js")),
    ("bench.js", include_str!("bench.js")),
    ("fields.js", include_str!("fields.js")),
    ("shown.js", include_str!("shown.js")),
    ("model.js", include_str!("model.js")),
    ("guide.js", include_str!("guide.js")),
    ("blades.js", include_str!("blades.js")),
    ("block.js", include_str!("block.js")),
    ("proof.js", include_str!("proof.js")),
    ("stones.js", include_str!("stones.js")),
    ("app.js", include_str!("app.js")),
];

/// The page as `stopwright page` serves it.
pub fn served() -> Document {
    let policy = |scripts: &str, style: &str| {
        format!(
            "default-src 'none'; script-src {scripts}; style-src {style}; img-src blob: data:; connect-src 'self'; \
             base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
        )
    };
    put_together("", policy)
}

/// The page with the library in itself, as a text that the worker reads.
pub fn standalone(library: &str) -> Document {
    let library = format!(
        "<script type=\"application/octet-stream\" id=\"library\">{library}</script>\n<script type=\"text/plain\" id=\"worker\">\n{}</script>\n",
        inline(WORKER),
    );
    let policy = |scripts: &str, style: &str| {
        format!(
            "default-src 'none'; script-src {scripts} 'wasm-unsafe-eval'; style-src {style}; img-src blob: data:; \
             worker-src blob:; connect-src 'none'; base-uri 'none'; form-action 'none'"
        )
    };
    let document = put_together(&library, policy);
    // Browsers look for the encoding in the first 1024 bytes, which a policy alone can fill.
    let meta = format!("{CHARSET}\n<meta http-equiv=\"Content-Security-Policy\" content=\"{}\">", document.policy);
    let html = document.html.replacen(CHARSET, &meta, 1);
    Document { html, ..document }
}

/// The page with everything in it; `before` stands before the first script.
fn put_together(before: &str, policy: impl Fn(&str, &str) -> String) -> Document {
    let style = format!("\n{}", inline(STYLE));
    let mut html = PAGE.replacen("<link rel=\"stylesheet\" href=\"style.css\">", &format!("<style>{style}</style>"), 1);
    let mut hashes = Vec::new();
    for (i, (name, script)) in SCRIPTS.iter().enumerate() {
        let content = format!("\n{}", inline(script));
        hashes.push(hash(&content));
        let before = if i == 0 { before } else { "" };
        let tag = format!("<script src=\"{name}\"></script>");
        html = html.replacen(&tag, &format!("{before}<script>{content}</script>"), 1);
    }
    Document { html, policy: policy(&hashes.join(" "), &hash(&style)) }
}

/// A script or a style as it may stand in a page: nothing in it ends the element that it stands in. In a text and in a
/// pattern, where alone these can be, they still mean the same.
fn inline(content: &str) -> String {
    content.replace("</", "<\\/").replace("<!--", "<\\!--")
}

/// What a policy names an inline block by.
fn hash(content: &str) -> String {
    format!("'sha256-{}'", STANDARD.encode(Sha256::digest(content)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The inline blocks of a page: what stands between the tags `open` and `close`.
    fn blocks<'h>(html: &'h str, open: &str, close: &str) -> Vec<&'h str> {
        html.split(open).skip(1).filter_map(|rest| rest.split(close).next()).collect()
    }

    #[test]
    fn every_script_and_style_is_in_the_policy() {
        for document in [served(), standalone("a library")] {
            let scripts = blocks(&document.html, "<script>", "</script>");
            assert_eq!(scripts.len(), SCRIPTS.len());
            for block in scripts.into_iter().chain(blocks(&document.html, "<style>", "</style>")) {
                assert!(document.policy.contains(&hash(block)), "a block is not in the policy");
            }
            for away in [" src=\"", " href=\"style", "javascript:", " onclick", " style=\"", "unsafe-inline"] {
                assert!(!document.html.contains(away), "the page has {away}");
            }
        }
    }

    #[test]
    fn the_library_and_its_policy_are_in_the_standalone_page() {
        let document = standalone("a library");
        let data = blocks(&document.html, "<script type=\"application/octet-stream\" id=\"library\">", "</script>");
        assert_eq!(data, ["a library"]);
        let worker = blocks(&document.html, "<script type=\"text/plain\" id=\"worker\">\n", "</script>");
        assert_eq!(worker, [inline(WORKER)]);
        let [policy] = blocks(&document.html, "<meta http-equiv=\"Content-Security-Policy\" content=\"", "\">")[..]
        else {
            panic!("no policy, or several");
        };
        assert_eq!(policy, document.policy);
        assert!(policy.contains("connect-src 'none'") && !policy.contains('"'));
        let at = |words: &str| document.html.find(words).expect("it is there");
        assert!(at(CHARSET) < 1000 && at(CHARSET) < at(policy));
        assert!(at(policy) < at("<style>") && at("id=\"library\"") < at("<script>"));
        assert!(!served().html.contains("id=\"library\""));
    }

    #[test]
    fn nothing_ends_the_element_that_it_stands_in() {
        let content = inline("const a = '</script><!--</SCRIPT>', b = /<\\/style/;");
        assert_eq!(content, "const a = '<\\/script><\\!--<\\/SCRIPT>', b = /<\\/style/;");
    }

    /// All of our own script together is below 60 kB.
    #[test]
    fn scripts_are_short() {
        let size: usize = SCRIPTS.iter().map(|(_, script)| script.len()).sum::<usize>() + WORKER.len();
        assert!(size < 60_000, "{size} bytes of script");
    }
}
