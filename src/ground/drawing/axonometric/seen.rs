//! What is seen at a place of a picture, for what is drawn onto it: grain on faces, leaders, lines between parts.

use kurbo::Point;

use super::corner::{Corner, place};
use super::faces::{Scene, TOUCH, between};
use super::{Axonometry, Body};
use crate::trig::apart;

/// Lines are looked at this often, mm of paper.
const STEP: f64 = 0.25;

/// A picture that can be asked.
pub struct Seen {
    scene: Scene,
    view: Axonometry,
}

impl Seen {
    /// Of `bodies`.
    pub fn new(bodies: &[Body], view: &Axonometry) -> Self {
        Self { scene: Scene::new(bodies, view), view: *view }
    }

    /// Index of the body that is seen at a place of the sheet.
    pub fn body_at(&self, at: Point) -> Option<usize> {
        self.scene.seen_at(at).map(|face| self.scene.faces[face].body)
    }

    /// Whether nothing hides a point of the model; a face that it lies on does not.
    fn is_open(&self, p: Corner) -> bool {
        self.scene.seen_at(place(p)).is_none_or(|face| self.scene.faces[face].clearance(p) >= -TOUCH)
    }

    /// The stretches of a straight run, by points of the model, that nothing hides.
    pub fn open(&self, run: &[[f64; 3]]) -> Vec<[Point; 2]> {
        let turned: Vec<Corner> = run.iter().copied().map(self.view.turned()).collect();
        turned.windows(2).flat_map(|ends| self.open_part(ends[0], ends[1])).collect()
    }

    fn open_part(&self, from: Corner, to: Corner) -> Vec<[Point; 2]> {
        let steps = (apart(place(from), place(to)) / STEP).ceil().max(1.0);
        let mut found: Vec<[Point; 2]> = Vec::new();
        let mut goes_on = false;
        for i in 0..steps as usize {
            let [start, middle, end] = [0.0, 0.5, 1.0].map(|part| between(from, to, (i as f64 + part) / steps));
            let open = self.is_open(middle);
            match found.last_mut().filter(|_| goes_on && open) {
                Some(last) => last[1] = place(end),
                None if open => found.push([place(start), place(end)]),
                None => {}
            }
            goes_on = open;
        }
        found
    }
}
