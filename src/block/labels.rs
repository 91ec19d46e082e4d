//! The lettering of a block: what each lane is, readable from its own edge, and whose block it is.
//!
//! A lane's label stands on the raised middle next to its fence: large its angle (in a kit its letter), small its tool
//! and projection. All large words of a block have one height and all small ones another, and the lanes are set alike
//! where that goes. The block's mark, its title and guide, stands in a frame of its own at a free place. Strokes and gaps
//! are never thinner than the nozzle ([`letters`](crate::shape::letters)). Words are broken between words only, and after
//! a hyphen where one word alone is wider than its lane. What finds no room is shortened, then left out, and said. No two
//! lanes of a block read alike: what tells them apart joins them.

use std::collections::BTreeMap;

use kurbo::{Circle, Point, Rect, Shape, Size};

use super::SEAM_NOTCH;
use super::holes::{self, HEAD};
use super::typeset::{Setter, Typeset};
use crate::layout::Placed;
use crate::layout::order::LanePlan;
use crate::shape::lines::{Frame, Label, PITCH, Polygons, first_height, half_gap, printable, wall};
use crate::shape::polygon::Region;
use crate::terms::{self, Edge};
use crate::units::Written;

/// Height of the largest capitals, mm, where twice the smallest that print are no larger: read at arm's length, and no
/// larger than a lane of usual width takes.
const LARGEST: f64 = 8.0;
/// Large capitals are wanted this many times as high as the smallest that print.
const LARGER: f64 = 2.0;
/// Large capitals less high than this many times the small ones hardly stand out, which is said.
const STANDS_OUT: f64 = 1.5;
/// Steps in which heights are tried, mm.
const STEP: f64 = 0.5;
/// How many of the best settings of the lanes are tried with holes and mark.
const TRIED: usize = 12;
/// Space between a frame and what it is around, heights of capitals.
const PADDING: f64 = 0.5;
/// Space that the frame keeps from lettering, the widest that goes, mm.
const APART: [f64; 4] = [6.0, 4.0, 2.5, 1.5];
/// Lines of one width that a mark is tried in.
const WRAPPED: i32 = 8;

/// What is to be lettered.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// Of each lane, in the order of the lanes.
    pub lanes: Vec<Said>,
    /// Title of the block, and its guide.
    pub mark: [String; 2],
    /// Fingerprint of the state of guide and job, which joins the mark where that still goes.
    pub fingerprint: String,
    /// Whether any fence is corrected, which joins the mark where that goes too.
    pub corrected: bool,
}

/// What a lane says.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    /// Its angle, or in a kit its letter: large.
    pub head: String,
    /// Its tool.
    pub name: String,
    /// Its projection.
    pub projection: String,
    /// Its seat and the width of its widest blade, which tell lanes apart that would read alike.
    pub apart: [String; 2],
}

impl Said {
    fn all(&mut self) -> impl Iterator<Item = &mut String> {
        [&mut self.head, &mut self.name, &mut self.projection].into_iter().chain(&mut self.apart)
    }
}

/// All lettering of a block.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lettering {
    /// The labels, the block's mark last.
    pub labels: Vec<Label>,
    /// Their polygons on the grid, simple outlines.
    pub region: Region,
    /// What was shortened, added or left out, and why.
    pub notes: Vec<String>,
    /// How much of what was wanted it has.
    pub rank: Rank,
}

/// How much of what was wanted a block's lettering has, what matters most first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Rank {
    /// Whether the screws that must hold it have their holes.
    pub held: bool,
    /// How much the lanes say: 3 for each that says all.
    pub said: u32,
    /// Screw holes.
    pub holes: usize,
    /// Whether the holes are near the block's ends.
    pub at_ends: bool,
    /// How much the block says whose it is: 4 with its fingerprint and no word broken, 3 with words broken; 2 and 1 the
    /// same without the fingerprint.
    pub marked: u8,
    /// Height of the large capitals, a hundredth of the smallest that print, as far as it is wanted.
    pub large: u32,
}

impl Rank {
    /// All that can be wanted.
    pub fn best(lanes: usize, screws: Screws) -> Self {
        let holes = if screws == Screws::None { 0 } else { HOLES };
        Self { held: true, said: 3 * lanes as u32, holes, at_ends: true, marked: 4, large: hundredths(LARGER) }
    }
}

/// How many screws hold a block.
const HOLES: usize = 2;

