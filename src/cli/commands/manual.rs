//! `manual`: the manual pages, as files.

use crate::cli::args::ManualArgs;
use crate::cli::failure::Failure;
use crate::cli::{Said, files, help};

pub(super) fn manual(args: &ManualArgs) -> Result<Said, Failure> {
    let pages = help::manual().map_err(|e| Failure::Program(e.into()))?;
    let paths = files::write_all(&args.out, &pages, args.force)?;
    let out =
        format!("{} manual pages are in {}.\nRead one: man {}\n", paths.len(), args.out.display(), paths[0].display());
    Ok(Said { out, ..Said::default() })
}
