//! Reads a file of measurements and finds the lane of each.

use super::{ANGLE_READ_WITHIN, BEVEL_READ_WITHIN, FENCE_READ_WITHIN, THICKNESS_READ_WITHIN};
use crate::honing::plate::{self, INCLINOMETER_WITHIN, PlateAngle, Taken};
use crate::input::document::composed;
use crate::input::fault::{Fault, Faults};
use crate::input::length::{Angle, AngleForm, Length, LengthForm};
use crate::lane::{Lane, id_of};
use crate::lanes::LaneSet;
use crate::profile::measured::{MeasuredBevel, MeasuredFile, MeasuredPlate, OneOrTwo};
use crate::profile::{self, fields::Fields};
use crate::solve::section::Section;
use crate::units::short;

/// All that was measured.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Readings {
    /// The fingerprint that the block bears, if it is stated.
    pub fingerprint: Option<String>,
    /// Fence distances, in the order of the file.
    pub fences: Vec<FenceReading>,
    /// Test bevels, in the order of the file.
    pub bevels: Vec<BevelReading>,
    /// Angles on a plate, in the order of the file.
    pub plates: Vec<PlateReading>,
}

/// The measured fence distance of a lane.
#[derive(Debug, Clone, PartialEq)]
pub struct FenceReading {
    /// Id of its lane.
    pub id: String,
    /// Fence distance, mm: the mean where both sides were measured.
    pub fence: f64,
    /// Left and right, seen from the edge, mm.
    pub sides: Option<[f64; 2]>,
    /// Half-width of the tolerance of the distance, mm.
    pub within: f64,
}

/// A measured test bevel.
#[derive(Debug, Clone, PartialEq)]
pub struct BevelReading {
    /// Id of the lane it was set in.
    pub id: String,
    /// Thickness of the test blade at the edge.
    pub thickness: Length,
    /// How its angle was taken.
    pub taken: BevelTaken,
}

/// How a bevel's angle was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BevelTaken {
    /// From the length of the flat bevel, mm, with its half-width of tolerance.
    Length(f64, f64),
    /// Read directly, degrees, with its half-width of tolerance.
    Read(f64, f64),
}

/// An angle taken on a plate, of one setting.
#[derive(Debug, Clone, PartialEq)]
pub struct PlateReading {
    /// Id of the lane it was set in.
    pub id: String,
    /// Its blade, where blades of a kit share the lane: the place in [`Lane::members`].
    pub member: Option<usize>,
    /// Thickness of its blade at the edge, mm, where it is stated.
    pub thickness: Option<f64>,
    /// How high the roller stood above what the edge stood on, mm.
    pub roller_level: f64,
    /// Whether the blade's present bevel was stated, and so is known to stand on its edge.
    pub bevel_stated: bool,
    /// The angle.
    pub angle: PlateAngle,
}

impl PlateReading {
    /// The side view of its blade in the guide, as it stood.
    pub(super) fn section(&self, lane: &Lane) -> Section<f64> {
        let own = self.member.map_or(lane.setting.section, |i| lane.members[i].section);
        Section { thickness: self.thickness.unwrap_or(own.thickness), roller_level: self.roller_level, ..own }
    }
}

