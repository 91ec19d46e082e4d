//! PNG from a sheet or a part of it, through the `tiny-skia` and `png` crates: drawn as the SVG and the PDF draw it.
//!
//! The ground is white, lines and areas are smoothed, and lettering is filled along its outlines, so that no font and
//! no reader of SVG is needed. The file states its resolution. There is no date in it: the same sheet gives the same
//! bytes. Few colours are drawn with, so a pixel is a number in a palette, which takes a fifth of the room and the time.

use std::collections::HashMap;
use std::error::Error;

use foldhash::fast::FixedState;
use kurbo::{BezPath, PathEl, Point, Rect};
use png::{BitDepth, ColorType, Compression, DeflateCompression, Encoder, Filter, PixelDimensions, Unit};
use tiny_skia::{FillRule, LineJoin, Paint, Path, PathBuilder, Pixmap, Stroke, StrokeDash, Transform};

use crate::drawing::style::Pen;
use crate::drawing::{Mark, Sheet};

/// Most pixels along a side.
pub const MOST_PIXELS: u32 = 16_384;

/// What part of a sheet is shown, and how finely.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// The part, mm of the sheet.
    pub area: Rect,
    /// Pixels for one mm.
    pub per_mm: f64,
}

impl Frame {
    /// All of `sheet`, so many `pixels` wide.
    pub fn whole(sheet: &Sheet, pixels: u32) -> Self {
        let area = sheet.paper.area();
        Self { area, per_mm: f64::from(pixels) / area.width() }
    }

    /// Width and height, pixels, where they are possible.
    fn pixels(&self) -> Result<[u32; 2], NotPng> {
        let [width, height] = [self.area.width(), self.area.height()].map(|side| (side * self.per_mm).round());
        let possible = 1.0..=f64::from(MOST_PIXELS);
        if possible.contains(&width) && possible.contains(&height) {
            Ok([width as u32, height as u32])
        } else {
            Err(NotPng::Size { width, height })
        }
    }
}

/// Why there is no picture.
#[derive(Debug, thiserror::Error)]
pub enum NotPng {
    /// Empty, or too large.
    #[error("a picture of {width} × {height} pixels: a side has from 1 to {MOST_PIXELS}")]
    Size {
        /// Pixels.
        width: f64,
        /// Pixels.
        height: f64,
    },
    /// The encoder failed.
    #[error("the picture was refused")]
    Refused(#[source] Box<dyn Error + Send + Sync>),
}

/// The part of `sheet` that `frame` shows.
///
/// # Errors
/// [`NotPng`].
pub fn write(sheet: &Sheet, frame: &Frame) -> Result<Vec<u8>, NotPng> {
    let [width, height] = frame.pixels()?;
    let mut canvas = Canvas::new(frame, [width, height]).ok_or_else(|| NotPng::Refused("no memory".into()))?;
    let mut drawn_with = vec![BLACK, WHITE];
    for mark in sheet.groups.iter().flat_map(|group| &group.marks) {
        canvas.draw(mark);
        drawn_with.extend(mark.fill().colour());
    }
    encoded(&canvas.pixmap, &drawn_with, frame.per_mm).map_err(|cause| NotPng::Refused(cause.into()))
}

/// Red, green and blue.
type Colour = [u8; 3];

const BLACK: Colour = [0; 3];
const WHITE: Colour = [0xff; 3];

fn encoded(pixmap: &Pixmap, drawn_with: &[Colour], per_mm: f64) -> Result<Vec<u8>, png::EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, pixmap.width(), pixmap.height());
    encoder.set_depth(BitDepth::Eight);
    let per_metre = (1000.0 * per_mm).round() as u32;
    encoder.set_pixel_dims(Some(PixelDimensions { xppu: per_metre, yppu: per_metre, unit: Unit::Meter }));
    let pixels = || pixmap.data().chunks_exact(4).map(|p| [p[0], p[1], p[2]]);
    let image = match indexed(pixels(), drawn_with) {
        Some((palette, numbers)) => {
            encoder.set_color(ColorType::Indexed);
            encoder.set_palette(palette.concat());
            // Neighbouring numbers of a palette have nothing to do with each other.
            encoder.set_filter(Filter::NoFilter);
            encoder.set_deflate_compression(DeflateCompression::Level(LEVEL));
            numbers
        }
        None => {
            encoder.set_color(ColorType::Rgb);
            encoder.set_compression(Compression::Fast);
            pixels().flatten().collect()
        }
    };
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&image)?;
    writer.finish()?;
    Ok(bytes)
}

