//! Going from question to question.
//!
//! A session holds no terminal: it is asked for the words to show, and told what was answered. Answers stay when one
//! goes back, and Enter keeps them; only those on the way to the last question count.

use super::answer::{self, SEPARATOR};
use super::answers::{Answers, Given, Value};
use super::field::Field;
use super::question::{AnswerKind, Need, Question, Range};
use super::table::QUESTIONS;
use super::words::{self, COMMANDS, toleranced, wrapped, written};

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

/// The questions of one guide, and the answers so far.
#[derive(Debug, Clone)]
pub struct Session {
    /// All answers ever given, also those that no longer count.
    answers: Answers,
    /// Questions passed, by place in the table.
    path: Vec<usize>,
    /// The question that waits.
    at: usize,
    /// Answers that were there from the start and are not asked for.
    preset: Vec<Field>,
    /// Readings on earlier lines of this answer.
    pending: String,
    state: State,
}

impl Session {
    /// A session in which `preset` is answered already.
    pub fn new(preset: Vec<(Field, Given)>) -> Self {
        let fields = preset.iter().map(|(field, _)| *field).collect();
        let mut answers = Answers::default();
        for (field, given) in preset {
            answers.put(field, given);
        }
        let mut session =
            Self { answers, path: Vec::new(), at: 0, preset: fields, pending: String::new(), state: State::Asking };
        session.settle();
        session
    }

    /// Whether it still asks.
    pub fn state(&self) -> State {
        self.state
    }

    /// The answers, without those that later answers left no room for.
    pub fn answers(&self) -> Answers {
        let mut kept = self.answers.clone();
        for (i, question) in QUESTIONS.iter().enumerate() {
            if !self.path.contains(&i) && i != self.at && !self.preset.contains(&question.field) {
                kept.remove(question.field);
            }
        }
        kept
    }

