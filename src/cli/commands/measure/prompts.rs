//! The questions at a terminal, or with the answers piped in.
//!
//! Nothing is written to disk here, so that Ctrl-C, which ends the program at once, leaves nothing behind.

use std::io::{self, BufRead, Read, Write};

use super::folder;
use crate::cli::args::MeasureArgs;
use crate::cli::failure::Failure;
use crate::cli::files;
use crate::input::fault::{Fault, Faults};
use crate::measure::answers::Given;
use crate::measure::field::Field;
use crate::measure::session::{Session, State};
use crate::measure::{Answers, answer, table, words};

/// The longest line that can be an answer, bytes.
const LONGEST_LINE: u64 = 4096;

/// Asks until every question is answered; `None` when the user stopped.
pub(super) fn ask(args: &MeasureArgs) -> Result<Option<Answers>, Failure> {
    let mut session = Session::new(preset(args)?);
    if let Some(name) = session.answers().text(Field::Name) {
        free(args, name)?;
    }
    say(&words::introduction())?;
    say(&session.words())?;
    let mut input = io::stdin().lock();
    while session.state() == State::Asking {
        say(&session.prompt())?;
        let Some(line) = line(&mut input)? else {
            say("\n")?;
            return Err(ended(&session).into());
        };
        let asked = session.question().field;
        let mut reply = match line {
            Ok(text) => session.answer(&text),
            Err(why) => format!("  {why}\n"),
        };
        if asked == Field::Name && session.question().field != Field::Name {
            let taken = session.answers().text(Field::Name).map(str::to_string);
            if let Some(Err(failure)) = taken.map(|name| free(args, &name)) {
                session.ask_again(Field::Name);
                reply = format!("  {failure}\n{}", session.words());
            }
        }
        say(&reply)?;
    }
    Ok((session.state() == State::Done).then(|| session.answers()))
}

/// Shows text where an error can no longer be reported.
pub(super) fn show(text: &str) {
    let _ = say(text);
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

fn say(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes()).and_then(|()| out.flush()).map_err(|cause| Failure::File {
        path: "standard output".into(),
        doing: "write",
        cause,
    })
}

/// The next line, why it is none, or `None` at the end.
fn line(input: &mut impl BufRead) -> Result<Option<Result<String, &'static str>>, Failure> {
    let fail = |cause| Failure::File { path: "standard input".into(), doing: "read", cause };
    let mut bytes = Vec::new();
    let mut long = false;
    loop {
        bytes.clear();
        let read = input.by_ref().take(LONGEST_LINE).read_until(b'\n', &mut bytes).map_err(fail)?;
        if read as u64 == LONGEST_LINE && !bytes.ends_with(b"\n") {
            long = true;
            continue;
        }
        if read == 0 && !long {
            return Ok(None);
        }
        break;
    }
    if long {
        return Ok(Some(Err("That line is too long for an answer.")));
    }
    Ok(Some(String::from_utf8(bytes).map_err(|_| "That is not UTF-8 text.")))
}

fn ended(session: &Session) -> Faults {
    let field = session.question().field.to_string();
    let fault = Fault::new(field, "the answers end here", "an answer, skip or quit; nothing was written");
    Faults(vec![fault.of("standard input", None)])
}
