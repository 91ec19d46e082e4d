//! A job: which guide, which blades at which angles, what is made of it.

use serde_json::{Value, json};

use super::key::{self, Answers, Given, Key};
use super::reading::{Asked, Kind, Question};
use super::{Folder, Form};
use crate::drawing::paper::Paper;
use crate::guide::{Guide, ToolClass};
use crate::input::fault::Faults;
use crate::input::length;
use crate::job::{Job, PrintOptions};
use crate::lane::DEFAULT_TOLERANCE;
use crate::lanes;
use crate::questions::Need;
use crate::terms::{Locates, PaperSize};
use crate::units::{Units, Written, exceeds, falls_short, short};

/// The most settings that a job takes.
const MOST: usize = 60;
/// The longest title, characters.
const LONGEST_TITLE: usize = 60;

const GUIDE: Key = Key::Field("guide");
const MAKE: Key = Key::Field("make");
const TITLE: Key = Key::Field("title");

/// Asks for a job.
pub struct JobForm {
    folder: Folder,
    /// Path of the kit that its lanes come from; `None` where kinds of blades and their angles are asked for.
    kit: Option<String>,
    /// Whether that is asked for too which a job mostly leaves as usual.
    is_full: bool,
}

impl JobForm {
    /// A job in this folder.
    pub fn new(folder: Folder) -> Self {
        Self { folder, kit: None, is_full: false }
    }

    /// The same, which asks for more; its lanes come from a kit, where there is one.
    pub fn full(self, kit: Option<String>) -> Self {
        Self { kit, is_full: true, ..self }
    }

    fn guide(&self) -> Question {
        let mut question = super::choice(GUIDE, "guide", "Which guide?", self.folder.guide_choices());
        question.kind.kind = Kind::Profile;
        question.typing =
            "Type its number or name, or the path of a profile (.json). To measure your own guide: stopwright measure"
                .into();
        question.default = self.folder.own_guide().map(Into::into);
        question.need = Need::Required("every distance is worked out from the guide".into());
        question
    }

    /// The questions about the blades of one setting.
    fn setting(&self, index: usize, guide: Option<&Guide>, answers: &Answers) -> Vec<Question> {
        let (at, units) = (|field| Key::Item("settings", index, field), key::units(answers));
        let mut all = vec![super::tool(at("tool"), index, self.folder.tool_choices(units))];
        let Some(name) = answers.said(at("tool")) else { return all };
        let Some(tool) = self.folder.tool(name) else { return all };
        let earlier = |i: usize| answers.said(Key::Item("settings", i, "tool")) == Some(name);
        let same = (0..index).filter(|i| earlier(*i)).count();
        if same > 0 {
            let mut id = super::text(at("id"), "name", "What are these called, to tell them from the others?");
            id.default = Some(format!("{}-{}", tool.name, same + 1));
            all.push(id);
        }
        all.push(angles(at("angles"), &tool));
        all.push(super::thickness(at("thickness"), &tool, units));
        let seat = guide.map(|guide| guide.seat_for(tool.seat).1);
        let widest = guide.map_or(tool.width[1], |guide| tool.widest_in(guide, guide.seat_for(tool.seat).1));
        let mut width = super::length(at("width"), "width", "How wide is the widest of them?", units);
        width.need = Need::OrElse(units.size(widest));
        all.push(width);
        if seat.is_some_and(|seat| seat.locates == Locates::Sides) && !tool.whole_side {
            all.push(super::land(at("land"), &tool, units));
        }
        if self.is_full {
            let edges = super::choices([["near", "the edge toward you"], ["far", "the edge away from you"]]);
            let mut edge = super::choice(at("edge"), "edge", "From which edge of the block are they set?", edges);
            edge.need = Need::OrElse("chosen so that the block is short".into());
            all.push(edge);
        }
        all
    }

