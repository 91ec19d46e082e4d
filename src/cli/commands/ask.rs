//! `ask`: a job, a kit, known settings or measured fences, from questions at the terminal.

use std::path::{Path, PathBuf};

use super::measure;
use crate::cli::args::{AskArgs, AskFor};
use crate::cli::failure::Failure;
use crate::cli::files::{self, Disk};
use crate::cli::{Said, prompts};
use stopwright::ask::job::JobForm;
use stopwright::ask::kit::KitForm;
use stopwright::ask::measured::MeasuredForm;
use stopwright::ask::settings::SettingsForm;
use stopwright::ask::{Answers, Ask, Folder, Form, Given, Key, introduction};
use stopwright::format::Artifact;
use stopwright::jig::{self, board};
use stopwright::job::Job;
use stopwright::lanes;
use stopwright::questions::{Session, words};

pub(super) fn ask(what: &AskFor) -> Result<Said, Failure> {
    match what {
        AskFor::Guide(args) => measure::measure(args),
        AskFor::Job(args) => session(Box::new(JobForm::new(folder(args))), args, &place(args)),
        AskFor::Kit(args) => session(Box::new(KitForm::new(folder(args))), args, &place(args)),
        AskFor::Settings(args) => session(Box::new(SettingsForm), args, &place(args)),
        AskFor::Measured { job, wood, args } => measured(job, *wood, args),
    }
}

/// Asks for what was measured on the block or jig of a job; the file goes beside the job.
fn measured(path: &Path, in_wood: bool, args: &AskArgs) -> Result<Said, Failure> {
    let source = path.display().to_string();
    let job = Job::parse(&source, &files::read(path)?, &Disk::beside(path))?;
    let (units, job) = (job.units, if in_wood { job.for_a_jig() } else { job });
    let lanes = if in_wood { board::lanes(&job) } else { lanes::of_job(&job) };
    let set = lanes.map_err(Failure::NoLanes)?;
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let form = if in_wood {
        let jig = jig::lay_out(&job, &set)?;
        MeasuredForm::of_jig(&jig, set, &source, &stem)
    } else {
        MeasuredForm::new(set, units, &source, &stem)
    };
    let place = if args.out.is_some() { place(args) } else { folder_of(path) };
    session(Box::new(form), args, &place)
}

/// The folder that a file goes into.
fn folder_of(file: &Path) -> PathBuf {
    file.parent().map(Path::to_path_buf).unwrap_or_default()
}

fn place(args: &AskArgs) -> PathBuf {
    args.out.as_deref().map(folder_of).unwrap_or_default()
}

/// The profiles that can be chosen where the file goes.
fn folder(args: &AskArgs) -> Folder {
    let place = place(args);
    let paths = files::json_in(&place);
    Folder::new(Box::new(Disk::beside(&place.join("file"))), &paths)
}

/// Asks all questions, and writes the file into the folder `place`.
fn session(form: Box<dyn Form>, args: &AskArgs, place: &Path) -> Result<Said, Failure> {
    let no_file = |out: &Path| Failure::InTheWay { path: out.into(), what: "it names a folder and a file is needed" };
    let name = args.out.as_deref().map(|out| out.file_name().ok_or_else(|| no_file(out))).transpose()?;
    let no_text = |out: &Path| Failure::InTheWay { path: out.into(), what: "its name is not UTF-8 text" };
    let name =
        name.map(|name| name.to_str().map(str::to_string).ok_or_else(|| no_text(Path::new(name)))).transpose()?;
    let free = |name: &str| if args.force { Ok(()) } else { files::may_write(place, name) };
    if let Some(name) = &name {
        free(name)?;
    }
    let preset = name.map(|name| (Key::File, Given::word(&name))).into_iter().collect();
    let mut session = Session::of(Ask::new(form), preset);
    let introduction = introduction(session.script().form());
    let answers = prompts::ask(&mut session, &introduction, |key, answers| match answers.said(Key::File) {
        Some(name) if *key == Key::File => free(name),
        _ => Ok(()),
    })?;
    match answers {
        Some(answers) if answers.said(Key::Write) == Some("yes") => {
            write(session.script(), &answers, args, place).map(|out| Said { out, is_script: true, ..Said::default() })
        }
        _ => Ok(Said { out: prompts::STOPPED.into(), ..Said::default() }),
    }
}

/// A command on one line, or where that is wider than a terminal on several, as a shell takes them.
fn command(parts: &[String]) -> String {
    const WIDEST: usize = 74;
    let line = parts.join(" ");
    if line.chars().count() <= WIDEST { line } else { parts.join(" \\\n  ") }
}

/// Writes the file and reads it again as whoever uses it will; gives what is said of it.
fn write(ask: &Ask, answers: &Answers, args: &AskArgs, place: &Path) -> Result<String, Failure> {
    let text = ask.written(answers).text;
    let name = answers.said(Key::File).unwrap_or_default().to_string();
    ask.form().read(&text).map_err(|faults| Failure::Program(faults.into()))?;
    let path = place.join(&name);
    let artifacts = [Artifact { name, what: "answers".into(), bytes: text.clone().into_bytes() }];
    let here = if place.as_os_str().is_empty() { Path::new(".") } else { place };
    let written = files::write_all(here, &artifacts, args.force).and_then(|_| files::read(&path));
    let written = written.inspect_err(|_| {
        // Answers are not lost for want of a folder.
        prompts::show(&format!("\nThe file could not be written. This is it, for you to keep:\n{text}"));
    })?;
    ask.form().read(&String::from_utf8_lossy(&written))?;
    let shown = path.display().to_string();
    let told = words::hanging(&format!("{shown} is written."), "", "  ");
    Ok(format!("\n{told}Next: {}\n", command(&ask.form().next(&shown, answers))))
}
