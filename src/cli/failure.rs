//! Why a command failed, and with which exit code.

use std::path::PathBuf;

use crate::block::check::Mismeasured;
use crate::drawing::tiles::Untileable;
use crate::input::fault::Faults;
use crate::lane::NoLane;
use crate::layout::Refused;
use crate::solid::NotSound;
use crate::solve::NoSetting;
use crate::stones::bevel::NoBevel;
use crate::stones::camber::NoCamber;
use crate::stones::camber::strokes::NoPlan;
use crate::views::assembly::TooLarge;

/// Why a command failed.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// An input has faults.
    #[error("{0}")]
    Input(#[from] Faults),
    /// Geometry has no answer to what was asked.
    #[error("{0}")]
    NoSetting(#[from] NoSetting),
    /// A bevel has no answer to what was asked.
    #[error("{0}")]
    NoBevel(#[from] NoBevel),
    /// There is no such camber.
    #[error("{0}")]
    NoCamber(#[from] NoCamber),
    /// No strokes make the camber.
    #[error("{0}")]
    NoPlan(#[from] NoPlan),
    /// Some lanes have no setting.
    #[error("{}", lines(.0))]
    NoLanes(Vec<NoLane>),
    /// The block cannot be made as asked.
    #[error("no block can be made as asked:\n{0}")]
    Refused(#[from] Refused),
    /// Gauges cannot be made as asked.
    #[error("{0}")]
    NoGauges(#[from] crate::gauges::Refused),
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
    /// A folder where a file is needed.
    #[error("{}: it is a folder, and a file is needed; all files in it: {}", path.display(), path.join("*.json").display())]
    Folder {
        /// Which.
        path: PathBuf,
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
    /// An interrupt came before anything was written.
    #[error("interrupted: nothing was written")]
    Interrupted {
        /// The exit code that tells which.
        exit_code: u8,
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
    /// 1 for a fault of the program, 2 for everything the user can mend, more than 128 for an interrupt.
    pub fn exit_code(&self) -> u8 {
        match self {
            Failure::Interrupted { exit_code } => *exit_code,
            Failure::NotSound(_) | Failure::Mismeasured(_) | Failure::Program(_) => 1,
            _ => 2,
        }
    }
}
