//! The lettering of a block: what each lane is, readable from its own edge, and whose block it is.
//!
//! A lane's label stands on the raised middle next to its fence: large its angle (in a kit its letter), small its tool
//! and projection. All large words of a block have one height and all small ones another, and the lanes are set alike
//! where that goes. The block's mark, its title and guide, stands in a frame of its own at a free place. Strokes and gaps
//! are never thinner than the nozzle ([`letters`](crate::shape::letters)). Words are broken between words only, and after
//! a hyphen where one word alone is wider than its lane. What finds no room is shortened, then left out, and said. No two
//! lanes of a block read alike: what tells them apart joins them.

use std::cell::{Cell, OnceCell, RefCell};
use std::collections::BTreeMap;

use kurbo::{Circle, Point, Rect, Shape, Size};

use super::SEAM_NOTCH;
use super::holes::{self, HEAD};
use super::typeset::{Phrase, Setter, Typeset};
use crate::layout::Placed;
use crate::layout::order::{LanePlan, Strip};
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
///
/// What the lettering of a block is made of is the same however thick its middle is, and is measured once for all of
/// them.
pub struct Letterer {
    lanes: Vec<LanePhrases>,
    /// The ways in which the block's mark is tried, in their order.
    marks: Vec<MarkWay>,
    apart: Apart,
    /// Large and small capitals that are tried.
    heights: Vec<Heights>,
    least: f64,
    notes: Vec<String>,
    nozzle: f64,
    screws: Screws,
}

/// Heights of capitals.
#[derive(Debug, Clone, Copy)]
struct Heights {
    large: f64,
    small: f64,
    /// Which of the two small heights it is.
    which: usize,
}

/// What a lane may say, measured.
struct LanePhrases {
    /// Its head, in each of the heights that are tried.
    heads: Vec<Phrase>,
    /// Its other words in both small heights.
    small: [SmallPhrases; 2],
    sizes: Sizes,
}

/// Sizes of what a lane may say within a width, once asked for. A thicker middle leaves lanes as wide as they were.
#[derive(Default)]
struct Sizes {
    wide: Cell<f64>,
    known: RefCell<Vec<Option<Option<Size>>>>,
}

impl Sizes {
    /// The size for a width, mm, under its number; `set` finds it, or that there is none.
    fn of(&self, wide: f64, number: usize, set: impl FnOnce() -> Option<Size>) -> Option<Size> {
        let mut known = self.known.borrow_mut();
        if self.wide.replace(wide) != wide {
            known.clear();
        }
        if known.len() <= number {
            known.resize(number + 1, None);
        }
        *known[number].get_or_insert_with(set)
    }
}

struct SmallPhrases {
    name: Phrase,
    instead: Option<Phrase>,
    projection: Phrase,
}

impl Letterer {
    /// Measures the words of a block for a nozzle, mm.
    pub fn new(mut words: Words, nozzle: f64, screws: Screws) -> Self {
        let texts = words.lanes.iter_mut().flat_map(Said::all).chain(&mut words.mark);
        let (least, notes) = printable(texts, nozzle);
        let apart = Apart::of(&mut words.lanes);
        let smalls = [least, least + STEP];
        let largest = LARGEST.max(LARGER * least);
        let larger = |(which, small): (usize, f64)| {
            let steps = ((largest - small) / STEP).floor().max(0.0) as i32;
            (0..=steps).map(move |i| Heights { large: small + STEP * f64::from(i), small, which })
        };
        let heights: Vec<Heights> = smalls.into_iter().enumerate().flat_map(larger).collect();
        let phrases = |(said, instead): (&Said, &Option<String>)| LanePhrases {
            heads: heights.iter().map(|heights| Phrase::new(&said.head, heights.large, nozzle)).collect(),
            small: smalls.map(|small| SmallPhrases {
                name: Phrase::new(&said.name, small, nozzle),
                instead: instead.as_ref().map(|instead| Phrase::new(instead, small, nozzle)),
                projection: Phrase::new(&said.projection, small, nozzle),
            }),
            sizes: Sizes::default(),
        };
        let lanes = words.lanes.iter().zip(&apart.instead).map(phrases).collect();
        Self { lanes, marks: MarkWay::all(&words, smalls, nozzle), apart, heights, least, notes, nozzle, screws }
    }

