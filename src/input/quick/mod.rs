//! Whether a text is sound, told in one pass and without building anything: the way of files without a fault.
//!
//! The schema that [`super::schema`] holds documents against is turned into a tree of forms once, and the text streams
//! through it. What is not surely sound is left to the slow way, which knows the place of every value and finds the
//! faults; so this may say no to a sound file, but never yes to one that the slow way would fault.

mod form;

use std::cell::Cell;
use std::fmt;

use serde::Deserialize;
use serde::de::value::MapAccessDeserializer;
use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::Value as Json;

use super::length::{Amount, AngleForm, Length, LengthForm, TaperForm, parse};
use crate::units::Units;
use form::{Field, Form};

/// Whether `text` is a JSON value without any fault against `schema`.
pub fn is_sound(text: &str, schema: &Json) -> bool {
    let form = Form::of_schema(schema);
    let state = State { units: Cell::new(Units::Mm), measured: Cell::new(false) };
    let mut json = serde_json::Deserializer::from_str(text);
    Check { form: &form, state: &state, at_root: true }.deserialize(&mut json).is_ok() && json.end().is_ok()
}

/// What the whole text has told so far.
struct State {
    units: Cell<Units>,
    /// Whether a length was read already, in the units of then.
    measured: Cell<bool>,
}

/// Holds the next value against a form; an error says no more than that it is not surely sound.
#[derive(Clone, Copy)]
struct Check<'f> {
    form: &'f Form,
    state: &'f State,
    at_root: bool,
}

impl<'f> Check<'f> {
    fn inner(&self, form: &'f Form) -> Self {
        Self { form, at_root: false, ..*self }
    }

    fn sound<E: Error>(is: bool) -> Result<(), E> {
        if is { Ok(()) } else { Err(E::custom("")) }
    }

    fn in_range<E: Error>(value: f64, within: Option<f64>, [low, high]: [f64; 2]) -> Result<(), E> {
        let near = within.is_none_or(|w| (0.0..=(high - low) / 2.0).contains(&w));
        Self::sound((low..=high).contains(&value) && near)
    }

    fn length<E: Error>(&self, read: impl FnOnce(Units) -> Result<Length, String>, range: [f64; 2]) -> Result<(), E> {
        self.state.measured.set(true);
        match read(self.state.units.get()) {
            Ok(length) => Self::in_range(length.mm, length.within, range),
            Err(_) => Self::sound(false),
        }
    }

    fn number<E: Error>(&self, number: f64) -> Result<(), E> {
        match *self.form {
            Form::Number { least, most, whole } => {
                Self::sound(number.is_finite() && (least..=most).contains(&number) && !(whole && number.fract() != 0.0))
            }
            Form::Length(range) => self.length(|units| LengthForm::Plain(Amount::Number(number)).read(units), range),
            Form::Angle(range) | Form::Taper(range) => Self::in_range(number, None, range),
            Form::Optional(ref form) => self.inner(form).number(number),
            _ => Self::sound(false),
        }
    }
}

