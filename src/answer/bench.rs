//! The bench: what was opened and typed so far, and the files that it makes. The files are those of the command line, so
//! that everything made of a bench can be made there too, byte for byte.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::fields::{AsForm, Field, Filled, Input, Typed, beside, filled, with_units};
use crate::ask::job::JobForm;
use crate::ask::key::Key;
use crate::ask::kit::KitForm;
use crate::ask::measured::MeasuredForm;
use crate::ask::reading::{Kind, Question};
use crate::ask::settings::SettingsForm;
use crate::ask::{Answers, Ask, Folder, Form, Given};
use crate::block::{self, Layout};
use crate::guide::named::{self, GUIDES, NoFiles, Sources};
use crate::guide::{Guide, usual_tool};
use crate::input::fault::{Fault, Faults, Wrong};
use crate::input::nearest::nearest;
use crate::jig::{self, board};
use crate::job::Job;
use crate::lane::NoLane;
use crate::lanes::LaneSet;
use crate::layout::Refused;
use crate::measure::question::AnswerKind;
use crate::measure::{self, Measuring, build, table};
use crate::terms::{Arrangement, SeatName};
use crate::units::{Units, short};
use crate::{error, fit, lanes, questions};

/// Name of the job on the bench.
pub const JOB: &str = "job.json";
/// Name of the kit on the bench.
pub const KIT: &str = "kit.json";
/// Name of its log.
pub const LOG: &str = "kit-log.json";
/// Name of the known settings on the bench.
pub const SETTINGS: &str = "known-settings.json";
/// Name of what was measured on the block or jig.
pub const MEASURED: &str = "measured.json";

/// What was opened and typed so far.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default, rename_all = "kebab-case")]
pub struct Bench {
    /// How the guide is known.
    pub guide: GuideBy,
    /// How the lanes are chosen.
    pub lanes: LanesBy,
    /// Whether the fences that were measured are those of the wooden jig.
    pub of_jig: bool,
    /// What was typed into each form.
    pub typed: BTreeMap<FormName, Typed>,
    /// Files that were opened, by name.
    pub opened: BTreeMap<String, String>,
}

/// How the guide is known.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum GuideBy {
    /// By calipers: the form of the guide. The built-in guide that is most like it tells what the form does not ask first.
    Calipers {
        /// Name of that guide.
        like: String,
    },
    /// By settings that are known: the form of known settings.
    KnownSettings,
    /// By its profile, or a file of known settings: a name of a file that was opened, or of a built-in guide.
    Profile {
        /// The name.
        name: String,
    },
}

impl Default for GuideBy {
    fn default() -> Self {
        Self::Calipers { like: GUIDES[0].name.into() }
    }
}

/// How the lanes are chosen.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LanesBy {
    /// Kinds of blades and the angles wanted of them.
    #[default]
    Angles,
    /// The blades themselves: their angles are advised, and they share fences.
    Blades,
}

/// A form of the bench.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FormName {
    /// The guide, by calipers.
    Guide,
    /// The guide, by known settings.
    KnownSettings,
    /// The blades.
    Blades,
    /// The job: what is made, for which angles where no blades are listed.
    Block,
    /// Fences and angles that were measured.
    Measured,
}

/// A file of the bench.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct NamedFile {
    /// Its name.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// A form and what it makes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct Formed {
    /// What the form is for, in a sentence or two.
    pub about: String,
    /// Its fields.
    pub fields: Vec<Field>,
    /// The file that it makes; null as long as something must still be typed or is refused.
    pub file: Option<NamedFile>,
    /// What is wrong with the whole; whole sentences.
    pub faults: Vec<String>,
}

/// Files by name.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Files(pub BTreeMap<String, String>);

impl Files {
    fn add(&mut self, file: Option<&NamedFile>) {
        self.0.extend(file.map(|file| (file.name.clone(), file.text.clone())));
    }
}

impl Sources for Files {
    fn load(&self, path: &str) -> Result<(String, Vec<u8>), String> {
        let found = self.0.get(path).map(|text| (path.to_string(), text.clone().into_bytes()));
        found.ok_or_else(|| format!("there is no \"{path}\" on the bench"))
    }

    fn near(&self, path: &str) -> Option<String> {
        nearest(path, self.0.keys().map(String::as_str)).map(str::to_string)
    }
}

