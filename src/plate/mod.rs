//! The proof on a plate: what to measure of a blade that was set with a block, and what it should come to.

pub mod files;
pub mod report;
pub mod sheet;

use crate::honing::plate::{self, Packing};
use crate::job::Job;
use crate::lane::Lane;
use crate::lanes::LaneSet;
use crate::terms::Along;
use crate::units::Written;
use crate::views::figure::Figure;

/// How far behind the edge the first line lies, mm: clear of the edge, and a size that rules have in either unit.
const FIRST_LINE: [f64; 2] = [10.0, 9.525];
/// How far behind the drawn guide the second line lies, mm.
const BEHIND_GUIDE: f64 = 5.0;
/// Lengths between the lines are whole multiples of this, mm, or of a quarter of an inch.
const ROUND: [f64; 2] = [10.0, 6.35];

/// What is to be measured for a job's lanes.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    /// Title of the job.
    pub title: String,
    /// Name of the guide.
    pub guide: String,
    /// Fingerprint of guide and job.
    pub fingerprint: String,
    /// The job's date.
    pub date: Option<String>,
    /// How lengths are written.
    pub written: Written,
    /// ± degrees allowed.
    pub tolerance: f64,
    /// Length between the two lines on the back, mm.
    pub apart: f64,
    /// The lanes.
    pub lanes: Vec<Expected>,
    /// The lane that the figure shows: the one with the longest projection.
    pub shown: Lane,
}

/// What a lane should come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// Its id.
    pub id: String,
    /// The angle, degrees.
    pub angle: f64,
    /// Difference of the two heights at that angle, mm.
    pub difference: f64,
    /// Least and greatest difference within the tolerance, mm.
    pub limits: [f64; 2],
    /// What is put under edge or roller.
    pub packing: Packing,
}

/// The proof of the lanes of a job, with the lines `apart` mm apart, or as far as clears the guide; `None` without lanes.
pub fn of_job(job: &Job, set: &LaneSet, apart: Option<f64>) -> Option<Proof> {
    let shown = set.lanes.iter().max_by(|a, b| a.projection().total_cmp(&b.projection()))?;
    let apart = apart.unwrap_or_else(|| clears_the_guide(shown));
    let expected = |lane: &Lane| {
        let angle = lane.request.angle;
        let difference = |degrees| plate::difference(degrees, apart, Along::Back);
        Expected {
            id: lane.request.id.clone(),
            angle,
            difference: difference(angle),
            limits: [difference(angle - job.tolerance), difference(angle + job.tolerance)],
            packing: Packing::for_level(lane.request.roller_level.mm),
        }
    };
    Some(Proof {
        title: job.title.clone(),
        guide: job.guide.name.clone(),
        fingerprint: job.fingerprint(),
        date: job.date.clone(),
        written: job.written,
        tolerance: job.tolerance,
        apart,
        lanes: set.lanes.iter().map(expected).collect(),
        shown: shown.clone(),
    })
}

/// How far behind the edge the first line lies, mm.
pub fn first_line(written: Written) -> f64 {
    written.choose(FIRST_LINE[0], FIRST_LINE[1])
}

/// A round length from the first line to behind the guide as it is drawn, mm.
fn clears_the_guide(lane: &Lane) -> f64 {
    let figure = figure(lane);
    let reach = figure.edge().x - first_line(lane.request.written) - (figure.rear() - BEHIND_GUIDE);
    let round = lane.request.written.choose(ROUND[0], ROUND[1]);
    (reach / round).ceil() * round
}

/// The guide with the lane's blade on the plate.
pub(crate) fn figure(lane: &Lane) -> Figure {
    let (section, request) = (lane.setting.section, &lane.request);
    Figure::on_stone(section, lane.projection(), request.angle, request.primary())
}
