//! The entries of a log, read and written.

use foldhash::{HashMap, HashMapExt, HashSet};

use super::Day;
use super::day::NoDay;
use crate::input::fault::Faults;
use crate::input::length::{Amount, LengthForm};
use crate::input::schema::MOST_SHOWN;
use crate::kit::Kit;
use crate::profile;
use crate::profile::fields::Fields;
use crate::profile::log::{EntryFile, LogFile, StrokesFile};
use crate::stones::grits::Grade;
use crate::terms::Done;

/// One thing done to one blade.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The day.
    pub day: Day,
    /// The blade.
    pub blade: String,
    /// What was done.
    pub what: Done,
    /// Width of the micro-bevel after it, mm.
    pub micro_width: Option<f64>,
    /// Strokes that it took, by grade; none where nobody counted.
    pub strokes: Vec<(Grade, u32)>,
    /// Anything worth knowing.
    pub note: Option<String>,
}

/// A log as it was written, and what it says.
#[derive(Debug, Clone, PartialEq)]
pub struct Log {
    file: LogFile,
    /// The entries, in the order in which they were written down.
    pub entries: Vec<Entry>,
}

impl Log {
    /// An empty log of a kit.
    pub fn new(kit: &Kit) -> Self {
        let file = LogFile { format: 1, kit: kit.title.clone(), units: kit.units, entries: Vec::new() };
        Self { file, entries: Vec::new() }
    }

    /// Reads the log of `kit`.
    ///
    /// # Errors
    /// All faults: of the form, days that are none, blades that the kit does not have, another kit's log; of a great many
    /// the first hundred.
    pub fn parse(source: &str, bytes: &[u8], kit: &Kit) -> Result<Self, Faults> {
        let read = profile::read::<LogFile>(source, bytes)?;
        let mut fields = Fields::of(&read, read.value.units);
        if read.value.kit != kit.title {
            fields.fault(&["kit"], format!("the log of \"{}\"", read.value.kit), format!("that of \"{}\"", kit.title));
        }
        let names: HashSet<&str> = kit.names().collect();
        let mut entries = Vec::with_capacity(read.value.entries.len());
        for (i, entry) in read.value.entries.iter().enumerate() {
            let index = i.to_string();
            let day = Day::parse(&entry.date);
            if let Err(NoDay(found)) = &day {
                fields.fault(&["entries", &index, "date"], format!("\"{found}\""), NoDay::ALLOWED);
            }
            if !names.contains(entry.blade.as_str()) {
                fields.unknown(&["entries", &index, "blade"], &entry.blade, kit.names());
            }
            let width = fields.mm(&["entries", &index, "micro_width"], entry.micro_width.as_ref());
            let mut strokes = Vec::new();
            for (j, counted) in entry.strokes.iter().flatten().enumerate() {
                match counted.grade.parse::<Grade>() {
                    Ok(grade) => strokes.push((grade, counted.count)),
                    Err(e) => {
                        let at = ["entries", &index, "strokes", &j.to_string(), "grade"];
                        fields.add(&at, |field| e.fault(field));
                    }
                }
            }
            if fields.faults.0.len() >= MOST_SHOWN {
                break;
            }
            let Ok(day) = day else { continue };
            entries.push(Entry {
                day,
                blade: entry.blade.clone(),
                what: entry.what,
                micro_width: width,
                strokes,
                note: entry.note.clone(),
            });
        }
        let file = read.value.clone();
        fields.finish()?;
        Ok(Self { file, entries })
    }

    /// The entries by day, those of one day in the order in which they were written down.
    pub fn in_time(&self) -> Vec<&Entry> {
        let mut all: Vec<&Entry> = self.entries.iter().collect();
        all.sort_by_key(|e| e.day);
        all
    }

    /// What was counted of strokes.
    pub fn counts(&self) -> Counts<'_> {
        let mut of: HashMap<&str, Vec<&(Grade, u32)>> = HashMap::new();
        for entry in self.entries.iter().filter(|entry| !entry.strokes.is_empty()) {
            of.entry(&entry.blade).or_default().extend(&entry.strokes);
        }
        Counts(of)
    }

    /// Adds an entry; what was written before stays as it is.
    pub fn add(&mut self, entry: Entry) {
        let width = entry.micro_width.map(|mm| self.file.units.of(mm));
        self.file.entries.push(EntryFile {
            date: entry.day.to_string(),
            blade: entry.blade.clone(),
            what: entry.what,
            micro_width: width.map(|w| LengthForm::Plain(Amount::Number(w))),
            strokes: (!entry.strokes.is_empty()).then(|| entry.strokes.iter().map(as_file).collect()),
            note: entry.note.clone(),
        });
        self.entries.push(entry);
    }

    /// Takes out the entry that was written down last, and gives it; `None` where there is none.
    pub fn undo(&mut self) -> Option<Entry> {
        self.file.entries.pop();
        self.entries.pop()
    }

    /// The log as a file.
    ///
    /// # Errors
    /// Those of the writer of JSON.
    pub fn text(&self) -> Result<String, serde_json::Error> {
        serde_json::to_string_pretty(&self.file).map(|text| text + "\n")
    }
}

/// Strokes that were counted, by blade.
#[derive(Debug, Clone)]
pub struct Counts<'a>(HashMap<&'a str, Vec<&'a (Grade, u32)>>);

impl Counts<'_> {
    /// How many strokes a grade takes on a blade: the mean of what was counted, to the nearest whole one; `None` where
    /// nobody counted.
    pub fn usual(&self, blade: &str, grade: &Grade) -> Option<u32> {
        let of_grade = self.0.get(blade)?.iter().filter(|(g, _)| g == grade);
        let counts: Vec<f64> = of_grade.map(|(_, count)| f64::from(*count)).collect();
        (!counts.is_empty()).then(|| (counts.iter().sum::<f64>() / counts.len() as f64).round() as u32)
    }
}

fn as_file((grade, count): &(Grade, u32)) -> StrokesFile {
    StrokesFile { grade: grade.to_string(), count: *count }
}
