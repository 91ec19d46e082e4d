//! Going from question to question.
//!
//! A session holds no terminal: it is asked for the words to show, and told what was answered. Answers stay when one
//! goes back, and Enter keeps them; only those on the way to the last question count.

use super::answers::Answers;
use super::words::{hanging, wrapped};
use super::{Need, Noticed, Question, SEPARATOR, Script};

/// Where a session is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// A question waits for its answer.
    Asking,
    /// Every question was answered or skipped.
    Done,
    /// The user stopped it.
    Stopped,
}

/// The questions of a script, and the answers so far.
#[derive(Debug, Clone)]
pub struct Session<S: Script> {
    script: S,
    /// All answers ever given, also those that no longer count.
    answers: Answers<S::Key, S::Given>,
    /// Questions passed, in their order.
    path: Vec<S::Key>,
    /// The question that waits; none when all are passed.
    at: Option<S::Key>,
    /// Answers that were there from the start and are not asked for.
    preset: Vec<S::Key>,
    /// Readings on earlier lines of this answer.
    pending: String,
    stopped: bool,
}

/// A question of a script.
type Asked<S> = Question<<S as Script>::Key, <S as Script>::Kind>;

impl<S: Script> Session<S> {
    /// A session in which `preset` is answered already.
    pub fn of(script: S, preset: Vec<(S::Key, S::Given)>) -> Self {
        let fields = preset.iter().map(|(key, _)| key.clone()).collect();
        let mut answers = Answers::default();
        for (key, given) in preset {
            answers.put(key, given);
        }
        let pending = String::new();
        let mut session = Self { script, answers, path: Vec::new(), at: None, preset: fields, pending, stopped: false };
        session.settle();
        session
    }

    /// What is asked.
    pub fn script(&self) -> &S {
        &self.script
    }

    /// Whether it still asks.
    pub fn state(&self) -> State {
        match self.at {
            _ if self.stopped => State::Stopped,
            Some(_) => State::Asking,
            None => State::Done,
        }
    }

    /// The answers, without those that later answers left no room for.
    pub fn answers(&self) -> Answers<S::Key, S::Given> {
        let mut kept = self.answers.clone();
        kept.retain(|key, _| self.path.contains(key) || self.at.as_ref() == Some(key) || self.preset.contains(key));
        kept
    }

    /// The key of the question that waits.
    pub fn at(&self) -> Option<&S::Key> {
        self.at.as_ref()
    }

    /// The question that waits.
    pub fn question(&self) -> Option<Asked<S>> {
        let at = self.at.as_ref()?;
        self.script.questions(&self.answers()).into_iter().find(|question| question.key == *at)
    }

    /// The question in full: what, how, and which answers are usual and allowed.
    pub fn words(&self) -> String {
        let Some(question) = self.question() else { return String::new() };
        let former = self.answers.get(&question.key).map(|given| self.script.written(given));
        let enter = match (&former, &question.default, &question.need) {
            (Some(_), ..) => String::new(),
            (None, Some(line), _) | (None, None, Need::OrElse(line)) => format!(" (Enter: {line})"),
            (None, None, _) => String::new(),
        };
        let tag = if question.tag.is_empty() { String::new() } else { format!("[{}]", question.tag) };
        let what = format!("{}. {}{enter}", self.path.len() + 1, question.what);
        let fits = what.chars().count() + tag.chars().count() < 79;
        let mut text = match (fits, tag.as_str()) {
            (true, "") => format!("\n{what}\n"),
            (true, tag) => format!("\n{what}  {tag}\n"),
            (false, tag) => format!("\n{}{}", hanging(&what, "", "   "), wrapped(tag)),
        };
        text += &question.shown;
        for [value, reason] in &question.advised {
            text += &hanging(reason, &format!("  {value}  "), "       ");
        }
        text += &wrapped(&format!("{} {}", question.how, question.typing));
        for (i, [word, meaning]) in question.choices.iter().enumerate() {
            let first = format!("  {} ", i + 1);
            let said = if meaning.is_empty() { word.clone() } else { format!("{word}: {meaning}") };
            text += &hanging(&said, &first, &" ".repeat(first.len()));
        }
        text += &wrapped(&question.range);
        if let Need::Optional(loss) = &question.need {
            text += &wrapped(&format!("May be skipped: {loss}."));
        }
        if let Some(former) = former {
            text += &wrapped(&format!("Enter keeps {former}."));
        }
        text
    }

