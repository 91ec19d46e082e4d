//! PDF from sheets: a page a sheet, full size, drawn as the SVG draws it. The objects are written through the `pdf-writer`
//! crate, the fonts cut down to the signs in use by `subsetter`.
//!
//! Lettering is text in an embedded part of the font. Every sign has a number of its own there (its CID), which leads to
//! its glyph and back to the sign, so that what is copied out of the file is what was written. Widths are the advances that
//! [`Text::width`] adds up. There is no date in the file: the same sheets give the same bytes. Numbers have four decimals of
//! a point, which is less than 0.0001 mm off on any sheet.
//!
//! (Structure of files, pages, fonts and their maps: ISO 32000-1, 7.5, 7.7, 9.7 and 9.10; from memory. `tests/oracles` has
//! an independent reader compare every page with the SVG.)

use std::collections::BTreeMap;
use std::error::Error;
use std::io::Write;

use flate2::Compression;
use flate2::write::ZlibEncoder;
use kurbo::{PathEl, Point};
use pdf_writer::types::{CidFontType, FontFlags, LineJoinStyle, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Settings, Str, TextStr};
use subsetter::GlyphRemapper;

use crate::cores;
use crate::drawing::style::Pen;
use crate::drawing::{Anchor, Mark, Sheet, Text};
use crate::shape::font;
use crate::trig::Trig;
use crate::units::MM_PER_INCH;

/// What the document says of itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct About<'a> {
    /// Its title.
    pub title: &'a str,
    /// What it is about, in a sentence.
    pub subject: &'a str,
}

/// Why there is no PDF.
#[derive(Debug, thiserror::Error)]
pub enum NotPdf {
    /// A document without a page is no PDF.
    #[error("there is no sheet to write")]
    NoSheet,
    /// The font was refused, which is a fault of the program.
    #[error("the PDF was refused")]
    Refused(#[source] Box<dyn Error + Send + Sync>),
}

/// Objects that every document has, by their numbers.
const CATALOG: Ref = Ref::new(1);
const PAGES: Ref = Ref::new(2);
const OUTLINE: Ref = Ref::new(3);
const INFO: Ref = Ref::new(4);
/// The number of the first of the others.
const OTHERS: i32 = 5;

/// As small as need be: on drawings slower ways save little more: the next a fiftieth, for a third more time.
const COMPRESSION: Compression = Compression::new(3);

/// The sheets as the pages of one document, in their order, with a bookmark for each.
///
/// # Errors
/// [`NotPdf`].
pub fn write(sheets: &[Sheet], about: &About) -> Result<Vec<u8>, NotPdf> {
    let mut document = Document::default();
    document.add(sheets)?;
    document.finish(about)
}

/// A document that sheets are added to, so that not all of a long one have to be held.
pub struct Document {
    fonts: [Face; 2],
    /// What is drawn on the pages so far.
    pdf: Pdf,
    /// The number of the next object.
    next: Ref,
    pages: Vec<Drawn>,
}

/// A page whose drawing is written.
struct Drawn {
    title: String,
    size: Rect,
    content: Ref,
}

/// One without a page.
impl Default for Document {
    fn default() -> Self {
        Self {
            fonts: [false, true].map(|bold| Face { bold, signs: BTreeMap::new() }),
            pdf: Pdf::with_settings(Settings { pretty: false }),
            next: Ref::new(OTHERS),
            pages: Vec::new(),
        }
    }
}

impl Document {
    /// Adds sheets as pages.
    ///
    /// # Errors
    /// [`NotPdf`].
    pub fn add<'s>(&mut self, sheets: impl IntoIterator<Item = &'s Sheet>) -> Result<(), NotPdf> {
        let sheets: Vec<&Sheet> = sheets.into_iter().collect();
        for mark in sheets.iter().flat_map(|sheet| &sheet.groups).flat_map(|group| &group.marks) {
            if let Mark::Text(text) = mark {
                self.fonts[usize::from(text.bold)].learn(&text.words);
            }
        }
        let fonts = &self.fonts;
        let drawn = cores::each(&sheets, 1, |sheet| packed(content(sheet, fonts).as_slice()));
        for (sheet, drawn) in sheets.into_iter().zip(drawn) {
            let content = self.next.bump();
            self.pdf.stream(content, &drawn?).filter(Filter::FlateDecode);
            self.pages.push(Drawn { title: sheet.title.clone(), size: media(sheet), content });
        }
        Ok(())
    }

