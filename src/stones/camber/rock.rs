//! How far the guide must rock for a cambered edge's corner to reach the stone, and whether its roller lets it.
//!
//! Axes: `x` along the roller, `y` along the stone from under the axle to the edge, `z` up. With the guide level, a point
//! of the edge `x` from the middle lies δ(x) back in the plane of the back, which stands at β to the stone: at
//! `(x, D − δ cos β, δ sin β)`. Seen along the stone the edge is an arc of height δ sin β, so that its corner stands
//! d·sin β above the stone. Rocked by ρ it touches the stone where it runs level:
//!
//! ```text
//! tan ρ = δ'(x)·sin β
//! ```
//!
//! At the corner that is *twice* the slope of the line from the middle to the corner (for a flat arc): rocked by that
//! lesser angle, the edge touches halfway to the corner. Both are given.
//!
//! A roller flat across is on the stone with one of its ends only, once rocked. The stone then touches the end's rim and
//! the edge, and passes through the tangent of the edge at the corner. Where that tangent meets the plane of the rim, at
//! Q, the stone's line in that plane is a tangent from Q to the rim: [`pose`] works that out, exactly, and with it how
//! far the guide nods, which changes the angle at the corner a little.

use super::Curve;
use crate::guide::Roller;
use crate::terms::Arrangement;
use crate::trig::{Inverse, Trig};

/// Where the fingers press, as a share of the way from the roller to the edge: an assumption.
pub const PRESSED_AT: f64 = 0.5;

/// Width of a finger, mm: an assumption; measure yours.
pub const USUAL_FINGER: f64 = 16.0;

/// How far a guide must rock, degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rock {
    /// For the finished edge to touch at its very corner: `atan(δ' sin β)`.
    pub corner: f64,
    /// Slope of the line from the middle to the corner: `atan(d sin β / (w/2))`, at which it touches about halfway.
    pub chord: f64,
    /// How far the corner stands above the stone with the guide level, mm: `d sin β`.
    pub rise: f64,
}

/// How far a guide that holds the blade at `angle` degrees must rock for the corners of `curve`.
pub fn rock(curve: &Curve, angle: f64) -> Rock {
    let rise = curve.depth * angle.to_radians().sine();
    Rock {
        corner: (slope_at_corner(curve) * angle.to_radians().sine()).arctangent().to_degrees(),
        chord: (rise / (curve.width / 2.0)).arctangent().to_degrees(),
        rise,
    }
}

/// Slope of the arc at its corner against the middle's tangent, in the plane of the back.
fn slope_at_corner(curve: &Curve) -> f64 {
    let (radius, half) = (curve.radius(), curve.width / 2.0);
    if radius.is_finite() { half / (radius * radius - half * half).sqrt() } else { 0.0 }
}

/// How the guide stands when level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stance {
    /// Radius of the roller, mm.
    pub radius: f64,
    /// Distance along the stone from under the axle to the edge, mm.
    pub reach: f64,
    /// Width over the roller, or over both of a pair, mm.
    pub roller: f64,
}

/// The guide with the corner of the edge and the end of the roller on the stone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// Angle of the roller against the stone, degrees.
    pub rock: f64,
    /// Angle of the back against the stone, degrees: the bevel that the corner gets.
    pub angle: f64,
    /// How far the other end of the roller is off the stone, mm.
    pub lift: f64,
}

/// The pose in which the corner of `curve` bears, in a guide that holds the blade at `angle` degrees when level; roller
/// and edge run on the same stone. `None` where the edge cannot come down to it.
pub fn pose(curve: &Curve, angle: f64, stance: Stance) -> Option<Pose> {
    let (sin, cos) = angle.to_radians().sine_cosine();
    let slope = slope_at_corner(curve);
    // Q in the plane of the rim, from the axle: the corner, and back along its tangent to the rim's plane.
    let back = curve.depth - slope * (curve.width - stance.roller) / 2.0;
    let (y, z) = (stance.reach - back * cos, back * sin - stance.radius);
    let square = y * y + z * z - stance.radius * stance.radius;
    if square < 0.0 || y <= 0.0 {
        return None;
    }
    let nod = z.arctangent2(y) + stance.radius.arctangent2(square.sqrt());
    let (sin, cos) = (angle.to_radians() + nod).sine_cosine();
    let across = slope * sin;
    let rock = across.arctangent();
    Some(Pose {
        rock: rock.to_degrees(),
        angle: (cos / across.hypotenuse(1.0)).arccosine().to_degrees(),
        lift: stance.roller * rock.sine(),
    })
}

/// Whether a roller lets the guide rock: common practice (a narrow roller rocks, a wide one only tips over its end, a
/// pair beside the blade does neither), with limits from the levers below.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// A finger on the blade rocks it.
    Freely,
    /// It tips over the roller's end, with a finger over the very corner.
    Tips,
    /// No finger on the blade rocks it.
    Cannot,
}

impl Verdict {
    /// The verdict in a word.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Freely => "freely",
            Verdict::Tips => "tips",
            Verdict::Cannot => "cannot",
        }
    }
}

