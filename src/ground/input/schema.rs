//! Holds a document against the JSON Schema generated from a profile type, and collects every fault.
//!
//! The published schema files and this check come from one source, so they cannot disagree. Understood: `$ref`,
//! `type`, `properties`, `required`, `additionalProperties: false`, `items`, `minItems`, `maxItems`, `enum`, `const`,
//! `minimum`, `maximum`, `minLength`, `maxLength`, `oneOf` of constants, `anyOf` with `null`; and keywords of
//! our own, which carry the range of a leaf that JSON Schema cannot state across units: `x-mm` (a length, range in
//! mm; `x-mm-or-pair` where a list of two may stand for it, `x-each-mm` for each of a list), `x-degrees` (an angle) and `x-taper` (a taper, range in degrees). A `null` counts as a field left out.
//! `x-lettered` marks names that drawings show, and whose signs the drawings' font must have; `x-file-name` those that
//! files are called by.
//! Duplicate fields, which JSON Schema cannot see, are faults too.
//!
//! One walk does it, which streams through the text. It goes first without keeping anything, to the first fault: large
//! sound files are neither held in memory as values nor placed. Only if there is one, it goes again from the start,
//! mends, and asks the document where each fault stands.

use std::collections::HashSet;
use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde_json::Value as Json;

use super::document::{Document, Node, Value};
use super::fault::{Fault, Faults, Wrong};
use super::form::{Field, Form, Kind};
use super::length::{Amount, AngleForm, LENGTH_FORMS, LengthForm, NoLength, TaperForm, degrees_meant};
use super::nearest::nearest;
use super::renamed;
use super::tree::{Name, OfTree, Tree};
use crate::format::names::{FILE_NAME, is_file_name};
use crate::shape::script::{is_hidden, unshown};
use crate::units::{Units, short};

/// What a check found.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// Every fault, in the order of the document.
    pub faults: Faults,
    /// Dotted paths of the known fields that are missing or hold no value of theirs.
    pub spoiled: Vec<String>,
    /// The document without what is unknown or stands there twice, and with a stand-in for every spoiled field, so
    /// that the rules beyond the schema can still be tried on all that is sound.
    pub mended: Json,
}

/// A schema made ready for checking, once for all documents.
pub struct Ready {
    /// The schema.
    pub schema: Json,
    form: Form,
}

impl Ready {
    /// Makes a schema ready.
    pub fn of(schema: Json) -> Self {
        Self { form: Form::of(&schema), schema }
    }
}

/// Whether `document` has no fault against a schema, told without keeping anything; a sound one whose unit comes after
/// its lengths may be told to be none.
pub fn is_sound(document: &Document, schema: &Ready) -> bool {
    Walk::new(document, Units::Mm, false).run(&schema.form).is_ok()
}

/// Every fault of `document` against a schema.
///
/// # Errors
/// One fault, with its place: the document is no JSON.
pub fn check(document: &Document, schema: &Ready) -> Result<Checked, Faults> {
    document.judge()?;
    let units = match document.root().member("units").map(|node| &node.value) {
        Some(Value::Text(text)) if text == Units::Inch.symbol() => Units::Inch,
        _ => Units::Mm,
    };
    let mut walk = Walk::new(document, units, true);
    let mended = walk.run(&schema.form).ok().flatten().map_or(Json::Null, |mended| *mended);
    if walk.count > MOST_SHOWN {
        let found = format!("{} faults, of which the first {MOST_SHOWN} are shown", walk.count);
        walk.faults.0.push(document.fault_of_all(found, "a file of the documented form"));
    }
    Ok(Checked { faults: walk.faults, spoiled: walk.spoiled, mended })
}

/// More faults than this help nobody, and a file that is none of ours can have a million.
pub const MOST_SHOWN: usize = 100;

/// A mended value; none while nothing is mended. Boxed, since most walks hand on nothing and a value is large.
type Mended = Option<Box<Json>>;

