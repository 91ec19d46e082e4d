//! What an answer says: words, tables and pictures. Bytes stand beside it as parts.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::bench::{Bench, FormName, Formed};

/// An answer: what is said, and the bytes of its pictures and files.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What is said.
    pub reply: Reply,
    /// The bytes that it refers to, by their place here.
    pub parts: Vec<Part>,
}

/// Bytes of an answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// Name of the file.
    pub name: String,
    /// Its media type.
    pub media: &'static str,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// What is said to a request.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Reply {
    /// What a page begins with.
    Start(Start),
    /// The guide.
    Guide(GuideShown),
    /// The blades.
    Blades(BladesShown),
    /// What is made.
    Block(BlockShown),
    /// The block as a model.
    Model(Model),
    /// The block as a picture.
    Picture(Picture),
    /// Files that were made.
    Files(Files),
    /// What was measured against what was wanted.
    Proof(Proof),
    /// What is done at the stones.
    Stones(Stones),
    /// A file that was opened, and the bench with it.
    Opened(Opened),
    /// The bench.
    Bench(Bench),
    /// The licences of what the program is made with.
    Notices(String),
    /// Nothing, and why: whole sentences.
    Refused(Vec<String>),
}

/// A picture as SVG.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Picture {
    /// What it shows, for those who cannot see it.
    pub title: String,
    /// Which part of the answer it is.
    pub part: usize,
    /// Width and height, mm of paper.
    pub size: [f64; 2],
}

/// A table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Table {
    /// What it shows, and how it is read.
    pub caption: String,
    /// A name and a unit a column; the unit may be empty.
    pub head: Vec<[String; 2]>,
    /// The rows, each beginning with what it is of.
    pub rows: Vec<Vec<String>>,
}

/// What a page begins with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct Start {
    /// Version of the program.
    pub version: String,
    /// The bench as it is when nothing was typed.
    pub bench: Bench,
    /// The built-in guides, to choose the one that is most like one's own.
    pub guides: Vec<GuideKind>,
    /// Where the calipers go, by the letter of the length.
    pub measuring: Vec<Measured>,
}

/// A built-in guide.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct GuideKind {
    /// Its name.
    pub name: String,
    /// What it is, in words.
    pub about: String,
    /// From the side, with a blade.
    pub picture: Option<Picture>,
}

/// Where a length is measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Measured {
    /// The letter of the length.
    pub letter: String,
    /// Where the calipers go.
    pub picture: Picture,
}

/// The guide, and what it sets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct GuideShown {
    /// The form that it is known by; null where it is a profile.
    pub form: Option<Formed>,
    /// Its name, where it is known.
    pub name: Option<String>,
    /// From the side on the stone, a seat each.
    pub sides: Vec<Picture>,
    /// What usual blades are set to.
    pub table: Option<Table>,
    /// How well it is known: what each measurement adds to the angle.
    pub known: Option<Table>,
    /// The one measurement that would help most; a sentence.
    pub helps: Option<String>,
    /// What is to be minded; whole sentences.
    pub notes: Vec<String>,
    /// What is wrong; whole sentences.
    pub faults: Vec<String>,
}

/// The blades and what is advised of them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct BladesShown {
    /// The form.
    pub form: Formed,
    /// What is advised, blade by blade: its name, then a line each.
    pub advice: Vec<Advised>,
    /// The fences and what they serve.
    pub fences: Option<Table>,
    /// What follows; whole sentences.
    pub notes: Vec<String>,
    /// What is wrong; whole sentences.
    pub faults: Vec<String>,
}

/// What is advised of one blade.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Advised {
    /// The blade.
    pub blade: String,
    /// What is advised, a line each.
    pub lines: Vec<String>,
}

/// What is made of a job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct BlockShown {
    /// The form.
    pub form: Formed,
    /// Fingerprint of the state of guide and job.
    pub fingerprint: Option<String>,
    /// The lanes.
    pub lanes: Vec<LaneShown>,
    /// What is set in them.
    pub table: Option<Table>,
    /// The lane that is shown from the side, by its place among the lanes.
    pub selected: Option<usize>,
    /// That lane at the block.
    pub side: Option<Picture>,
    /// The printed blocks.
    pub blocks: Vec<BlockPlan>,
    /// The wooden jig.
    pub jig: Option<BlockPlan>,
    /// The kinds of files that can be made.
    pub files: Vec<FileKind>,
    /// What is to be minded; whole sentences.
    pub notes: Vec<String>,
    /// What is wrong with the whole; whole sentences.
    pub faults: Vec<String>,
}

