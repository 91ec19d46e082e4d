//! Line widths and lettering heights.
//!
//! Lines of the 0.5 mm group: wide 0.5, narrow 0.25, ratio 2:1 (ISO 128-2). Lettering 3.5 mm for values and 2.5 mm at
//! the least (ISO 3098-1).

/// Wide line, mm.
pub const WIDE: f64 = 0.5;
/// Narrow line, mm.
pub const NARROW: f64 = 0.25;
/// Lettering of values, mm.
pub const VALUE: f64 = 3.5;
/// Smallest lettering, mm.
pub const SMALL: f64 = 2.5;
/// Lettering of titles, mm.
pub const LARGE: f64 = 5.0;
/// Length of an arrowhead, mm.
pub const ARROW: f64 = 3.0;
/// Half the width of an arrowhead, mm: 15° of opening in all.
pub const ARROW_HALF: f64 = 0.4;
/// Clear space kept around lettering, mm.
pub const CLEAR: f64 = 0.4;

/// Width and kind of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pen {
    /// Visible outlines.
    Wide,
    /// Dimensions, hatching, thin outlines.
    Narrow,
    /// What is hidden or not measured.
    Dashed,
    /// Centre lines and cutting planes.
    Chain,
    /// Adjacent parts: what is not drawn for its own sake (ISO 128-2, long-dashed double-dotted, from memory).
    DoubleDot,
    /// No line.
    None,
}

impl Pen {
    /// Width of the line, mm.
    pub fn width(self) -> f64 {
        match self {
            Pen::Wide => WIDE,
            Pen::Narrow | Pen::Dashed | Pen::Chain | Pen::DoubleDot => NARROW,
            Pen::None => 0.0,
        }
    }

    /// Lengths of dashes and gaps in turn, mm; none for a full line.
    pub fn dashes(self) -> &'static [f64] {
        match self {
            Pen::Dashed => &[3.0, 1.0],
            Pen::Chain => &[8.0, 1.0, 0.5, 1.0],
            Pen::DoubleDot => &[8.0, 1.0, 0.5, 1.0, 0.5, 1.0],
            Pen::Wide | Pen::Narrow | Pen::None => &[],
        }
    }
}

/// Fill of an area.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fill {
    /// None: what is below shows.
    None,
    /// Paper white: covers what is below.
    Paper,
    /// A light tint for raised or cut material.
    Tint,
    /// A lighter tint for what is not part of the thing drawn.
    Pale,
    /// A surface of a solid that lies in the light: its top.
    Lit,
    /// One in half light: to the left.
    Half,
    /// One in shade: to the right, or below.
    Shade,
    /// The floor of lettering that is sunk and the top of what is raised: dark, so that it can be read.
    Deep,
    /// The walls of such lettering.
    Dim,
    /// As dark as the lines.
    Ink,
}

impl Fill {
    /// Red, green and blue; none where nothing is filled.
    pub fn colour(self) -> Option<[u8; 3]> {
        match self {
            Fill::None => None,
            Fill::Paper => Some([0xff, 0xff, 0xff]),
            Fill::Tint => Some([0xe6, 0xe1, 0xd6]),
            Fill::Pale => Some([0xf4, 0xf3, 0xf0]),
            Fill::Lit => Some([0xf8, 0xf5, 0xee]),
            Fill::Half => Some([0xe6, 0xe1, 0xd6]),
            Fill::Shade => Some([0xcb, 0xc3, 0xb2]),
            Fill::Deep => Some([0x4d, 0x46, 0x3a]),
            Fill::Dim => Some([0x8c, 0x82, 0x6e]),
            Fill::Ink => Some([0x00, 0x00, 0x00]),
        }
    }
}
