//! How a side view and what stands beside it go on a sheet: tables, notes, a detail and the check bars find places along
//! the frame that the view leaves free.

use kurbo::{Point, Rect, Size, Vec2};

use super::card::Card;
use super::refused::{self, Band};
use super::{Beside, Drawn, Stand, detail};
use crate::drawing::frame::{BARS_HEIGHT, BARS_WIDTH, Notes, TITLE_BLOCK, check_bars, frame};
use crate::drawing::paper::Paper;
use crate::drawing::{Group, Mark, Sheet, clash};
use crate::trig::apart;

/// Space between the frame and the view, mm.
const EDGE: f64 = 3.0;
/// Space between the frame and what stands beside the view, mm.
const PAD: f64 = 2.0;
/// Space between the view and what stands beside it, mm.
const GAP: f64 = 3.0;
/// From one place that is tried to the next, mm.
const STEP: f64 = 3.0;
/// Width of the notes where there is no column beside the title block that is about as wide, mm.
const NOTES: f64 = 64.0;
/// The narrowest and widest column that notes are set in, mm.
const COLUMN: [f64; 2] = [50.0, 84.0];

/// The sheet's parts for a paper.
pub(super) struct Rooms {
    /// Inside the frame, below the band of a refused setting.
    inner: Rect,
    /// The same above the title block.
    upper: Rect,
    /// What lies beside the title block at its left, from top to foot.
    left: Rect,
}

impl Rooms {
    fn of(paper: Paper, head: f64) -> Self {
        let inner = paper.frame();
        let inner = Rect { y0: inner.y0 + head, ..inner };
        let upper = Rect { y1: inner.y1 - TITLE_BLOCK.height, ..inner };
        let left = Rect { x1: inner.x1 - TITLE_BLOCK.width, ..inner };
        Self { inner, upper, left }
    }

    /// Whether what is as large as the view goes on the paper.
    pub(super) fn takes(&self, view: Rect) -> bool {
        let (room, size) = (self.upper.inset(-EDGE).size(), view.size());
        size.width <= room.width && size.height <= room.height
    }

    /// Where the upper left corner of a card may stand, the best place first.
    fn spots(&self, card: &Card) -> Vec<Point> {
        let best = corner_of(self.inner.inset(-PAD), card);
        let places = [self.upper, self.left].into_iter().flat_map(|room| along(room, card.size));
        let mut spots: Vec<(f64, Point)> = places.map(|spot| (apart(spot, best), spot)).collect();
        spots.sort_by(|(a, _), (b, _)| a.total_cmp(b));
        spots.into_iter().map(|(_, spot)| spot).collect()
    }
}

/// The upper left corner of a card in the corner of `room` that it belongs to.
fn corner_of(room: Rect, card: &Card) -> Point {
    let slack = room.size() - card.size;
    room.origin() + Vec2::new(slack.width * card.corner.0, slack.height * card.corner.1)
}

/// Places for something of `size` along the sides of `room`.
fn along(room: Rect, size: Size) -> Vec<Point> {
    let room = room.inset(-PAD);
    let slack = room.size() - size;
    if slack.width < 0.0 || slack.height < 0.0 {
        return Vec::new();
    }
    let steps = |length: f64| (0..=(length / STEP) as u32).map(|i| f64::from(i) * STEP).chain([length]);
    let level = steps(slack.width).flat_map(|x| [(x, 0.0), (x, slack.height)]);
    let upright = steps(slack.height).flat_map(|y| [(0.0, y), (slack.width, y)]);
    level.chain(upright).map(|by| room.origin() + Vec2::from(by)).collect()
}

/// Squares of a millimetre of the sheet that the view takes, counted from its upper left corner, so that any rectangle is
/// known at once to be free or not.
struct Squares {
    origin: Point,
    width: usize,
    height: usize,
    /// How many squares are taken above and to the left of each corner.
    sums: Vec<u32>,
}

impl Squares {
    /// Of the view, which reaches so far.
    fn of(groups: &[Group], extent: Rect) -> Self {
        let origin = extent.origin();
        let (width, height) = (extent.width().ceil() as usize + 1, extent.height().ceil() as usize + 1);
        let mut taken = vec![false; width * height];
        let mut take = |p: Point| {
            let (x, y) = ((p.x - origin.x) as usize, (p.y - origin.y) as usize);
            if let Some(square) = taken.get_mut(y.min(height - 1) * width + x.min(width - 1)) {
                *square = true;
            }
        };
        // Points half a millimetre apart miss no square by more than a corner.
        let parts = |length: f64| (2.0 * length).ceil().max(1.0) as u32;
        for group in groups {
            for [a, b] in clash::segments(group) {
                let n = parts(apart(a, b));
                (0..=n).for_each(|i| take(a.lerp(b, f64::from(i) / f64::from(n))));
            }
            for mark in &group.marks {
                let Mark::Text(text) = mark else { continue };
                let [a, b, c, _] = text.corners();
                let (n, m) = (parts(apart(a, b)), parts(apart(b, c)));
                for i in 0..=n {
                    let at = a.lerp(b, f64::from(i) / f64::from(n));
                    (0..=m).for_each(|j| take(at + (c - b) * f64::from(j) / f64::from(m)));
                }
            }
        }
        let mut sums = vec![0; (width + 1) * (height + 1)];
        for y in 0..height {
            let mut row = 0;
            for x in 0..width {
                row += u32::from(taken[y * width + x]);
                sums[(y + 1) * (width + 1) + x + 1] = sums[y * (width + 1) + x + 1] + row;
            }
        }
        Self { origin, width, height, sums }
    }