impl Readings {
    /// Reads `bytes`; every measurement must belong to one lane of `set`.
    ///
    /// # Errors
    /// All faults of the file.
    pub fn parse(source: &str, bytes: &[u8], set: &LaneSet) -> Result<Self, Faults> {
        let read = profile::read::<MeasuredFile>(source, bytes)?;
        let mut r = Reader { fields: Fields::of(&read, read.value.units), set };
        let file = &read.value;
        if file.lanes.is_empty() && file.bevels.is_empty() && file.plates.is_empty() {
            r.fields.fault(&["lanes"], "neither lanes nor bevels nor plates", "at least one measurement");
        }
        let mut readings = Readings { fingerprint: file.fingerprint.clone(), ..Readings::default() };
        for (i, lane) in file.lanes.iter().enumerate() {
            let at = ["lanes".to_string(), i.to_string()];
            let found = r.lane(&at, lane.id.as_deref(), lane.tool.as_deref(), lane.angle);
            let reading = r.fence(&at, &lane.measured);
            if let Some(lane) = found {
                if let Err(cause) = lane.worst_at(reading.fence) {
                    let found =
                        format!("{} mm cannot be measured in {}: {cause}", short(reading.fence, 3), lane.request.id);
                    r.fault_at(&at, Some("measured"), &found, "the distance from the lane's own edge to its fence");
                }
                if readings.fences.iter().any(|f| f.id == lane.request.id) {
                    r.fault_at(&at, None, &format!("lane {} a second time", lane.request.id), "each lane once");
                }
                readings.fences.push(FenceReading { id: lane.request.id.clone(), ..reading });
            }
        }
        for (i, bevel) in file.bevels.iter().enumerate() {
            let at = ["bevels".to_string(), i.to_string()];
            if let Some(lane) = r.lane(&at, bevel.id.as_deref(), bevel.tool.as_deref(), bevel.angle) {
                readings.bevels.extend(r.bevel(&at, bevel, lane));
            }
        }
        for (i, plate) in file.plates.iter().enumerate() {
            let at = ["plates".to_string(), i.to_string()];
            if let Some(lane) = r.lane(&at, plate.id.as_deref(), plate.tool.as_deref(), plate.angle) {
                readings.plates.extend(r.plate(&at, plate, lane));
            }
        }
        r.fields.finish()?;
        Ok(readings)
    }
}

struct Reader<'a> {
    fields: Fields<'a, MeasuredFile>,
    set: &'a LaneSet,
}

impl<'a> Reader<'a> {
    fn fault_at(&mut self, at: &[String; 2], field: Option<&str>, found: &str, allowed: &str) {
        let path: Vec<&str> = at.iter().map(String::as_str).chain(field).collect();
        self.fields.fault(&path, found, allowed);
    }

