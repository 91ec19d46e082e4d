//! The user's own stone below the guide: its length, how hollow it is, a film on it, and the room that a setting takes.

use super::{Drawn, STEP, auxiliary, drawn_between};
use crate::drawing::Group;
use crate::drawing::dimension::drawn;
use crate::drawing::style::{Fill, Pen};
use crate::drawing::view::View;
use crate::honing::stone::{self, Stone};
use crate::views::figure::Figure;

/// Thickness that a stone is drawn with, mm; it is not asked for.
const THICK: f64 = 12.0;
/// Straight runs of a hollow's outline.
const RUNS: u32 = 24;
/// How far a film is drawn behind the edge, mm.
const FILM: f64 = 15.0;
/// How far a stone is drawn behind the edge that a roller runs beside, mm.
const BEHIND: f64 = 12.0;

impl Drawn<'_> {
    /// Where the stone begins and ends, mm from below the axle: edge and roller in the middle of their travel.
    fn ends(&self, own: &Stone, figure: &Figure) -> [f64; 2] {
        let (s, edge) = (figure.section(), figure.at(figure.edge()).x);
        let length = own.length();
        if s.roller_level != 0.0 {
            return [edge - BEHIND, edge - BEHIND + length / 2.0];
        }
        let before = (length - edge) / 2.0;
        [-before, length - before]
    }

    pub(super) fn own_stone(&self, view: &View, figure: &Figure, own: &Stone) -> Vec<Group> {
        let s = figure.section();
        let (edge, [start, end]) = (figure.at(figure.edge()).x, self.ends(own, figure));
        let film = own.film.unwrap_or(0.0);
        let depth = own.hollow_along.unwrap_or(0.0);
        // A parabola through both contacts, as deep over the stone's length as is stated.
        let curve = 4.0 * depth / (own.length() * own.length());
        let level = |x: f64| if s.roller_level == 0.0 { curve * x * (x - edge) - film } else { -film };
        let top = (0..=RUNS).map(|i| {
            let x = start + (end - start) * f64::from(i) / f64::from(RUNS);
            (x, level(x))
        });
        let mut stone = Group::new("stone", "figure").with("level", 0.0).with("length", own.length());
        stone.path([view.all(top.clone().chain([(end, -THICK), (start, -THICK)]))], true, Pen::None, Fill::Pale);
        stone.path([view.all(top)], false, Pen::Wide, Fill::None);
        let sides = [(start, level(start)), (start, -THICK), (end, -THICK), (end, level(end))];
        stone.path([view.all(sides)], false, Pen::DoubleDot, Fill::None);
        let mut groups = vec![stone];
        if film > 0.0 {
            let mut group = Group::new("film", "figure").with("thickness", film);
            let [a, b] = [edge - FILM, end];
            group.path([view.all([(a, -film), (b, -film), (b, 0.0), (a, 0.0)])], true, Pen::Narrow, Fill::Ink);
            groups.push(group);
        }
        if s.roller_level != 0.0 {
            groups.extend(self.stone(view, figure).into_iter().filter(|group| group.id == "track"));
        }
        groups
    }

    /// The room that the setting takes on it, and its length, below it.
    pub(super) fn own_stone_dimensions(&self, view: &View, figure: &Figure, own: &Stone) -> Vec<Group> {
        let s = figure.section();
        let (edge, [start, end]) = (figure.at(figure.edge()).x, self.ends(own, figure));
        let low = view.at((0.0, -THICK)).y;
        let mut groups = Vec::new();
        if s.roller_level == 0.0 {
            let room = stone::room(s, self.lane.projection());
            let ends = [(0.0, -THICK), (edge, -THICK)];
            let linear = drawn_between(view, ends, (0.0, low + STEP), (1.0, 0.0), auxiliary(&self.bare(room)));
            groups.push(drawn("room", "room", room, &linear));
        }
        if let Some(length) = own.length.filter(|_| s.roller_level == 0.0) {
            let ends = [(start, -THICK), (end, -THICK)];
            let through = (0.0, low + 2.0 * STEP);
            let linear = drawn_between(view, ends, through, (1.0, 0.0), self.bare(length));
            groups.push(drawn("stone-length", "stone-length", length, &linear));
        }
        groups
    }
}
