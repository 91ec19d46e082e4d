//! The plan of the block: lanes on both edges over one raised middle.
//!
//! Plan frame: `x` along the edges, `y` from the near edge (0) to the far edge (`depth`), mm.
//!
//! 1. [`layout`](crate::layout) shares the lanes out over blocks and edges and puts them in order.
//! 2. [`labels`] letters the raised middle, with lines that `typeset` sets; [`holes`] finds room for the screws.
//! 3. [`regions`] turns the plan into polygons on a 1 µm grid, for the solid and the drawing alike; [`slabs`] stacks them.
//! 4. [`cleat`] is the part that hangs on the bench's edge; [`mod@print`] finds what the printer may not print well.
//! 5. [`sheets`] draws the block; [`files`] makes all that is written, and [`check`] measures the written STL.

pub mod check;
pub mod cleat;
pub mod files;
pub mod holes;
pub mod labels;
pub mod print;
pub mod regions;
pub mod report;
pub mod sheets;
pub mod slabs;
mod typeset;

use kurbo::{Point, Size};

use crate::cores;
use crate::job::Job;
use crate::lane::checks::{Finding, Rule};
use crate::lane::{FOOT_RELIEF, FRONT_RELIEF, Lane, Member};
use crate::lanes::LaneSet;
use crate::layout::edges::{self, Shared};
use crate::layout::order::{self, LanePlan, Strip};
use crate::layout::split::{self, Room, Split};
use crate::layout::{OVERHANG_MARGIN, Placed, Refused, corrected, fence_height, marked_title, placed, refusals};
use crate::shape::lines::RELIEF_DEPTH;
use crate::terms::Labels;
use crate::units::{COARSE, Units, WHOLE, Written};
use labels::{Lettered, Letterer, Lettering, Rank, Said, Screws, Words};

/// Diameter of the screw holes, mm: clears a No. 8 wood screw (0.060 + 8 × 0.013 in = 4.17 mm; ASME B18.6.1, from memory).
pub const SCREW_HOLE: f64 = 4.5;
/// Thickness of the middle where none is stated and lettering needs no more, mm.
const MIDDLE: f64 = 12.0;
/// How much thicker the middle is made for its lettering, mm, and how often.
const WIDER: f64 = 3.0;
const WIDENED: i32 = 10;
/// Depth of the notch for the seam, mm; it opens twice as wide, at a right angle.
pub const SEAM_NOTCH: f64 = 1.0;

/// The plan of a block.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Title of the block.
    pub title: String,
    /// How its lengths are written.
    pub written: Written,
    /// Which block of how many, where the job takes several.
    pub number: Option<[usize; 2]>,
    /// Name of the guide.
    pub guide: String,
    /// Fingerprint of the state of guide and job.
    pub fingerprint: String,
    /// Size along the edges, mm.
    pub length: f64,
    /// Size from near to far edge, mm.
    pub depth: f64,
    /// Thickness of the board, mm.
    pub thickness: f64,
    /// Height of the fences above the table, mm.
    pub fence_height: f64,
    /// Least thickness of the middle, mm.
    pub middle: f64,
    /// Width and height of the rebate along the bottom edges, mm.
    pub front_relief: Option<[f64; 2]>,
    /// Width and depth of the groove at each fence's foot, mm.
    pub foot_relief: Option<[f64; 2]>,
    /// Whether tables bear centre and square lines.
    pub marks: bool,
    /// Centres of the screw holes, mm.
    pub screw_holes: Vec<Point>,
    /// Whether it fits the printer's bed only turned by a quarter.
    pub turned: bool,
    /// How the middle is lettered.
    pub labels: Labels,
    /// How deep labels are sunk or how high they are raised, mm.
    pub label_depth: f64,
    /// The lettering.
    pub lettering: Lettering,
    /// Where the notches for the seam are in the left and the right end, mm from the near edge.
    pub seam_notches: Option<[f64; 2]>,
    /// Lanes in their places: near edge from left to right, then far edge from left to right.
    pub lanes: Vec<Placed>,
    /// The near edge's fences and fillers in order of `x`.
    pub near: Vec<Strip>,
    /// The far edge's.
    pub far: Vec<Strip>,
    /// How far the roller reaches below the table at most, mm.
    pub roller_below_table: f64,
    /// How far the block must overhang the bench, mm.
    pub overhang: f64,
    /// ± degrees the job allows.
    pub tolerance: f64,
    /// How well a fence can be placed, ± mm.
    pub fence_within: f64,
    /// What the rules found about the block as a whole: warnings only.
    pub findings: Vec<Finding>,
}

