//! The linear equations of a fit.

use nalgebra::DVector;

use super::blade::{Blade, Registry};
use super::settings::{Pair, Settings};
use crate::guide::Taken;
use crate::input::length::{Length, rectangular};
use crate::solve::projection;
use crate::solve::section::Section;
use crate::terms::{BLADE_THICKNESS, Locates, SeatName};
use crate::trig::{Inverse, Trig};

pub use super::blade::Unknown;

/// Least standard uncertainty of an equation, mm: what is stated as exact counts as known to a nanometre.
const LEAST_SIGMA: f64 = 1e-6;

/// The range that a length of the guide or of its blade usually lies in, mm; `None` for errors. Assumed, from the spread of the
/// built-in guides; it serves predictions where equations are wanting.
pub fn usual(unknown: Unknown) -> Option<[f64; 2]> {
    match unknown {
        Unknown::Diameter => Some([10.0, 50.0]),
        Unknown::Height(_) => Some([-5.0, 30.0]),
        Unknown::AxleToFace => Some([-10.0, 50.0]),
        Unknown::OwnThickness(_) | Unknown::OwnLand(_) => Some([1.0, 5.0]),
        _ => None,
    }
}

/// One equation: `coefficients · unknowns = value`, known with the standard uncertainty `sigma`.
#[derive(Debug, Clone, PartialEq)]
pub struct Equation {
    /// One a column.
    pub coefficients: Vec<f64>,
    /// Right-hand side, mm.
    pub value: f64,
    /// Standard uncertainty, mm.
    pub sigma: f64,
    /// Where it comes from.
    pub source: Source,
}

/// Where an equation comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Source {
    /// A known pair, by its place.
    Pair(usize),
    /// A direct measurement: its field in the file.
    Measured(String),
    /// A shared error that is about zero.
    Shared,
    /// A usual size.
    Usual,
}

/// The unknowns of a fit, and the blades of its pairs.
#[derive(Debug, Clone)]
pub struct Model {
    /// The unknowns, the guide's lengths first.
    pub unknowns: Vec<Unknown>,
    /// How many of them are lengths of the guide.
    pub lengths: usize,
    /// Names of the seats.
    pub seats: Vec<SeatName>,
    /// The different blades, in the order of their first pair.
    pub blades: Vec<Blade>,
    /// Blade of each pair.
    pub blade_of: Vec<usize>,
    instrument: Option<usize>,
}

impl Model {
    /// The unknowns of `settings`.
    pub fn new(settings: &Settings) -> Self {
        let mut unknowns = vec![Unknown::Diameter];
        unknowns.extend((0..settings.seats.len()).map(Unknown::Height));
        unknowns.push(Unknown::AxleToFace);
        let lengths = unknowns.len();
        let instrument = settings.instrument.filter(|w| *w > 0.0).map(|w| {
            unknowns.push(Unknown::Instrument(w));
            lengths
        });
        let seats = settings.seats.iter().map(|s| s.name).collect();
        let mut registry = Registry::new(unknowns);
        let blade_of = settings.pairs.iter().map(|pair| registry.blade(settings, pair)).collect();
        let Registry { unknowns, blades, .. } = registry;
        Self { unknowns, lengths, seats, blades, blade_of, instrument }
    }

    /// Column of a seat's height.
    fn height(&self, seat: usize) -> usize {
        1 + seat
    }

    /// Column of the length from axle to face.
    fn axle_to_face(&self) -> usize {
        self.lengths - 1
    }

    /// The side view that the unknowns `x` give for a blade, with its errors as far as they are unknowns.
    pub fn section(&self, blade: &Blade, x: &DVector<f64>) -> Section<f64> {
        let error = |i: usize| blade.shared[i].and_then(|(column, _)| column).map_or(0.0, |c| x[c]);
        let caliper = self.instrument.map_or(0.0, |c| x[c]);
        Section {
            roller_radius: x[0] * 0.5,
            roller_level: blade.level.mm + error(3),
            seat_height: x[self.height(blade.seat)],
            axle_to_face: x[self.axle_to_face()],
            face_bottom: None,
            square_error: 0.0,
            thickness: blade.thickness.map_or(0.0, |t| t.mm + caliper) + error(0),
            taper: blade.taper.degrees.to_radians() + error(1),
            land: blade.land.map_or(0.0, |l| l.mm + caliper) + error(2),
            land_taper: blade.land_taper.degrees.to_radians() + error(4),
            locates: blade.locates,
        }
    }

