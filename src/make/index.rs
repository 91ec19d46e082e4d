//! A page that shows all files of a job: HTML, self-contained, to be opened from disk.
//!
//! Pictures are in the page itself, so that it can be sent alone, unless they would make it too large to open; then, as
//! other files, they are its neighbours. It has no script and asks nothing of any network. It reads on a telephone, in
//! the dark, and on paper: there a sheet fills a page, whatever the paper.

use std::collections::HashMap;
use std::fmt::Write as _;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

use crate::format::xml::escaped;
use crate::format::{Artifact, svg};

/// Pictures that are in the page itself have no more bytes than this, all together.
pub(super) const EMBEDDED: usize = 12_000_000;

/// What stands on the page, from its top.
#[derive(Debug, Clone)]
pub struct Page<'a> {
    /// Its title.
    pub title: String,
    /// What the job is and what to mind of all of it, a paragraph each.
    pub about: Vec<String>,
    /// The lanes.
    pub lanes: Table,
    /// What to do next, in order.
    pub next: Vec<Step>,
    /// What to mind of lanes and files, a line each.
    pub mind: Vec<String>,
    /// The files, by what is done with them.
    pub files: Vec<Section<'a>>,
    /// The pictures, by what they show.
    pub pictures: Vec<Gallery<'a>>,
    /// Whether they are in the page itself.
    pub embedded: bool,
    /// What was advised; nothing where there was nothing to advise.
    pub advice: Option<Advice>,
}

/// A heading and the files below it.
#[derive(Debug, Clone)]
pub struct Section<'a> {
    /// The heading.
    pub heading: &'static str,
    /// The files.
    pub files: Vec<&'a Artifact>,
}

/// A heading and the pictures below it.
#[derive(Debug, Clone)]
pub struct Gallery<'a> {
    /// The heading.
    pub heading: &'static str,
    /// The files, and what they say of themselves.
    pub pictures: Vec<(&'a Artifact, svg::About)>,
}

/// What to do, in words and files by turns.
#[derive(Debug, Clone, Default)]
pub struct Step(Vec<Bit>);

#[derive(Debug, Clone)]
enum Bit {
    Words(String),
    File(String),
}

impl Step {
    /// Begins with words.
    pub fn new(words: impl Into<String>) -> Self {
        Self(vec![Bit::Words(words.into())])
    }

    /// The files, joined as in a sentence.
    pub fn files(mut self, names: &[&str]) -> Self {
        for (i, name) in names.iter().enumerate() {
            let joint = if i == 0 { "" } else { [", ", " and "][usize::from(i + 1 == names.len())] };
            self.0.extend([Bit::Words(joint.into()), Bit::File((*name).into())]);
        }
        self
    }

    /// Goes on with words.
    pub fn words(mut self, words: impl Into<String>) -> Self {
        self.0.push(Bit::Words(words.into()));
        self
    }
}

/// A table whose rows each begin with a name.
#[derive(Debug, Clone, Default)]
pub struct Table {
    /// What it shows.
    pub caption: String,
    /// Heads of its columns.
    pub head: Vec<String>,
    /// Its rows.
    pub rows: Vec<Row>,
}

/// A row of a table: several lines of words beside one name and one set of numbers.
#[derive(Debug, Clone)]
pub struct Row {
    /// What it is of.
    pub name: String,
    /// Cells of words, a line each; one line at least.
    pub lines: Vec<Vec<String>>,
    /// The rest, which holds of all lines.
    pub numbers: Vec<String>,
}

/// What was advised of a kit.
#[derive(Debug, Clone)]
pub struct Advice {
    /// A heading and its lines, blade by blade.
    pub parts: Vec<(String, Vec<String>)>,
    /// The fences and what they serve.
    pub fences: Table,
    /// What follows, a paragraph each.
    pub after: Vec<String>,
}

