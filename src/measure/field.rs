//! The fields of a guide profile that questions fill in.

use std::fmt;

use crate::terms::SeatName;

/// What a question fills in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Field {
    /// `name`
    Name,
    /// `units`
    Units,
    /// `caliper.resolution`: not in the profile; the least that a reading can be off.
    Resolution,
    /// `instrument`
    Instrument,
    /// `roller.diameter`
    Diameter,
    /// `roller.arrangement`
    Arrangement,
    /// `roller.width`
    RollerWidth,
    /// `roller.gap`
    Gap,
    /// `face.over_roller`
    AxleToFace,
    /// `face.bottom_over_roller`
    FaceBottom,
    /// `face.width`
    FaceWidth,
    /// `seats`: which there are; with flags, those that have fields.
    Seats,
    /// A field of one seat.
    Seat(SeatName, Part),
    /// `notes`
    Notes,
    /// The last question: whether to write it all.
    Write,
}

/// A field of a seat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// `locates`
    Locates,
    /// `gauge`, the flat parallel clamped in the seat
    Parallel,
    /// `over_roller`
    OverRoller,
    /// `blade_width`
    BladeWidth,
    /// `blade_thickness`
    BladeThickness,
}

impl Field {
    /// Whether `--set` takes it; the two others only steer the questions.
    pub fn can_be_set(self) -> bool {
        !matches!(self, Field::Seats | Field::Write)
    }
}

impl fmt::Display for Field {
    /// The dotted path of the field in a profile.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Field::Name => "name",
            Field::Units => "units",
            Field::Resolution => "caliper.resolution",
            Field::Instrument => "instrument",
            Field::Diameter => "roller.diameter",
            Field::Arrangement => "roller.arrangement",
            Field::RollerWidth => "roller.width",
            Field::Gap => "roller.gap",
            Field::AxleToFace => "face.over_roller",
            Field::FaceBottom => "face.bottom_over_roller",
            Field::FaceWidth => "face.width",
            Field::Seats => "seats",
            Field::Notes => "notes",
            Field::Write => "write",
            Field::Seat(seat, part) => {
                let part = match part {
                    Part::Locates => "locates",
                    Part::Parallel => "gauge",
                    Part::OverRoller => "over_roller",
                    Part::BladeWidth => "blade_width",
                    Part::BladeThickness => "blade_thickness",
                };
                return write!(f, "seats.{seat}.{part}");
            }
        })
    }
}