impl Bench {
    /// Whether nothing is to be printed.
    pub(super) fn makes_a_jig_alone(&self) -> bool {
        self.typed.get(&FormName::Block).and_then(|typed| typed.get("make")).is_some_and(|make| make == "jig")
    }

    /// What was typed into a form. Which guide a job is for has a view of its own, and no field in the job's form.
    fn typed(&self, form: FormName) -> Typed {
        let mut typed = self.typed.get(&form).cloned().unwrap_or_default();
        if form == FormName::Block {
            typed.remove("guide");
        }
        typed
    }

    /// The form of the guide by calipers. What is not typed of a guide's build is that of the guide it is most like; its
    /// lengths are never taken from there.
    pub fn guide_form(&self) -> Formed {
        let typed = self.typed(FormName::Guide);
        let like = match &self.guide {
            GuideBy::Calipers { like } => like.as_str(),
            _ => GUIDES[0].name,
        };
        let Filled { fields, answers, is_whole } = filled(&Measuring, &typed, &build_like(like));
        let (mut file, mut faults) = (None, Vec::new());
        if is_whole {
            let text = build::profile(&answers).map_err(|e| e.to_string());
            match text
                .and_then(|profile| build::text(&profile).map(|text| (profile.name, text)).map_err(|e| e.to_string()))
            {
                Ok((name, text)) => file = Some(NamedFile { name: format!("{name}.json"), text }),
                Err(fault) => faults.push(fault),
            }
        }
        let read = file.as_ref().map(|file| Guide::parse(&file.name, file.text.as_bytes()));
        if let Some(Err(wrong)) = read {
            faults.extend(all_said(&wrong));
            file = None;
        }
        let about = "Calipers on the guide, no blade in it. Several readings of one length tell how far off it may be.";
        Formed { about: about.into(), fields, file, faults }
    }

    /// The form of the guide by known settings. What a maker's table does not tell is taken as usual, and said:
    /// [`Bench::taken_as_usual`].
    pub fn settings_form(&self) -> Formed {
        let typed = self.typed(FormName::KnownSettings);
        let mut defaults = Typed::from([("name", "my-guide"), (ROLLER, USUAL_ROLLER)].map(owned));
        let mut seats: Vec<&str> = Vec::new();
        for i in 0..typed.len() {
            let Some(seat) = typed.get(&format!("known.{i}.seat")).map(String::as_str) else { continue };
            if !seats.contains(&seat) {
                seats.push(seat);
                defaults.extend(usual_size(seat).map(|size| (format!("known.{i}.thickness"), size)));
            }
        }
        self.formed(FormName::KnownSettings, SettingsForm, SETTINGS, &defaults)
    }

    /// The form of the blades.
    pub fn blades_form(&self) -> Formed {
        let form = KitForm::new(folder(Files(self.opened.clone()))).full();
        self.formed(FormName::Blades, form, KIT, &Typed::new())
    }

    /// What nobody measured and is taken as usual; whole sentences.
    pub fn taken_as_usual(&self) -> Vec<String> {
        let is_open = self.guide == GuideBy::KnownSettings && !self.typed(FormName::KnownSettings).contains_key(ROLLER);
        let words = format!(
            "Nobody measured the roller: {USUAL_ROLLER} mm is taken. Known settings hang little on it, but whether the \
             roller clears block and bench does: measure it before you build."
        );
        is_open.then_some(words).into_iter().collect()
    }

    /// What the guide is called in a job, and its file where it has one.
    ///
    /// # Errors
    /// What is wrong with the form that it is known by; whole sentences, none where something must still be typed.
    pub(super) fn guide_file(&self) -> Result<(String, Option<NamedFile>), Vec<String>> {
        let of = |formed: Formed| match formed.file {
            Some(file) => Ok((file.name.clone(), Some(file))),
            None => Err(formed.faults),
        };
        match &self.guide {
            GuideBy::Calipers { .. } => of(self.guide_form()),
            GuideBy::KnownSettings => of(self.settings_form()),
            GuideBy::Profile { name } => {
                let text = self.opened.get(name);
                Ok((name.clone(), text.map(|text| NamedFile { name: name.clone(), text: text.clone() })))
            }
        }
    }

