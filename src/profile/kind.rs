//! Which kind of file a text is, for whoever hands in the wrong one.

use serde_json::Value as Schema;

use super::measured::{CorrectionsFile, MeasuredFile};
use super::{FileKind, FitFile, GuideProfile, JobFile, KitFile, LogFile, TestPieceFile, ToolProfile};
use crate::input::document::{Document, Value};
use crate::input::schema::Ready;

/// The title of a kind's schema, that, what the kind is called and where it belongs.
type Kind = (&'static str, fn() -> &'static Ready, &'static str, &'static str);

/// The kinds of file.
const KINDS: [Kind; 9] = [
    ("Stopwright job", JobFile::ready, "a job", "make, cutsheet, offsets, card, gauges or verify"),
    ("Stopwright kit", KitFile::ready, "a kit", "kit or log, or into the field \"kit\" of a job"),
    (
        "Stopwright guide profile",
        GuideProfile::ready,
        "a guide profile",
        "offsets or show, or into the field \"guide\" of a job",
    ),
    ("Stopwright tool class", ToolProfile::ready, "a tool class", "--tool, or into the field \"tool\" of a setting"),
    (
        "Stopwright known settings",
        FitFile::ready,
        "a file of known settings",
        "fit, or into the field \"guide\" of a job",
    ),
    ("Stopwright measurements", MeasuredFile::ready, "a file of measured fences", "verify, after its job"),
    ("Stopwright corrections", CorrectionsFile::ready, "a file of corrections", "--corrections of make or verify"),
    ("Stopwright test piece measurements", TestPieceFile::ready, "a file of readings of a test piece", "testpiece"),
    ("Stopwright log", LogFile::ready, "a log of honings", "log, beside its kit"),
];

/// What was handed in, where it goes, and what is needed: a file that is none of the kind of `schema`, and has all that
/// another kind needs and nothing that it does not know, or plainly more of what another kind has.
pub(super) fn other_kind(document: &Document, schema: &Schema) -> Option<[&'static str; 3]> {
    let title = schema["title"].as_str()?;
    let (.., needed, _) = KINDS.iter().find(|(of, ..)| *of == title)?;
    let Value::Object(members) = &document.root().value else { return None };
    let knows = |schema: &Schema| members.iter().filter(|m| schema["properties"].get(&m.0).is_some()).count();
    // A format alone is no kind.
    let fits = |schema: &Schema| {
        members.len() > 1 && {
            let required = schema["required"].as_array().into_iter().flatten().filter_map(Schema::as_str);
            let has_all = required.into_iter().all(|name| members.iter().any(|m| m.0 == name));
            knows(schema) == members.len() && has_all
        }
    };
    if fits(schema) {
        return None;
    }
    let others = || KINDS.iter().filter(|(of, ..)| *of != title);
    // One with a slip in a name, or a field too few, is still plainly what it is.
    let (here, most) = (knows(schema), members.len() / 2);
    let plainly =
        |(_, form, ..): &&Kind| Some(knows(&form().schema)).filter(|known| *known >= here + 2 && *known > most);
    let kind = others().find(|(_, form, ..)| fits(&form().schema));
    let (.., is, goes_to) = kind.or_else(|| others().filter(|kind| plainly(kind).is_some()).max_by_key(plainly))?;
    Some([is, goes_to, needed])
}
