//! Resolving the fields that jobs and kits have in common: lengths, tool classes, and a blade's sizes over its class's.

use super::named::{self, ProfileKind, Sources};
use super::{Blade, ToolClass};
use crate::input::fault::Faults;
use crate::input::length::{Angle, LENGTH_FORMS, Length, LengthForm, TaperForm};
use crate::profile::Read;
use crate::units::Units;

/// A file that is being resolved, and the faults found so far.
pub(crate) struct Fields<'a, T> {
    pub read: &'a Read<T>,
    pub units: Units,
    pub faults: Faults,
}

/// A blade's sizes as a file states them; those that are missing are its class's.
pub(crate) struct SizeForms<'a> {
    pub thickness: Option<&'a LengthForm>,
    pub taper: Option<&'a TaperForm>,
    pub land: Option<&'a LengthForm>,
}

impl<T> Fields<'_, T> {
    pub fn fault(&mut self, path: &[&str], found: Option<String>, allowed: impl Into<String>) {
        if !self.read.spoiled(path) {
            self.faults.0.push(self.read.document.fault(path, found, allowed));
        }
    }

    pub fn length(&mut self, path: &[&str], form: &LengthForm) -> Length {
        form.read(self.units).unwrap_or_else(|found| {
            self.fault(path, Some(found), LENGTH_FORMS);
            Length::exact(0.0)
        })
    }

    pub fn optional(&mut self, path: &[&str], form: Option<&LengthForm>) -> Option<Length> {
        form.map(|f| self.length(path, f))
    }

    /// The tool class that the field at `path` refers to; `None` where it has faults, which are then told.
    pub fn tool(&mut self, path: &[&str], reference: &str, sources: &dyn Sources) -> Option<ToolClass> {
        let parsed = match named::text_of(ProfileKind::Tool, reference, sources) {
            Ok((name, bytes)) => ToolClass::parse(&name, &bytes),
            Err(found) => {
                self.fault(path, Some(found), ProfileKind::Tool.allowed());
                return None;
            }
        };
        parsed.map_err(|faults| self.faults.0.extend(faults.0)).ok()
    }

    /// The blade of the list's item at `at`: what it states, else what its class has.
    pub fn blade(&mut self, at: [&str; 2], forms: &SizeForms<'_>, tool: &ToolClass) -> Blade {
        let [list, index] = at;
        let thickness = self.optional(&[list, index, "thickness"], forms.thickness).unwrap_or(tool.thickness);
        let taper = forms.taper.map_or(tool.taper, |form| {
            form.read(self.units).unwrap_or_else(|found| {
                self.fault(&[list, index, "taper"], Some(found), "a taper");
                Angle::exact(0.0)
            })
        });
        let land = self.optional(&[list, index, "land"], forms.land).or(tool.land);
        Blade { thickness, taper, land }
    }

    /// Lands that were stated must not be higher than the blade is thick.
    pub fn land_on_blade(&mut self, at: [&str; 2], forms: &SizeForms<'_>, blade: &Blade) {
        let [list, index] = at;
        let Some(land) = blade.land.filter(|_| forms.land.is_some()) else { return };
        let thickness = blade.thickness;
        if land.mm > thickness.mm + thickness.within.unwrap_or(0.0) && !self.read.spoiled(&[list, index, "thickness"]) {
            let found = format!("lands of {} mm on a blade {} mm thick", land.mm, thickness.mm);
            self.fault(&[list, index, "land"], Some(found), "at most the blade's thickness");
        }
    }
}