    /// What a job mostly leaves as usual.
    fn more(&self, answers: &Answers) -> Vec<Question> {
        let units = key::units(answers);
        let (prints, builds) = (answers.said(MAKE) != Some("jig"), answers.said(MAKE) != Some("block"));
        let flag = |key, name, what, otherwise: &str| {
            let mut question = super::asked(Key::Field(key), Kind::Flag, name, what);
            question.allowed = "yes or no".into();
            question.need = Need::OrElse(otherwise.into());
            question
        };
        let mut all = Vec::new();
        let mut tolerance = super::degrees(Key::Field("tolerance"), "tolerance", "How far off may an angle be?");
        tolerance.how = "To either side. A fence must lie closer the less that is.".into();
        tolerance.need = Need::OrElse(format!("{}°", short(DEFAULT_TOLERANCE, 2)));
        all.push(tolerance);
        if self.kit.is_some() {
            let what = "May irons and chisels share a fence?";
            let mut share = flag("share_across_seats", "sharing", what, "no");
            share.how = "Fewer fences, but irons and chisels at one edge.".into();
            all.push(share);
        }
        if prints {
            let letters = super::choices([
                ["sunk", "into the top of the block"],
                ["raised", "above it"],
                ["none", "no lettering"],
            ]);
            let key = Key::Field("block.labels");
            let mut labels = super::choice(key, "lettering", "How is the block lettered?", letters);
            labels.need = Need::OrElse("sunk".into());
            let mut cleat = flag("block.cleat", "cleat", "Shall a cleat hang it on the edge of the bench?", "no");
            cleat.how = "It is printed beside the block and screwed under it.".into();
            let printer = PrintOptions::default();
            let sized = |key, name, what, mm: f64| {
                let need = Need::OrElse(units.size(mm));
                Question { need, several: false, ..super::length(Key::Field(key), name, what, units) }
            };
            all.extend([
                labels,
                cleat,
                sized("print.nozzle", "nozzle", "How wide is your printer's nozzle?", printer.nozzle),
                sized("print.layer", "layer", "How high is a layer?", printer.layer),
            ]);
        }
        if builds {
            let key = Key::Field("wood.board.thickness");
            let mut board = super::length(key, "board", "How thick is your board?", units);
            board.need = Need::OrElse("advised".into());
            board.several = false;
            all.push(board);
        }
        let papers = super::choices([["A4", ""], ["A3", ""], ["Letter", ""]]);
        let mut paper = super::choice(Key::Field("sheet.size"), "paper", "On which paper are the sheets?", papers);
        paper.need = Need::OrElse(format!(
            "{}, or larger where they need it",
            Paper::sheet(PaperSize::at_home(units), true).name()
        ));
        all.push(paper);
        all
    }

    /// Title after the tools, such as `Plane iron, bench chisel`.
    fn title(&self, answers: &Answers) -> String {
        let mut tools: Vec<String> = Vec::new();
        for index in 0..MOST {
            let tool = answers.said(Key::Item("settings", index, "tool")).and_then(|name| self.folder.tool(name));
            let words = tool.map(|tool| tool.name.replace('-', " "));
            tools.extend(words.filter(|words| !tools.contains(words)));
        }
        let joined = tools.join(", ");
        let mut letters = joined.chars();
        let title: String = letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect();
        let fits = !title.is_empty() && title.chars().count() <= LONGEST_TITLE;
        if fits { title } else { "My blades".into() }
    }
}

