//! Resolving the fields of a file that was read: units put in, and faults told where the schema has told none.

use super::Read;
use crate::input::fault::{Fault, Faults};
use crate::input::length::{Angle, LENGTH_FORMS, Length, LengthForm, TaperForm};
use crate::units::{EXACT, Units};

/// A file that is being resolved, and the faults found so far.
pub(crate) struct Fields<'a, T> {
    pub read: &'a Read<T>,
    pub units: Units,
    pub faults: Faults,
}

impl<'a, T> Fields<'a, T> {
    /// The fields of a file, whose bare numbers are in `units`.
    pub fn of(read: &'a Read<T>, units: Units) -> Self {
        Self { read, units, faults: Faults::default() }
    }

    /// A length as the file's user reads it, with its unit.
    pub fn said(&self, mm: f64) -> String {
        self.units.short(mm, EXACT).said()
    }

    /// A fault of the field at `path`, unless it is spoiled already.
    pub fn fault(&mut self, path: &[&str], found: impl Into<String>, allowed: impl Into<String>) {
        if !self.read.spoiled(path) {
            self.faults.0.push(self.read.document.fault(path, Some(found.into()), allowed));
        }
    }

    /// A fault that is told as it is, put where the field at `path` stands, unless that is spoiled already.
    pub fn add(&mut self, path: &[&str], fault: impl FnOnce(String) -> Fault) {
        if !self.read.spoiled(path) {
            let place = self.read.document.fault(path, None, "");
            self.faults.0.push(fault(place.field).of(place.source, place.position));
        }
    }

    /// A fault of a name that is none of `names`, with the one that was perhaps meant.
    pub fn unknown<'n>(&mut self, path: &[&str], word: &str, names: impl IntoIterator<Item = &'n str> + Clone) {
        self.add(path, |at| Fault::unknown(at, word, names));
    }

    /// `Ok(())` when neither the fields nor the rules between them have faults.
    ///
    /// # Errors
    /// All faults of the file.
    pub fn finish(self) -> Result<(), Faults> {
        self.read.finish(self.faults)
    }

    pub fn length(&mut self, path: &[&str], form: &LengthForm) -> Length {
        form.read(self.units).unwrap_or_else(|cause| {
            self.add(path, |at| Fault::new(at, &cause.found, LENGTH_FORMS).mended(cause.mend()));
            Length::exact(0.0)
        })
    }

    pub fn optional(&mut self, path: &[&str], form: Option<&LengthForm>) -> Option<Length> {
        form.map(|f| self.length(path, f))
    }

    /// The millimetres of a length whose tolerance says nothing.
    pub fn mm(&mut self, path: &[&str], form: Option<&LengthForm>) -> Option<f64> {
        self.optional(path, form).map(|l| l.mm)
    }

    /// The millimetres of a list of two lengths.
    pub fn pair(&mut self, path: &[&str], [first, second]: &[LengthForm; 2]) -> [f64; 2] {
        let mut one = |index, form| self.length(&[path, &[index]].concat(), form).mm;
        [one("0", first), one("1", second)]
    }

    /// A list of two lengths, of which the second is not the smaller.
    pub fn range(&mut self, path: &[&str], forms: &[LengthForm; 2]) -> [f64; 2] {
        let [low, high] = self.pair(path, forms);
        if low > high {
            self.fault(path, format!("{} before {}", self.said(low), self.said(high)), "the smaller first");
        }
        [low, high]
    }

    pub fn taper(&mut self, path: &[&str], form: Option<&TaperForm>) -> Option<Angle> {
        let units = self.units;
        form.map(|form| {
            form.read(units).unwrap_or_else(|found| {
                self.fault(path, found.to_string(), "a taper");
                Angle::exact(0.0)
            })
        })
    }

    /// Lands that are stated by the list's item at `at` must not be higher than its blade is thick.
    pub fn land_on_blade(&mut self, [list, index]: [&str; 2], land: Option<Length>, thickness: Length) {
        let Some(land) = land else { return };
        if land.mm > thickness.mm + thickness.within.unwrap_or(0.0) && !self.read.spoiled(&[list, index, "thickness"]) {
            let found = format!("lands of {} on a blade {} thick", self.said(land.mm), self.said(thickness.mm));
            self.fault(&[list, index, "land"], found, "at most the blade's thickness");
        }
    }
}
