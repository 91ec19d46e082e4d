//! Where the screw holes go: through the raised middle, near its ends, clear of what is lettered.

use kurbo::{Circle, Point, Rect, Shape};

use super::SCREW_HOLE;
use crate::layout::order::LanePlan;

/// Least wall around a screw hole, mm.
const WALL: f64 = 3.0;
/// Radius kept free of lettering around a hole for the screw's head, mm: a No. 8 flat head is 8.2 mm wide (ASME B18.6.1,
/// from memory), and a screw is not driven quite in the middle.
pub const HEAD: f64 = 5.0;
/// Steps in which a place is looked for, mm.
const STEP: f64 = 0.5;

/// Up to two places, as near to the ends as the middle's thickness, a wall and the lettering allow.
pub fn places(plan: &LanePlan, lettered: &[Rect]) -> Vec<Point> {
    let clear = SCREW_HOLE / 2.0 + WALL;
    let at = |x: f64| -> Option<Point> {
        let [low, high] = plan.middle_between([x - clear, x + clear]);
        let (low, high) = (low + clear, high - clear);
        let free = |y: &f64| {
            let head = Circle::new((x, *y), HEAD).bounding_box();
            lettered.iter().all(|r| r.intersect(head).is_zero_area())
        };
        // From the middle outward.
        let middle = (low + high) / 2.0;
        let steps = ((high - low) / 2.0 / STEP).floor().max(0.0) as i32;
        let outward = (0..=steps).flat_map(|i| [middle + f64::from(i) * STEP, middle - f64::from(i) * STEP]);
        (low <= high).then(|| outward.into_iter().find(free)).flatten().map(|y| Point::new(x, y))
    };
    let steps = (plan.length / STEP) as usize;
    let xs = || (0..=steps).map(|i| i as f64 * STEP).filter(|x| *x >= 2.0 * clear && *x <= plan.length - 2.0 * clear);
    match (xs().find_map(at), xs().rev().find_map(at)) {
        (Some(l), Some(r)) if r.x - l.x >= 4.0 * clear => vec![l, r],
        (Some(l), _) => vec![l],
        _ => Vec::new(),
    }
}
