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
    let few = Canvas::<u8>::drawn(sheet, frame)?;
    let written = match few.numbered() {
        Some(written) => written,
        None => Canvas::<u16>::drawn(sheet, frame)?.coloured(),
    };
    written.map_err(|cause| NotPng::Refused(cause.into()))
}

const BLACK: Colour = [0; 3];
const WHITE: Colour = [0xff; 3];

/// Colours that a byte numbers: a picture of more has each pixel's own.
const NUMBERED: usize = 256;
/// How hard numbers of a palette are packed; more saves little.
const LEVEL: u8 = 3;

/// A pixel: the number of its colour in the palette.
trait Number: Copy {
    /// Where the palette has grown beyond what this numbers, some other number: [`Canvas::numbered`] then gives nothing.
    fn of(number: u16) -> Self;
    /// The number.
    fn get(self) -> u16;
}

impl Number for u8 {
    fn of(number: u16) -> Self {
        number as Self
    }

    fn get(self) -> u16 {
        self.into()
    }
}

impl Number for u16 {
    fn of(number: u16) -> Self {
        number
    }

    fn get(self) -> u16 {
        self
    }
}

/// What is drawn on, and how mm become pixels.
struct Canvas<N> {
    width: u32,
    height: u32,
    pixels: Vec<N>,
    palette: Palette,
    place: Affine,
    per_mm: f64,
    /// Room that is used again for every mark.
    mask: Vec<u8>,
    scratch: Scratch,
}

impl<N: Number> Canvas<N> {
    /// All of a sheet's marks on white.
    fn drawn(sheet: &Sheet, frame: &Frame) -> Result<Self, NotPng> {
        let marks = || sheet.groups.iter().flat_map(|group| &group.marks);
        let mut canvas = Self::new(frame, frame.pixels()?, marks().filter_map(|mark| mark.fill().colour()));
        for mark in marks() {
            canvas.draw(mark)?;
        }
        Ok(canvas)
    }

    /// A white one, for lines and for areas of these colours.
    fn new(frame: &Frame, [width, height]: [u32; 2], areas: impl IntoIterator<Item = Colour>) -> Self {
        // White is not the first, as a system hands out zeros late: each page of them when it is first written to.
        let mut palette = Palette::of([BLACK, WHITE].into_iter().chain(areas));
        Self {
            width,
            height,
            pixels: vec![N::of(palette.number(WHITE)); width as usize * height as usize],
            palette,
            place: Affine::scale(frame.per_mm) * Affine::translate(-frame.area.origin().to_vec2()),
            per_mm: frame.per_mm,
            mask: Vec::new(),
            scratch: Scratch::new(),
        }
    }

