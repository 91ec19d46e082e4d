//! The printer, and what it makes of lengths and volumes.

use kurbo::Size;

use crate::profile::job::ScaleFile;
use crate::terms::Filament;

/// The printer, in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct PrintOptions {
    /// Width and depth of the bed.
    pub bed: Size,
    /// Width of the nozzle.
    pub nozzle: f64,
    /// Height of a layer.
    pub layer: f64,
    /// The plastic.
    pub filament: Filament,
    /// Its density, g/cm³.
    pub density: f64,
    /// A notch for the seam at each end of the block.
    pub seam_notch: bool,
    /// How large prints come out, where it was measured.
    pub scale: Option<ScaleFile>,
}

impl Default for PrintOptions {
    fn default() -> Self {
        Self {
            bed: Size::new(220.0, 220.0),
            nozzle: 0.4,
            layer: 0.2,
            filament: Filament::Pla,
            density: Filament::Pla.density(),
            seam_notch: true,
            scale: None,
        }
    }
}

impl PrintOptions {
    /// What the block's own axes are multiplied by in its file, so that the print comes out as meant; `turned` says
    /// that it lies a quarter turned on the bed.
    pub fn factors(&self, turned: bool) -> [f64; 3] {
        match self.scale {
            None => [1.0; 3],
            Some(scale) if turned => [1.0 / scale.y, 1.0 / scale.x, 1.0],
            Some(scale) => [1.0 / scale.x, 1.0 / scale.y, 1.0],
        }
    }

    /// Mass of a volume (mm³) printed solid, g. With infill it is less.
    pub fn mass(&self, volume: f64) -> f64 {
        volume / 1000.0 * self.density
    }
}