impl Layout {
    /// The block's title, with its number where the job takes several.
    pub fn named(&self) -> String {
        match self.number {
            None => self.title.clone(),
            Some([i, n]) => format!("{}, block {i} of {n}", self.title),
        }
    }

    /// The same after the fingerprint, which is then not cut off.
    pub fn with_fingerprint(&self) -> String {
        format!("{}, {}", self.fingerprint, self.titled())
    }

    /// The same as the title of a sheet or a file, which says where the block is corrected.
    pub fn titled(&self) -> String {
        marked_title(self.named(), &self.lanes)
    }

    /// The title without the block's number, for sheets that have a field for that.
    pub fn marked(&self) -> String {
        marked_title(self.title.clone(), &self.lanes)
    }

    /// How the block is to be held so that the guide can hang at its edge, in words; `has_cleat` where a cleat is screwed
    /// under it.
    pub fn hold_down(&self, has_cleat: bool) -> String {
        if has_cleat {
            return format!(
                "The roller sits {} below the table. Hang the cleat against the edge of the bench and clamp the block's back, or grip the cleat in a vice.",
                self.written.length(self.roller_below_table)
            );
        }
        let held = if self.screw_holes.is_empty() { "clamped down" } else { "clamped or screwed down" };
        if self.roller_below_table <= self.thickness {
            return format!(
                "The roller sits {} below the table, less than the block is thick. The block can stand anywhere on the bench, {held}.",
                self.written.length(self.roller_below_table)
            );
        }
        format!(
            "The roller sits {} below the table, lower than the block is thick ({}). Let the block stick out at least {} past the front of the bench, {held}.",
            self.written.length(self.roller_below_table),
            self.written.length(self.thickness),
            self.written.over(self.overhang)
        )
    }
}

/// Lays out the block for solved lanes.
///
/// # Errors
/// [`Refused`] with every refusal of every lane and of the block.
pub fn lay_out(job: &Job, set: &LaneSet) -> Result<Layout, Refused> {
    lay_out_shared(job, set, &edges::share(&set.lanes, &job.block, job.face_width(), job.print.bed.width), None)
}

/// Lays out one block for those of the solved lanes that are shared out; `number` says which of how many it is. Blocks
/// of one job have fences of one height.
///
/// # Errors
/// [`Refused`] with every refusal of every lane of the job and of the block.
pub fn lay_out_shared(
    job: &Job,
    set: &LaneSet,
    shared: &Shared,
    number: Option<[usize; 2]>,
) -> Result<Layout, Refused> {
    let mut refusals = refusals(&set.lanes);
    let fence_height = fence_height(&job.block, &set.lanes, &mut refusals);
    if !refusals.is_empty() {
        return Err(Refused(refusals));
    }
    let Composed { plan, lanes, lettering, screw_holes } = compose(job, set, shared, number);
    let roller_below_table = lanes.iter().map(|p| p.lane.roller_below_table).fold(0.0, f64::max);
    let overhang = lanes.iter().map(|p| p.lane.overhang).fold(0.0, f64::max) + OVERHANG_MARGIN;
    let bed = job.print.bed;
    let mut layout = Layout {
        title: job.title.clone(),
        written: job.written,
        number,
        guide: job.guide.name.clone(),
        fingerprint: job.fingerprint(),
        length: plan.length,
        depth: plan.depth,
        thickness: set.edge.thickness,
        fence_height,
        middle: plan.middle,
        front_relief: job.block.front_relief.then_some(FRONT_RELIEF),
        foot_relief: job.block.foot_relief.then_some(FOOT_RELIEF),
        marks: job.block.marks,
        screw_holes,
        turned: !fits(plan.length, plan.depth, bed) && fits(plan.depth, plan.length, bed),
        labels: job.block.labels,
        label_depth: whole_layers(RELIEF_DEPTH, job.print.layer),
        lettering,
        seam_notches: job.print.seam_notch.then(|| seam_notches(&plan)).flatten(),
        lanes,
        near: plan.near,
        far: plan.far,
        roller_below_table,
        overhang,
        tolerance: job.tolerance,
        fence_within: job.block.fence_within,
        findings: Vec::new(),
    };
    layout.findings = findings(job, &layout);
    Ok(layout)
}

