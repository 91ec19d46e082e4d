//! The words of the trade that everything here uses, each with what it means, and the figure that shows them.
//!
//! [`Word`] is the one place where they stand. The figure ([`figure`]) is drawn of a guide and a block as they are; the
//! page ([`page`]) puts it together with the meanings and the order of use; [`glossary`] is both without a drawing.

mod callout;
pub mod demo;
mod edge;
pub mod figure;
pub mod page;
mod setting;
mod shown;
mod small;
mod text;

pub use shown::Shown;
pub use text::glossary;

/// A word of the trade.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Word {
    /// What holds the blade.
    Guide,
    /// What it runs on.
    Roller,
    /// Where the blade lies in it.
    Seat,
    /// Its front.
    Face,
    /// How far the edge stands out of it.
    Projection,
    /// From the axle to its front.
    AxleToFace,
    /// What is honed.
    Blade,
    /// The blade's flat side.
    Back,
    /// What cuts.
    Edge,
    /// The slope that makes the edge.
    Bevel,
    /// Where that begins.
    Heel,
    /// A second one, at the edge.
    MicroBevel,
    /// What honing leaves at the edge.
    Burr,
    /// An edge that is curved.
    Camber,
    /// The upright part of a chisel's side.
    Land,
    /// How an iron lies in its plane.
    BedAngle,
    /// What it is honed on.
    Stone,
    /// What sets the projection.
    Block,
    /// Where the blade lies on it.
    Table,
    /// What its edge is pushed against.
    Fence,
    /// What bears the fences.
    Middle,
    /// The place of one setting.
    Lane,
    /// One edge of the block.
    NearEdge,
    /// The other.
    FarEdge,
    /// The one that is measured from.
    ReferenceEdge,
    /// A corner.
    Arris,
    /// How deep the guide reaches.
    RollerBelowTable,
    /// What holds the block to the bench.
    Cleat,
    /// What a saw takes.
    Kerf,
    /// How many.
    Quantity,
    /// How well the projection is known.
    ProjectionWithin,
    /// How well the angle is known.
    AngleWithin,
    /// What to mind.
    Warning,
}

impl Word {
    /// All words, in the order in which they explain one another.
    pub const ALL: [Word; 33] = [
        Word::Guide,
        Word::Roller,
        Word::Seat,
        Word::Face,
        Word::Projection,
        Word::AxleToFace,
        Word::Blade,
        Word::Back,
        Word::Edge,
        Word::Bevel,
        Word::Heel,
        Word::MicroBevel,
        Word::Burr,
        Word::Camber,
        Word::Land,
        Word::BedAngle,
        Word::Stone,
        Word::Block,
        Word::Table,
        Word::Fence,
        Word::Middle,
        Word::Lane,
        Word::NearEdge,
        Word::FarEdge,
        Word::ReferenceEdge,
        Word::Arris,
        Word::RollerBelowTable,
        Word::Cleat,
        Word::Kerf,
        Word::Quantity,
        Word::ProjectionWithin,
        Word::AngleWithin,
        Word::Warning,
    ];

    /// The word, and what it means.
    const fn entry(self) -> [&'static str; 2] {
        match self {
            Word::Guide => ["guide", "Holds the blade at one angle."],
            Word::Roller => ["roller", "What the guide runs on."],
            Word::Seat => ["seat", "Where the guide holds the blade."],
            Word::Face => ["face", "The guide's flat front: it meets the block."],
            Word::Projection => ["projection", "How far the edge stands out of the face."],
            Word::AxleToFace => ["axle to face", "From the roller's middle to the face."],
            Word::Blade => ["blade", "A plane iron or a chisel."],
            Word::Back => ["back", "The flat side of the blade."],
            Word::Edge => ["edge", "Where back and bevel meet: what cuts."],
            Word::Bevel => ["bevel", "The slope that makes the edge, or its angle."],
            Word::Heel => ["heel", "The end of the bevel away from the edge."],
            Word::MicroBevel => ["micro-bevel", "A narrow, steeper bevel at the edge."],
            Word::Burr => ["burr", "The wire of steel that honing raises."],
            Word::Camber => ["camber", "A slight curve of the edge."],
            Word::Land => ["land", "The upright strip of a chisel's side, at the back."],
            Word::BedAngle => ["bed angle", "Between a plane's sole and its bed."],
            Word::Stone => ["stone", "What you hone on: stone, plate or paper."],
            Word::Block => ["block", "Sets the projection. Printed, or made in wood."],
            Word::Table => ["table", "The flat that the blade lies on."],
            Word::Fence => ["fence", "The wall that the edge is slid up to."],
            Word::Middle => ["middle", "The raised part: its long sides are fences."],
            Word::Lane => ["lane", "The table in front of one fence: one setting."],
            Word::NearEdge => ["near edge", "The long edge of the block toward you."],
            Word::FarEdge => ["far edge", "The other one: turn the block round."],
            Word::ReferenceEdge => ["reference edge", "Where a fence is measured from."],
            Word::Arris => ["arris", "The sharp line where two surfaces meet."],
            Word::RollerBelowTable => ["roller below the table", "How deep it reaches."],
            Word::Cleat => ["cleat", "The bar below the block, hung on the bench."],
            Word::Kerf => ["kerf", "The width of wood that a saw turns to dust."],
            Word::Quantity => ["quantity", "The number of pieces to make."],
            Word::ProjectionWithin => ["± projection", "Its expanded uncertainty, k = 2."],
            Word::AngleWithin => ["± angle", "Expanded uncertainty of the angle, k = 2."],
            Word::Warning => ["Warning", "It can be made, but needs your care."],
        }
    }

    /// The word itself.
    pub const fn name(self) -> &'static str {
        self.entry()[0]
    }

    /// What it means, in a line.
    pub const fn meaning(self) -> &'static str {
        self.entry()[1]
    }

    /// The word as part of an id: letters and hyphens.
    pub fn id(self) -> String {
        self.name().replace("± ", "plus-minus-").replace(' ', "-").to_lowercase()
    }
}
