//! What is asked.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::bench::Bench;
use crate::units::Units;

/// What is on the bench, and what is wanted of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(rename = "Stopwright request")]
pub struct Request {
    /// What is on the bench.
    #[serde(default)]
    pub bench: Bench,
    /// What is wanted.
    pub want: Want,
}

/// What is wanted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub enum Want {
    /// What a page begins with.
    Start,
    /// The guide and what it sets.
    Guide,
    /// The blades and what is advised of them.
    Blades,
    /// The plan, the table, the refusals, and one lane from the side.
    Block {
        /// Id of that lane; the first where it is none of the lanes.
        #[serde(default)]
        lane: Option<String>,
    },
    /// A printed block as a model.
    Model {
        /// Which of the blocks, from 0.
        #[serde(default)]
        block: usize,
    },
    /// The same as a picture from one side, for whoever cannot show a model.
    Picture {
        /// Which of the blocks, from 0.
        #[serde(default)]
        block: usize,
    },
    /// Files.
    Files {
        /// Their kinds; none for everything that the job asks for.
        #[serde(default)]
        kinds: Vec<String>,
        /// Whether they come as one ZIP.
        #[serde(default)]
        zipped: bool,
        /// Whether the fences are corrected by what was measured.
        #[serde(default)]
        corrected: bool,
    },
    /// What was measured against what was wanted.
    Proof,
    /// What is done at the stones.
    Stones,
    /// A line in the log, and the log.
    Record {
        /// The day, as in 2026-11-28.
        day: String,
        /// The blade.
        blade: String,
        /// Strokes that were counted: a grade and how many.
        #[serde(default)]
        strokes: Vec<(String, u32)>,
    },
    /// The bench with a file that is opened.
    Open {
        /// Its name.
        name: String,
        /// Its text.
        text: String,
    },
    /// The bench with another unit of bare lengths; what was typed before keeps its own, which is written to it.
    Units(Units),
    /// The bench as one file.
    Save,
    /// The licences of what the program is made with.
    Notices,
}