impl Form for JobForm {
    fn about(&self) -> &'static str {
        "A job: your guide, your blades and the angles you want. The block is made from it."
    }

    fn questions(&self, answers: &Answers) -> Vec<Question> {
        let guide = answers.said(GUIDE).and_then(|name| self.folder.guide(name));
        let units = key::units(answers);
        let mut all = vec![self.guide(), super::units(guide.as_ref().map_or(Units::Mm, |guide| guide.units))];
        for index in (0..MOST).take_while(|_| self.kit.is_none()) {
            all.extend(self.setting(index, guide.as_ref(), answers));
            if index + 1 < MOST {
                all.push(super::another("settings", index, "Another kind of blade?"));
            }
            if !answers.goes_on("settings", index) {
                break;
            }
        }
        let made = super::choices([
            ["block", "a block to print"],
            ["jig", "a jig to build in wood"],
            ["both", "a block and a jig"],
        ]);
        let mut make = super::choice(MAKE, "what to make", "What shall be made?", made);
        make.kind.kind = Kind::Steer;
        make.default = Some("block".into());
        all.push(make);
        if answers.said(MAKE).is_some_and(|make| make != "jig") {
            let mut bed =
                super::length(Key::Field("print.bed"), "printer bed", "How large is your printer's bed?", units);
            let size = PrintOptions::default().bed;
            bed.kind.kind = Kind::Two;
            bed.several = false;
            bed.allowed = "its width and depth, as in 220 x 220".into();
            bed.need = Need::OrElse(format!(
                "{} x {}",
                units.short(size.width, [1, 2]),
                units.short(size.height, [1, 2]).said()
            ));
            all.push(bed);
        }
        if self.is_full {
            all.extend(self.more(answers));
        }
        let mut title = super::text(TITLE, "title", "Which title goes on the block and its sheets?");
        title.default = Some(self.title(answers));
        all.push(title);
        all
    }

    fn given(&self, of: Option<(&'static str, usize)>, answers: &Answers) -> Vec<(&'static str, Value)> {
        let in_wood = of.is_none() && answers.said(MAKE).is_some_and(|make| make != "block");
        let kit = self.kit.iter().filter(|_| of.is_none()).map(|kit| ("kit", json!(kit)));
        kit.chain(in_wood.then(|| ("wood", json!({})))).collect()
    }

    fn read(&self, text: &str) -> Result<(), Faults> {
        Job::parse("", text.as_bytes(), self.folder.sources.as_ref()).map(|_| ())
    }

    fn unusual(&self, key: &Key, given: &Given, answers: &Answers) -> Option<String> {
        let Key::Item(list, index, field) = *key else { return None };
        let tool = self.folder.tool(answers.said(Key::Item(list, index, "tool"))?)?;
        let units = key::units(answers);
        let mm = length::parse(&given.said, Some(units)).ok()?.mm;
        match field {
            "thickness" => super::unusual_thickness(mm, &tool, units),
            "width" => {
                let guide = self.folder.guide(answers.said(GUIDE)?)?;
                let [low, high] = guide.seat_for(tool.seat).1.blade_width?;
                (falls_short(mm, low) || exceeds(mm, high)).then(|| {
                    let written = Written::of(units);
                    format!("This guide holds blades {} to {} wide.", written.over(low), written.under(high))
                })
            }
            _ => None,
        }
    }

    /// The lanes that cannot be set.
    fn doubts(&self, text: &str) -> Vec<String> {
        let job = Job::parse("", text.as_bytes(), self.folder.sources.as_ref());
        let failed = job.ok().and_then(|job| lanes::of_job(&job).err()).unwrap_or_default();
        failed.iter().map(|no_lane| crate::error::chain(no_lane) + ".").collect()
    }

    fn file(&self, answers: &Answers) -> String {
        super::slug(answers.said(TITLE).unwrap_or_default(), "my-job", "")
    }

    fn next(&self, path: &str, answers: &Answers) -> Vec<String> {
        let command = if answers.said(MAKE) == Some("jig") { "cutsheet" } else { "make" };
        vec![format!("stopwright {command}"), super::quoted(path)]
    }
}

/// Which angles, with those of the class and what each is for.
fn angles(key: Key, tool: &ToolClass) -> Question {
    let name = Asked { kind: Kind::Angles, name: "angles".into() };
    let mut question = Question::new(key, name, "Which bevel angles, in degrees?", "each angle becomes a lane");
    let advised: Vec<String> = tool.angles.iter().map(|a| short(a.angle, 2)).collect();
    question.default = (!advised.is_empty()).then(|| advised.join(", "));
    question.allowed = "angles from 5 to 60 degrees, as in 25, 30".into();
    question.advised = tool
        .angles
        .iter()
        .map(|advised| {
            let reason = advised.reason.split(" (").next().unwrap_or_default();
            [format!("{}°", short(advised.angle, 2)), reason.to_string()]
        })
        .collect();
    question
}
