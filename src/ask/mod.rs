//! Questions whose answers make a job, a kit, a file of known settings or one of measured fences, so that nobody has to
//! write JSON. Answers in, the file's text out; nothing is printed and no file is touched here but by [`Sources`].
//!
//! 1. [`key`] names what a question fills in; [`reading`] reads a line; [`text`] makes the file's text of the answers.
//! 2. A [`Form`] for each kind of file says what is asked: [`job`], [`kit`], [`settings`], [`measured`].
//! 3. [`Ask`] is the script of a session. It holds every answer against the very reader of the file, in the file as it is
//!    so far: what the reader would refuse is refused at its question, in the reader's words.
//!
//! [`Sources`]: crate::guide::named::Sources

pub mod folder;
pub mod job;
pub mod key;
pub mod kit;
pub mod measured;
pub mod reading;
pub mod settings;
pub mod text;

pub use folder::Folder;
pub use key::{Answers, Given, Key};

use reading::{Asked, Kind, Question};
use text::Written;

use crate::guide::ToolClass;
use crate::input::fault::{Fault, Faults, Wrong};
use crate::questions::words::{hanging, wrapped};
use crate::questions::{Need, Noticed, Script};
use crate::units::Units;

/// A kind of file that is asked for.
pub trait Form {
    /// What is asked for: a sentence or two.
    fn about(&self) -> &'static str;

    /// The questions that these answers leave room for, but for the last two: the file's name, and whether to write it.
    fn questions(&self, answers: &Answers) -> Vec<Question>;

    /// Members of the file, or of the item at `index` of a list of it, that nobody is asked for.
    fn given(&self, of: Option<(&'static str, usize)>, answers: &Answers) -> Vec<(&'static str, serde_json::Value)>;

    /// Reads the file as whoever uses it does.
    ///
    /// # Errors
    /// All faults of the file.
    fn read(&self, text: &str) -> Result<(), Faults>;

    /// What is unusual about an answer: a sentence.
    fn unusual(&self, _key: &Key, _given: &Given, _answers: &Answers) -> Option<String> {
        None
    }

    /// What will not go well with a whole file, although it can be read: a sentence each.
    fn doubts(&self, _text: &str) -> Vec<String> {
        Vec::new()
    }

    /// What the file is called where the user does not say.
    fn file(&self, answers: &Answers) -> String;

    /// The command to type next, when the file is at `path`, in the parts that it may be broken into.
    fn next(&self, path: &str, answers: &Answers) -> Vec<String>;
}

/// The script that asks for a file.
pub struct Ask {
    form: Box<dyn Form>,
}

impl Ask {
    /// Asks for a file of this form.
    pub fn new(form: Box<dyn Form>) -> Self {
        Self { form }
    }

    /// The form of the file.
    pub fn form(&self) -> &dyn Form {
        self.form.as_ref()
    }

    /// The file of the answers, as far as they go.
    pub fn written(&self, answers: &Answers) -> Written {
        text::written(self.form(), &self.form.questions(answers), answers)
    }

    /// The first fault of the answers so far that concerns `question` or one that was answered before.
    fn refused(&self, question: &Question, answers: &Answers) -> Option<String> {
        let written = self.written(answers);
        let faults = self.form.read(&written.text).err()?;
        let name = |fault: &Fault| match written.key_of(&fault.field) {
            Some(key) if key == question.key => Some(question.kind.name.clone()),
            Some(key) => self.form.questions(answers).into_iter().find(|q| q.key == key).map(|q| q.kind.name),
            None => None,
        };
        let concerned = faults.0.into_iter().filter(|fault| fault.wrong != Wrong::Missing);
        let named = |fault: Fault| match fault.source.as_str() {
            "" => Some(Fault { field: name(&fault)?, position: None, ..fault }),
            // Of a file that the answer refers to.
            _ => Some(fault),
        };
        concerned.filter_map(named).next().map(|fault| fault.to_string())
    }

    /// What hinders the whole file.
    fn hindrance(&self, answers: &Answers) -> Option<String> {
        let faults = self.form.read(&self.written(answers).text).err()?;
        let all: Vec<String> = faults.0.iter().map(Fault::to_string).collect();
        Some(format!("This cannot be written yet. {} Type back to change an answer, or quit.", all.join(" ")))
    }