impl<'de> DeserializeSeed<'de> for Check<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Check<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value of the schema")
    }

    fn visit_unit<E: Error>(self) -> Result<(), E> {
        Self::sound(matches!(self.form, Form::Optional(_)))
    }

    fn visit_bool<E: Error>(self, _: bool) -> Result<(), E> {
        match self.form {
            Form::Truth => Ok(()),
            Form::Optional(form) => self.inner(form).visit_bool(true),
            _ => Self::sound(false),
        }
    }

    fn visit_u64<E: Error>(self, number: u64) -> Result<(), E> {
        self.number(number as f64)
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<(), E> {
        self.number(number as f64)
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<(), E> {
        self.number(number)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<(), E> {
        match self.form {
            Form::Text { least, most } => {
                let (mut count, mut plain) = (0, true);
                for c in text.chars() {
                    count += 1;
                    plain &= !c.is_control() || c == '\n';
                }
                Self::sound((*least..=*most).contains(&count) && plain)
            }
            Form::Words(words) => Self::sound(words.iter().any(|w| w == text)),
            Form::Length(range) => self.length(|_| parse(text, None), *range),
            Form::Optional(form) => self.inner(form).visit_str(text),
            _ => Self::sound(false),
        }
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<(), A::Error> {
        match self.form {
            Form::List { item, least, most } => {
                let mut count = 0;
                while items.next_element_seed(self.inner(item))?.is_some() {
                    count += 1;
                }
                Self::sound((*least..=*most).contains(&count))
            }
            Form::Optional(form) => self.inner(form).visit_seq(items),
            _ => Self::sound(false),
        }
    }

    fn visit_map<A: MapAccess<'de>>(self, members: A) -> Result<(), A::Error> {
        match self.form {
            Form::Object(fields) => self.object(fields, members),
            Form::Optional(form) => self.inner(form).visit_map(members),
            Form::Length(range) => {
                let form = Toleranced::deserialize(MapAccessDeserializer::new(members))?;
                let form = LengthForm::Toleranced { value: form.value, within: form.within };
                self.length(|units| form.read(units), *range)
            }
            Form::Angle(range) => {
                let form = TolerancedAngle::deserialize(MapAccessDeserializer::new(members))?;
                let angle = AngleForm::Toleranced { value: form.value, within: form.within }.read();
                Self::in_range(angle.degrees, angle.within, *range)
            }
            Form::Taper(range) => {
                let form = match StrictTaper::deserialize(MapAccessDeserializer::new(members))? {
                    StrictTaper::Angle(TolerancedAngle { value, within }) => {
                        TaperForm::Angle(AngleForm::Toleranced { value, within })
                    }
                    StrictTaper::Measured(Thicknesses { heel, upper, apart }) => {
                        TaperForm::Measured { heel: heel.into(), upper: upper.into(), apart: apart.into() }
                    }
                };
                self.state.measured.set(true);
                match form.read(self.state.units.get()) {
                    Ok(taper) => Self::in_range(taper.degrees, taper.within, *range),
                    Err(_) => Self::sound(false),
                }
            }
            _ => Self::sound(false),
        }
    }
}

impl Check<'_> {
    fn object<'de, A: MapAccess<'de>>(self, fields: &[Field], mut members: A) -> Result<(), A::Error> {
        let mut seen = 0u64;
        while let Some(index) = members.next_key_seed(Name(fields))? {
            Self::sound::<A::Error>(seen >> index & 1 == 0)?;
            seen |= 1 << index;
            if self.at_root && fields[index].name == "units" {
                let units: Units = members.next_value()?;
                Self::sound::<A::Error>(units == self.state.units.get() || !self.state.measured.get())?;
                self.state.units.set(units);
            } else {
                members.next_value_seed(self.inner(&fields[index].form))?;
            }
        }
        Self::sound(fields.iter().enumerate().all(|(i, f)| !f.required || seen >> i & 1 == 1))
    }
}

/// The place of a field by its name.
struct Name<'f>(&'f [Field]);

impl<'de> DeserializeSeed<'de> for Name<'_> {
    type Value = usize;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<usize, D::Error> {
        deserializer.deserialize_str(self)
    }
}

impl Visitor<'_> for Name<'_> {
    type Value = usize;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the name of a field")
    }

    fn visit_str<E: Error>(self, name: &str) -> Result<usize, E> {
        self.0.iter().position(|f| f.name == name).ok_or_else(|| E::custom(""))
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Toleranced {
    value: Amount,
    within: Amount,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TolerancedAngle {
    value: f64,
    within: f64,
}

/// A length that minds unknown fields.
#[derive(Deserialize)]
#[serde(untagged)]
enum Strict {
    Plain(Amount),
    Toleranced(Toleranced),
}

impl From<Strict> for LengthForm {
    fn from(form: Strict) -> Self {
        match form {
            Strict::Plain(amount) => LengthForm::Plain(amount),
            Strict::Toleranced(Toleranced { value, within }) => LengthForm::Toleranced { value, within },
        }
    }
}

/// An object of a taper, minding unknown fields.
#[derive(Deserialize)]
#[serde(untagged)]
enum StrictTaper {
    Measured(Thicknesses),
    Angle(TolerancedAngle),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Thicknesses {
    heel: Strict,
    upper: Strict,
    apart: Strict,
}
