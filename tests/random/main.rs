//! Random jobs without end: what is made of each is held against independent readers, and what is refused is mended by
//! what the refusal says until it is made.
//!
//!     cargo run --release --example random -- FIRST COUNT
//!
//! The number of a job gives all of it, so that a run is gone on with by the number it ended before, and a finding is
//! looked at again by its own: `FIRST` is that number, and `COUNT` is 1. Says every finding with its job; exit code 1 if
//! there is any.

mod guides;
mod jobs;
mod mending;
mod readers;

use std::num::NonZeroUsize;
use std::ops::Range;
use std::panic::{self, AssertUnwindSafe};
use std::process::ExitCode;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};
use std::thread;
use std::time::Instant;

use serde_json::Value;
use stopwright::format::{ArtifactKind, Wanted};
use stopwright::job::Job;
use stopwright::make::{self, Made, NotMade};

use guides::{FILE, Own};

/// Jobs between two lines that say how far it is.
const PART: u64 = 1000;

/// The files that are read here.
const READ: [ArtifactKind; 2] = [ArtifactKind::Stl, ArtifactKind::Drawing];

/// One job in so many is made with every file; the others with those that are read here, which takes half as long.
const WHOLE: u64 = 8;

/// One job in so many has the sheets of its wooden jig drawn too.
const JIG: u64 = 4;

/// What became of a job.
enum Outcome {
    Made,
    /// Refused, and made after what each refusal said.
    Mended,
    /// The same, but for lanes that two limits of their own leave no angle.
    LeftOut,
    Finding(String),
}

fn main() -> ExitCode {
    let numbers: Vec<u64> = std::env::args().skip(1).filter_map(|text| text.parse().ok()).collect();
    let [first, count] = numbers[..] else {
        eprintln!("error: the number of the first job and how many are to be said");
        return ExitCode::from(2);
    };
    // Panics are findings, told with their job.
    panic::set_hook(Box::new(|_| {}));
    let start = Instant::now();
    let [mut made, mut mended, mut left_out, mut findings] = [0_u64; 4];
    let mut at = first;
    while at < first + count {
        let end = (at + PART).min(first + count);
        for (number, outcome) in all_tried(at..end) {
            match outcome {
                Outcome::Made => made += 1,
                Outcome::Mended => mended += 1,
                Outcome::LeftOut => left_out += 1,
                Outcome::Finding(what) => {
                    findings += 1;
                    println!("finding: job {number}: {what}\n{}", jobs::job(number));
                }
            }
        }
        at = end;
        println!(
            "{} jobs in {:.0} s: {made} made, {mended} refused and mended, {left_out} refused and mended but for lanes without an angle, {findings} findings; next: {at}",
            at - first,
            start.elapsed().as_secs_f64()
        );
    }
    ExitCode::from(u8::from(findings > 0))
}

/// What became of some jobs, by their numbers; on all cores, each of them with the stack that a job has in the program.
fn all_tried(numbers: Range<u64>) -> Vec<(u64, Outcome)> {
    let hands = thread::available_parallelism().map_or(1, NonZeroUsize::get);
    let next = AtomicU64::new(numbers.start);
    let done = Mutex::new(Vec::new());
    let work = || {
        loop {
            let number = next.fetch_add(1, Ordering::Relaxed);
            if number >= numbers.end {
                return;
            }
            let outcome = tried(number);
            done.lock().unwrap_or_else(PoisonError::into_inner).push((number, outcome));
        }
    };
    thread::scope(|scope| {
        for _ in 0..hands {
            if thread::Builder::new().stack_size(8 << 20).spawn_scoped(scope, work).is_err() {
                work();
            }
        }
    });
    let mut done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    done.sort_by_key(|(number, _)| *number);
    done
}

/// Makes a job and looks at what came of it; a panic is a finding.
fn tried(number: u64) -> Outcome {
    let outcome = panic::catch_unwind(AssertUnwindSafe(|| outcome(number, jobs::job(number))));
    outcome.unwrap_or_else(|cause| {
        let said = cause.downcast_ref::<String>().cloned();
        Outcome::Finding(format!("panic: {}", said.unwrap_or_else(|| "no reason given".into())))
    })
}

fn outcome(number: u64, mut value: Value) -> Outcome {
    let wanted = if number.is_multiple_of(WHOLE) { Wanted::everything() } else { Wanted::only(&READ) };
    let mut left_out = false;
    for mends in 0..=mending::MOST {
        let refusal = match made(&value, wanted) {
            Ok((job, made)) => {
                return match readers::faults(&job, &made, number.is_multiple_of(JIG)) {
                    Ok(()) if mends == 0 => Outcome::Made,
                    Ok(()) if left_out => Outcome::LeftOut,
                    Ok(()) => Outcome::Mended,
                    Err(fault) if mends == 0 => Outcome::Finding(fault),
                    Err(fault) => Outcome::Finding(format!("{fault}, of the mended job\n{value}")),
                };
            }
            Err(refusal) => refusal,
        };
        let before = value.clone();
        mending::mend(&mut value, &refusal);
        // A lane whose limits chase each other is left out, as a reader would.
        if mends % mending::PATIENCE == mending::PATIENCE - 1 {
            left_out |= mending::leave_out(&mut value, &refusal);
        }
        if mending::is_empty(&value) {
            return Outcome::LeftOut;
        }
        if value == before {
            return Outcome::Finding(format!("a refusal that says no limit: {refusal}"));
        }
    }
    let last = made(&value, wanted).err().unwrap_or_default();
    Outcome::Finding(format!("still refused after {} mends: {last}\n{value}", mending::MOST))
}

fn made(value: &Value, wanted: Wanted) -> Result<(Job, Made), String> {
    let mut file = value.clone();
    let own = Own(file["guide"].take());
    file["guide"] = if own.0.is_object() { FILE.into() } else { own.0.clone() };
    let job = Job::parse("job.json", file.to_string().as_bytes(), &own).map_err(|faults| faults.to_string())?;
    match make::make(&job, wanted, &()) {
        Ok(made) => Ok((job, made)),
        Err(refusal @ (NotMade::NoLanes(_) | NotMade::Block(_) | NotMade::Jig(_) | NotMade::Gauges(_))) => {
            Err(refusal.to_string())
        }
        Err(NotMade::NotWritten(fault)) => panic!("not written: {}", stopwright::error::chain(&fault)),
    }
}