    fn last(&self, answers: &Answers) -> [Question; 2] {
        let asked = |kind, name: &str| Asked { kind, name: name.into() };
        let mut file = Question::new(Key::File, asked(Kind::File, "the file"), "What is the file called?", "");
        file.default = Some(self.form.file(answers));
        file.allowed = "a name such as my-chisels.json".into();
        let named = answers.get(&Key::File);
        let what = named.map_or_else(|| "Write the file?".into(), |file| format!("Write {}?", file.said));
        let mut write = Question::new(Key::Write, asked(Kind::YesNo, "the answer"), what, "");
        write.default = Some("yes".into());
        write.allowed = "yes, or no to write nothing".into();
        if named.is_some() {
            write.shown = overview(&self.form.questions(answers), answers);
            let doubts = self.form.doubts(&self.written(answers).text);
            write.shown.extend(doubts.iter().map(|doubt| wrapped(&format!("Warning: {doubt}"))));
        }
        [file, write]
    }
}

impl Script for Ask {
    type Key = Key;
    type Kind = Asked;
    type Given = Given;

    fn questions(&self, answers: &Answers) -> Vec<Question> {
        self.form.questions(answers).into_iter().chain(self.last(answers)).collect()
    }

    fn read(&self, question: &Question, line: &str, answers: &Answers) -> Result<Given, String> {
        let given = self.read_alone(question, line, answers)?;
        let mut with = answers.clone();
        with.put(question.key, given.clone());
        let hindrance = match question.key {
            Key::Write if given.said == "yes" => self.hindrance(&with),
            Key::Write | Key::File => None,
            _ => self.refused(question, &with),
        };
        hindrance.map_or(Ok(given), Err)
    }

    fn read_alone(&self, question: &Question, line: &str, answers: &Answers) -> Result<Given, String> {
        reading::read(question, line, key::units(answers))
    }

    fn written(&self, given: &Given) -> String {
        given.said.clone()
    }

    fn noticed(&self, question: &Question, given: &Given, answers: &Answers) -> Noticed {
        let unusual = self.form.unusual(&question.key, given, answers);
        Noticed { made_of_several: given.made_of_several.clone(), unusual }
    }

    fn forget(&self, key: &Key, answers: &mut Answers) {
        match *key {
            // Bare numbers of former answers were in the former unit.
            Key::Field("units") => answers.retain(|_, given| !["mm", "in"].contains(&given.unit)),
            // Another kind of blade has other sizes.
            Key::Item(list, index, field @ ("tool" | "seat" | "id")) if (list, field) != ("settings", "id") => {
                answers.retain(|other, _| match other {
                    Key::Item(of, i, name) => (*of, *i) != (list, index) || *name == field || *name == "name",
                    _ => true,
                });
            }
            _ => {}
        }
    }

    fn commands(&self) -> &'static str {
        "Enter takes what stands in brackets, back (or <) goes back one question, skip leaves one out, help says it \
         again, quit stops without writing."
    }
}

/// All answers: a line for each field, then one for each item of a list.
fn overview(questions: &[Question], answers: &Answers) -> String {
    let mut text = String::new();
    let mut items: Vec<(usize, Vec<String>)> = Vec::new();
    let mut last = None;
    for question in questions {
        let said = answers.get(&question.key).map(Given::shown);
        let name = &question.kind.name;
        match (question.key, said, &question.need) {
            (Key::Item(list, index, _), Some(said), _) => {
                if last != Some((list, index)) {
                    last = Some((list, index));
                    items.push((index, Vec::new()));
                }
                if let Some((_, all)) = items.last_mut() {
                    all.push(format!("{name} {said}"));
                }
            }
            (Key::Field(_), said, need) => {
                let usual: &str = match need {
                    Need::OrElse(usual) => usual,
                    Need::Required(_) | Need::Optional(_) => "left out",
                };
                let first = format!("  {name:<16} ");
                text += &hanging(said.as_deref().unwrap_or(usual), &first, &" ".repeat(first.chars().count()));
            }
            (Key::Item(..) | Key::Another(..) | Key::File | Key::Write, ..) => {}
        }
    }
    let item = |(index, said): &(usize, Vec<String>)| {
        let first = format!("  {}. ", index + 1);
        hanging(&said.join(" · "), &first, &" ".repeat(first.len()))
    };
    text.extend(items.iter().map(item));
    text
}

/// What a terminal says before the first question.
pub fn introduction(form: &dyn Form) -> String {
    wrapped(form.about())
        + &wrapped(
            "Enter takes what stands in brackets. Type back (or <) to go back one question, skip to leave one out, help \
             to read it again, quit to stop without writing.",
        )
}

