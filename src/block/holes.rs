//! Where the screw holes go: through the raised middle, near its ends, clear of what is lettered.

use kurbo::{Point, Rect};

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
        // Only what comes between the head's sides can be in its way.
        let near: Vec<&Rect> = lettered.iter().filter(|r| r.x0.max(x - HEAD) < r.x1.min(x + HEAD)).collect();
        let free = |y: &f64| near.iter().all(|r| r.y0.max(y - HEAD) >= r.y1.min(y + HEAD));
        // From the middle outward.
        let middle = (low + high) / 2.0;
        let steps = ((high - low) / 2.0 / STEP).floor().max(0.0) as i32;
        let outward = (0..=steps).flat_map(|i| [middle + f64::from(i) * STEP, middle - f64::from(i) * STEP]);
        (low <= high).then(|| outward.into_iter().find(free)).flatten().map(|y| Point::new(x, y))
    };
    let steps = (plan.length / STEP) as usize;
    let xs = || (0..=steps).map(|i| i as f64 * STEP).filter(|x| *x >= 2.0 * clear && *x <= plan.length - 2.0 * clear);
    let Some(left) = xs().find_map(at) else { return Vec::new() };
    match xs().rev().find_map(at) {
        Some(right) if right.x - left.x >= 4.0 * clear => vec![left, right],
        _ => vec![left],
    }
}