/// A roller judged for a camber.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judgement {
    /// Whether it lets the guide rock.
    pub verdict: Verdict,
    /// Width over the roller, or over both of a pair, mm; over their gap, where their own width is not known.
    pub roller: f64,
    /// Widest roller that still rocks freely under this blade, mm: two fingers less than the blade; 0 for none.
    pub free_up_to: f64,
    /// Least distance of the finger's middle from the blade's middle at which the guide begins to rock, mm.
    pub finger_from: f64,
    /// What the finger must press for each newton that rests on the guide over its roller; `None` where none will do.
    pub force: Option<f64>,
    /// How far the roller's other end comes off the stone for the corner, mm.
    pub lift: f64,
}

/// Judges whether `roller` lets a guide rock far enough for `curve` at `angle` degrees, with fingers `finger` mm wide.
/// `None` where the profile does not give the roller's width.
///
/// Rocked, the guide rests on the end of the roller, `W/2` from the middle, and on the corner, `w/2` from it. A finger
/// that presses at a share s of the way from roller to edge rocks it if it lies outside the line between those two,
/// `x > W/2 + s·(w − W)/2`. What rests on the guide over the middle of the roller holds against it with the lever `W/2`:
///
/// ```text
/// F / G = (W/2) / (x_finger − x)
/// ```
///
/// It rocks freely if a finger wholly on the blade will do, tips if only one over the corner will, else it cannot.
pub fn judge(curve: &Curve, angle: f64, roller: &Roller, finger: f64) -> Option<Judgement> {
    let own = roller.width.map(|w| w.mm);
    let over = match (roller.arrangement, roller.gap, own) {
        (Some(Arrangement::Pair), Some(gap), own) => gap.mm + 2.0 * own.unwrap_or(0.0),
        (_, _, own) => own?,
    };
    let half = curve.width / 2.0;
    let from = over / 2.0 + PRESSED_AT * (half - over / 2.0);
    let lever = |at: f64| (at > from).then(|| over / 2.0 / (at - from));
    let (verdict, force) = match (lever(half - finger / 2.0), lever(half)) {
        (Some(force), _) => (Verdict::Freely, Some(force)),
        (None, Some(force)) => (Verdict::Tips, Some(force)),
        (None, None) => (Verdict::Cannot, None),
    };
    let free_up_to = (curve.width - finger / (1.0 - PRESSED_AT)).max(0.0);
    let lift = over * rock(curve, angle).corner.to_radians().sine();
    Some(Judgement { verdict, roller: over, free_up_to, finger_from: from, force, lift })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::length::Length;

    const JACK: Curve = Curve { width: 51.0, depth: 1.3 };

    fn roller(width: Option<f64>, gap: Option<f64>) -> Roller {
        Roller {
            diameter: Length::exact(19.0),
            width: width.map(Length::exact),
            arrangement: Some(if gap.is_some() { Arrangement::Pair } else { Arrangement::Centre }),
            gap: gap.map(Length::exact),
        }
    }

    #[test]
    fn the_corner_asks_for_twice_the_chord() {
        let flat = rock(&Curve { width: 51.0, depth: 0.05 }, 30.0);
        assert!((flat.corner / flat.chord - 2.0).abs() < 1e-4 && (flat.rise - 0.025).abs() < 1e-12, "{flat:?}");
        assert_eq!(rock(&Curve { width: 51.0, depth: 0.0 }, 30.0).corner, 0.0);
    }

    #[test]
    fn a_straight_edge_needs_no_pose() {
        let stance = Stance { radius: 9.5, reach: 45.0, roller: 40.0 };
        let level = pose(&Curve { width: 51.0, depth: 0.0 }, 30.0, stance);
        assert!(level.is_some_and(|p| p.rock == 0.0 && (p.angle - 30.0).abs() < 1e-9 && p.lift == 0.0), "{level:?}");
        assert_eq!(pose(&JACK, 30.0, Stance { reach: -1.0, ..stance }), None);
    }

    #[test]
    fn rollers_by_their_width() {
        let judged = |width, gap| judge(&JACK, 25.0, &roller(width, gap), USUAL_FINGER);
        let word = |j: Option<Judgement>| j.map(|j| j.verdict.word());
        assert_eq!(word(judged(Some(9.5), None)), Some("freely"));
        assert_eq!(word(judged(Some(40.0), None)), Some("tips"));
        assert_eq!(word(judged(Some(60.0), None)), Some("cannot"));
        assert_eq!(word(judged(Some(8.0), Some(70.0))), Some("cannot"));
        assert_eq!(word(judged(None, Some(70.0))), Some("cannot"));
        assert_eq!(judged(None, None), None);
        let [narrow, wide] = [judged(Some(9.5), None), judged(Some(40.0), None)].map(|j| j.and_then(|j| j.force));
        assert!(wide > narrow && narrow.is_some_and(|f| f > 0.0), "{narrow:?} {wide:?}");
    }

    /// The limit of what rocks freely is where the verdict changes.
    #[test]
    fn the_stated_limit_is_the_limit() {
        let limit = judge(&JACK, 25.0, &roller(Some(9.5), None), 16.0).map_or(f64::NAN, |j| j.free_up_to);
        assert!((limit - 19.0).abs() < 1e-12);
        let at = |width| judge(&JACK, 25.0, &roller(Some(width), None), 16.0).map(|j| j.verdict);
        assert_eq!([at(limit - 0.01), at(limit + 0.01)], [Some(Verdict::Freely), Some(Verdict::Tips)]);
    }
}
