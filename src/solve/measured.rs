//! What was measured for one seat and one blade: the input quantities of the measurement model.

use num_dual::DualNum;

use super::projection;
use super::section::Section;
use crate::guide::{Blade, Guide, Root, Seat, Taken};
use crate::input::length::{Angle, Length};
use crate::terms::Locates;
use crate::trig::Trig;

/// An input quantity of the setting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(usize)]
pub enum Quantity {
    /// Roller diameter D.
    Diameter,
    /// Seat height h, or M over the roller.
    SeatHeight,
    /// Flat parallel g in the seat.
    Parallel,
    /// Axle to face e, or N over the roller.
    AxleToFace,
    /// Lower end of the face, n_b, direct or over the roller.
    FaceBottom,
    /// Face out of square.
    SquareError,
    /// Blade thickness t.
    Thickness,
    /// Taper τ.
    Taper,
    /// Side lands L.
    Land,
    /// Taper of the side lands λ.
    LandTaper,
    /// Level of the roller's track z.
    RollerLevel,
    /// Error common to all lengths taken with one caliper.
    Instrument,
    /// The first of three independent errors, of unit standard deviation, that a fitted guide's lengths share.
    FittedFirst,
    /// The second.
    FittedSecond,
    /// The third.
    FittedThird,
}

/// How many quantities there are.
pub const QUANTITIES: usize = Quantity::FittedThird as usize + 1;

impl Quantity {
    /// All of them, in order.
    pub const ALL: [Quantity; QUANTITIES] = [
        Quantity::Diameter,
        Quantity::SeatHeight,
        Quantity::Parallel,
        Quantity::AxleToFace,
        Quantity::FaceBottom,
        Quantity::SquareError,
        Quantity::Thickness,
        Quantity::Taper,
        Quantity::Land,
        Quantity::LandTaper,
        Quantity::RollerLevel,
        Quantity::Instrument,
        Quantity::FittedFirst,
        Quantity::FittedSecond,
        Quantity::FittedThird,
    ];

    /// What it is called, in trade words.
    pub fn name(self) -> &'static str {
        match self {
            Quantity::Diameter => "roller diameter",
            Quantity::SeatHeight => "seat height",
            Quantity::Parallel => "parallel in the seat",
            Quantity::AxleToFace => "axle to face",
            Quantity::FaceBottom => "face's lower end",
            Quantity::SquareError => "face out of square",
            Quantity::Thickness => "blade thickness",
            Quantity::Taper => "taper",
            Quantity::Land => "side lands",
            Quantity::LandTaper => "taper of the side lands",
            Quantity::RollerLevel => "roller level",
            Quantity::Instrument => "caliper",
            Quantity::FittedFirst | Quantity::FittedSecond | Quantity::FittedThird => "known settings",
        }
    }

    /// Whether it is one of the errors that a fitted guide's lengths share: of standard deviation one, not in mm.
    pub fn is_fitted(self) -> bool {
        matches!(self, Quantity::FittedFirst | Quantity::FittedSecond | Quantity::FittedThird)
    }

    /// Whether it is an angle (degrees at the rim, radians in formulas) and not a length.
    pub fn is_angle(self) -> bool {
        matches!(self, Quantity::SquareError | Quantity::Taper | Quantity::LandTaper)
    }
}

/// Everything measured that bears on one setting.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    diameter: Length,
    seat: Taken,
    parallel: Option<Length>,
    locates: Locates,
    axle_to_face: Taken,
    bottom: Option<Taken>,
    square_error: Angle,
    blade: Blade,
    roller_level: Length,
    instrument: Option<f64>,
    joint: Option<Root>,
    known: Option<AsKnown>,
}

/// A known setting in place of the fitted one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AsKnown {
    /// Its projection, mm.
    pub projection: f64,
    /// The one that was fitted, mm.
    pub fitted: f64,
}

/// A seat that grips the sides was asked about a blade whose lands are not known.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("this seat grips the blade's sides, so the height of its side lands (\"land\") must be known")]
pub struct LandUnknown;

impl Measured {
    /// Gathers the quantities for `blade` in `seat` of `guide`, with the roller running at `roller_level`.
    ///
    /// # Errors
    /// [`LandUnknown`] where the seat grips the sides and the blade's lands are not stated.
    pub fn new(guide: &Guide, seat: &Seat, blade: Blade, roller_level: Length) -> Result<Self, LandUnknown> {
        if seat.locates == Locates::Sides && blade.land.is_none() {
            return Err(LandUnknown);
        }
        Ok(Self {
            diameter: guide.roller.diameter,
            seat: seat.height,
            parallel: seat.parallel,
            locates: seat.locates,
            axle_to_face: guide.face.axle_to_face,
            bottom: guide.face.bottom,
            square_error: guide.face.square_error,
            blade,
            roller_level,
            instrument: guide.instrument,
            joint: seat.joint,
            known: None,
        })
    }

