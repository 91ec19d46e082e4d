//! Functions of angles that give the same bits on every machine.
//!
//! Those of the standard library are the platform's, and platforms differ in the last place. Files are compared byte by
//! byte, between the command line and the page that has the library as WebAssembly among others, so here they are of the
//! `libm` crate everywhere. A lint keeps the others out (`clippy.toml`).

use kurbo::{Affine, Point, Vec2};
use num_dual::Dual64;

/// Sine, cosine and tangent of an angle in radians, for numbers with and without a derivative.
pub trait Trig: Copy {
    /// Sine and cosine.
    fn sine_cosine(self) -> (Self, Self);

    /// Tangent.
    fn tangent(self) -> Self;

    /// Sine.
    fn sine(self) -> Self {
        self.sine_cosine().0
    }

    /// Cosine.
    fn cosine(self) -> Self {
        self.sine_cosine().1
    }
}

impl Trig for f64 {
    fn sine_cosine(self) -> (Self, Self) {
        (libm::sin(self), libm::cos(self))
    }

    fn tangent(self) -> Self {
        libm::tan(self)
    }
}

impl Trig for Dual64 {
    fn sine_cosine(self) -> (Self, Self) {
        let (sine, cosine) = self.re.sine_cosine();
        (Self::new(sine, self.eps * cosine), Self::new(cosine, -self.eps * sine))
    }

    fn tangent(self) -> Self {
        let tangent = self.re.tangent();
        Self::new(tangent, self.eps * (1.0 + tangent * tangent))
    }
}

/// Angles of their functions, in radians, and the third side of a right-angled triangle.
pub trait Inverse: Copy {
    /// Angle of a sine.
    fn arcsine(self) -> Self;

    /// Angle of a cosine.
    fn arccosine(self) -> Self;

    /// Angle of a tangent, from −π/2 to π/2.
    fn arctangent(self) -> Self;

    /// Angle of the point with this ordinate and the abscissa `x`, from −π to π.
    fn arctangent2(self, x: Self) -> Self;

    /// Side opposite the right angle between this one and `other`.
    fn hypotenuse(self, other: Self) -> Self;
}

impl Inverse for f64 {
    fn arcsine(self) -> Self {
        libm::asin(self)
    }

    fn arccosine(self) -> Self {
        libm::acos(self)
    }

    fn arctangent(self) -> Self {
        libm::atan(self)
    }

    fn arctangent2(self, x: Self) -> Self {
        libm::atan2(self, x)
    }

    fn hypotenuse(self, other: Self) -> Self {
        libm::hypot(self, other)
    }
}

/// Size and direction of a vector.
pub trait Polar {
    /// Its length.
    fn size(self) -> f64;

    /// Its angle from the first axis, radians.
    fn turn(self) -> f64;
}

impl Polar for Vec2 {
    fn size(self) -> f64 {
        self.x.hypotenuse(self.y)
    }

    fn turn(self) -> f64 {
        self.y.arctangent2(self.x)
    }
}

/// The vector of length 1 at `angle`, radians.
pub fn toward(angle: f64) -> Vec2 {
    let (y, x) = angle.sine_cosine();
    Vec2::new(x, y)
}

/// How far two points are apart.
pub fn apart(a: Point, b: Point) -> f64 {
    (a - b).size()
}

/// A turn about the origin by `angle`, radians.
pub fn rotation(angle: f64) -> Affine {
    let (sine, cosine) = angle.sine_cosine();
    Affine::new([cosine, sine, -sine, cosine, 0.0, 0.0])
}

#[cfg(test)]
mod tests {
    use super::*;
    use num_dual::DualNum;

    /// The standard library's, to a few units in the last place; the derivatives are `num-dual`'s.
    #[test]
    fn functions_are_those_of_other_libraries() {
        for i in -400..400 {
            let x = f64::from(i) * 0.0173;
            for (own, other) in [
                (x.sine(), f64::sin(x)),
                (x.cosine(), f64::cos(x)),
                (x.arctangent(), f64::atan(x)),
                (x.arctangent2(0.7), f64::atan2(x, 0.7)),
                (x.hypotenuse(1.3), f64::hypot(x, 1.3)),
                ((x / 8.0).arcsine(), f64::asin(x / 8.0)),
                ((x / 8.0).arccosine(), f64::acos(x / 8.0)),
                ((x / 8.0).tangent(), f64::tan(x / 8.0)),
            ] {
                assert!((own - other).abs() <= 4.0 * f64::EPSILON * other.abs().max(1.0), "{x}: {own} {other}");
            }
            let dual = Dual64::from_re(x / 8.0).derivative();
            let (sine, cosine) = dual.sine_cosine();
            for (own, other) in
                [(sine, DualNum::sin(&dual)), (cosine, DualNum::cos(&dual)), (dual.tangent(), DualNum::tan(&dual))]
            {
                assert!((own.re - other.re).abs() < 1e-14 && (own.eps - other.eps).abs() < 1e-12, "{x}: {own} {other}");
            }
        }
    }
}
