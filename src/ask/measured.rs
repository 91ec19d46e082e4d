//! Measured fences of a finished block, lane by lane of its job, and angles of blades set with it.

use serde_json::Value;

use super::Form;
use super::key::{self, Answers, Given, Key};
use super::reading::{Kind, Question};
use crate::input::fault::Faults;
use crate::input::length;
use crate::jig::Jig;
use crate::lane::Lane;
use crate::lanes::LaneSet;
use crate::questions::{Need, SEPARATOR};
use crate::units::Units;
use crate::verify::readings::Readings;

/// A fence that is further off than this is more likely a slip of the reading than of the making, mm (common practice, no
/// source).
const FAR_OFF: f64 = 1.0;

/// The most test bevels, and settings on a plate, that are asked for; a file takes more.
const MOST: usize = 100;

const BEVELS: Key = Key::Field("test bevels");
const PLATES: Key = Key::Field("on a plate");

/// A fence that is asked for.
struct Row {
    /// Which of the lanes.
    lane: usize,
    /// How far it should be from its edge, mm.
    wanted: f64,
    /// What the sheet says of it, where it does not say the distance to a hundredth or a thousandth.
    says: Option<String>,
}

/// Asks for the measurements of a block or jig.
pub struct MeasuredForm {
    set: LaneSet,
    /// The fences in the order in which they are asked for.
    rows: Vec<Row>,
    units: Units,
    /// What `verify` needs before the file: the job and its flags.
    command: String,
    /// What the file is called where the user does not say.
    file: String,
}

impl MeasuredForm {
    /// The lanes `set` of a job's block in `units`; `job` is its path and `stem` its name, for the next command and the
    /// file.
    pub fn new(set: LaneSet, units: Units, job: &str, stem: &str) -> Self {
        let row = |(lane, of): (usize, &Lane)| Row { lane, wanted: of.finished(), says: None };
        let rows = set.lanes.iter().enumerate().map(row).collect();
        let command = format!("stopwright verify {}", super::quoted(job));
        Self { set, rows, units, command, file: format!("{stem}-measured.json") }
    }

    /// The same of its wooden jig: row by row as on the check sheet, in the unit of that.
    pub fn of_jig(jig: &Jig, set: LaneSet, job: &str, stem: &str) -> Self {
        let row = |index: usize| {
            let placed = jig.lanes.get(index)?;
            let lane = set.lanes.iter().position(|lane| lane.request.id == placed.lane.request.id)?;
            let says = format!("{} ±{} {}", jig.fence_words(placed), jig.limit_words(placed), jig.written.first_unit());
            Some(Row { lane, wanted: jig.printed(placed), says: Some(says) })
        };
        let rows = jig.in_order().into_iter().filter_map(row).collect();
        let units = if jig.written.mm { Units::Mm } else { Units::Inch };
        let command = format!("stopwright verify --wood {}", super::quoted(job));
        Self { set, rows, units, command, file: format!("{stem}-measured.json") }
    }

    /// Ids of the lanes in the order in which their fences are asked for.
    pub fn lane_ids(&self) -> Vec<String> {
        let id = |row: &Row| self.set.lanes.get(row.lane).map_or_else(String::new, |lane| lane.request.id.clone());
        self.rows.iter().map(id).collect()
    }

    fn fence(&self, index: usize, row: &Row, units: Units) -> Option<Question> {
        let lane = self.set.lanes.get(row.lane)?;
        let what = format!("{}: how far is the fence from its edge?", named(lane));
        let mut question = super::length(Key::Item("lanes", index, "measured"), &named(lane), what, units);
        question.kind.kind = Kind::OneOrTwo;
        question.several = false;
        question.allowed = "one length; or two with ; between them, at the left and at the right".into();
        question.how = format!("The sheet says {}.", row.says(units));
        question.need = Need::OrElse("not measured".into());
        Some(question)
    }

    /// The lanes by their ids.
    fn lane_choices(&self) -> Vec<[String; 2]> {
        self.set.lanes.iter().map(|lane| [lane.request.id.clone(), String::new()]).collect()
    }

