//! The guide model: a profile with units resolved, gaps decided and cross-field rules checked.
//!
//! What can no longer occur here: a seat with neither or both of its height forms, a face whose distance from the axle
//! is not given, a pair of rollers without a gap, a guide without a seat, limits in the wrong order.

mod blade;
pub(crate) mod fields;
mod joint;
mod known;
pub mod named;
mod tool;

pub use blade::{Blade, Seated, WholeSide};
pub use joint::Root;
pub use known::KnownSetting;
pub use tool::ToolClass;

use crate::input::fault::Faults;
use crate::input::length::{Angle, Length, LengthForm, rectangular};
use crate::profile;
use crate::profile::fields::Fields;
use crate::profile::guide::{CovarianceProfile, FaceProfile, GuideProfile, SeatProfile};
use crate::terms::{Arrangement, Locates, SeatName};
use crate::units::Units;

/// A measured honing guide. All lengths in mm, in the guide frame: origin on the axle's centre, `s` along the seat
/// toward the edge, `n` square to it, away from the stone.
#[derive(Debug, Clone, PartialEq)]
pub struct Guide {
    /// What the user calls it.
    pub name: String,
    /// The profile's notes.
    pub notes: Option<String>,
    /// Unit the profile was written in.
    pub units: Units,
    /// Error common to all lengths measured with one caliper (half-width), mm.
    pub instrument: Option<f64>,
    /// The roller.
    pub roller: Roller,
    /// The face.
    pub face: Face,
    /// Seat for plane irons; at least one of the two seats is there.
    iron: Option<Seat>,
    /// Seat for chisels.
    chisel: Option<Seat>,
}

/// The wheel or pair of wheels.
#[derive(Debug, Clone, PartialEq)]
pub struct Roller {
    /// Diameter D.
    pub diameter: Length,
    /// Width of the tread.
    pub width: Option<Length>,
    /// `None` when the profile does not say.
    pub arrangement: Option<Arrangement>,
    /// Clear width between the rollers of a pair.
    pub gap: Option<Length>,
}

/// Room on either side of a blade between a pair of rollers, mm.
const BESIDE_BLADE: f64 = 0.5;

impl Roller {
    /// Width of the widest blade that passes between a pair with some room, mm; `None` where nothing limits it.
    pub fn passed(&self) -> Option<f64> {
        let gap = self.gap.filter(|_| self.arrangement == Some(Arrangement::Pair))?;
        Some(gap.mm - 2.0 * BESIDE_BLADE)
    }
}

/// The flat front held against the block's edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// Where it stands along the seat.
    pub axle_to_face: Taken,
    /// Level of its lower end, n_b.
    pub bottom: Option<Taken>,
    /// Its width across the blade.
    pub width: Option<Length>,
    /// Out of square to the seat, degrees, positive when the lower end stands forward.
    pub square_error: Angle,
}

/// The surface that locates the blade.
#[derive(Debug, Clone, PartialEq)]
pub struct Seat {
    /// Level of the seat, h.
    pub height: Taken,
    /// Flat parallel used in taking it, if any.
    pub parallel: Option<Length>,
    /// How its errors hang together with those of the roller and the face, where the guide was fitted; their single
    /// tolerances then do not count.
    pub joint: Option<Root>,
    /// Known settings that the guide was fitted to.
    pub known: Vec<KnownSetting>,
    /// What of the blade it locates.
    pub locates: Locates,
    /// Narrowest and widest blade, mm.
    pub blade_width: Option<[f64; 2]>,
    /// Thinnest and thickest blade, mm.
    pub blade_thickness: Option<[f64; 2]>,
}

/// How a length from the axle was taken: the axle cannot be touched, so calipers go over the roller.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Taken {
    /// From the axle's centre itself (from a drawing, say).
    Direct(Length),
    /// Over the roller: half a diameter more.
    OverRoller(Length),
}

impl Taken {
    /// The length as measured.
    pub fn measured(self) -> Length {
        match self {
            Taken::Direct(l) | Taken::OverRoller(l) => l,
        }
    }
}

impl Seat {
    /// The known setting of `blade` for a bevel of `angle` degrees, the roller running at `level`; the surest of several.
    pub fn known_setting(&self, blade: &Blade, level: Length, angle: f64) -> Option<KnownSetting> {
        known::surest(&self.known, self.locates, blade, level, angle)
    }
}

/// Name of the built-in tool class that a seat mostly holds: chisels wherever side lands are gripped, since irons have none.
pub fn usual_tool(name: SeatName, seat: &Seat) -> &'static str {
    match (name, seat.locates) {
        (SeatName::Chisel, _) | (_, Locates::Sides) => "bench-chisel",
        (SeatName::Iron, Locates::Underside | Locates::Back) => "plane-iron",
    }
}