struct Walk<'a> {
    document: &'a Document,
    units: Units,
    /// Whether the walk goes on past a fault and mends it; else the first one ends it.
    mends: bool,
    /// Whether a length was read already, in the units of then.
    measured: bool,
    /// How many faults were found; not all of them are kept.
    count: usize,
    faults: Faults,
    spoiled: Vec<String>,
    /// Where the walk is: places among the members and items around.
    path: Vec<usize>,
    /// Of each object around, from the outermost in: which of its fields came already.
    seen: Vec<bool>,
}

/// What a fault is of.
enum Of<'n> {
    /// The value where the walk is.
    Value,
    /// Its name.
    Name,
    /// The field of this name, which the object where the walk is lacks.
    Missing(&'n str),
}

impl<'a> Walk<'a> {
    fn new(document: &'a Document, units: Units, mends: bool) -> Self {
        let (faults, spoiled, path, seen) = (Faults::default(), Vec::new(), Vec::new(), Vec::new());
        Self { document, units, mends, measured: false, count: 0, faults, spoiled, path, seen }
    }

    /// Walks the whole document; its mended value, if the walk mends.
    fn run(&mut self, form: &Form) -> serde_json::Result<Mended> {
        let mut text = serde_json::Deserializer::from_str(self.document.text());
        let mended = Step { walk: self, form }.deserialize(&mut text)?;
        text.end()?;
        Ok(mended)
    }

    fn fault(&mut self, of: Of<'_>, found: &str, allowed: String) {
        let rule = |field, _: &Node| Fault::new(field, found, allowed);
        self.add(of, rule);
    }

    /// The value where the walk is, as the user wrote it, is not what is allowed.
    fn refuse(&mut self, allowed: String) {
        self.refuse_near(allowed, None);
    }

    /// The same, with the word that was perhaps meant.
    fn refuse_near(&mut self, allowed: String, near: Option<String>) {
        self.add(Of::Value, |field, node| Fault {
            wrong: Wrong::Value,
            near,
            ..Fault::new(field, node.describe(), allowed)
        });
    }

    /// The same, with what was perhaps meant, if anything was.
    fn refuse_meant(&mut self, allowed: String, meant: Option<String>) {
        let mend = meant.map(|meant| format!("Write {meant}."));
        self.add(Of::Value, |field, node| {
            Fault { wrong: Wrong::Value, ..Fault::new(field, node.describe(), allowed) }.mended(mend)
        });
    }

    /// The same of a part of the value, where it has parts.
    fn refuse_part(&mut self, part: &str, allowed: String) {
        self.add(Of::Value, |field, node| {
            let (field, node) = match node.member(part) {
                Some(inner) => (format!("{field}.{part}"), inner),
                None => (field, node),
            };
            Fault { wrong: Wrong::Value, ..Fault::new(field, node.describe(), allowed) }
        });
    }

    fn add(&mut self, of: Of<'_>, fault: impl FnOnce(String, &Node) -> Fault) {
        self.count += 1;
        if self.mends && self.count <= MOST_SHOWN {
            let place = self.document.place(&self.path);
            let (field, offset) = match of {
                Of::Value => (place.field(None), place.node.start),
                Of::Name => (place.field(None), place.name_at),
                Of::Missing(name) => (place.field(Some(name)), place.node.start),
            };
            self.faults.0.push(self.document.fault_at(offset, fault(field, place.node)));
        }
    }