    /// The questions about one setting on a plate.
    fn plate(&self, index: usize, answers: &Answers) -> Vec<Question> {
        let (at, units) = (|field| Key::Item("plates", index, field), key::units(answers));
        let before = |field| index.checked_sub(1).and_then(|i| answers.said(Key::Item("plates", i, field)));
        let mut lane = super::choice(at("id"), "lane", "Which lane did you set the blade with?", self.lane_choices());
        lane.default = before("id").map(Into::into);
        let chosen = self.set.lanes.iter().find(|lane| answers.said(at("id")) == Some(lane.request.id.as_str()));
        let mut blades: Vec<&str> =
            chosen.into_iter().flat_map(|lane| &lane.members).map(|m| m.name.as_str()).collect();
        blades.dedup();
        let ways = super::choices([["heights", "of its back above the plate"], ["inclinometer", "laid on its back"]]);
        let mut way = super::choice(at("taken by"), "taken by", "What did you measure?", ways);
        way.kind.kind = Kind::Steer;
        way.default = Some(before("taken by").unwrap_or("heights").into());
        let mut all = vec![lane];
        if let [_, _, ..] = blades[..] {
            let names = blades.iter().map(|name| [name.to_string(), String::new()]).collect();
            let mut blade = super::choice(at("blade"), "blade", "Which blade is it?", names);
            blade.default = before("blade").filter(|name| blades.contains(name)).map(Into::into);
            all.push(blade);
        }
        all.push(way);
        if answers.said(at("taken by")) == Some("inclinometer") {
            all.push(super::degrees(at("inclinometer"), "inclinometer", "What does it read?"));
            let what = "What does it read with guide and blade turned end for end beneath it?";
            let mut turned = super::degrees(at("turned"), "turned", what);
            turned.need = Need::OrElse("not turned; its zero may be off".into());
            all.push(turned);
        } else {
            let mut heights =
                super::length(at("heights"), "heights", "How high is the back above the plate, at P and at Q?", units);
            heights.kind.kind = Kind::Two;
            heights.several = false;
            heights.how = "P is the line near the edge, Q the one behind it.".into();
            heights.allowed = "two lengths with ; between them, P first".into();
            let what = "How far apart are P and Q, along the back?";
            let mut apart = super::length(at("apart"), "from P to Q", what, units);
            apart.default = before("apart").map(Into::into);
            all.extend([heights, apart]);
        }
        let mut bevel = super::degrees(at("bevel"), "bevel", "How steep is the blade's bevel now, at its edge?");
        bevel.need = Need::OrElse("no steeper than the lane".into());
        bevel.default = before("bevel").map(Into::into);
        all.push(bevel);
        all
    }

    /// The questions about one test bevel.
    fn bevel(&self, index: usize, answers: &Answers) -> Vec<Question> {
        let (at, units) = (|field| Key::Item("bevels", index, field), key::units(answers));
        let mut all = vec![super::choice(at("id"), "lane", "Which lane did you hone it with?", self.lane_choices())];
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

impl Row {
    /// What the sheet says of the fence.
    fn says(&self, units: Units) -> String {
        self.says.clone().unwrap_or_else(|| units.fixed(self.wanted, [2, 3]).said())
    }
}

/// A question that opens a list; nothing was measured where it is not answered.
fn yes_or_no(key: Key, name: &str, what: &str) -> Question {
    let mut question = super::asked(key, Kind::YesNo, name, what);
    question.allowed = "yes or no".into();
    question.default = Some("no".into());
    question
}

/// A lane as its sheet names it: `plane-iron 25°`.
fn named(lane: &Lane) -> String {
    let request = &lane.request;
    let name = if request.asked.is_some() { &request.id } else { &request.label };
    format!("{name} {}", request.angle_words())
}

impl Form for MeasuredForm {
    fn about(&self) -> &'static str {
        "What you measured on the finished block. Measure each fence from the edge it is used from, with calipers: once in \
         the middle, or at the left and the right of the lane, as 59.9; 59.94."
    }

    fn questions(&self, answers: &Answers) -> Vec<Question> {
        let units = key::units(answers);
        let mut state =
            super::text(Key::Field("fingerprint"), "fingerprint", "Which fingerprint is on the block or its sheet?");
        state.how = "Four letters and digits; they tell whether guide and job have changed since.".into();
        state.allowed = "four letters and digits".into();
        state.need = Need::OrElse("not read".into());
        let mut all = vec![super::units(self.units), state];
        all.extend(self.rows.iter().enumerate().filter_map(|(i, row)| self.fence(i, row, units)));
        let what = "Did you stand the guide with a set blade on a flat plate, and measure its angle?";
        all.push(yes_or_no(PLATES, "on a plate", what));
        if answers.said(PLATES) == Some("yes") {
            for index in 0..MOST {
                all.extend(self.plate(index, answers));
                if index + 1 < MOST {
                    all.push(super::another("plates", index, "Another setting, made anew?"));
                }
                if !answers.goes_on("plates", index) {
                    break;
                }
            }
        }
        all.push(yes_or_no(BEVELS, "test bevels", "Did you hone a test bevel and measure it?"));
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
        let row = of.filter(|(list, _)| *list == "lanes").and_then(|(_, index)| self.rows.get(index));
        let lane = row.and_then(|row| self.set.lanes.get(row.lane));
        lane.map(|lane| ("id", lane.request.id.as_str().into())).into_iter().collect()
    }

    fn read(&self, text: &str) -> Result<(), Faults> {
        Readings::parse("", text.as_bytes(), &self.set).map(|_| ())
    }

    fn unusual(&self, key: &Key, given: &Given, answers: &Answers) -> Option<String> {
        let Key::Item("lanes", index, _) = *key else { return None };
        let (row, units) = (self.rows.get(index)?, key::units(answers));
        let off = given.said.split(SEPARATOR).filter_map(|text| length::parse(text, Some(units)).ok());
        let off = off.map(|read| read.mm - row.wanted).fold(0.0, |a: f64, b| if b.abs() > a.abs() { b } else { a });
        let sheet = row.says(units);
        (off.abs() > FAR_OFF).then(|| format!("That is {} off the {sheet} of the sheet.", units.size(off.abs())))
    }

    fn file(&self, _answers: &Answers) -> String {
        self.file.clone()
    }

    fn next(&self, path: &str, _answers: &Answers) -> Vec<String> {
        vec![self.command.clone(), super::quoted(path)]
    }
}