/// How few blocks a job could take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fewest {
    /// No sharing-out of the lanes takes fewer blocks than this.
    pub bound: usize,
    /// Whether it is proved that no fewer than these would do.
    pub proven: bool,
}

impl std::fmt::Display for Fewest {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.proven {
            true => write!(f, "no fewer would do"),
            false => write!(f, "fewer than {} would not do", self.bound),
        }
    }
}

/// Shares solved lanes out over as few blocks as the printer's bed asks for.
pub fn share_out(job: &Job, set: &LaneSet) -> Split {
    let room = Room { bed: job.print.bed, margin: 0.0, middle: usual_middle(job, 2) };
    split::split(&set.lanes, &job.block, job.face_width(), &room)
}

/// Lays out as few blocks as the printer's bed asks for, for solved lanes.
///
/// # Errors
/// [`Refused`], as [`lay_out`].
pub fn lay_out_all(job: &Job, set: &LaneSet) -> Result<(Vec<Layout>, Fewest), Refused> {
    let split = share_out(job, set);
    let count = split.blocks.len();
    let number = |i: usize| (count > 1).then_some([i + 1, count]);
    let blocks: Vec<_> = split.blocks.iter().enumerate().collect();
    let layouts = cores::each(&blocks, 1, |(i, block)| lay_out_shared(job, set, &block.shared, number(*i)));
    let layouts = layouts.into_iter().collect::<Result<_, _>>()?;
    Ok((layouts, Fewest { bound: split.bound, proven: split.proven() }))
}

/// The plan and what stands on its middle.
struct Composed {
    plan: LanePlan,
    lanes: Vec<Placed>,
    lettering: Lettering,
    screw_holes: Vec<Point>,
}

/// Thickness of the middle where none is stated and its lettering finds room, mm: for lanes on so many sides.
fn usual_middle(job: &Job, sides: usize) -> f64 {
    match (job.block.middle, job.block.labels) {
        (Some(stated), _) => stated,
        (None, Labels::None) => MIDDLE,
        (None, _) => labels::middle(job.print.nozzle, sides).max(MIDDLE),
    }
}

fn screws(job: &Job) -> Screws {
    match (job.block.screw_holes, job.block.cleat) {
        (false, _) => Screws::None,
        (true, false) => Screws::WithRoom,
        (true, true) => Screws::Needed,
    }
}

/// Plans the middle as thick as its lettering needs and the bed takes, unless the job states how thick it is.
fn compose(job: &Job, set: &LaneSet, shared: &Shared, number: Option<[usize; 2]>) -> Composed {
    let sides = [&shared.near, &shared.far].into_iter().filter(|s| !s.is_empty()).count();
    let usual = usual_middle(job, sides);
    let planned = |middle: f64| order::plan(shared, middle, order::STEP);
    let plan = planned(usual);
    let lanes = placed(&plan, &set.lanes);
    if job.block.labels == Labels::None {
        let screw_holes = if job.block.screw_holes { holes::places(&plan, &[]) } else { Vec::new() };
        return Composed { plan, lanes, lettering: Lettering::default(), screw_holes };
    }
    // The order of the lanes, and so what they say, is the same with any middle.
    let letterer = Letterer::new(words(job, &lanes, number), job.print.nozzle, screws(job));
    let bed = job.print.bed;
    let on_bed = |p: &LanePlan| fits(p.length, p.depth, bed) || fits(p.depth, p.length, bed);
    let steps = if job.block.middle.is_some() { 0 } else { WIDENED };
    let wider = (1..=steps).map(|i| planned(usual + WIDER * f64::from(i)));
    let first_fits = on_bed(&plan);
    let plans: Vec<LanePlan> = std::iter::once(plan).chain(wider.filter(|p| !first_fits || on_bed(p))).collect();
    let wanted = Rank::best(lanes.len(), screws(job));
    let mut best: Option<Lettered> = None;
    for plan in &plans {
        let floor = best.as_ref().map(|best| best.rank);
        if floor.is_some_and(|floor| floor >= wanted) {
            break;
        }
        best = letterer.letter(plan, floor).or(best);
    }
    let plan = best.as_ref().map_or(&plans[0], Lettered::plan).clone();
    let lanes = placed(&plan, &set.lanes);
    let (lettering, screw_holes) = best.map(|best| best.drawn(&lanes, job.written)).unwrap_or_default();
    Composed { plan, lanes, lettering, screw_holes }
}

