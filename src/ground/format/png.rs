//! PNG from a sheet or a part of it, through the `zeno` and `png` crates: drawn as the SVG and the PDF draw it.
//!
//! The ground is white, lines and areas are smoothed, and lettering is filled along its outlines, so that no font and
//! no reader of SVG is needed. The file states its resolution. There is no date in it: the same sheet gives the same
//! bytes. Few colours are drawn with, so a pixel is a number in a palette, which takes little room and time.

use std::error::Error;

use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape};
use png::{BitDepth, ColorType, Compression, DeflateCompression, Encoder, Filter, PixelDimensions, Unit};
use zeno::{Command, Fill, Join, Mask, Point as Pixel, Scratch, Stroke, Style};

use super::palette::{Colour, Palette};
use crate::drawing::style::Pen;
use crate::drawing::{Mark, Sheet};

/// Most pixels along a side: beyond them the areas that `zeno` sums up overflow.
pub const MOST_PIXELS: u32 = 4096;

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
    /// The encoder failed, or a mark reaches farther beyond the picture than areas can be summed up.
    #[error("the picture was refused")]
    Refused(#[source] Box<dyn Error + Send + Sync>),
}

/// The part of `sheet` that `frame` shows.
///
/// # Errors
/// [`NotPng`].
pub fn write(sheet: &Sheet, frame: &Frame) -> Result<Vec<u8>, NotPng> {
    let marks = || sheet.groups.iter().flat_map(|group| &group.marks);
    let areas = marks().filter_map(|mark| mark.fill().colour());
    let mut canvas = Canvas::new(frame, frame.pixels()?, areas);
    for mark in marks() {
        canvas.draw(mark)?;
    }
    encoded(&canvas, frame.per_mm).map_err(|cause| NotPng::Refused(cause.into()))
}

const BLACK: Colour = [0; 3];
const WHITE: Colour = [0xff; 3];

fn encoded(canvas: &Canvas, per_mm: f64) -> Result<Vec<u8>, png::EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, canvas.width, canvas.height);
    encoder.set_depth(BitDepth::Eight);
    let per_metre = (1000.0 * per_mm).round() as u32;
    encoder.set_pixel_dims(Some(PixelDimensions { xppu: per_metre, yppu: per_metre, unit: Unit::Meter }));
    let (pixels, colours) = (canvas.pixels.iter(), canvas.palette.colours());
    let image: Vec<u8> = if colours.len() <= NUMBERED {
        encoder.set_color(ColorType::Indexed);
        encoder.set_palette(colours.concat());
        // Neighbouring numbers of a palette have nothing to do with each other.
        encoder.set_filter(Filter::NoFilter);
        encoder.set_deflate_compression(DeflateCompression::Level(LEVEL));
        pixels.map(|number| *number as u8).collect()
    } else {
        encoder.set_color(ColorType::Rgb);
        encoder.set_compression(Compression::Fast);
        pixels.flat_map(|number| colours[usize::from(*number)]).collect()
    };
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&image)?;
    writer.finish()?;
    Ok(bytes)
}

/// Colours that a byte numbers: a picture of more has each pixel's own.
const NUMBERED: usize = 256;
/// How hard numbers of a palette are packed; more saves little.
const LEVEL: u8 = 4;

/// What is drawn on, and how mm become pixels.
struct Canvas {
    width: u32,
    height: u32,
    /// By their numbers in the palette.
    pixels: Vec<u16>,
    palette: Palette,
    place: Affine,
    per_mm: f32,
    /// Room that is used again for every mark.
    mask: Vec<u8>,
    scratch: Scratch,
}

impl Canvas {
    /// A white one, for lines and for areas of these colours.
    fn new(frame: &Frame, [width, height]: [u32; 2], areas: impl IntoIterator<Item = Colour>) -> Self {
        // White is not the first, as a system hands out zeros late: each page of them when it is first written to.
        let mut palette = Palette::of([BLACK, WHITE].into_iter().chain(areas));
        Self {
            width,
            height,
            pixels: vec![palette.number(WHITE); width as usize * height as usize],
            palette,
            place: Affine::scale(frame.per_mm) * Affine::translate(-frame.area.origin().to_vec2()),
            per_mm: frame.per_mm as f32,
            mask: Vec::new(),
            scratch: Scratch::new(),
        }
    }