/// Whether a block has holes for the screws that hold it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Screws {
    /// It has none.
    None,
    /// Where they find room beside what the lanes say.
    WithRoom,
    /// Always: a cleat hangs on them, and the lanes say no more than leaves them room.
    Needed,
}

fn hundredths(ratio: f64) -> u32 {
    (100.0 * ratio.min(LARGER)).round() as u32
}

/// Thickness of a middle with room for two lines on each of `sides` sides, mm.
pub fn middle(nozzle: f64, sides: usize) -> f64 {
    (sides as f64 * ((1.0 + PITCH) * first_height(nozzle) + wall(nozzle) + half_gap(nozzle))).ceil()
}

/// Letters a block: labels, screw holes clear of them, mark.
pub fn letter(
    plan: &LanePlan,
    lanes: &[Placed],
    words: &Words,
    nozzle: f64,
    screws: Screws,
    written: Written,
) -> (Lettering, Vec<Point>) {
    let mut words = words.clone();
    let texts = words.lanes.iter_mut().flat_map(Said::all).chain(&mut words.mark);
    let (least, mut notes) = printable(texts, nozzle);
    let apart = Apart::of(&mut words.lanes);
    let setter = Setter::new(nozzle);
    let room = |most, large, small| Room { plan, lanes, setter: &setter, nozzle, most, large, small, least };
    let caps = if screws == Screws::Needed { &[3, 2, 1, 0][..] } else { &[3] };
    let mut best: Option<Trial> = None;
    for most in caps {
        let trial = best_trial(least, &|large, small| room(*most, large, small), &words, &apart, screws);
        best = trial.filter(|t| best.as_ref().is_none_or(|b| t.rank > b.rank)).or(best);
        if best.as_ref().is_some_and(|b| b.rank.held) {
            break;
        }
    }
    let Some(best) = best else { return (Lettering::default(), Vec::new()) };
    let mut polygons = Polygons::default();
    let region = best.labels.iter().flat_map(|l| polygons.region_of(l, nozzle)).collect();
    notes.extend(best.notes(lanes, &apart, least, nozzle, written));
    (Lettering { rank: best.rank, labels: best.labels, region, notes }, best.holes)
}

/// The best of all lettering that is tried.
fn best_trial<'a>(
    least: f64,
    room: &impl Fn(f64, f64) -> Room<'a>,
    words: &Words,
    apart: &Apart,
    screws: Screws,
) -> Option<Trial> {
    let mut settings = settings(least, room, words, apart);
    let said = |s: &(Room, LaneLabels)| s.1.said();
    let most = settings.iter().map(said).max().unwrap_or(0);
    settings.retain(|s| said(s) == most);
    let order = |(room, labels): &(Room, LaneLabels)| {
        (hundredths(room.large / least), labels.alike, hundredths_of_mm(room.large), hundredths_of_mm(room.small))
    };
    // Stable: of equals the first arrangement.
    settings.sort_by_key(|s| std::cmp::Reverse(order(s)));
    let wanted = Rank { said: most, ..Rank::best(0, screws) };
    let mut best: Option<Trial> = None;
    for (room, labels) in settings.into_iter().take(TRIED) {
        let trial = Trial::new(&room, labels, words, screws);
        if best.as_ref().is_none_or(|b| trial.rank > b.rank) {
            best = Some(trial);
        }
        if best.as_ref().is_some_and(|b| b.rank >= wanted) {
            break;
        }
    }
    best
}

fn hundredths_of_mm(length: f64) -> i64 {
    (100.0 * length).round() as i64
}

/// The lanes set in every arrangement and height that is tried.
fn settings<'a>(
    least: f64,
    room: &impl Fn(f64, f64) -> Room<'a>,
    words: &Words,
    apart: &Apart,
) -> Vec<(Room<'a>, LaneLabels)> {
    let largest = LARGEST.max(LARGER * least);
    let mut all = Vec::new();
    for small in [least, least + STEP] {
        let steps = ((largest - small) / STEP).floor().max(0.0) as i32;
        for large in (0..=steps).map(|i| small + STEP * f64::from(i)) {
            for first in [Form::Below, Form::Beside, Form::Right] {
                let room = room(large, small);
                let labels = room.lanes_set(words, apart, first);
                all.push((room, labels));
            }
        }
    }
    all
}

/// How the words of a lane stand to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    /// Name and projection in one line below the head.
    Below,
    /// The projection beside the head, the name below both.
    Beside,
    /// Name and projection, one below the other, to the right of the head.
    Right,
    /// Each below the other.
    Column,
    /// All in one line.
    Row,
}

