//! The gauges that a job's own blades are checked with.

use super::bevel::Asked;
use super::light::Making;
use super::{Wanted, plan};
use crate::job::{Job, JobSetting};
use crate::kit::Kit;
use crate::kit::advice::Advice;
use crate::kit::interval::bevels;

/// Angles closer than this are one, degrees: far less than a bevel gauge tells.
const SAME: f64 = 0.05;

/// Gauges for all angles of a job; of a kit, whose `advice` is needed, also for its cambers, and a square for its widest
/// blade.
pub fn of_job(job: &Job, advice: &[Advice], making: Making) -> Wanted {
    let of_setting = |s: &JobSetting| {
        let thickness = s.blade.thickness.mm;
        s.angles.iter().map(move |&angle| Asked { angle, thickness }).collect::<Vec<_>>()
    };
    let mut wanted = Wanted {
        bevels: job.settings.iter().flat_map(of_setting).collect(),
        tolerance: job.tolerance,
        cambers: Vec::new(),
        square_width: None,
        making,
        print: job.print.clone(),
        title: job.title.clone(),
        written: job.written,
        paper: job.home_paper(),
    };
    if let Some(kit) = &job.kit {
        of_kit(job, kit, advice, &mut wanted);
    }
    same(&mut wanted.bevels);
    wanted
}

fn of_kit(job: &Job, kit: &Kit, advice: &[Advice], wanted: &mut Wanted) {
    for (blade, advice) in kit.blades.iter().zip(advice) {
        let width = blade.width_in(&job.guide);
        let thickness = blade.blade.thickness.mm;
        wanted.bevels.extend(bevels(advice).map(|(_, angle)| Asked { angle, thickness }));
        wanted.cambers.extend(blade.curve(width, advice).map(|curve| (blade.name.clone(), curve)));
        wanted.square_width = Some(wanted.square_width.map_or(width, |w| w.max(width)));
    }
}

/// Gives angles that are one the smallest of their values, and each blade's bevel once.
fn same(bevels: &mut Vec<Asked>) {
    bevels.sort_by(|a, b| a.angle.total_cmp(&b.angle));
    let mut first = f64::NEG_INFINITY;
    for bevel in bevels.iter_mut() {
        if bevel.angle - first >= SAME {
            first = bevel.angle;
        }
        bevel.angle = first;
    }
    bevels.sort_by(|a, b| a.angle.total_cmp(&b.angle).then(a.thickness.total_cmp(&b.thickness)));
    bevels.dedup();
}

/// Those of the wanted gauges that can be made, and why others cannot.
pub fn possible(all: &Wanted) -> (Wanted, Vec<String>) {
    let mut wanted = Wanted { bevels: Vec::new(), cambers: Vec::new(), square_width: None, ..all.clone() };
    let nothing = wanted.clone();
    // Every bevel by itself: a blade too thin for its angle takes no gauge from the others.
    let mut left_out: Vec<String> = Vec::new();
    for &bevel in &all.bevels {
        match plan(&Wanted { bevels: vec![bevel], ..nothing.clone() }) {
            Ok(_) => wanted.bevels.push(bevel),
            Err(refused) => left_out.extend(refused.0),
        }
    }
    // What holds for all is said once.
    left_out.dedup();
    let mut possible = |alone: Wanted| match plan(&alone) {
        Ok(_) => true,
        Err(refused) => {
            left_out.extend(refused.0);
            false
        }
    };
    for camber in &all.cambers {
        if possible(Wanted { cambers: vec![camber.clone()], ..nothing.clone() }) {
            wanted.cambers.push(camber.clone());
        }
    }
    if all.square_width.is_some() && possible(Wanted { square_width: all.square_width, ..nothing.clone() }) {
        wanted.square_width = all.square_width;
    }
    (wanted, left_out)
}