    /// What stands before the cursor.
    pub fn prompt(&self) -> String {
        let unit = self.question().map_or("", |question| question.unit);
        let more = if self.pending.is_empty() { "" } else { "+" };
        format!("{unit}{more}> ")
    }

    /// Takes a line and gives what is to be said to it, ready to print.
    pub fn answer(&mut self, line: &str) -> String {
        let Some(question) = self.question() else { return String::new() };
        let text = line.trim();
        match text.to_lowercase().as_str() {
            "quit" => {
                self.stopped = true;
                String::new()
            }
            "help" | "?" => self.words() + &wrapped(self.script.commands()),
            "back" => match question.choices.iter().position(|[word, _]| word == "back") {
                Some(i) => wrapped(&format!(
                    "\"back\" could mean two things here: type {} for \"{}\", or < to go back one question.",
                    i + 1,
                    question.choices[i][1]
                )),
                None => self.back(),
            },
            "<" => self.back(),
            "skip" => self.skip(&question),
            "" if self.pending.is_empty() => self.keep(&question),
            _ => self.take(&question, text),
        }
    }

    /// Undoes the answer to `key` because of something outside, such as a file in the way.
    pub fn ask_again(&mut self, key: &S::Key) {
        if let Some(i) = self.path.iter().position(|passed| passed == key) {
            self.path.truncate(i);
            self.answers.remove(key);
            self.at = Some(key.clone());
        }
    }

    fn back(&mut self) -> String {
        if !self.pending.is_empty() {
            self.pending.clear();
            return wrapped("The readings of this question are dropped.") + &self.words();
        }
        match self.path.pop() {
            Some(before) => {
                self.at = Some(before);
                self.words()
            }
            None => wrapped("This is the first question."),
        }
    }

    fn skip(&mut self, question: &Asked<S>) -> String {
        match &question.need {
            Need::Required(_) if question.default.is_some() => {
                self.pending.clear();
                self.keep(question)
            }
            Need::Required(why) => wrapped(&format!("This one is needed: {why}. Give {}.", question.allowed)),
            Need::Optional(_) | Need::OrElse(_) => {
                self.pending.clear();
                self.answers.remove(&question.key);
                self.script.forget(&question.key, &mut self.answers);
                self.next()
            }
        }
    }

    fn keep(&mut self, question: &Asked<S>) -> String {
        if let Some(former) = self.answers.get(&question.key) {
            // Earlier answers may have changed since, and what was right may now be wrong.
            let written = self.script.written(former);
            return self.take(question, &written);
        }
        match (&question.default, &question.need) {
            (Some(line), _) => self.take(question, &line.clone()),
            (None, Need::OrElse(_)) => self.skip(question),
            (None, need) => {
                let skip = if matches!(need, Need::Optional(_)) { ", or skip" } else { "" };
                wrapped(&format!("Nothing was typed. Give {}{skip}.", question.allowed))
            }
        }
    }

    fn take(&mut self, question: &Asked<S>, text: &str) -> String {
        let whole = format!("{}{text}", self.pending);
        let counted = self.answers();
        match self.script.read(question, &whole, &counted) {
            Err(refused) => {
                let so_far = match self.pending.as_str() {
                    "" => String::new(),
                    pending => format!(" Kept so far: {}.", pending.trim_end_matches([SEPARATOR, ' '])),
                };
                wrapped(&(refused + &so_far))
            }
            Ok(_) if question.several && text.ends_with(SEPARATOR) => {
                self.pending = format!("{} ", whole.trim_end());
                "  Next reading, or Enter when that was the last.\n".into()
            }
            Ok(given) => {
                self.pending.clear();
                let mut remark = String::new();
                if self.answers.get(&question.key) != Some(&given) {
                    remark = remark_of(self.script.noticed(question, &given, &counted));
                    self.answers.put(question.key.clone(), given);
                    self.script.forget(&question.key, &mut self.answers);
                }
                remark + &self.next()
            }
        }
    }

    fn next(&mut self) -> String {
        self.path.extend(self.at.take());
        self.settle();
        self.words()
    }

    /// Moves on to the first question that is still to be asked.
    fn settle(&mut self) {
        let questions = self.script.questions(&self.answers());
        let due = |key: &S::Key| !self.path.contains(key) && !self.preset.contains(key);
        self.at = questions.into_iter().map(|question| question.key).find(due);
    }
}

/// What was noticed, ready to print.
fn remark_of(noticed: Noticed) -> String {
    let unusual = noticed.unusual.map(|why| format!("{why} Type back to change it, or carry on."));
    [noticed.made_of_several, unusual].into_iter().flatten().map(|said| wrapped(&said)).collect()
}