    /// Derivatives of a blade's projection by all unknowns, at the bevel `beta` (radians), and the variance (mm²) of
    /// those errors of the blade that are no unknowns. The lengths' derivatives do not depend on `x`.
    pub fn gradient(&self, blade: &Blade, beta: f64, x: &DVector<f64>) -> (Vec<f64>, f64) {
        let section = self.section(blade, x);
        let nominal = match blade.locates {
            Locates::Underside => beta + blade.taper.degrees.to_radians(),
            Locates::Back => beta,
            Locates::Sides => beta + blade.land_taper.degrees.to_radians() / 2.0,
        };
        let (sin, cos) = nominal.sine_cosine();
        let (csc, cot) = (1.0 / sin, cos / sin);
        let mut row = vec![0.0; self.unknowns.len()];
        row[0] = 0.5 * csc;
        row[self.height(blade.seat)] = cot;
        row[self.axle_to_face()] = -1.0;
        let by_blade = match blade.locates {
            Locates::Underside => [cot, projection::slope(&section, beta), 0.0, csc, 0.0],
            Locates::Back => [0.0, 0.0, 0.0, csc, 0.0],
            // A groove's seat dips by half the lands' taper more; that it shortens the land is of second order.
            Locates::Sides => [0.0, 0.0, 0.5 * cot, csc, 0.5 * projection::slope(&section, beta)],
        };
        if let Some(c) = self.instrument {
            // What nobody stated was not measured with the caliper either.
            row[c] = blade.thickness.map_or(0.0, |_| by_blade[0]) + blade.land.map_or(0.0, |_| by_blade[2]);
        }
        let mut rest = 0.0;
        for (shared, by) in blade.shared.iter().zip(by_blade) {
            match shared {
                Some((Some(column), _)) => row[*column] = by,
                Some((None, within)) => rest += (by * rectangular(*within)).powi(2),
                None => {}
            }
        }
        (row, rest)
    }

    /// All equations but the usual sizes, without the pairs `left_out`, weighted with the slopes at `x`.
    pub fn equations(&self, settings: &Settings, x: &DVector<f64>, left_out: &[usize]) -> Vec<Equation> {
        let mut counts = vec![true; settings.pairs.len()];
        left_out.iter().for_each(|&i| counts[i] = false);
        let pairs = (0..settings.pairs.len()).filter(|&i| counts[i]);
        let mut all: Vec<Equation> = pairs.map(|i| self.pair(settings, i, x)).collect();
        all.extend(self.measured(settings));
        for (column, unknown) in self.unknowns.iter().enumerate() {
            if let Unknown::Instrument(w)
            | Unknown::Thickness(w)
            | Unknown::Taper(w)
            | Unknown::Land(w)
            | Unknown::LandTaper(w)
            | Unknown::Level(w) = *unknown
            {
                all.push(self.equation(&[(column, 1.0)], 0.0, rectangular(w), Source::Shared));
            }
        }
        all
    }

    fn pair(&self, settings: &Settings, index: usize, x: &DVector<f64>) -> Equation {
        let (pair, blade) = (&settings.pairs[index], &self.blades[self.blade_of[index]]);
        let beta = pair.angle.degrees.to_radians();
        let (coefficients, rest) = self.gradient(blade, beta, x);
        // The nominal blade's own part, which is no unknown: all lengths of the guide and all errors at zero.
        let own = projection::projection(&self.section(blade, &DVector::zeros(self.unknowns.len())), beta);
        let angle = rectangular(pair.angle.within.unwrap_or(0.0).to_radians());
        let by_angle = if angle > 0.0 { projection::slope(&self.section(blade, x), beta) * angle } else { 0.0 };
        let stated = rectangular(pair.projection.within.unwrap_or(0.0));
        let sigma = (stated * stated + by_angle * by_angle + rest).sqrt().max(LEAST_SIGMA);
        Equation { coefficients, value: pair.projection.mm - own, sigma, source: Source::Pair(index) }
    }