/// What the block says of its lanes and of itself.
fn words(job: &Job, lanes: &[Placed], number: Option<[usize; 2]>) -> Words {
    let projection = |p: &Placed| {
        // The block is lettered in one unit, as it has little room.
        let unit = job.written.first();
        let sign = if unit == Units::Inch { "\"" } else { "" };
        format!("{}{sign}", unit.fixed(p.lane.projection(), [1, 3]))
    };
    let said = |p: &Placed| {
        let request = &p.lane.request;
        // What stays longest is large: in a lane of a kit its letter, which the bench card speaks of.
        let (head, name) = match request.asked {
            None => (request.angle_words(), request.label.clone()),
            Some(_) => {
                let class = request.tool.clone().unwrap_or_else(|| kinds(&p.lane));
                (request.id.clone(), format!("{class} {}", request.angle_words()))
            }
        };
        let apart = [request.seat.name().to_string(), written_width(job.written.first(), p.blade_width)];
        Said { head, name, projection: projection(p), apart }
    };
    let title = match number {
        None => job.title.clone(),
        Some([i, n]) => format!("{} {i}/{n}", job.title),
    };
    Words {
        lanes: lanes.iter().map(said).collect(),
        mark: [title, job.guide.name.clone()],
        fingerprint: job.fingerprint(),
        corrected: corrected(lanes),
    }
}

/// What blades of several classes are, where the names of their classes end in the same word: "irons", "chisels".
fn kinds(lane: &Lane) -> String {
    let last = |member: &Member| member.request.tool.as_deref()?.rsplit('-').next().map(str::to_string);
    let mut all = lane.members.iter().map(last);
    let first = all.next().flatten();
    match first.filter(|first| all.all(|other| other.as_ref() == Some(first))) {
        Some(kind) => format!("{kind}s"),
        None => "several".into(),
    }
}

/// The width of a blade as it is lettered.
fn written_width(unit: Units, width: f64) -> String {
    match unit {
        Units::Mm => format!("{} mm", unit.short(width, [1, 2])),
        Units::Inch => format!("{}\"", unit.short(width, [1, 2])),
    }
}

/// The whole number of layers nearest to `height`, one at least, as a height, mm.
fn whole_layers(height: f64, layer: f64) -> f64 {
    (height / layer).round().max(1.0) * layer
}

/// The middle of either end of the raised middle, where it is thick enough there to keep a notch away from its fences, and
/// long enough to keep the two away from each other.
fn seam_notches(plan: &LanePlan) -> Option<[f64; 2]> {
    if plan.length < 6.0 * SEAM_NOTCH {
        return None;
    }
    let end = |x: [f64; 2]| -> Option<f64> {
        let [low, high] = plan.middle_between(x);
        (high - low >= 6.0 * SEAM_NOTCH).then_some((low + high) / 2.0)
    };
    Some([end([0.0, SEAM_NOTCH])?, end([plan.length - SEAM_NOTCH, plan.length])?])
}

/// Whether a block as large as this fits the bed as it is turned.
fn fits(length: f64, depth: f64, bed: Size) -> bool {
    length <= bed.width && depth <= bed.height
}

fn findings(job: &Job, layout: &Layout) -> Vec<Finding> {
    let mut found = Vec::new();
    let bed = job.print.bed;
    if !layout.turned && !fits(layout.length, layout.depth, bed) {
        found.push(Finding::warning(
            Rule::Block,
            format!(
                "the block is {} and the printer's bed {}. Give your own bed (print.bed), or make the lanes narrower",
                layout.written.sides([layout.length, layout.depth], COARSE),
                layout.written.sides([bed.width, bed.height], WHOLE)
            ),
        ));
    }
    found.extend(layout.lettering.notes.iter().map(|note| Finding::warning(Rule::Block, note.clone())));
    if job.block.screw_holes && layout.screw_holes.len() < 2 {
        found.push(Finding::warning(
            Rule::Block,
            format!(
                "the raised middle has room for {} of the 2 screw holes: hold the block with a clamp",
                layout.screw_holes.len()
            ),
        ));
    }
    if job.guides().any(|guide| guide.face.width.is_none()) {
        found.push(Finding::not_checked(Rule::Block, "whether the whole face bears at the end lanes", "face.width"));
    }
    found
}
