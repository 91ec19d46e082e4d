//! Words with leader lines to the parts they name, in the manner of ISO 128-2: a leader ends in a dot within an area, in
//! an arrow on an outline, and in nothing on a dimension line; it runs neither level nor upright, so that it is told from
//! the lines of the part. Places are searched so that no word is crossed and no two leaders meet.

use kurbo::{Point, Rect, Vec2};

use super::Word;
use crate::drawing::clash::{self, around, clipped};
use crate::drawing::dimension::LIFT;
use crate::drawing::style::{CLEAR, Fill, Pen, SMALL};
use crate::drawing::{Anchor, Group, Text};
use crate::trig::{Polar, Trig};

/// How a leader ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tip {
    /// In a dot, within an area.
    Dot,
    /// In an arrow, on an outline.
    Arrow,
    /// In nothing, on a dimension line.
    Plain,
}

impl Tip {
    /// As a drawing's data has it.
    fn name(self) -> &'static str {
        match self {
            Tip::Dot => "dot",
            Tip::Arrow => "arrow",
            Tip::Plain => "plain",
        }
    }
}

/// A word to be written beside a drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Callout {
    /// The word.
    pub word: Word,
    /// The point of its part that the leader ends on, mm of paper.
    pub at: Point,
    /// How it ends there.
    pub tip: Tip,
    /// Where the word stands best as seen from there, degrees counter-clockwise from the right.
    pub toward: f64,
}

/// Radius of a leader's dot, mm.
const DOT: f64 = 0.6;
/// Least space between the line below a word and a line of the drawing, mm.
const APART: f64 = 0.8;
/// Between the elbow and the word, mm.
const BEFORE: f64 = 0.5;
/// Directions that are tried, degrees from one to the next, and more of them where those leave a word without a place;
/// the level and the upright ones are left out.
const TURNS: [f64; 2] = [15.0, 5.0];
/// Lengths of leaders that are tried, mm.
const LENGTHS: [f64; 11] = [5.0, 7.0, 9.0, 11.5, 14.0, 17.0, 20.0, 24.0, 28.0, 33.0, 38.0];
/// What a line of the drawing that a leader crosses costs, in mm of its length.
const CROSSING: f64 = 2.5;
/// What a leader costs that turns away from where its word stands best, in mm of its length for a degree.
const TURNED: f64 = 0.12;
/// How often each word is placed anew, the others standing where they do.
const ROUNDS: usize = 8;
/// In how many rounds at the end nobody takes another's place.
const SETTLING: usize = 2;

/// A direction of a leader.
#[derive(Debug, Clone, Copy)]
struct Way {
    /// Of unit length, on the sheet.
    along: Vec2,
    /// How far it turns away from where the word stands best, degrees.
    off: f64,
}

/// A straight line.
type Segment = [Point; 2];

/// A line of the drawing, and the box around it.
struct Drawn {
    segment: Segment,
    around: Rect,
}

/// A place for a word: its leader, and the line below it.
struct Place {
    leader: Segment,
    below: Segment,
    /// Where the word's baseline is anchored, and by which end.
    at: Point,
    anchor: Anchor,
    /// The word with clear space around it.
    box_: Rect,
    /// All of it, with room for arrow and dot.
    around: Rect,
    cost: f64,
}

impl Callout {
    /// The word, set at a point.
    fn text(&self, at: Point, anchor: Anchor) -> Text {
        Text::new(at, SMALL, anchor, self.word.name())
    }

    /// The place at the end of a leader `length` mm long in this direction; the word has this `width` and hangs by
    /// `descent` below its baseline, mm.
    fn place(&self, Way { along, off }: Way, length: f64, [width, descent]: [f64; 2]) -> Place {
        let elbow = self.at + length * along;
        let (sign, anchor) = if along.x < 0.0 { (-1.0, Anchor::End) } else { (1.0, Anchor::Start) };
        let at = elbow + (sign * BEFORE, -LIFT - descent);
        let end = elbow + (sign * (width + 2.0 * BEFORE), 0.0);
        let box_ = Rect::from_points(at - (0.0, SMALL), at + (sign * width, descent)).inset(CLEAR);
        let cost = length + TURNED * off;
        let (leader, below) = ([self.at, elbow], [elbow, end]);
        let around = box_.union_pt(leader[0]).union_pt(elbow).union_pt(below[1]).inset(2.0 * DOT);
        Place { leader, below, at, anchor, box_, around, cost }
    }

    /// The direction `degrees`.
    fn way(&self, degrees: f64) -> Way {
        let (sin, cos) = degrees.to_radians().sine_cosine();
        let off = ((degrees - self.toward + 540.0).rem_euclid(360.0) - 180.0).abs();
        Way { along: Vec2::new(cos, -sin), off }
    }

    /// All places that are tried with directions `turn` degrees apart.
    fn places(&self, turn: f64) -> Vec<Place> {
        let text = self.text(self.at, Anchor::Start);
        let size = [text.width(), text.descent()];
        let turns = (1..(360.0 / turn) as usize).map(|i| i as f64 * turn).filter(|d| d % 90.0 != 0.0);
        let of_way = |way| LENGTHS.into_iter().map(move |length| self.place(way, length, size));
        turns.map(|degrees| self.way(degrees)).flat_map(of_way).collect()
    }

    fn draw(&self, place: Place) -> Group {
        let mut group = Group::new(format!("word-{}", self.word.id()), "word")
            .with("tip", self.tip.name())
            .with("at", format!("{} {}", self.at.x, self.at.y));
        for [from, to] in [place.leader, place.below] {
            group.line(from, to, Pen::Narrow);
        }
        match self.tip {
            Tip::Dot => group.circle(self.at, DOT, Pen::None, Fill::Ink),
            Tip::Arrow => {
                let along = self.at - place.leader[1];
                group.arrow(self.at, along / along.size());
            }
            Tip::Plain => {}
        }
        group.text(self.text(place.at, place.anchor));
        group
    }
}