    /// The equations of what was measured directly. A caliper's common error c makes every true length `reading + c`.
    fn measured(&self, settings: &Settings) -> Vec<Equation> {
        let mut all = Vec::new();
        let sigma = |l: Length| rectangular(l.within.unwrap_or(0.0)).max(LEAST_SIGMA);
        let mut add = |terms: &[(usize, f64)], caliper: f64, value: f64, sigma: f64, field: String| {
            let mut equation = self.equation(terms, value, sigma, Source::Measured(field));
            if let Some(c) = self.instrument {
                equation.coefficients[c] = -caliper;
            }
            all.push(equation);
        };
        if let Some(d) = settings.diameter {
            add(&[(0, 1.0)], 1.0, d.mm, sigma(d), "roller.diameter".into());
        }
        for (i, seat) in settings.seats.iter().enumerate() {
            let column = self.height(i);
            match seat.height {
                None => {}
                Some(Taken::Direct(h)) => {
                    add(&[(column, 1.0)], 1.0, h.mm, sigma(h), format!("seats.{}.height", seat.name));
                }
                Some(Taken::OverRoller(m)) => {
                    let share = match seat.locates {
                        Locates::Underside => 1.0,
                        Locates::Back => 0.0,
                        Locates::Sides => 0.5,
                    };
                    let (g, share) = seat.parallel.map_or((Length::exact(0.0), 0.0), |g| (g, share));
                    let spread = sigma(m).hypotenuse(share * rectangular(g.within.unwrap_or(0.0)));
                    let field = format!("seats.{}.over_roller", seat.name);
                    add(&[(column, 1.0), (0, 0.5)], 1.0 - share, m.mm - share * g.mm, spread, field);
                }
            }
        }
        match settings.axle_to_face {
            None => {}
            Some(Taken::Direct(e)) => {
                add(&[(self.axle_to_face(), 1.0)], 1.0, e.mm, sigma(e), "face.axle_to_face".into())
            }
            Some(Taken::OverRoller(n)) => {
                add(&[(self.axle_to_face(), 1.0), (0, 0.5)], 1.0, n.mm, sigma(n), "face.over_roller".into());
            }
        }
        all
    }

    /// An equation with a few terms.
    pub fn equation(&self, terms: &[(usize, f64)], value: f64, sigma: f64, source: Source) -> Equation {
        let mut coefficients = vec![0.0; self.unknowns.len()];
        for &(column, factor) in terms {
            coefficients[column] = factor;
        }
        Equation { coefficients, value, sigma, source }
    }

    /// Usual sizes for the lengths that nobody measured.
    pub fn usual_equations(&self, settings: &Settings) -> Vec<Equation> {
        let measured = |unknown: Unknown| match unknown {
            Unknown::Diameter => settings.diameter.is_some(),
            Unknown::Height(seat) => settings.seats[seat].height.is_some(),
            Unknown::OwnThickness(_) | Unknown::OwnLand(_) => false,
            _ => settings.axle_to_face.is_some(),
        };
        let lengths = self.unknowns.iter().enumerate().filter(|(_, u)| !measured(**u));
        lengths
            .filter_map(|(column, u)| {
                let [low, high] = usual(*u)?;
                let sigma = rectangular((high - low) / 2.0);
                Some(self.equation(&[(column, 1.0)], (low + high) / 2.0, sigma, Source::Usual))
            })
            .collect()
    }

