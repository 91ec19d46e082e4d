//! Known settings, read: units resolved, default tolerances put in, rules between fields checked.
//!
//! A pair's projection, and every length measured directly, that carries no tolerance counts as ± half its last written
//! digit. So does an angle written with decimals; one in whole degrees is the name of a setting and counts as exact.
//! Thickness, taper, lands and roller level without a tolerance count as exact, as everywhere.

use crate::guide::Taken;
use crate::input::document::{Node, Value};
use crate::input::fault::Faults;
use crate::input::length::{Angle, Length, LengthForm, half_digit, half_last_digit};
use crate::profile;
use crate::profile::fields::Fields;
use crate::profile::fit::{DirectFile, FitFile, RollerPart, SeatPart};
use crate::profile::guide::{FaceProfile, KnownFile};
use crate::terms::{Arrangement, Locates, SeatName};
use crate::units::Units;

/// What a guide is fitted from: mm and degrees.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Name of the guide.
    pub name: String,
    /// The file's notes.
    pub notes: Option<String>,
    /// Unit the file was written in.
    pub units: Units,
    /// Error common to all lengths measured with one caliper (half-width), mm.
    pub instrument: Option<f64>,
    /// Roller diameter D, if measured.
    pub diameter: Option<Length>,
    /// Axle to face e, if measured.
    pub axle_to_face: Option<Taken>,
    /// The seats of the pairs and of what was measured.
    pub seats: Vec<KnownSeat>,
    /// The known pairs.
    pub pairs: Vec<Pair>,
    /// What was measured, as written.
    pub measured: DirectFile,
}

/// A seat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownSeat {
    /// Which.
    pub name: SeatName,
    /// What of the blade it locates; `underside` where nothing was said.
    pub locates: Locates,
    /// Whether that was said.
    pub locates_stated: bool,
    /// Its height, if measured.
    pub height: Option<Taken>,
    /// Flat parallel used in taking it.
    pub parallel: Option<Length>,
}

/// A known setting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Place of its seat in [`Settings::seats`].
    pub seat: usize,
    /// Thickness at the edge; none where all settings of the seat are of one blade.
    pub thickness: Option<Length>,
    /// Taper, positive when thicker at the edge.
    pub taper: Angle,
    /// Height of the side lands; none where all settings of the seat are of one blade.
    pub land: Option<Length>,
    /// Their taper, positive where the land is higher at the edge.
    pub land_taper: Angle,
    /// Height of the roller's track above the honing surface.
    pub level: Length,
    /// Bevel angle, with its tolerance.
    pub angle: Angle,
    /// Projection, with its tolerance.
    pub projection: Length,
}

impl Settings {
    /// Reads, checks and resolves a file of known settings.
    ///
    /// # Errors
    /// All faults of the file.
    pub fn parse(source: &str, bytes: &[u8]) -> Result<Self, Faults> {
        let read = profile::read::<FitFile>(source, bytes)?;
        Resolver::of(&read, read.value.units).settings(&read.value)
    }
}

type Resolver<'a> = Fields<'a, FitFile>;

