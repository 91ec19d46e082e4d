//! The lettering of a block: what each lane is, readable from its own edge, and whose block it is.
//!
//! A lane's label stands on the raised middle next to its fence: tool, angle and projection. The block's mark, its
//! title and guide, takes a free place. All labels have one height, the largest at which all of them are whole; strokes
//! and gaps are never thinner than the nozzle ([`letters`](crate::shape::letters)). What finds no room is shortened,
//! then left out, and said.

use kurbo::{Circle, Point, Rect, Shape, Size, Vec2};

use super::SEAM_NOTCH;
use super::holes::{self, HEAD};
use crate::layout::Placed;
use crate::layout::order::LanePlan;
use crate::shape::font::{self};
use crate::shape::lines::{Label, Line, PITCH, Polygons, STEP, Spaced, first_height, half_gap, printable, wall};
use crate::shape::polygon::Region;
use crate::terms::Edge;
use crate::units::Written;

/// Heights of capitals that are tried, mm.
const LARGEST: f64 = 6.0;

/// What is to be lettered.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// Of each lane, in the order of the lanes: tool, angle, projection.
    pub lanes: Vec<[String; 3]>,
    /// Title of the block, and its guide.
    pub mark: [String; 2],
    /// Fingerprint of the state of guide and job, which joins the mark where that still goes.
    pub fingerprint: String,
    /// Whether any fence is corrected, which joins the mark where that goes too.
    pub corrected: bool,
}

/// All lettering of a block.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lettering {
    /// The labels, the block's mark last.
    pub labels: Vec<Label>,
    /// Their polygons on the grid, simple outlines.
    pub region: Region,
    /// What was shortened or left out, and why.
    pub notes: Vec<String>,
    /// How much of what was wanted it has.
    pub rank: Rank,
}

/// How much of what was wanted a block's lettering has, what matters most first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Rank {
    /// How much the lanes say: 3 for each that says all.
    pub said: u32,
    /// Screw holes.
    pub holes: usize,
    /// Whether the holes are near the block's ends.
    pub at_ends: bool,
    /// Whether the block says whose it is.
    pub marked: bool,
}

impl Rank {
    /// All that can be wanted.
    pub fn best(lanes: usize, screw_holes: bool) -> Self {
        Self { said: 3 * lanes as u32, holes: if screw_holes { 2 } else { 0 }, at_ends: true, marked: true }
    }
}

/// Thickness of a middle with room for two lines on each of `sides` sides, mm.
pub fn middle(nozzle: f64, sides: usize) -> f64 {
    (sides as f64 * ((1.0 + PITCH) * first_height(nozzle) + wall(nozzle) + half_gap(nozzle))).ceil()
}

/// Letters a block: labels, screw holes clear of them (if wanted), mark.
pub fn letter(
    plan: &LanePlan,
    lanes: &[Placed],
    words: &Words,
    nozzle: f64,
    screw_holes: bool,
    written: Written,
) -> (Lettering, Vec<Point>) {
    let mut words = words.clone();
    let (least, mut notes) = printable(words.lanes.iter_mut().flatten().chain(&mut words.mark), nozzle);
    let trial = |height| Trial::new(&Room { plan, lanes, nozzle, height, least }, &words, screw_holes);
    let steps = ((LARGEST - least) / STEP).floor().max(0.0) as i32;
    let larger = (1..=steps).rev().map(|i| trial(least + STEP * f64::from(i)));
    let best = larger.fold(trial(least), |a, b| if (b.rank(), b.height) > (a.rank(), a.height) { b } else { a });
    let mut polygons = Polygons::default();
    let region = best.labels.iter().flat_map(|l| polygons.region_of(l, nozzle)).collect();
    notes.extend(best.notes(lanes, least, nozzle, written));
    (Lettering { rank: best.rank(), labels: best.labels, region, notes }, best.holes)
}

/// Where lettering of one height is tried.
struct Room<'a> {
    plan: &'a LanePlan,
    lanes: &'a [Placed],
    nozzle: f64,
    height: f64,
    least: f64,
}

/// All lettering of one height.
struct Trial {
    labels: Vec<Label>,
    /// How many lines' worth each lane's label says: 3 whole, 2 without the tool, 1 the angle alone, 0 nothing.
    says: Vec<u8>,
    holes: Vec<Point>,
    at_ends: bool,
    marked: bool,
    height: f64,
}