    /// The one lane meant by an id, or by tool and angle.
    fn lane(&mut self, at: &[String; 2], id: Option<&str>, tool: Option<&str>, angle: Option<f64>) -> Option<&'a Lane> {
        let lanes = &self.set.lanes;
        let names = || lanes.iter().map(|l| l.request.id.as_str()).collect::<Vec<_>>();
        match (id, tool, angle) {
            (Some(id), None, None) => {
                let lane = lanes.iter().find(|l| l.request.id == id);
                if lane.is_none() {
                    self.fields.unknown(&[&at[0], &at[1], "id"], id, names());
                }
                lane
            }
            (None, Some(tool), Some(angle)) => {
                let fits = |l: &&Lane| {
                    (l.request.label == tool || l.request.tool.as_deref() == Some(tool)) && l.request.angle == angle
                };
                let mut found = lanes.iter().filter(fits);
                match (found.next(), found.next()) {
                    (Some(lane), None) => Some(lane),
                    (Some(_), Some(_)) => {
                        self.fault_at(at, Some("tool"), "more than one lane of that tool and angle", "an id instead");
                        None
                    }
                    _ => {
                        let id = id_of(tool, angle);
                        let path = [at[0].as_str(), &at[1], "tool"];
                        let found = format!("no lane of the job is \"{tool}\" at {}°", short(angle, 4));
                        self.fields.add(&path, |field| Fault::new(field, found, names().join(", ")).near(&id, names()));
                        None
                    }
                }
            }
            _ => {
                self.fault_at(at, None, "not just one way to name the lane", "\"id\", or \"tool\" and \"angle\"");
                None
            }
        }
    }

    fn length(&mut self, [list, index]: &[String; 2], field: &str, form: &LengthForm) -> Length {
        self.fields.length(&[list, index, field], form)
    }

    fn fence(&mut self, at: &[String; 2], form: &OneOrTwo) -> FenceReading {
        let within = |l: &Length| l.within.unwrap_or(FENCE_READ_WITHIN);
        match form {
            OneOrTwo::One(form) => {
                let l = self.length(at, "measured", form);
                FenceReading { id: String::new(), fence: l.mm, sides: None, within: within(&l) }
            }
            OneOrTwo::Two([left, right]) => {
                let (l, r) = (self.length(at, "measured", left), self.length(at, "measured", right));
                // One caliper reads both sides, so its error is taken as common and not averaged away.
                let within = within(&l).max(within(&r));
                FenceReading { id: String::new(), fence: (l.mm + r.mm) / 2.0, sides: Some([l.mm, r.mm]), within }
            }
        }
    }

    fn bevel(&mut self, at: &[String; 2], bevel: &MeasuredBevel, lane: &Lane) -> Option<BevelReading> {
        let mut thickness = match &bevel.thickness {
            Some(form) => self.length(at, "thickness", form),
            None => lane.request.blade.thickness,
        };
        thickness.within = thickness.within.or(Some(THICKNESS_READ_WITHIN));
        let taken = match (&bevel.bevel_length, &bevel.angle_read) {
            (Some(form), None) => {
                let l = self.length(at, "bevel_length", form);
                if l.mm <= thickness.mm {
                    let [long, thick] = [l.mm, thickness.mm].map(|mm| lane.request.written.size(mm));
                    let found = format!("a bevel {long} long on a blade {thick} thick");
                    self.fault_at(at, Some("bevel_length"), &found, "longer than the blade is thick");
                    return None;
                }
                BevelTaken::Length(l.mm, l.within.unwrap_or(BEVEL_READ_WITHIN))
            }
            (None, Some(form)) => {
                let a = form.read();
                BevelTaken::Read(a.degrees, a.within.unwrap_or(ANGLE_READ_WITHIN))
            }
            _ => {
                self.fault_at(at, None, "not just one of bevel_length and angle_read", "one of the two");
                return None;
            }
        };
        Some(BevelReading { id: lane.request.id.clone(), thickness, taken })
    }

    fn plate(&mut self, at: &[String; 2], read: &MeasuredPlate, lane: &Lane) -> Option<PlateReading> {
        let mut length = |field, form: Option<&LengthForm>| form.map(|form| self.length(at, field, form));
        let thickness = length("thickness", read.thickness.as_ref()).map(|l| l.mm);
        let roller_level =
            length("roller_level", read.roller_level.as_ref()).map_or(lane.request.roller_level.mm, |l| l.mm);
        let apart = length("apart", read.apart.as_ref());
        let taken = match (&read.heights, apart, read.inclinometer.as_ref()) {
            (Some([near, far]), Some(apart), None) => {
                let [near, far] = [near, far].map(|form| self.length(at, "heights", form));
                Taken::heights([near, far], apart, read.along.unwrap_or_default())
            }
            (None, None, Some(form)) if read.along.is_none() => {
                let (first, turned) = (form.read(), read.turned.as_ref().map(AngleForm::read));
                let within = |a: Angle| a.within.unwrap_or(INCLINOMETER_WITHIN);
                Taken::Inclinometer {
                    read: first.degrees,
                    turned: turned.map(|t| t.degrees),
                    within: turned.map_or(within(first), |turned| within(first).max(within(turned))),
                }
            }
            _ => {
                let allowed = "\"heights\" and \"apart\", or \"inclinometer\"";
                self.fault_at(at, None, "not just one way to take the angle", allowed);
                return None;
            }
        };
        let Some(angle) = taken.angle() else {
            self.fault_at(at, Some("heights"), "two heights that give no angle", plate::HEIGHTS);
            return None;
        };
        let member = match &read.blade {
            None => None,
            Some(name) => {
                let names = || lane.members.iter().map(|m| m.name.as_str());
                let found = names().position(|known| known == composed(name));
                if found.is_none() {
                    self.fields.unknown(&[&at[0], &at[1], "blade"], name, names().collect::<Vec<_>>());
                    return None;
                }
                found
            }
        };
        let wanted = member.map_or(lane.request.angle, |i| lane.members[i].wanted);
        if let Some(bevel) = read.bevel.filter(|bevel| *bevel > wanted) {
            let found = format!(
                "a bevel of {}° in lane {}: it would stand on its heel, as {}° is less steep,",
                short(bevel, 2),
                lane.request.id,
                short(wanted, 3)
            );
            self.fault_at(
                at,
                Some("bevel"),
                &found,
                "a blade whose bevel at the edge is no steeper than the lane's angle",
            );
            return None;
        }
        let bevel_stated = read.bevel.is_some();
        let id = lane.request.id.clone();
        let reading = PlateReading { id, member, thickness, roller_level, bevel_stated, angle };
        if let Err(cause) = lane.angle_of(&reading.section(lane), lane.finished()) {
            let found = format!("a blade so packed in {} that it sets no angle: {cause}", lane.request.id);
            self.fault_at(at, None, &found, "the thickness and the roller_level that it stood with");
            return None;
        }
        Some(reading)
    }
}
