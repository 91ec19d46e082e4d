//! A kit: the blades of a drawer.

use serde_json::Value;

use super::key::{self, Answers, Given, Key};
use super::reading::{Kind, Question};
use super::{Folder, Form};
use crate::guide::ToolClass;
use crate::input::fault::Faults;
use crate::input::length;
use crate::kit::Kit;
use crate::questions::Need;
use crate::terms::SeatName;
use crate::units::{Units, exceeds, falls_short};

/// The most blades that are asked for; a file takes more.
const MOST: usize = 200;

const TITLE: Key = Key::Field("title");

/// Groups of steel, as a file names them and in words.
const STEELS: [[&str; 2]; 5] = [
    ["plain-carbon", "plain carbon steel, the most common"],
    ["A2", "air-hardening steel with 5 % chromium"],
    ["D2", "air-hardening steel with 12 % chromium"],
    ["powder", "steel made from powder"],
    ["laminated", "hard steel on a soft back"],
];

/// What a blade is used for, alike.
const USES: [[&str; 2]; 6] = [
    ["softwood", ""],
    ["hardwood", ""],
    ["chopping", "struck with a mallet"],
    ["paring", "pushed by hand"],
    ["end-grain", "across the ends of the fibres"],
    ["reversing-grain", "grain that runs now one way, now the other"],
];

/// What the planes are called that irons are cambered for.
const PLANES: [[&str; 2]; 3] = [["jack", ""], ["try", ""], ["smoother", ""]];

/// Asks for a kit.
pub struct KitForm {
    folder: Folder,
    /// Whether that is asked for too which is mostly advised.
    is_full: bool,
}

impl KitForm {
    /// A kit in this folder.
    pub fn new(folder: Folder) -> Self {
        Self { folder, is_full: false }
    }

    /// The same, which also asks for the bevels and the camber wanted, and for the abrasives.
    pub fn full(self) -> Self {
        Self { is_full: true, ..self }
    }

    /// What is mostly advised of a blade.
    fn wanted(&self, tool: &ToolClass, at: impl Fn(&'static str) -> Key) -> Vec<Question> {
        let angle = |field, name, what| {
            let need = Need::OrElse("advised".into());
            Question { need, ..super::degrees(at(field), name, what) }
        };
        let mut micro = angle("micro", "micro-bevel", "Which micro-bevel do you want?");
        micro.how = "The same as the primary bevel for none.".into();
        let mut all = vec![angle("primary", "primary bevel", "Which primary bevel do you want?"), micro];
        if tool.seat == SeatName::Iron {
            let mut camber =
                super::choice(at("camber.plane"), "camber", "Cambered for which plane?", super::choices(PLANES));
            camber.need = Need::OrElse("a straight edge".into());
            all.push(camber);
        }
        all
    }

    /// The questions about one blade.
    fn blade(&self, index: usize, answers: &Answers) -> Vec<Question> {
        let (at, units) = (|field| Key::Item("blades", index, field), key::units(answers));
        let which = if index == 0 { "What do you call the first blade?" } else { "What do you call the next blade?" };
        let mut all = vec![super::text(at("name"), "name", which)];
        all[0].allowed = "a name of its own, as in jack or 1/2 chisel".into();
        let mut tool = super::tool(at("tool"), 0, self.folder.tool_choices(units));
        // Not that of the blade before alone: a form would then learn of one blade a round.
        let said = |before| answers.said(Key::Item("blades", before, "tool"));
        tool.default = (0..index).rev().find_map(said).map(Into::into);
        all.push(tool);
        let Some(tool) = answers.said(at("tool")).and_then(|name| self.folder.tool(name)) else { return all };
        let sized = |field, name, what, otherwise: String| {
            let need = Need::OrElse(otherwise);
            Question { need, ..super::length(at(field), name, what, units) }
        };
        all.push(sized("width", "width", "How wide is it?", format!("{}, the widest", units.size(tool.width[1]))));
        all.push(super::thickness(at("thickness"), &tool, units));
        if tool.land.is_some() && !tool.whole_side {
            all.push(super::land(at("land"), &tool, units));
        }
        let mut bevel = super::degrees(at("current"), "bevel now", "Which bevel angle does it have now?");
        bevel.need = Need::OrElse("not known".into());
        all.push(bevel);
        let mut left = sized("length", "length left", "How much of the blade is left?", "not measured".into());
        left.how = "From the edge to its end; of a chisel, to the bolster.".into();
        all.push(left);
        let mut steel = super::choice(at("steel"), "steel", "Which steel?", super::choices(STEELS));
        steel.need = Need::OrElse("not known".into());
        all.push(steel);
        let mut uses = super::choice(at("use"), "for", "What is it used for?", super::choices(USES));
        uses.kind.kind = Kind::Some;
        uses.how = "Several, if you like.".into();
        uses.typing = "Put commas between them.".into();
        uses.need = Need::OrElse("not said".into());
        all.push(uses);
        if self.is_full {
            all.extend(self.wanted(&tool, at));
        }
        all
    }
}

impl Form for KitForm {
    fn about(&self) -> &'static str {
        "A kit: the blades of your drawer. Angles are advised and fences shared from it."
    }

