//! The record of what the program wrote into a folder: names and SHA-256.

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::io::{self, Read};

use super::existing::{self, There};
use super::folder::Folder;

/// Name of the record.
pub(super) const RECORD: &str = ".stopwright";

/// The largest record that is read, bytes: that of a hundred thousand files.
const LARGEST: u64 = 16 << 20;

/// SHA-256 of the files written into a folder: the latest two of each name.
#[derive(Debug, Default, Clone)]
pub(super) struct Record {
    sums: BTreeMap<String, Vec<String>>,
}

impl Record {
    /// Reads a folder's record; an empty one where there is none.
    ///
    /// # Errors
    /// What the system says; something that is no file, or too large or no text.
    pub(super) fn of(folder: &Folder) -> io::Result<Self> {
        let no_record = |why| io::Error::new(io::ErrorKind::InvalidData, why);
        let file = match existing::at(folder, OsStr::new(RECORD))? {
            There::Nothing => return Ok(Self::default()),
            There::File(file) => file,
            There::Folder | There::Link | There::Other => return Err(no_record("it is no file")),
        };
        let mut text = String::new();
        file.take(LARGEST + 1).read_to_string(&mut text)?;
        if text.len() as u64 > LARGEST {
            return Err(no_record("it is too large for stopwright's record of files"));
        }
        let mut record = Self::default();
        for (sum, name) in text.lines().filter_map(|line| line.split_once("  ")) {
            record.sums.entry(name.to_string()).or_default().push(sum.to_string());
        }
        Ok(record)
    }

    /// Whether the program wrote a file of this name and sum.
    pub(super) fn knows(&self, name: &str, sum: &str) -> bool {
        self.sums.get(name).is_some_and(|sums| sums.iter().any(|s| s == sum))
    }

    /// Adds what is to be written.
    pub(super) fn add(&mut self, name: &str, sum: String) {
        let sums = self.sums.entry(name.to_string()).or_default();
        sums.retain(|s| *s != sum);
        sums.push(sum);
        let surplus = sums.len().saturating_sub(2);
        sums.drain(..surplus);
    }

    /// The names it knows.
    pub(super) fn names(&self) -> impl Iterator<Item = &String> {
        self.sums.keys()
    }

    /// The record as a file.
    pub(super) fn text(&self) -> String {
        let line = |name: &String, s: &String| format!("{s}  {name}\n");
        self.sums.iter().flat_map(|(name, sums)| sums.iter().map(move |s| line(name, s))).collect()
    }
}
