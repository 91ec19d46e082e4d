//! What measurements of an earlier block or jig change of the fences of a job. All that is made of a corrected job takes
//! its fences from here.

use std::collections::BTreeMap;

use crate::lane::{Correction, Lane};

/// What fences are those of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Of {
    /// The printed block.
    Block,
    /// The wooden jig.
    Jig,
}

impl Of {
    /// The title that corrections of a job bear: an error of making of the one is none of the other.
    pub fn title(self, job: &str) -> String {
        match self {
            Of::Block => job.into(),
            Of::Jig => format!("{job} (wooden jig)"),
        }
    }
}

/// The corrections that a job is made with.
#[derive(Debug, Clone, PartialEq)]
pub struct Corrections {
    /// Name of the file that they were read from, for command lines that are printed.
    pub file: String,
    /// What was measured.
    pub of: Of,
    /// Lane by lane, by their ids.
    pub lanes: BTreeMap<String, Correction>,
}

impl Corrections {
    /// What counts of a lane's correction for `of`: the guide's part moves every fence, an error of making comes again
    /// with the block's file alone.
    fn on(&self, id: &str, of: Of) -> Correction {
        let stated = self.of_lane(id);
        match of {
            Of::Block => stated,
            Of::Jig => Correction { making: 0.0, ..stated },
        }
    }

    /// The correction of a lane as it is stated; none where nothing is.
    pub fn of_lane(&self, id: &str) -> Correction {
        self.lanes.get(id).copied().unwrap_or_default()
    }

    /// Whether test bevels showed anything of the guide.
    pub fn is_of_guide(&self) -> bool {
        self.lanes.values().any(|c| c.guide != 0.0)
    }

    /// Moves the fences of `lanes`, which are those of `of`.
    pub fn apply(&self, lanes: &mut [Lane], of: Of) {
        for lane in lanes {
            lane.correction = self.on(&lane.request.id, of);
        }
    }
}