/// A lane.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct LaneShown {
    /// Its id.
    pub id: String,
    /// What it is called on drawings.
    pub name: String,
    /// The edge that it is used from; null as long as nothing is laid out.
    pub edge: Option<String>,
    /// Which of the blocks it is on, from 0.
    pub block: Option<usize>,
    /// Why no block can be made for it; whole sentences.
    pub refused: Vec<String>,
    /// What will not work well.
    pub warnings: Vec<String>,
    /// What ought to be known of it.
    pub notes: Vec<String>,
}

/// A block or jig from above.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct BlockPlan {
    /// What it is called.
    pub name: String,
    /// Its size in words.
    pub size: String,
    /// From above.
    pub plan: Option<Picture>,
    /// How it is held.
    pub held: String,
    /// What was found of it as a whole; whole sentences.
    pub findings: Vec<String>,
}

/// A kind of files that can be made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FileKind {
    /// The word that asks for it.
    pub kind: String,
    /// What it is.
    pub what: String,
}

/// A block as triangles and edges: little-endian 32-bit floats, mm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct Model {
    /// Which part has the triangles: three corners of x, y, z a triangle, counter-clockwise from outside.
    pub triangles: usize,
    /// Which part has the lines where its faces meet: two ends of x, y, z a line.
    pub edges: usize,
    /// Its least and greatest x, y and z.
    pub extent: [[f64; 3]; 2],
    /// The lanes: where each is touched.
    pub lanes: Vec<LanePlace>,
}

/// Where a lane lies on the block.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LanePlace {
    /// Its id.
    pub id: String,
    /// Its extent along the edge, mm.
    pub x: [f64; 2],
    /// Its extent from its edge to its fence, mm, in the model's y.
    pub y: [f64; 2],
    /// Height of its table, mm.
    pub z: f64,
}

/// Files that were made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct Files {
    /// What each part is, in words.
    pub what: Vec<String>,
    /// What is to be minded; whole sentences.
    pub warnings: Vec<String>,
}

/// What was measured against what was wanted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct Proof {
    /// The form.
    pub form: Formed,
    /// The verdicts.
    pub lanes: Vec<Verdict>,
    /// All that was found, in words.
    pub report: String,
    /// Whether every measured lane passes; null as long as nothing was measured.
    pub passes: Option<bool>,
    /// Whether the next block can be corrected by what was measured.
    pub can_be_corrected: bool,
    /// What is to be minded; whole sentences.
    pub notes: Vec<String>,
    /// What is wrong; whole sentences.
    pub faults: Vec<String>,
}

/// The verdict on a lane.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct Verdict {
    /// Its id.
    pub id: String,
    /// Whether it passes.
    pub passes: bool,
    /// The verdict in a word.
    pub word: String,
    /// What was asked and what was found.
    pub found: String,
    /// The angle that it sets.
    pub sets: String,
    /// Which way to move which fence by how much; a sentence, empty where it stays.
    pub move_it: String,
    /// How far it is off by its limit: -1 and 1 are the limits.
    pub of_limit: f64,
}

/// What is done at the stones.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct Stones {
    /// The blades and their steps.
    pub blades: Vec<AtTheStones>,
    /// What was written down, the newest first; null where nothing can be, as no blades are listed.
    pub log: Option<Vec<String>>,
    /// What else is to be known; whole sentences.
    pub notes: Vec<String>,
    /// What is wrong; whole sentences.
    pub faults: Vec<String>,
}

/// What is done with one blade.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct AtTheStones {
    /// The blade.
    pub blade: String,
    /// The steps in their order.
    pub steps: Vec<StoneStep>,
    /// What is unsafe, or must be done first; whole sentences.
    pub cautions: Vec<String>,
}

/// A step at the stones.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct StoneStep {
    /// What is done, in a few words.
    pub what: String,
    /// What stands largest: a lane, an angle, a number of strokes.
    pub figure: String,
    /// The rest of it; whole sentences.
    pub words: Vec<String>,
    /// The grade that strokes are counted on; null where none are.
    pub grade: Option<String>,
    /// How many strokes are usual; null where none are counted.
    pub strokes: Option<u32>,
}

/// A file that was opened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct Opened {
    /// The bench with it.
    pub bench: Bench,
    /// The form that shows it.
    pub form: FormName,
    /// What it is, in words.
    pub what: String,
    /// What is wrong with it; whole sentences.
    pub faults: Vec<String>,
}
