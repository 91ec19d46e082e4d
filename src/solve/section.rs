//! The side view of a guide with a blade in it, as lengths in the guide frame.
//!
//! Origin on the axle's centre; `s` runs along the seat toward the edge, `n` square to it, away from the stone. The
//! seat line is `n = h`, the face stands at `s = e` at the seat's level. Generic over the number, so that the same
//! formulas give values (`f64`) and exact derivatives (dual numbers).

use num_dual::DualNum;

use crate::terms::Locates;
use crate::trig::Trig;

/// Side-view lengths in mm and angles in radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section<D> {
    /// Roller radius r = D/2.
    pub roller_radius: D,
    /// Height of the roller's track above the honing surface, z.
    pub roller_level: D,
    /// Level of the seat (of a groove, its centre line), h.
    pub seat_height: D,
    /// Distance of the face along the seat, e.
    pub axle_to_face: D,
    /// Level of the face's lower end, n_b; `None` when it was not measured.
    pub face_bottom: Option<D>,
    /// Out of square of the face, positive when the lower end stands forward.
    pub square_error: D,
    /// Blade thickness at the edge, t.
    pub thickness: D,
    /// Taper τ: the back against the underside, positive when thicker at the edge.
    pub taper: D,
    /// Height of the side lands down from the back, L.
    pub land: D,
    /// Taper λ of the side lands: their lower edge against the back, positive where the land is higher at the edge.
    pub land_taper: D,
    /// What of the blade the seat locates.
    pub locates: Locates,
}

impl Section<f64> {
    /// The same once the roller has lost `lost` mm of its diameter: seat and face keep their places from the axle, however
    /// they were measured, and the axle comes nearer to what the roller runs on.
    #[must_use]
    pub fn with_worn_roller(&self, lost: f64) -> Self {
        Self { roller_radius: self.roller_radius - lost / 2.0, ..*self }
    }

    /// The same section in another kind of number.
    pub fn map<D>(&self, f: impl Fn(f64) -> D) -> Section<D> {
        Section {
            roller_radius: f(self.roller_radius),
            roller_level: f(self.roller_level),
            seat_height: f(self.seat_height),
            axle_to_face: f(self.axle_to_face),
            face_bottom: self.face_bottom.map(&f),
            square_error: f(self.square_error),
            thickness: f(self.thickness),
            taper: f(self.taper),
            land: f(self.land),
            land_taper: f(self.land_taper),
            locates: self.locates,
        }
    }
}

impl<D: DualNum<Primitive = f64> + Trig> Section<D> {
    /// Height of the axle above the honing surface, a = r + z.
    pub fn axle_height(&self) -> D {
        self.roller_radius + self.roller_level
    }

    /// Level of the cutting edge (it is on the back), H.
    pub fn edge_level(&self) -> D {
        match self.locates {
            Locates::Underside => self.seat_height + self.thickness,
            Locates::Back => self.seat_height,
            Locates::Sides => self.seat_height + self.land * 0.5 * (self.land_taper * 0.5).cosine(),
        }
    }

    /// Level of the blade's underside at the edge, n_u.
    pub fn underside_level(&self) -> D {
        match self.locates {
            Locates::Underside => self.seat_height,
            Locates::Back | Locates::Sides => self.edge_level() - self.thickness,
        }
    }

    /// Dip of the seat toward the stone when the bevel `beta` lies flat on it, α (radians).
    pub fn dip(&self, beta: D) -> D {
        match self.locates {
            Locates::Underside => beta + self.taper,
            Locates::Back => beta,
            // A groove lies along the middle of the lands, which falls from the back by half their taper.
            Locates::Sides => beta + self.land_taper * 0.5,
        }
    }

    /// How far the seat is turned against the blade's underside: what the guide tilts by when the blade lies flat on
    /// the table (radians, positive when the seat rises toward the edge).
    pub fn tilt(&self) -> D {
        match self.locates {
            Locates::Underside => self.taper * 0.0,
            Locates::Back => self.taper,
            Locates::Sides => self.taper - self.land_taper * 0.5,
        }
    }

    /// Distance of the face along the seat at the level `n`.
    pub fn face_at(&self, n: D) -> D {
        self.axle_to_face + (self.seat_height - n) * self.square_error.tangent()
    }
}