impl Resolver<'_> {
    fn settings(mut self, file: &FitFile) -> Result<Settings, Faults> {
        let measured = file.measured.clone().unwrap_or_default();
        let (roller, face) = (measured.roller.clone().unwrap_or_default(), measured.face.clone().unwrap_or_default());
        let diameter = self.reading(&["measured", "roller", "diameter"], roller.diameter.as_ref());
        self.roller(&roller);
        let axle_to_face = self.face(&face);
        let seats = self.seats(file, &measured);
        let pairs = (0..file.known.len()).map(|i| self.known(i, &file.known, &seats)).collect();
        let instrument = self.mm(&["measured", "instrument"], measured.instrument.as_ref());
        self.finish()?;
        Ok(Settings {
            name: file.name.clone(),
            notes: file.notes.clone(),
            units: file.units,
            instrument,
            diameter,
            axle_to_face,
            seats,
            pairs,
            measured,
        })
    }

    /// A length that counts as ± half its last written digit where no tolerance was stated.
    fn reading(&mut self, path: &[&str], form: Option<&LengthForm>) -> Option<Length> {
        let length = self.optional(path, form)?;
        let written = self.read.document.find(path).and_then(|node| self.half_digit(node));
        Some(Length { within: length.within.or(written), ..length })
    }

    fn half_digit(&self, node: &Node) -> Option<f64> {
        match &node.value {
            Value::Number(_, spelling) => Some(half_digit(spelling)? * self.units.mm()),
            Value::Text(text) => half_last_digit(text, None),
            _ => None,
        }
    }

    /// A direct length or one over the roller, not both.
    fn taken(&mut self, at: &[&str], names: [&str; 2], forms: [Option<&LengthForm>; 2]) -> Option<Taken> {
        let path = |i: usize| [at, &[names[i]]].concat();
        if forms.iter().all(Option::is_some) {
            let found = format!("both {} and {}", names[0], names[1]);
            self.fault(&path(1), found, "one of the two");
            return None;
        }
        let direct = self.reading(&path(0), forms[0]).map(Taken::Direct);
        direct.or_else(|| self.reading(&path(1), forms[1]).map(Taken::OverRoller))
    }

    fn roller(&mut self, roller: &RollerPart) {
        if roller.gap.is_some() && roller.arrangement != Some(Arrangement::Pair) {
            let path = ["measured", "roller", "gap"];
            self.fault(&path, "a gap without \"arrangement\": \"pair\"", "a gap only for a pair");
        }
    }

    fn face(&mut self, face: &FaceProfile) -> Option<Taken> {
        let at = ["measured", "face"];
        let bottoms = [face.bottom.as_ref(), face.bottom_over_roller.as_ref()];
        self.taken(&at, ["bottom", "bottom_over_roller"], bottoms);
        self.taken(&at, ["axle_to_face", "over_roller"], [face.axle_to_face.as_ref(), face.over_roller.as_ref()])
    }

    fn seats(&mut self, file: &FitFile, measured: &DirectFile) -> Vec<KnownSeat> {
        let parts = measured.seats.clone().unwrap_or_default();
        let mut seats = Vec::new();
        for (name, part) in [(SeatName::Iron, parts.iron), (SeatName::Chisel, parts.chisel)] {
            let named = file.known.iter().any(|k| k.seat == name);
            match part {
                Some(part) => seats.push(self.seat(name, &part)),
                None if named => seats.push(self.seat(name, &SeatPart::default())),
                None => {}
            }
        }
        seats
    }

    fn seat(&mut self, name: SeatName, part: &SeatPart) -> KnownSeat {
        let at = ["measured", "seats", name.name()];
        let height = self.taken(&at, ["height", "over_roller"], [part.height.as_ref(), part.over_roller.as_ref()]);
        let parallel_path = [&at[..], &["gauge"]].concat();
        let parallel = self.reading(&parallel_path, part.gauge.as_ref());
        if parallel.is_some() && part.over_roller.is_none() {
            self.fault(&parallel_path, "a gauge without over_roller", "a gauge with over_roller only");
        }
        for (field, pair) in [("blade_width", &part.blade_width), ("blade_thickness", &part.blade_thickness)] {
            let path = [&at[..], &[field]].concat();
            if let Some(pair) = pair {
                self.range(&path, pair);
            }
        }
        let locates = part.locates.unwrap_or(Locates::Underside);
        KnownSeat { name, locates, locates_stated: part.locates.is_some(), height, parallel }
    }

    fn known(&mut self, index: usize, file_known: &[KnownFile], seats: &[KnownSeat]) -> Pair {
        let file = &file_known[index];
        let index = index.to_string();
        let at = |field| ["known", index.as_str(), field];
        let seat = seats.iter().position(|s| s.name == file.seat).unwrap_or(0);
        let thickness = self.optional(&at("thickness"), file.thickness.as_ref());
        let land = self.optional(&at("land"), file.land.as_ref());
        let locates = seats.get(seat).map_or(Locates::Underside, |s| s.locates);
        // Without them in any setting of the seat all are of one blade; in some alone they were forgotten.
        let of_seat = || file_known.iter().filter(|k| k.seat == file.seat);
        if locates == Locates::Underside && thickness.is_none() && of_seat().any(|k| k.thickness.is_some()) {
            self.fault(
                &at("thickness"),
                format!("no thickness, and other settings of the {} seat state theirs", file.seat),
                "the blade's thickness at the edge; or none in the whole seat, where all are of one blade",
            );
        }
        if locates == Locates::Sides && land.is_none() && of_seat().any(|k| k.land.is_some()) {
            self.fault(
                &at("land"),
                format!("no land, and other settings of the {} seat state theirs", file.seat),
                "the height of the blade's side lands; or none in the whole seat, where all are of one blade",
            );
        }
        if let Some(thickness) = thickness {
            self.land_on_blade(["known", &index], land, thickness);
        }
        let taper = self.taper(&at("taper"), file.taper.as_ref()).unwrap_or(Angle::exact(0.0));
        Pair {
            seat,
            thickness,
            taper,
            land,
            land_taper: self.taper(&at("land_taper"), file.land_taper.as_ref()).unwrap_or(Angle::exact(0.0)),
            level: self.optional(&at("roller_level"), file.roller_level.as_ref()).unwrap_or(Length::exact(0.0)),
            angle: self.known_angle(&at("angle"), file),
            projection: self.reading(&at("projection"), Some(&file.projection)).unwrap_or(Length::exact(0.0)),
        }
    }

    fn known_angle(&self, path: &[&str], file: &KnownFile) -> Angle {
        let angle = file.angle.read();
        let written = match self.read.document.find(path).map(|node| &node.value) {
            Some(Value::Number(_, spelling)) if spelling.contains(['.', 'e', 'E']) => half_digit(spelling),
            _ => Some(0.0),
        };
        Angle { within: angle.within.or(written), ..angle }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Found by fuzzing: a name that no profile takes was taken here, and the profile that was fitted could not be read.
    #[test]
    fn a_guide_is_named_as_its_profile_can_be() {
        let text = include_str!("../../examples/known-settings.json");
        assert!(Settings::parse("x", text.as_bytes()).is_ok());
        let text = text.replace("alder-lane-side-clamp", "alder-lane!");
        let faults = Settings::parse("x", text.as_bytes()).expect_err("a name that no profile takes").0;
        assert_eq!(faults.iter().map(|fault| fault.field.as_str()).collect::<Vec<_>>(), ["name"]);
    }
}