impl Place {
    /// Whether it keeps to `bounds` and its word and the line below that clear of the drawing.
    fn is_clear(&self, bounds: Rect, drawn: &[Drawn]) -> bool {
        let below = around(self.below).inset(APART);
        let own = self.box_.union(below);
        let meets = |d: &Drawn| {
            own.overlaps(d.around) && [self.box_, below].iter().any(|room| clipped(d.segment, *room).is_some())
        };
        bounds.contains_rect(own.union_pt(self.leader[1])) && !drawn.iter().any(meets)
    }

    /// The same with what the lines cost that its leader crosses.
    fn weighed(mut self, drawn: &[Drawn]) -> Self {
        let own = around(self.leader);
        let crossed = drawn.iter().filter(|d| own.overlaps(d.around) && cross(self.leader, d.segment)).count();
        self.cost += CROSSING * crossed as f64;
        self
    }

    /// Whether it keeps clear of another.
    fn is_clear_of(&self, other: &Place) -> bool {
        if !self.around.overlaps(other.around) {
            return true;
        }
        let lines = |place: &Place| [place.leader, place.below];
        // Arrow and dot are wider than the line.
        let room = |place: &Place| place.box_.inset(DOT);
        let meet = |place: &Place, of: &Place| lines(place).iter().any(|l| clipped(*l, room(of)).is_some());
        let crossed = lines(self).iter().any(|a| lines(other).iter().any(|b| cross(*a, *b)));
        !crossed && !self.box_.overlaps(other.box_) && !meet(self, other) && !meet(other, self)
    }
}

/// Whether two straight lines meet whose boxes do; of two on one line that is told by the boxes alone.
fn cross(a: Segment, b: Segment) -> bool {
    let side = |[from, to]: Segment, p: Point| (to - from).cross(p - from);
    let parted = |l: Segment, other: Segment| side(l, other[0]) * side(l, other[1]) > 0.0;
    !parted(a, b) && !parted(b, a)
}

/// The words beside what is `drawn`, which bears no lettering, within `bounds`: each at the place of least cost that is
/// clear of all else. One that finds none stands where it would stand alone; the sheet's clashes then tell.
pub fn draw(callouts: &[Callout], drawn: &[Group], bounds: Rect) -> Vec<Group> {
    let segments = drawn.iter().flat_map(clash::segments);
    let drawn: Vec<Drawn> = segments.map(|segment| Drawn { segment, around: around(segment) }).collect();
    let places_of = |callout: &Callout, turn| -> Vec<Place> {
        let places = callout.places(turn).into_iter().filter(|p| p.is_clear(bounds, &drawn));
        places.map(|p| p.weighed(&drawn)).collect()
    };
    let mut placed: Vec<Option<Place>> = Vec::new();
    for turn in TURNS {
        placed = arranged(callouts.iter().map(|callout| places_of(callout, turn)).collect());
        if placed.iter().all(Option::is_some) {
            break;
        }
    }
    let placed = callouts.iter().zip(placed).map(|(callout, place)| {
        let alone = || {
            let text = callout.text(callout.at, Anchor::Start);
            callout.place(callout.way(callout.toward), LENGTHS[2], [text.width(), text.descent()])
        };
        callout.draw(place.unwrap_or_else(alone))
    });
    placed.collect()
}

/// One of its places for each word, so that all are clear of each other; none for a word that is left without.
fn arranged(clear: Vec<Vec<Place>>) -> Vec<Option<Place>> {
    // The cheapest first, of equal ones in the order they were tried.
    let by_cost = |places: &Vec<Place>| {
        let mut order: Vec<usize> = (0..places.len()).collect();
        order.sort_by(|a, b| places[*a].cost.total_cmp(&places[*b].cost));
        order
    };
    let cheapest: Vec<Vec<usize>> = clear.iter().map(by_cost).collect();
    let mut chosen: Vec<Option<usize>> = vec![None; clear.len()];
    // Who has the least choice goes first.
    let mut order: Vec<usize> = (0..clear.len()).collect();
    order.sort_by_key(|i| clear[*i].len());
    for round in 0..ROUNDS {
        let before = chosen.clone();
        let mut is_settled = true;
        for &i in &order {
            chosen[i] = None;
            let others = || chosen.iter().enumerate().filter_map(|(j, at)| at.map(|at| &clear[j][at]));
            let is_free = |at: &usize| others().all(|other| clear[i][*at].is_clear_of(other));
            let best = cheapest[i].iter().copied().find(is_free);
            chosen[i] = best;
            if best.is_none() && round + SETTLING < ROUNDS {
                // It takes the place where it is in the way of the fewest, who look for another in the next round.
                let in_way = |p: &Place| -> Vec<usize> {
                    let others = chosen.iter().enumerate().filter_map(|(j, at)| at.map(|at| (j, &clear[j][at])));
                    others.filter(|(_, other)| !p.is_clear_of(other)).map(|(j, _)| j).collect()
                };
                let ways = clear[i].iter().enumerate().map(|(at, p)| (at, in_way(p)));
                is_settled = false;
                if let Some((at, evicted)) = ways.min_by_key(|(_, evicted)| evicted.len()) {
                    chosen[i] = Some(at);
                    evicted.into_iter().for_each(|j| chosen[j] = None);
                }
            }
        }
        if is_settled && chosen == before {
            break;
        }
    }
    clear.into_iter().zip(chosen).map(|(places, at)| places.into_iter().nth(at?)).collect()
}