    fn draw(&mut self, mark: &Mark) -> Result<(), NotPng> {
        let path = self.place * mark.path();
        let pen = mark.pen();
        let width = pen.width() as f32 * self.per_mm;
        let reach = path.bounding_box().inflate(f64::from(width), f64::from(width));
        let all = Rect::new(0.0, 0.0, self.width.into(), self.height.into());
        if reach.intersect(all).is_zero_area() {
            return Ok(());
        }
        let most = f64::from(MOST_PIXELS);
        if !Rect::new(-most, -most, 2.0 * most, 2.0 * most).contains_rect(reach) {
            return Err(NotPng::Refused("a mark reaches far beyond it".into()));
        }
        let path = traced(&path);
        if let Some(colour) = mark.fill().colour() {
            self.cover(&path, if matches!(mark, Mark::Text(_)) { Fill::NonZero } else { Fill::EvenOdd }, colour);
        }
        if pen != Pen::None {
            let dashes: Vec<f32> = pen.dashes().iter().map(|&d| d as f32 * self.per_mm).collect();
            let stroke = Stroke { width, join: Join::Round, dashes: &dashes, ..Stroke::default() };
            self.cover(&path, stroke, BLACK);
        }
        Ok(())
    }

    /// Lays a colour where a path is, as thinly at its edges as it covers the pixels there.
    fn cover<'a>(&mut self, path: &[Command], style: impl Into<Style<'a>>, colour: Colour) {
        let mut mask = Mask::with_scratch(path, &mut self.scratch);
        let mask = mask.style(style);
        let bytes = &mut self.mask;
        let place = mask
            .inspect(|format, width, height| {
                bytes.clear();
                bytes.resize(format.buffer_size(width, height), 0);
            })
            .render_into(bytes, None);
        let [width, height] = [self.width, self.height].map(i64::from);
        let [left, top] = [place.left, place.top].map(i64::from);
        let from = (-left).clamp(0, place.width.into()) as usize;
        let to = (width - left).clamp(0, place.width.into()) as usize;
        if from == to {
            return;
        }
        let colour = self.palette.number(colour);
        for (y, row) in (top..).zip(self.mask.chunks_exact(place.width as usize)) {
            if !(0..height).contains(&y) {
                continue;
            }
            let start = (y * width + left + from as i64) as usize;
            lay(&mut self.pixels[start..start + to - from], &row[from..to], colour, &mut self.palette);
        }
    }
}

/// Lays a colour over a row of pixels. Most of a row is clear or full, which is told many pixels at a time.
fn lay(pixels: &mut [u16], covers: &[u8], colour: u16, palette: &mut Palette) {
    let (many, rest) = covers.as_chunks();
    let (many_pixels, rest_of_pixels) = pixels.split_at_mut(many.len() * TOGETHER);
    for (pixels, covers) in many_pixels.chunks_exact_mut(TOGETHER).zip(many) {
        match u128::from_ne_bytes(*covers) {
            0 => {}
            u128::MAX => pixels.fill(colour),
            _ => lay_each(pixels, covers, colour, palette),
        }
    }
    lay_each(rest_of_pixels, rest, colour, palette);
}

/// Pixels that are looked at together.
const TOGETHER: usize = size_of::<u128>();

fn lay_each(pixels: &mut [u16], covers: &[u8], colour: u16, palette: &mut Palette) {
    for (pixel, &cover) in pixels.iter_mut().zip(covers) {
        match cover {
            0 => {}
            u8::MAX => *pixel = colour,
            cover => *pixel = palette.mixed(*pixel, colour, cover),
        }
    }
}

/// A path as the library has it.
fn traced(path: &BezPath) -> Vec<Command> {
    let at = |p: Point| Pixel::new(p.x as f32, p.y as f32);
    let command = |element: &PathEl| match *element {
        PathEl::MoveTo(p) => Command::MoveTo(at(p)),
        PathEl::LineTo(p) => Command::LineTo(at(p)),
        PathEl::QuadTo(a, p) => Command::QuadTo(at(a), at(p)),
        PathEl::CurveTo(a, b, p) => Command::CurveTo(at(a), at(b), at(p)),
        PathEl::ClosePath => Command::Close,
    };
    path.elements().iter().map(command).collect()
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
    fn a_picture_of_few_or_of_many_colours_has_them_all() {
        let area = Rect::new(0.0, 0.0, 32.0, 32.0);
        let colours: Vec<Colour> = (0..1024u32).map(|i| [(i / 4) as u8, (i % 4) as u8 * 60, 7]).collect();
        // With black and white, which are always there: 256, 257 and 1026.
        for areas in [&colours[..254], &colours[..255], &colours[..]] {
            let mut canvas = Canvas::new(&Frame { area, per_mm: 1.0 }, [32, 32], areas.iter().copied());
            canvas.pixels = (0..1024).map(|i| 2 + i % areas.len() as u16).collect();
            let (_, pixels, _) = decoded(&encoded(&canvas, 1.0).expect("a picture"));
            assert_eq!(pixels, areas.iter().copied().cycle().take(1024).collect::<Vec<_>>());
        }
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