impl Form {
    const ALL: [Self; 5] = [Self::Below, Self::Beside, Self::Right, Self::Column, Self::Row];
}

/// What tells lanes apart.
struct Apart {
    /// Of each lane what joined its name, as another lane has the same name and head.
    joined: Vec<Option<String>>,
    /// Of each lane what stands in place of its name where that finds no room, as another lane has the same head.
    instead: Vec<Option<String>>,
}

impl Apart {
    /// Finds it, and joins it to the names.
    fn of(lanes: &mut [Said]) -> Self {
        let mut joined = vec![None; lanes.len()];
        // What is joined may be another's name: then a letter joins as well.
        for _ in 0..=lanes.len() {
            let groups = alike(lanes.iter().map(|lane| (&lane.head, &lane.name)));
            if groups.is_empty() {
                break;
            }
            for group in groups {
                let is_taken =
                    |i: usize, mark: &str| named(lanes, &lanes[i].head, &format!("{} {mark}", lanes[i].name));
                let marks = marks(lanes, &group, is_taken);
                for (i, mark) in group.into_iter().zip(marks) {
                    lanes[i].name = format!("{} {mark}", lanes[i].name);
                    joined[i] = Some(mark);
                }
            }
        }
        let mut instead = vec![None; lanes.len()];
        for group in alike(lanes.iter().map(|lane| &lane.head)) {
            let marks = marks(lanes, &group, |i, mark| named(lanes, &lanes[i].head, mark));
            for (i, mark) in group.into_iter().zip(marks) {
                instead[i] = Some(mark);
            }
        }
        Self { joined, instead }
    }
}

fn named(lanes: &[Said], head: &str, name: &str) -> bool {
    lanes.iter().any(|lane| lane.head == head && lane.name == name)
}

/// The groups of two or more that have the same key.
fn alike<K: Ord>(keys: impl Iterator<Item = K>) -> Vec<Vec<usize>> {
    let mut groups: BTreeMap<K, Vec<usize>> = BTreeMap::new();
    for (i, key) in keys.enumerate() {
        groups.entry(key).or_default().push(i);
    }
    groups.into_values().filter(|group| group.len() > 1).collect()
}

/// What tells the lanes of a group apart: seat, else blade width, else both, else a letter.
fn marks(lanes: &[Said], group: &[usize], is_taken: impl Fn(usize, &str) -> bool) -> Vec<String> {
    let seat = |i: &usize| lanes[*i].apart[0].clone();
    let width = |i: &usize| lanes[*i].apart[1].clone();
    let both = |i: &usize| lanes[*i].apart.join(" ");
    let known: [Vec<String>; 3] =
        [group.iter().map(seat).collect(), group.iter().map(width).collect(), group.iter().map(both).collect()];
    let tells = |marks: &Vec<String>| {
        alike(marks.iter()).is_empty() && group.iter().zip(marks).all(|(i, mark)| !is_taken(*i, mark))
    };
    let letters = || {
        let all = (0..).map(terms::letter).filter(|letter| group.iter().all(|i| !is_taken(*i, letter)));
        all.take(group.len()).collect()
    };
    known.into_iter().find(tells).unwrap_or_else(letters)
}

/// Where lettering of two heights is tried.
struct Room<'a> {
    plan: &'a LanePlan,
    lanes: &'a [Placed],
    setter: &'a Setter,
    nozzle: f64,
    /// The most that a lane may say, as [`LaneLabels::says`] counts it.
    most: u8,
    /// Height of the large capitals, mm.
    large: f64,
    /// Height of the small ones.
    small: f64,
    least: f64,
}

/// The labels of the lanes.
struct LaneLabels {
    labels: Vec<Label>,
    /// How much each lane's label says: 3 all, 2 no name, 1 neither name nor projection, 0 nothing.
    says: Vec<u8>,
    /// How many are set as most of them.
    alike: usize,
}

impl LaneLabels {
    fn said(&self) -> u32 {
        self.says.iter().map(|s| u32::from(*s)).sum()
    }
}

/// All lettering of two heights.
struct Trial {
    labels: Vec<Label>,
    says: Vec<u8>,
    holes: Vec<Point>,
    /// Whether the lanes say less to leave room for screws.
    is_capped: bool,
    /// Heights of large and small capitals, mm.
    heights: [f64; 2],
    rank: Rank,
}

