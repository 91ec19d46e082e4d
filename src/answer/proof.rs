//! What was measured, against what was wanted.

use super::bench::{Bench, Formed};
use super::block::in_wood;
use super::reply::{Proof, Verdict};
use crate::error;
use crate::job::Job;
use crate::lanes::{self, LaneSet};
use crate::units::{FINE, Written, fixed};
use crate::verify::angles::{self, AngleReport};
use crate::verify::corrections::{self, Of};
use crate::verify::plates::{self, PlateVerdict, Plates};
use crate::verify::readings::Readings;
use crate::verify::verdict::{self, LaneVerdict, Rule, Sheets, Verdicts};
use crate::verify::{report, stale};

/// The job with its lanes, as they were measured.
struct Measured {
    job: Job,
    set: LaneSet,
    of: Of,
}

impl Measured {
    fn of_bench(bench: &Bench, job: Job) -> Result<Self, Vec<String>> {
        if bench.of_jig {
            let job = job.for_a_jig();
            let (_, set) = in_wood(&job)?;
            return Ok(Self { job, set, of: Of::Jig });
        }
        let set = lanes::of_job(&job).map_err(|failed| super::not_set(&failed, job.written))?;
        Ok(Self { job, set, of: Of::Block })
    }

    fn written(&self) -> Written {
        if self.of == Of::Jig { self.job.wood.written } else { self.job.written }
    }

    fn readings(&self, form: &Formed) -> Result<Readings, Vec<String>> {
        let Some(file) = &form.file else { return Ok(Readings::default()) };
        Readings::parse(&file.name, file.text.as_bytes(), &self.set).map_err(|faults| super::told(&faults))
    }

    fn judged(&self, readings: &Readings) -> Result<(Verdicts, Option<Plates>, Option<AngleReport>), Vec<String>> {
        let sheets = Sheets::of(&self.job, self.of);
        let judged = verdict::judge(&self.set, readings, sheets, self.job.tolerance, Rule::Simple)
            .map_err(|e| vec![error::sentence(&self.written().reworded(&error::chain(&e)))])?;
        let plates = plates::judge(&self.set, readings, &self.job.honing, self.job.tolerance, Rule::Simple);
        let weighed = angles::weigh(&self.set, readings, plates.as_ref());
        Ok((judged, plates, weighed))
    }
}

/// What was measured on the bench's block or jig.
///
/// # Errors
/// Why nothing can be measured; whole sentences.
pub(super) fn shown(bench: &Bench, job: Job) -> Result<Proof, Vec<String>> {
    let measured = Measured::of_bench(bench, job)?;
    let form = bench.measured_form(&measured.job)?;
    let found = measured.readings(&form).and_then(|readings| Ok((measured.judged(&readings)?, readings)));
    let written = measured.written();
    let mut proof = Proof {
        form,
        lanes: Vec::new(),
        report: String::new(),
        passes: None,
        can_be_corrected: false,
        notes: Vec::new(),
        faults: Vec::new(),
    };
    match found {
        Err(faults) => proof.faults = faults,
        Ok(((judged, plates, weighed), readings)) => {
            let on_plate = || plates.iter().flat_map(|p| &p.lanes);
            let of_fence = |lane: &LaneVerdict| said(lane, on_plate().find(|p| p.id == lane.id), written);
            proof.lanes = judged.lanes.iter().map(of_fence).collect();
            proof.lanes.extend(on_plate().map(|lane| said_on_plate(lane, judged.tolerance)));
            proof.report =
                super::filled_in(&report::text(&measured.set, &judged, written, plates.as_ref(), weighed.as_ref()));
            let is_judged = !judged.lanes.is_empty() || plates.is_some();
            proof.passes = is_judged.then(|| plates::all_pass(&judged, plates.as_ref()));
            let stale = stale::of_another_state(&measured.job, &readings);
            let file =
                corrections::corrections_from(measured.of, &measured.job, &measured.set, &judged, weighed.as_ref());
            proof.can_be_corrected = stale.is_none() && file.is_ok_and(|file| !file.corrections.is_empty());
            proof.notes = stale.into_iter().map(|words| words.trim_end().to_string()).collect();
        }
    }
    Ok(proof)
}

/// The corrections that what was measured calls for, as a file.
///
/// # Errors
/// Why there are none; whole sentences.
pub(super) fn corrected(bench: &Bench, job: Job) -> Result<String, Vec<String>> {
    let measured = Measured::of_bench(bench, job)?;
    let form = bench.measured_form(&measured.job)?;
    let readings = measured.readings(&form)?;
    if let Some(stale) = stale::of_another_state(&measured.job, &readings) {
        return Err(vec![stale.trim_end().to_string()]);
    }
    let (judged, _, weighed) = measured.judged(&readings)?;
    let file = corrections::corrections_from(measured.of, &measured.job, &measured.set, &judged, weighed.as_ref())
        .map_err(|e| vec![error::sentence(&measured.written().reworded(&e.to_string()))])?;
    if file.corrections.is_empty() {
        return Err(vec!["No lane needs a correction.".into()]);
    }
    serde_json::to_value(&file).map(|file| format!("{file:#}\n")).map_err(|e| vec![error::sentence(&e.to_string())])
}

/// The verdict on a fence; the angle that was taken on a plate goes before its limits.
fn said(lane: &LaneVerdict, plate: Option<&PlateVerdict>, written: Written) -> Verdict {
    let passes = plates::fence_passes(lane, plate);
    let move_it = match lane.correction {
        _ if plate.is_some() => String::new(),
        0.0 => String::new(),
        by => {
            let way = if by > 0.0 { "away from its edge" } else { "toward its edge" };
            format!("Move the fence {} {way}.", written.fixed(by.abs(), FINE).said())
        }
    };
    let asked = written.fixed(lane.asked, FINE);
    let limit = written.fixed(lane.limit, FINE);
    Verdict {
        id: lane.id.clone(),
        passes,
        word: if passes { "passes" } else { "fails" }.into(),
        found: format!("{} found, {asked} ±{} asked", written.fixed(lane.measured, FINE), limit.said()),
        sets: format!("{}° for {}°", fixed(lane.angle_as_built, 2), fixed(lane.angle, 2)),
        move_it,
        of_limit: if lane.limit > 0.0 { (lane.measured - lane.asked) / lane.limit } else { 0.0 },
    }
}

/// The verdict on an angle that was taken on a plate.
fn said_on_plate(lane: &PlateVerdict, tolerance: f64) -> Verdict {
    let passes = lane.within_tolerance;
    Verdict {
        id: format!("{}, on the plate", lane.id),
        passes,
        word: if passes { "passes" } else { "fails" }.into(),
        found: format!(
            "{}° ± {}° found, {}° ± {}° asked",
            fixed(lane.measured_angle, 2),
            fixed(lane.error_uncertainty, 2),
            fixed(lane.angle, 2),
            fixed(tolerance, 2)
        ),
        sets: format!("{}° for {}°", fixed(lane.angle + lane.error, 2), fixed(lane.angle, 2)),
        move_it: String::new(),
        of_limit: lane.error / tolerance,
    }
}
