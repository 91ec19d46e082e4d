//! The order of work, in words.

use super::Jig;
use super::cutting::SAFE;
use super::fences::{BOTTOM_EASED, EASED, WEAK_HOLD};
use crate::format::dxf;
use crate::terms::Edge;
use crate::units;
use crate::wood::timber::Stuff;

/// A step: what it is about, what to do, and what to see before the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What it is about, in a word or two.
    pub title: &'static str,
    /// What to do.
    pub text: String,
    /// The check to make after it.
    pub check: String,
}

fn step(title: &'static str, text: impl Into<String>, check: impl Into<String>) -> Step {
    Step { title, text: text.into(), check: check.into() }
}

/// General tolerances of class c, coarse: up to which size, and ± how much, mm (ISO 2768-1, table 1).
pub const COARSE: [(f64, f64); 4] = [(6.0, 0.3), (30.0, 0.5), (120.0, 0.8), (400.0, 1.2)];

/// Those that the parts need, in words.
fn coarse(jig: &Jig) -> String {
    let largest = jig.parts.iter().flat_map(|p| p.size).fold(0.0, f64::max);
    let needed = COARSE.iter().skip(1).scan(false, |done, (to, within)| {
        let stop = std::mem::replace(done, *to >= largest);
        (!stop).then(|| format!("to {} within ±{}", jig.written.said(*to, 0), jig.written.fine(*within).said()))
    });
    format!("Sizes {}", needed.collect::<Vec<_>>().join(", "))
}

/// Where MDF is sawn, planed or bored.
const MDF_DUST: &str = "MDF makes fine dust that harms lungs: cut it outdoors or with an extractor, and wear a mask made for \
                        fine dust. Follow the panel's maker's instructions and local rules.";

/// Where glue is spread.
const GLUE: &str = "Glues may harm skin and give off fumes, and some catch fire: air the room, keep flames away, and follow \
                    the glue's maker's instructions and local rules.";

/// Where a finish is put on.
const RAGS: &str = "Rags wet with oil or solvent may set themselves on fire: dry them flat outdoors or keep them under \
                    water in a closed metal tin. Keep flames away and air the room. Follow the finish's maker's \
                    instructions and local rules.";

/// Where glue is first spread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum FirstGlue {
    /// On the board's staves.
    Staves,
    /// On the cleat.
    Cleat,
    /// On the facings.
    Facings,
    /// On the strips.
    Strips,
}

impl FirstGlue {
    fn of(jig: &Jig) -> Self {
        if jig.cutting.glues_staves() {
            Self::Staves
        } else if jig.cleat.is_some() && !jig.board.slides() {
            Self::Cleat
        } else if jig.stock.facing > 0.0 {
            Self::Facings
        } else {
            Self::Strips
        }
    }

    /// The caution, for the step where glue is first spread; nothing for another.
    fn caution(self, at: Self) -> String {
        if self == at { format!(" {GLUE}") } else { String::new() }
    }
}

/// From the stock to the parts: planed and made true while they are long, then cut to length.
fn out_of_stock(jig: &Jig, glue: FirstGlue) -> Vec<Step> {
    let said = |mm: f64| jig.written.said(mm, 1);
    let safe = jig.written.native(jig.written.choose(SAFE[0], SAFE[1])).said();
    let mut caution = glue.caution(FirstGlue::Staves);
    if jig.board.stuff == Stuff::Mdf {
        caution += &format!(" {MDF_DUST}");
    }
    let plane = step(
        "Plane the battens",
        format!(
            "Saw the board's blank and the battens out of stock, as the cutting plan shows. Plane each batten to its section while it is whole: one face and one edge straight and square, then to width and thickness. Nothing shorter than {safe} goes to a plane or a saw, by hand or by machine (common practice, no source). The makers' instructions for your tools come before this: they may ask for more.{caution}"
        ),
        "A straightedge on the front of each batten shows no light; a square from its bottom shows none.",
    );
    let mut edges = String::from(
        "Plane the two long edges of the board's blank straight, parallel and square to its top. Mark one near edge, the other far edge. ",
    );
    edges += &format!(
        "Ease their bottom arrises by no more than {}; leave the top ones crisp.",
        jig.written.fine(BOTTOM_EASED).said()
    );
    if jig.board.slides() {
        edges += " They are end grain: plane from both ends, and seal them with thin shellac.";
    }
    let edges = step(
        "True the edges",
        edges,
        "A straightedge on each shows no light; a square on the top, its blade down the edge, shows none at either end or in the middle.",
    );
    let cut = step(
        "Cut to length",
        format!(
            "Cut the board to length from its blank. Crosscut the strips{} from their battens in the order of the cutting plan, from the left, and stop where less than {safe} would lie on the saw. Pencil the part's number on each, and an arrow to the front on each strip.",
            if jig.cleat.is_some() { " and the cleat" } else { "" }
        ),
        format!(
            "{} (ISO 2768-1, c). The board's thickness, {}, counts: measure it.",
            coarse(jig),
            said(jig.board.thickness)
        ),
    );
    vec![plane, edges, cut]
}

