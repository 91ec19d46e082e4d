//! How far the fences drift over the year.
//!
//! A strip is held on its fixing line, its middle: between the reference edge and that line the board moves, between
//! the line and the fence the strip does, the other way. A facing is too thin to count. What drifts is the distance that
//! the sheets ask for, and what it must keep are its limits there.

use super::asked::Asked;
use super::board::Board;
use super::fence_stock::FenceStock;
use crate::job::wood::WoodOptions;
use crate::layout::Placed;
use crate::terms::Grain;
use crate::units::fixed;
use crate::wood::timber::{self, Cut, LINEAR, Season, Stuff};

/// How far one lane drifts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drift {
    /// Change of the fence distance when it is driest and dampest, mm, positive away from the edge.
    pub fence: [f64; 2],
    /// The bevel angle that the lane then sets, degrees; `None` where it sets none.
    pub angle: [Option<f64>; 2],
    /// Whether the fence stays within its own limits.
    pub passes: bool,
}

/// How far all lanes drift.
#[derive(Debug, Clone, PartialEq)]
pub struct Movement {
    /// The wood's moisture over the year.
    pub season: Season,
    /// Lane by lane, in the jig's order.
    pub drifts: Vec<Drift>,
    /// What the board moves by along its length, per 1 % of moisture, as a fraction.
    lengthwise: f64,
    /// What to do where a lane drifts out of its limits; empty where none does.
    pub advice: Vec<String>,
}

impl Movement {
    /// Length, mm, that a slot needs beyond its round hole so that a board whose grain runs across a strip can move
    /// under a screw `distance` mm from the strip's fixed middle.
    pub fn travel(&self, distance: f64) -> f64 {
        let season = self.season;
        let most = (season.damp - season.made).abs().max((season.made - season.dry).abs());
        // Half a millimetre to spare, on a half millimetre.
        ((2.0 * distance * self.lengthwise * most + 0.5) * 2.0).ceil() / 2.0
    }
}

/// The drift of `lanes` on strips of `stock` on `board`.
pub fn movement_of(options: &WoodOptions, board: &Board, stock: &FenceStock, lanes: &[Placed]) -> Movement {
    let season = options.season;
    let asked = Asked::of(options);
    let drifts: Vec<Drift> = lanes.iter().map(|p| drift_of(p, board, stock, season, asked)).collect();
    let lengthwise = match board.grain {
        Grain::Along => board.stuff.along(),
        Grain::Across => board.stuff.across(),
    };
    let mut advice = Vec::new();
    // The lane that leaves its limits by most, for all that do.
    let over = |(placed, drift): (&Placed, &Drift)| worst(drift) / asked.limit(&placed.lane).max(1e-9);
    let both = || lanes.iter().zip(&drifts);
    if let Some((placed, drift)) = both().filter(|(_, d)| !d.passes).max_by(|a, b| over(*a).total_cmp(&over(*b))) {
        let count = drifts.iter().filter(|d| !d.passes).count();
        advice.push(advise(count, (placed, drift), board, stock, options));
    }
    if season.extrapolated() {
        advice.push(format!(
            "the wood goes from {} to {} % moisture. How it moves is known for {} to {} %; beyond that, it is a guess",
            fixed(season.dry, 1),
            fixed(season.damp, 1),
            LINEAR[0],
            LINEAR[1]
        ));
    }
    Movement { season, drifts, lengthwise, advice }
}

fn worst(drift: &Drift) -> f64 {
    drift.fence[0].abs().max(drift.fence[1].abs())
}

fn drift_of(placed: &Placed, board: &Board, stock: &FenceStock, season: Season, asked: Asked) -> Drift {
    let lane = &placed.lane;
    let (made, limit) = (asked.printed(lane), asked.limit(lane));
    let in_strip = (stock.width - stock.facing) / 2.0;
    let to_line = made + stock.facing + in_strip;
    let along_it = match board.grain {
        Grain::Along => board.stuff.across(),
        Grain::Across => board.stuff.along(),
    };
    let of_board = timber::drift(to_line, along_it, season);
    let of_strip = timber::drift(in_strip, stock.stuff().across(), season);
    let fence = [of_board[0] - of_strip[0], of_board[1] - of_strip[1]];
    let passes = fence.iter().all(|d| d.abs() <= limit);
    Drift { fence, angle: fence.map(|d| lane.angle_at(made + d).ok()), passes }
}

fn advise(
    count: usize,
    (placed, drift): (&Placed, &Drift),
    board: &Board,
    stock: &FenceStock,
    options: &WoodOptions,
) -> String {
    let (written, asked) = (options.written, Asked::of(options));
    let sawn = if matches!(board.stuff, Stuff::Solid { .. }) {
        "quarter-sawn board and strips"
    } else {
        "quarter-sawn strips"
    };
    let lane = &placed.lane;
    let others = [
        ("plywood", Board { stuff: Stuff::Plywood, ..board.clone() }, stock.clone()),
        ("its grain from edge to edge", Board { grain: Grain::Across, ..board.clone() }, stock.clone()),
        (sawn, quartered(board), FenceStock { cut: Cut::Quarter, ..stock.clone() }),
    ];
    let better: Vec<String> = others
        .iter()
        .map(|(name, board, stock)| (name, drift_of(placed, board, stock, options.season, asked)))
        .filter(|(_, other)| worst(other) < worst(drift))
        .map(|(name, other)| {
            let passes = if other.passes { "within" } else { "still beyond" };
            format!("{name}: {}, {passes} its limits", written.fine(worst(&other)).said())
        })
        .collect();
    format!(
        "over the year the wood takes {count} of the lanes out of their limits: {} the most, by up to {} where ±{} is allowed. Better: {}",
        lane.request.id,
        written.fine(worst(drift)).said(),
        written.fine(asked.limit(lane)).said(),
        if better.is_empty() { "a steadier climate, or a wider tolerance".into() } else { better.join("; ") }
    )
}

fn quartered(board: &Board) -> Board {
    let stuff = match board.stuff {
        Stuff::Solid { species, .. } => Stuff::Solid { species, cut: Cut::Quarter },
        panel => panel,
    };
    Board { stuff, ..board.clone() }
}