/// Colours by name, light and dark; what is drawn on sheets stays on white.
const STYLE: &str = "\
:root{color-scheme:light dark;--ink:#1c1b19;--soft:#55524b;--ground:#faf9f6;--rule:#cfcabd;--link:#234f7d;--band:#f1eee6}
@media (prefers-color-scheme:dark){:root{--ink:#e8e5dc;--soft:#b3aea2;--ground:#191816;--rule:#4a473f;--link:#9cc4ee;--band:#24221e}}
*{box-sizing:border-box}
body{font:1.05rem/1.5 system-ui,sans-serif;max-width:62rem;margin:0 auto;padding:1rem;color:var(--ink);background:var(--ground);overflow-wrap:break-word}
h1{line-height:1.2;margin:.5rem 0}
h2{margin:2.2rem 0 .6rem;border-bottom:1px solid var(--rule)}
h3{margin:1.2rem 0 .3rem;font-size:1.05rem}
a{color:var(--link)}
nav ul{display:flex;flex-wrap:wrap;gap:.2rem 1rem;list-style:none;padding:0}
ul.plain{padding-left:1.2rem;margin:.3rem 0}
.wide-table{overflow-x:auto}
table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
caption{text-align:left;color:var(--soft);padding-bottom:.4rem}
th,td{padding:.3rem .6rem;text-align:left;vertical-align:top;border-bottom:1px solid var(--rule)}
thead th{border-bottom:2px solid var(--soft);vertical-align:bottom}
tbody:nth-of-type(even){background:var(--band)}
.number{text-align:right;white-space:nowrap}
tbody th{white-space:nowrap}
.pictures{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,22rem),1fr));gap:1.5rem;align-items:start}
figure{margin:0}
figure.level{grid-column:1/-1}
img{display:block;width:100%;height:auto;border:1px solid var(--rule);background:#fff}
figcaption{color:var(--soft)}
@page{margin:12mm}
@page level{size:landscape;margin:12mm}
@media print{
:root{color-scheme:light;--ink:#000;--soft:#333;--ground:#fff;--rule:#999;--link:#000;--band:#fff}
body{font-size:10.5pt;max-width:none;padding:0}
nav,.pictures-heading{display:none}
h2,h3,caption,thead{break-after:avoid}
h2{margin-top:1.2rem}
li,tbody{break-inside:avoid}
.wide-table{overflow:visible}
.pictures,figure{display:block}
figure{break-before:page;break-inside:avoid}
figure.level{page:level}
img{width:auto;max-width:100%;max-height:242mm;margin:0 auto;border:0}
figure.level img{max-height:172mm}
figcaption{font-size:9pt;line-height:1.2}
#advice{break-before:page}
.advice{columns:2;column-gap:8mm}
.advice section{break-inside:avoid}
}
";

impl Page<'_> {
    /// The page as a file.
    pub fn write(&self) -> Vec<u8> {
        let title = escaped(&self.title);
        let mut page = format!(
            "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n<title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<header>\n<h1>{title}</h1>\n"
        );
        paragraphs(&mut page, &self.about);
        page += "</header>\n";
        self.contents(&mut page);
        page += "<main>\n";
        heading(&mut page, "lanes", "Lanes");
        self.lanes.write(&mut page);
        heading(&mut page, "next", "What to do next");
        page += "<ol>\n";
        for step in &self.next {
            let _ = writeln!(page, "<li>{}</li>", step.html());
        }
        page += "</ol>\n";
        if !self.mind.is_empty() {
            heading(&mut page, "mind", "What to mind");
            list(&mut page, &self.mind);
        }
        heading(&mut page, "files", "Files");
        for section in &self.files {
            let _ = writeln!(page, "<h3>{}</h3>\n<ul class=\"plain\">", escaped(section.heading));
            for file in &section.files {
                let _ = writeln!(page, "<li>{}: {}</li>", link(&file.name), escaped(&file.what));
            }
            page += "</ul>\n";
        }
        for gallery in &self.pictures {
            pictures(&mut page, gallery, self.embedded);
        }
        if let Some(advice) = &self.advice {
            advice.write(&mut page);
        }
        page += "</main>\n</body>\n</html>\n";
        page.into_bytes()
    }

    /// Where to find what on the page.
    fn contents(&self, page: &mut String) {
        let always = [("lanes", "Lanes"), ("next", "What to do next")].into_iter();
        let mind = (!self.mind.is_empty()).then_some(("mind", "What to mind"));
        let files = always.chain(mind).chain([("files", "Files")]).map(|(id, words)| (id.to_string(), words));
        let pictures = self.pictures.iter().map(|gallery| (anchor(gallery.heading), gallery.heading));
        let advice = self.advice.as_ref().map(|_| ("advice".to_string(), ADVICE));
        page.push_str("<nav aria-label=\"On this page\">\n<ul>\n");
        for (id, words) in files.chain(pictures).chain(advice) {
            let _ = writeln!(page, "<li><a href=\"#{id}\">{}</a></li>", escaped(words));
        }
        page.push_str("</ul>\n</nav>\n");
    }
}

/// Heading of what was advised.
const ADVICE: &str = "Advice";

fn heading(page: &mut String, id: &str, words: &str) {
    let _ = writeln!(page, "<h2 id=\"{id}\">{}</h2>", escaped(words));
}

fn paragraphs(page: &mut String, paragraphs: &[String]) {
    for words in paragraphs {
        let _ = writeln!(page, "<p>{}</p>", escaped(words));
    }
}

fn list(page: &mut String, lines: &[String]) {
    page.push_str("<ul class=\"plain\">\n");
    for line in lines {
        let _ = writeln!(page, "<li>{}</li>", escaped(line));
    }
    page.push_str("</ul>\n");
}

fn link(name: &str) -> String {
    format!("<a href=\"{0}\">{0}</a>", escaped(name))
}

impl Step {
    fn html(&self) -> String {
        let bit = |bit: &Bit| match bit {
            Bit::Words(words) => escaped(words),
            Bit::File(name) => link(name),
        };
        self.0.iter().map(bit).collect()
    }
}

impl Table {
    fn write(&self, page: &mut String) {
        // What is wider than a telephone moves in its own box, which keys reach too.
        let caption = escaped(&self.caption);
        let _ = write!(
            page,
            "<div class=\"wide-table\" role=\"region\" tabindex=\"0\" aria-label=\"{caption}\">\n<table>\n<caption>{caption}</caption>\n<thead>\n<tr>"
        );
        let words = self.rows.first().map_or(0, |row| 1 + row.lines.first().map_or(0, Vec::len));
        for (i, head) in self.head.iter().enumerate() {
            let class = if i < words { "" } else { " class=\"number\"" };
            let _ = write!(page, "<th scope=\"col\"{class}>{}</th>", escaped(head));
        }
        page.push_str("</tr>\n</thead>\n");
        for row in &self.rows {
            row.write(page);
        }
        page.push_str("</table>\n</div>\n");
    }
}

impl Row {
    fn write(&self, page: &mut String) {
        let [scope, span] = match self.lines.len() {
            0 | 1 => ["row".to_string(), String::new()],
            lines => ["rowgroup".to_string(), format!(" rowspan=\"{lines}\"")],
        };
        page.push_str("<tbody>\n");
        for (i, line) in self.lines.iter().enumerate() {
            page.push_str("<tr>");
            if i == 0 {
                let _ = write!(page, "<th scope=\"{scope}\"{span}>{}</th>", escaped(&self.name));
            }
            for words in line {
                let _ = write!(page, "<td>{}</td>", escaped(words));
            }
            for number in self.numbers.iter().filter(|_| i == 0) {
                let _ = write!(page, "<td class=\"number\"{span}>{}</td>", escaped(number));
            }
            page.push_str("</tr>\n");
        }
        page.push_str("</tbody>\n");
    }
}

impl Advice {
    fn write(&self, page: &mut String) {
        heading(page, "advice", ADVICE);
        page.push_str("<div class=\"advice\">\n");
        for (name, lines) in &self.parts {
            let _ = writeln!(page, "<section>\n<h3>{}</h3>", escaped(name));
            list(page, lines);
            page.push_str("</section>\n");
        }
        page.push_str("</div>\n");
        self.fences.write(page);
        paragraphs(page, &self.after);
    }
}

/// The pictures below a heading; a PNG stands beside an SVG of the same, which is sharper.
fn pictures(page: &mut String, gallery: &Gallery<'_>, embedded: bool) {
    let _ = writeln!(
        page,
        "<h2 class=\"pictures-heading\" id=\"{}\">{}</h2>\n<div class=\"pictures\">",
        anchor(gallery.heading),
        escaped(gallery.heading)
    );
    let mut alike: HashMap<&str, [usize; 2]> = HashMap::new();
    for (_, about) in &gallery.pictures {
        alike.entry(&about.title).or_default()[1] += 1;
    }
    if embedded {
        // Four letters for three bytes, and what stands about them.
        page.reserve(gallery.pictures.iter().map(|(file, _)| file.bytes.len() / 2 * 3).sum());
    }
    for (file, about) in &gallery.pictures {
        let [width, height] = about.size;
        let level = if width > height { " class=\"level\"" } else { "" };
        // No two pictures are told by the same words.
        let [number, of] = alike.entry(&about.title).or_default();
        *number += 1;
        let which = match of {
            _ if file.what.starts_with("page ") => format!(", {}", file.what),
            1 => String::new(),
            of => format!(", {number} of {of}"),
        };
        let title = escaped(&format!("{}{which}", about.title));
        let name = escaped(&file.name);
        let [width, height] = [width, height].map(|mm| mm * PIXELS);
        let _ = write!(
            page,
            "<figure{level}><a href=\"{name}\"><img alt=\"{title}\" width=\"{width:.0}\" height=\"{height:.0}\" "
        );
        match embedded {
            true => {
                page.push_str("src=\"data:image/svg+xml;base64,");
                STANDARD.encode_string(&file.bytes, page);
            }
            false => {
                let _ = write!(page, "loading=\"lazy\" src=\"{name}");
            }
        }
        let _ = writeln!(page, "\"></a><figcaption>{title} ({})</figcaption></figure>", link(&file.name));
    }
    page.push_str("</div>\n");
}

/// Pixels a millimetre: an inch of CSS has 96.
const PIXELS: f64 = 96.0 / crate::units::MM_PER_INCH;

fn anchor(heading: &str) -> String {
    heading.to_lowercase().replace(|c: char| !c.is_ascii_alphanumeric(), "-")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn artifact(name: &str, bytes: &[u8]) -> Artifact {
        Artifact { name: name.into(), what: "<one>".into(), bytes: bytes.into() }
    }

    fn about(title: &str) -> svg::About {
        svg::About { title: title.into(), size: [297.0, 210.0] }
    }

    #[test]
    fn pictures_beside_the_page_are_linked_and_told_apart() {
        let files = ["a&b.svg", "c.svg", "d.svg"].map(|name| artifact(name, &[b' '; 10_000]));
        let page = |embedded: bool| {
            let mut page = String::new();
            let pictures = files.iter().zip(["x", "y", "x"]).map(|(file, title)| (file, about(title))).collect();
            super::pictures(&mut page, &Gallery { heading: "Bench cards", pictures }, embedded);
            page
        };
        assert!(page(true).len() > 30_000);
        let linked = page(false);
        assert!(linked.len() < 2000, "{}", linked.len());
        for alone in ["loading=\"lazy\" src=\"a&amp;b.svg\"", "alt=\"x, 1 of 2\"", "alt=\"y\"", "alt=\"x, 2 of 2\""] {
            assert_eq!(linked.matches(alone).count(), 1, "{alone}: {linked}");
        }
    }

    #[test]
    fn pictures_are_in_the_page_and_names_are_escaped() {
        let svg = b"<svg height=\"210mm\" width=\"297mm\"><title>\nx &lt; \"y\"\n</title></svg>";
        let (picture, model) = (artifact("a&b.svg", svg), artifact("c.stl", b"solid"));
        let row = Row {
            name: "A<".into(),
            lines: vec![vec!["iron & co".into()], vec!["chisel".into()]],
            numbers: vec!["25".into()],
        };
        let page = Page {
            title: "A \"kit\"".into(),
            about: vec!["p & q".into()],
            lanes: Table {
                caption: "Lanes".into(),
                head: ["lane", "tool", "angle"].map(String::from).into(),
                rows: vec![row],
            },
            next: vec![Step::new("Print ").files(&["a&b.svg", "c.stl", "d.pdf"]).words(".")],
            mind: vec!["x < y".into()],
            files: vec![Section { heading: "Print", files: vec![&model] }],
            pictures: vec![Gallery {
                heading: "Bench cards",
                pictures: vec![(&picture, svg::about(svg).expect("a picture"))],
            }],
            embedded: true,
            advice: None,
        };
        let page = String::from_utf8(page.write()).expect("UTF-8");
        for wanted in [
            "data:image/svg+xml;base64,PHN2Z",
            "alt=\"x &lt; &quot;y&quot;\"",
            "<a href=\"a&amp;b.svg\">a&amp;b.svg</a>, <a href=\"c.stl\">c.stl</a> and <a href=\"d.pdf\">",
            "<li><a href=\"c.stl\">c.stl</a>: &lt;one&gt;</li>",
            "x &lt; y",
            "id=\"bench-cards\"",
            "href=\"#bench-cards\"",
            "<figure class=\"level\">",
            "<th scope=\"rowgroup\" rowspan=\"2\">A&lt;</th><td>iron &amp; co</td><td class=\"number\" rowspan=\"2\">25</td>",
        ] {
            assert!(page.contains(wanted), "{wanted}: {page}");
        }
        assert!(!page.contains("c29saWQ"), "an STL is linked, not embedded");
    }
}
