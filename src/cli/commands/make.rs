//! `make` and `block`.

use std::path::{Path, PathBuf};

use crate::cli::args::MakeArgs;
use crate::cli::failure::Failure;
use crate::cli::files::{self, Disk};
use crate::cli::{Said, report};
use crate::job::Job;
use crate::lane;
use crate::make::{self, NotMade, Wanted};
use crate::verify::corrections;

pub(super) fn make(args: &MakeArgs, wanted: Wanted) -> Result<Said, Failure> {
    let bytes = files::read(&args.job)?;
    let job = Job::parse(&args.job.display().to_string(), &bytes, &Disk::beside(&args.job))?;
    let made = match &args.corrections {
        None => make::make(&job, wanted)?,
        Some(path) => {
            let mut set = lane::of_job(&job).map_err(Failure::NoLanes)?;
            corrections::apply(&path.display().to_string(), &files::read(path)?, &job.title, &mut set)?;
            make::make_of(&job, set, wanted)?
        }
    };
    let folder = args.output.out.clone().unwrap_or_else(|| default_folder(&args.job));
    let paths = files::write_all(&folder, &made.artifacts, args.output.force)?;
    let out = match (args.output.quiet, args.output.json) {
        (true, _) => String::new(),
        (_, true) => report::made_json(&made, &folder, &paths),
        _ => report::made(&job.title, &made, &paths),
    };
    Ok(Said {
        out,
        notes: if args.output.timings { report::timings(&made.timings) } else { String::new() },
        failed: false,
    })
}

/// `out/<job name>` in the folder the program was called from.
pub(super) fn default_folder(job: &Path) -> PathBuf {
    Path::new("out").join(job.file_stem().unwrap_or(job.as_os_str()))
}

impl From<NotMade> for Failure {
    fn from(cause: NotMade) -> Self {
        match cause {
            NotMade::NoLanes(lanes) => Failure::NoLanes(lanes),
            NotMade::Refused(refused) => Failure::Refused(refused),
            NotMade::NotSound(e) => Failure::NotSound(e),
            NotMade::Mismeasured(e) => Failure::Mismeasured(e),
            NotMade::TooLarge(e) => Failure::TooLarge(e),
            NotMade::Untileable(e) => Failure::Untileable(e),
            NotMade::NotWritten { .. } => Failure::Program(cause.to_string()),
        }
    }
}