/// A question that must be answered, of this kind.
fn asked(key: Key, kind: Kind, name: &str, what: impl Into<String>) -> Question {
    Question::new(key, Asked { kind, name: name.into() }, what, "nothing can be worked out without it")
}

/// Words to choose from, each with its meaning.
fn choices<const N: usize>(words: [[&str; 2]; N]) -> Vec<[String; 2]> {
    words.map(|choice| choice.map(String::from)).into()
}

/// One of some words.
fn choice(key: Key, name: &str, what: impl Into<String>, choices: Vec<[String; 2]>) -> Question {
    let allowed = format!("a number from 1 to {}, or the name", choices.len());
    Question { choices, allowed, ..asked(key, Kind::Choice, name, what) }
}

/// A text.
fn text(key: Key, name: &str, what: impl Into<String>) -> Question {
    Question { allowed: "a few words".into(), ..asked(key, Kind::Text, name, what) }
}

/// A length.
fn length(key: Key, name: &str, what: impl Into<String>, units: Units) -> Question {
    let allowed = match units {
        Units::Mm => "a length, as in 18 or 18.5",
        Units::Inch => "a length, as in 1 3/8 or 1.375",
    };
    let (allowed, unit) = (allowed.into(), units.symbol());
    Question { allowed, unit, several: true, ..asked(key, Kind::Length, name, what) }
}

/// An angle in degrees.
fn degrees(key: Key, name: &str, what: impl Into<String>) -> Question {
    Question { allowed: "an angle in degrees, as in 25".into(), ..asked(key, Kind::Degrees, name, what) }
}

/// The unit of bare numbers.
fn units(default: Units) -> Question {
    let choices = choices([["mm", "millimetres"], ["in", "inches, also as fractions"]]);
    let default = Some(default.symbol().into());
    Question { default, ..choice(Key::Field("units"), "units", "Which units do you measure in?", choices) }
}

/// Whether a list goes on.
fn another(list: &'static str, index: usize, what: &str) -> Question {
    let (allowed, default) = ("yes or no".into(), Some("no".into()));
    Question { allowed, default, ..asked(Key::Another(list, index), Kind::YesNo, "the answer", what) }
}

/// The class of a blade.
fn tool(key: Key, index: usize, choices: Vec<[String; 2]>) -> Question {
    let what = if index == 0 { "Which kind of blade?" } else { "Which kind of blade is the next?" };
    let typing = "Type its number or name, or the path of a tool class of your own (.json).".into();
    Question {
        typing,
        ..Question { kind: Asked { kind: Kind::Profile, name: "tool".into() }, ..choice(key, "tool", what, choices) }
    }
}

/// How thick a blade is.
fn thickness(key: Key, tool: &ToolClass, units: Units) -> Question {
    let need = Need::OrElse(format!("{}, as usual", folder::thick(tool, units)));
    let how = "Measure it at the cutting edge, before the bevel begins: a measured thickness makes the setting truer.";
    Question { need, how: how.into(), ..length(key, "thickness", "How thick is the blade?", units) }
}

/// How high the side lands of a blade are.
fn land(key: Key, tool: &ToolClass, units: Units) -> Question {
    let need = match tool.land {
        Some(land) => Need::OrElse(format!("{}, as usual", units.size(land.mm))),
        None => Need::Required("the guide grips the blade by its side lands".into()),
    };
    let how = "A land is the flat, upright side of the blade, below the slope. Measure its height near the edge.";
    Question { need, how: how.into(), ..length(key, "side land", "How high are its side lands?", units) }
}

/// What is said of a thickness that blades of the class do not have.
fn unusual_thickness(mm: f64, tool: &ToolClass, units: Units) -> Option<String> {
    let off = (mm - tool.thickness.mm).abs() > tool.thickness.within.unwrap_or(f64::INFINITY) + 1e-9;
    off.then(|| format!("That is unusual: most such blades are {} thick.", folder::thick(tool, units)))
}

/// A file's name of a title, in small letters; `otherwise` where nothing is left of it.
fn slug(title: &str, otherwise: &str, ending: &str) -> String {
    const MOST: usize = 60;
    let lower = title.to_lowercase();
    let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let name: String = words.join("-").chars().take(MOST).collect();
    let name = name.trim_end_matches('-');
    format!("{}{ending}.json", if name.is_empty() { otherwise } else { name })
}

/// A path or a value as a shell takes it.
pub fn quoted(said: &str) -> String {
    let plain = said.chars().all(|c| c.is_alphanumeric() || "-_.,/\\:~".contains(c));
    if plain { said.into() } else { format!("\"{said}\"") }
}