    /// The same for a bevel of `angle` degrees. Where that is a known setting of the seat, its projection stands in place
    /// of the fitted one and its uncertainty in place of the fit's: both by way of the length from axle to face, with
    /// which a projection changes one for one.
    ///
    /// # Errors
    /// As of [`Measured::new`].
    pub fn for_bevel(
        guide: &Guide,
        seat: &Seat,
        blade: Blade,
        roller_level: Length,
        angle: f64,
    ) -> Result<Self, LandUnknown> {
        let measured = Self::new(guide, seat, blade, roller_level)?;
        let Some(known) = seat.known_setting(&blade, roller_level, angle) else { return Ok(measured) };
        let section = measured.section(&measured.values());
        let beta = angle.to_radians();
        let fitted = projection::projection(&section, beta);
        let longer = known.projection.mm - fitted;
        let shifted = |l: Length| Length { mm: l.mm - longer, ..l };
        let axle_to_face = match measured.axle_to_face {
            Taken::Direct(l) => Taken::Direct(shifted(l)),
            Taken::OverRoller(l) => Taken::OverRoller(shifted(l)),
        };
        let mut root = Root::default();
        root[2][2] = known.uncertainty(projection::slope(&section, beta));
        let known = Some(AsKnown { projection: known.projection.mm, fitted });
        Ok(Self { axle_to_face, joint: Some(root), known, ..measured })
    }

    /// The known setting that is used, if any.
    pub fn known(&self) -> Option<AsKnown> {
        self.known
    }

    /// The measured values: mm and radians, indexed by [`Quantity`].
    pub fn values(&self) -> [f64; QUANTITIES] {
        let mm = |l: Option<Length>| l.map_or(0.0, |l| l.mm);
        [
            self.diameter.mm,
            self.seat.measured().mm,
            mm(self.parallel),
            self.axle_to_face.measured().mm,
            mm(self.bottom.map(Taken::measured)),
            self.square_error.degrees.to_radians(),
            self.blade.thickness.mm,
            self.blade.taper.degrees.to_radians(),
            mm(self.blade.land),
            self.blade.land_taper.degrees.to_radians(),
            self.roller_level.mm,
            0.0,
            0.0,
            0.0,
            0.0,
        ]
    }

    /// Half-widths of the stated tolerances: mm and radians, indexed by [`Quantity`].
    pub fn withins(&self) -> [Option<f64>; QUANTITIES] {
        let within = |l: Option<Length>| l.and_then(|l| l.within);
        // Lengths that were fitted together are known together; a rectangle of this half-width has unit deviation.
        let alone = |l: Length| l.within.filter(|_| self.joint.is_none());
        let fitted = self.joint.map(|_| 3f64.sqrt());
        // What is measured once is off once.
        let whole = self.blade.whole_side;
        [
            alone(self.diameter),
            alone(self.seat.measured()),
            within(self.parallel),
            alone(self.axle_to_face.measured()),
            within(self.bottom.map(Taken::measured)),
            self.square_error.within.map(f64::to_radians),
            self.blade.thickness.within,
            self.blade.taper.within.map(f64::to_radians),
            within(self.blade.land).filter(|_| !whole.height),
            self.blade.land_taper.within.map(f64::to_radians).filter(|_| !whole.taper),
            self.roller_level.within,
            self.instrument,
            fitted,
            fitted,
            fitted,
        ]
    }

    /// The side view that the values `x` imply; this is the measurement model up to the angle relation.
    ///
    /// The level over the roller to a seat that locates the back is to the upper side of a parallel lying up against
    /// it (h = M − D/2); to one that locates the underside or grips the sides, the parallel's thickness comes off
    /// (for a groove, half of it: the parallel's middle is on the centre line).
    pub fn section<D: DualNum<Primitive = f64> + Trig>(&self, x: &[D; QUANTITIES]) -> Section<D> {
        let common = x[Quantity::Instrument as usize];
        let length = |q: Quantity| x[q as usize] + common;
        let root = self.joint.unwrap_or_default();
        let whole = self.blade.whole_side;
        // What the errors of a fit add to roller diameter, seat height and axle to face.
        let fitted = |row: usize| {
            let [a, b, c] =
                [Quantity::FittedFirst, Quantity::FittedSecond, Quantity::FittedThird].map(|q| x[q as usize]);
            a * root[row][0] + b * root[row][1] + c * root[row][2]
        };
        let radius = (length(Quantity::Diameter) + fitted(0)) * 0.5;
        let parallel = match (self.parallel, self.locates) {
            (None, _) | (_, Locates::Back) => radius * 0.0,
            (Some(_), Locates::Underside) => length(Quantity::Parallel),
            (Some(_), Locates::Sides) => length(Quantity::Parallel) * 0.5,
        };
        let from_axle = |taken: Taken, q: Quantity| match taken {
            Taken::Direct(_) => length(q),
            Taken::OverRoller(_) => length(q) - radius,
        };
        Section {
            roller_radius: radius,
            roller_level: x[Quantity::RollerLevel as usize],
            seat_height: from_axle(self.seat, Quantity::SeatHeight) - parallel + fitted(1),
            axle_to_face: from_axle(self.axle_to_face, Quantity::AxleToFace) + fitted(2),
            face_bottom: self.bottom.map(|b| from_axle(b, Quantity::FaceBottom)),
            square_error: x[Quantity::SquareError as usize],
            thickness: length(Quantity::Thickness),
            taper: x[Quantity::Taper as usize],
            land: match self.blade.land {
                Some(_) if whole.height => length(Quantity::Thickness),
                Some(_) => length(Quantity::Land),
                None => radius * 0.0,
            },
            land_taper: x[if whole.taper { Quantity::Taper } else { Quantity::LandTaper } as usize],
            locates: self.locates,
        }
    }

    /// The blade.
    pub fn blade(&self) -> &Blade {
        &self.blade
    }
}