    /// The document as a file.
    ///
    /// # Errors
    /// [`NotPdf`].
    pub fn finish(self, about: &About) -> Result<Vec<u8>, NotPdf> {
        let Self { fonts: faces, mut pdf, mut next, pages: drawn } = self;
        let mut catalog = pdf.catalog(CATALOG);
        catalog.pages(PAGES).outlines(OUTLINE).lang(TextStr("en")).viewer_preferences().display_doc_title(true);
        catalog.finish();
        let mut info = pdf.document_info(INFO);
        info.title(TextStr(about.title)).subject(TextStr(about.subject)).creator(TextStr("Stopwright"));
        info.finish();

        let mut fonts: Vec<(Name<'static>, Ref)> = Vec::new();
        for face in faces.iter().filter(|face| !face.signs.is_empty()) {
            fonts.push((face.name(), face.embed(&mut pdf, &mut next)?));
        }
        let pages: Vec<Ref> = drawn.iter().map(|_| next.bump()).collect();
        let marks: Vec<Ref> = drawn.iter().map(|_| next.bump()).collect();
        let [Some(first), Some(last)] = [marks.first(), marks.last()] else { return Err(NotPdf::NoSheet) };
        for (drawn, id) in drawn.iter().zip(&pages) {
            let mut page = pdf.page(*id);
            page.parent(PAGES).media_box(drawn.size).contents(drawn.content);
            let mut resources = page.resources();
            resources.fonts().pairs(fonts.iter().copied());
            resources.finish();
            page.finish();
        }
        pdf.pages(PAGES).kids(pages.iter().copied()).count(count(&pages));
        pdf.outline(OUTLINE).first(*first).last(*last).count(count(&marks));
        for (i, (drawn, id)) in drawn.iter().zip(&marks).enumerate() {
            let mut mark = pdf.outline_item(*id);
            mark.title(TextStr(&drawn.title)).parent(OUTLINE);
            if let Some(before) = i.checked_sub(1) {
                mark.prev(marks[before]);
            }
            if let Some(after) = marks.get(i + 1) {
                mark.next(*after);
            }
            mark.dest().page(pages[i]).xyz(0.0, drawn.size.y2, None);
        }
        Ok(pdf.finish())
    }
}

fn count(objects: &[Ref]) -> i32 {
    i32::try_from(objects.len()).unwrap_or(i32::MAX)
}

fn media(sheet: &Sheet) -> Rect {
    let extent = sheet.paper.extent();
    Rect::new(0.0, 0.0, pt(extent.width), pt(extent.height))
}

/// Points, of which an inch has 72 (ISO 32000-1), in `mm` millimetres, to four decimals.
fn pt(mm: f64) -> f32 {
    rounded(mm * 72.0 / MM_PER_INCH)
}

fn rounded(value: f64) -> f32 {
    ((value * 1e4).round() / 1e4) as f32
}

fn packed(bytes: &[u8]) -> Result<Vec<u8>, NotPdf> {
    let mut packer = ZlibEncoder::new(Vec::new(), COMPRESSION);
    let packed = packer.write_all(bytes).and_then(|()| packer.finish());
    packed.map_err(|cause| NotPdf::Refused(cause.into()))
}

/// A font as a document uses it.
struct Face {
    bold: bool,
    /// The number of each sign in use, from 1 on, as they came.
    signs: BTreeMap<char, u16>,
}

impl Face {
    /// Gives the signs that are new a number.
    fn learn(&mut self, words: &str) {
        for sign in words.chars() {
            let next = self.signs.len() as u16 + 1;
            self.signs.entry(sign).or_insert(next);
        }
    }

