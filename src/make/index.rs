//! A page that shows all files of a job: HTML, self-contained, to be opened from disk.
//!
//! Pictures are in the page itself, so that it can be sent alone; other files are links to their neighbours. It has no
//! script and asks nothing of any network.

use std::fmt::Write as _;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

/// A file of the job.
#[derive(Debug, Clone, Copy)]
pub struct File<'a> {
    /// Its name in the folder that the page is in.
    pub name: &'a str,
    /// What it is, in a few words.
    pub what: &'a str,
    /// Its content.
    pub bytes: &'a [u8],
}

/// Files of one kind.
#[derive(Debug, Clone)]
pub struct PageSection<'a> {
    /// Its heading.
    pub heading: &'a str,
    /// The files.
    pub files: Vec<File<'a>>,
}

const STYLE: &str = "body{font:1.05rem/1.5 system-ui,sans-serif;max-width:62rem;margin:2rem auto;padding:0 1rem;\
color:#1c1b19;background:#faf9f6}h1{margin-bottom:0}figure{margin:1.5rem 0;break-inside:avoid}\
figure img{width:100%;height:auto;border:1px solid #cfcabd;background:#fff}figcaption{color:#55524b}\
nav a{margin-right:1rem}pre{overflow-x:auto;background:#fff;border:1px solid #cfcabd;padding:1rem;font-size:.85rem}\
a{color:#234f7d}.cards{display:grid;grid-template-columns:repeat(auto-fill,minmax(22rem,1fr));gap:1.5rem}\
.cards figure{margin:0}@media print{nav{display:none}}";

/// The page: title, a line on what the job is, the report as text, and the files.
pub fn write(title: &str, about: &str, report: &str, sections: &[PageSection<'_>]) -> Vec<u8> {
    let mut page = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n<title>{}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<h1>{}</h1>\n<p>{}</p>\n<nav>",
        escaped(title),
        escaped(title),
        escaped(about)
    );
    let anchors = sections.iter().map(|s| (anchor(s.heading), s.heading)).chain([("report".into(), "Report")]);
    for (id, heading) in anchors {
        let _ = write!(page, "<a href=\"#{id}\">{}</a>", escaped(heading));
    }
    page += "</nav>\n";
    for section in sections {
        put(&mut page, section);
    }
    let _ = write!(page, "<h2 id=\"report\">Report</h2>\n<pre>{}</pre>\n</body>\n</html>\n", escaped(report));
    page.into_bytes()
}

fn put(page: &mut String, section: &PageSection<'_>) {
    let _ = writeln!(page, "<h2 id=\"{}\">{}</h2>", anchor(section.heading), escaped(section.heading));
    let (shown, linked): (Vec<&File<'_>>, Vec<&File<'_>>) = section.files.iter().partition(|f| media_type(f).is_some());
    if shown.len() > 2 {
        page.push_str("<div class=\"cards\">\n");
    }
    for file in &shown {
        let data = STANDARD.encode(file.bytes);
        let _ = writeln!(
            page,
            "<figure><a href=\"{0}\"><img alt=\"{1}\" src=\"data:{2};base64,{data}\"></a><figcaption><a href=\"{0}\">{0}</a>: {1}</figcaption></figure>",
            escaped(file.name),
            escaped(file.what),
            media_type(file).unwrap_or_default(),
        );
    }
    if shown.len() > 2 {
        page.push_str("</div>\n");
    }
    if !linked.is_empty() {
        page.push_str("<ul>\n");
        for file in linked {
            let _ = writeln!(page, "<li><a href=\"{0}\">{0}</a>: {1}</li>", escaped(file.name), escaped(file.what));
        }
        page.push_str("</ul>\n");
    }
}

/// The media type of a file that the page shows. A PNG stands beside an SVG of the same, which is sharper.
fn media_type(file: &File<'_>) -> Option<&'static str> {
    file.name.ends_with(".svg").then_some("image/svg+xml")
}

fn anchor(heading: &str) -> String {
    heading.to_lowercase().replace(|c: char| !c.is_ascii_alphanumeric(), "-")
}

/// The text with what means something in HTML written as what it stands for.
fn escaped(text: &str) -> String {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pictures_are_in_the_page_and_names_are_escaped() {
        let files = vec![
            File { name: "a&b.svg", what: "<one>", bytes: b"<svg/>" },
            File { name: "c.stl", what: "two", bytes: b"solid" },
        ];
        let page = write("A \"kit\"", "", "x < y", &[PageSection { heading: "Bench cards", files }]);
        let page = String::from_utf8(page).expect("UTF-8");
        assert!(page.contains("data:image/svg+xml;base64,PHN2Zy8+"));
        assert!(page.contains("<a href=\"a&amp;b.svg\">") && page.contains("&lt;one&gt;") && page.contains("x &lt; y"));
        assert!(page.contains("<li><a href=\"c.stl\">c.stl</a>: two</li>") && page.contains("id=\"bench-cards\""));
        assert!(!page.contains("c29saWQ"), "an STL is linked, not embedded");
    }
}