/// What comes before the fences are set.
pub fn before(jig: &Jig) -> Vec<Step> {
    let said = |mm: f64| jig.written.said(mm, 1);
    let fixing = jig.stock.fixing;
    let glue = FirstGlue::of(jig);
    let mut steps = out_of_stock(jig, glue);
    steps.push(step(
        "Lay out",
        format!(
            "Put the template on with a dry adhesive, its edge lines on the board's edges, or gauge the lines of the table below and knife the centre and square lines with a square from the reference edge. A template is for laying out only. A machine may mark or bore the board from template.dxf. {}",
            dxf::CAUTION
        ),
        "The distances between lines on the wood, not on the paper, are those of the table: calipers decide.",
    ));
    if let Some(cleat) = &jig.cleat {
        steps.push(step(
            "Fix the cleat",
            format!(
                "Bore Ø {} through the board where its drawing says, Ø {} into the cleat. Screw the cleat on from above, heads below the surface{}.{}",
                jig.written.native(cleat.clearance),
                jig.written.native(cleat.pilot),
                if jig.board.slides() { ", the outer ones in their slots, no glue" } else { ", with glue if you like" },
                glue.caution(FirstGlue::Cleat)
            ),
            "The cleat is parallel to both edges, and nothing stands above the board's top.",
        ));
    }
    if jig.stock.facing > 0.0 {
        steps.push(step(
            "Face the strips",
            format!(
                "Glue the facings, {} thick, to the front of their strips.{}",
                said(jig.stock.facing),
                glue.caution(FirstGlue::Facings)
            ),
            "The faces are flat and square to the bottoms.",
        ));
    }
    steps.push(step(
        "Prepare the strips",
        format!(
            "Bore their holes Ø {}, each strip clamped between blocks. Ease their arrises {} at both ends and along the foot: rub them on fine abrasive that lies flat. They are too short for a plane.",
            jig.written.native(fixing.clearance),
            jig.written.native(EASED).said()
        ),
        "A straightedge on each front shows no light; a square from the bottom shows none.",
    ));
    steps.push(step(
        "Set the fences",
        format!(
            "In the order of the table, which begins with the longest. Set the marking gauge to the distance and scribe it from the lane's own edge. Clamp a straight bar against that edge, standing above the board; push the strip to the line. Measure from the bar to the fence with the calipers' inside jaws, at both sides of where the blade will lie; knock the strip until both agree. Bore Ø {} into the board through the middle of each hole, no deeper than {}; drive the screws, washers under them, and measure again.",
            jig.written.native(fixing.pilot),
            said(jig.board.thickness - 1.0)
        ),
        format!(
            "Both sides are within the limits of the table, and differ by no more than {}; a square from the edge lies along the centre line.",
            jig.written.fine(jig.fence_within).said()
        ),
    ));
    steps
}

/// What comes after.
pub fn after(jig: &Jig) -> Vec<Step> {
    let fixing = jig.stock.fixing;
    let mut steps = Vec::new();
    let fast = if jig.board.slides() {
        format!(
            "Take the strips off one at a time, put glue under the middle of each, no wider than {}, and screw it down as it was: the ends must slide. ",
            jig.written.native(jig.written.choose(20.0, 19.05)).said()
        )
    } else {
        let weak = jig.stock.held() < WEAK_HOLD;
        let bore = format!("bore Ø {} through strip and board and drive the pins", jig.written.native(fixing.pin));
        match weak {
            true => format!(
                "The screws hold {} in the board: glue the strips, one at a time, and {bore}. ",
                jig.written.short(jig.stock.held(), units::COARSE).said()
            ),
            false => format!("When all are right, {bore}; or take the strips off one at a time and glue them. "),
        }
    };
    let fast = fast.trim_end().to_string() + &FirstGlue::of(jig).caution(FirstGlue::Strips);
    steps.push(step("Make it fast", fast, "Measure every lane once more: driving and glue move things."));
    steps.push(step(
        "Letter and finish",
        format!(
            "Letter each lane with tool and angle, to be read from its edge. A thin coat of shellac or oil, all faces alike; keep wax and thick varnish off reference edges and fences. {RAGS}"
        ),
        "Edges and fences are bare of drips.",
    ));
    steps.push(step(
        "Check and verify",
        "Measure each lane from its own edge at both sides of the blade, and write the readings down on the check sheet. Enter them with the command that stands there: verify then says what each lane sets, and how far to move a fence that fails.",
        "Every lane passes.",
    ));
    steps.push(step(
        "Try it",
        format!(
            "{} Remove any burr. Hold the guide's front flat against the edge, with the blade flat on the board and along the centre line. Slide the blade gently up to the fence and clamp. Prove the angle on a flat plate before you hone.",
            jig.hold_down()
        ),
        "The bevel is what the lane says, as closely as you can measure.",
    ));
    steps
}

/// One lane to be set.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// Which of the jig's lanes.
    pub lane: usize,
    /// What the lane is called.
    pub label: String,
    /// Number of its strip.
    pub part: String,
    /// Its edge.
    pub edge: Edge,
    /// Distance of its centre line from the end that is at the left as seen from its own edge, mm.
    pub centre: f64,
}

/// The lanes, from the longest fence distance to the shortest.
pub fn settings(jig: &Jig) -> Vec<Setting> {
    let setting = |lane: usize| {
        let placed = &jig.lanes[lane];
        Setting {
            lane,
            label: placed.label(),
            part: jig.fence_of(lane).map_or_else(String::new, |f| f.number.clone()),
            edge: placed.edge,
            centre: match placed.edge {
                Edge::Near => placed.centre,
                Edge::Far => jig.length - placed.centre,
            },
        }
    };
    jig.in_order().into_iter().map(setting).collect()
}