    /// What pages call it.
    fn name(&self) -> Name<'static> {
        Name(if self.bold { b"B" } else { b"P" })
    }

    /// The words by the numbers of their signs, two bytes each.
    fn encoded(&self, words: &str) -> Vec<u8> {
        words.chars().flat_map(|sign| self.signs.get(&sign).copied().unwrap_or(0).to_be_bytes()).collect()
    }

    /// Writes the font's objects: itself, how signs become glyphs, and back.
    fn embed(&self, pdf: &mut Pdf, next: &mut Ref) -> Result<Ref, NotPdf> {
        let mut remapper = GlyphRemapper::new();
        let mut signs: Vec<(u16, char)> = self.signs.iter().map(|(sign, number)| (*number, *sign)).collect();
        signs.sort_unstable();
        let glyphs: Vec<(u16, f64)> = signs.iter().map(|(_, sign)| font::glyph(*sign, self.bold)).collect();
        // The number 0 is the glyph for what is missing, which is always the first.
        let places: Vec<u16> = [0].into_iter().chain(glyphs.iter().map(|(glyph, _)| remapper.remap(*glyph))).collect();
        let file = subsetter::subset(font::font(self.bold), 0, &remapper)
            .map_err(|cause| NotPdf::Refused(cause.to_string().into()))?;
        let metrics = font::about(self.bold);
        let name = format!("{}+{}", tag(&file), metrics.name);
        let name = Name(name.as_bytes());
        let [id, cid_font, descriptor, stream, to_glyphs, to_signs] = std::array::from_fn(|_| next.bump());

        pdf.type0_font(id)
            .base_font(name)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(cid_font)
            .to_unicode(to_signs);
        // Any number, without an order of any language.
        let system = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };
        let mut cid = pdf.cid_font(cid_font);
        cid.subtype(CidFontType::Type2).base_font(name).system_info(system).font_descriptor(descriptor);
        cid.default_width(0.0).cid_to_gid_map_stream(to_glyphs);
        // Widths are in thousandths of the font's size.
        cid.widths().consecutive(1, glyphs.iter().map(|(_, advance)| rounded(advance * 1000.0)));
        cid.finish();

        let thousandths = |units: f64| rounded(units * 1000.0);
        let [x0, y0, x1, y1] = metrics.extent.map(thousandths);
        pdf.font_descriptor(descriptor)
            .name(name)
            .flags(FontFlags::NON_SYMBOLIC)
            .bbox(Rect::new(x0, y0, x1, y1))
            .italic_angle(0.0)
            .ascent(thousandths(metrics.ascent))
            .descent(thousandths(metrics.descent))
            .cap_height(thousandths(metrics.capital))
            // Of no use for an embedded font, but required; values as they are usual, from memory.
            .stem_v(if self.bold { 165.0 } else { 80.0 })
            .font_file2(stream);
        let length = i32::try_from(file.len()).map_err(|cause| NotPdf::Refused(cause.into()))?;
        let file = packed(&file)?;
        let mut embedded = pdf.stream(stream, &file);
        embedded.filter(Filter::FlateDecode).pair(Name(b"Length1"), length);
        embedded.finish();
        let places: Vec<u8> = places.into_iter().flat_map(u16::to_be_bytes).collect();
        pdf.stream(to_glyphs, &packed(&places)?).filter(Filter::FlateDecode);
        let mut map = UnicodeCmap::new(Name(b"Signs"), SystemInfo { ordering: Str(b"UCS"), ..system });
        for (number, sign) in &signs {
            map.pair(*number, *sign);
        }
        pdf.stream(to_signs, &packed(map.finish().as_slice())?).filter(Filter::FlateDecode);
        Ok(id)
    }
}