impl Trial {
    fn new(room: &Room, lanes: LaneLabels, words: &Words, screws: Screws) -> Self {
        let said = lanes.said();
        let LaneLabels { mut labels, says, .. } = lanes;
        let taken: Vec<Rect> = labels.iter().map(|l| l.extent).collect();
        let holes = if screws == Screws::None { Vec::new() } else { holes::places(room.plan, &taken) };
        let mark = room.mark(words, &taken, &holes);
        let marked = mark.as_ref().map_or(0, |(marked, _)| *marked);
        labels.extend(mark.map(|(_, label)| label));
        let quarter = room.plan.length / 4.0;
        let at_ends = match holes[..] {
            [left, right] => left.x <= quarter && right.x >= 3.0 * quarter,
            _ => screws == Screws::None,
        };
        let held = screws != Screws::Needed || holes.len() == HOLES;
        let large = hundredths(room.large / room.least);
        let rank = Rank { held, said, holes: holes.len(), at_ends, marked, large };
        Self { labels, says, holes, is_capped: room.most < 3, heights: [room.large, room.small], rank }
    }

    fn notes(&self, lanes: &[Placed], apart: &Apart, least: f64, nozzle: f64, written: Written) -> Vec<String> {
        let why = format!(
            "{} capitals, the smallest that a {} nozzle prints legibly, leave no room for",
            written.length(least),
            written.printer(nozzle)
        );
        let beside = if self.is_capped { " beside the screws of the cleat" } else { "" };
        let kinds = [
            (2, "lettered with angle (or kit letter) and projection only", "more"),
            (1, "lettered with angle (or kit letter) only", "more"),
            (0, "not lettered", "a label"),
        ];
        let id = |i: usize| lanes[i].lane.request.id.clone();
        let mut notes: Vec<String> = kinds
            .into_iter()
            .filter_map(|(said, what, room)| {
                let ids: Vec<String> = (0..lanes.len()).filter(|i| self.says[*i] == said).map(id).collect();
                let lanes = if ids.len() == 1 { "lane" } else { "lanes" };
                let are = if ids.len() == 1 { "is" } else { "are" };
                (!ids.is_empty()).then(|| format!("{lanes} {} {are} {what}; {why} {room}{beside}", ids.join(", ")))
            })
            .collect();
        let told = (0..lanes.len()).filter_map(|i| {
            let mark = match self.says[i] {
                3 => apart.joined[i].as_ref(),
                1 | 2 => apart.instead[i].as_ref(),
                _ => None,
            }?;
            Some(format!("{} says {mark}", id(i)))
        });
        let told: Vec<String> = told.collect();
        if !told.is_empty() {
            notes.push(format!("so that no two lanes read alike on the block, {}", told.join(", ")));
        }
        let [large, small] = self.heights;
        if large < STANDS_OUT * small && self.says.iter().any(|s| *s > 1) {
            notes.push(format!(
                "angles (or kit letters) are lettered only {} high, beside {} for the rest; the raised middle has no room for larger ones",
                written.length(large),
                written.length(small)
            ));
        }
        if self.rank.marked == 0 {
            notes.push(format!("title and guide are left off the block; {why} them"));
        }
        notes
    }
}