    /// The best lettering of a plan; none where it is no better than `floor`.
    pub fn letter<'a>(&'a self, plan: &'a LanePlan, floor: Option<Rank>) -> Option<Lettered<'a>> {
        let caps = if self.screws == Screws::Needed { &[3, 2, 1, 0][..] } else { &[3] };
        let spots = spots(plan);
        let mut best: Option<Trial> = None;
        for most in caps {
            let room = Room { letterer: self, plan, spots: &spots, most: *most };
            let (trial, is_held) = room.best_trial(best.as_ref().map(|b| b.rank).max(floor));
            best = trial.or(best);
            if is_held {
                break;
            }
        }
        let trial = best?;
        Some(Lettered { rank: trial.rank, letterer: self, plan, spots, trial })
    }
}

/// A plan with its best lettering, which is not yet drawn.
pub struct Lettered<'a> {
    /// How much of what was wanted it has.
    pub rank: Rank,
    letterer: &'a Letterer,
    plan: &'a LanePlan,
    spots: Vec<Spot>,
    trial: Trial,
}

impl<'a> Lettered<'a> {
    /// The plan.
    pub fn plan(&self) -> &'a LanePlan {
        self.plan
    }

    /// The lettering of `lanes`, which are those of the plan, and the screw holes.
    pub fn drawn(self, lanes: &[Placed], written: Written) -> (Lettering, Vec<Point>) {
        let Self { rank, letterer, plan, spots, trial } = self;
        let room = Room { letterer, plan, spots: &spots, most: trial.most };
        let labels = room.labels(lanes, &trial);
        let mut polygons = Polygons::default();
        let region = labels.iter().flat_map(|l| polygons.region_of(l, letterer.nozzle)).collect();
        let mut notes = letterer.notes.clone();
        notes.extend(trial.notes(lanes, letterer, written));
        (Lettering { rank, labels, region, notes }, trial.holes)
    }
}

/// Where a lane stands on a plan.
struct Spot {
    edge: Edge,
    x: [f64; 2],
    centre: f64,
}

/// The lanes of a plan, near edge from left to right, then far edge.
fn spots(plan: &LanePlan) -> Vec<Spot> {
    let of = |strips: &[Strip], edge| -> Vec<Spot> {
        let spot = |s: &Strip| Some(Spot { edge, x: s.x, centre: s.lane.as_ref()?.centre });
        strips.iter().filter_map(spot).collect()
    };
    [of(&plan.near, Edge::Near), of(&plan.far, Edge::Far)].into_iter().flatten().collect()
}

fn hundredths_of_mm(length: f64) -> i64 {
    (100.0 * length).round() as i64
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
    /// Forms that the lanes of a block are set in alike where that goes; a lane that does not go in one of them takes
    /// another, in this order.
    const FIRST: [Self; 3] = [Self::Below, Self::Beside, Self::Right];
    /// Forms of lanes that go in none of these.
    const LAST: [Self; 2] = [Self::Column, Self::Row];
}

/// How many forms there are.
const FORMS: usize = Form::FIRST.len() + Form::LAST.len();

/// What a lane says that says all, as [`Fitting::says`] counts it.
const SAYS_ALL: u8 = 3;

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

/// Where lettering is tried.
struct Room<'a> {
    letterer: &'a Letterer,
    plan: &'a LanePlan,
    spots: &'a [Spot],
    /// The most that a lane may say, as [`Fitting::says`] counts it.
    most: u8,
}

/// How the label of a lane goes on a plan.
#[derive(Debug, Clone, Copy)]
struct Fitting {
    /// How much it says: 3 all, 2 no name, 1 neither name nor projection.
    says: u8,
    /// For each of [`Form::FIRST`] as the form that is tried first, the one that it goes in, and what it covers.
    set: [(Form, Rect); 3],
}

