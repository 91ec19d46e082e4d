//! The micro-bevel: its width against how far the edge has gone back, and honings until a regrind.
//!
//! Old edge, new edge and the micro-bevel's heel are a triangle whose angles are β₁ at the old edge, 180° − β₂ at the new
//! one, and β₂ − β₁ at the heel. Its sides are as the sines across from them (Euclid's figure; any handbook's law of
//! sines), so that with the edge `x` back along the back
//!
//! ```text
//! width     w = x · sin β₁ / sin(β₂ − β₁)
//! recession x = w · sin(β₂ − β₁) / sin β₁
//! steel     A = ½ · x · w · sin β₂
//! ```

use super::{Blade, NoBevel, checked, not_negative, positive};
use crate::trig::Trig;

/// How far a honing takes the edge back, mm along the back: an assumption (no source); measure the micro-bevel's width
/// over some honings and work yours out with [`recession`].
pub const USUAL_RECESSION: f64 = 0.05;

/// A micro-bevel this wide is slow to hone and the primary bevel due, mm: common practice, no source.
pub const WIDEST: f64 = 1.5;

/// The same as a share of the primary bevel's length, for thin blades: common practice, no source.
pub const WIDEST_SHARE: f64 = 1.0 / 3.0;

/// What a user's honing does, and when the primary bevel is reground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Habit {
    /// How far a honing takes the edge back along the back, mm.
    pub recession: f64,
    /// Width of the micro-bevel at which the primary bevel is reground, mm; `None` for the smaller of [`WIDEST`] and
    /// [`WIDEST_SHARE`] of the primary bevel's length.
    pub widest: Option<f64>,
}

impl Default for Habit {
    fn default() -> Self {
        Self { recession: USUAL_RECESSION, widest: None }
    }
}

/// When the primary bevel is due, and what that takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Regrind {
    /// Width of the micro-bevel at which it is due, mm.
    pub width: f64,
    /// How far the edge has gone back by then, mm along the back.
    pub recession: f64,
    /// How much wider each honing makes the micro-bevel, mm.
    pub width_per_honing: f64,
    /// Honings from a freshly ground edge that keep within the width: the whole number of them.
    pub honings: u32,
    /// Steel that the micro-bevel's honings have taken by then, mm² of the section.
    pub honed: f64,
    /// Steel that grinding the primary bevel takes until the micro-bevel is just gone, mm² of the section.
    pub ground: f64,
}

/// Width of the micro-bevel, mm, with the edge `recession` mm back along the back; both bevels in degrees.
///
/// # Errors
/// Bevels out of range, a micro-bevel that is not steeper, a negative recession.
pub fn width(primary: f64, micro: f64, recession: f64) -> Result<f64, NoBevel> {
    Ok(not_negative("the edge's recession", recession)? * width_per_recession(primary, micro)?)
}

/// How far the edge has gone back along the back, mm, when the micro-bevel is `width` mm wide: the inverse of [`width`].
///
/// # Errors
/// As of [`width`].
pub fn recession(primary: f64, micro: f64, width: f64) -> Result<f64, NoBevel> {
    Ok(not_negative("the micro-bevel's width", width)? / width_per_recession(primary, micro)?)
}

/// Steel taken by a micro-bevel with the edge `recession` mm back, mm² of the section.
///
/// # Errors
/// As of [`width`].
pub fn steel(primary: f64, micro: f64, recession: f64) -> Result<f64, NoBevel> {
    Ok(0.5 * recession * width(primary, micro, recession)? * checked(micro)?.sine())
}

/// What is left of the primary bevel, mm along it from the micro-bevel to the heel.
///
/// # Errors
/// As of [`width`], and [`NoBevel::PastHeel`] where nothing is left.
pub fn primary_left(blade: &Blade, primary: f64, micro: f64, recession: f64) -> Result<f64, NoBevel> {
    let per_recession = width_per_recession(primary, micro)?;
    let limit = blade.recession_to_heel(primary, micro)?;
    not_negative("the edge's recession", recession)?;
    if recession > limit {
        return Err(NoBevel::PastHeel { recession, limit });
    }
    // The third side of the triangle: sin β₂ in place of sin β₁.
    let taken = recession * per_recession * checked(micro)?.sine() / checked(primary)?.sine();
    Ok((blade.bevel_length(primary)? - taken).max(0.0))
}