impl Room<'_> {
    /// Where the middle begins and ends behind the notches for the seam.
    fn ends(&self) -> [f64; 2] {
        [SEAM_NOTCH, self.plan.length - SEAM_NOTCH]
    }

    /// The labels of all lanes, of each the form that says most: of those `first`, then the others in turn.
    fn lanes_set(&self, words: &Words, apart: &Apart, first: Form) -> LaneLabels {
        let mut set = LaneLabels { labels: Vec::new(), says: Vec::new(), alike: 0 };
        let mut counts = [0; Form::ALL.len()];
        for ((placed, said), instead) in self.lanes.iter().zip(&words.lanes).zip(&apart.instead) {
            let found = self.lane_set(placed, said, instead.as_deref(), first);
            set.says.push(found.as_ref().map_or(0, |(says, ..)| *says));
            if let Some((_, form, label)) = found {
                counts[form as usize] += 1;
                set.labels.push(label);
            }
        }
        set.alike = counts.into_iter().max().unwrap_or(0);
        set
    }

    fn lane_set(&self, placed: &Placed, said: &Said, instead: Option<&str>, first: Form) -> Option<(u8, Form, Label)> {
        let wide = self.width_of(placed);
        let Said { head, name, projection, .. } = said;
        let kinds = [(3, Some(name.as_str()), Some(projection)), (2, instead, Some(projection)), (1, instead, None)];
        kinds.into_iter().filter(|(says, ..)| *says <= self.most).find_map(|(says, name, projection)| {
            let forms = std::iter::once(first).chain(Form::ALL.into_iter().filter(|form| *form != first));
            forms.into_iter().find_map(|form| {
                let set = self.set(form, [Some(head), name, projection.map(String::as_str)], wide)?;
                Some((says, form, self.beside_fence(placed, set)?))
            })
        })
    }

    /// Head, name and projection, as far as there are any, no wider than `most` mm.
    fn set(&self, form: Form, [head, name, projection]: [Option<&str>; 3], most: f64) -> Option<Typeset> {
        let small = |words: &str| self.setter.text(words, self.small);
        let head = head.and_then(|words| self.setter.text(words, self.large));
        let projection = projection.and_then(small);
        let named = name.and_then(small);
        let wrapped = |most: f64| -> Option<Vec<Typeset>> {
            if named.is_none() {
                return Some(Vec::new());
            }
            let lines = self.setter.wrapped(name?, self.small, most)?;
            Some(lines.iter().filter_map(|line| small(line)).collect())
        };
        let setter = self.setter;
        let set = match (form, head) {
            (Form::Below, head) => {
                let below = setter.row(named.into_iter().chain(projection));
                setter.column(head.into_iter().chain((below.width > 0.0).then_some(below)))
            }
            (Form::Beside, head) => {
                let above = setter.row(head.into_iter().chain(projection));
                setter.column((above.width > 0.0).then_some(above).into_iter().chain(wrapped(most)?))
            }
            (Form::Right, Some(head)) => {
                let left = most - head.width - setter.gap(self.small);
                // A word that the lane is wide enough for is not broken beside its head.
                if name.is_some_and(|name| setter.widest_word(name, self.small) > left) {
                    return None;
                }
                let rows: Vec<Typeset> = wrapped(left)?.into_iter().chain(projection).collect();
                if rows.is_empty() { head } else { setter.beside(head, rows) }
            }
            (Form::Column | Form::Right, head) => {
                setter.column(head.into_iter().chain(wrapped(most)?).chain(projection))
            }
            (Form::Row, head) => setter.row(head.into_iter().chain(named).chain(projection)),
        };
        (set.width > 0.0 && set.width <= most).then_some(set)
    }

    /// How wide a label in the middle of a lane may be, mm.
    fn width_of(&self, placed: &Placed) -> f64 {
        let [first, last] = self.ends();
        let left = placed.centre - placed.x[0].max(first);
        let right = placed.x[1].min(last) - placed.centre;
        2.0 * (left.min(right) - wall(self.nozzle))
    }

    /// A label next to a lane's fence, if it goes there.
    fn beside_fence(&self, placed: &Placed, set: Typeset) -> Option<Label> {
        let wall = wall(self.nozzle);
        let Size { width: w, height: h } = set.size();
        let cx = placed.centre;
        let x = [cx - w / 2.0, cx + w / 2.0];
        let around = [x[0] - wall, x[1] + wall];
        let [low, high] = self.plan.middle_between(around);
        let other = match placed.edge {
            Edge::Near => &self.plan.far,
            Edge::Far => &self.plan.near,
        };
        let faced = other.iter().any(|s| s.lane.is_some() && s.x[0] < around[1] && s.x[1] > around[0]);
        let room = if faced { (high - low) / 2.0 - half_gap(self.nozzle) } else { high - low - wall };
        if wall + h > room + 1e-9 {
            return None;
        }
        let turned = placed.edge == Edge::Far;
        let y = if turned { [high - wall - h, high - wall] } else { [low + wall, low + wall + h] };
        let extent = Rect::new(x[0], y[0], x[1], y[1]);
        let lane = Some(placed.lane.request.id.clone());
        Some(Label { lane, lines: set.lines(extent, turned), extent, frame: None })
    }

    /// The block's mark, with its fingerprint if that goes too, and that it is corrected if that goes as well; and
    /// how much it says, as [`Rank`] counts that.
    fn mark(&self, words: &Words, taken: &[Rect], holes: &[Point]) -> Option<(u8, Label)> {
        let [title, guide] = &words.mark;
        let fingerprinted = format!("{guide} {}", words.fingerprint);
        let corrected = words.corrected.then(|| (3, [format!("CORRECTED {title}"), fingerprinted.clone()]));
        let forms = corrected.into_iter().chain([(3, [title.clone(), fingerprinted]), (1, words.mark.clone())]);
        let heads = holes.iter().map(|hole| Circle::new(*hole, HEAD).bounding_box());
        let taken: Vec<Rect> = taken.iter().copied().chain(heads).collect();
        forms.into_iter().find_map(|(marked, form)| {
            let whole = self.mark_of(&form, &taken, false).map(|label| (marked + 1, label));
            whole.or_else(|| Some((marked, self.mark_of(&form, &taken, true)?)))
        })
    }

    /// A framed mark at a free place, well clear of other lettering if there is such a place, in the size of the small
    /// words or smaller.
    fn mark_of(&self, words: &[String; 2], taken: &[Rect], within_words: bool) -> Option<Label> {
        let frame = Frame::of(self.nozzle);
        APART.into_iter().find_map(|gap| {
            [self.small, self.least].into_iter().find_map(|height| {
                let around = frame.width + (PADDING * height).max(2.0 * self.nozzle);
                self.mark_set(words, height, within_words).into_iter().find_map(|set| {
                    let size = set.size() + Size::new(2.0 * around, 2.0 * around);
                    let extent = self.free(size, taken, gap.max(2.0 * half_gap(self.nozzle)))?;
                    let lines = set.lines(extent, false);
                    Some(Label { lane: None, lines, extent, frame: Some(frame) })
                })
            })
        })
    }

    /// The mark with title and guide on a line each, on one line, and on more and more.
    fn mark_set(&self, words: &[String; 2], height: f64, within_words: bool) -> Vec<Typeset> {
        let setter = self.setter;
        let most = words.iter().map(|w| setter.width(w, height)).fold(0.0, f64::max);
        let word = words.iter().map(|w| setter.widest_word(w, height)).fold(0.0, f64::max);
        let least = if within_words { 0.0 } else { word };
        let mut forms: Vec<Vec<String>> = Vec::new();
        if !within_words {
            forms = vec![words.to_vec(), vec![words.join("  ")]];
        }
        for step in 1..=WRAPPED {
            let from = if within_words { word } else { most };
            let width = from - (from - least) * f64::from(step) / f64::from(WRAPPED);
            let lines: Option<Vec<_>> = words.iter().map(|w| setter.wrapped(w, height, width + 1e-9)).collect();
            forms.extend(lines.map(|lines| lines.concat()));
        }
        forms.dedup();
        let set = |lines: &Vec<String>| setter.column(lines.iter().filter_map(|line| setter.text(line, height)));
        forms.iter().map(set).filter(|set| set.width > 0.0).collect()
    }

    /// A free rectangle of the raised middle that keeps `gap` mm from other lettering, as near to the block's centre as
    /// one is found at the corners of what is there.
    fn free(&self, Size { width: w, height: h }: Size, taken: &[Rect], gap: f64) -> Option<Rect> {
        let wall = wall(self.nozzle).max(gap / 2.0);
        let [first, last] = self.ends();
        let strips = self.plan.near.iter().chain(&self.plan.far);
        let mut xs: Vec<f64> = strips
            .flat_map(|s| [s.x[0] + wall, s.x[1] - wall - w, (s.x[0] + s.x[1] - w) / 2.0])
            .chain(taken.iter().flat_map(|r| [r.x0 - gap - w, r.x1 + gap]))
            .chain([(self.plan.length - w) / 2.0])
            .filter(|x| *x >= first + wall - 1e-9 && x + w <= last - wall + 1e-9)
            .collect();
        let off = |x: &f64| (x + w / 2.0 - self.plan.length / 2.0).abs();
        xs.sort_by(|a, b| off(a).total_cmp(&off(b)).then(a.total_cmp(b)));
        xs.into_iter().find_map(|x| {
            let [low, high] = self.plan.middle_between([x - wall, x + w + wall]);
            let beside: Vec<&Rect> =
                taken.iter().filter(|r| r.x0 < x + w + gap - 1e-9 && r.x1 > x - gap + 1e-9).collect();
            let fits = |y: &f64| {
                *y >= low + wall - 1e-9
                    && y + h <= high - wall + 1e-9
                    && beside.iter().all(|r| r.y0 >= y + h + gap - 1e-9 || r.y1 <= y - gap + 1e-9)
            };
            let middle = (low + high - h) / 2.0;
            let ys = beside.iter().flat_map(|r| [r.y0 - gap - h, r.y1 + gap]);
            let all = [middle].into_iter().chain(ys).chain([low + wall, high - wall - h]);
            all.into_iter().find(fits).map(|y| Rect::new(x, y, x + w, y + h))
        })
    }
}
