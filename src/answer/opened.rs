//! Opening a file onto the bench, and saving the bench as one.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

use super::bench::{Bench, FormName, Formed, GuideBy, LOG, LanesBy};
use super::fields::{Input, Typed};
use super::parts::Parts;
use super::reply::{Files, Opened};
use crate::error;
use crate::format::Artifact;
use crate::guide::Guide;
use crate::guide::named::GUIDES;
use crate::input::document::Document;
use crate::lane;

/// Name of the file that a bench is saved as.
const BENCH: &str = "my-bench.json";

/// A bench as a file: files of the existing forms, each by its name, and what none of them says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Bundle {
    format: u32,
    bench: BTreeMap<String, Value>,
    /// How the guide is known: as long as that is not settled, the job names one like it.
    guide: Option<GuideBy>,
    /// Whether nothing is to be printed.
    #[serde(default)]
    jig_alone: bool,
    /// Whether what was measured are the fences of the jig.
    #[serde(default)]
    of_jig: bool,
}

/// Saves all files that the bench makes as one.
///
/// # Errors
/// Those of the writer of JSON.
pub(super) fn saved(bench: &Bench, parts: &mut Parts) -> Result<Files, Vec<String>> {
    let laid = bench.laid();
    let measured = laid.job.as_ref().ok().and_then(|job| bench.measured_form(job).ok()?.file);
    let mut files = laid.files.0;
    files.extend(measured.map(|measured| (measured.name, measured.text)));
    let value = |(name, text): (String, String)| Some((name, serde_json::from_str(&text).ok()?));
    let files = files.into_iter().filter_map(value).collect();
    let (guide, jig_alone) = (Some(bench.guide.clone()), bench.makes_a_jig_alone());
    let bundle = Bundle { format: 1, bench: files, guide, jig_alone, of_jig: bench.of_jig };
    let text = serde_json::to_string_pretty(&bundle).map_err(|e| vec![error::sentence(&e.to_string())])? + "\n";
    let what = "all files of the bench";
    parts.file(Artifact { name: BENCH.into(), what: what.into(), bytes: text.into_bytes() });
    Ok(Files { what: vec![what.into()], warnings: Vec::new() })
}

/// Opens a file: a saved bench, a job, a kit with its log, a guide, known settings, or what was measured.
///
/// # Errors
/// What is wrong with a text that cannot be read at all; whole sentences.
pub(super) fn opened(bench: &Bench, name: &str, text: &str) -> Result<Opened, Vec<String>> {
    Document::parse(name, text.as_bytes())
        .map_err(|faults| faults.0.iter().map(ToString::to_string).collect::<Vec<_>>())?;
    let file: Value = serde_json::from_str(text).map_err(|e| vec![error::sentence(&e.to_string())])?;
    let none = || {
        vec![format!("{name} is none of Stopwright's files: a guide, known settings, a kit, a job or measurements.")]
    };
    let members = file.as_object().ok_or_else(none)?;
    if members.contains_key("bench") {
        let bundle: Bundle =
            serde_json::from_value(file).map_err(|e| vec![format!("{name}: {}", error::sentence(&e.to_string()))])?;
        return of_bundle(&bundle, name);
    }
    let kind = Kind::of(members).ok_or_else(none)?;
    Ok(kind.onto(bench.clone(), name, text, &file))
}

/// What a file is, by its members.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    Tool,
    Guide,
    Settings,
    Kit,
    Log,
    Job,
    Measured,
}

impl Kind {
    fn of(members: &Map<String, Value>) -> Option<Self> {
        let has = |name: &str| members.contains_key(name);
        Some(match () {
            () if has("settings") || has("kit") && has("guide") => Kind::Job,
            () if has("entries") => Kind::Log,
            () if has("blades") => Kind::Kit,
            () if has("roller") || has("seats") => Kind::Guide,
            () if has("known") => Kind::Settings,
            () if has("lanes") || has("plates") || has("bevels") => Kind::Measured,
            () if has("angles") && has("thickness") => Kind::Tool,
            () => return None,
        })
    }

