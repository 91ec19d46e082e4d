//! `show`: the side view.

use crate::cli::Said;
use crate::cli::args::ShowArgs;
use crate::cli::failure::Failure;

pub(super) fn show(_args: &ShowArgs) -> Result<Said, Failure> {
    Ok(Said::default())
}
