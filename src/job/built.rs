//! A job that is built in code.

use super::{Job, JobSetting, PrintOptions, WoodOptions};
use crate::guide::Guide;
use crate::guide::named::{self, NoFiles};
use crate::honing::Honing;
use crate::input::fault::Faults;
use crate::input::length::Length;
use crate::lane::{BlockOptions, DEFAULT_TOLERANCE};
use crate::units::Written;

impl Job {
    /// A job for a guide, with sound defaults and no lanes yet.
    pub fn new(guide: Guide) -> Self {
        Self {
            title: guide.name.clone(),
            units: guide.units,
            written: Written::of(guide.units),
            wood: WoodOptions::new(guide.units),
            guide,
            shared_with: Vec::new(),
            settings: Vec::new(),
            kit: None,
            log: None,
            across_seats: false,
            strict: false,
            roller_level: Length::exact(0.0),
            tolerance: DEFAULT_TOLERANCE,
            block: BlockOptions::default(),
            print: PrintOptions::default(),
            asks_for_wood: false,
            states_wood: false,
            jig_alone: false,
            sheet_size: None,
            date: None,
            projection_angle: Default::default(),
            honing: Honing::default(),
            corrections: None,
        }
    }

    /// The same with a lane for each angle, degrees, of a built-in tool class.
    ///
    /// # Errors
    /// That there is no such class, and which there are; or that an angle is there a second time.
    pub fn lanes(mut self, tool: &str, angles: impl Into<Vec<f64>>) -> Result<Self, Faults> {
        let class = named::tool(tool, &NoFiles)?;
        let setting = JobSetting::of_class(&class, &self.guide, angles.into(), self.roller_level);
        let there = self.settings.iter().filter(|s| s.id == setting.id).flat_map(|s| &s.angles);
        let mut all: Vec<f64> = there.chain(&setting.angles).copied().collect();
        all.sort_by(f64::total_cmp);
        if let Some(twice) = all.windows(2).find(|w| w[0] == w[1]) {
            return Err(Faults::argument("angles", format!("{tool} at {}° a second time", twice[0]), "each lane once"));
        }
        self.settings.push(setting);
        Ok(self)
    }
}
