//! The proof on a plate: what to measure of a blade that was set with a block, and what it should come to.

pub mod files;
pub mod report;
pub mod sheet;

use crate::honing::plate::{self, Packing};
use crate::job::Job;
use crate::lane::{Bevel, Lane, Member};
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
    /// The lanes, of a kit with each of their blades.
    pub lanes: Vec<Expected>,
    /// The lane that the figure shows: the one with the longest projection.
    pub shown: Lane,
}

/// What a blade in a lane should come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// The lane's id.
    pub id: String,
    /// The blade of a kit, and which of its bevels.
    pub blade: Option<(String, Bevel)>,
    /// The angle, degrees.
    pub angle: f64,
    /// Difference of the two heights at that angle, mm.
    pub difference: f64,
    /// Least and greatest difference that is allowed, mm: within the tolerance, and of a kit clear of the blade's other bevel.
    pub limits: [f64; 2],
    /// What is put under edge or roller.
    pub packing: Packing,
}

impl Expected {
    /// What is set, in words: the lane, and of a kit the blade with its bevel.
    pub fn words(&self) -> String {
        match &self.blade {
            None => self.id.clone(),
            Some((name, bevel)) => format!("{}: {name}, {}", self.id, bevel.name()),
        }
    }
}

/// The proof of the lanes of a job, with the lines `apart` mm apart, or as far as clears the guide; `None` without lanes.
pub fn of_job(job: &Job, set: &LaneSet, apart: Option<f64>) -> Option<Proof> {
    let shown = set.lanes.iter().max_by(|a, b| a.projection().total_cmp(&b.projection()))?;
    let apart = apart.unwrap_or_else(|| clears_the_guide(shown));
    let difference = |degrees| plate::difference(degrees, apart, Along::Back);
    let expected = |lane: &Lane| -> Vec<Expected> {
        let (angle, tolerance) = (lane.request.angle, job.tolerance);
        let alone = Expected {
            id: lane.request.id.clone(),
            blade: None,
            angle,
            difference: difference(angle),
            limits: [angle - tolerance, angle + tolerance].map(difference),
            packing: Packing::for_level(lane.request.roller_level.mm),
        };
        let of_member = |member: &Member| Expected {
            blade: Some((member.name.clone(), member.bevel)),
            angle: member.wanted,
            difference: difference(member.wanted),
            limits: member.allowed.map(difference),
            ..alone.clone()
        };
        match lane.members.is_empty() {
            true => vec![alone],
            false => lane.members.iter().map(of_member).collect(),
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
        lanes: set.lanes.iter().flat_map(expected).collect(),
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