/// How hard numbers of a palette are packed; more saves little.
const LEVEL: u8 = 4;

/// The colours of a picture, and of each pixel the number of its colour; `None` where they are more than a byte numbers.
/// What was drawn with is kept as it is; what smoothing mixes of it at edges is told apart in 32 steps of each of red,
/// green and blue.
fn indexed(pixels: impl Iterator<Item = Colour>, drawn_with: &[Colour]) -> Option<(Vec<Colour>, Vec<u8>)> {
    let mut palette: Vec<Colour> = Vec::new();
    let mut known: HashMap<Colour, u8, FixedState> = HashMap::default();
    let mut numbers = Vec::with_capacity(pixels.size_hint().0);
    let mut last = None;
    for pixel in pixels {
        let number = match last {
            Some((colour, number)) if colour == pixel => number,
            _ => match known.get(&pixel) {
                Some(number) => *number,
                None => {
                    let rounded = pixel.map(|v| v & 0xf8 | v >> 5);
                    let shown = if drawn_with.contains(&pixel) { pixel } else { rounded };
                    let at = palette.iter().position(|p| *p == shown).unwrap_or_else(|| {
                        palette.push(shown);
                        palette.len() - 1
                    });
                    let number = u8::try_from(at).ok()?;
                    known.insert(pixel, number);
                    number
                }
            },
        };
        last = Some((pixel, number));
        numbers.push(number);
    }
    Some((palette, numbers))
}

/// What is drawn on, and how mm become pixels.
struct Canvas {
    pixmap: Pixmap,
    place: Transform,
}

impl Canvas {
    fn new(frame: &Frame, [width, height]: [u32; 2]) -> Option<Self> {
        let mut pixmap = Pixmap::new(width, height)?;
        // White, and nothing shows through.
        pixmap.data_mut().fill(0xff);
        let scale = frame.per_mm as f32;
        let [left, top] = [frame.area.x0, frame.area.y0].map(|v| (-v * frame.per_mm) as f32);
        Some(Self { pixmap, place: Transform::from_row(scale, 0.0, 0.0, scale, left, top) })
    }

    fn draw(&mut self, mark: &Mark) {
        let Some(path) = traced(&mark.path()) else { return };
        if let Some(colour) = mark.fill().colour() {
            let rule = if matches!(mark, Mark::Text(_)) { FillRule::Winding } else { FillRule::EvenOdd };
            self.pixmap.fill_path(&path, &paint(colour), rule, self.place, None);
        }
        let pen = mark.pen();
        if pen == Pen::None {
            return;
        }
        let stroke = Stroke {
            width: pen.width() as f32,
            line_join: LineJoin::Round,
            // The library takes no empty array of dashes.
            dash: StrokeDash::new(pen.dashes().iter().map(|&d| d as f32).collect(), 0.0),
            ..Stroke::default()
        };
        self.pixmap.stroke_path(&path, &paint([0; 3]), &stroke, self.place, None);
    }
}

/// A path as the library has it; `None` of one that draws nothing.
fn traced(path: &BezPath) -> Option<Path> {
    let mut builder = PathBuilder::new();
    let at = |p: Point| (p.x as f32, p.y as f32);
    for element in path {
        match element {
            PathEl::MoveTo(p) => builder.move_to(at(p).0, at(p).1),
            PathEl::LineTo(p) => builder.line_to(at(p).0, at(p).1),
            PathEl::QuadTo(a, p) => builder.quad_to(at(a).0, at(a).1, at(p).0, at(p).1),
            PathEl::CurveTo(a, b, p) => builder.cubic_to(at(a).0, at(a).1, at(b).0, at(b).1, at(p).0, at(p).1),
            PathEl::ClosePath => builder.close(),
        }
    }
    builder.finish()
}

fn paint([r, g, b]: [u8; 3]) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color_rgba8(r, g, b, 0xff);
    paint
}

#[cfg(test)]
mod tests {
    use png::Transformations;