    /// The field where the walk is has a name that is not known among `names`.
    fn unknown<'n>(&mut self, name: &str, names: impl Iterator<Item = &'n str>, allowed: String) {
        self.add(Of::Name, |field, _| Fault {
            wrong: Wrong::Unknown,
            ..Fault::new(field, "an unknown field", allowed).near(name, names)
        });
    }

    /// Whether to go on: always when mending, else until the first fault.
    fn on<E: Error>(&self) -> Result<(), E> {
        if self.mends || self.count == 0 { Ok(()) } else { Err(E::custom("a fault")) }
    }

    /// A stand-in where no value of `form` was found; at a field of this name that is missing.
    fn spoil(&mut self, form: &Form, missing: Option<&str>) -> Mended {
        if !self.mends {
            return None;
        }
        self.spoiled.push(self.document.place(&self.path).field(missing));
        Some(form.stand_in().into())
    }

    /// Does something one step further in; only a walk that mends asks where it is.
    fn within<T>(&mut self, step: usize, act: impl FnOnce(&mut Self) -> T) -> T {
        if !self.mends {
            return act(self);
        }
        self.path.push(step);
        let done = act(self);
        self.path.pop();
        done
    }

    /// Whether a text is plainly sound: nearly all of a large file's values are, and need no more looking at.
    fn takes_text(&self, text: &str, form: &Form) -> bool {
        let sound = match &form.kind {
            Kind::Text { least, most, file_name: false, .. } => {
                let count = text.len() as u64;
                let is_plain = text.bytes().all(|b| (b' '..=b'~').contains(&b));
                is_plain && least.is_none_or(|least| count >= least) && most.is_none_or(|most| count <= most)
            }
            Kind::Choice(choices) => choices.iter().any(|choice| choice.as_str() == Some(text)),
            _ => false,
        };
        sound && !self.mends
    }

    /// Whether a number is plainly sound.
    fn takes(&mut self, number: f64, form: &Form) -> bool {
        let (range, value) = match form.kind {
            Kind::Length(range) | Kind::LengthOrPair(range) => {
                self.measured = true;
                (range, number * self.units.mm())
            }
            Kind::Angle(range) => (range, number),
            _ => return false,
        };
        !self.mends && (range[0]..=range[1]).contains(&value)
    }

    /// Checks a value that holds no values of other forms, or one of the wrong kind.
    fn leaf(&mut self, value: &Tree<'_>, form: &Form) -> Mended {
        if form.optional && *value == Tree::Null {
            return self.mends.then(|| Json::Null.into());
        }
        let before = self.count;
        match (&form.kind, value) {
            (Kind::Length(range), _) => self.length(value, *range),
            (Kind::LengthOrPair(range), _) => self.length_or_pair(value, *range),
            (Kind::Angle(range), _) => self.angle(value, *range),
            (Kind::Taper(range), _) => self.taper(value, *range),
            (Kind::Choice(choices), _) => {
                let is = |choice: &Json| match (value, choice) {
                    (Tree::Text(text), Json::String(s)) => text == s,
                    (Tree::Number(n), Json::Number(m)) => m.as_f64() == Some(*n),
                    _ => false,
                };
                if !choices.iter().any(is) {
                    let near = match value {
                        Tree::Text(text) => nearest(text, choices.iter().filter_map(Json::as_str)).map(str::to_string),
                        _ => None,
                    };
                    match meant(value, &form.kind) {
                        Some(meant) => self.refuse_meant(form.kind.allowed(), Some(meant)),
                        None => self.refuse_near(form.kind.allowed(), near),
                    }
                }
            }
            (Kind::Text { least, most, lettered, file_name }, Tree::Text(text)) => {
                let found = self.count;
                self.text(text, [*least, *most], *lettered);
                if *file_name && self.count == found && !is_file_name(text) {
                    self.refuse(FILE_NAME.into());
                }
            }
            (Kind::Number { least, most, whole }, Tree::Number(n)) => {
                let out = least.is_some_and(|least| *n < least) || most.is_some_and(|most| *n > most);
                if !n.is_finite() || out || (*whole && n.fract() != 0.0) {
                    self.refuse(form.kind.allowed());
                }
            }
            (Kind::Truth, Tree::Bool(_)) | (Kind::Any, _) => {}
            (kind, _) => self.refuse_meant(kind.allowed(), meant(value, kind)),
        }
        self.kept(before, form, || value.to_json())
    }

    /// The value itself, or a stand-in if it has had a fault since `before`.
    fn kept(&mut self, before: usize, form: &Form, value: impl FnOnce() -> Json) -> Mended {
        if self.count > before {
            return self.spoil(form, None);
        }
        self.mends.then(|| value().into())
    }

    /// The units of the file, while nothing is mended: lengths before them cannot have been in others.
    fn found<E: Error>(&mut self, units: Units) -> Result<(), E> {
        if self.measured && units != self.units {
            return Err(E::custom("units after a length"));
        }
        self.units = units;
        Ok(())
    }

    /// A list must have as many items as it should.
    fn items(&mut self, count: u64, least: Option<u64>, most: Option<u64>) {
        if least.is_some_and(|n| count < n) || most.is_some_and(|n| count > n) {
            self.refuse(match (least, most) {
                (Some(a), Some(b)) if a == b => format!("a list of {a}"),
                (a, Some(b)) => format!("a list of {} to {b}", a.unwrap_or(0)),
                (a, None) => format!("a list of at least {}", a.unwrap_or(0)),
            });
        }
    }

    fn text(&mut self, text: &str, [least, most]: [Option<u64>; 2], lettered: bool) {
        let count = text.chars().count() as u64;
        if least.is_some_and(|n| count < n) || most.is_some_and(|n| count > n) {
            let most = most.filter(|n| least != Some(*n)).map_or_else(String::new, |n| format!(" to {n}"));
            self.refuse(format!("a text of {}{most} characters", least.unwrap_or(0)));
        } else if let Some(unshown) = unshown(text).filter(|_| lettered) {
            self.add(Of::Value, |field, _| {
                Fault { wrong: Wrong::Has, ..Fault::new(field, unshown.found, "") }.mended(Some(unshown.mend.into()))
            });
        } else if let Some(sign) = text.chars().find(|c| *c != '\n' && is_hidden(*c)) {
            self.add(Of::Value, |field, _| {
                let found = format!("U+{:04X}, which nobody can see", sign as u32);
                Fault { wrong: Wrong::Has, ..Fault::new(field, found, "") }.mended(Some("Take it out.".into()))
            });
        }
    }

    fn in_range(&mut self, value: f64, within: Option<f64>, range: [f64; 2], sign: &str, per: f64) {
        let [low, high] = range;
        let span = high - low;
        if !(low..=high).contains(&value) {
            self.refuse_part("value", format!("{} to {} {sign}", short(low / per, 4), short(high / per, 4)));
        } else if within.is_some_and(|w| !(0.0..=span / 2.0).contains(&w)) {
            self.refuse_part("within", format!("a tolerance of 0 to {} {sign}", short(span / 2.0 / per, 4)));
        }
    }

    fn length(&mut self, value: &Tree<'_>, range: [f64; 2]) {
        self.measured = true;
        let Some(form) = self.read(value, length_form, LENGTH_FORMS) else { return };
        match form.read(self.units) {
            Ok(length) => self.in_range(length.mm, length.within, range, self.units.symbol(), self.units.mm()),
            Err(cause) => self.no_length(&cause, LENGTH_FORMS),
        }
    }

    fn no_length(&mut self, cause: &NoLength, allowed: &str) {
        self.add(Of::Value, |field, _| Fault::new(field, &cause.found, allowed).mended(cause.mend()));
    }

    fn length_or_pair(&mut self, value: &Tree<'_>, range: [f64; 2]) {
        match value {
            Tree::Array(items) if items.len() == 2 => {
                items.iter().enumerate().for_each(|(i, item)| self.within(i, |walk| walk.length(item, range)));
            }
            Tree::Array(_) => self.refuse("a length, or a list of two".into()),
            _ => self.length(value, range),
        }
    }

    fn angle(&mut self, value: &Tree<'_>, range: [f64; 2]) {
        let Some(form) = self.read(value, angle_form, "degrees, or {\"value\": …, \"within\": …}") else { return };
        let angle = form.read();
        self.in_range(angle.degrees, angle.within, range, "degrees", 1.0);
    }

    fn taper(&mut self, value: &Tree<'_>, range: [f64; 2]) {
        let allowed = "degrees, {\"value\": …, \"within\": …}, or {\"heel\": L, \"upper\": L, \"apart\": L}";
        self.measured = true;
        let Some(form) = self.read(value, taper_form, allowed) else { return };
        match form.read(self.units) {
            Ok(taper) => self.in_range(taper.degrees, taper.within, range, "degrees", 1.0),
            Err(cause) => self.no_length(&cause, allowed),
        }
    }

    /// A leaf of several forms; its own unknown and duplicate fields come out as "not of this form".
    fn read<T>(&mut self, value: &Tree<'_>, read: fn(&Tree<'_>) -> Option<T>, allowed: &str) -> Option<T> {
        if let Tree::Object(members) = value {
            for (i, (name, _)) in members.iter().enumerate() {
                let known = PARTS.contains(&name.as_ref());
                let twice = members[..i].iter().any(|m| m.0 == *name);
                if !known || twice {
                    self.within(i, |walk| match known {
                        true => walk.fault(Of::Name, "the same field a second time", "each field once".into()),
                        false => walk.unknown(name, PARTS[..2].iter().copied(), allowed.into()),
                    });
                    return None;
                }
            }
        }
        let form = read(value);
        if form.is_none() {
            let mend = meant(value, &Kind::Number { least: None, most: None, whole: false });
            self.refuse_meant(allowed.into(), mend);
        }
        form
    }
}

