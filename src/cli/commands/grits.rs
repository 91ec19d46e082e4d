//! `grits`: a set of abrasives judged.

use super::blade::Reader;
use crate::cli::Said;
use crate::cli::args::GritsArgs;
use crate::cli::failure::Failure;
use stopwright::input::fault::Faults;
use stopwright::stones::grits::{Abrasive, Grade, NoGrade, judge, report};
use stopwright::units::Units;

pub(super) fn grits(args: &GritsArgs) -> Result<Said, Failure> {
    let mut reader = Reader::new(Units::Mm);
    let read = |text: &str| text.parse::<Abrasive>().map_err(|e: NoGrade| reader.add(e.fault("GRADES"))).ok();
    let abrasives: Vec<Abrasive> = args.set.split(',').filter_map(read).collect();
    reader.finish()?;
    let set: Vec<Grade> = abrasives.iter().map(|a| a.grade).collect();
    let judged = judge(&set).map_err(|e| Faults::argument("GRADES", e.to_string(), "1 to 40 grades"))?;
    let out = match args.json {
        true => format!("{:#}\n", report::json(&judged)),
        false => report::text(&judged, &abrasives),
    };
    Ok(Said { out, ..Said::default() })
}

/// A grade, or a fault.
pub(super) fn grade(field: &str, text: &str, reader: &mut Reader) -> Option<Grade> {
    text.parse().map_err(|e: NoGrade| reader.add(e.fault(field))).ok()
}