    use super::*;
    use crate::drawing::paper::Paper;
    use crate::drawing::style::Fill;
    use crate::drawing::{Anchor, Group, Text};
    use crate::terms::PaperSize;

    fn sheet(draw: impl FnOnce(&mut Group)) -> Sheet {
        let mut group = Group::new("all", "figure");
        draw(&mut group);
        let paper = Paper::sheet(PaperSize::A4, false);
        Sheet { title: "One".into(), paper, scale: "1:1".into(), groups: vec![group] }
    }

    /// Width, and the pixels as red, green, blue.
    fn decoded(bytes: &[u8]) -> (usize, Vec<[u8; 3]>, Option<PixelDimensions>) {
        let mut decoder = png::Decoder::new(std::io::Cursor::new(bytes));
        decoder.set_transformations(Transformations::EXPAND);
        let mut reader = decoder.read_info().expect("a PNG");
        let mut pixels = vec![0; reader.output_buffer_size().expect("a size")];
        let info = reader.next_frame(&mut pixels).expect("pixels");
        assert_eq!((info.color_type, info.bit_depth), (ColorType::Rgb, BitDepth::Eight));
        let dims = reader.info().pixel_dims;
        (info.width as usize, pixels.chunks(3).map(|p| [p[0], p[1], p[2]]).collect(), dims)
    }

    /// Ten pixels a mm around a place, and what is seen `at` mm of the sheet.
    fn shown(sheet: &Sheet, area: Rect, at: &[(f64, f64)]) -> Vec<[u8; 3]> {
        let (width, pixels, _) = decoded(&write(sheet, &Frame { area, per_mm: 10.0 }).expect("a picture"));
        let pixel = |p: &(f64, f64)| {
            let [x, y] = [p.0 - area.x0, p.1 - area.y0].map(|v| (v * 10.0) as usize);
            pixels[y * width + x]
        };
        at.iter().map(pixel).collect()
    }

    #[test]
    fn colours_that_were_drawn_with_are_kept_and_those_of_edges_nearly() {
        let drawn_with = [[248, 245, 238], [101, 102, 103]];
        let mixed = [[174, 173, 170], [1, 2, 3], [250, 251, 252]];
        let pixels = || drawn_with.into_iter().chain(mixed).chain(drawn_with);
        let (palette, numbers) = indexed(pixels(), &drawn_with).expect("few colours");
        let shown: Vec<Colour> = numbers.iter().map(|n| palette[usize::from(*n)]).collect();
        assert!(shown[..2] == drawn_with && shown[5..] == drawn_with, "{shown:?}");
        let off = |a: u8, b: u8| a.abs_diff(b) < 8;
        assert!(pixels().zip(&shown).all(|(a, b)| a.into_iter().zip(*b).all(|(a, b)| off(a, b))), "{shown:?}");
        // Every pixel of another colour, all of them drawn with: no palette takes them.
        let many: Vec<Colour> = (0..=255).flat_map(|r| [[r, 0, 0], [r, 1, 0]]).collect();
        assert_eq!(indexed(many.iter().copied(), &many), None);
        assert_eq!(indexed(many.iter().copied().take(256), &many).map(|(palette, _)| palette.len()), Some(256));
    }

    #[test]
    fn a_picture_of_many_colours_has_them_all() {
        let mut pixmap = Pixmap::new(32, 32).expect("small");
        let colours: Vec<Colour> = (0..1024u32).map(|i| [(i / 4) as u8, (i % 4) as u8 * 60, 7]).collect();
        for (pixel, colour) in pixmap.data_mut().chunks_exact_mut(4).zip(&colours) {
            pixel[..3].copy_from_slice(colour);
        }
        let (_, pixels, _) = decoded(&encoded(&pixmap, &colours, 1.0).expect("a picture"));
        assert_eq!(pixels, colours);
    }

    #[test]
    fn a_sheet_has_the_size_that_is_asked_for_and_says_its_resolution() {
        let (width, pixels, dims) = decoded(&write(&sheet(|_| ()), &Frame::whole(&sheet(|_| ()), 1050)).expect("one"));
        // A4 is 210 × 297 mm (ISO 216): 5 pixels a mm, 5000 a metre.
        assert_eq!((width, pixels.len()), (1050, 1050 * 1485));
        let dims = dims.expect("a resolution");
        assert_eq!((dims.xppu, dims.yppu, dims.unit == Unit::Meter), (5000, 5000, true));
        assert!(pixels.iter().all(|p| *p == WHITE));
    }