impl Guide {
    /// Reads, checks and resolves a guide profile.
    ///
    /// # Errors
    /// All faults of the file.
    pub fn parse(source: &str, bytes: &[u8]) -> Result<Self, Faults> {
        let read = profile::read::<GuideProfile>(source, bytes)?;
        let profile = &read.value;
        let mut r = Resolver::of(&read, profile.units);
        let diameter = r.length(&["roller", "diameter"], &profile.roller.diameter);
        let roller = Roller {
            diameter,
            width: r.optional(&["roller", "width"], profile.roller.width.as_ref()),
            arrangement: profile.roller.arrangement,
            gap: r.optional(&["roller", "gap"], profile.roller.gap.as_ref()),
        };
        match (roller.arrangement, &roller.gap) {
            _ if read.spoiled(&["roller", "arrangement"]) => {}
            (Some(Arrangement::Pair), None) => {
                r.fault(&["roller", "gap"], "no gap for a pair of rollers", "the clear width between them");
            }
            (a, Some(_)) if a != Some(Arrangement::Pair) => {
                r.fault(&["roller", "gap"], "a gap without \"arrangement\": \"pair\"", "a gap only for a pair");
            }
            _ => {}
        }
        let face = r.face(&profile.face);
        let mut iron = profile.seats.iron.as_ref().map(|s| r.seat("iron", s));
        let mut chisel = profile.seats.chisel.as_ref().map(|s| r.seat("chisel", s));
        for (name, seat) in [("iron", &mut iron), ("chisel", &mut chisel)] {
            if let (Some(file), Some(seat)) = (&profile.covariance, seat) {
                let taken = [Taken::Direct(roller.diameter), seat.height, face.axle_to_face];
                seat.joint = r.joint(file, name, taken);
                // What is wrong with it is said once.
                if seat.joint.is_none() {
                    break;
                }
            }
        }
        for (name, seat) in [(SeatName::Iron, &mut iron), (SeatName::Chisel, &mut chisel)] {
            if let Some(seat) = seat {
                seat.known = r.known(&profile.known, name);
            }
        }
        if let Some(i) = profile.known.iter().position(|k| ![&iron, &chisel][k.seat as usize].is_some()) {
            let at = i.to_string();
            r.fault(&["known", at.as_str(), "seat"], "a seat that the profile lacks", "a seat of the profile");
        }
        if iron.is_none() && chisel.is_none() {
            r.fault(&["seats"], "no seat", "\"iron\", \"chisel\" or both");
        }
        let instrument = r.mm(&["instrument"], profile.instrument.as_ref());
        r.finish()?;
        Ok(Self {
            name: profile.name.clone(),
            notes: profile.notes.clone(),
            units: profile.units,
            instrument,
            roller,
            face,
            iron,
            chisel,
        })
    }

    /// The seat a blade of class `wanted` goes in: a guide with one seat serves both classes with it.
    pub fn seat_for(&self, wanted: SeatName) -> (SeatName, &Seat) {
        let (iron, chisel) = (self.iron.as_ref(), self.chisel.as_ref());
        let first = match wanted {
            SeatName::Iron => iron.map(|s| (SeatName::Iron, s)),
            SeatName::Chisel => chisel.map(|s| (SeatName::Chisel, s)),
        };
        first
            .or(iron.map(|s| (SeatName::Iron, s)))
            .or(chisel.map(|s| (SeatName::Chisel, s)))
            .expect("a guide has at least one seat, checked when it was resolved")
    }

    /// The guide's seats with their names.
    pub fn seats(&self) -> impl Iterator<Item = (SeatName, &Seat)> {
        let iron = self.iron.as_ref().map(|s| (SeatName::Iron, s));
        let chisel = self.chisel.as_ref().map(|s| (SeatName::Chisel, s));
        iron.into_iter().chain(chisel)
    }
}

/// How far a standard uncertainty may be from that of its tolerance, as it is rounded in the file: mm, and as a part.
const SAME_TOLERANCE: [f64; 2] = [1e-4, 1e-3];

type Resolver<'a> = Fields<'a, GuideProfile>;

