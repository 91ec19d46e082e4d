//! The files of the user, as written: serde types that mirror the JSON, gaps still gaps, units not yet resolved.
//!
//! Each type derives the JSON Schema that its files are checked against, and which `profiles/schema/` publishes.

pub mod builtin;
pub mod guide;
pub mod job;
pub mod tool;

pub use guide::GuideProfile;
pub use job::JobFile;
pub use tool::ToolProfile;

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use crate::input::document::Document;
use crate::input::fault::Faults;
use crate::input::schema;

/// Which of a guide's seats a blade goes in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum SeatName {
    /// The seat for plane irons.
    Iron,
    /// The seat for chisels.
    Chisel,
}

impl SeatName {
    /// The seat's name as files write it.
    pub fn name(self) -> &'static str {
        match self {
            SeatName::Iron => "iron",
            SeatName::Chisel => "chisel",
        }
    }
}

impl std::fmt::Display for SeatName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(self.name())
    }
}

/// The JSON Schema (draft 2020-12) of a file type, as `profiles/schema/` holds it.
pub fn schema_of<T: JsonSchema>() -> serde_json::Value {
    SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<T>().to_value()
}

/// Parses and checks a file of type `T`; nothing of it is trusted before every field has passed.
///
/// # Errors
/// All faults of the text, each with its place.
pub fn read<T: JsonSchema + DeserializeOwned>(source: &str, bytes: &[u8]) -> Result<(Document, T), Faults> {
    let document = Document::parse(source, bytes)?;
    schema::check(&document, &schema_of::<T>())?;
    let value = document.read()?;
    Ok((document, value))
}