/// Six capitals that a part of a font begins its name with, from what is in it (ISO 32000-1, 9.6.4).
fn tag(file: &[u8]) -> String {
    let mut sum = crc32fast::hash(file);
    let letter = |_| {
        let letter = char::from(b'A' + (sum % 26) as u8);
        sum /= 26;
        letter
    };
    (0..6).map(letter).collect()
}

/// What is drawn on a page.
fn content(sheet: &Sheet, fonts: &[Face; 2]) -> pdf_writer::Buf {
    let mut page = Page { content: Content::new(), top: sheet.paper.extent().height, fonts, now: State::default() };
    page.content.set_line_join(LineJoinStyle::RoundJoin);
    for mark in sheet.groups.iter().flat_map(|group| &group.marks) {
        page.draw(mark);
    }
    page.content.finish()
}

/// How the next mark would be drawn.
#[derive(Default)]
struct State {
    pen: Option<Pen>,
    fill: Option<[u8; 3]>,
}

struct Page<'a> {
    content: Content,
    /// Height of the sheet, mm: a page counts from its lower edge.
    top: f64,
    fonts: &'a [Face; 2],
    now: State,
}

impl Page<'_> {
    fn at(&self, p: Point) -> (f32, f32) {
        (pt(p.x), pt(self.top - p.y))
    }

    fn draw(&mut self, mark: &Mark) {
        if let Mark::Text(text) = mark {
            return self.letter(text);
        }
        let (fill, pen) = (mark.fill().colour(), mark.pen());
        // A stroke or fill of nothing is not drawn.
        let mut path = mark.path().into_iter().peekable();
        if (fill.is_none() && pen == Pen::None) || path.peek().is_none() {
            return;
        }
        if let Some(colour) = fill {
            self.fill(colour);
        }
        self.pen(pen);
        let mut last = Point::ZERO;
        for element in path {
            self.step(element, &mut last);
        }
        match (fill.is_some(), pen != Pen::None) {
            (true, true) => self.content.fill_even_odd_and_stroke(),
            (true, false) => self.content.fill_even_odd(),
            _ => self.content.stroke(),
        };
    }

    fn step(&mut self, element: PathEl, last: &mut Point) {
        match element {
            PathEl::MoveTo(p) => {
                let (x, y) = self.at(p);
                self.content.move_to(x, y);
            }
            PathEl::LineTo(p) => {
                let (x, y) = self.at(p);
                self.content.line_to(x, y);
            }
            PathEl::QuadTo(a, p) => {
                // The same curve with two points that draw it.
                let [b, c] = [last.lerp(a, 2.0 / 3.0), p.lerp(a, 2.0 / 3.0)];
                return self.step(PathEl::CurveTo(b, c, p), last);
            }
            PathEl::CurveTo(a, b, p) => {
                let [(ax, ay), (bx, by), (x, y)] = [a, b, p].map(|p| self.at(p));
                self.content.cubic_to(ax, ay, bx, by, x, y);
            }
            PathEl::ClosePath => {
                self.content.close_path();
            }
        }
        *last = element.end_point().unwrap_or(*last);
    }

    fn fill(&mut self, colour: [u8; 3]) {
        if self.now.fill.replace(colour) != Some(colour) {
            let [r, g, b] = colour.map(|part| rounded(f64::from(part) / 255.0));
            self.content.set_fill_rgb(r, g, b);
        }
    }

    fn pen(&mut self, pen: Pen) {
        if pen == Pen::None || self.now.pen == Some(pen) {
            return;
        }
        let had = self.now.pen.replace(pen).map(Pen::dashes).unwrap_or_default();
        self.content.set_line_width(pt(pen.width()));
        if had != pen.dashes() {
            self.content.set_dash_pattern(pen.dashes().iter().map(|&dash| pt(dash)), 0.0);
        }
    }

    fn letter(&mut self, text: &Text) {
        self.fill([0; 3]);
        let back = match text.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => text.width() / 2.0,
            Anchor::End => text.width(),
        };
        // Clockwise on the sheet, whose y runs down. With our own sine and cosine, which are alike on every machine.
        let (sin, cos) = text.turn.to_radians().sine_cosine();
        let (x, y) = self.at(Point::new(text.at.x - back * cos, text.at.y - back * sin));
        let face = &self.fonts[usize::from(text.bold)];
        let words = face.encoded(&text.words);
        let turned = [cos, -sin, sin, cos].map(rounded_finely);
        self.content
            .begin_text()
            .set_font(face.name(), pt(font::size_for(text.height)))
            .set_text_matrix([turned[0], turned[1], turned[2], turned[3], x, y])
            .show(Str(&words))
            .end_text();
    }
}

