//! A guide by its profile, or by the file of its known settings itself.

use super::{Settings, fit, profile};
use crate::guide::Guide;
use crate::guide::named::{self, ProfileKind, Sources};
use crate::input::document::Document;
use crate::input::fault::{Fault, Faults};

/// Reads a guide profile, or fits the guide where the text is one of known settings; how the errors of its lengths hang
/// together is then known too.
///
/// # Errors
/// All faults of the file; what known settings leave open.
pub fn parse(source: &str, bytes: &[u8]) -> Result<Guide, Faults> {
    let document = Document::glance(source, bytes)?;
    // A profile that was fitted carries its known settings, and its roller beside them.
    if document.root().member("known").is_none() || document.root().member("roller").is_some() {
        return Guide::parse(source, bytes);
    }
    let settings = Settings::parse(source, bytes)?;
    let unfit = |found: String, allowed: &str| Faults(vec![document.fault_of_all(found, allowed)]);
    let fitted =
        fit(&settings, &[]).map_err(|e| unfit(e.to_string(), "known settings that a guide can be fitted to"))?;
    let (whole, lacks) = profile::profile(&settings, &fitted);
    if !lacks.is_empty() {
        let found = format!("known settings that leave open: {}", lacks.join(", "));
        return Err(unfit(found, "enough to fit a whole guide: measure those, as \"fit\" advises"));
    }
    let text = whole.text().map_err(|e| unfit(e.to_string(), "a guide that can be written as a profile"))?;
    Guide::parse(source, text.as_bytes())
}

/// A guide by its built-in name, or by the path of its profile or its known settings, for a command line.
///
/// # Errors
/// The faults of the reference or of the file.
pub fn named(reference: &str, sources: &dyn Sources) -> Result<Guide, Faults> {
    found(reference, sources).unwrap_or_else(|fault| Err(Faults(vec![Fault { field: "guide".into(), ..*fault }])))
}

/// The same for a field that refers to a guide.
///
/// # Errors
/// The fault of the reference, whose field is the caller's to put in; inside, those of the file.
pub fn found(reference: &str, sources: &dyn Sources) -> Result<Result<Guide, Faults>, Box<Fault>> {
    if let Some(guide) = named::built_in_guide(reference) {
        return Ok(Ok(guide.clone()));
    }
    let (name, bytes) = named::text_of(ProfileKind::Guide, reference, sources)?;
    Ok(parse(&name, &bytes))
}
