//! The gauges that a job's own blades are checked with.

use super::{Wanted, plan};
use crate::job::Job;
use crate::kit::Kit;
use crate::kit::advice::Advice;
use crate::kit::interval::bevels;

/// Angles closer than this are one, degrees: far less than a bevel gauge tells.
const SAME: f64 = 0.05;

/// Gauges for all angles of a job; of a kit, whose `advice` is needed, also for its cambers, and a square for its widest
/// blade.
pub fn of_job(job: &Job, advice: &[Advice]) -> Wanted {
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
        of_kit(job, kit, advice, &mut wanted);
    }
    wanted.angles.sort_by(f64::total_cmp);
    wanted.angles.dedup_by(|a, b| (*a - *b).abs() < SAME);
    wanted.thickness = (wanted.thickness * 100.0).ceil() / 100.0;
    wanted
}

fn of_kit(job: &Job, kit: &Kit, advice: &[Advice], wanted: &mut Wanted) {
    for (blade, advice) in kit.blades.iter().zip(advice) {
        let width = blade.width_in(job.guide.seat_for(blade.seat()).1);
        wanted.angles.extend(bevels(advice).map(|(_, angle)| angle));
        wanted.thickness = wanted.thickness.max(blade.blade.thickness.mm);
        wanted.cambers.extend(blade.curve(width, advice).map(|curve| (blade.name.clone(), curve)));
        wanted.square_width = Some(wanted.square_width.map_or(width, |w| w.max(width)));
    }
}

/// Those of the wanted gauges that can be made, and why others cannot.
pub fn possible(all: &Wanted) -> (Wanted, Vec<String>) {
    let mut left_out = Vec::new();
    let mut wanted = Wanted { angles: Vec::new(), cambers: Vec::new(), square_width: None, ..all.clone() };
    let mut possible = |what: &str, alone: Wanted| match plan(&alone) {
        Ok(_) => true,
        Err(refused) => {
            left_out.push(format!("{what}: {}", refused.0.join("; ")));
            false
        }
    };
    let nothing = wanted.clone();
    if !all.angles.is_empty() && possible("bevel gauge", Wanted { angles: all.angles.clone(), ..nothing.clone() }) {
        wanted.angles.clone_from(&all.angles);
    }
    for camber in &all.cambers {
        let what = format!("camber gauge of the {}", camber.0);
        if possible(&what, Wanted { cambers: vec![camber.clone()], ..nothing.clone() }) {
            wanted.cambers.push(camber.clone());
        }
    }
    if all.square_width.is_some() && possible("square", Wanted { square_width: all.square_width, ..nothing.clone() }) {
        wanted.square_width = all.square_width;
    }
    (wanted, left_out)
}