    /// The file, once the kind of its pixels is set and they are known.
    fn encoded(&self, kind: impl FnOnce(&mut Encoder<'_, &mut Vec<u8>>), pixels: &[u8]) -> Encoded {
        let mut bytes = Vec::new();
        let mut encoder = Encoder::new(&mut bytes, self.width, self.height);
        encoder.set_depth(BitDepth::Eight);
        let per_metre = (1000.0 * self.per_mm).round() as u32;
        encoder.set_pixel_dims(Some(PixelDimensions { xppu: per_metre, yppu: per_metre, unit: Unit::Meter }));
        kind(&mut encoder);
        let mut writer = encoder.write_header()?;
        writer.write_image_data(pixels)?;
        writer.finish()?;
        Ok(bytes)
    }

    fn draw(&mut self, mark: &Mark) -> Result<(), NotPng> {
        let path = self.place * mark.path();
        let pen = mark.pen();
        let width = pen.width() * self.per_mm;
        let reach = path.bounding_box().inflate(width, width);
        let all = Rect::new(0.0, 0.0, self.width.into(), self.height.into());
        if reach.intersect(all).is_zero_area() {
            return Ok(());
        }
        let most = f64::from(MOST_PIXELS);
        if !Rect::new(-most, -most, 2.0 * most, 2.0 * most).contains_rect(reach) {
            return Err(NotPng::Refused("a mark reaches far beyond it".into()));
        }
        let (parts, fill) = (apart(&path, width), mark.fill().colour());
        let rule = if matches!(mark, Mark::Text(_)) { Fill::NonZero } else { Fill::EvenOdd };
        let dashes: Vec<f32> = pen.dashes().iter().map(|d| (d * self.per_mm) as f32).collect();
        let stroke = Stroke { width: width as f32, join: Join::Round, dashes: &dashes, ..Stroke::default() };
        for part in parts {
            let part: Vec<Command> = part.into_iter().flatten().map(command).collect();
            if let Some(colour) = fill {
                self.cover(&part, rule, colour);
            }
            if pen != Pen::None {
                self.cover(&part, stroke, BLACK);
            }
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

type Encoded = Result<Vec<u8>, png::EncodingError>;

impl Canvas<u8> {
    /// The file with its palette; `None` where there are more colours than a byte numbers.
    fn numbered(&self) -> Option<Encoded> {
        let colours = self.palette.colours();
        let file = || {
            let palette = |encoder: &mut Encoder<'_, &mut Vec<u8>>| {
                encoder.set_color(ColorType::Indexed);
                encoder.set_palette(colours.concat());
                // Neighbouring numbers of a palette have nothing to do with each other.
                encoder.set_filter(Filter::NoFilter);
                encoder.set_deflate_compression(DeflateCompression::Level(LEVEL));
            };
            self.encoded(palette, &self.pixels)
        };
        (colours.len() <= NUMBERED).then(file)
    }
}

impl Canvas<u16> {
    /// The file with the colour of each pixel.
    fn coloured(&self) -> Encoded {
        let colours = self.palette.colours();
        let pixels: Vec<u8> = self.pixels.iter().flat_map(|number| colours[usize::from(*number)]).collect();
        let rgb = |encoder: &mut Encoder<'_, &mut Vec<u8>>| {
            encoder.set_color(ColorType::Rgb);
            encoder.set_compression(Compression::Fast);
        };
        self.encoded(rgb, &pixels)
    }
}

/// Lays a colour over a row of pixels. Most of a row is clear or full, which is told many pixels at a time.
fn lay<N: Number>(pixels: &mut [N], covers: &[u8], colour: u16, palette: &mut Palette) {
    let (many, rest) = covers.as_chunks();
    let (many_pixels, rest_of_pixels) = pixels.split_at_mut(many.len() * TOGETHER);
    for (pixels, covers) in many_pixels.chunks_exact_mut(TOGETHER).zip(many) {
        match u128::from_ne_bytes(*covers) {
            0 => {}
            u128::MAX => pixels.fill(N::of(colour)),
            _ => lay_each(pixels, covers, colour, palette),
        }
    }
    lay_each(rest_of_pixels, rest, colour, palette);
}

/// Pixels that are looked at together.
const TOGETHER: usize = size_of::<u128>();

fn lay_each<N: Number>(pixels: &mut [N], covers: &[u8], colour: u16, palette: &mut Palette) {
    for (pixel, &cover) in pixels.iter_mut().zip(covers) {
        match cover {
            0 => {}
            u8::MAX => *pixel = N::of(colour),
            cover => *pixel = N::of(palette.mixed(pixel.get(), colour, cover)),
        }
    }
}

/// The contours of a path, those together whose boxes meet where they are drawn with a pen `width` wide, all in pixels.
/// What lies apart is covered on its own: the time that the library takes grows with the pixels around a path, and in
/// each of their rows with the square of the edges there.
fn apart(path: &BezPath, width: f64) -> Vec<Vec<&[PathEl]>> {
    let mut parts: Vec<(Rect, Vec<&[PathEl]>)> = Vec::new();
    for contour in path.elements().chunk_by(|_, next| !matches!(next, PathEl::MoveTo(_))) {
        // A pixel more, so that no two parts cover the same one.
        let own = contour.bounding_box().inflate(width + 1.0, width + 1.0);
        let (mut area, mut contours) = (own, vec![contour]);
        for (met, others) in parts.extract_if(.., |(area, _)| area.overlaps(own)) {
            area = area.union(met);
            contours.extend(others);
        }
        parts.push((area, contours));
    }
    parts.into_iter().map(|(_, contours)| contours).collect()
}

/// A step of a path as the library has it.
fn command(element: &PathEl) -> Command {
    let at = |p: Point| Pixel::new(p.x as f32, p.y as f32);
    match *element {
        PathEl::MoveTo(p) => Command::MoveTo(at(p)),
        PathEl::LineTo(p) => Command::LineTo(at(p)),
        PathEl::QuadTo(a, p) => Command::QuadTo(at(a), at(p)),
        PathEl::CurveTo(a, b, p) => Command::CurveTo(at(a), at(b), at(p)),
        PathEl::ClosePath => Command::Close,
    }
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
            let (frame, numbers) = (Frame { area, per_mm: 1.0 }, (0..1024).map(|i| 2 + i % areas.len() as u16));
            let mut few = Canvas::<u8>::new(&frame, [32, 32], areas.iter().copied());
            few.pixels = numbers.clone().map(Number::of).collect();
            let mut many = Canvas::<u16>::new(&frame, [32, 32], areas.iter().copied());
            many.pixels = numbers.collect();
            let numbered = few.numbered();
            assert_eq!(numbered.is_some(), areas.len() == 254);
            for file in numbered.into_iter().chain([many.coloured()]) {
                let (_, pixels, _) = decoded(&file.expect("a picture"));
                assert_eq!(pixels, areas.iter().copied().cycle().take(1024).collect::<Vec<_>>());
            }
        }
    }

