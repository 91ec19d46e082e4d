//! The blades, and what is advised of them.

use super::bench::{Bench, Laid};
use super::reply::{Advised, BladesShown, Table};
use crate::make::{self, Row};

/// The blades of the bench.
pub(super) fn shown(bench: &Bench, laid: &Laid) -> BladesShown {
    let mut shown = BladesShown {
        form: laid.blades.clone().unwrap_or_else(|| bench.blades_form()),
        advice: Vec::new(),
        fences: None,
        notes: Vec::new(),
        faults: Vec::new(),
    };
    let Ok(job) = &laid.job else { return shown };
    let Some(kit) = &job.kit else { return shown };
    match laid.lanes() {
        Ok(set) => {
            if let Some(advice) = make::advice(job, kit, set) {
                let advised = |(blade, lines): (String, Vec<String>)| Advised { blade, lines };
                shown.advice = advice.parts.into_iter().map(advised).collect();
                shown.fences = Some(table(advice.fences));
                shown.notes = advice.after;
            }
            shown.faults = super::left_out(set, job.written);
        }
        Err(faults) => shown.faults = faults,
    }
    shown
}

/// A table whose rows have several lines: each becomes a row of its own.
fn table(table: make::Table) -> Table {
    let row = |row: Row| {
        let Row { name, lines, numbers } = row;
        let first = |i: usize, words: &str| if i == 0 { words.to_string() } else { String::new() };
        let line = move |(i, line): (usize, Vec<String>)| {
            let numbers = numbers.iter().map(|number| first(i, number));
            std::iter::once(first(i, &name)).chain(line).chain(numbers).collect::<Vec<_>>()
        };
        lines.into_iter().enumerate().map(line).collect::<Vec<_>>()
    };
    Table {
        caption: table.caption,
        head: table.head.into_iter().map(|name| [name, String::new()]).collect(),
        rows: table.rows.into_iter().flat_map(row).collect(),
    }
}
