//! `measure`: a profile of the user's own guide, from questions or flags; or a sheet to print.

mod implied;

use std::path::{Path, PathBuf};

use crate::cli::args::MeasureArgs;
use crate::cli::failure::Failure;
use crate::cli::{Said, files, prompts, report};
use stopwright::format::{Artifact, svg};
use stopwright::guide::Guide;
use stopwright::input::fault::Faults;
use stopwright::measure::answers::Given;
use stopwright::measure::{Answers, Field, Session, answer, build, flags, sheet, table, words};

pub(super) fn measure(args: &MeasureArgs) -> Result<Said, Failure> {
    if args.sheet {
        return sheet(args);
    }
    let asks = args.set.is_empty();
    let answers = if asks { ask(args)? } else { Some(of_flags(args)?) };
    let Some(answers) = answers else {
        return Ok(Said { out: prompts::STOPPED.into(), ..Said::default() });
    };
    let profile = build::profile(&answers).map_err(|e| Failure::Program(e.into()))?;
    let text = build::text(&profile).map_err(|e| Failure::Program(e.into()))?;
    let name = &profile.name;
    let file = format!("{name}.json");
    let guide = Guide::parse(&file, text.as_bytes())?;
    let implied = implied::implied_by(&guide)?;
    let mut artifacts = vec![Artifact { name: file, what: "guide profile".into(), bytes: text.clone().into_bytes() }];
    artifacts.extend(implied.views.into_iter().map(|(seat, bytes)| Artifact {
        name: format!("{name}-side-{seat}.svg"),
        what: "side view on the stone, 30°".into(),
        bytes,
    }));
    let paths = files::write_all(&folder(args, name), &artifacts, args.force).inspect_err(|_| {
        // Answers that took a quarter of an hour are not lost for want of a folder.
        kept_on_screen(asks, &text);
    })?;
    let out = if args.quiet {
        String::new()
    } else {
        format!("\n{}{}\n{}", implied.text, once(&answers), report::written(&artifacts, &paths))
            + "\nThese figures are calculated. Prove an angle on a plate before you rely on a number.\n"
    };
    Ok(Said { out, ..Said::default() })
}

/// Where the files of a guide called `name` go.
fn folder(args: &MeasureArgs, name: &str) -> PathBuf {
    args.out.clone().unwrap_or_else(|| Path::new("out").join(name))
}

/// Asks until every question is answered; `None` when the user stopped.
fn ask(args: &MeasureArgs) -> Result<Option<Answers>, Failure> {
    let mut session = Session::new(preset(args)?);
    if let Some(name) = session.answers().text(Field::Name) {
        free(args, name)?;
    }
    prompts::ask(&mut session, &words::introduction(), |key, answers| match answers.text(Field::Name) {
        Some(name) if *key == Field::Name => free(args, name),
        _ => Ok(()),
    })
}

/// What the arguments answer already.
fn preset(args: &MeasureArgs) -> Result<Vec<(Field, Given)>, Faults> {
    let mut preset = Vec::new();
    if let Some((name, (_, question))) = args.name.as_ref().zip(table::find(Field::Name)) {
        let given = answer::read(question, name, &Answers::default())
            .map_err(|refused| Faults::argument("--name", refused.found, refused.allowed))?;
        preset.push((Field::Name, given));
    }
    if let Some(units) = args.units {
        preset.push((Field::Units, Given::Word(units.symbol())));
    }
    Ok(preset)
}

/// Whether the profile can be written under `name`, before all the questions are asked.
fn free(args: &MeasureArgs, name: &str) -> Result<(), Failure> {
    if args.force { Ok(()) } else { files::may_write(&folder(args, name), &format!("{name}.json")) }
}

fn of_flags(args: &MeasureArgs) -> Result<Answers, Failure> {
    let name = args.name.as_ref().map(|name| format!("{}={name}", Field::Name));
    let units = args.units.map(|units| format!("{}={}", Field::Units, units.symbol()));
    let settings = name.iter().chain(&units).chain(&args.set).map(String::as_str);
    Ok(flags::read(settings)?)
}

fn kept_on_screen(asks: bool, text: &str) {
    if asks {
        prompts::show(&format!("\nThe profile could not be written. Here it is, for you to keep:\n{text}"));
    }
}

/// Lengths whose scatter nothing is known of.
fn once(answers: &Answers) -> String {
    let names = build::read_once(answers);
    if names.is_empty() {
        return String::new();
    }
    format!(
        "\nRead only once: {}. Their tolerance is half a step of the caliper and says nothing of scatter. Read them again for a tolerance to rely on.\n",
        names.join(", ")
    )
}

fn sheet(args: &MeasureArgs) -> Result<Said, Failure> {
    let bytes = svg::write(&sheet::sheet(args.paper));
    let artifacts = [Artifact { name: "measure-sheet.svg".into(), what: "sheet for measuring a guide".into(), bytes }];
    let folder = args.out.clone().unwrap_or_else(|| "out".into());
    let paths = files::write_all(&folder, &artifacts, args.force)?;
    let out = if args.quiet { String::new() } else { report::written(&artifacts, &paths) };
    Ok(Said { out, ..Said::default() })
}
