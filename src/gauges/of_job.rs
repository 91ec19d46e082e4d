//! The gauges that a job's own blades are checked with.

use super::Wanted;
use crate::card;
use crate::job::Job;
use crate::kit::interval::bevels;
use crate::kit::{Kit, advice};

/// Angles closer than this are one, degrees: far less than a bevel gauge tells.
const SAME: f64 = 0.05;

/// Gauges for all angles of a job; of a kit also for its cambers, and a square for its widest blade.
pub fn of_job(job: &Job) -> Wanted {
    let mut wanted = Wanted {
        angles: job.settings.iter().flat_map(|s| s.angles.iter().copied()).collect(),
        tolerance: job.tolerance,
        thickness: job.settings.iter().map(|s| s.blade.thickness.mm).fold(0.0, f64::max),
        cambers: Vec::new(),
        square_width: None,
        print: job.print.clone(),
        title: job.title.clone(),
        units: job.units,
        paper: job.home_paper(),
    };
    if let Some(kit) = &job.kit {
        of_kit(job, kit, &mut wanted);
    }
    wanted.angles.sort_by(f64::total_cmp);
    wanted.angles.dedup_by(|a, b| (*a - *b).abs() < SAME);
    wanted.thickness = (wanted.thickness * 100.0).ceil() / 100.0;
    wanted
}

fn of_kit(job: &Job, kit: &Kit, wanted: &mut Wanted) {
    for blade in &kit.blades {
        let width = blade.width_in(job.guide.seat_for(blade.seat()).1);
        wanted.angles.extend(bevels(&advice::advise(blade)).map(|(_, angle)| angle));
        wanted.thickness = wanted.thickness.max(blade.blade.thickness.mm);
        wanted.cambers.extend(card::curve(blade, width).map(|curve| (blade.name.clone(), curve)));
        wanted.square_width = Some(wanted.square_width.map_or(width, |w| w.max(width)));
    }
}
