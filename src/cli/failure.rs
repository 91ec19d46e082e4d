//! Why a command failed, and with which exit code.

use std::error::Error;
use std::path::PathBuf;

use stopwright::class::NoClass;
use stopwright::format::NotWritten;
use stopwright::input::fault::Faults;
use stopwright::jig::sheets::NotDrawn;
use stopwright::lane::NoLane;
use stopwright::layout::Refused;
use stopwright::solve::NoSetting;
use stopwright::stones::bevel::NoBevel;
use stopwright::stones::camber::NoCamber;
use stopwright::stones::camber::strokes::NoPlan;
use stopwright::units::Written;
use stopwright::views::assembly::TooLarge;
use stopwright::{block, error, gauges, jig, make, testpiece};

/// The exit code of a fault of the program: the number that `sysexits.h` has for one.
pub const PROGRAM: u8 = 70;

/// Why a command failed.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// An input has faults.
    #[error(transparent)]
    Input(#[from] Faults),
    /// Geometry has no answer to what was asked.
    #[error(transparent)]
    NoSetting(#[from] NoSetting),
    /// A bevel has no answer to what was asked.
    #[error(transparent)]
    NoBevel(#[from] NoBevel),
    /// There is no such camber.
    #[error(transparent)]
    NoCamber(#[from] NoCamber),
    /// No strokes make the camber.
    #[error(transparent)]
    NoPlan(#[from] NoPlan),
    /// Some lanes have no setting.
    #[error("{}", error::lines(.0))]
    NoLanes(Vec<NoLane>),
    /// The block cannot be made as asked.
    #[error("no block can be made as asked")]
    Refused(#[from] Refused),
    /// Gauges cannot be made as asked.
    #[error(transparent)]
    NoGauges(#[from] gauges::Refused),
    /// A class has no blocks as asked.
    #[error(transparent)]
    NoClass(NoClass),
    /// No sheet takes the block's drawing.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
    /// The jig's sheets cannot be drawn.
    #[error(transparent)]
    NotDrawn(#[from] NotDrawn),
    /// One of those, whose lengths are told as its reader takes them.
    #[error("{}", written.reworded(&cause.to_string()))]
    Told {
        /// What it is.
        cause: Box<Failure>,
        /// How they are.
        written: Written,
    },
    /// A file cannot be read or written.
    #[error("{}: cannot {doing}", path.display())]
    File {
        /// Which.
        path: PathBuf,
        /// `read` or `write`.
        doing: &'static str,
        /// What the system says.
        #[source]
        cause: std::io::Error,
    },
    /// A file that is not there.
    #[error("{}: there is no such file. {}", path.display(), match near {
        Some(near) => format!("Did you mean \"{}\"?", near.display()),
        None => "Check its name and its folder.".into(),
    })]
    Missing {
        /// Which.
        path: PathBuf,
        /// One that is there and has a name like it.
        near: Option<PathBuf>,
    },
    /// A file in a folder that is not there.
    #[error("{}: there is no folder \"{}\". Make it first, or check its name.", path.display(), folder.display())]
    NoFolder {
        /// Which file.
        path: PathBuf,
        /// The folder.
        folder: PathBuf,
    },
    /// A folder where a file is needed.
    #[error("{} is a folder. Name a job file, or use {} for all of them.", path.display(), path.join("*.json").display())]
    Folder {
        /// Which.
        path: PathBuf,
    },
    /// A file that the program did not write, or that was changed since, stands in the way.
    #[error("{} was left alone: {what}.", path.display())]
    InTheWay {
        /// Which.
        path: PathBuf,
        /// What is there.
        what: &'static str,
    },
    /// Another run works there, and does not come to an end.
    #[error("{}: waited {seconds} s for {holder}, which writes there. Nothing was written; try again when it is done.", path.display())]
    Busy {
        /// Where.
        path: PathBuf,
        /// Who, as far as it is known.
        holder: String,
        /// How long it was waited for.
        seconds: u64,
    },
    /// Writing failed midway, and what was replaced by then cannot be put back.
    #[error(
        "{}: cannot write, and not everything could be put back. New: {}. As before: {}",
        path.display(),
        listed(new.iter().map(told_stuck)),
        listed(old.iter().map(|path| path.display().to_string()))
    )]
    Torn {
        /// The file at which it failed.
        path: PathBuf,
        /// The files that are new.
        new: Vec<Stuck>,
        /// The files that are as before.
        old: Vec<PathBuf>,
        /// What the system says.
        #[source]
        cause: std::io::Error,
    },
    /// A profile was to be written, and the fit is not whole.
    #[error(
        "{} was not written: the fitted profile lacks {lacks}. Run fit without --out to see what to measure.",
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
    /// Something that the program did wrong.
    #[error("Internal error: this is a bug in stopwright, not your file. Nothing was written")]
    Program(#[source] Box<dyn Error + Send + Sync>),
}

fn listed(files: impl Iterator<Item = String>) -> String {
    let files: Vec<String> = files.collect();
    if files.is_empty() { "none".into() } else { files.join(", ") }
}

/// A new file whose old one could not be put back.
#[derive(Debug)]
pub struct Stuck {
    /// The file.
    pub path: PathBuf,
    /// Where the old one is, so that nothing is lost; `None` where there was none.
    pub old: Option<PathBuf>,
}

fn told_stuck(stuck: &Stuck) -> String {
    let old = stuck.old.as_ref().map(|old| format!(" (the old one is {})", old.display()));
    format!("{}{}", stuck.path.display(), old.unwrap_or_default())
}

impl Failure {
    /// 70 for a fault of the program (the number that `sysexits.h` has for one), 2 for everything the user can mend, more than 128 for an interrupt.
    pub fn exit_code(&self) -> u8 {
        match self {
            Failure::Interrupted { exit_code } => *exit_code,
            Failure::Program(_) => PROGRAM,
            Failure::Told { cause, .. } => cause.exit_code(),
            _ => 2,
        }
    }

    /// The same with its lengths told as its reader takes them.
    pub fn read_in(self, written: Written) -> Self {
        match self {
            Failure::NoSetting(_)
            | Failure::NoBevel(_)
            | Failure::NoCamber(_)
            | Failure::NoPlan(_)
            | Failure::NoLanes(_)
            | Failure::Refused(_)
            | Failure::NoGauges(_)
            | Failure::NoClass(_)
            | Failure::NotDrawn(_) => Failure::Told { cause: Box::new(self), written },
            _ => self,
        }
    }

    /// What is said of it: the failure and its causes.
    pub fn told(&self) -> String {
        match self {
            // Refusals are a list.
            Failure::Refused(refusals) => format!("{self}:\n{refusals}"),
            Failure::Told { cause, written } => written.reworded(&cause.told()),
            _ => error::chain(self),
        }
    }
}

impl From<block::files::NotMade> for Failure {
    fn from(cause: block::files::NotMade) -> Self {
        use block::files::NotMade;
        match cause {
            NotMade::Refused(refused) => refused.into(),
            NotMade::TooLarge(cause) => cause.into(),
            NotMade::NotSound(_) | NotMade::Mismeasured(_) | NotMade::NotWritten(_) => Failure::Program(cause.into()),
        }
    }
}

impl From<jig::files::NotMade> for Failure {
    fn from(cause: jig::files::NotMade) -> Self {
        use jig::files::NotMade;
        match cause {
            NotMade::NoLanes(lanes) => Failure::NoLanes(lanes),
            NotMade::Refused(refused) => refused.into(),
            NotMade::NotDrawn(cause) => cause.into(),
            NotMade::NotWritten(_) => Failure::Program(cause.into()),
        }
    }
}

impl From<gauges::files::NotMade> for Failure {
    fn from(cause: gauges::files::NotMade) -> Self {
        match cause {
            gauges::files::NotMade::Refused(refused) => refused.into(),
            _ => Failure::Program(cause.into()),
        }
    }
}

impl From<NoClass> for Failure {
    fn from(cause: NoClass) -> Self {
        match cause {
            NoClass::NoLanes(lanes) => Failure::NoLanes(lanes),
            NoClass::Refused(refused) => refused.into(),
            _ => Failure::NoClass(cause),
        }
    }
}

impl From<testpiece::files::NotMade> for Failure {
    fn from(cause: testpiece::files::NotMade) -> Self {
        Failure::Program(cause.into())
    }
}

impl From<NotWritten> for Failure {
    fn from(cause: NotWritten) -> Self {
        Failure::Program(cause.into())
    }
}

impl From<make::NotMade> for Failure {
    fn from(cause: make::NotMade) -> Self {
        match cause {
            make::NotMade::NoLanes(lanes) => Failure::NoLanes(lanes),
            make::NotMade::Block(cause) => cause.into(),
            make::NotMade::Jig(cause) => cause.into(),
            make::NotMade::Gauges(cause) => cause.into(),
            make::NotMade::NotWritten(cause) => cause.into(),
        }
    }
}