    /// The bench with the file.
    fn onto(self, mut bench: Bench, name: &str, text: &str, file: &Value) -> Opened {
        let mut faults = Vec::new();
        let (form, what) = match self {
            Kind::Tool => {
                bench.opened.insert(name.into(), text.into());
                (FormName::Blades, "a class of blades")
            }
            Kind::Guide => {
                match Guide::parse(name, text.as_bytes()) {
                    Err(wrong) => {
                        faults = super::told(&wrong);
                        bench.opened.insert(name.into(), text.into());
                        bench.guide = GuideBy::Profile { name: name.into() };
                    }
                    Ok(guide) => bench.take_guide(name, text, file, &guide),
                }
                (FormName::Guide, "a guide")
            }
            Kind::Settings => {
                bench.guide = GuideBy::KnownSettings;
                bench.typed.insert(FormName::KnownSettings, typed(file));
                bench.settle(FormName::KnownSettings, |bench| Some(bench.settings_form()));
                (FormName::KnownSettings, "known settings of a guide")
            }
            Kind::Kit => {
                bench.lanes = LanesBy::Blades;
                bench.typed.insert(FormName::Blades, typed(file));
                bench.settle(FormName::Blades, |bench| Some(bench.blades_form()));
                (FormName::Blades, "a kit")
            }
            Kind::Log => {
                bench.opened.insert(LOG.into(), text.into());
                (FormName::Blades, "a log")
            }
            Kind::Job => {
                let mut typed = typed(file);
                if let Some(guide) = typed.remove("guide") {
                    let own = bench.guide_file().is_ok_and(|(name, _)| name == file_name(&guide));
                    if GUIDES.iter().any(|b| b.name == guide) {
                        bench.guide = GuideBy::Profile { name: guide };
                    } else if bench.opened.contains_key(file_name(&guide)) {
                        bench.guide = GuideBy::Profile { name: file_name(&guide).into() };
                    } else if !own {
                        faults.push(format!(
                            "It is for the guide {guide}, which is not on the bench. Open that file too."
                        ));
                    }
                }
                bench.lanes = if typed.remove("kit").is_some() { LanesBy::Blades } else { LanesBy::Angles };
                let is_listed = bench.typed.contains_key(&FormName::Blades);
                if bench.lanes == LanesBy::Blades && !is_listed {
                    faults.push("Its lanes come from a kit, which is not on the bench. Open that file too.".into());
                }
                let in_wood = file.get("wood").is_some();
                if in_wood {
                    typed.insert("make".into(), "both".into());
                }
                bench.typed.insert(FormName::Block, typed);
                bench.settle(FormName::Block, |bench| Some(bench.laid().block));
                (FormName::Block, "a job")
            }
            Kind::Measured => {
                let ids = bench.laid().job.and_then(|job| bench.to_measure(&job)).map(|form| form.lane_ids());
                bench.typed.insert(FormName::Measured, measured(file, &ids.unwrap_or_default()));
                bench.settle(FormName::Measured, |bench| bench.measured_form(&bench.laid().job.ok()?).ok());
                (FormName::Measured, "measurements")
            }
        };
        Opened { bench, form, what: what.into(), faults: faults.iter().map(|fault| super::seen(fault)).collect() }
    }
}

/// A saved bench: its files one after the other, those first that others need.
fn of_bundle(bundle: &Bundle, name: &str) -> Result<Opened, Vec<String>> {
    let mut all: Vec<(Kind, &String, &Value)> = Vec::new();
    for (file, value) in &bundle.bench {
        let kind = value.as_object().and_then(Kind::of);
        let kind = kind.ok_or_else(|| vec![format!("{name} has {file}, which is none of Stopwright's files.")])?;
        all.push((kind, file, value));
    }
    all.sort_by_key(|(kind, ..)| *kind);
    let mut bench = Bench { of_jig: bundle.of_jig, ..Bench::default() };
    let (mut form, mut faults) = (FormName::Guide, Vec::new());
    for (kind, file, value) in all {
        let opened = kind.onto(bench, file, &format!("{value:#}\n"), value);
        (bench, form) = (opened.bench, opened.form);
        faults.extend(opened.faults);
        if kind == Kind::Job && bundle.jig_alone {
            bench.typed.entry(FormName::Block).or_default().insert("make".into(), "jig".into());
        }
    }
    if let Some(guide) = &bundle.guide {
        bench.guide = guide.clone();
    }
    Ok(Opened { bench, form, what: "a saved bench".into(), faults })
}

/// What a file says, as it would be typed: each value under its dotted path. Lists and toleranced lengths stay as JSON until
/// the form tells how they are typed, and for good where it does not ask for them.
fn typed(file: &Value) -> Typed {
    let mut all = Typed::new();
    flatten("", file, &mut all);
    all.remove("format");
    all
}

fn flatten(path: &str, value: &Value, all: &mut Typed) {
    let at = |name: &str| if path.is_empty() { name.to_string() } else { format!("{path}.{name}") };
    let mut put = |text: String| {
        all.insert(path.to_string(), text);
    };
    match value {
        Value::Object(members) if members.contains_key("value") => put(value.to_string()),
        Value::Object(members) => members.iter().for_each(|(name, value)| flatten(&at(name), value, all)),
        Value::Array(items) if items.iter().any(|item| item.is_object() && item.get("value").is_none()) => {
            for (i, item) in items.iter().enumerate() {
                flatten(&at(&i.to_string()), item, all);
                // As told: what a form has in a further item by itself is not the file's.
                let goes_on = if i + 1 < items.len() { "yes" } else { "no" };
                all.insert(format!("{path}.{i}.another"), goes_on.into());
            }
        }
        Value::Array(_) => put(value.to_string()),
        Value::Bool(is) => put(if *is { "yes" } else { "no" }.into()),
        plain_value => put(plain(plain_value)),
    }
}