    /// The middle of each usual range, zero for errors: where the iteration starts.
    pub fn usual_values(&self) -> DVector<f64> {
        let middle = |u: &Unknown| usual(*u).map_or(0.0, |[low, high]| (low + high) / 2.0);
        DVector::from_iterator(self.unknowns.len(), self.unknowns.iter().map(middle))
    }

    /// `x` with every length within what guides have and every error within what was stated: where slopes are taken for
    /// the next round. Equations that contradict each other can ask for a taper that lays the blade flat on the stone,
    /// and for a slope without bounds there.
    pub fn plausible(&self, settings: &Settings, x: &DVector<f64>) -> DVector<f64> {
        let turned = |p: &Pair| match settings.seats[p.seat].locates {
            Locates::Underside => p.taper.degrees,
            Locates::Back => 0.0,
            Locates::Sides => p.land_taper.degrees / 2.0,
        };
        let dip = |p: &Pair| (p.angle.degrees + turned(p)).to_radians();
        let least_dip = settings.pairs.iter().map(dip).fold(f64::INFINITY, f64::min).max(0.0);
        let within = |unknown: &Unknown| match *unknown {
            Unknown::Diameter => [4.0, 120.0],
            Unknown::Height(_) => [-60.0, 180.0],
            Unknown::AxleToFace => [-60.0, 210.0],
            Unknown::Taper(w) | Unknown::LandTaper(w) => [-w.min(least_dip / 2.0), w],
            Unknown::OwnThickness(_) | Unknown::OwnLand(_) => BLADE_THICKNESS,
            Unknown::Instrument(w) | Unknown::Thickness(w) | Unknown::Land(w) | Unknown::Level(w) => [-w, w],
        };
        let kept = self.unknowns.iter().zip(x.iter()).map(|(unknown, value)| {
            let [low, high] = within(unknown);
            value.clamp(low, high)
        });
        DVector::from_iterator(x.len(), kept)
    }

    /// Whether any equation depends on the solution through a slope.
    pub fn has_slopes(&self, settings: &Settings) -> bool {
        settings.pairs.iter().any(|p| p.angle.within.is_some_and(|w| w > 0.0))
            || self.unknowns.iter().any(|u| matches!(u, Unknown::Taper(_) | Unknown::LandTaper(_)))
    }

    /// The field of a guide profile that an unknown is.
    pub fn field(&self, unknown: Unknown) -> String {
        match unknown {
            Unknown::Diameter => "roller.diameter".into(),
            Unknown::Height(seat) => format!("seats.{}.height", self.seats[seat]),
            Unknown::AxleToFace => "face.axle_to_face".into(),
            Unknown::Instrument(_) => "instrument".into(),
            Unknown::Thickness(_) | Unknown::OwnThickness(_) => "thickness".into(),
            Unknown::Taper(_) => "taper".into(),
            Unknown::Land(_) | Unknown::OwnLand(_) => "land".into(),
            Unknown::LandTaper(_) => "land_taper".into(),
            Unknown::Level(_) => "roller_level".into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    /// What nobody stated of a blade has a usual size, whatever else was measured.
    #[test]
    fn lengths_that_nobody_measured_have_usual_sizes() {
        let text = r#"{ "format": 1, "name": "one",
            "measured": { "face": { "axle_to_face": 14 }, "seats": { "iron": { "locates": "underside" } } },
            "known": [{ "seat": "iron", "angle": 25, "projection": 60 }] }"#;
        let settings = Settings::parse("x", text.as_bytes()).unwrap_or_else(|faults| panic!("{faults}"));
        let model = Model::new(&settings);
        let of = |equation: &Equation| {
            let column = equation.coefficients.iter().position(|c| *c != 0.0).expect("one term");
            (model.unknowns[column], equation.value)
        };
        let usual: Vec<(Unknown, f64)> = model.usual_equations(&settings).iter().map(of).collect();
        let expected = [(Unknown::Diameter, 30.0), (Unknown::Height(0), 12.5), (Unknown::OwnThickness(0), 3.0)];
        assert_eq!(usual, expected);
        // Rectangles over what guides have, and where the iteration starts.
        for equation in model.usual_equations(&settings) {
            let (unknown, middle) = of(&equation);
            let [low, high] = super::usual(unknown).expect("a length");
            assert_abs_diff_eq!(equation.sigma * 3f64.sqrt(), middle - low, epsilon = 1e-12);
            assert_abs_diff_eq!(equation.sigma * 3f64.sqrt(), high - middle, epsilon = 1e-12);
            let column = model.unknowns.iter().position(|u| *u == unknown).expect("an unknown");
            assert_eq!(model.usual_values()[column], middle);
        }
    }

    /// An error that is no unknown, as of the hundredth blade, is a variance of the pair.
    #[test]
    fn errors_that_are_no_unknowns_add_their_variance() {
        let text = r#"{ "format": 1, "name": "one", "measured": { "seats": { "iron": { "locates": "underside" } } },
            "known": [{ "seat": "iron", "thickness": { "value": 2.4, "within": 0.3 }, "angle": 30, "projection": 60 }] }"#;
        let settings = Settings::parse("x", text.as_bytes()).unwrap_or_else(|faults| panic!("{faults}"));
        let model = Model::new(&settings);
        let mut blade = model.blades[0];
        blade.shared[0] = Some((None, 0.3));
        let (row, rest) = model.gradient(&blade, 30f64.to_radians(), &model.usual_values());
        // A rectangle of ± 0.3 mm, and a projection that changes by cot 30° = √3 with the thickness.
        assert_abs_diff_eq!(rest, 0.3 * 0.3 / 3.0 * 3.0, epsilon = 1e-12);
        assert!(row[model.lengths..].iter().all(|by| *by == 0.0));
    }