    /// The guide of the bench, what it is called in a job, and the opened files with its own among them.
    ///
    /// # Errors
    /// What is wrong with it; whole sentences, none where something must still be typed.
    fn known_guide(&self) -> (Result<(String, Guide), Vec<String>>, Files) {
        let mut files = Files(self.opened.clone());
        let guide = self.guide_file().and_then(|(name, file)| {
            files.add(file.as_ref());
            let guide = fit::guide::named(&name, &files).map_err(|faults| all_said(&faults))?;
            Ok((name, guide))
        });
        (guide, files)
    }

    /// What must still be typed for there to be a guide; a sentence.
    fn still_open(&self) -> Vec<String> {
        let form = match self.guide {
            GuideBy::KnownSettings => self.settings_form(),
            _ => self.guide_form(),
        };
        let is_open =
            |field: &&Field| field.refused.is_some() || !field.may_be_left_out && field.typed.trim().is_empty();
        let open: Vec<&str> = form.fields.iter().filter(is_open).map(|field| field.what.as_str()).collect();
        vec![format!("Of the guide must still be filled in: {}.", open.join("; "))]
    }

    /// The guide.
    ///
    /// # Errors
    /// What is wrong with it; whole sentences, none where something must still be typed.
    pub fn guide(&self) -> Result<Guide, Vec<String>> {
        self.known_guide().0.map(|(_, guide)| guide)
    }

    /// All that the bench makes, each file from those before it.
    pub fn laid(&self) -> Laid {
        let (guide, mut files) = self.known_guide();
        let blades = (self.lanes == LanesBy::Blades).then(|| self.blades_form());
        files.add(blades.as_ref().and_then(|formed| formed.file.as_ref()));
        // As long as there is no guide, the one that it is most like stands in for it in the form.
        let like = match &self.guide {
            GuideBy::Calipers { like } => like.as_str(),
            _ => GUIDES[0].name,
        };
        let in_place = named::guide(like, &NoFiles).ok().map(|guide| (like.to_string(), guide));
        let known = guide.as_ref().ok().or(in_place.as_ref());
        let mut defaults = usual_lanes(known.map(|(_, guide)| guide));
        defaults.insert("guide".into(), known.map_or(like, |(name, _)| name.as_str()).into());
        let form = JobForm::new(folder(files.clone())).full(blades.is_some().then(|| KIT.into()));
        let mut block = self.formed(FormName::Block, form, JOB, &defaults);
        // Which guide it is for is chosen in a view of its own.
        block.fields.retain(|field| field.key != "guide");
        let guide = guide.map(|(_, guide)| guide);
        let job = match (&guide, &blades, &block.file) {
            (Err(faults), ..) if faults.is_empty() => Err(self.still_open()),
            (Err(faults), ..) => Err(faults.clone()),
            (_, Some(Formed { file: None, .. }), _) | (.., None) => Err(faults_of(blades.as_ref(), &block)),
            (.., Some(file)) => {
                Job::parse(&file.name, file.text.as_bytes(), &files).map_err(|faults| all_said(&faults))
            }
        };
        files.add(block.file.as_ref());
        let taken_as_usual = self.taken_as_usual();
        Laid { files, guide, blades, block, taken_as_usual, job, lanes: OnceLock::new(), layouts: OnceLock::new() }
    }

    /// The bench with another unit of bare lengths. What was typed before keeps its own, which is written to it.
    pub(super) fn in_units(&self, units: Units) -> Self {
        let laid = self.laid();
        let measured = laid.job.as_ref().ok().and_then(|job| self.measured_form(job).ok());
        let forms = [
            (FormName::Guide, Some(self.guide_form())),
            (FormName::KnownSettings, Some(self.settings_form())),
            (FormName::Blades, Some(self.blades_form())),
            (FormName::Block, Some(laid.block)),
            (FormName::Measured, measured),
        ];
        let mut bench = self.clone();
        for (name, formed) in forms {
            let typed = bench.typed.entry(name).or_default();
            for field in formed.iter().flat_map(|formed| &formed.fields) {
                if let Some(line) = typed.get_mut(&field.key) {
                    *line = with_units(field, line);
                }
            }
            typed.insert("units".into(), units.symbol().into());
        }
        bench
    }

    /// The form of what was measured on the block or the jig of the job.
    ///
    /// # Errors
    /// Why there is no lane to measure; whole sentences.
    pub fn measured_form(&self, job: &Job) -> Result<Formed, Vec<String>> {
        let mut formed = self.formed(FormName::Measured, self.to_measure(job)?, MEASURED, &Typed::new());
        let is_measured = |key: &String| ["lanes.", "plates.", "bevels."].iter().any(|list| key.starts_with(list));
        // As long as nothing was measured, nothing is wrong.
        if !self.typed(FormName::Measured).keys().any(is_measured) {
            formed.faults.clear();
        }
        Ok(formed)
    }