/// The name of a file without its folders: on the bench there are none.
fn file_name(path: &str) -> &str {
    path.rsplit(['/', '\\']).next().unwrap_or(path)
}

/// A value as it is typed: a text without its quotes, a toleranced length with its ±.
fn plain(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Object(members) => {
            let part = |name: &str| members.get(name).map(plain);
            let within = part("within").map_or_else(String::new, |within| format!(" ± {within}"));
            part("value").unwrap_or_default() + &within
        }
        other => other.to_string(),
    }
}

/// What was measured, as it would be typed: fences by the places of their lanes, whose ids are `ids`.
fn measured(file: &Value, ids: &[String]) -> Typed {
    let mut all = typed(file);
    let items = |list: &str| file.get(list).and_then(Value::as_array).cloned().unwrap_or_default();
    let id_of = |item: &Value| {
        let stated = item.get("id").and_then(Value::as_str).map(str::to_string);
        let [tool, angle] = ["tool", "angle"].map(|name| item.get(name));
        stated.or_else(|| Some(lane::id_of(tool?.as_str()?, angle?.as_f64()?)))
    };
    all.retain(|key, _| !["lanes.", "plates.", "bevels."].iter().any(|list| key.starts_with(list)));
    for item in items("lanes") {
        let place = id_of(&item).and_then(|id| ids.iter().position(|known| *known == id));
        if let Some((place, value)) = place.zip(item.get("measured")) {
            flatten(&format!("lanes.{place}.measured"), value, &mut all);
        }
    }
    // What tells how an angle was taken is no member of the file.
    let ways = [
        ("plates", "on a plate", "taken by", "inclinometer", ["inclinometer", "heights"]),
        ("bevels", "test bevels", "read by", "angle_read", ["angle", "length"]),
    ];
    for (list, opens, steers, told_by, [told, other]) in ways {
        let items = items(list);
        for (i, item) in items.iter().enumerate() {
            flatten(&format!("{list}.{i}"), item, &mut all);
            let at = |field: &str| format!("{list}.{i}.{field}");
            all.extend(id_of(item).map(|id| (at("id"), id)));
            ["tool", "angle"].into_iter().for_each(|field| {
                all.remove(&at(field));
            });
            let way = if item.get(told_by).is_some() { told } else { other };
            all.insert(at(steers), way.into());
            if i + 1 < items.len() {
                all.insert(at("another"), "yes".into());
            }
        }
        if !items.is_empty() {
            all.insert(opens.into(), "yes".into());
        }
    }
    all
}

impl Bench {
    /// Takes a guide as what calipers read, where the form can hold all that its profile says; else as it is.
    fn take_guide(&mut self, name: &str, text: &str, file: &Value, guide: &Guide) {
        let mut typed = typed(file);
        let seats: Vec<&str> = guide.seats().map(|(name, _)| name.name()).collect();
        typed.insert("seats".into(), if let [one] = seats[..] { one } else { "both" }.into());
        typed.insert("units".into(), guide.units.symbol().into());
        let mut own =
            Self { guide: GuideBy::default(), typed: BTreeMap::from([(FormName::Guide, typed)]), ..self.clone() };
        own.settle(FormName::Guide, |bench| Some(bench.guide_form()));
        let again = own.guide_form().file.and_then(|file| Guide::parse(&file.name, file.text.as_bytes()).ok());
        if again.as_ref() == Some(guide) {
            self.guide = own.guide;
            self.typed.extend(own.typed.remove_entry(&FormName::Guide));
        } else {
            self.opened.insert(name.into(), text.into());
            self.guide = GuideBy::Profile { name: name.into() };
        }
    }

    /// Turns lists and toleranced lengths that were opened into what would be typed for them, as far as the form asks for
    /// them.
    fn settle(&mut self, form: FormName, formed: impl Fn(&Self) -> Option<Formed>) {
        loop {
            let Some(fields) = formed(self).map(|formed| formed.fields) else { return };
            let mut changed = false;
            for field in fields {
                let typed = self.typed.entry(form).or_default().get_mut(&field.key);
                let Some(typed) = typed.filter(|typed| typed.starts_with(['[', '{'])) else { continue };
                let items = match serde_json::from_str(typed) {
                    Ok(Value::Array(items)) => items,
                    Ok(value @ Value::Object(_)) => vec![value],
                    _ => continue,
                };
                let between = match field.input {
                    Input::Readings | Input::Two | Input::OneOrTwo => "; ",
                    _ => ", ",
                };
                *typed = items.iter().map(plain).collect::<Vec<_>>().join(between);
                changed = true;
            }
            if !changed {
                return;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::BENCH;
    use crate::answer::bench::{JOB, KIT, LOG, MEASURED, SETTINGS};

    #[test]
    fn names_of_the_bench_are_told_apart() {
        let names = [JOB, KIT, LOG, SETTINGS, MEASURED, BENCH];
        for (i, name) in names.iter().enumerate() {
            assert!(!names[..i].contains(name) && name.ends_with(".json"), "{name}");
        }
    }
}
