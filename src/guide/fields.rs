//! Resolving the fields that jobs and kits have in common: tool classes, and a blade's sizes over its class's.

use super::named::{self, ProfileKind, Sources};
use super::{Blade, ToolClass};
use crate::input::fault::Fault;
use crate::input::length::{LengthForm, TaperForm};
use crate::profile::fields::Fields;

/// A blade's sizes as a file states them; those that are missing are its class's.
pub(crate) struct SizeForms<'a> {
    pub thickness: Option<&'a LengthForm>,
    pub taper: Option<&'a TaperForm>,
    pub land: Option<&'a LengthForm>,
    pub land_taper: Option<&'a TaperForm>,
}

impl<T> Fields<'_, T> {
    /// The tool class that the field at `path` refers to; `None` where it has faults, which are then told.
    pub fn tool(&mut self, path: &[&str], reference: &str, sources: &dyn Sources) -> Option<ToolClass> {
        if let Some(tool) = named::built_in_tool(reference) {
            return Some(tool.clone());
        }
        let parsed = match named::text_of(ProfileKind::Tool, reference, sources) {
            Ok((name, bytes)) => ToolClass::parse(&name, &bytes),
            Err(fault) => {
                self.add(path, |field| Fault { field, ..*fault });
                return None;
            }
        };
        parsed.map_err(|faults| self.faults.0.extend(faults.0)).ok()
    }

    /// The blade of the list's item at `at`: what it states, else what its class has.
    pub fn blade(&mut self, [list, index]: [&str; 2], forms: &SizeForms<'_>, tool: &ToolClass) -> Blade {
        let thickness = self.optional(&[list, index, "thickness"], forms.thickness).unwrap_or(tool.thickness);
        let taper = self.taper(&[list, index, "taper"], forms.taper).unwrap_or(tool.taper);
        let land = self.optional(&[list, index, "land"], forms.land);
        let land_taper = self.taper(&[list, index, "land_taper"], forms.land_taper);
        tool.blade_of(thickness, taper, land, land_taper)
    }
}
