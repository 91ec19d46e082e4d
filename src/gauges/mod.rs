//! Gauges to print or to cut: for bevels, for a cambered edge, for an edge square to the blade's side.
//!
//! A gauge is a flat plate. Its plan is polygons on the grid of 1 µm, as that of a block; solid, drawing and DXF are made
//! of the same polygons.
//!
//! 1. [`bevel`], [`camber`] and [`square`] plan the plates.
//! 2. [`plate`] makes them solid and letters them.
//! 3. [`sheets`] draws them at full size, with what is seen in use; [`files`] makes all that is written.
//! 4. [`light`] says what can be told of a blade against the light, printed or cut in metal.
//! 5. [`check`] reads the written STL, SVG and DXF back and measures every angle, curve and width in them.

pub mod bevel;
pub mod camber;
pub mod check;
pub mod files;
pub mod light;
mod of_job;
pub mod plate;
pub mod report;
pub mod section;
pub mod sheets;
pub mod square;

pub use of_job::{of_job, possible};

use bevel::{Asked, Bevel};
use camber::Camber;
use kurbo::Size;
use light::Making;
use square::Square;

use crate::job::PrintOptions;
use crate::stones::camber::curve::Curve;
use crate::terms::PaperSize;
use crate::units::Written;

/// Free bed around a plate, mm: room for a skirt (common practice, no source).
const AROUND: f64 = 5.0;
/// Largest plate, mm: drawn at full size it goes on an upright sheet of A4 or Letter with its dimensions.
const LARGEST: Size = Size::new(155.0, 150.0);

/// What a plate is for, and its measures.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// Notches for bevels.
    Bevel(Bevel),
    /// The counterpart of a cambered edge.
    Camber(Camber),
    /// A square.
    Square(Square),
}

impl Shape {
    /// What it is, in a few words.
    pub fn words(&self) -> &'static str {
        match self {
            Shape::Bevel(_) => "bevel gauge",
            Shape::Camber(_) => "camber gauge",
            Shape::Square(_) => "square",
        }
    }
}

/// A gauge of any shape in its plan.
pub type Plate = plate::Plate<Shape>;

/// The gauges that are wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// Bevels of blades; none for no bevel gauge.
    pub bevels: Vec<Asked>,
    /// How far off a bevel may be, ± degrees. Where the light cannot tell as much, the gauge claims more.
    pub tolerance: f64,
    /// Curves of edges with names of their own.
    pub cambers: Vec<(String, Curve)>,
    /// Width of the widest blade that a square is wanted for, mm.
    pub square_width: Option<f64>,
    /// How the gauges are made: what they can tell depends on it.
    pub making: Making,
    /// The printer.
    pub print: PrintOptions,
    /// Title of the sheets.
    pub title: String,
    /// How the lengths that plates and sheets state are written.
    pub written: Written,
    /// Paper of the sheets.
    pub paper: PaperSize,
}

impl Wanted {
    /// Whether any gauge is wanted.
    pub fn is_any(&self) -> bool {
        !self.bevels.is_empty() || !self.cambers.is_empty() || self.square_width.is_some()
    }

    /// The largest plate that bed and paper take, mm.
    pub fn room(&self) -> Size {
        LARGEST.min(self.print.bed - Size::new(2.0 * AROUND, 2.0 * AROUND))
    }

    /// A length as plates and sheets state it.
    pub(crate) fn said(&self, mm: f64) -> String {
        self.written.size(mm)
    }

    /// A length as a plate is lettered with it: in one unit, as it has little room.
    pub(crate) fn lettered(&self, mm: f64) -> String {
        self.written.first_alone().size(mm)
    }
}

/// Why gauges cannot be made as asked: every reason in words.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("no gauges can be made as asked:\n{}", .0.join("\n"))]
pub struct Refused(pub Vec<String>);

/// The plates of all that is wanted: bevels, cambers, square.
///
/// # Errors
/// [`Refused`] with all reasons.
pub fn plan(wanted: &Wanted) -> Result<Vec<Plate>, Refused> {
    let mut plates = Vec::new();
    let mut reasons = Vec::new();
    for planned in [
        bevel::plates(wanted).map(|plates| among(plates, Shape::Bevel)),
        camber::plates(wanted).map(|plates| among(plates, Shape::Camber)),
        square::plates(wanted).map(|plates| among(plates, Shape::Square)),
    ] {
        match planned {
            Ok(more) => plates.extend(more),
            Err(Refused(more)) => reasons.extend(more),
        }
    }
    if plates.is_empty() && reasons.is_empty() {
        reasons.push("nothing is asked for. Give --angles, --camber or --square, or a job.".into());
    }
    if reasons.is_empty() { Ok(plates) } else { Err(Refused(reasons)) }
}

fn among<S>(plates: Vec<plate::Plate<S>>, shapes: fn(S) -> Shape) -> Vec<Plate> {
    plates.into_iter().map(|plate| plate.among(shapes)).collect()
}

/// `gauge-KIND`, with a number where there are several.
fn name(kind: &str, index: usize, of: usize) -> String {
    if of == 1 { format!("gauge-{kind}") } else { format!("gauge-{kind}-{}", index + 1) }
}