/// Holds the next value of the text against a form.
struct Step<'w, 'a> {
    walk: &'w mut Walk<'a>,
    form: &'w Form,
}

impl Step<'_, '_> {
    fn number<E: Error>(self, number: f64) -> Result<Mended, E> {
        if self.walk.takes(number, self.form) { Ok(None) } else { self.leaf(Ok(Tree::Number(number))) }
    }

    fn leaf<E: Error>(self, value: Result<Tree<'_>, E>) -> Result<Mended, E> {
        let mended = self.walk.leaf(&value?, self.form);
        self.walk.on()?;
        Ok(mended)
    }
}

impl<'de> DeserializeSeed<'de> for Step<'_, '_> {
    type Value = Mended;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Mended, D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Step<'_, '_> {
    type Value = Mended;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        OfTree.expecting(f)
    }

    fn visit_unit<E: Error>(self) -> Result<Mended, E> {
        self.leaf(OfTree.visit_unit())
    }

    fn visit_bool<E: Error>(self, b: bool) -> Result<Mended, E> {
        self.leaf(OfTree.visit_bool(b))
    }

    fn visit_u64<E: Error>(self, number: u64) -> Result<Mended, E> {
        self.number(number as f64)
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<Mended, E> {
        self.number(number as f64)
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<Mended, E> {
        self.number(number)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Mended, E> {
        if self.walk.takes_text(text, self.form) {
            return Ok(None);
        }
        self.leaf(Ok(Tree::Text(text.into())))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Mended, A::Error> {
        let Kind::List { item, least, most } = &self.form.kind else { return self.leaf(OfTree.visit_seq(items)) };
        let (walk, mut mended, mut count) = (self.walk, Vec::new(), 0);
        while let Some(value) = walk.within(count, |walk| items.next_element_seed(Step { walk, form: item }))? {
            count += 1;
            mended.extend(value.map(|value| *value));
        }
        let before = walk.count;
        walk.items(count as u64, *least, *most);
        walk.on()?;
        Ok(walk.kept(before, self.form, || Json::Array(mended)))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut members: A) -> Result<Mended, A::Error> {
        let Kind::Object { fields, required } = &self.form.kind else { return self.leaf(OfTree.visit_map(members)) };
        let (walk, mut mended) = (self.walk, serde_json::Map::new());
        let (at_root, seen_from) = (walk.seen.is_empty(), walk.seen.len());
        walk.seen.resize(seen_from + fields.len(), false);
        let (mut strangers, mut misspelt, mut next) = (None, Vec::new(), 0);
        for i in 0.. {
            let Some(Name(name)) = members.next_key()? else { break };
            // Most files have their fields in the order of the schema.
            let known = (next..fields.len()).chain(0..next).find(|at| fields[*at].name == name);
            next = known.map_or(next, |at| at + 1);
            // Under a name of before, the value is held against the field of today.
            let today = known.or_else(|| renamed::today(&name, fields));
            let twice = match today {
                Some(at) => std::mem::replace(&mut walk.seen[seen_from + at], true),
                None => !strangers.get_or_insert_with(HashSet::new).insert(name.clone()),
            };
            let renamed = today.filter(|_| known.is_none()).map(|at| fields[at].name.as_str());
            if let Some(new) = renamed {
                walk.within(i, |walk| walk.unknown(&name, std::iter::empty(), renamed::allowed(new)));
                walk.on()?;
                walk.spoiled.push(walk.document.place(&walk.path).field(Some(new)));
            }
            let value = walk.within(i, |walk| match today {
                Some(at) if !twice => {
                    let step = Step { walk: &mut *walk, form: &fields[at].form };
                    if at_root && name == "units" && !step.walk.mends {
                        let units: Units = members.next_value()?;
                        return step.walk.found(units).map(|()| None);
                    }
                    members.next_value_seed(step)
                }
                _ => {
                    members.next_value::<IgnoredAny>()?;
                    if twice && renamed.is_none() {
                        walk.fault(Of::Name, "the same field a second time", "each field once".into());
                    } else if renamed.is_none() {
                        let names = || fields.iter().map(|f| f.name.as_str());
                        if walk.count < MOST_SHOWN {
                            misspelt.extend(nearest(&name, names()).map(str::to_string));
                        }
                        walk.unknown(&name, names(), names().collect::<Vec<_>>().join(", "));
                    }
                    walk.on().map(|()| None)
                }
            })?;
            if let Some(value) = value {
                mended.insert(renamed.map_or(name.into(), str::to_string), *value);
            }
        }
        let lacks = |at: &&usize| !walk.seen[seen_from + **at];
        let missing: Vec<&Field> = required.iter().filter(lacks).map(|at| &fields[*at]).collect();
        walk.seen.truncate(seen_from);
        for field in missing {
            // Who wrote another name for it is told its name there.
            if !misspelt.contains(&field.name) {
                let mend = to_add(field);
                walk.add(Of::Missing(&field.name), |at, _| {
                    Fault { wrong: Wrong::Missing, ..Fault::new(at, "nothing", "") }.mended(Some(mend))
                });
            }
            walk.on()?;
            mended.extend(walk.spoil(&field.form, Some(&field.name)).map(|value| (field.name.clone(), *value)));
        }
        Ok(walk.mends.then(|| Json::Object(mended).into()))
    }
}

/// The fields of the forms that a length, an angle or a taper may have.
const PARTS: [&str; 5] = ["value", "within", "heel", "upper", "apart"];

/// What was meant by a value of another form, as it is to be written: a number in quotes or with a degree sign, one value
/// where a list is wanted, or the list in quotes.
fn meant(value: &Tree<'_>, kind: &Kind) -> Option<String> {
    match (kind, value) {
        (Kind::Number { .. }, Tree::Text(text)) => degrees_meant(text).map(|number| short(number, 6)),
        (Kind::Choice(choices), Tree::Text(text)) => {
            let number: f64 = text.trim().trim_start_matches("1/").parse().ok()?;
            let choice = choices.iter().find(|choice| choice.as_f64() == Some(number))?;
            Some(choice.to_string())
        }
        (Kind::Choice(choices), Tree::Number(number)) => {
            let text = short(*number, 6);
            choices.iter().find(|choice| choice.as_str() == Some(&text)).map(Json::to_string)
        }
        (Kind::Text { .. }, Tree::Number(number)) => Some(format!("\"{}\"", short(*number, 6))),
        (Kind::Truth, Tree::Text(text)) => match text.to_lowercase().as_str() {
            "yes" | "true" | "on" => Some("true".into()),
            "no" | "false" | "off" => Some("false".into()),
            _ => None,
        },
        (Kind::Truth, Tree::Number(number)) => (*number == 0.0 || *number == 1.0).then(|| (*number == 1.0).to_string()),
        (Kind::List { item, least, .. }, Tree::Number(number)) if matches!(item.kind, Kind::Number { .. }) => {
            (least.unwrap_or(0) <= 1).then(|| format!("[{}]", short(*number, 6)))
        }
        (Kind::List { item, .. }, Tree::Text(text)) if matches!(item.kind, Kind::Number { .. } | Kind::Length(_)) => {
            let numbers: Option<Vec<f64>> =
                text.split([',', ';', 'x', '×']).map(|part| part.trim().parse().ok()).collect();
            let numbers: Vec<String> = numbers?.into_iter().map(|number| short(number, 6)).collect();
            Some(format!("[{}]", numbers.join(", ")))
        }
        _ => None,
    }
}

/// What to do where a field is missing.
fn to_add(field: &Field) -> String {
    let about = field.about.as_ref().map_or_else(String::new, |about| in_a_sentence(about));
    let about = about.split(". ").next().unwrap_or_default().trim_end_matches('.');
    match &field.form.kind {
        Kind::Number { least: Some(least), most: Some(most), .. } if least == most => {
            format!("Add \"{}\": {}.", field.name, short(*least, 6))
        }
        _ if about.is_empty() => format!("Add \"{}\".", field.name),
        _ => format!("Add \"{}\": {about}.", field.name),
    }
}

/// A description within a sentence: on one line, and it begins small.
fn in_a_sentence(about: &str) -> String {
    let about = about.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut signs = about.chars();
    signs.next().map_or_else(String::new, |first| first.to_lowercase().chain(signs).collect())
}

fn amount(value: &Tree<'_>) -> Option<Amount> {
    match value {
        Tree::Number(n) => Some(Amount::Number(*n)),
        Tree::Text(text) => Some(Amount::Text(text.to_string())),
        _ => None,
    }
}

// Each form of an object has its own fields and, by their count, no others and none twice.

fn length_form(value: &Tree<'_>) -> Option<LengthForm> {
    match value {
        Tree::Object(members) if members.len() == 2 => Some(LengthForm::Toleranced {
            value: amount(value.member("value")?)?,
            within: amount(value.member("within")?)?,
        }),
        _ => amount(value).map(LengthForm::Plain),
    }
}

fn angle_form(value: &Tree<'_>) -> Option<AngleForm> {
    let number = |value: &Tree<'_>| if let Tree::Number(n) = value { Some(*n) } else { None };
    match value {
        Tree::Object(members) if members.len() == 2 => Some(AngleForm::Toleranced {
            value: number(value.member("value")?)?,
            within: number(value.member("within")?)?,
        }),
        _ => number(value).map(AngleForm::Plain),
    }
}

fn taper_form(value: &Tree<'_>) -> Option<TaperForm> {
    let length = |name: &str| length_form(value.member(name)?);
    match value {
        Tree::Object(members) if members.len() == 3 => {
            Some(TaperForm::Measured { heel: length("heel")?, upper: length("upper")?, apart: length("apart")? })
        }
        _ => angle_form(value).map(TaperForm::Angle),
    }
}