/// Sines and cosines: over the length of a text four decimals would be too few.
fn rounded_finely(value: f64) -> f32 {
    ((value * 1e7).round() / 1e7) as f32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Group;
    use crate::drawing::paper::Paper;
    use crate::drawing::style::Fill;
    use crate::terms::PaperSize;

    const ABOUT: About = About { title: "A trial", subject: "Two sheets" };

    fn sheet(size: PaperSize, bold: bool) -> Sheet {
        let mut group = Group::new("all", "figure");
        group.path([[(30.0, 30.0), (90.0, 30.0), (60.0, 60.0)]], true, Pen::Wide, Fill::Tint);
        group.path([[(30.0, 30.0)]], false, Pen::None, Fill::None);
        let text = Text::new((100.0, 100.0), 3.5, Anchor::Middle, "45° ± ½").turned(-90.0);
        group.text(if bold { text.bold() } else { text });
        let (title, scale, groups) = ("One".into(), "1:1".into(), vec![group]);
        Sheet { title, paper: Paper::sheet(size, false), scale, groups }
    }

    fn count(bytes: &[u8], words: &str) -> usize {
        bytes.windows(words.len()).filter(|w| *w == words.as_bytes()).count()
    }

    #[test]
    fn every_sheet_is_a_page_of_its_size() {
        let bytes = write(&[sheet(PaperSize::A4, false), sheet(PaperSize::Letter, true)], &ABOUT).expect("a PDF");
        assert!(bytes.starts_with(b"%PDF-1.7"));
        assert_eq!(count(&bytes, "/Type/Page/"), 2);
        // ISO 216 and 8.5 x 11 in, at 72 points an inch.
        assert_eq!(count(&bytes, "/MediaBox[0 0 595.27"), 1);
        assert_eq!(count(&bytes, "/MediaBox[0 0 612 792]"), 1);
        assert_eq!(count(&bytes, "/Title(A trial)"), 1);
        assert_eq!(count(&bytes, "Date"), 0);
    }

    #[test]
    fn fonts_are_embedded_once_and_only_those_in_use() {
        let plain = sheet(PaperSize::A4, false);
        let one = write(&[plain.clone(), plain.clone()], &ABOUT).expect("a PDF");
        assert_eq!(count(&one, "/FontFile2"), 1);
        let both = write(&[plain, sheet(PaperSize::A4, true)], &ABOUT).expect("a PDF");
        assert_eq!(count(&both, "/FontFile2"), 2);
        assert!(count(&both, "+DejaVuSansCondensed-Bold") > 0);
    }

    #[test]
    fn the_same_sheets_give_the_same_bytes() {
        let sheets = [sheet(PaperSize::A3, true), sheet(PaperSize::A4, false)];
        let written = || write(&sheets, &ABOUT).expect("a PDF");
        assert_eq!(written(), written());
        assert!(matches!(write(&[], &ABOUT), Err(NotPdf::NoSheet)));
    }
}