    /// By central differences, of every unknown.
    #[test]
    fn the_gradient_is_what_the_projection_does() {
        let text = r#"{ "format": 1, "name": "one",
            "measured": { "instrument": 0.02,
                "seats": { "iron": { "locates": "underside" }, "chisel": { "locates": "sides" } } },
            "known": [
                { "seat": "iron", "thickness": { "value": 2.4, "within": 0.05 }, "taper": { "value": 0.5, "within": 0.1 },
                  "roller_level": { "value": -1, "within": 0.2 }, "angle": 25, "projection": 60 },
                { "seat": "chisel", "land": { "value": 1.4, "within": 0.1 }, "land_taper": { "value": 0.8, "within": 0.2 },
                  "angle": 30, "projection": 36 }] }"#;
        let settings = Settings::parse("x", text.as_bytes()).unwrap_or_else(|faults| panic!("{faults}"));
        let model = Model::new(&settings);
        let value = |unknown: &Unknown| match unknown {
            Unknown::Diameter => 16.0,
            Unknown::Height(seat) => 9.0 + *seat as f64,
            Unknown::AxleToFace => 14.0,
            _ => 0.0,
        };
        let x = DVector::from_iterator(model.unknowns.len(), model.unknowns.iter().map(value));
        const STEP: f64 = 1e-5;
        let mut seen = 0;
        for (blade, degrees) in model.blades.iter().zip([25.0_f64, 30.0]) {
            let beta = degrees.to_radians();
            let projected = |x: &DVector<f64>| projection::projection(&model.section(blade, x), beta);
            let (row, rest) = model.gradient(blade, beta, &x);
            assert_eq!(rest, 0.0, "every error is an unknown");
            for (i, by) in row.iter().enumerate() {
                let at = |step: f64| {
                    let mut moved = x.clone();
                    moved[i] += step;
                    projected(&moved)
                };
                let slope = (at(STEP) - at(-STEP)) / (2.0 * STEP);
                // A groove's shortened land is left out.
                assert_abs_diff_eq!(*by, slope, epsilon = 0.02 * slope.abs().min(1.0) + 1e-6);
                seen += usize::from(slope != 0.0);
            }
        }
        // Diameter, height and face for both; thickness, taper, level and caliper; lands, their taper and caliper.
        assert_eq!((seen, model.unknowns.len()), (13, 10));
    }
}
