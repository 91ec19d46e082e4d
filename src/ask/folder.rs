//! The profiles that can be chosen: those beside the file that is asked for, and the built-in ones.

use crate::fit;
use crate::guide::named::{self, GUIDES, NoFiles, Sources, TOOLS};
use crate::guide::{Guide, ToolClass};
use crate::units::Units;

/// The folder that the file goes into.
pub struct Folder {
    /// Its files.
    pub sources: Box<dyn Sources>,
    /// Guides by the names that a job refers to them by; the user's own first.
    guides: Vec<(String, Guide)>,
    /// How many of the guides are the user's own.
    own: usize,
    /// Tool classes, alike.
    tools: Vec<(String, ToolClass)>,
}

impl Folder {
    /// A folder with these files in it, by their paths; those that are neither a guide nor a tool class are passed over.
    pub fn new(sources: Box<dyn Sources>, paths: &[String]) -> Self {
        let (mut guides, mut tools) = (Vec::new(), Vec::new());
        for path in paths {
            let Ok((name, bytes)) = sources.load(path) else { continue };
            if let Ok(guide) = fit::guide::parse(&name, &bytes) {
                guides.push((path.clone(), guide));
            } else if let Ok(tool) = ToolClass::parse(&name, &bytes) {
                tools.push((path.clone(), tool));
            }
        }
        let own = guides.len();
        let built_in = |b: &named::Builtin| Some((b.name.to_string(), named::guide(b.name, &NoFiles).ok()?));
        guides.extend(GUIDES.iter().filter_map(built_in));
        tools.extend(TOOLS.iter().filter_map(|b| Some((b.name.to_string(), named::tool(b.name, &NoFiles).ok()?))));
        Self { sources, guides, own, tools }
    }

    /// The guide that a word or a path refers to.
    pub fn guide(&self, reference: &str) -> Option<Guide> {
        let known = self.guides.iter().find(|(name, _)| name == reference).map(|(_, guide)| guide.clone());
        known.or_else(|| fit::guide::named(reference, self.sources.as_ref()).ok())
    }

    /// The tool class that a word or a path refers to.
    pub fn tool(&self, reference: &str) -> Option<ToolClass> {
        let known = self.tools.iter().find(|(name, _)| name == reference).map(|(_, tool)| tool.clone());
        known.or_else(|| named::tool(reference, self.sources.as_ref()).ok())
    }

    /// The user's own guide, if there is just one; else none.
    pub fn own_guide(&self) -> Option<&str> {
        (self.own == 1).then(|| self.guides[0].0.as_str())
    }

    /// The guides to choose from.
    pub fn guide_choices(&self) -> Vec<[String; 2]> {
        let seats = |guide: &Guide| {
            guide.seats().map(|(name, _)| format!("{}s", name.name())).collect::<Vec<_>>().join(" and ")
        };
        let meaning = |i: usize, guide: &Guide| {
            let whose = if i < self.own { "your own" } else { "invented, to try things out" };
            format!("for {}; {whose}", seats(guide))
        };
        self.guides.iter().enumerate().map(|(i, (name, guide))| [name.clone(), meaning(i, guide)]).collect()
    }

    /// The tool classes to choose from.
    pub fn tool_choices(&self, units: Units) -> Vec<[String; 2]> {
        let meaning = |tool: &ToolClass| format!("{} thick", thick(tool, units));
        self.tools.iter().map(|(name, tool)| [name.clone(), meaning(tool)]).collect()
    }
}

/// How thick blades of a class are: `1.8 to 3 mm`.
pub(super) fn thick(tool: &ToolClass, units: Units) -> String {
    let within = tool.thickness.within.unwrap_or(0.0);
    let [low, high] = [tool.thickness.mm - within, tool.thickness.mm + within];
    format!("{} to {}", units.short(low, [2, 3]), units.size(high))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blades_of_a_class_are_said_in_the_units_asked() {
        let folder = Folder::new(Box::new(NoFiles), &[]);
        let tool = folder.tool("plane-iron").expect("built in");
        assert!(thick(&tool, Units::Mm).ends_with(" mm") && thick(&tool, Units::Inch).ends_with(" in"));
        assert_eq!(folder.own_guide(), None);
    }
}
