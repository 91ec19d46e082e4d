//! Trade words that files, flags and code share, one type each.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::units::{Units, Written};

/// Thinnest and thickest blade, and lowest and highest side land, that any reader takes, mm: beyond the plane irons,
/// knives and mortise chisels that a guide clamps (common practice, no source).
pub const BLADE_THICKNESS: [f64; 2] = [0.2, 25.0];

/// Narrowest and widest blade that any reader takes, mm (common practice, no source).
pub const BLADE_WIDTH: [f64; 2] = [0.5, 150.0];

/// Least and greatest angle of a blade's back against its underside that any reader takes, degrees; positive where the
/// blade is thicker at the edge (common practice, no source).
pub const BLADE_TAPER: [f64; 2] = [-5.0, 5.0];

/// Which of a guide's seats a blade goes in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum SeatName {
    /// The seat for plane irons.
    Iron,
    /// The seat for chisels.
    Chisel,
}

impl SeatName {
    /// The seat's name as files write it.
    pub fn name(self) -> &'static str {
        match self {
            SeatName::Iron => "iron",
            SeatName::Chisel => "chisel",
        }
    }
}

impl std::fmt::Display for SeatName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(self.name())
    }
}

/// What of the blade a seat locates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Locates {
    /// The blade lies on the seat.
    Underside,
    /// The blade is pressed up against the seat.
    Back,
    /// A groove grips the blade's side lands.
    Sides,
}

impl Locates {
    /// The word files use.
    pub fn name(self) -> &'static str {
        match self {
            Locates::Underside => "underside",
            Locates::Back => "back",
            Locates::Sides => "sides",
        }
    }
}

/// What the length between two heights of a blade's back lies along.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Along {
    /// The blade's back.
    #[default]
    Back,
    /// The plate.
    Plate,
}

/// Where the roller runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Arrangement {
    /// Between the blade and the stone.
    Centre,
    /// Two rollers, one on each side of the blade.
    Pair,
}

/// One of the block's two long edges.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[schemars(rename = "EdgeFile")]
pub enum Edge {
    /// The edge toward the user.
    Near,
    /// The edge away from the user.
    Far,
}

impl Edge {
    /// The edge's name as files write it.
    pub fn name(self) -> &'static str {
        match self {
            Edge::Near => "near",
            Edge::Far => "far",
        }
    }
}

/// How a block is lettered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Labels {
    /// Sunk into the top of the raised middle.
    #[default]
    Sunk,
    /// Raised above it.
    Raised,
    /// None.
    None,
}

/// A plastic that blocks are printed in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub enum Filament {
    /// Polylactide.
    #[default]
    #[serde(rename = "PLA")]
    Pla,
    /// Glycol-modified polyethylene terephthalate.
    #[serde(rename = "PETG")]
    Petg,
    /// Acrylonitrile butadiene styrene.
    #[serde(rename = "ABS")]
    Abs,
    /// Acrylonitrile styrene acrylate.
    #[serde(rename = "ASA")]
    Asa,
    /// Polyamide.
    #[serde(rename = "PA")]
    Pa,
    /// Polycarbonate.
    #[serde(rename = "PC")]
    Pc,
}

impl Filament {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Filament::Pla => "PLA",
            Filament::Petg => "PETG",
            Filament::Abs => "ABS",
            Filament::Asa => "ASA",
            Filament::Pa => "PA",
            Filament::Pc => "PC",
        }
    }

    /// Its usual density without fillers, g/cm³: common figures of the trade, from memory; makers state their own.
    pub fn density(self) -> f64 {
        match self {
            Filament::Pla => 1.24,
            Filament::Petg => 1.27,
            Filament::Abs => 1.04,
            Filament::Asa => 1.07,
            Filament::Pa => 1.14,
            Filament::Pc => 1.20,
        }
    }
}

/// Sizes of sheets that can be drawn on.
// Files name drawings' papers alone, so the schema says only what those are for; cards alone go on the smaller ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[schemars(rename = "SheetSize")]
pub enum PaperSize {
    /// 210 × 297 mm, ISO 216.
    A4,
    /// 297 × 420 mm, ISO 216.
    A3,
    /// 148 × 210 mm, ISO 216.
    #[serde(skip)]
    A5,
    /// 8.5 × 11 in.
    Letter,
    /// Half of a US Letter, 5.5 × 8.5 in.
    #[serde(skip)]
    HalfLetter,
    /// An index card of 3 × 5 in.
    #[serde(skip)]
    Index,
}

impl PaperSize {
    /// What a printer at home takes where lengths are in `units`: Letter for inches, else A4.
    pub fn at_home(units: Units) -> Self {
        match units {
            Units::Mm => PaperSize::A4,
            Units::Inch => PaperSize::Letter,
        }
    }

