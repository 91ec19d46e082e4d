//! `picture`: a job's block from any side.

use super::blade::Reader;
use super::make::default_folder;
use crate::cli::args::PictureArgs;
use crate::cli::failure::Failure;
use crate::cli::files::{self, Disk};
use crate::cli::{Said, report};
use stopwright::block::{self, slabs};
use stopwright::drawing::axonometric::Direction;
use stopwright::format::Artifact;
use stopwright::job::Job;
use stopwright::lane::report::left_out_lines;
use stopwright::lanes;
use stopwright::units::{Units, short};

pub(super) fn picture(args: &PictureArgs) -> Result<Said, Failure> {
    let mut reader = Reader::new(Units::Mm);
    let azimuth = reader.degrees("--azimuth", Some(&args.azimuth), [-360.0, 360.0]);
    let elevation = reader.degrees("--elevation", Some(&args.elevation), [-90.0, 90.0]);
    reader.finish()?;
    let from = Direction { azimuth: azimuth.unwrap_or_default(), elevation: elevation.unwrap_or_default() };
    let (source, bytes) = files::document(&args.job)?;
    let job = Job::parse(&source, &bytes, &Disk::beside(&args.job))?;
    let set = lanes::of_job(&job).map_err(Failure::NoLanes)?;
    let (layouts, _) = block::lay_out_all(&job, &set).map_err(Failure::Refused)?;
    let mut artifacts = Vec::new();
    for layout in &layouts {
        let number = layout.number.map_or(String::new(), |[i, _]| format!("-{i}"));
        let name = format!("picture{number}-{}-{}", short(from.azimuth, 2), short(from.elevation, 2));
        let [svg, png] = stopwright::block::files::picture(&slabs::stack_of(layout), &layout.named(), from)?;
        let artifact = |ending: &str, what: &'static str, bytes| Artifact {
            name: format!("{name}.{ending}"),
            what: what.into(),
            bytes,
        };
        artifacts.push(artifact("svg", "how it looks", svg));
        artifacts.push(artifact("png", "the same as pixels", png));
    }
    let folder = args.out.clone().unwrap_or_else(|| default_folder(&args.job));
    let paths = files::write_all(&folder, &artifacts, args.force)?;
    let said = left_out_lines(&set.left_out, job.written) + &report::written(&artifacts, &paths);
    let out = if args.quiet { String::new() } else { said };
    let said = Said::with_warnings(out, left_out_lines(&set.left_out, job.written), !args.quiet);
    Ok(Said { exit_code: report::exit_code(set.left_out.len()), ..said })
}