/// Honings until the primary bevel should be reground.
///
/// # Errors
/// As of [`width`]; a habit with no recession or no width; a width that is more than the blade has.
pub fn regrind(blade: &Blade, primary: f64, micro: f64, habit: Habit) -> Result<Regrind, NoBevel> {
    let per_recession = width_per_recession(primary, micro)?;
    let a_honing = positive("what a honing takes the edge back, mm,", habit.recession)?;
    let usual = WIDEST.min(WIDEST_SHARE * blade.bevel_length(primary)?);
    let widest = positive("the width at which to regrind, mm,", habit.widest.unwrap_or(usual))?;
    let back = widest / per_recession;
    let limit = blade.recession_to_heel(primary, micro)?;
    if back > limit {
        return Err(NoBevel::PastHeel { recession: back, limit });
    }
    let honed = 0.5 * back * widest * checked(micro)?.sine();
    Ok(Regrind {
        width: widest,
        recession: back,
        width_per_honing: a_honing * per_recession,
        // A hair more, so that a width that is a whole number of honings counts the last.
        honings: (back / a_honing + 1e-9).floor() as u32,
        honed,
        ground: strip(blade, primary, back)? - honed,
    })
}

/// Steel between a bevel of `angle` and the parallel one whose edge lies `recession` mm back, mm² of the section: a
/// trapezium between back and underside.
pub(super) fn strip(blade: &Blade, angle: f64, recession: f64) -> Result<f64, NoBevel> {
    let shorter = recession * blade.taper.to_radians().sine() / blade.at_heel(angle)?.sine();
    Ok((blade.bevel_length(angle)? - shorter / 2.0) * recession * checked(angle)?.sine())
}

/// Width of the micro-bevel for each mm that the edge has gone back.
fn width_per_recession(primary: f64, micro: f64) -> Result<f64, NoBevel> {
    let [first, second] = [checked(primary)?, checked(micro)?];
    if second <= first {
        return Err(NoBevel::NotSteeper { primary, micro });
    }
    Ok(first.sine() / (second - first).sine())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn iron() -> Blade {
        Blade { thickness: 3.0, taper: 0.0 }
    }

    #[test]
    fn a_default_habit_on_an_iron() {
        let due = regrind(&iron(), 25.0, 30.0, Habit::default()).unwrap_or_else(|e| panic!("{e}"));
        // By hand: 3 / sin 25° = 7.099, a third of it is more than 1.5; sin 25° / sin 5° = 4.84900.
        assert_eq!(due.width, 1.5);
        assert!((due.width_per_honing - 0.242450).abs() < 1e-6, "{due:?}");
        assert_eq!(due.honings, 6);
        assert!((due.honed - 0.5 * due.recession * 0.75).abs() < 1e-12);
    }

    #[test]
    fn a_whole_number_of_honings_counts_the_last() {
        let three = width(25.0, 30.0, 0.3).unwrap_or(f64::NAN);
        let due = regrind(&iron(), 25.0, 30.0, Habit { recession: 0.1, widest: Some(three) });
        assert_eq!(due.map(|d| d.honings), Ok(3));
    }

    #[test]
    fn the_primary_ends_where_the_micro_bevel_reaches_the_heel() {
        let limit = iron().recession_to_heel(25.0, 30.0).unwrap_or(f64::NAN);
        let left = primary_left(&iron(), 25.0, 30.0, limit).unwrap_or(f64::NAN);
        assert!(left.abs() < 1e-9, "{left}");
        let past = primary_left(&iron(), 25.0, 30.0, limit + 0.1);
        assert!(matches!(past, Err(NoBevel::PastHeel { .. })));
    }

    #[test]
    fn what_makes_no_sense_is_refused() {
        assert_eq!(width(30.0, 30.0, 0.1), Err(NoBevel::NotSteeper { primary: 30.0, micro: 30.0 }));
        assert!(matches!(width(25.0, 30.0, -0.1), Err(NoBevel::Value { .. })));
        assert!(matches!(recession(25.0, 30.0, f64::NAN), Err(NoBevel::Value { .. })));
        let none = Habit { recession: 0.0, widest: None };
        assert!(matches!(regrind(&iron(), 25.0, 30.0, none), Err(NoBevel::Value { .. })));
        let wide = Habit { widest: Some(50.0), ..Habit::default() };
        assert!(matches!(regrind(&iron(), 25.0, 30.0, wide), Err(NoBevel::PastHeel { .. })));
    }
}
