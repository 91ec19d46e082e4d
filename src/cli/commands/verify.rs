//! `verify`: a finished block against its job.

use serde_json::json;

use crate::cli::Said;
use crate::cli::args::VerifyArgs;
use crate::cli::failure::Failure;
use crate::cli::files::{self, Disk};
use stopwright::error::chain;
use stopwright::fit;
use stopwright::input::fault::Faults;
use stopwright::jig::board;
use stopwright::job::Job;
use stopwright::lanes;
use stopwright::verify::corrections::Of;
use stopwright::verify::readings::Readings;
use stopwright::verify::verdict::{self, Sheets};
use stopwright::verify::{Rule, angles, corrections, plates, report, stale, wear};

pub(super) fn verify(args: &VerifyArgs) -> Result<Said, Failure> {
    let (source, bytes) = files::document(&args.job)?;
    let mut job = Job::parse(&source, &bytes, &Disk::beside(&args.job))?;
    args.lengths.show(&mut job);
    args.fractions.show(&mut job);
    if args.wood {
        job = job.for_a_jig();
    }
    let written = if args.wood { job.wood.written } else { job.written };
    let lanes = if args.wood { board::lanes(&job) } else { lanes::of_job(&job) };
    let mut set = lanes.map_err(|lanes| Failure::NoLanes(lanes).read_in(written))?;
    let of = if args.wood { Of::Jig } else { Of::Block };
    if let Some(path) = &args.corrections {
        let (source, bytes) = files::document(path)?;
        corrections::apply(&source, &bytes, of, &mut job, &mut set)?;
    }
    let readings = match &args.measured {
        Some(path) => {
            let (source, bytes) = files::document(path)?;
            Readings::parse(&source, &bytes, &set)?
        }
        None => Readings::default(),
    };
    let stale = stale::of_another_state(&job, &readings);
    if let Some(name) = &args.guide {
        let guide = fit::guide::named(name, &Disk::here())?;
        let worn = wear::judge(&set, &readings, &guide, job.tolerance).map_err(|e| {
            Faults::argument("--guide", written.reworded(&chain(&e)), "a guide that the block's lanes can be set with")
        })?;
        let states = [job.fingerprint(), job.fingerprint_with(&guide)];
        let out = if args.json {
            let mut value = json!(worn);
            value["fingerprints"] = json!(states);
            value["of_another_state"] = json!(stale);
            pretty(&value)
        } else {
            let told =
                report::wear(&worn, &wear::taken_as_made(&set, &readings), written) + &stale::measured_anew(&states);
            stale.as_ref().map_or_else(String::new, |warning| format!("{warning}\n")) + &told
        };
        let said = Said::with_warnings(out, warned(stale.as_deref()), !args.json);
        return Ok(Said { exit_code: u8::from(!worn.pass), ..said });
    }
    let rule = if args.guard_band { Rule::Guarded } else { Rule::Simple };
    let judged = verdict::judge(&set, &readings, Sheets::of(&job, of), job.tolerance, rule).map_err(|e| {
        Faults::argument(
            "MEASURED",
            written.reworded(&format!("{e}; {}", e.cause)),
            "the distance from the lane's own edge to its fence",
        )
    })?;
    let plates = plates::judge(&set, &readings, &job.honing, job.tolerance, rule);
    let weighed = angles::weigh(&set, &readings, plates.as_ref());
    let pass = plates::all_pass(&judged, plates.as_ref());
    let mut out = if args.json {
        let mut value = json!(judged);
        value["pass"] = json!(pass);
        value["plates"] = json!(plates);
        value["angles"] = json!(weighed);
        value["fingerprint"] = json!(job.fingerprint());
        value["of_another_state"] = json!(stale);
        pretty(&value)
    } else {
        let told = report::text(&set, &judged, written, plates.as_ref(), weighed.as_ref());
        match &stale {
            Some(warning) => format!("{warning}\n{told}"),
            None => told + &stale::state(&job),
        }
    };
    if let Some(path) = &args.write_corrections {
        if let Some(warning) = stale {
            let found = warning.trim_end().trim_start_matches("Warning: ");
            return Err(Faults::argument("--write-corrections", found, "measurements of a block of this state").into());
        }
        let file = corrections::corrections_from(of, &job, &set, &judged, weighed.as_ref()).map_err(|e| {
            Faults::argument(
                "--write-corrections",
                written.reworded(&e.to_string()),
                "measurements of this job's block",
            )
        })?;
        if file.corrections.is_empty() {
            return Err(Failure::Input(Faults::argument(
                "--write-corrections",
                "no lane that needs a correction",
                match of {
                    Of::Block => "measurements that call for one",
                    Of::Jig => {
                        "angles that show an offset of the guide: a fence that came out off is moved on the jig itself"
                    }
                },
            )));
        }
        files::write_file(path, pretty(&json!(file)).as_bytes(), args.force)?;
        if !args.json {
            out += &report::corrections(&file, &path.display().to_string());
        }
    }
    let said = Said::with_warnings(out, warned(stale.as_deref()), !args.json);
    Ok(Said { exit_code: u8::from(!pass), ..said })
}

/// A warning as a line of its own.
fn warned(stale: Option<&str>) -> String {
    stale.map_or_else(String::new, |words| format!("{}\n", words.trim_end()))
}

fn pretty(value: &serde_json::Value) -> String {
    format!("{value:#}\n")
}