    /// Whether nothing is drawn in `place`.
    fn leaves(&self, place: Rect) -> bool {
        let clamp = |v: f64, most: usize| (v.max(0.0) as usize).min(most);
        let (x0, y0) = (
            clamp((place.x0 - self.origin.x).floor(), self.width),
            clamp((place.y0 - self.origin.y).floor(), self.height),
        );
        let (x1, y1) = (
            clamp((place.x1 - self.origin.x).ceil(), self.width),
            clamp((place.y1 - self.origin.y).ceil(), self.height),
        );
        if x1 <= x0 || y1 <= y0 {
            return true;
        }
        let sum = |x: usize, y: usize| self.sums[y * (self.width + 1) + x];
        sum(x1, y1) + sum(x0, y0) == sum(x0, y1) + sum(x1, y0)
    }
}

/// Where the view is tried in the room that it has: in its middle, then nearer its sides.
const PLACES: [(f64, f64); 9] =
    [(0.5, 0.5), (0.0, 0.5), (1.0, 0.5), (0.5, 1.0), (0.5, 0.0), (0.0, 1.0), (1.0, 1.0), (0.0, 0.0), (1.0, 0.0)];

impl Drawn<'_> {
    fn band(&self, paper: Paper) -> Option<Band> {
        Band::new(&self.refusals(), paper.frame().width())
    }

    pub(super) fn rooms(&self, paper: Paper) -> Rooms {
        Rooms::of(paper, self.band(paper).as_ref().map_or(0.0, Band::height))
    }

    /// The sheet with its rooms, with the view, which reaches so far, and all that stands beside it; `None` where they do
    /// not go on it.
    pub(super) fn sheet(
        &self,
        paper: Paper,
        rooms: &Rooms,
        view: &[Group],
        extent: Rect,
        beside: Beside,
    ) -> Option<Sheet> {
        if !rooms.takes(extent) {
            return None;
        }
        let slack = rooms.upper.inset(-EDGE).size() - extent.size();
        let squares = Squares::of(view, extent);
        let cards = self.cards(rooms, beside);
        let spots: Vec<Vec<Point>> = cards.iter().map(|card| rooms.spots(card)).collect();
        let (by, at) = PLACES.iter().find_map(|(x, y)| {
            let to = rooms.upper.origin() + Vec2::new(EDGE + slack.width * x, EDGE + slack.height * y);
            let by = to - extent.origin();
            Some((by, placed(&cards, &spots, &squares, by)?))
        })?;
        let mut groups: Vec<Group> = view.iter().map(|g| g.clone().moved(by)).collect();
        for (card, at) in cards.into_iter().zip(at) {
            groups.extend(card.groups.into_iter().map(|g| g.moved(at.to_vec2())));
        }
        Some(self.framed(paper, rooms, groups))
    }

    /// The sheet with the view in its middle, and nothing beside it.
    pub(super) fn bare_sheet(&self, paper: Paper, rooms: &Rooms, view: Vec<Group>) -> Sheet {
        let by = rooms.upper.center() - clash::extent(&view).center();
        self.framed(paper, rooms, view.into_iter().map(|g| g.moved(by)).collect())
    }

    fn framed(&self, paper: Paper, rooms: &Rooms, content: Vec<Group>) -> Sheet {
        let title = self.title();
        let (bounds, band) = (paper.frame(), self.band(paper));
        let mut groups = frame(paper, &title);
        if let Some(band) = &band {
            groups.extend([refused::stamp(rooms.upper), band.draw(bounds)]);
        }
        groups.extend(content);
        let refused = if band.is_some() { "REFUSED. " } else { "" };
        let title = format!("{refused}{}: {}", self.kind(), title.title);
        Sheet { title, paper, scale: self.scale.name.into(), groups }
    }

    /// Of what may stand beside the view as much as is asked for, the hardest to place first.
    fn cards(&self, rooms: &Rooms, beside: Beside) -> Vec<Card> {
        let mut cards = Vec::new();
        if self.scale.factor == 1.0 {
            let size = Size::new(BARS_WIDTH, BARS_HEIGHT);
            let bars = check_bars((0.0, 0.0)).into_iter().map(|g| g.moved((0.0, PAD))).collect();
            cards.push(Card { groups: bars, size, corner: (0.0, 1.0) });
        }
        let column = rooms.left.inset(-PAD).width();
        let width = if (COLUMN[0]..=COLUMN[1]).contains(&column) { column } else { NOTES };
        let notes = Notes::new(&self.notes(), width);
        let size = Size::new(width, notes.height());
        cards.push(Card { groups: vec![notes.draw((0.0, 0.0))], size, corner: (0.0, 1.0) });
        if beside == Beside::Least {
            return cards;
        }
        if matches!(self.stand, Stand::Stone | Stand::OwnStone(_)) {
            cards.extend(detail::enlarged(
                &self.figure(),
                self.scale,
                self.lane.request.angle,
                self.lane.request.primary(),
            ));
        }
        cards.extend(self.tables());
        cards
    }
}

/// Where the cards stand of all their spots, one after the other, beside a view that is moved by `by`; `None` where one
/// finds no place.
fn placed(cards: &[Card], spots: &[Vec<Point>], squares: &Squares, by: Vec2) -> Option<Vec<Point>> {
    let mut taken: Vec<Rect> = Vec::new();
    for (card, spots) in cards.iter().zip(spots) {
        let place = |at: &Point| Rect::from_origin_size(*at, card.size);
        let free = |at: &Point| {
            let place = place(at).inset(GAP);
            taken.iter().all(|other| place.intersect(*other).is_zero_area()) && squares.leaves(place - by)
        };
        taken.push(spots.iter().find(|at| free(at)).map(place)?);
    }
    Some(taken.iter().map(Rect::origin).collect())
}
