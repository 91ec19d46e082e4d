//! PDF from sheets, through the `krilla` crate: a page a sheet, full size, drawn as the SVG draws it.
//!
//! Lettering is text in an embedded part of the font, set glyph by glyph with the advances that [`Text::width`] adds
//! up. There is no date in the file, and its identifiers come from its content: the same sheets give the same bytes.
//! Numbers are 32 bits wide, which is less than 0.0001 mm off on any sheet.

use std::error::Error;
use std::ops::Range;

use krilla::Document;
use krilla::color::rgb::Color;
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point as PdfPoint, Transform};
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill as PdfFill, FillRule, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};

use super::traced;
use crate::drawing::style::{Fill, Pen};
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
    /// The font or the paper were refused, which is a fault of the program.
    #[error("the PDF was refused")]
    Refused(#[source] Box<dyn Error + Send + Sync>),
}

/// The sheets as the pages of one document, in their order, with a bookmark for each.
///
/// # Errors
/// [`NotPdf`].
pub fn write(sheets: &[Sheet], about: &About) -> Result<Vec<u8>, NotPdf> {
    if sheets.is_empty() {
        return Err(NotPdf::NoSheet);
    }
    let fonts = Fonts { plain: font(false)?, bold: font(true)? };
    let mut document = Document::new();
    let mut outline = Outline::new();
    for (index, sheet) in sheets.iter().enumerate() {
        let extent = sheet.paper.extent();
        let size = PageSettings::from_wh(pt(extent.width), pt(extent.height))
            .ok_or_else(|| NotPdf::Refused(sheet.paper.name().into()))?;
        let mut page = document.start_page_with(size);
        let mut surface = page.surface();
        for mark in sheet.groups.iter().flat_map(|group| &group.marks) {
            draw(mark, &fonts, &mut surface);
        }
        surface.finish();
        page.finish();
        let top = XyzDestination::new(index, PdfPoint::from_xy(0.0, 0.0));
        outline.push_child(OutlineNode::new(sheet.title.clone(), top));
    }
    document.set_outline(outline);
    document.set_metadata(
        Metadata::new()
            .title(about.title.into())
            .description(about.subject.into())
            .creator("Stopwright".into())
            .language("en".into()),
    );
    document.finish().map_err(|cause| NotPdf::Refused(cause.to_string().into()))
}

/// The fonts of a document.
struct Fonts {
    plain: Font,
    bold: Font,
}

fn font(bold: bool) -> Result<Font, NotPdf> {
    Font::new(font::font(bold).into(), 0).ok_or_else(|| NotPdf::Refused("the font cannot be read".into()))
}

/// Points, of which an inch has 72 (ISO 32000-1), in `mm` millimetres.
fn pt(mm: f64) -> f32 {
    (mm * 72.0 / MM_PER_INCH) as f32
}

fn draw(mark: &Mark, fonts: &Fonts, surface: &mut Surface) {
    if let Mark::Text(text) = mark {
        return letter(text, fonts, surface);
    }
    let (fill, stroke) = (fill(mark.fill()), stroke(mark.pen()));
    // The library would take neither for black.
    if fill.is_none() && stroke.is_none() {
        return;
    }
    if let Some(path) = traced!(PathBuilder, mark.path(), pt) {
        surface.set_fill(fill);
        surface.set_stroke(stroke);
        surface.draw_path(&path);
    }
}

fn stroke(pen: Pen) -> Option<Stroke> {
    let dashes = pen.dashes();
    let dash = StrokeDash { array: dashes.iter().map(|&d| pt(d)).collect(), offset: 0.0 };
    (pen != Pen::None).then(|| Stroke {
        width: pt(pen.width()),
        line_join: LineJoin::Round,
        dash: (!dashes.is_empty()).then_some(dash),
        ..Stroke::default()
    })
}

fn fill(fill: Fill) -> Option<PdfFill> {
    let [r, g, b] = fill.colour()?;
    Some(PdfFill { paint: Color::new(r, g, b).into(), rule: FillRule::EvenOdd, ..PdfFill::default() })
}

fn letter(text: &Text, fonts: &Fonts, surface: &mut Surface) {
    let glyphs: Vec<KrillaGlyph> =
        text.words.char_indices().map(|(i, c)| glyph(c, text.bold, i..i + c.len_utf8())).collect();
    let back = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => text.width() / 2.0,
        Anchor::End => text.width(),
    };
    let font = if text.bold { &fonts.bold } else { &fonts.plain };
    let [x, y] = [text.at.x, text.at.y].map(pt);
    surface.set_fill(Some(PdfFill::default()));
    surface.set_stroke(None);
    // With our own sine and cosine, which are alike on every machine, where those of the library are the platform's.
    let (sin, cos) = text.turn.to_radians().sine_cosine();
    let (at_x, at_y) = (f64::from(x), f64::from(y));
    let [tx, ty] = [at_x - at_x * cos + at_y * sin, at_y - at_x * sin - at_y * cos];
    let row = [cos, sin, -sin, cos, tx, ty].map(|value| value as f32);
    surface.push_transform(&Transform::from_row(row[0], row[1], row[2], row[3], row[4], row[5]));
    let start = PdfPoint::from_xy(pt(text.at.x - back), y);
    surface.draw_glyphs(start, &glyphs, font.clone(), &text.words, pt(font::size_for(text.height)), false);
    surface.pop();
}

fn glyph(sign: char, bold: bool, bytes: Range<usize>) -> KrillaGlyph {
    let (id, advance) = font::glyph(sign, bold);
    KrillaGlyph::new(GlyphId::new(id.into()), advance as f32, 0.0, 0.0, 0.0, bytes, None)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Group;
    use crate::drawing::paper::Paper;
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