impl Trial {
    fn new(room: &Room, words: &Words, screw_holes: bool) -> Self {
        let mut labels = Vec::new();
        let mut says = Vec::new();
        for (placed, words) in room.lanes.iter().zip(&words.lanes) {
            let [tool, angle, projection] = words;
            let both = format!("{angle}  {projection}");
            let mut forms: Vec<(u8, Vec<String>)> = vec![
                (3, vec![tool.clone(), both.clone()]),
                (3, vec![format!("{tool} {both}")]),
                (3, vec![tool.clone(), angle.clone(), projection.clone()]),
            ];
            if let Some([first, second]) = parted(tool) {
                forms.push((3, vec![first.clone(), second.clone(), both.clone()]));
                forms.push((3, vec![first, second, angle.clone(), projection.clone()]));
            }
            forms.extend([(2, vec![both]), (1, vec![angle.clone()])]);
            let found = forms.into_iter().find_map(|(said, lines)| Some((said, room.beside_fence(placed, &lines)?)));
            says.push(found.as_ref().map_or(0, |(said, _)| *said));
            labels.extend(found.map(|(_, label)| label));
        }
        let taken: Vec<Rect> = labels.iter().map(|l| l.extent).collect();
        let holes = if screw_holes { holes::places(room.plan, &taken) } else { Vec::new() };
        let mark = room.mark(words, &taken, &holes);
        let marked = mark.is_some();
        labels.extend(mark);
        let quarter = room.plan.length / 4.0;
        let at_ends = match holes[..] {
            [left, right] => left.x <= quarter && right.x >= 3.0 * quarter,
            _ => !screw_holes,
        };
        Self { labels, says, holes, at_ends, marked, height: room.height }
    }

    fn rank(&self) -> Rank {
        let said = self.says.iter().map(|s| u32::from(*s)).sum();
        Rank { said, holes: self.holes.len(), at_ends: self.at_ends, marked: self.marked }
    }

