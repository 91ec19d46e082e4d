//! The profiles compiled into the program, and how a reference in a job is turned into a profile's text.

use std::path::Path;
use std::sync::OnceLock;

use super::{Guide, ToolClass};
use crate::input::fault::{Fault, Faults, Wrong};
use crate::input::nearest::nearest;

/// A profile compiled into the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Builtin {
    /// The name it is called by.
    pub name: &'static str,
    /// Its JSON text.
    pub text: &'static str,
}

macro_rules! builtins {
    ($folder:literal: $($name:literal),+ $(,)?) => {
        &[$(Builtin {
            name: $name,
            text: include_str!(concat!("../../profiles/", $folder, "/", $name, ".json")),
        }),+]
    };
}

/// The built-in guides; all their dimensions are invented.
pub const GUIDES: &[Builtin] = builtins!("guides":
    "narrow-side-clamp", "wide-side-clamp", "top-clamp", "bench-roller", "twin-roller");

/// The built-in tool classes.
///
/// There is no skew chisel: its edge is not square to the blade, so a fence square to it touches the long corner only,
/// and a guide that holds the blade straight does not lay the whole edge on the stone. The side view that everything
/// here is computed from does not describe that.
pub const TOOLS: &[Builtin] = builtins!("tools":
    "bench-chisel", "firmer-chisel", "paring-chisel", "mortise-chisel", "plane-iron", "thick-plane-iron", "block-plane-iron",
    "spokeshave-iron", "laminated-iron", "laminated-chisel");

/// The two kinds of profile that are referred to by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProfileKind {
    /// A guide profile.
    Guide,
    /// A tool class.
    Tool,
}

impl ProfileKind {
    /// The built-in profiles of this kind.
    pub fn builtins(self) -> &'static [Builtin] {
        match self {
            ProfileKind::Guide => GUIDES,
            ProfileKind::Tool => TOOLS,
        }
    }

    /// What a message says may stand for a reference.
    pub fn allowed(self) -> String {
        let names: Vec<&str> = self.builtins().iter().map(|b| b.name).collect();
        format!("{}, or the path of a profile (*.json)", names.join(", "))
    }
}

/// Finds files that a profile refers to; the program reads them from disk, a page or a test may hold them in memory.
pub trait Sources {
    /// The file's bytes, and the name to call it by in messages.
    ///
    /// # Errors
    /// What went wrong, in words for the user.
    fn load(&self, path: &str) -> Result<(String, Vec<u8>), String>;

    /// The path of a file that is there and has a name like this one.
    fn near(&self, _path: &str) -> Option<String> {
        None
    }
}

/// Sources without any files: only built-in profiles are found.
#[derive(Debug, Clone, Copy, Default)]
pub struct NoFiles;

impl Sources for NoFiles {
    fn load(&self, path: &str) -> Result<(String, Vec<u8>), String> {
        Err(format!("\"{path}\", and no files can be read here"))
    }
}

/// Files whose paths are relative to a folder within other sources.
pub struct Beside<'a> {
    /// The folder.
    pub folder: &'a Path,
    /// Where it lies.
    pub sources: &'a dyn Sources,
}

impl Sources for Beside<'_> {
    fn load(&self, path: &str) -> Result<(String, Vec<u8>), String> {
        self.sources.load(&self.folder.join(path).to_string_lossy())
    }

    fn near(&self, path: &str) -> Option<String> {
        let near = self.sources.near(&self.folder.join(path).to_string_lossy())?;
        Some(Path::new(&near).strip_prefix(self.folder).map_or(near.clone(), |own| own.to_string_lossy().into_owned()))
    }
}

