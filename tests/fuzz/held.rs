//! What every reader is held to: a value in its stated ranges, or faults that can be shown; and what the program writes
//! of a value is read again as the same.

use std::fmt::Debug;

use serde::Serialize;
use stopwright::guide::named::{NoFiles, Sources};
use stopwright::input::fault::Faults;
use stopwright::input::length::{Angle, Length};
use stopwright::lane::Lane;
use stopwright::profile::{self, FileKind};

/// A file, and what stands after its first zero byte: the one that it refers to.
pub fn split(text: &[u8]) -> (&[u8], Option<&[u8]>) {
    let mut files = text.splitn(2, |b| *b == 0);
    (files.next().unwrap_or_default(), files.next())
}

/// The one file that every path leads to, but for a log, which nobody has kept.
pub struct Beside<'a>(pub Option<&'a [u8]>);

impl Sources for Beside<'_> {
    fn load(&self, path: &str) -> Result<(String, Vec<u8>), String> {
        let one = self.0.filter(|_| !path.ends_with("-log.json"));
        one.map_or_else(|| NoFiles.load(path), |bytes| Ok((path.into(), bytes.to_vec())))
    }
}

/// The value, or `None` after a look at the faults.
pub fn sound<T>(read: Result<T, Faults>) -> Option<T> {
    read.map_err(|faults| {
        assert!(!faults.0.is_empty());
        for fault in &faults.0 {
            let advice = fault.mend.as_ref().unwrap_or(&fault.allowed);
            assert!(!fault.found.is_empty() && !advice.is_empty(), "{fault:?}");
            assert!(plain(&fault.to_string()), "{:?}", fault.to_string());
            // The schema must refuse whatever the type does not take.
            assert_ne!(fault.allowed, "a value of the documented form", "{fault}");
        }
    })
    .ok()
}

/// Whether it is one line that a terminal can show.
pub fn plain(words: &str) -> bool {
    !words.is_empty() && !words.chars().any(char::is_control)
}

/// Whether it is lines that a terminal can show.
pub fn lines(words: &str) -> bool {
    words.lines().all(|line| line.is_empty() || plain(line))
}

/// What the program writes of a file without faults, after seeing that it is read as the same.
pub fn written_again<T>(text: &[u8]) -> Option<String>
where
    T: FileKind + Serialize + PartialEq + Debug,
{
    let read = |text: &[u8]| {
        let read = profile::read::<T>("x", text)?;
        read.finish(Faults::default())?;
        Ok::<T, Faults>(read.value)
    };
    let value = sound(read(text))?;
    let written = serde_json::to_string(&value).expect("finite numbers");
    assert_eq!(read(written.as_bytes()).unwrap_or_else(|e| panic!("{e}\n{written}")), value);
    Some(written)
}

/// Holds a length to its range, mm.
pub fn ranged(length: Length, [low, high]: [f64; 2]) {
    assert!((low..=high).contains(&length.mm), "{length:?}");
    assert!(length.within.is_none_or(|w| w >= 0.0 && w.is_finite()), "{length:?}");
}

/// Holds an angle to its range, degrees.
pub fn angle(angle: Angle, [low, high]: [f64; 2]) {
    assert!((low..=high).contains(&angle.degrees), "{angle:?}");
    assert!(angle.within.is_none_or(|w| w >= 0.0 && w.is_finite()), "{angle:?}");
}

/// Holds the numbers of a lane to be some, and its limits to be in order.
pub fn finite(lane: &Lane) {
    let numbers = [lane.fence(), lane.setting.projection, lane.roller_below_table, lane.overhang, lane.table_support];
    assert!(numbers.iter().all(|n| n.is_finite()), "{}: {numbers:?}", lane.request.id);
    assert!(lane.limits[0] <= lane.limits[1], "{}: {:?}", lane.request.id, lane.limits);
    assert!(lane.findings.iter().all(|f| plain(&f.message)));
}
