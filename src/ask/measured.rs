//! Measured fences and test bevels of a finished block, lane by lane of its job.

use serde_json::Value;

use super::Form;
use super::key::{self, Answers, Given, Key};
use super::reading::{Kind, Question};
use crate::input::fault::Faults;
use crate::input::length;
use crate::lane::Lane;
use crate::lanes::LaneSet;
use crate::questions::{Need, SEPARATOR};
use crate::units::Units;
use crate::verify::readings::Readings;

/// A fence that is further off than this is more likely a slip of the reading than of the making, mm (common practice, no
/// source).
const FAR_OFF: f64 = 1.0;

/// The most test bevels that are asked for; a file takes more.
const MOST: usize = 100;

const BEVELS: Key = Key::Field("test bevels");

/// Asks for the measurements of a block or jig.
pub struct MeasuredForm {
    set: LaneSet,
    units: Units,
    /// What `verify` needs before the file: the job and its flags.
    command: String,
    /// What the file is called where the user does not say.
    file: String,
}

impl MeasuredForm {
    /// The lanes `set` of a job in `units`; `job` is its path and `stem` its name, for the next command and the file.
    pub fn new(set: LaneSet, units: Units, job: &str, stem: &str, in_wood: bool) -> Self {
        let flag = if in_wood { " --wood" } else { "" };
        let command = format!("stopwright verify{flag} {}", super::quoted(job));
        Self { set, units, command, file: format!("{stem}-measured.json") }
    }

    fn fence(&self, index: usize, lane: &Lane, units: Units) -> Question {
        let what = format!("{}: how far is the fence from its edge?", named(lane));
        let mut question = super::length(Key::Item("lanes", index, "measured"), &named(lane), what, units);
        question.kind.kind = Kind::OneOrTwo;
        question.several = false;
        question.allowed = "one length; or two with ; between them, at the left and at the right".into();
        question.how = format!("The sheet says {}.", units.fixed(lane.finished(), [2, 3]).said());
        question.need = Need::OrElse("not measured".into());
        question
    }

    /// The questions about one test bevel.
    fn bevel(&self, index: usize, answers: &Answers) -> Vec<Question> {
        let (at, units) = (|field| Key::Item("bevels", index, field), key::units(answers));
        let lanes = self.set.lanes.iter().map(|lane| [lane.request.id.clone(), String::new()]).collect();
        let mut all = vec![super::choice(at("id"), "lane", "Which lane did you hone it with?", lanes)];
        let ways =
            super::choices([["length", "of the flat bevel, edge to heel"], ["angle", "with a protractor or gauge"]]);
        let mut way = super::choice(at("read by"), "read by", "What did you measure of it?", ways);
        way.kind.kind = Kind::Steer;
        way.default = Some("length".into());
        all.push(way);
        if answers.said(at("read by")) == Some("angle") {
            all.push(super::degrees(at("angle_read"), "angle", "Which angle did you read?"));
        } else {
            all.push(super::length(at("bevel_length"), "bevel length", "How long is the bevel?", units));
        }
        let lane = self.set.lanes.iter().find(|lane| answers.said(at("id")) == Some(lane.request.id.as_str()));
        if let Some(lane) = lane {
            let mut thickness = super::length(at("thickness"), "thickness", "How thick is that blade?", units);
            thickness.need = Need::OrElse(units.size(lane.request.blade.thickness.mm));
            all.push(thickness);
        }
        all
    }
}

/// A lane as its sheet names it: `plane-iron 25°`.
fn named(lane: &Lane) -> String {
    let request = &lane.request;
    let name = if request.asked.is_some() { &request.id } else { &request.label };
    format!("{name} {}", request.angle_words())
}

impl Form for MeasuredForm {
    fn introduction(&self) -> String {
        let what = "What you measured on the finished block. Measure each fence from the edge it is used from, with \
                    calipers: once in the middle, or at the left and the right of the lane, as 59.9; 59.94.";
        super::introduction(what)
    }

    fn questions(&self, answers: &Answers) -> Vec<Question> {
        let units = key::units(answers);
        let mut state =
            super::text(Key::Field("fingerprint"), "fingerprint", "Which fingerprint is on the block or its sheet?");
        state.how = "Four letters and digits; they tell whether guide and job have changed since.".into();
        state.allowed = "four letters and digits".into();
        state.need = Need::OrElse("not read".into());
        let mut all = vec![super::units(self.units), state];
        all.extend(self.set.lanes.iter().enumerate().map(|(i, lane)| self.fence(i, lane, units)));
        let mut bevels = super::asked(BEVELS, Kind::YesNo, "test bevels", "Did you hone a test bevel and measure it?");
        bevels.allowed = "yes or no".into();
        bevels.default = Some("no".into());
        all.push(bevels);
        if answers.said(BEVELS) == Some("yes") {
            for index in 0..MOST {
                all.extend(self.bevel(index, answers));
                if index + 1 < MOST {
                    all.push(super::another("bevels", index, "Another test bevel?"));
                }
                if !answers.goes_on("bevels", index) {
                    break;
                }
            }
        }
        all
    }

    fn given(&self, of: Option<(&'static str, usize)>, _answers: &Answers) -> Vec<(&'static str, Value)> {
        let lane = of.filter(|(list, _)| *list == "lanes").and_then(|(_, index)| self.set.lanes.get(index));
        lane.map(|lane| ("id", lane.request.id.as_str().into())).into_iter().collect()
    }

    fn read(&self, text: &str) -> Result<(), Faults> {
        Readings::parse("", text.as_bytes(), &self.set).map(|_| ())
    }

    fn unusual(&self, key: &Key, given: &Given, answers: &Answers) -> Option<String> {
        let Key::Item("lanes", index, _) = *key else { return None };
        let (lane, units) = (self.set.lanes.get(index)?, key::units(answers));
        let off = given.said.split(SEPARATOR).filter_map(|text| length::parse(text, Some(units)).ok());
        let off =
            off.map(|read| read.mm - lane.finished()).fold(0.0, |a: f64, b| if b.abs() > a.abs() { b } else { a });
        let sheet = units.fixed(lane.finished(), [2, 3]).said();
        (off.abs() > FAR_OFF).then(|| format!("That is {} off the {sheet} of the sheet.", units.size(off.abs())))
    }

    fn file(&self, _answers: &Answers) -> String {
        self.file.clone()
    }

    fn next(&self, path: &str, _answers: &Answers) -> Vec<String> {
        vec![self.command.clone(), super::quoted(path)]
    }
}
