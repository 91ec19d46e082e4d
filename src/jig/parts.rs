//! The cut list and what is to be bought.

use super::Jig;
use super::board::{Board, with_grain, words};
use super::cleat::Cleat;
use super::fence_stock::FenceStock;
use super::fences::Fence;
use crate::units::MM_PER_INCH;

/// A part, or several of one size.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its number on the drawings, in balloons: lanes of a kit have letters.
    pub number: String,
    /// What it is.
    pub kind: PartKind,
    /// How many.
    pub count: usize,
    /// Finished length, width and thickness, mm.
    pub size: [f64; 3],
    /// What it is made of.
    pub material: String,
    /// How its grain runs; nothing where it has none.
    pub grain: Option<&'static str>,
}

impl Part {
    /// What it is made of and how its grain runs, in words.
    pub fn described(&self) -> String {
        with_grain(&self.material, self.grain)
    }
}

/// What a part is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PartKind {
    /// The board.
    Board,
    /// A fence strip, without its facing.
    Fence,
    /// A hard facing of a fence.
    Facing,
    /// The cleat.
    Cleat,
}

impl PartKind {
    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            PartKind::Board => "board",
            PartKind::Fence => "fence",
            PartKind::Facing => "facing",
            PartKind::Cleat => "cleat",
        }
    }
}

/// Something to buy.
#[derive(Debug, Clone, PartialEq)]
pub struct Hardware {
    /// How many; 0 where it is not counted.
    pub count: usize,
    /// What.
    pub what: String,
}

/// The cut list of a board of `size`; gives every strip the number of its part.
pub fn cut_list(
    size: [f64; 2],
    board: &Board,
    stock: &FenceStock,
    fences: &mut [Fence],
    cleat: Option<&Cleat>,
) -> Vec<Part> {
    let mut numbers = (1..).map(|n: usize| n.to_string());
    let mut number = || numbers.next().unwrap_or_default();
    let part = |number, kind, count, size, material: String, grain| Part { number, kind, count, size, material, grain };
    let mut parts = vec![part(
        number(),
        PartKind::Board,
        1,
        [size[0], size[1], board.thickness],
        board.material(),
        board.grain_words(),
    )];
    let mut lengths: Vec<f64> = fences.iter().map(Fence::length).collect();
    lengths.sort_by(|a, b| b.total_cmp(a));
    lengths.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let width = stock.width - stock.facing;
    let mut facings = Vec::new();
    for length in lengths {
        let name = number();
        let mut count = 0;
        for fence in fences.iter_mut().filter(|f| (f.length() - length).abs() < 1e-6) {
            fence.number.clone_from(&name);
            count += 1;
        }
        let size = [length, width, stock.height];
        parts.push(part(name, PartKind::Fence, count, size, words(stock.stuff()), Some("lengthwise")));
        if stock.facing > 0.0 {
            facings.push((count, [length, stock.height, stock.facing]));
        }
    }
    if let Some(cleat) = cleat {
        let size = [cleat.area.width(), cleat.height, cleat.thickness];
        parts.push(part(number(), PartKind::Cleat, 1, size, "any sound timber".into(), Some("lengthwise")));
    }
    for (count, size) in facings {
        let material = "laminate or brass".to_string();
        parts.push(part(number(), PartKind::Facing, count, size, material, None));
    }
    parts
}

/// Length of a pin, mm: through the strip and as far into the board as pins go, in steps that shops sell: whole millimetres
/// or eighths of an inch (common practice, no source).
fn pin_length(jig: &Jig) -> f64 {
    let step = jig.written.choose(1.0, MM_PER_INCH / 8.0);
    let longest = jig.stock.height + INTO_BOARD.min(jig.board.thickness - 2.0);
    (longest / step + 1e-9).floor() * step
}

/// How far pins go into the board at most, mm.
const INTO_BOARD: f64 = 6.0;

/// Screws, washers, pins and the rest.
pub fn hardware(jig: &Jig) -> Vec<Hardware> {
    let said = |mm: f64| jig.written.native(mm).said();
    let fixing = jig.stock.fixing;
    let screws: usize = jig.fences.iter().map(|f| f.screws.len()).sum();
    let pins: usize = jig.fences.iter().map(|f| f.pins.len()).sum();
    let mut all = vec![
        Hardware {
            count: screws,
            what: format!("pan-head wood screws {} × {}, for the fences", fixing.called, said(jig.stock.screw)),
        },
        Hardware { count: screws, what: format!("washers, {} across, to go under them", said(fixing.washer)) },
    ];
    if pins > 0 {
        let length = pin_length(jig);
        all.push(Hardware {
            count: pins,
            what: format!("steel pins or dowels {} × {}", said(fixing.pin), said(length)),
        });
    }
    if let Some(cleat) = &jig.cleat {
        let head = if jig.board.slides() { "pan-head, with washers" } else { "countersunk" };
        all.push(Hardware {
            count: cleat.screws.len(),
            what: format!("wood screws {} × {}, {head}, for the cleat", cleat.called, said(cleat.screw)),
        });
    }
    all.push(Hardware { count: 0, what: "wood glue; dry adhesive (glue stick or film) for the template".into() });
    if jig.stock.facing > 0.0 {
        all.push(Hardware { count: 0, what: "contact or epoxy adhesive for the facings".into() });
    }
    all
}
