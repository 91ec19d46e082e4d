//! `grits`: a set of abrasives judged.

use super::blade::Reader;
use crate::cli::Said;
use crate::cli::args::GritsArgs;
use crate::cli::failure::Failure;
use crate::input::fault::Faults;
use crate::stones::grits::{Grade, NoGrade, judge, report};
use crate::units::Units;

pub(super) fn grits(args: &GritsArgs) -> Result<Said, Failure> {
    let mut reader = Reader::new(Units::Mm);
    let set: Vec<Grade> = args.set.split(',').filter_map(|text| grade("GRADES", text, &mut reader)).collect();
    reader.finish()?;
    let judged = judge(&set).map_err(|e| Faults::argument("GRADES", e.to_string(), "1 to 40 grades"))?;
    let out = match args.json {
        true => format!("{:#}\n", report::json(&judged)),
        false => report::text(&judged),
    };
    Ok(Said { out, ..Said::default() })
}

/// A grade, or a fault.
pub(super) fn grade(field: &str, text: &str, reader: &mut Reader) -> Option<Grade> {
    text.parse().map_err(|e: NoGrade| reader.fault(field, e.to_string(), e.allowed())).ok()
}
