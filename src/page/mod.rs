//! The page: one document, put together of the files beside this one. It asks the server that it came from.
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

const PAGE: &str = include_str!("index.html");
const STYLE: &str = include_str!("style.css");

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
    let mut html =
        PAGE.replacen("<link rel=\"stylesheet\" href=\"style.css\">", &format!("<style>\n{STYLE}</style>"), 1);
    let mut scripts = Vec::new();
    for (name, script) in SCRIPTS {
        let content = format!("\n{}", inline(script));
        scripts.push(hash(&content));
        let tag = format!("<script src=\"{name}\"></script>");
        html = html.replacen(&tag, &format!("<script>{content}</script>"), 1);
    }
    let policy = format!(
        "default-src 'none'; script-src {}; style-src {}; img-src blob:; connect-src 'self'; base-uri 'none'; \
         form-action 'none'; frame-ancestors 'none'",
        scripts.join(" "),
        hash(&format!("\n{STYLE}"))
    );
    Document { html, policy }
}

/// A script as it may stand in a page: nothing in it ends the element that it stands in.
fn inline(script: &str) -> String {
    script.replace("</script", "<\\/script").replace("<!--", "<\\!--")
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
        let document = served();
        let scripts = blocks(&document.html, "<script>", "</script>");
        assert_eq!(scripts.len(), SCRIPTS.len());
        for block in scripts.into_iter().chain(blocks(&document.html, "<style>", "</style>")) {
            assert!(document.policy.contains(&hash(block)), "a block is not in the policy");
        }
        for away in [" src=\"", " href=\"style", "javascript:", " onclick", " style=\"", "unsafe-inline"] {
            assert!(!document.html.contains(away), "the page has {away}");
        }
    }

    /// All of our own script together is below 60 kB.
    #[test]
    fn scripts_are_short() {
        let size: usize = SCRIPTS.iter().map(|(_, script)| script.len()).sum();
        assert!(size < 60_000, "{size} bytes of script");
    }
}