    /// What is to be measured on the block or the jig of the job.
    ///
    /// # Errors
    /// Why there is no lane to measure; whole sentences.
    pub(super) fn to_measure(&self, job: &Job) -> Result<MeasuredForm, Vec<String>> {
        let no_lanes = |lanes: Vec<NoLane>| lanes.iter().map(|lane| error::chain(lane) + ".").collect::<Vec<String>>();
        if !self.of_jig {
            return Ok(MeasuredForm::new(lanes::of_job(job).map_err(no_lanes)?, job.units, JOB, "job"));
        }
        let set = board::lanes(job).map_err(no_lanes)?;
        let jig = jig::lay_out(job, &set).map_err(|refused| refused.0)?;
        Ok(MeasuredForm::of_jig(&jig, set, JOB, "job"))
    }

    /// A form whose file is read as a whole: faults of it stand at their fields.
    fn formed(&self, name: FormName, form: impl Form + 'static, file: &str, defaults: &Typed) -> Formed {
        let (about, ask) = (form.about(), Ask::new(Box::new(form)));
        let typed = self.typed(name);
        let Filled { mut fields, answers, is_whole } = filled(&ask, &typed, defaults);
        let written = ask.written(&answers);
        let asked: Vec<&str> = fields.iter().map(|field| field.key.as_str()).collect();
        let text = with_unasked(written.text.clone(), typed.iter().filter(|(key, _)| !asked.contains(&key.as_str())));
        let mut faults = Vec::new();
        let read = ask.form().read(&text).err().unwrap_or_default();
        for fault in read.0 {
            let at = written.key_of(&fault.field).map(|key| key.to_string());
            let field = fields.iter_mut().find(|field| Some(&field.key) == at.as_ref());
            match field {
                Some(field) if field.refused.is_none() => {
                    let name = ask.form().questions(&answers).into_iter().find(|q| q.key.to_string() == field.key);
                    let named = name.map_or(fault.field.clone(), |q| q.kind.name);
                    field.refused =
                        Some(beside(&named, &Fault { field: named.clone(), position: None, ..fault }.to_string()));
                }
                // What is missing is said at its field already.
                _ if fault.wrong == Wrong::Missing && !is_whole => {}
                _ => faults.push(said(&fault)),
            }
        }
        let is_sound = is_whole && faults.is_empty() && fields.iter().all(|field| field.refused.is_none());
        let file = is_sound.then(|| NamedFile { name: file.into(), text });
        Formed { about: about.into(), fields, file, faults }
    }
}

/// All that the files of a bench make.
pub struct Laid {
    /// The files that were opened and made.
    pub files: Files,
    /// The guide; else what is wrong with it, nothing where something must still be typed.
    pub guide: Result<Guide, Vec<String>>,
    /// The form of the blades, where lanes come from it.
    pub blades: Option<Formed>,
    /// The form of the job.
    pub block: Formed,
    /// What nobody measured and is taken as usual; whole sentences.
    pub taken_as_usual: Vec<String>,
    /// The job; else what is wrong with it or with what it needs.
    pub job: Result<Job, Vec<String>>,
    lanes: OnceLock<Result<LaneSet, Vec<String>>>,
    layouts: OnceLock<Result<Vec<Layout>, Refused>>,
}

impl Laid {
    /// The job.
    ///
    /// # Errors
    /// What is wrong with it or with what it needs; whole sentences.
    pub(super) fn job(&self) -> Result<&Job, Vec<String>> {
        self.job.as_ref().map_err(Clone::clone)
    }

    /// The lanes of its printed blocks, solved when they are first asked for.
    ///
    /// # Errors
    /// Why there are none; whole sentences.
    pub(super) fn lanes(&self) -> Result<&LaneSet, Vec<String>> {
        let job = self.job()?;
        let solved = || lanes::of_job(job).map_err(|failed| super::not_set(&failed, job.written));
        self.lanes.get_or_init(solved).as_ref().map_err(Clone::clone)
    }

