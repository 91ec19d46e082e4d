//! The file to fill in: every length of the piece with room for its readings.

use super::piece::Piece;
use super::readings::READ_WITHIN;
use super::{Axis, LengthKind};
use crate::units::{Units, short};

/// The form for `piece`, readings to be in `units`.
pub fn text(piece: &Piece, units: Units) -> String {
    // Nominal lengths are millimetres whatever the caliper reads.
    let mm = |length: f64| match units {
        Units::Mm => short(length, 3),
        Units::Inch => format!("\"{} mm\"", short(length, 3)),
    };
    let list = |axis: Axis, kind: LengthKind| {
        let of = piece.distances().into_iter().filter(|d| d.axis == axis && d.kind == kind);
        let rows: Vec<String> =
            of.map(|d| format!("      {{ \"length\": {}, \"readings\": [null, null, null] }}", mm(d.length))).collect();
        format!("    \"{}\": [\n{}\n    ]", kind.field(), rows.join(",\n"))
    };
    let part = |axis: Axis| {
        let lists: Vec<String> = LengthKind::ALL.iter().map(|kind| list(axis, *kind)).collect();
        format!("  \"{}\": {{\n{}\n  }}", axis.name(), lists.join(",\n"))
    };
    let axes: Vec<String> = Axis::ALL.iter().map(|axis| part(*axis)).collect();
    format!(
        "{{\n  \"format\": 1,\n  \"units\": \"{}\",\n  \"notes\": \"Printer, filament, slicer settings:\",\n  \"instrument\": null,\n  \"within\": {},\n{}\n}}\n",
        units.symbol(),
        mm(READ_WITHIN),
        axes.join(",\n")
    )
}
