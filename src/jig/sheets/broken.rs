//! Long parts broken off where they repeat, so that what is left goes on the paper at a scale that can be read.

use crate::drawing::Group;
use crate::drawing::style::{Fill, Pen};
use crate::drawing::view::View;

/// Space between the ends of a break, mm of paper.
const GAP: f64 = 3.0;
/// Width and height of a break line's jag, mm of paper.
const JAG: [f64; 2] = [3.0, 1.2];
/// How far a break line runs past the part, mm of paper.
const PAST: f64 = 2.0;

/// What is shown of a part's length.
pub(super) struct Shown {
    /// Stretches from the left end, mm of the part.
    windows: Vec<[f64; 2]>,
    /// Space between two of them, mm of the part.
    gap: f64,
}

impl Shown {
    /// Of a part `length` mm long, as much as goes on `room` mm of paper at a scale: all of it, or both ends and what lies
    /// about its middle.
    pub(super) fn of(length: f64, scale: f64, room: f64) -> Self {
        let gap = GAP / scale;
        let most = room / scale;
        if length <= most {
            return Self { windows: vec![[0.0, length]], gap };
        }
        let each = (most - 2.0 * gap) / 3.0;
        let middle = length / 2.0;
        Self { windows: vec![[0.0, each], [middle - each / 2.0, middle + each / 2.0], [length - each, length]], gap }
    }

    /// Whether some of it is broken out.
    pub(super) fn is_broken(&self) -> bool {
        self.windows.len() > 1
    }

    /// How much is shown about the middle in one piece, mm of the part.
    pub(super) fn about_middle(&self) -> f64 {
        self.windows.get(self.windows.len() / 2).map_or(0.0, |[a, b]| b - a)
    }

    /// The length as it is drawn, mm of the part.
    pub(super) fn length(&self) -> f64 {
        let windows: f64 = self.windows.iter().map(|[a, b]| b - a).sum();
        windows + self.gap * (self.windows.len() as f64 - 1.0)
    }

    /// Where a place is drawn, mm of the part from the left end: what is broken out is drawn at its break.
    pub(super) fn at(&self, x: f64) -> f64 {
        let mut start = 0.0;
        for [a, b] in &self.windows {
            if x <= *b {
                return start + (x - a).max(-self.gap / 2.0);
            }
            start += b - a + self.gap;
        }
        self.length()
    }

    /// The breaks of a face `depth` mm wide: white between two break lines.
    pub(super) fn breaks(&self, id: &str, view: &View, depth: f64) -> Option<Group> {
        let mut group = Group::new(id, "feature");
        let mut start = 0.0;
        for [a, b] in self.windows.iter().take(self.windows.len().saturating_sub(1)) {
            let from = start + b - a;
            start = from + self.gap;
            let lines = [from, start].map(|x| {
                let (low, high) = (view.at((x, 0.0)), view.at((x, depth)));
                let middle = low.midpoint(high);
                let [wide, out] = JAG;
                [
                    low + (0.0, PAST),
                    middle + (0.0, wide / 2.0),
                    middle + (out, wide / 4.0),
                    middle + (-out, -wide / 4.0),
                    middle + (0.0, -wide / 2.0),
                    high - (0.0, PAST),
                ]
            });
            let [left, right] = lines;
            let between = left.into_iter().chain(right.into_iter().rev());
            group.path([between], true, Pen::None, Fill::Paper);
            group.path(lines, false, Pen::Narrow, Fill::None);
        }
        self.is_broken().then_some(group)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_that_goes_on_the_paper_is_whole() {
        let shown = Shown::of(500.0, 0.2, 150.0);
        assert!(!shown.is_broken());
        assert_eq!((shown.length(), shown.about_middle(), shown.at(123.0)), (500.0, 500.0, 123.0));
    }

    #[test]
    fn both_ends_and_the_middle_of_a_long_one_are_shown_in_order() {
        let shown = Shown::of(3600.0, 0.2, 150.0);
        assert!(shown.is_broken() && (shown.length() - 750.0).abs() < 1e-9);
        assert!((shown.about_middle() - 240.0).abs() < 1e-9);
        assert_eq!(shown.at(30.0), 30.0);
        assert!((shown.at(1800.0) - 375.0).abs() < 1e-9);
        assert!((shown.at(3570.0) - 720.0).abs() < 1e-9);
        let mut last = -1.0;
        for i in 0..=360 {
            let at = shown.at(10.0 * f64::from(i));
            assert!(at >= last && at <= 750.0 + 1e-9, "{i}: {at}");
            last = at;
        }
    }
}