    /// Edges over edges of all shades mix more colours than a byte numbers.
    #[test]
    fn a_sheet_of_many_colours_is_written_with_each_pixels_own() {
        let fills = [Fill::Ink, Fill::Lit, Fill::Deep, Fill::Pale, Fill::Half, Fill::Dim, Fill::Shade, Fill::Tint];
        let triangle = |i: usize| {
            let at = |k: usize| [(37 * i + 11 * k) % 97, (53 * i + 29 * k) % 89].map(|v| 1.0 + 0.31 * v as f64);
            [0, 1, 2].map(|k| <(f64, f64)>::from(at(k * k + k)))
        };
        let kind = |count: usize| {
            let sheet =
                sheet(|g| (0..count).for_each(|i| g.path([triangle(i)], true, Pen::None, fills[i % fills.len()])));
            let file = write(&sheet, &Frame { area: Rect::new(0.0, 0.0, 32.0, 32.0), per_mm: 8.0 }).expect("a picture");
            let reader = png::Decoder::new(std::io::Cursor::new(&file)).read_info().expect("a PNG");
            reader.info().color_type
        };
        assert_eq!([kind(4), kind(4000)], [ColorType::Indexed, ColorType::Rgb]);
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
    fn contours_are_covered_together_where_one_pixel_may_have_two_of_them() {
        let square = |x: f64, y: f64, side: f64| Rect::from_origin_size((x, y), (side, side)).to_path(0.1);
        let counts = |squares: &[BezPath], width: f64| -> Vec<usize> {
            let path: BezPath = squares.iter().flatten().collect();
            let mut counts: Vec<usize> = apart(&path, width).iter().map(Vec::len).collect();
            counts.sort_unstable();
            counts
        };
        // A hole, one beside it, one far away; a wide pen reaches over; and one that meets two that lie apart.
        let [outer, hole, beside] = [square(0.0, 0.0, 10.0), square(3.0, 3.0, 4.0), square(13.0, 0.0, 10.0)];
        let far = square(60.0, 0.0, 10.0);
        let some = [far, outer, hole, beside];
        assert_eq!(counts(&some, 0.0), [1, 1, 2]);
        assert_eq!(counts(&some, 2.0), [1, 3]);
        assert_eq!(counts(&[&some[..], &[square(5.0, 5.0, 70.0)]].concat(), 0.0), [5]);
        assert_eq!(counts(&[], 0.0), [0; 0]);
    }

    /// What lies apart looks as it would alone.
    #[test]
    fn a_mark_of_many_contours_is_seen_as_marks_of_one_each() {
        let triangle = |i: usize| {
            let (x, y) = (6.0 + 7.3 * (i % 6) as f64, 8.0 + 6.1 * (i / 6) as f64);
            [(x, y), (x + 4.7, y + 1.3), (x + 0.9, y + 4.1)]
        };
        let picture = |draw: &dyn Fn(&mut Group)| {
            let area = Rect::new(0.0, 0.0, 60.0, 60.0);
            decoded(&write(&sheet(draw), &Frame { area, per_mm: 7.0 }).expect("a picture")).1
        };
        let together = picture(&|g| g.path((0..36).map(triangle), true, Pen::Wide, Fill::Shade));
        let alone = picture(&|g| (0..36).for_each(|i| g.path([triangle(i)], true, Pen::Wide, Fill::Shade)));
        assert!(together == alone && together.contains(&BLACK));
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
