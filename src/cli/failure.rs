//! Why a command failed, and with which exit code.

use std::path::PathBuf;

use crate::drawing::assembly::TooLarge;
use crate::drawing::tiles::Untileable;
use crate::gauge::Mismeasured;
use crate::input::fault::Faults;
use crate::lane::NoLane;
use crate::layout::Refused;
use crate::solid::NotSound;
use crate::solve::NoSetting;

/// Why a command failed.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// An input has faults.
    #[error("{0}")]
    Input(#[from] Faults),
    /// Geometry has no answer to what was asked.
    #[error("{0}")]
    NoSetting(#[from] NoSetting),
    /// Some lanes have no setting.
    #[error("{}", lines(.0))]
    NoLanes(Vec<NoLane>),
    /// The block cannot be made as asked.
    #[error("no block can be made as asked:\n{0}")]
    Refused(#[from] Refused),
    /// No sheet takes the drawing.
    #[error("{0}")]
    TooLarge(#[from] TooLarge),
    /// The template cannot be cut into tiles.
    #[error("the template: {0}")]
    Untileable(#[from] Untileable),
    /// A file cannot be read or written.
    #[error("{}: cannot {doing}: {cause}", path.display())]
    File {
        /// Which.
        path: PathBuf,
        /// `read` or `write`.
        doing: &'static str,
        /// What the system says.
        cause: std::io::Error,
    },
    /// A file that the program did not write, or that was changed since, stands in the way.
    #[error("{}: not written, as {what} (--force replaces it)", path.display())]
    InTheWay {
        /// Which.
        path: PathBuf,
        /// What is there.
        what: &'static str,
    },
    /// A profile was to be written, and the fit is not whole.
    #[error(
        "{}: not written, as the fitted profile lacks {lacks}; the fit without --out says what is missing",
        path.display()
    )]
    NotWhole {
        /// Where to.
        path: PathBuf,
        /// Which fields.
        lacks: String,
    },
    /// The solid failed its checks.
    #[error("fault of the program, nothing was written: {0}")]
    NotSound(#[from] NotSound),
    /// The written STL failed its measurement.
    #[error("fault of the program, nothing was written: {0}")]
    Mismeasured(#[from] Mismeasured),
    /// Something else the program did wrong.
    #[error("fault of the program, nothing was written: {0}")]
    Program(String),
}

fn lines(all: &[NoLane]) -> String {
    all.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

impl Failure {
    /// 1 for a fault of the program, 2 for everything the user can mend.
    pub fn exit_code(&self) -> u8 {
        match self {
            Failure::NotSound(_) | Failure::Mismeasured(_) | Failure::Program(_) => 1,
            _ => 2,
        }
    }
}
