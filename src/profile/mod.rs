//! The files of the user, as written: serde types that mirror the JSON, gaps still gaps, units not yet resolved.
//!
//! Each type derives the JSON Schema that its files are checked against, and which `profiles/schema/` publishes.

pub(crate) mod fields;
pub mod fit;
pub mod guide;
pub mod honing;
pub mod job;
mod kind;
pub mod kit;
pub mod log;
pub mod measured;
pub mod testpiece;
pub mod tool;
pub(crate) mod wood;

pub use fit::FitFile;
pub use guide::GuideProfile;
pub use job::JobFile;
pub use kit::KitFile;
pub use log::LogFile;
pub use testpiece::TestPieceFile;
pub use tool::ToolProfile;

use std::sync::LazyLock;

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::de::DeserializeOwned;

use crate::cores;
use crate::input::document::{Document, join};
use crate::input::fault::Faults;
use crate::input::schema::{self, Ready};
use measured::{CorrectionsFile, MeasuredFile};

/// The JSON Schema (draft 2020-12) of a file type, as `profiles/schema/` holds it.
pub fn schema_of<T: JsonSchema>() -> serde_json::Value {
    SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<T>().to_value()
}

/// A kind of file.
pub trait FileKind: JsonSchema + DeserializeOwned + Send {
    /// Its schema, made when the first file of the kind is read.
    fn ready() -> &'static Ready;
}

macro_rules! kinds {
    ($($kind:ty),+ $(,)?) => {
        $(impl FileKind for $kind {
            fn ready() -> &'static Ready {
                static READY: LazyLock<Ready> = LazyLock::new(|| Ready::of(schema_of::<$kind>()));
                &READY
            }
        })+
    };
}

kinds!(JobFile, KitFile, GuideProfile, ToolProfile, FitFile, MeasuredFile, CorrectionsFile, TestPieceFile, LogFile,);

/// A file that was read: its value, as far as it is sound, and what is wrong with it so far.
#[derive(Debug)]
pub struct Read<T> {
    /// Where everything stands.
    pub document: Document,
    /// The file's value, with stand-ins where it has faults.
    pub value: T,
    faults: Faults,
    spoiled: Vec<String>,
}

/// Parses a file of type `T` and checks every field of it.
///
/// # Errors
/// The fault of a text that is no JSON. Faults of fields come out of [`Read::finish`], together with those that the
/// rules between fields find.
pub fn read<T: FileKind>(source: &str, bytes: &[u8]) -> Result<Read<T>, Faults> {
    let schema = T::ready();
    let document = Document::of_text(source, Document::text_of(source, bytes)?);
    if let Some(value) = sound(&document, document.text(), schema) {
        return Ok(Read { document, value, faults: Faults::default(), spoiled: Vec::new() });
    }
    let (document, slips) = document.mended()?;
    if let Some([is, goes_to, needed]) = kind::other_kind(&document, &schema.schema) {
        let found = format!("this is {is}. It goes to {goes_to}");
        return Err(Faults(vec![document.fault_of_all(found, &format!("{needed} here"))]));
    }
    let mut checked = schema::check(&document, schema)?;
    checked.faults.0.extend(slips.0);
    // By the same reader of texts as what is sound: a second one for values would double what all types compile to.
    match serde_json::from_str(&checked.mended.to_string()) {
        Ok(value) => Ok(Read { document, value, faults: checked.faults, spoiled: checked.spoiled }),
        Err(e) => {
            // The root itself is no object, or a type refuses what its schema allows.
            let mut faults = checked.faults;
            if faults.0.is_empty() {
                faults.0.push(document.fault(&[], Some(e.to_string()), "a value of the documented form"));
            }
            Err(faults)
        }
    }
}

/// Texts shorter than this, bytes, are read sooner than they are handed to another core.
const WORTH_SHARING: usize = 100_000;

/// The value of a text that is surely sound; a long one is checked beside its reading.
fn sound<T: DeserializeOwned + Send>(document: &Document, text: &str, schema: &Ready) -> Option<T> {
    let is_sound = || schema::is_sound(document, schema);
    if text.len() < WORTH_SHARING {
        return if is_sound() { serde_json::from_str(text).ok() } else { None };
    }
    let (value, is_sound) = cores::both(|| serde_json::from_str(text).ok(), is_sound);
    value.filter(|_| is_sound)
}

impl<T> Read<T> {
    /// Whether the field at `path` is missing or holds a stand-in, or lies in or around one that does; rules about it
    /// are then not worth a word.
    pub fn spoiled(&self, path: &[&str]) -> bool {
        let field = join(path);
        let around = |outer: &str, inner: &str| {
            let rest = inner.strip_prefix(outer);
            outer.is_empty() || rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
        };
        self.spoiled.iter().any(|s| around(s, &field) || around(&field, s))
    }

    /// `Ok(())` when neither the fields nor the rules between them have faults.
    ///
    /// # Errors
    /// All faults, those of the file in the order of the file.
    pub fn finish(&self, rules: Faults) -> Result<(), Faults> {
        let mut all = self.faults.clone();
        // Where the schema alone has found more than is shown, the rules have nothing to add.
        if all.0.len() <= schema::MOST_SHOWN {
            all.0.extend(rules.0);
        }
        all.into_result()
    }
}