impl Resolver<'_> {
    /// Exactly one (`required`) or at most one of a direct length and one over the roller.
    fn taken(
        &mut self,
        at: &[&str],
        [direct_name, over_name]: [&str; 2],
        direct: Option<&LengthForm>,
        over: Option<&LengthForm>,
        required: bool,
    ) -> Option<Taken> {
        let direct_path = [at, &[direct_name]].concat();
        let over_path = [at, &[over_name]].concat();
        if self.read.spoiled(&direct_path) || self.read.spoiled(&over_path) {
            return None;
        }
        match (direct, over) {
            (Some(d), None) => Some(Taken::Direct(self.length(&direct_path, d))),
            (None, Some(o)) => Some(Taken::OverRoller(self.length(&over_path, o))),
            (Some(_), Some(_)) => {
                let found = format!("both {direct_name} and {over_name}");
                self.fault(&over_path, found, "one of the two");
                None
            }
            (None, None) => {
                if required {
                    let found = format!("neither {direct_name} nor {over_name}");
                    self.fault(&direct_path, found, "one of the two");
                }
                None
            }
        }
    }

    fn face(&mut self, face: &FaceProfile) -> Face {
        let none = Taken::Direct(Length::exact(0.0));
        let axle_to_face = self.taken(
            &["face"],
            ["axle_to_face", "over_roller"],
            face.axle_to_face.as_ref(),
            face.over_roller.as_ref(),
            true,
        );
        Face {
            axle_to_face: axle_to_face.unwrap_or(none),
            bottom: self.taken(
                &["face"],
                ["bottom", "bottom_over_roller"],
                face.bottom.as_ref(),
                face.bottom_over_roller.as_ref(),
                false,
            ),
            width: self.optional(&["face", "width"], face.width.as_ref()),
            square_error: face.square_error.as_ref().map_or(Angle::exact(0.0), |a| a.read()),
        }
    }

    /// The root of the covariance of a seat's lengths, which are `taken`.
    fn joint(&mut self, file: &CovarianceProfile, seat: &str, taken: [Taken; 3]) -> Option<Root> {
        let height = format!("seats.{seat}.height");
        let names = ["roller.diameter", height.as_str(), "face.axle_to_face"];
        let place = |name: &str| file.parameters.iter().position(|p| p == name);
        let places = names.map(place);
        if let Some(i) = places.iter().position(Option::is_none) {
            self.fault(
                &["covariance", "parameters"],
                format!("no {}", names[i]),
                "the lengths that every seat hangs on",
            );
        }
        let count = file.parameters.len();
        if file.matrix.len() != count || file.matrix.iter().any(|row| row.len() != count) {
            let allowed = format!("{count} rows of {count} numbers, as there are parameters");
            self.fault(&["covariance", "matrix"], "a matrix of another size", allowed);
            return None;
        }
        let [Some(a), Some(b), Some(c)] = places else { return None };
        let covariance = [a, b, c].map(|i| [a, b, c].map(|j| file.matrix[i][j]));
        let Some(root) = joint::root(covariance) else {
            self.fault(&["covariance", "matrix"], "numbers that are no covariance", "a symmetric, positive matrix");
            return None;
        };
        let own = |i: usize| match taken[i] {
            Taken::Direct(l) => (rectangular(l.within.unwrap_or(0.0)) - covariance[i][i].max(0.0).sqrt()).abs(),
            Taken::OverRoller(_) => f64::INFINITY,
        };
        let differs = |i: &usize| own(*i) > SAME_TOLERANCE[0] + SAME_TOLERANCE[1] * covariance[*i][*i].max(0.0).sqrt();
        if let Some(i) = (0..3).find(differs) {
            self.fault(
                &["covariance"],
                format!("covariances that do not belong to the tolerance of {}", names[i]),
                "those that \"fit\" wrote with it; leave the covariance out where a length was measured since",
            );
            return None;
        }
        Some(root)
    }

    fn seat(&mut self, name: &str, seat: &SeatProfile) -> Seat {
        let at = ["seats", name];
        let height = self.taken(&at, ["height", "over_roller"], seat.height.as_ref(), seat.over_roller.as_ref(), true);
        let over_path = [&at[..], &["over_roller"]].concat();
        if seat.gauge.is_some() && seat.over_roller.is_none() && !self.read.spoiled(&over_path) {
            self.fault(&[&at[..], &["gauge"]].concat(), "a gauge without over_roller", "a gauge with over_roller only");
        }
        let range = |fields: &mut Self, name, forms: &Option<[LengthForm; 2]>| {
            forms.as_ref().map(|forms| fields.range(&[&at[..], &[name]].concat(), forms))
        };
        Seat {
            height: height.unwrap_or(Taken::Direct(Length::exact(0.0))),
            parallel: self.optional(&[&at[..], &["gauge"]].concat(), seat.gauge.as_ref()),
            joint: None,
            known: Vec::new(),
            locates: seat.locates,
            blade_width: range(self, "blade_width", &seat.blade_width),
            blade_thickness: range(self, "blade_thickness", &seat.blade_thickness),
        }
    }
}
