//! A tool class with its units resolved.

use super::{Blade, Guide, Seat, WholeSide};
use crate::input::fault::Faults;
use crate::input::length::{Angle, Length};
use crate::profile;
use crate::profile::fields::Fields;
use crate::profile::tool::{AdvisedAngle, ToolProfile};
use crate::terms::SeatName;

/// What is common to the blades of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct ToolClass {
    /// Its name.
    pub name: String,
    /// The profile's notes.
    pub notes: Option<String>,
    /// The seat it goes in, where a guide has two.
    pub seat: SeatName,
    /// Narrowest and widest blade, mm.
    pub width: [f64; 2],
    /// Thickness at the edge, with the class's range as its tolerance.
    pub thickness: Length,
    /// Taper, positive when thicker at the edge.
    pub taper: Angle,
    /// Height of the side lands.
    pub land: Option<Length>,
    /// Whether the lands are the whole sides: as high as the blade is thick, and tapering with it.
    pub whole_side: bool,
    /// Taper of the side lands, positive where the land is higher at the edge.
    pub land_taper: Angle,
    /// Whether it is honed as one flat bevel, without a micro-bevel.
    pub one_bevel: bool,
    /// Usual primary bevel, degrees.
    pub primary: f64,
    /// Advised angles with their reasons.
    pub angles: Vec<AdvisedAngle>,
}

impl ToolClass {
    /// Reads, checks and resolves a tool class.
    ///
    /// # Errors
    /// All faults of the file.
    pub fn parse(source: &str, bytes: &[u8]) -> Result<Self, Faults> {
        let read = profile::read::<ToolProfile>(source, bytes)?;
        let file = &read.value;
        let mut fields = Fields::of(&read, file.units);
        let width = fields.range(&["width"], &file.width);
        let thickness = fields.length(&["thickness"], &file.thickness);
        let land = fields.optional(&["land"], file.land.as_ref());
        let taper = fields.taper(&["taper"], file.taper.as_ref()).unwrap_or(Angle::exact(0.0));
        let land_taper = fields.taper(&["land_taper"], file.land_taper.as_ref()).unwrap_or(Angle::exact(0.0));
        if file.whole_side {
            let of_its_own = [("land", file.land.is_some()), ("land_taper", file.land_taper.is_some())];
            for (field, _) in of_its_own.into_iter().filter(|(_, stated)| *stated) {
                let allowed = format!("no {field} with \"whole_side\"");
                fields.fault(&[field], "lands of their own, although they are the whole sides", allowed);
            }
        }
        fields.finish()?;
        Ok(Self {
            name: file.name.clone(),
            notes: file.notes.clone(),
            seat: file.seat,
            width,
            thickness,
            taper,
            land,
            whole_side: file.whole_side,
            land_taper,
            one_bevel: file.one_bevel,
            primary: file.primary,
            angles: file.angles.clone(),
        })
    }

    /// A blade of the class.
    pub fn blade(&self) -> Blade {
        self.blade_of(self.thickness, self.taper, None, None)
    }

    /// A blade of the class of this thickness and taper, with the lands and their taper that were stated, else with
    /// those of its class; where its lands are the whole sides, they are as high as the blade and taper with it.
    pub fn blade_of(&self, thickness: Length, taper: Angle, land: Option<Length>, land_taper: Option<Angle>) -> Blade {
        let whole_side =
            WholeSide { height: self.whole_side && land.is_none(), taper: self.whole_side && land_taper.is_none() };
        let of_class = if whole_side.height { Some(thickness) } else { self.land };
        Blade {
            thickness,
            taper,
            land: land.or(of_class),
            land_taper: land_taper.unwrap_or(if whole_side.taper { taper } else { self.land_taper }),
            land_assumed: land.is_none() && !whole_side.height && self.land.is_some(),
            whole_side,
        }
    }

    /// The primary bevel a blade of the class is taken to have, degrees: the smallest advised angle.
    pub fn usual_primary(&self) -> f64 {
        self.angles.iter().map(|a| a.angle).fold(self.primary, f64::min)
    }

    /// The widest blade of the class that a guide takes in a seat, mm: of what the seat holds and what passes between a pair
    /// of rollers; never narrower than the class's narrowest.
    pub fn widest_in(&self, guide: &Guide, seat: &Seat) -> f64 {
        let held = seat.blade_width.map_or(f64::INFINITY, |[_, most]| most);
        let passes = guide.roller.passed().unwrap_or(f64::INFINITY);
        self.width[1].min(held).min(passes).max(self.width[0])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::guide::named::{NoFiles, guide, tool};

    #[test]
    fn no_usual_blade_is_wider_than_what_its_guide_takes() {
        let class = tool("plane-iron", &NoFiles).expect("built in");
        let mut pair = guide("twin-roller", &NoFiles).expect("built in");
        let widest = |guide: &Guide| class.widest_in(guide, guide.seat_for(class.seat).1);
        // What the seat holds.
        let held = pair.seat_for(class.seat).1.blade_width.expect("stated")[1];
        assert_eq!(widest(&pair), class.width[1].min(held));
        // What passes between the rollers, half a millimetre clear of each.
        pair.roller.gap = Some(Length::exact(class.width[1] - 4.0));
        assert_eq!(widest(&pair), class.width[1] - 5.0);
        pair.roller.gap = Some(Length::exact(class.width[0] - 4.0));
        assert_eq!(widest(&pair), class.width[0]);
        // A single roller lets all of them pass.
        let single = guide("top-clamp", &NoFiles).expect("built in");
        assert_eq!(single.roller.passed(), None);
    }
}
