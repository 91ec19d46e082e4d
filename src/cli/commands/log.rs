//! `log`: what was done to the blades of a kit, and what is due.

use time::OffsetDateTime;

use super::blade::Reader;
use super::grits::grade;
use crate::cli::Said;
use crate::cli::args::LogArgs;
use crate::cli::failure::Failure;
use crate::cli::files::{self, Alone, Disk};
use stopwright::input::document::composed;
use stopwright::input::fault::{Fault, Faults};
use stopwright::kit::Kit;
use stopwright::log::{self, Day, Entry, Log, NoDay, report};
use stopwright::shape::script::is_hidden;
use stopwright::stones::grits::Grade;
use stopwright::terms::Done;

pub(super) fn log(args: &LogArgs) -> Result<Said, Failure> {
    let kit = Kit::parse(&args.kit.display().to_string(), &files::read(&args.kit)?, &Disk::beside(&args.kit))?;
    let path = args.file.clone().unwrap_or_else(|| log::beside(&args.kit));
    let added = entry(args, &kit)?;
    // From the reading of what is there to its writing; who only reads always finds a whole log.
    let alone = (added.is_some() || args.undo).then(|| Alone::with(&path)).transpose()?;
    let there = match &alone {
        Some(file) => file.read()?,
        None => path.exists().then(|| files::read(&path)).transpose()?,
    };
    let mut log = match there {
        Some(bytes) => Log::parse(&path.display().to_string(), &bytes, &kit)?,
        None => Log::new(&kit),
    };
    let done = match added {
        Some(entry) => {
            log.add(entry.clone());
            Some(("", entry))
        }
        None if args.undo => {
            let nothing = || Faults::argument("--undo", "a log without entries", "one in which something was written");
            Some(("took out again: ", log.undo().ok_or_else(nothing)?))
        }
        None => None,
    };
    let mut written = String::new();
    if let (Some((act, entry)), Some(file)) = (done, alone) {
        written = format!("{}: {act}{} {} on {}\n\n", path.display(), entry.blade, entry.what.word(), entry.day);
        let text = log.text().map_err(|e| Failure::Program(e.into()))?;
        file.replace(text.as_bytes())?;
    }
    let standings = log::standings(&kit, &log);
    let out = match (args.json, args.quiet) {
        (true, _) => format!("{:#}\n", report::json(&kit.title, &standings)),
        (_, true) => String::new(),
        _ => written + &report::table(&kit.title, &standings, args.lengths.beside(kit.units).1),
    };
    Ok(Said { out, ..Said::default() })
}

/// The entry that the arguments ask for.
fn entry(args: &LogArgs, kit: &Kit) -> Result<Option<Entry>, Failure> {
    let (option, blade, what) = match (&args.honed, &args.reground) {
        (Some(blade), _) => ("--honed", composed(blade), Done::Honed),
        (None, Some(blade)) => ("--reground", composed(blade), Done::Reground),
        (None, None) => return nothing_done(args).map(|()| None),
    };
    let mut reader = Reader::beside(&args.lengths, kit.units);
    if !kit.blades.iter().any(|b| b.name == blade) {
        reader.add(Fault::unknown(option, &blade, kit.names()));
    }
    let micro_width = reader.exact("--micro-width", args.micro_width.as_ref(), [0.01, 20.0]);
    if args.note.as_ref().is_some_and(|note| note.is_empty() || note.chars().count() > 200) {
        reader.fault("--note", "none or a long one", "1 to 200 characters");
    }
    if args.note.as_ref().is_some_and(|note| note.contains(|c| c != '\n' && is_hidden(c))) {
        reader.fault("--note", "a sign that nobody can see", "plain text");
    }
    let strokes =
        args.strokes.iter().flat_map(|all| all.split(',')).filter_map(|text| counted(text, &mut reader)).collect();
    let day = day("--date", args.date.as_deref())?;
    reader.finish()?;
    Ok(Some(Entry { day, blade, what, micro_width, strokes, note: args.note.clone() }))
}

/// Refuses what belongs to an entry where there is none.
fn nothing_done(args: &LogArgs) -> Result<(), Failure> {
    let given = [
        ("--date", args.date.is_some()),
        ("--micro-width", args.micro_width.is_some()),
        ("--strokes", args.strokes.is_some()),
        ("--note", args.note.is_some()),
    ];
    let fault = |name| Fault::new(name, "it does not say of which blade", "--honed BLADE or --reground BLADE with it");
    let faults = given.into_iter().filter(|(_, is)| *is).map(|(name, _)| fault(name)).collect();
    Ok(Faults(faults).into_result()?)
}

/// A grade and how many strokes it took, such as `P400=12`.
fn counted(text: &str, reader: &mut Reader) -> Option<(Grade, u32)> {
    let (name, count) = text.split_once('=').unwrap_or((text, ""));
    let grade = if count.is_empty() { None } else { grade("--strokes", name, reader) };
    let count = count.trim().parse().ok().filter(|n| (1..=10_000).contains(n));
    if count.is_none() {
        reader.fault("--strokes", format!("\"{}\"", text.trim()), "a grade and its count, such as P400=12,P800=10");
    }
    Some((grade?, count?))
}

/// The day that an argument says; today where it says none.
pub(super) fn day(argument: &str, text: Option<&str>) -> Result<Day, Faults> {
    let fault = |NoDay(found)| Faults::argument(argument, format!("\"{found}\""), NoDay::ALLOWED);
    text.map_or_else(|| Ok(today()), |text| Day::parse(text).map_err(fault))
}

/// Today where the user is; in universal time where the system does not say how far that is off.
fn today() -> Day {
    OffsetDateTime::now_local().unwrap_or_else(|_| OffsetDateTime::now_utc()).date().into()
}
