//! `make` and `block`.

mod several;

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::cli::args::MakeArgs;
use crate::cli::batch::Turn;
use crate::cli::clock::{Clock, Timings};
use crate::cli::failure::Failure;
use crate::cli::files::{self, Disk, Early};
use crate::cli::{Said, batch, interrupt, progress, report};
use stopwright::format::names::file_name;
use stopwright::format::{Artifact, ArtifactKind, Wanted};
use stopwright::input::fault::Faults;
use stopwright::job::Job;
use stopwright::lanes;
use stopwright::make::{self, Made};
use stopwright::stages::{Count, Stages};
use stopwright::verify::corrections::{self, Of};

/// What is to be made of every job.
#[derive(Debug, Clone, Copy)]
pub(super) struct Order {
    /// The kinds of artifacts.
    pub wanted: Wanted,
    /// Whether they were named one by one: the wooden jig is then made for jobs too that do not ask for it, and what a
    /// job does not have is refused.
    pub named: bool,
}

impl Order {
    /// Refuses what was named and the job does not have.
    fn possible(self, job: &Job) -> Result<(), Faults> {
        let has = |kind: &ArtifactKind| job.kit.is_some() || !kind.is_of_kits();
        let names = |kinds: Vec<ArtifactKind>| kinds.iter().map(|k| k.name()).collect::<Vec<_>>().join(", ");
        let all = || ArtifactKind::ALL.into_iter();
        let missing: Vec<ArtifactKind> = all().filter(|kind| self.wanted.has(*kind) && !has(kind)).collect();
        if !self.named || missing.is_empty() {
            return Ok(());
        }
        let found = format!("{}, which only a job with a \"kit\" has", names(missing));
        Err(Faults::argument("--only", found, format!("of this job {}", names(all().filter(has).collect()))))
    }
}

pub(super) fn make(args: &MakeArgs, order: Order) -> Result<Said, Failure> {
    let _held = interrupt::hold();
    let [job] = args.job.as_slice() else { return several::make(args, order) };
    let _shown = progress::begin(args.output.reports());
    let folder = args.output.out.clone().unwrap_or_else(|| default_folder(job));
    let theirs = Arc::new(args.clone());
    let items = vec![(job.clone(), folder.clone())];
    let mut done = batch::run(items, None, move |(job, folder), turn| one(&theirs, order, job, folder, turn));
    let done = done.pop().unwrap_or_else(|| Err(Failure::Program("no job was begun".into())))?;
    let out = match (args.output.quiet, args.output.json) {
        (true, _) => String::new(),
        (_, true) => format!("{:#}\n", report::made_json(&done.job, &done.made, &folder, &done.paths)),
        _ => report::made(&done.job, &done.made, &folder, &done.paths, args.output.details),
    };
    let reports = args.output.reports();
    let mut said = Said::with_warnings(out, report::warnings_of(&done.job, &done.made), reports);
    if args.output.timings {
        said.notes += &report::timings(&done.timings);
    }
    Ok(Said { exit_code: report::exit_code(report::left_out(&done.made)), ..said })
}

/// A job that was made and written.
struct Done {
    job: Job,
    made: Made,
    paths: Vec<PathBuf>,
    timings: Timings,
}

/// Makes one job; an interrupt that comes before it is written leaves nothing of it.
fn one(args: &MakeArgs, order: Order, job: &Path, folder: &Path, turn: &Turn<'_>) -> Result<Done, Failure> {
    interrupt::check()?;
    let (source, bytes) = files::document(job)?;
    let mut job = Job::parse(&source, &bytes, &Disk::beside(job))?;
    order.possible(&job)?;
    job.asks_for_wood |= order.named && order.wanted.has(ArtifactKind::Wood);
    job.strict = args.strict;
    args.lengths.show(&mut job);
    args.fractions.show(&mut job);
    let written = job.written;
    made(args, order, job, folder, turn).map_err(|failure| failure.read_in(written))
}

/// Times the stages, and writes large files as they are made.
struct Listening {
    clock: Clock,
    early: Early,
}

impl Stages for Listening {
    fn begin(&self) {
        self.clock.begin();
    }

    fn end(&self, stage: &'static str) {
        self.clock.end(stage);
    }

    fn done(&self, count: Count) {
        self.clock.done(count);
    }

    fn file(&self, artifact: &mut Artifact) {
        self.early.take(artifact);
    }
}

fn made(args: &MakeArgs, order: Order, mut job: Job, folder: &Path, turn: &Turn<'_>) -> Result<Done, Failure> {
    let clock = Clock::start();
    let listening = Listening { clock, early: Early::of(folder) };
    let made = match &args.corrections {
        None => make::make(&job, order.wanted, &listening)?,
        Some(path) => {
            let mut set = lanes::of_job(&job).map_err(Failure::NoLanes)?;
            let (source, bytes) = files::document(path)?;
            corrections::apply(&source, &bytes, Of::Block, &mut job, &mut set)?;
            listening.begin();
            make::make_of(&job, set, order.wanted, &listening)?
        }
    };
    let Listening { clock, early } = listening;
    let paths = files::write_all_when(folder, &made.artifacts, early, args.output.force, || turn.write())?;
    Ok(Done { job, made, paths, timings: clock.timings() })
}

/// `out/<job name>` in the folder the program was called from.
pub(super) fn default_folder(job: &Path) -> PathBuf {
    Path::new("out").join(name(job))
}

/// The job's name: that of its file, without the ending; where that leads elsewhere, as of `...json`, or hides, one that does not.
fn name(job: &Path) -> OsString {
    let stem = job.file_stem().unwrap_or(job.as_os_str());
    match files::is_standard_input(job) {
        true => "job".into(),
        false if files::is_name(stem) && !stem.as_encoded_bytes().starts_with(b".") => stem.into(),
        false => file_name(&stem.to_string_lossy()).into(),
    }
}