    /// Its printed blocks, laid out when they are first asked for.
    ///
    /// # Errors
    /// Why there are no lanes; whole sentences. Inside, why they are refused.
    pub(super) fn layouts(&self) -> Result<Result<&[Layout], &Refused>, Vec<String>> {
        let (job, set) = (self.job()?, self.lanes()?);
        let laid_out = || block::lay_out_all(job, set).map(|(layouts, _)| layouts);
        Ok(self.layouts.get_or_init(laid_out).as_ref().map(Vec::as_slice))
    }
}

/// Why forms make no file: their faults, what they refuse, and what must still be typed; whole sentences.
fn faults_of(blades: Option<&Formed>, block: &Formed) -> Vec<String> {
    let of = |formed: &Formed| {
        let is_open = |field: &&Field| !field.may_be_left_out && field.typed.trim().is_empty();
        let open: Vec<&str> = formed.fields.iter().filter(is_open).map(|field| field.what.as_str()).collect();
        let open = (!open.is_empty()).then(|| format!("Must still be filled in: {}", open.join(" ")));
        // Away from its field, what is refused says of what.
        let refused = formed.fields.iter().filter_map(|f| Some(format!("{} {}", f.what, f.refused.as_ref()?)));
        formed.faults.iter().cloned().chain(refused).chain(open).collect::<Vec<_>>()
    };
    blades.into_iter().chain([block]).flat_map(of).collect()
}

fn all_said(faults: &Faults) -> Vec<String> {
    faults.0.iter().map(said).collect()
}

/// A fault as the page says it: the name of a file of the bench's own tells nothing.
pub(super) fn said(fault: &Fault) -> String {
    Fault { position: None, source: String::new(), ..fault.clone() }.to_string()
}

fn owned((key, value): (&str, &str)) -> (String, String) {
    (key.into(), value.into())
}

fn folder(files: Files) -> Folder {
    let paths: Vec<String> = files.0.keys().cloned().collect();
    Folder::new(Box::new(files), &paths)
}

/// Where the form of known settings asks for the roller.
const ROLLER: &str = "measured.roller.diameter";
/// What is taken for a roller that nobody measured, mm: between those of the built-in guides (common practice, no source).
const USUAL_ROLLER: &str = "19 ± 3";

/// How thick the usual blades of a seat are, with their range, mm.
fn usual_size(seat: &str) -> Option<String> {
    let name = if seat == SeatName::Iron.name() { "plane-iron" } else { "bench-chisel" };
    let thickness = named::tool(name, &NoFiles).ok()?.thickness;
    Some(format!("{} ± {} mm", short(thickness.mm, 2), short(thickness.within?, 2)))
}

/// What the form of a guide need not ask where the guide is like a built-in one: everything but lengths.
fn build_like(name: &str) -> Typed {
    let mut known = Typed::from([("name", "my-guide"), ("units", "mm")].map(owned));
    let Ok(guide) = named::guide(name, &NoFiles) else { return known };
    let seats: Vec<SeatName> = guide.seats().map(|(name, _)| name).collect();
    // One seat makes a block; the other may be added.
    known.extend(seats.first().map(|seat| ("seats".to_string(), seat.name().to_string())));
    known.extend(guide.seats().map(|(name, seat)| (format!("seats.{name}.locates"), seat.locates.name().to_string())));
    let arrangement = guide.roller.arrangement.map(|arrangement| match arrangement {
        Arrangement::Centre => "centre",
        Arrangement::Pair => "pair",
    });
    known.extend(arrangement.map(|word| ("roller.arrangement".to_string(), word.to_string())));
    known
}

/// The usual blades of a guide's seats, at the angles that are advised.
fn usual_lanes(guide: Option<&Guide>) -> Typed {
    let mut typed = Typed::new();
    let Some(guide) = guide else { return typed };
    let tools: Vec<&str> = guide.seats().map(|(name, seat)| usual_tool(name, seat)).collect();
    for (i, tool) in tools.iter().enumerate() {
        typed.insert(format!("settings.{i}.tool"), tool.to_string());
        if i + 1 < tools.len() {
            typed.insert(format!("settings.{i}.another"), "yes".into());
        }
    }
    typed
}

