//! Words in XML and HTML.

/// The text with what means something there written as what it stands for, in elements and in quoted attributes (XML 1.0,
/// 2.4).
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            c => out.push(c),
        }
    }
    out
}