    /// The question that waits.
    pub fn question(&self) -> &'static Question {
        &QUESTIONS[self.at]
    }

    /// The question in full: what, how, and which answers are usual and allowed.
    pub fn words(&self) -> String {
        let (question, units) = (self.question(), self.answers.units());
        let seat = question.seat().map_or_else(String::new, |seat| format!("{seat} seat: "));
        let symbol = if question.symbol.is_empty() { String::new() } else { format!("{}, ", question.symbol) };
        let what = format!("{}. {seat}{symbol}{}", self.path.len() + 1, question.what);
        let field = format!("[{}]", question.field);
        let fits = what.chars().count() + field.len() < 79;
        let mut text = format!("\n{what}{}{field}\n", if fits { "  " } else { "\n  " });
        if question.field == Field::Write {
            text += &words::overview(&self.answers());
        }
        text += &wrapped((question.how)(&self.answers));
        if let AnswerKind::Choice(words) = question.kind {
            for (i, (word, meaning)) in words.iter().enumerate() {
                text += &format!("  {} {word}: {meaning}\n", i + 1);
            }
        }
        if let Some(range) = question.range() {
            let (usual, allowed) = (Range::words(range.usual, units), Range::words(range.allowed, units));
            text += &format!("  Usually {usual}; possible {allowed}.\n");
        }
        if let Need::Optional(loss) = (question.need)(&self.answers) {
            text += &wrapped(&format!("May be skipped: {loss}."));
        }
        if let Some(former) = self.answers.get(question.field) {
            text += &format!("  Enter keeps {}.\n", written(former));
        }
        text
    }

    /// What stands before the cursor.
    pub fn prompt(&self) -> String {
        let unit = if self.question().range().is_some() { self.answers.units().symbol() } else { "" };
        let more = if self.pending.is_empty() { "" } else { "+" };
        format!("{unit}{more}> ")
    }

    /// Takes a line and gives what is to be said to it, ready to print.
    pub fn answer(&mut self, line: &str) -> String {
        let text = line.trim();
        match text.to_lowercase().as_str() {
            "quit" => {
                self.state = State::Stopped;
                String::new()
            }
            "help" | "?" => self.words() + &wrapped(COMMANDS),
            "back" if self.back_is_an_answer() => wrapped(
                "\"back\" could mean two things here: type 2 for a seat that locates the blade's back, or < to go \
                 back one question.",
            ),
            "back" | "<" => self.back(),
            "skip" => self.skip(),
            "" if self.pending.is_empty() => self.keep(),
            _ => self.take(text),
        }
    }

    /// Undoes the answer to `field` because of something outside, such as a file in the way.
    pub fn ask_again(&mut self, field: Field) {
        if let Some(i) = QUESTIONS.iter().position(|q| q.field == field) {
            self.path.retain(|p| *p < i);
            self.answers.remove(field);
            self.at = i;
            self.state = State::Asking;
        }
    }

    fn back_is_an_answer(&self) -> bool {
        matches!(self.question().kind, AnswerKind::Choice(words) if words.iter().any(|w| w.0 == "back"))
    }

    fn back(&mut self) -> String {
        if !self.pending.is_empty() {
            self.pending.clear();
            return wrapped("The readings of this question are dropped.") + &self.words();
        }
        match self.path.pop() {
            Some(before) => {
                self.at = before;
                self.words()
            }
            None => wrapped("This is the first question."),
        }
    }

    fn skip(&mut self) -> String {
        match (self.question().need)(&self.answers) {
            Need::Required(why) => {
                wrapped(&format!("This one is needed: {why}. Type {}.", self.question().allowed(self.answers.units())))
            }
            Need::Optional(_) => {
                self.pending.clear();
                self.answers.remove(self.question().field);
                self.next()
            }
        }
    }

    fn keep(&mut self) -> String {
        if self.answers.get(self.question().field).is_some() {
            return self.next();
        }
        let skip = matches!((self.question().need)(&self.answers), Need::Optional(_));
        let or = if skip { ", or skip" } else { "" };
        wrapped(&format!("Nothing was typed. Type {}{or}.", self.question().allowed(self.answers.units())))
    }

    fn take(&mut self, text: &str) -> String {
        let question = self.question();
        let repeated = matches!(question.kind, AnswerKind::Length(_));
        let whole = if self.pending.is_empty() { text.to_string() } else { format!("{}{text}", self.pending) };
        match answer::read(question, &whole, &self.answers) {
            Err(refused) => {
                let so_far = match self.pending.as_str() {
                    "" => String::new(),
                    pending => format!(" Kept so far: {}", pending.trim_end_matches([SEPARATOR, ' '])),
                };
                wrapped(&format!("That does not fit: {}. Type {}.{so_far}", refused.found, refused.allowed))
            }
            Ok(_) if repeated && text.ends_with(SEPARATOR) => {
                self.pending = format!("{} ", whole.trim_end());
                "  Next reading, or Enter when that was the last.\n".into()
            }
            Ok(given) => {
                self.pending.clear();
                let remark = self.remark(&given);
                self.put(given);
                remark + &self.next()
            }
        }
    }

    fn put(&mut self, given: Given) {
        let field = self.question().field;
        // Bare numbers of former answers were in the former unit.
        if field == Field::Units && self.answers.get(field).is_some_and(|former| *former != given) {
            for question in QUESTIONS.iter().filter(|q| q.range().is_some()) {
                self.answers.remove(question.field);
            }
        }
        self.answers.put(field, given);
    }

    /// What was made of several readings, and a word on unusual values.
    fn remark(&self, given: &Given) -> String {
        let units = self.answers.units();
        let values: &[Value] = match given {
            Given::Length(value) => std::slice::from_ref(value),
            Given::Pair(pair) => pair,
            Given::Text(_) | Given::Word(_) => &[],
        };
        let mut text = String::new();
        if let ([value], Some(_)) = (values, self.question().range())
            && value.readings.len() > 1
        {
            text += &format!("  {} readings: {}.\n", value.readings.len(), toleranced(value, units));
        }
        let usual = self.question().range().map(|r| r.usual);
        if let Some([low, high]) = usual
            && values.iter().any(|v| v.mm < low || v.mm > high)
        {
            text += &format!(
                "  That is unusual: most guides have {}. Type back to change it, or carry on.\n",
                Range::words([low, high], units)
            );
        }
        text
    }

    fn next(&mut self) -> String {
        self.path.push(self.at);
        self.at += 1;
        self.settle();
        if self.state == State::Asking { self.words() } else { String::new() }
    }

    /// Moves on to a question that is to be asked.
    fn settle(&mut self) {
        let counted = self.answers();
        match QUESTIONS.iter().skip(self.at).position(|q| (q.relevant)(&counted) && !self.preset.contains(&q.field)) {
            Some(ahead) => self.at += ahead,
            None => {
                self.at = QUESTIONS.len() - 1;
                self.state = State::Done;
            }
        }
    }
}
