//! A file to be written.

/// A file to be written: its name and bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Artifact {
    /// Name within the job's folder.
    pub name: String,
    /// What it is, in a few words.
    pub what: &'static str,
    /// Content.
    pub bytes: Vec<u8>,
}
