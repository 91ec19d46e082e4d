//! A thin blade under the fingers: a beam held by the guide at its face, pressed down by the fingers, borne by the stone at
//! its edge.
//!
//! A load F at the distance a from where the blade is held turns all beyond it by F·a²/(2EI) (a cantilever; any handbook of
//! strength of materials); so do the fingers one way, and
//! the stone's answer at the edge the other way. Guide and blade rest on edge and roller, so the stone answers with
//! F·(1 − b·cos β/x), with the fingers b behind the edge and the roller x behind it. The edge gives way by the beam's
//! deflection as well, and the guide follows it down. Loads count square to the blade; the blade is even and E is steel's.

use crate::solve::projection;
use crate::solve::section::Section;
use crate::trig::Trig;

/// How a blade is pressed down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Force of the fingers, N.
    pub force: f64,
    /// How far behind the edge they press, mm.
    pub behind: f64,
    /// Young's modulus of the blade, GPa.
    pub modulus: f64,
}

impl Default for Load {
    /// 20 N, 10 mm behind the edge, on steel of 205 GPa: assumptions, open to change.
    fn default() -> Self {
        Self { force: 20.0, behind: 10.0, modulus: 205.0 }
    }
}

/// How far a blade bends at its edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bend {
    /// How far the back at the edge turns up against the guide, radians.
    pub slope: f64,
    /// How far the edge gives way upward, square to the seat, mm.
    pub rise: f64,
}

impl Load {
    /// How a blade `width` mm wide bends with the projection `p` mm, its bevel at `beta` radians.
    pub fn bend(&self, section: &Section<f64>, p: f64, width: f64, beta: f64) -> Bend {
        let cos = beta.cosine();
        let stiffness = self.modulus * 1000.0 * width * section.thickness.powi(3) / 12.0;
        let behind = self.behind.min(p);
        let arm = p - behind;
        let answer = self.force * (1.0 - behind * cos / super::stone::room(section, p)).max(0.0);
        let slope = (answer * p * p - self.force * arm * arm) * cos / (2.0 * stiffness);
        let rise = (answer * p.powi(3) / 3.0 - self.force * arm * arm * (3.0 * p - arm) / 6.0) * cos / stiffness;
        Bend { slope, rise }
    }
}

/// Change of the bevel angle at the edge, degrees, of a blade `width` mm wide under `load`; `None` where the edge does not
/// come down to the stone.
pub fn change(section: &Section<f64>, p: f64, width: f64, load: &Load) -> Option<f64> {
    let straight = projection::angle(section, p)?;
    let bend = load.bend(section, p, width, straight.to_radians());
    // The edge higher by as much is as good as a seat higher by as much; the blade there dips less by its slope.
    let followed = Section { seat_height: section.seat_height + bend.rise, ..*section };
    Some(projection::angle(&followed, p)? - bend.slope.to_degrees() - straight)
}
