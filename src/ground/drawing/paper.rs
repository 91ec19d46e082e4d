//! Sheets and scales.

use kurbo::{Insets, Rect, Size};

use crate::terms::PaperSize;

/// Margin for filing, at the left, mm (ISO 5457).
pub const FILING_MARGIN: f64 = 20.0;
/// The other margins, mm (ISO 5457).
pub const MARGIN: f64 = 10.0;

/// Margin of small papers, which are not filed, mm.
pub const SMALL_MARGIN: f64 = 7.0;

/// A sheet of paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paper {
    /// Its size.
    pub size: PaperSize,
    /// Whether its long side lies level.
    pub landscape: bool,
}

impl Paper {
    /// A sheet to draw on.
    pub fn sheet(size: PaperSize, landscape: bool) -> Self {
        Self { size, landscape }
    }

    /// Width and height, mm: ISO 216 (A series), ANSI/ASME Y14.1 (Letter), and cards as they are sold.
    pub fn extent(self) -> Size {
        let (short, long) = match self.size {
            PaperSize::A4 => (210.0, 297.0),
            PaperSize::A3 => (297.0, 420.0),
            PaperSize::Letter => (215.9, 279.4),
            PaperSize::A5 => (148.0, 210.0),
            PaperSize::HalfLetter => (139.7, 215.9),
            PaperSize::Index => (76.2, 127.0),
        };
        if self.landscape { (long, short) } else { (short, long) }.into()
    }

    /// All of it, mm.
    pub fn area(self) -> Rect {
        self.extent().to_rect()
    }

    /// The frame, mm.
    pub fn frame(self) -> Rect {
        if self.size.takes_drawings() {
            self.area() - Insets::new(FILING_MARGIN, MARGIN, MARGIN, MARGIN)
        } else {
            self.area() - Insets::uniform(SMALL_MARGIN)
        }
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        match self.size {
            PaperSize::A4 => "A4",
            PaperSize::A3 => "A3",
            PaperSize::Letter => "Letter",
            PaperSize::A5 => "A5",
            PaperSize::HalfLetter => "half Letter",
            PaperSize::Index => "3 × 5 in",
        }
    }
}

/// A scale of ISO 5455.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Paper mm for one mm of the thing.
    pub factor: f64,
    /// As it is written.
    pub name: &'static str,
}

/// Of sheets that draw nothing to scale.
pub const NONE: Scale = Scale { factor: 1.0, name: "–" };
/// Ten times full size.
pub const TEN_TIMES: Scale = Scale { factor: 10.0, name: "10:1" };
/// Five times full size.
pub const FIVE_TIMES: Scale = Scale { factor: 5.0, name: "5:1" };
/// Twice full size.
pub const TWICE: Scale = Scale { factor: 2.0, name: "2:1" };
/// Full size.
pub const FULL: Scale = Scale { factor: 1.0, name: "1:1" };
/// Half size.
pub const HALF: Scale = Scale { factor: 0.5, name: "1:2" };
/// A fifth.
pub const FIFTH: Scale = Scale { factor: 0.2, name: "1:5" };
/// A tenth.
pub const TENTH: Scale = Scale { factor: 0.1, name: "1:10" };
/// A twentieth.
pub const TWENTIETH: Scale = Scale { factor: 0.05, name: "1:20" };

impl Scale {
    /// The scale that is written `name`, or none.
    pub fn named(name: &str) -> Self {
        [TEN_TIMES, FIVE_TIMES, TWICE, FULL, HALF, FIFTH, TENTH, TWENTIETH]
            .into_iter()
            .find(|s| s.name == name)
            .unwrap_or(NONE)
    }
}