    fn notes(&self, lanes: &[Placed], least: f64, nozzle: f64, written: Written) -> Vec<String> {
        let with = |said: u8| -> Vec<String> {
            lanes.iter().zip(&self.says).filter(|(_, s)| **s == said).map(|(p, _)| p.lane.request.id.clone()).collect()
        };
        let why = format!(
            "{} capitals, the smallest that a {} nozzle prints legibly, leave no room for",
            written.length(least),
            written.printer(nozzle)
        );
        let kinds = [
            (2, "lettered with angle (or kit letter) and projection only", "more"),
            (1, "lettered with angle (or kit letter) only", "more"),
            (0, "not lettered", "a label"),
        ];
        let mut notes: Vec<String> = kinds
            .into_iter()
            .filter_map(|(said, what, room)| {
                let ids = with(said);
                let lanes = if ids.len() == 1 { "lane" } else { "lanes" };
                let are = if ids.len() == 1 { "is" } else { "are" };
                (!ids.is_empty()).then(|| format!("{lanes} {} {are} {what}; {why} {room}", ids.join(", ")))
            })
            .collect();
        if !self.marked {
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

    /// A label next to a lane's fence, if it goes there.
    fn beside_fence(&self, placed: &Placed, lines: &[String]) -> Option<Label> {
        let wall = wall(self.nozzle);
        let stack = LineStack::new(lines, self.height, self.nozzle);
        let Size { width: w, height: h } = stack.size;
        let cx = placed.centre;
        let x = [cx - w / 2.0, cx + w / 2.0];
        let [first, last] = self.ends();
        if x[0] < placed.x[0].max(first) + wall || x[1] > placed.x[1].min(last) - wall {
            return None;
        }
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
        Some(stack.label(Some(placed.lane.request.id.clone()), Rect::new(x[0], y[0], x[1], y[1]), turned))
    }

    /// The block's mark, with its fingerprint if that goes too, and that it is corrected if that goes as well.
    fn mark(&self, words: &Words, taken: &[Rect], holes: &[Point]) -> Option<Label> {
        let [title, guide] = &words.mark;
        let with_fingerprint = format!("{guide} {}", words.fingerprint);
        let corrected = words.corrected.then(|| [format!("CORRECTED {title}"), with_fingerprint.clone()]);
        let forms = corrected.into_iter().chain([[title.clone(), with_fingerprint], words.mark.clone()]);
        forms.into_iter().find_map(|form| self.mark_of(&form, taken, holes))
    }

    /// A mark at a free place: in the size of the labels or smaller, on as few lines as go.
    fn mark_of(&self, words: &[String; 2], taken: &[Rect], holes: &[Point]) -> Option<Label> {
        let heads = holes.iter().map(|hole| Circle::new(*hole, HEAD).bounding_box());
        let taken: Vec<Rect> = taken.iter().copied().chain(heads).collect();
        // Well clear of other lettering if there is such a place, else as clear as it must be.
        let least = 2.0 * half_gap(self.nozzle);
        [6.0, 4.0, 2.5, 0.0].into_iter().find_map(|gap| {
            [self.height, self.least].into_iter().find_map(|height| {
                self.wrapped(words, height).into_iter().find_map(|stack| {
                    let place = self.free(stack.size, &taken, least.max(gap))?;
                    Some(stack.label(None, place, false))
                })
            })
        })
    }

    /// The mark on one line, and on more and more.
    fn wrapped(&self, words: &[String; 2], height: f64) -> Vec<LineStack> {
        let mut forms = vec![vec![words.join("  ")]];
        let most = words.iter().map(|w| font::width(w, height, false)).fold(0.0, f64::max);
        for part in 1..=4 {
            let width = most / f64::from(part) * 1.15;
            forms.push(words.iter().flat_map(|w| wrapped(w, height, width)).collect());
        }
        forms.dedup();
        forms.iter().map(|lines| LineStack::new(lines, height, self.nozzle)).collect()
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

/// Lines one below the other, each in the middle.
struct LineStack {
    size: Size,
    height: f64,
    /// Each line with the width of its ink, where that begins, and its baseline below the top, mm.
    lines: Vec<(Spaced, f64)>,
}

impl LineStack {
    fn new(lines: &[String], height: f64, nozzle: f64) -> Self {
        let lines: Vec<Spaced> =
            lines.iter().map(|w| Spaced::new(w, height, nozzle)).filter(|s| !s.signs.is_empty()).collect();
        let mut down = 0.0;
        let mut under: Option<f64> = None;
        let mut placed = Vec::new();
        for line in lines {
            let clear = under.map(|u: f64| (PITCH * height).max(line.high - u + (0.35 * height).max(nozzle)));
            down += clear.unwrap_or(line.high);
            under = Some(line.low);
            placed.push((line, down));
        }
        let width = placed.iter().map(|(s, _)| s.right - s.left).fold(0.0, f64::max);
        Self { size: Size::new(width, down - under.unwrap_or(0.0)), height, lines: placed }
    }

    fn label(self, lane: Option<String>, extent: Rect, turned: bool) -> Label {
        let lines = self.lines.into_iter().map(|(line, down)| {
            let from_middle = Vec2::new(-(line.right + line.left) / 2.0, self.size.height / 2.0 - down);
            let at = extent.center() + if turned { -from_middle } else { from_middle };
            Line { words: line.words, at, turned }
        });
        Label { lane, height: self.height, lines: lines.collect(), extent }
    }
}

/// Words broken after spaces and hyphens into lines of about `most` mm.
fn wrapped(words: &str, height: f64, most: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for part in words.split_inclusive([' ', '-']) {
        match lines.last_mut() {
            Some(line) if font::width(&format!("{line}{part}"), height, false) <= most => line.push_str(part),
            _ => lines.push(part.to_string()),
        }
    }
    lines.into_iter().map(|l| l.trim_end().to_string()).collect()
}

/// A name in two parts, as even as its hyphens and spaces allow.
fn parted(name: &str) -> Option<[String; 2]> {
    let cuts = name.char_indices().filter(|(i, c)| "- ".contains(*c) && *i > 0 && i + 1 < name.len());
    let cut = cuts.map(|(i, _)| i).min_by_key(|i| (2 * i + 1).abs_diff(name.len()))?;
    Some([name[..=cut].trim_end().to_string(), name[cut + 1..].to_string()])
}