    #[test]
    fn marks_have_their_width_colour_and_place() {
        let sheet = sheet(|g| {
            g.line((10.0, 20.0), (30.0, 20.0), Pen::Wide);
            g.path([[(40.0, 10.0), (50.0, 10.0), (50.0, 30.0), (40.0, 30.0)]], true, Pen::None, Fill::Shade);
            let inner = [(62.0, 12.0), (68.0, 12.0), (68.0, 28.0), (62.0, 28.0)];
            let outer = [(60.0, 10.0), (70.0, 10.0), (70.0, 30.0), (60.0, 30.0)];
            g.path([outer, inner], true, Pen::None, Fill::Ink);
            g.line((10.0, 25.0), (30.0, 25.0), Pen::Dashed);
            g.circle((80.0, 20.0), 5.0, Pen::Narrow, Fill::Tint);
            g.arrow((95.0, 20.0), (1.0, 0.0));
        });
        let see = |at: &[(f64, f64)]| shown(&sheet, Rect::new(5.0, 5.0, 100.0, 40.0), at);
        // Half a wide line, 0.25 mm, lies on either side; a pixel is 0.1 mm.
        assert_eq!(see(&[(20.05, 19.85), (20.05, 20.15)]), [BLACK; 2]);
        assert_eq!(see(&[(20.05, 19.65), (20.05, 20.35), (9.8, 20.0), (30.2, 20.0)]), [WHITE; 4]);
        assert_eq!(see(&[(45.0, 20.0)]), [Fill::Shade.colour().expect("a colour")]);
        assert_eq!(see(&[(61.0, 20.0), (65.0, 20.0)]), [BLACK, WHITE]);
        // Dashes of 3 mm and gaps of 1 mm.
        assert_eq!(see(&[(11.0, 25.0), (13.5, 25.0), (15.0, 25.0)]), [BLACK, WHITE, BLACK]);
        assert_eq!(see(&[(80.0, 20.0), (85.0, 20.0)]), [Fill::Tint.colour().expect("a colour"), BLACK]);
        assert_eq!(see(&[(93.0, 20.0), (95.2, 20.0), (92.5, 21.0)]), [BLACK, WHITE, WHITE]);
    }

    #[test]
    fn lettering_is_inked_where_it_stands() {
        // The stem of an upright I, and the same letter lying on its back, to be read from the right.
        let sheet = sheet(|g| {
            g.text(Text::new((20.0, 30.0), 10.0, Anchor::Middle, "I").bold());
            g.text(Text::new((50.0, 30.0), 10.0, Anchor::Middle, "I").turned(-90.0).bold());
        });
        let see = |at: &[(f64, f64)]| shown(&sheet, Rect::new(0.0, 0.0, 60.0, 40.0), at);
        assert_eq!(see(&[(20.0, 20.5), (20.0, 25.0), (20.0, 29.5)]), [BLACK; 3]);
        assert_eq!(see(&[(20.0, 19.5), (20.0, 30.5), (17.0, 25.0), (23.0, 25.0)]), [WHITE; 4]);
        assert_eq!(see(&[(40.5, 30.0), (49.5, 30.0)]), [BLACK; 2]);
        assert_eq!(see(&[(39.5, 30.0), (50.5, 30.0), (45.0, 27.0)]), [WHITE; 3]);
    }

    #[test]
    fn the_same_sheet_gives_the_same_bytes_and_an_impossible_size_an_error() {
        let sheet = sheet(|g| g.text(Text::new((20.0, 30.0), 10.0, Anchor::Start, "25° é")));
        let frame = Frame::whole(&sheet, 800);
        let written = || write(&sheet, &frame).expect("a picture");
        assert_eq!(written(), written());
        for per_mm in [0.0, -1.0, f64::NAN, 1e9] {
            let refused = write(&sheet, &Frame { per_mm, ..frame });
            assert!(matches!(refused, Err(NotPng::Size { .. })), "{per_mm}");
        }
    }
}