    fn questions(&self, answers: &Answers) -> Vec<Question> {
        let mut all = vec![super::units(Units::Mm)];
        for index in 0..MOST {
            all.extend(self.blade(index, answers));
            if index + 1 < MOST {
                all.push(super::another("blades", index, "Another blade?"));
            }
            if !answers.goes_on("blades", index) {
                break;
            }
        }
        let mut title = super::text(TITLE, "title", "What is the kit called?");
        title.default = Some("My kit".into());
        if self.is_full {
            let mut grits = super::text(Key::Field("grits"), "abrasives", "Which abrasives, from coarse to fine?");
            grits.kind.kind = Kind::Texts;
            grits.how =
                "With commas between them, each with its kind where you like: P220 paper, 1000 water-stone.".into();
            grits.need = Need::OrElse("not said".into());
            all.push(grits);
        }
        all.push(title);
        all
    }

    fn given(&self, _of: Option<(&'static str, usize)>, _answers: &Answers) -> Vec<(&'static str, Value)> {
        Vec::new()
    }

    fn read(&self, text: &str) -> Result<(), Faults> {
        Kit::parse("", text.as_bytes(), self.folder.sources.as_ref()).map(|_| ())
    }

    fn unusual(&self, key: &Key, given: &Given, answers: &Answers) -> Option<String> {
        let Key::Item(list, index, field) = *key else { return None };
        let tool = self.folder.tool(answers.said(Key::Item(list, index, "tool"))?)?;
        let units = key::units(answers);
        let mm = length::parse(&given.said, Some(units)).ok()?.mm;
        let [low, high] = tool.width;
        match field {
            "thickness" => super::unusual_thickness(mm, &tool, units),
            "width" if falls_short(mm, low) || exceeds(mm, high) => {
                let most = units.size(high);
                Some(format!("That is unusual: most such blades are {} to {most} wide.", units.short(low, [2, 3])))
            }
            _ => None,
        }
    }

    fn file(&self, answers: &Answers) -> String {
        super::slug(answers.said(TITLE).unwrap_or_default(), "my-kit", "")
    }

    fn next(&self, path: &str, _answers: &Answers) -> Vec<String> {
        let guide = self.folder.own_guide().unwrap_or("narrow-side-clamp");
        vec!["stopwright kit".into(), super::quoted(path), format!("--guide {}", super::quoted(guide))]
    }
}

#[cfg(test)]
mod tests {
    use schemars::JsonSchema;

    use super::*;
    use crate::ask::key::Given;
    use crate::guide::named::NoFiles;
    use crate::terms::{Steel, Use};

    /// The words that files use for a type, by its schema.
    fn words_of<T: JsonSchema>() -> Vec<String> {
        let schema = schemars::schema_for!(T).to_value();
        let all = schema["oneOf"].as_array().expect("a choice of words");
        all.iter().map(|one| one["const"].as_str().expect("a word").to_string()).collect()
    }

    #[test]
    fn a_blade_is_taken_for_one_like_the_last_whose_class_was_said() {
        let mut answers = Answers::default();
        answers.put(Key::Item("blades", 1, "tool"), Given::word("plane-iron"));
        (0..4).for_each(|i| answers.put(Key::Another("blades", i), Given::word("yes")));
        let questions = KitForm::new(Folder::new(Box::new(NoFiles), &[])).questions(&answers);
        let defaults =
            questions.iter().filter(|q| matches!(q.key, Key::Item(_, _, "tool"))).map(|q| q.default.as_deref());
        let iron = Some("plane-iron");
        assert_eq!(defaults.collect::<Vec<_>>(), [None, None, iron, iron, iron]);
    }

    #[test]
    fn every_steel_and_every_use_of_a_file_can_be_chosen() {
        assert_eq!(STEELS.map(|[word, _]| word).to_vec(), words_of::<Steel>());
        assert_eq!(USES.map(|[word, _]| word).to_vec(), words_of::<Use>());
    }
}
