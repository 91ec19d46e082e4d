//! Lettering that is sunk into the highest level of a picture or stands on it.
//!
//! It has thousands of small walls, but nothing lies above it. Seen from above, nothing hides the highest level, so
//! lettering is painted last; seen from below, everything hides it, so it is painted first. Only the lettering itself
//! is then to be put in order, and that is simple, for all of it begins and ends at the same heights:
//!
//! * of what is sunk, the walls that look toward the viewer hide the floor, as far as their own opening shows them;
//! * of what is raised, the top hides the walls and no wall hides a top.

use kurbo::{Point, Rect};

use super::visible::{clipped, filled};
use super::{Axonometry, dot};
use crate::drawing::Group;
use crate::drawing::clash::around;
use crate::drawing::style::{Fill, Pen};

/// Surfaces whose normal has less than this toward the viewer are seen edge on.
const EDGE_ON: f64 = 1e-6;

/// Lettering in relief.
#[derive(Debug, Clone, PartialEq)]
pub struct Relief {
    /// Unique on its sheet.
    pub id: String,
    /// Its plan, mm: outlines with the material on their left.
    pub region: Vec<Vec<Point>>,
    /// The level that it is sunk into or stands on, which is the highest of all else.
    pub surface: f64,
    /// The level of its floor or its top.
    pub end: f64,
}

impl Relief {
    /// Whether it is to be painted before everything else.
    pub fn is_behind(&self, view: &Axonometry) -> bool {
        view.direction.elevation < 0.0
    }

    /// Paints it.
    pub fn draw(&self, view: &Axonometry, class: &'static str) -> Group {
        let mut group = Group::new(&self.id, class);
        let mut paint = |contours: Vec<Vec<Point>>, fill| {
            if !contours.is_empty() {
                group.path(contours, true, Pen::None, fill);
            }
        };
        // From below neither openings nor tops are seen.
        let facing: &[Vec<Point>] = if view.direction.axes()[2][2] > EDGE_ON { &self.region } else { &[] };
        let level = self.level(facing, view);
        if self.end > self.surface {
            let walls = self.walls(&self.region, view);
            paint(filled(&walls).contours(), Fill::Dim);
            paint(level, Fill::Deep);
        } else {
            paint(level, Fill::Deep);
            let seen = |sign: &Vec<Vec<Point>>| clipped(&self.walls(sign, view), &self.level(sign, view)).contours();
            paint(apart(facing).iter().flat_map(seen).collect(), Fill::Dim);
        }
        group
    }

    /// The openings or the tops of lettering.
    fn level(&self, lettering: &[Vec<Point>], view: &Axonometry) -> Vec<Vec<Point>> {
        let (z, at) = (self.surface.max(self.end), view.places());
        lettering.iter().map(|o| o.iter().map(|p| at([p.x, p.y, z])).collect()).collect()
    }

    /// The walls that look toward the viewer. Neighbours make one strip: its upper and its lower side run from left to
    /// right, so it does not cross itself, and all strips wind the same way.
    fn walls(&self, lettering: &[Vec<Point>], view: &Axonometry) -> Vec<Vec<Point>> {
        let (right, at) = (view.direction.axes()[0], view.places());
        let low = self.surface.min(self.end);
        let high = self.surface.max(self.end);
        let mut strips = Vec::new();
        for outline in lettering {
            let n = outline.len();
            let corner = |i: usize| outline[i % n];
            // Material is on the left of a side, so its wall looks to the right of it: toward the viewer where the side
            // runs to the viewer's right.
            let looks = |i: usize| {
                let side = corner(i + 1) - corner(i);
                dot(right, [side.x, side.y, 0.0]) > 0.0
            };
            let Some(start) = (0..n).find(|&i| looks(i) && !looks(i + n - 1)) else { continue };
            let mut run: Vec<Point> = Vec::new();
            for i in start..start + n {
                if looks(i) {
                    if run.is_empty() {
                        run.push(corner(i));
                    }
                    run.push(corner(i + 1));
                }
                if !looks(i) && !run.is_empty() {
                    let upper = run.iter().map(|p| at([p.x, p.y, high]));
                    let lower = run.iter().rev().map(|p| at([p.x, p.y, low]));
                    strips.push(upper.chain(lower).collect());
                    run.clear();
                }
            }
        }
        strips
    }
}

/// Lettering sign by sign, each with what lies within it: through an opening only its own walls are seen, and many small
/// areas are cut sooner than one large one.
fn apart(lettering: &[Vec<Point>]) -> Vec<Vec<Vec<Point>>> {
    let mut outlines: Vec<(Rect, &Vec<Point>)> = lettering.iter().map(|o| (around(o.iter().copied()), o)).collect();
    outlines.sort_by(|(a, _), (b, _)| b.area().total_cmp(&a.area()));
    let mut signs: Vec<(Rect, Vec<Vec<Point>>)> = Vec::new();
    for (bounds, outline) in outlines {
        match signs.iter_mut().find(|(sign, _)| sign.contains_rect(bounds)) {
            Some((_, sign)) => sign.push(outline.clone()),
            None => signs.push((bounds, vec![outline.clone()])),
        }
    }
    signs.into_iter().map(|(_, sign)| sign).collect()
}
