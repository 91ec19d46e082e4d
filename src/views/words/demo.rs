//! The demo guide at a block for it: what help and README show.

use kurbo::Rect;

use super::figure::{self, Rows};
use super::shown::Shown;
use crate::drawing::paper::{self, Paper};
use crate::drawing::style::WIDE;
use crate::drawing::{Sheet, clash};
use crate::guide::named::{self, NoFiles};
use crate::input::length::Length;
use crate::lane::{self, BlockEdge, DEFAULT_TOLERANCE, Lane, Request, USUAL_THICKNESS};
use crate::layout::Placed;
use crate::shape::polygon::microns;
use crate::terms::{Edge, PaperSize};
use crate::units::{Written, short};
use crate::views::section::{Body, CutPart, Lean};

/// The guide.
const GUIDE: &str = "narrow-side-clamp";
/// Its lanes from left to right: tool class, angle in degrees, edge.
const LANES: [(&str, [f64; 3], Edge); 2] =
    [("plane-iron", [25.0, 30.0, 35.0], Edge::Near), ("bench-chisel", [35.0, 30.0, 25.0], Edge::Far)];
/// Which of them is cut through: an iron at 30°, which has a micro-bevel.
const CUT: usize = 1;
/// Room along the edge for a lane, mm.
const LANE: f64 = 55.0;
/// Height of the fences, mm.
const FENCE: f64 = 8.0;
/// Least width of the raised middle, mm.
const MIDDLE: f64 = 24.0;
/// Width and height of the cleat, mm.
const CLEAT: f64 = 18.0;

/// Width of the picture, mm.
const WIDTH: f64 = 172.0;
/// Heights of its rows of views, mm.
const ROWS: Rows = [66.0, 58.0, 27.0];
/// Space around it, mm.
const MARGIN: f64 = 4.0 * WIDE;

/// The demo guide's lanes in their places.
fn lanes() -> Vec<Placed> {
    let builtin = "built-in profiles are sound, as their own test holds";
    let guide = named::guide(GUIDE, &NoFiles).expect(builtin);
    let edge = BlockEdge { thickness: USUAL_THICKNESS, relief: 0.0, fence_within: None };
    let mut all = Vec::new();
    for (tool, angles, side) in LANES {
        let class = named::tool(tool, &NoFiles).expect(builtin);
        for (i, angle) in angles.into_iter().enumerate() {
            let request = Request {
                id: format!("{tool}-{}", short(angle, 1)),
                label: tool.into(),
                tool: Some(tool.into()),
                seat: class.seat,
                angle,
                wanted: angle,
                asked: None,
                blade: class.blade(),
                width: None,
                length: None,
                primary: None,
                usual_primary: Some(class.usual_primary()),
                roller_level: Length::exact(0.0),
                edge: Some(side),
                written: Written::of(guide.units),
            };
            let lane: Lane = lane::build(&guide, &request, edge, DEFAULT_TOLERANCE)
                .expect("the demo guide holds the usual blades at the usual angles");
            let x = [LANE * i as f64, LANE * (i + 1) as f64];
            let centre = (x[0] + x[1]) / 2.0;
            all.push(Placed { lane, edge: side, x, centre, blade_width: class.width[0] });
        }
    }
    all
}

/// Calls `with` with what the figure shows of the demo guide.
pub fn shown<T>(with: impl FnOnce(&Shown) -> T) -> T {
    let lanes = lanes();
    let fence = |i: usize| lanes[i].lane.finished();
    let columns = lanes.len() / 2;
    let depth = MIDDLE + (0..columns).map(|i| fence(i) + fence(i + columns)).fold(0.0, f64::max);
    let (t, middle) = (USUAL_THICKNESS, [fence(CUT), depth - fence(CUT + columns)]);
    let span = |ends: [f64; 2]| ends.map(microns);
    let cleat = [(depth - CLEAT) / 2.0, (depth + CLEAT) / 2.0];
    let body = Body {
        depth,
        thickness: t,
        fence_height: FENCE,
        bench: cleat[1],
        below: CLEAT,
        parts: vec![
            CutPart {
                boxes: vec![[span([0.0, depth]), span([0.0, t])], [span(middle), span([t, t + FENCE])]],
                lean: Lean::Right,
            },
            CutPart { boxes: vec![[span(cleat), span([-CLEAT, 0.0])]], lean: Lean::Left },
        ],
        title: String::new(),
        size: Box::new(|mm| short(mm, 2)),
        over: Box::new(|_| Vec::new()),
        over_fences: 0.0,
    };
    with(&Shown { placed: &lanes[CUT], body: &body, lanes: &lanes, length: LANE * columns as f64, marks: true })
}

/// The figure of the demo guide alone, and the part of its sheet that it takes.
pub fn picture() -> (Sheet, Rect) {
    let paper = Paper::sheet(PaperSize::A4, false);
    let groups = shown(|shown| figure::draw(shown, WIDTH, ROWS));
    let at = paper.frame().origin() + (MARGIN, MARGIN);
    let groups: Vec<_> = groups.into_iter().map(|g| g.moved(at.to_vec2())).collect();
    let area = clash::extent(&groups).inset(MARGIN).union(Rect::from_origin_size(at, (WIDTH, 1.0)).inset(MARGIN));
    (Sheet { title: "The words at their parts".into(), paper, scale: paper::NONE.name.into(), groups }, area)
}