/// The text a reference stands for: a built-in profile's name, else a path.
///
/// # Errors
/// What was found wrong with the reference, and what was perhaps meant; the field that has it is the caller's to put in.
pub fn text_of(kind: ProfileKind, reference: &str, sources: &dyn Sources) -> Result<(String, Vec<u8>), Box<Fault>> {
    if let Some(b) = kind.builtins().iter().find(|b| b.name == reference) {
        return Ok((b.name.to_string(), b.text.as_bytes().to_vec()));
    }
    if reference.ends_with(".json") || reference.contains(['/', '\\']) {
        return sources.load(reference).map_err(|found| no_file(reference, found, kind.allowed(), sources).into());
    }
    let near = nearest(reference, kind.builtins().iter().map(|b| b.name)).map(str::to_string);
    let near = near.or_else(|| sources.near(reference));
    Err(Fault { near, ..Fault::new("", format!("\"{reference}\""), kind.allowed()) }.into())
}

/// A fault of a path under which nothing can be read, with the file that was perhaps meant.
pub(crate) fn no_file(path: &str, found: String, allowed: impl Into<String>, sources: &dyn Sources) -> Fault {
    Fault { near: sources.near(path), wrong: Wrong::Rule, ..Fault::new("", found, allowed) }
}

/// A built-in guide, read once.
pub(crate) fn built_in_guide(name: &str) -> Option<&'static Guide> {
    static READ: [OnceLock<Option<Guide>>; GUIDES.len()] = [const { OnceLock::new() }; GUIDES.len()];
    let i = GUIDES.iter().position(|b| b.name == name)?;
    READ[i].get_or_init(|| Guide::parse(name, GUIDES[i].text.as_bytes()).ok()).as_ref()
}

/// A built-in tool class, read once.
pub(crate) fn built_in_tool(name: &str) -> Option<&'static ToolClass> {
    static READ: [OnceLock<Option<ToolClass>>; TOOLS.len()] = [const { OnceLock::new() }; TOOLS.len()];
    let i = TOOLS.iter().position(|b| b.name == name)?;
    READ[i].get_or_init(|| ToolClass::parse(name, TOOLS[i].text.as_bytes()).ok()).as_ref()
}

/// A guide by its name or path, for a command line.
///
/// # Errors
/// The faults of the reference or of the file.
pub fn guide(reference: &str, sources: &dyn Sources) -> Result<Guide, Faults> {
    if let Some(guide) = built_in_guide(reference) {
        return Ok(guide.clone());
    }
    let (name, bytes) = named(ProfileKind::Guide, "guide", reference, sources)?;
    Guide::parse(&name, &bytes)
}

/// A tool class by its name or path, for a command line.
///
/// # Errors
/// The faults of the reference or of the file.
pub fn tool(reference: &str, sources: &dyn Sources) -> Result<ToolClass, Faults> {
    if let Some(tool) = built_in_tool(reference) {
        return Ok(tool.clone());
    }
    let (name, bytes) = named(ProfileKind::Tool, "--tool", reference, sources)?;
    ToolClass::parse(&name, &bytes)
}

/// The text of a profile that the argument `field` refers to.
pub(crate) fn named(
    kind: ProfileKind,
    field: &str,
    reference: &str,
    sources: &dyn Sources,
) -> Result<(String, Vec<u8>), Faults> {
    text_of(kind, reference, sources).map_err(|fault| Faults(vec![Fault { field: field.into(), ..*fault }]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_built_in_profile_is_sound_and_bears_its_own_name() {
        for b in GUIDES {
            let g = guide(b.name, &NoFiles).expect(b.name);
            assert_eq!(g.name, b.name);
            assert!(g.notes.expect("notes").contains("Invented dimensions: measure yours"), "{}", b.name);
        }
        for b in TOOLS {
            let t = tool(b.name, &NoFiles).expect(b.name);
            assert_eq!(t.name, b.name);
            let least = t.angles.iter().map(|a| a.angle).fold(f64::INFINITY, f64::min);
            assert_eq!(least, t.primary, "{}: the smallest advised angle is the primary", b.name);
            assert!(t.thickness.within.is_some() && t.angles.iter().all(|a| !a.reason.is_empty()));
        }
    }
}
