//! Questions at a terminal, or with the answers piped in.
//!
//! Nothing is written to disk here, and an interrupt ends the questions: Ctrl-C leaves nothing behind, and says so.

use std::io::{self, BufRead, IsTerminal, Read, Write};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError};
use std::thread;
use std::time::Duration;

use super::failure::Failure;
use super::interrupt;
use stopwright::input::fault::{Fault, Faults};
use stopwright::questions::words::{echoed, wrapped};
use stopwright::questions::{Answers, Script, Session, State};
use stopwright::shape::script::shown;

/// The longest line that can be an answer, bytes.
const LONGEST_LINE: u64 = 4096;

/// How often is looked for an interrupt while nothing is typed.
const LOOK: Duration = Duration::from_millis(20);

/// What is said when nothing was written because the user said so.
pub(super) const STOPPED: &str = "\nStopped: nothing was written.\n";

/// The answers to a script's questions.
type AnswersTo<S> = Answers<<S as Script>::Key, <S as Script>::Given>;

/// Asks until every question of `session` is answered; `None` when the user stopped. An answer that `outside` has
/// something against, such as a file in the way, is asked for again.
pub(super) fn ask<S: Script>(
    session: &mut Session<S>,
    introduction: &str,
    outside: impl Fn(&S::Key, &AnswersTo<S>) -> Result<(), Failure>,
) -> Result<Option<AnswersTo<S>>, Failure> {
    let _held = interrupt::hold();
    let (mut lines, is_seen) = (Lines::beside(), io::stdin().is_terminal());
    say(introduction)?;
    say(&session.words())?;
    while session.state() == State::Asking {
        say(&session.prompt())?;
        let Some(line) = lines.next()? else {
            say("\n")?;
            return Err(ended(session).into());
        };
        if !is_seen {
            // What is piped in nobody has typed: it is shown behind its prompt, where it would stand.
            let shown = line.as_deref().map_or_else(|_| String::new(), |text| echoed(text.trim()));
            say(&format!("{}\n", shown.replace(char::is_control, "")))?;
        }
        let asked = session.at().cloned();
        let mut reply = match line {
            Ok(text) => session.answer(&text),
            Err(why) => format!("  {why}\n"),
        };
        if let Some(asked) = asked.filter(|asked| session.at() != Some(asked))
            && session.answers().get(&asked).is_some()
            && let Err(failure) = outside(&asked, &session.answers())
        {
            session.ask_again(&asked);
            reply = wrapped(&failure.to_string()) + &session.words();
        }
        say(&reply)?;
    }
    Ok((session.state() == State::Done).then(|| session.answers()))
}

/// Shows text where an error can no longer be reported.
pub(super) fn show(text: &str) {
    let _ = say(text);
}

fn say(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    out.write_all(shown(text).as_bytes()).and_then(|()| out.flush()).map_err(|cause| Failure::File {
        path: "standard output".into(),
        doing: "write",
        cause,
    })
}

/// A line that was typed, or why it is none.
type Line = Result<String, &'static str>;

/// The lines of standard input.
enum Lines {
    /// Read beside the questions, so that an interrupt need not wait for a line, by a thread that lives as long as the
    /// program, which asks once.
    Beside(Receiver<io::Result<Line>>),
    /// Read between the questions, where the system gives no thread.
    Between(io::StdinLock<'static>),
}

impl Lines {
    fn beside() -> Self {
        let (to, from) = mpsc::channel();
        let reader = thread::Builder::new().spawn(move || {
            let mut input = io::stdin().lock();
            while let Some(line) = line(&mut input).transpose() {
                let failed = line.is_err();
                if to.send(line).is_err() || failed {
                    break;
                }
            }
        });
        reader.map_or_else(|_| Self::Between(io::stdin().lock()), |_| Self::Beside(from))
    }

    /// The next line, or `None` at the end.
    fn next(&mut self) -> Result<Option<Line>, Failure> {
        let failed = |cause| Failure::File { path: "standard input".into(), doing: "read", cause };
        let lines = match self {
            Self::Beside(lines) => lines,
            Self::Between(input) => {
                let line = line(input).map_err(failed);
                interrupt::check().inspect_err(|_| show("\n"))?;
                return line;
            }
        };
        loop {
            match lines.recv_timeout(LOOK) {
                Ok(Ok(line)) => return Ok(Some(line)),
                Ok(Err(cause)) => return Err(failed(cause)),
                Err(RecvTimeoutError::Disconnected) => return Ok(None),
                Err(RecvTimeoutError::Timeout) => {
                    // The terminal has shown ^C at the end of the prompt.
                    interrupt::check().inspect_err(|_| show("\n"))?;
                }
            }
        }
    }
}

/// The next line, why it is none, or `None` at the end.
fn line(input: &mut impl BufRead) -> io::Result<Option<Line>> {
    let mut bytes = Vec::new();
    let mut long = false;
    loop {
        bytes.clear();
        let read = input.by_ref().take(LONGEST_LINE).read_until(b'\n', &mut bytes)?;
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

fn ended<S: Script>(session: &Session<S>) -> Faults {
    let question = session.question();
    let name = question.map_or_else(String::new, |q| if q.tag.is_empty() { q.what.replace('?', "") } else { q.tag });
    let fault = Fault::new(name, "the answers end here", "an answer, skip or quit; nothing was written");
    Faults(vec![fault.of("standard input", None)])
}
