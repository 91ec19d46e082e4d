//! The cleat: a batten below the middle of the board. Hung against the front of a bench it keeps the edge in use clear
//! of it, whichever edge that is; gripped in a vice it holds the board so high that the roller passes the jaws.

use kurbo::{Point, Rect};

use super::fences::{Fence, Screw};
use super::movement::Movement;
use crate::layout::order::LanePlan;
use crate::trig::Inverse;
use crate::units::{MM_PER_INCH, Written};

/// What a vice grips, mm.
const GRIP: f64 = 35.0;
/// Clear space between the roller and the jaws, mm.
const OVER_JAWS: f64 = 5.0;
/// Least distance between a screw of the cleat, whose head is sunk, and any other, mm.
const BETWEEN: f64 = 12.0;
/// From the cleat's end to its outer screws, mm.
const FROM_END: f64 = 20.0;
/// How far a screw may stand beside the middle of the cleat where there is no room on it, mm.
const ASIDE: f64 = 7.0;
/// How many half steps a screw may be shifted to be clear.
const WITHIN: i32 = 40;
/// Least distance of a screw from the cleat's end, mm.
const LEAST_END: f64 = 6.0;

/// Shank of a No. 8 screw, mm: 0.060 + 8 × 0.013 in (ASME B18.6.1, from memory).
const NO_8: f64 = 0.164 * MM_PER_INCH;

/// The cleat, and its screws from above, countersunk; holes by common practice, no source.
#[derive(Debug, Clone, PartialEq)]
pub struct Cleat {
    /// Where it lies in the plan, mm.
    pub area: Rect,
    /// Its thickness, mm, from face to face.
    pub thickness: f64,
    /// Its height, mm.
    pub height: f64,
    /// How much of that a vice may grip, mm.
    pub grip: f64,
    /// Its screws.
    pub screws: Vec<Screw>,
    /// The screws' shank, mm.
    pub shank: f64,
    /// Their heads, mm across: twice the shank (common practice, no source).
    pub head: f64,
    /// Hole in the board, mm.
    pub clearance: f64,
    /// Hole in the cleat, mm.
    pub pilot: f64,
    /// Length of the screws, mm.
    pub screw: f64,
    /// How the screws are called.
    pub called: &'static str,
}

/// The cleat below a plan; `slide` where the board's grain runs across it.
pub fn cleat_below(
    written: Written,
    plan: &LanePlan,
    board: f64,
    fences: &[Fence],
    roller_below_table: f64,
    slide: Option<&Movement>,
) -> Cleat {
    let thickness = written.choose(30.0, 31.75);
    let step = written.choose(5.0, MM_PER_INCH / 4.0);
    let height = ((GRIP + OVER_JAWS + (roller_below_table - board).max(0.0)) / step).ceil() * step;
    let grid = super::step(written);
    let down = |mm: f64| (mm / grid).floor() * grid;
    let inset = down(plan.length / 8.0).min(written.choose(10.0, 12.7));
    let middle = plan.depth / 2.0;
    let area = Rect::new(inset, middle - thickness / 2.0, plan.length - inset, middle + thickness / 2.0);
    let from_end = down(area.width() / 6.0).min(written.choose(FROM_END, 19.05));
    let ends = [area.x0 + from_end, area.x1 - from_end];
    let centre = (ends[0] + ends[1]) / 2.0;
    let mut wanted = vec![ends[0], ends[1]];
    if slide.is_some() || ends[1] - ends[0] > 200.0 {
        wanted.insert(1, centre);
    }
    let mut taken: Vec<Point> = fences.iter().flat_map(|f| &f.screws).map(|s| s.at).collect();
    let mut screws = Vec::new();
    for x in wanted {
        let slot = slide.filter(|_| x != centre).map_or(0.0, |m| m.travel((x - centre).abs()));
        // At either end of its slot the screw is as far from the cleat's end.
        let least = LEAST_END + slot / 2.0;
        let at = clear_of(&taken, Point::new(x, middle), grid, [area.x0 + least, area.x1 - least]);
        taken.push(at);
        screws.push(Screw { at, slot });
    }
    let lengths = written.choose([30.0, 35.0, 40.0, 50.0, 60.0], [31.75, 38.1, 44.45, 50.8, 63.5]);
    // 20 mm in the cleat hold it.
    let screw = lengths.into_iter().find(|l| *l >= board + 20.0).unwrap_or(lengths[4]);
    let shank = written.choose(4.0, NO_8);
    Cleat {
        area,
        thickness,
        height,
        grip: down(height - OVER_JAWS - (roller_below_table - board).max(0.0)),
        screws,
        shank,
        head: 2.0 * shank,
        clearance: written.choose(4.5, 4.7625),
        pilot: written.choose(3.0, 3.175),
        screw,
        called: written.choose("4 mm", "No. 8"),
    }
}

/// The place nearest to `at`, along the cleat and `inside` its ends, that no other screw is too near to; the clearest
/// where there is none.
fn clear_of(taken: &[Point], at: Point, grid: f64, inside: [f64; 2]) -> Point {
    let nearest = |p: &Point| {
        let distances = taken.iter().map(|t| (t.x - p.x).hypotenuse(t.y - p.y));
        distances.fold(f64::INFINITY, f64::min)
    };
    let along = (0..=WITHIN).flat_map(|i| [1.0, -1.0].map(|sign| sign * f64::from(i) * grid / 2.0));
    let aside = [0.0, 1.0, -1.0].map(|sign| sign * ASIDE);
    let places = aside.into_iter().flat_map(|dy| along.clone().map(move |dx| at + (dx, dy)));
    let places = places.filter(|p| inside[0] <= p.x && p.x <= inside[1]);
    let places: Vec<Point> = places.collect();
    let clear = places.iter().find(|p| nearest(p) >= BETWEEN);
    let clearest = places.iter().max_by(|a, b| nearest(a).total_cmp(&nearest(b)));
    clear.or(clearest).copied().unwrap_or(at)
}