    /// Whether a drawing goes on it, with a margin to file it by; the smaller ones take cards.
    pub fn takes_drawings(self) -> bool {
        match self {
            PaperSize::A4 | PaperSize::A3 | PaperSize::Letter => true,
            PaperSize::A5 | PaperSize::HalfLetter | PaperSize::Index => false,
        }
    }
}

/// How the views of a drawing are arranged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum ProjectionAngle {
    /// A view stands on the side it is seen from.
    #[default]
    Third,
    /// A view stands on the side opposite to where it is seen from.
    First,
}

/// Groups of steels, by how keen and how tough their edges are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Steel {
    /// Plain carbon steel, also with a little chromium or tungsten.
    #[serde(rename = "plain-carbon")]
    PlainCarbon,
    /// Air-hardening steel with 5 % chromium, designation A2 (ASTM A681).
    A2,
    /// Air-hardening steel with 12 % chromium, designation D2 (ASTM A681).
    D2,
    /// Steels made from powder.
    #[serde(rename = "powder")]
    Powder,
    /// A thin hard steel welded to a soft back.
    #[serde(rename = "laminated")]
    Laminated,
}

impl Steel {
    /// The group in words.
    pub fn name(self) -> &'static str {
        match self {
            Steel::PlainCarbon => "plain carbon steel",
            Steel::A2 => "A2",
            Steel::D2 => "D2",
            Steel::Powder => "powder steel",
            Steel::Laminated => "laminated steel",
        }
    }
}

/// What a blade is used for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Use {
    /// Softwood.
    Softwood,
    /// Hardwood.
    Hardwood,
    /// Struck with a mallet.
    Chopping,
    /// Pushed by hand.
    Paring,
    /// Across the ends of the fibres.
    EndGrain,
    /// Wood whose grain runs now one way, now the other.
    ReversingGrain,
}

impl Use {
    /// The use in words.
    pub fn name(self) -> &'static str {
        match self {
            Use::Softwood => "softwood",
            Use::Hardwood => "hardwood",
            Use::Chopping => "chopping",
            Use::Paring => "paring",
            Use::EndGrain => "end grain",
            Use::ReversingGrain => "reversing grain",
        }
    }
}

/// Which way the bevel looks in a plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum BevelSide {
    /// Toward the sole: the bed alone is the cutting angle.
    Down,
    /// Away from the sole: the bevel adds to the bed.
    Up,
}

/// Bench planes by their work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum PlaneKind {
    /// Takes wood off fast.
    Jack,
    /// Makes straight and flat.
    Try,
    /// Leaves the surface.
    Smoother,
}

impl PlaneKind {
    /// The kind as files write it.
    pub fn name(self) -> &'static str {
        match self {
            PlaneKind::Jack => "jack",
            PlaneKind::Try => "try",
            PlaneKind::Smoother => "smoother",
        }
    }
}

/// What is done to a blade.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Done {
    /// The micro-bevel was honed.
    Honed,
    /// The primary bevel was ground anew, so that no micro-bevel is left.
    Reground,
}

impl Done {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Done::Honed => "honed",
            Done::Reground => "reground",
        }
    }
}

/// What the board is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum BoardMaterial {
    /// Plywood.
    #[default]
    Plywood,
    /// Medium-density fibreboard.
    Mdf,
    /// Solid timber.
    Timber,
}

/// How the grain of a timber board runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[schemars(rename = "GrainFile")]
pub enum Grain {
    /// Along the reference edges: fence distances lie across it.
    #[default]
    Along,
    /// From edge to edge: fence distances lie along it, and the reference edges are end grain.
    Across,
}

/// Lengths as reports and sheets give them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum LengthsShown {
    /// Millimetres.
    Mm,
    /// Inches and fractions.
    In,
    /// Both, millimetres first.
    Both,
}

impl LengthsShown {
    /// What a shop then reads, fractions of an inch as fine as 1/`denominator`.
    pub fn written(self, denominator: u32) -> Written {
        Written { mm: self != LengthsShown::In, inches: self != LengthsShown::Mm, denominator }
    }

    /// The unit of bare numbers beside it: its own, of both that of the file they go with.
    pub fn bare(self, of_file: Units) -> Units {
        match self {
            LengthsShown::Mm => Units::Mm,
            LengthsShown::In => Units::Inch,
            LengthsShown::Both => of_file,
        }
    }
}

/// The letter of the fence or part at `index`: A to Z, then AA, AB and so on.
pub fn letter(index: usize) -> String {
    let last = char::from(b'A' + (index % 26) as u8);
    if index < 26 { last.to_string() } else { letter(index / 26 - 1) + &last.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!([0, 25, 26, 51, 52, 701, 702].map(letter), ["A", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]);
    }
}