/// Lanes set in heights and in a form that is tried first.
struct Arranged {
    /// Which of the heights that are tried.
    heights: usize,
    /// Which of [`Form::FIRST`].
    first: usize,
    /// How many lanes are set as most of them.
    alike: usize,
}

/// All lettering of two heights.
struct Trial {
    arranged: Arranged,
    /// How each lane goes; none that says nothing.
    lanes: Vec<Option<Fitting>>,
    mark: Option<(Typeset, Rect)>,
    holes: Vec<Point>,
    /// The most that a lane was allowed to say.
    most: u8,
    rank: Rank,
}

impl Trial {
    /// How much each lane's label says; 0 nothing.
    fn says(&self, lane: usize) -> u8 {
        self.lanes[lane].map_or(0, |fitting| fitting.says)
    }

    fn notes(&self, lanes: &[Placed], letterer: &Letterer, written: Written) -> Vec<String> {
        let Letterer { apart, least, nozzle, .. } = letterer;
        let why = format!(
            "{} capitals, the smallest that a {} nozzle prints legibly, leave no room for",
            written.length(*least),
            written.printer(*nozzle)
        );
        // Lanes that say less leave room for screws.
        let beside = if self.most < 3 { " beside the screws of the cleat" } else { "" };
        let kinds = [
            (2, "lettered with angle (or kit letter) and projection only", "more"),
            (1, "lettered with angle (or kit letter) only", "more"),
            (0, "not lettered", "a label"),
        ];
        let id = |i: usize| lanes[i].lane.request.id.clone();
        let mut notes: Vec<String> = kinds
            .into_iter()
            .filter_map(|(said, what, room)| {
                let ids: Vec<String> = (0..lanes.len()).filter(|i| self.says(*i) == said).map(id).collect();
                let lanes = if ids.len() == 1 { "lane" } else { "lanes" };
                let are = if ids.len() == 1 { "is" } else { "are" };
                (!ids.is_empty()).then(|| format!("{lanes} {} {are} {what}; {why} {room}{beside}", ids.join(", ")))
            })
            .collect();
        let told = (0..lanes.len()).filter_map(|i| {
            let mark = match self.says(i) {
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
        let Heights { large, small, .. } = letterer.heights[self.arranged.heights];
        if large < STANDS_OUT * small && (0..lanes.len()).any(|i| self.says(i) > 1) {
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

    /// The best of all lettering that is tried, if it is better than `floor`; and whether the screws that must hold the
    /// block have their holes in any.
    fn best_trial(&self, mut floor: Option<Rank>) -> (Option<Trial>, bool) {
        let Letterer { heights, least, screws, .. } = self.letterer;
        let fittings: Vec<Vec<Option<Fitting>>> = (0..heights.len()).map(|i| self.fittings(i)).collect();
        let said = |fittings: &[Option<Fitting>]| fittings.iter().flatten().map(|f| u32::from(f.says)).sum::<u32>();
        let most = fittings.iter().map(|f| said(f)).max().unwrap_or(0);
        let mut arranged: Vec<Arranged> = (0..heights.len())
            .filter(|i| said(&fittings[*i]) == most)
            .flat_map(|i| (0..Form::FIRST.len()).map(move |first| (i, first)))
            .map(|(heights, first)| Arranged { heights, first, alike: alike_set(&fittings[heights], first) })
            .collect();
        let order = |Arranged { heights: i, alike, .. }: &Arranged| {
            let Heights { large, small, .. } = heights[*i];
            (hundredths(large / least), *alike, hundredths_of_mm(large), hundredths_of_mm(small))
        };
        // Stable: of equals the first arrangement.
        arranged.sort_by_key(|arranged| std::cmp::Reverse(order(arranged)));
        let wanted = Rank { said: most, ..Rank::best(0, *screws) };
        let (mut best, mut is_held) = (None, false);
        for arranged in arranged.into_iter().take(TRIED) {
            let large = hundredths(heights[arranged.heights].large / least);
            // Where all are held, what cannot be better need not be tried.
            if *screws != Screws::Needed && floor.is_some_and(|floor| Rank { large, ..wanted } <= floor) {
                continue;
            }
            let lanes = &fittings[arranged.heights];
            let (holes, at_ends) = self.holes(&arranged, lanes);
            let held = *screws != Screws::Needed || holes.len() == HOLES;
            is_held |= held;
            let rank = |marked| Rank { held, said: most, holes: holes.len(), at_ends, marked, large };
            let Some(needed) = (0..=MARKED).find(|marked| floor.is_none_or(|floor| rank(*marked) > floor)) else {
                continue;
            };
            let mark = self.mark(&arranged, lanes, &holes, needed);
            let marked = mark.as_ref().map_or(0, |(marked, ..)| *marked);
            if marked < needed {
                continue;
            }
            let rank = rank(marked);
            let mark = mark.map(|(_, set, extent)| (set, extent));
            best = Some(Trial { arranged, lanes: lanes.clone(), mark, holes, most: self.most, rank });
            floor = Some(rank);
            if rank >= wanted {
                break;
            }
        }
        (best, is_held)
    }

    /// How all lanes go in heights that are tried.
    fn fittings(&self, heights: usize) -> Vec<Option<Fitting>> {
        let lanes = self.spots.iter().zip(&self.letterer.lanes);
        lanes.map(|(spot, phrases)| self.fitting(spot, phrases, heights)).collect()
    }

    /// How a lane goes so that it says most.
    fn fitting(&self, spot: &Spot, phrases: &LanePhrases, heights: usize) -> Option<Fitting> {
        let wide = self.width_of(spot);
        let setter = self.setter().of_sizes();
        (1..=self.most).rev().find_map(|says| {
            let fits = |form: Form| {
                let number = (heights * usize::from(SAYS_ALL) + usize::from(says - 1)) * FORMS + form as usize;
                let size = || Some(self.set(setter, form, phrases, says, heights, wide)?.size());
                Some((form, self.beside_fence(spot, phrases.sizes.of(wide, number, size)?)?))
            };
            let set = Form::FIRST.map(fits);
            let other = set.into_iter().flatten().next().or_else(|| Form::LAST.into_iter().find_map(fits))?;
            Some(Fitting { says, set: set.map(|set| set.unwrap_or(other)) })
        })
    }

    fn setter(&self) -> Setter {
        Setter::new(self.letterer.nozzle)
    }

    /// What a lane says, in a form no wider than `most` mm.
    fn set(
        &self,
        setter: Setter,
        form: Form,
        phrases: &LanePhrases,
        says: u8,
        heights: usize,
        most: f64,
    ) -> Option<Typeset> {
        let Heights { small, which, .. } = self.letterer.heights[heights];
        let SmallPhrases { name, instead, projection } = &phrases.small[which];
        let name = if says == 3 { Some(name) } else { instead.as_ref() };
        let head = setter.text(&phrases.heads[heights]);
        let projection = (says > 1).then_some(projection).and_then(|words| setter.text(words));
        let named = name.and_then(|name| setter.text(name));
        let is_named = named.is_some();
        let wrapped = |most: f64| -> Option<Vec<Typeset>> {
            let Some(name) = name.filter(|_| is_named) else { return Some(Vec::new()) };
            Some(name.wrapped(most)?.iter().filter_map(|line| setter.run(name, line)).collect())
        };
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
                let left = most - head.width - setter.gap(small);
                // A word that the lane is wide enough for is not broken beside its head.
                if name.is_some_and(|name| name.widest_word() > left) {
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
    fn width_of(&self, spot: &Spot) -> f64 {
        let [first, last] = self.ends();
        let left = spot.centre - spot.x[0].max(first);
        let right = spot.x[1].min(last) - spot.centre;
        2.0 * (left.min(right) - wall(self.letterer.nozzle))
    }

    /// What a label of some size covers next to a lane's fence, if it goes there.
    fn beside_fence(&self, spot: &Spot, Size { width: w, height: h }: Size) -> Option<Rect> {
        let nozzle = self.letterer.nozzle;
        let wall = wall(nozzle);
        let cx = spot.centre;
        let x = [cx - w / 2.0, cx + w / 2.0];
        let around = [x[0] - wall, x[1] + wall];
        let [low, high] = self.plan.middle_between(around);
        let other = match spot.edge {
            Edge::Near => &self.plan.far,
            Edge::Far => &self.plan.near,
        };
        let faced = other.iter().any(|s| s.lane.is_some() && s.x[0] < around[1] && s.x[1] > around[0]);
        let room = if faced { (high - low) / 2.0 - half_gap(nozzle) } else { high - low - wall };
        if wall + h > room + 1e-9 {
            return None;
        }
        let y = if spot.edge == Edge::Far { [high - wall - h, high - wall] } else { [low + wall, low + wall + h] };
        Some(Rect::new(x[0], y[0], x[1], y[1]))
    }

    /// The labels of a trial, the block's mark last.
    fn labels(&self, lanes: &[Placed], trial: &Trial) -> Vec<Label> {
        let Arranged { heights, first, .. } = trial.arranged;
        let label = |(((spot, phrases), placed), fitting): (((&Spot, &LanePhrases), &Placed), &Option<Fitting>)| {
            let Fitting { says, set } = (*fitting)?;
            let (form, extent) = set[first];
            let set = self.set(self.setter(), form, phrases, says, heights, self.width_of(spot))?;
            let lane = Some(placed.lane.request.id.clone());
            Some(Label { lane, lines: set.lines(extent, spot.edge == Edge::Far), extent, frame: None })
        };
        let of_lanes = self.spots.iter().zip(&self.letterer.lanes).zip(lanes).zip(&trial.lanes).filter_map(label);
        let mark = trial.mark.iter().map(|(set, extent)| {
            let frame = Some(Frame::of(self.letterer.nozzle));
            Label { lane: None, lines: set.clone().lines(*extent, false), extent: *extent, frame }
        });
        of_lanes.chain(mark).collect()
    }

    /// Holes for the screws, as many as go, clear of the labels; and whether they are near the block's ends.
    fn holes(&self, arranged: &Arranged, lanes: &[Option<Fitting>]) -> (Vec<Point>, bool) {
        if self.letterer.screws == Screws::None {
            return (Vec::new(), true);
        }
        let taken: Vec<Rect> = taken(arranged, lanes).collect();
        let holes = holes::places(self.plan, &taken);
        let quarter = self.plan.length / 4.0;
        let at_ends = matches!(holes[..], [left, right] if left.x <= quarter && right.x >= 3.0 * quarter);
        (holes, at_ends)
    }

    /// The block's mark, with its fingerprint if that goes too, and that it is corrected if that goes as well: how much
    /// it says, as [`Rank`] counts that, its words, and what it covers. Nothing is looked for any more that could say
    /// `needed`.
    fn mark(
        &self,
        arranged: &Arranged,
        lanes: &[Option<Fitting>],
        holes: &[Point],
        needed: u8,
    ) -> Option<(u8, Typeset, Rect)> {
        let which = self.letterer.heights[arranged.heights].which;
        let heads = holes.iter().map(|hole| Circle::new(*hole, HEAD).bounding_box());
        let taken: Vec<Rect> = taken(arranged, lanes).chain(heads).collect();
        let ways = &self.letterer.marks;
        let goes_on = |i: usize| ways[i..].iter().any(|way| way.marked >= needed);
        let mut too_large = Vec::new();
        (0..ways.len()).take_while(|i| goes_on(*i)).find_map(|i| {
            let (set, extent) = self.mark_of(&ways[i], which, &taken, &mut too_large)?;
            Some((ways[i].marked, set.clone(), extent))
        })
    }

    /// A framed mark at a free place, well clear of other lettering if there is such a place, in the size of the small
    /// words or smaller; `too_large` are sizes that have no place at all.
    fn mark_of<'m>(
        &self,
        way: &'m MarkWay,
        which: usize,
        taken: &[Rect],
        too_large: &mut Vec<Size>,
    ) -> Option<(&'m Typeset, Rect)> {
        let Letterer { least, nozzle, .. } = self.letterer;
        let frame = Frame::of(*nozzle);
        let gaps = APART.map(|gap| gap.max(2.0 * half_gap(*nozzle)));
        gaps.into_iter().find_map(|gap| {
            // The small height, then the least.
            (0..=which).rev().find_map(|which| {
                let height = least + STEP * which as f64;
                let around = frame.width + (PADDING * height).max(2.0 * nozzle);
                way.sets(which).iter().find_map(|set| {
                    let size = set.size() + Size::new(2.0 * around, 2.0 * around);
                    if too_large.iter().any(|s| s.width <= size.width && s.height <= size.height) {
                        return None;
                    }
                    let place = self.free(size, taken, gap);
                    if place.is_none() && gap == gaps[0] && !self.has_place(size, taken, gaps[APART.len() - 1]) {
                        too_large.push(size);
                    }
                    Some((set, place?))
                })
            })
        })
    }

    /// A free rectangle of the raised middle that keeps `gap` mm from other lettering, as near to the block's centre as
    /// one is found at the corners of what is there.
    fn free(&self, size: Size, taken: &[Rect], gap: f64) -> Option<Rect> {
        let Size { width: w, height: h } = size;
        let wall = wall(self.letterer.nozzle).max(gap / 2.0);
        let strips = self.plan.near.iter().chain(&self.plan.far);
        let xs = strips
            .flat_map(|s| [s.x[0] + wall, s.x[1] - wall - w, (s.x[0] + s.x[1] - w) / 2.0])
            .chain(taken.iter().flat_map(|r| [r.x0 - gap - w, r.x1 + gap]))
            .chain([(self.plan.length - w) / 2.0]);
        let off = |x: f64| (x + w / 2.0 - self.plan.length / 2.0).abs();
        let is_nearer = |a: f64, b: f64| off(a).total_cmp(&off(b)).then(a.total_cmp(&b)).is_lt();
        let (mut best, mut beside) = (None, Vec::new());
        for x in xs {
            if best.is_none_or(|best: Rect| is_nearer(x, best.x0)) {
                let y = self.free_at(x, size, taken, gap, 0.0, &mut beside);
                best = y.map(|y| Rect::new(x, y, x + w, y + h)).or(best);
            }
        }
        best
    }

    /// Whether any rectangle of the raised middle is free so. One that is can be moved to the left, then down, until it
    /// is stopped by what is there: only such places need be looked at. What has no place has none with more space
    /// around it, and nothing that is larger has.
    fn has_place(&self, size: Size, taken: &[Rect], gap: f64) -> bool {
        let wall = wall(self.letterer.nozzle).max(gap / 2.0);
        let strips = self.plan.near.iter().chain(&self.plan.far);
        let mut xs =
            strips.map(|s| s.x[0] + wall).chain(taken.iter().map(|r| r.x1 + gap)).chain([self.ends()[0] + wall]);
        let mut beside = Vec::new();
        xs.any(|x| self.free_at(x, size, taken, gap, DOUBT, &mut beside).is_some())
    }

    /// The lower side of a free rectangle that begins at `x`, where all space may be less by `doubt` mm; `beside` is
    /// memory to be used again.
    fn free_at(
        &self,
        x: f64,
        Size { width: w, height: h }: Size,
        taken: &[Rect],
        gap: f64,
        doubt: f64,
        beside: &mut Vec<Rect>,
    ) -> Option<f64> {
        let wall = wall(self.letterer.nozzle).max(gap / 2.0);
        let touch = 1e-9 + doubt;
        let [first, last] = self.ends();
        if x < first + wall - touch || x + w > last - wall + touch {
            return None;
        }
        let [low, high] = self.plan.middle_between([x - wall + doubt, x + w + wall - doubt]);
        let middle = (low + high - h) / 2.0;
        // Where it is too high to stand in the middle, it is so anywhere.
        if middle < low + wall - DOUBT - touch {
            return None;
        }
        beside.clear();
        beside.extend(taken.iter().filter(|r| r.x0 < x + w + gap - touch && r.x1 > x - gap + touch));
        let fits = |y: &f64| {
            *y >= low + wall - touch
                && y + h <= high - wall + touch
                && beside.iter().all(|r| r.y0 >= y + h + gap - touch || r.y1 <= y - gap + touch)
        };
        let ys = beside.iter().flat_map(|r| [r.y0 - gap - h, r.y1 + gap]);
        [middle].into_iter().chain(ys).chain([low + wall, high - wall - h]).find(fits)
    }
}

/// Far above what rounding does to a place, far below what a printer draws, mm.
const DOUBT: f64 = 1e-6;

/// How many lanes are set as most of them, where `first` is the form that is tried first.
fn alike_set(lanes: &[Option<Fitting>], first: usize) -> usize {
    let mut counts = [0; FORMS];
    for fitting in lanes.iter().flatten() {
        counts[fitting.set[first].0 as usize] += 1;
    }
    counts.into_iter().max().unwrap_or(0)
}

/// What the labels of the lanes cover.
fn taken(arranged: &Arranged, lanes: &[Option<Fitting>]) -> impl Iterator<Item = Rect> {
    lanes.iter().flatten().map(|fitting| fitting.set[arranged.first].1)
}

/// What a mark can say at most, as [`Rank`] counts that.
const MARKED: u8 = 4;

/// A mark and how it may be set.
struct MarkWay {
    /// How much it says, as [`Rank`] counts that.
    marked: u8,
    lines: [String; 2],
    within_words: bool,
    nozzle: f64,
    /// Both small heights, and what it is set as in them, once asked for.
    smalls: [f64; 2],
    sets: [OnceCell<Vec<Typeset>>; 2],
}

impl MarkWay {
    fn all(words: &Words, smalls: [f64; 2], nozzle: f64) -> Vec<Self> {
        let [title, guide] = &words.mark;
        let fingerprinted = format!("{guide} {}", words.fingerprint);
        let corrected = words.corrected.then(|| (3, [format!("CORRECTED {title}"), fingerprinted.clone()]));
        let forms = corrected.into_iter().chain([(3, [title.clone(), fingerprinted]), (1, words.mark.clone())]);
        let ways = forms.flat_map(|(marked, lines)| {
            [(marked + 1, false), (marked, true)].map(|(marked, within_words)| {
                let lines = lines.clone();
                MarkWay { marked, lines, within_words, nozzle, smalls, sets: Default::default() }
            })
        });
        ways.collect()
    }

    fn sets(&self, which: usize) -> &[Typeset] {
        self.sets[which].get_or_init(|| self.set(which))
    }

    /// The mark with title and guide on a line each, on one line, and on more and more.
    fn set(&self, which: usize) -> Vec<Typeset> {
        let setter = Setter::new(self.nozzle);
        let phrase = |words: &str| Phrase::new(words, self.smalls[which], self.nozzle);
        let phrases = self.lines.each_ref().map(|line| phrase(line));
        let most = phrases.iter().map(Phrase::width).fold(0.0, f64::max);
        let word = phrases.iter().map(Phrase::widest_word).fold(0.0, f64::max);
        let least = if self.within_words { 0.0 } else { word };
        let mut sets: Vec<Typeset> = Vec::new();
        if !self.within_words {
            sets.push(setter.column(phrases.iter().filter_map(|line| setter.text(line))));
            sets.push(setter.column(setter.text(&phrase(&self.lines.join("  ")))));
        }
        let mut last = None;
        for step in 1..=WRAPPED {
            let from = if self.within_words { word } else { most };
            let width = from - (from - least) * f64::from(step) / f64::from(WRAPPED);
            let lines: Option<Vec<_>> = phrases.iter().map(|phrase| phrase.wrapped(width + 1e-9)).collect();
            let Some(lines) = lines.filter(|lines| last.as_ref() != Some(lines)) else { continue };
            let rows = phrases.iter().zip(&lines).flat_map(|(phrase, lines)| {
                let row = move |line| setter.run(phrase, line);
                lines.iter().filter_map(row)
            });
            sets.push(setter.column(rows));
            last = Some(lines);
        }
        sets.retain(|set| set.width > 0.0);
        sets
    }
}