/// The text of a file with members that no form asks for, each under its dotted path, as JSON or as a text.
fn with_unasked<'t>(text: String, unasked: impl Iterator<Item = (&'t String, &'t String)>) -> String {
    let is_files = |key: &str, value: &str| !value.trim().is_empty() && !key.ends_with(".another");
    let unasked: Vec<_> = unasked.filter(|(key, value)| is_files(key, value)).collect();
    let Some(mut file) = serde_json::from_str::<Value>(&text).ok().filter(|_| !unasked.is_empty()) else { return text };
    for (path, value) in unasked {
        let value = serde_json::from_str(value).unwrap_or_else(|_| Value::String(value.clone()));
        put(&mut file, path, value);
    }
    format!("{file:#}\n")
}

/// Puts a value at a dotted path; nothing where an item of a list is not there.
fn put(at: &mut Value, path: &str, value: Value) {
    let (first, rest) = path.split_once('.').map_or((path, None), |(first, rest)| (first, Some(rest)));
    let next = match at {
        // A list that is not there has no items to put anything into.
        Value::Object(_) if first.bytes().all(|b| b.is_ascii_digit()) => return,
        Value::Object(members) => members.entry(first).or_insert_with(|| Value::Object(Default::default())),
        Value::Array(items) => match first.parse::<usize>().ok().and_then(|i| items.get_mut(i)) {
            Some(item) => item,
            None => return,
        },
        _ => return,
    };
    match rest {
        Some(rest) => put(next, rest, value),
        None => *next = value,
    }
}

impl AsForm for Measuring {
    fn input(&self, question: &questions::Question<measure::Field, ()>) -> Option<Input> {
        let (_, asked) = table::find(question.key)?;
        match asked.kind {
            _ if question.key == measure::Field::Write => None,
            AnswerKind::Name | AnswerKind::Text(_) => Some(Input::Text),
            AnswerKind::Choice(_) => Some(Input::Choice),
            AnswerKind::Single(_) => Some(Input::Number),
            AnswerKind::Length(_) => Some(Input::Readings),
            AnswerKind::Pair(_) => Some(Input::Two),
        }
    }

    fn name(&self, question: &questions::Question<measure::Field, ()>) -> String {
        question.tag.clone()
    }

    fn letter(&self, key: &measure::Field) -> &'static str {
        table::find(*key).map_or("", |(_, question)| question.symbol)
    }
}

/// The lists that forms ask for item by item.
const LISTS: [&str; 5] = ["settings", "blades", "known", "plates", "bevels"];

impl AsForm for Ask {
    fn lists(&self, typed: &Typed) -> Answers {
        let mut answers = Answers::default();
        for (key, _) in typed.iter().filter(|(_, said)| *said == "yes") {
            let Some((list, index)) = key.strip_suffix(".another").and_then(|item| item.rsplit_once('.')) else {
                continue;
            };
            let list = LISTS.into_iter().find(|known| *known == list);
            if let (Some(list), Ok(index)) = (list, index.parse()) {
                answers.put(Key::Another(list, index), Given { value: None, ..Given::word("yes") });
            }
        }
        answers
    }

    fn name(&self, question: &Question) -> String {
        question.kind.name.clone()
    }

    fn input(&self, question: &Question) -> Option<Input> {
        match question.key {
            Key::File | Key::Write => return None,
            Key::Another(..) => return Some(Input::Another),
            Key::Field(_) | Key::Item(..) => {}
        }
        Some(match question.kind.kind {
            Kind::Text | Kind::Texts | Kind::File => Input::Text,
            Kind::Choice | Kind::Steer | Kind::Profile => Input::Choice,
            Kind::Some => Input::Several,
            Kind::YesNo | Kind::Flag => Input::YesNo,
            Kind::Degrees => Input::Number,
            Kind::Angles => Input::Numbers,
            Kind::Length if question.several => Input::Readings,
            Kind::Length => Input::Number,
            Kind::Two => Input::Two,
            Kind::OneOrTwo => Input::OneOrTwo,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Found by fuzzing: a guide typed into the form of the block was refused at a field that the form does not show, and
    /// nothing was said of it.
    #[test]
    fn the_guide_is_known_from_its_own_view_alone() {
        let typed = BTreeMap::from([(FormName::Block, Typed::from([("guide", "none of them")].map(owned)))]);
        let known = GuideBy::Profile { name: GUIDES[0].name.into() };
        let job = Bench { guide: known, typed, ..Bench::default() }.laid().job;
        assert_eq!(job.map(|job| job.guide.name), Ok(GUIDES[0].name.to_string()));
    }
}
