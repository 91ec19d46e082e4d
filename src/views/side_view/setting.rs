//! The guide at the block's edge, with the block, the bench and what hangs over it.

use super::{BENCH, Drawn, STEP, Stand, auxiliary, drawn_between};
use crate::drawing::Group;
use crate::drawing::dimension::{End, Linear, drawn};
use crate::drawing::style::{Fill, Pen};
use crate::drawing::view::View;
use crate::lane::BlockEdge;
use crate::lane::FOOT_RELIEF;
use crate::views::figure::{Figure, ground};

/// How far the block is shown behind the fence, mm.
const BEHIND_FENCE: f64 = 12.0;
/// How much of the bench is shown below the block at least, mm.
const ON_BENCH: f64 = 8.0;
/// How far the bench is shown past the block, mm.
const BENCH_PAST: f64 = 6.0;

impl Drawn<'_> {
    /// Where the block that is shown ends, mm from its edge: behind the fence, and behind the edge of the bench.
    fn block_end(&self) -> f64 {
        let overhang = match self.stand {
            Stand::Block { overhang, .. } => overhang,
            Stand::Stone | Stand::OwnStone(_) => 0.0,
        };
        (self.lane.finished() + BEHIND_FENCE).max(overhang + ON_BENCH)
    }

    /// Block and bench, cut.
    pub(super) fn block(
        &self,
        view: &View,
        edge: BlockEdge,
        fence_height: f64,
        overhang: f64,
        foot_relief: bool,
    ) -> Vec<Group> {
        let fence = self.lane.finished();
        let t = edge.thickness;
        let relief = if edge.relief > 0.0 { 0.4 } else { 0.0 };
        let [foot_width, foot_depth] = if foot_relief { FOOT_RELIEF } else { [0.0, 0.0] };
        let right = self.block_end();
        let corners = [
            (relief, -t),
            (relief, -t + edge.relief),
            (0.0, -t + edge.relief),
            (0.0, 0.0),
            (fence - foot_width, 0.0),
            (fence - foot_width, -foot_depth),
            (fence, -foot_depth),
            (fence, fence_height),
            (right, fence_height),
            (right, -t),
        ];
        let mut block = Group::new("block", "figure").with("fence_distance", fence);
        block.path([view.all(corners)], true, Pen::Wide, Fill::Tint);
        let mut bench = Group::new("bench", "figure").with("overhang", overhang);
        // Its front below its top; what lies further down and back is not drawn.
        let [front, end] = [overhang, right + BENCH_PAST].map(|x| view.at((x, -t)));
        bench.path([[front + (0.0, BENCH), front, end]], false, Pen::DoubleDot, Fill::None);
        ground(&mut bench, front, end);
        vec![bench, block]
    }

    pub(super) fn setting_dimensions(
        &self,
        view: &View,
        figure: &Figure,
        edge: BlockEdge,
        fence_height: f64,
    ) -> Vec<Group> {
        let fence = self.lane.finished();
        let [upright, level] = [(0.0, -1.0), (1.0, 0.0)];
        let k = view.scale;
        let mut groups = Vec::new();
        let top = figure
            .at((0.0, figure.top()))
            .y
            .max(figure.at((figure.section().axle_to_face, figure.top())).y)
            .max(fence_height);
        let words = self.lane.fence_words();
        let through = view.at((0.0, top + STEP / k));
        let linear = drawn_between(view, [(0.0, top), (fence, fence_height)], through, level, words);
        groups.push(drawn("fence_distance", "fence_distance", fence, &linear));
        let axle = figure.at((0.0, 0.0));
        let low = -self.lane.own_roller_below_table();
        let left = view.at(figure.at((figure.tail(), 0.0))).x - STEP * 0.8;
        let linear =
            drawn_between(view, [(axle.x, low), (-1.0, 0.0)], (left, 0.0), upright, auxiliary(&self.bare(-low)));
        groups.push(drawn("roller-below-table", "roller-below-table", -low, &linear));
        let end = self.block_end();
        let mut right = view.at((end + BENCH_PAST, 0.0)).x + STEP * 0.7;
        if let Stand::Block { overhang, .. } = self.stand {
            // Beside the words of the overhang where they stand outside.
            let linear = self.overhang_line(view, edge, overhang);
            if !linear.fits_inside() {
                right = right.max(linear.ends[1].x + linear.outside_reach() + STEP);
            }
        }
        let t = edge.thickness;
        let ends = [(end + BENCH_PAST, -t), (end, 0.0)];
        let linear = drawn_between(view, ends, (right, 0.0), upright, self.bare(t));
        groups.push(drawn("thickness", "thickness", t, &linear));
        let mut linear =
            drawn_between(view, [(end, 0.0), (end, fence_height)], (right, 0.0), upright, self.bare(fence_height));
        linear.outside = End::Second;
        groups.push(drawn("fence-height", "fence-height", fence_height, &linear));
        groups
    }

    /// How far the block stands out over the bench, below the bench.
    pub(super) fn overhang_dimension(&self, view: &View, edge: BlockEdge, overhang: f64) -> Group {
        drawn("overhang", "overhang", overhang, &self.overhang_line(view, edge, overhang))
    }

    fn overhang_line(&self, view: &View, edge: BlockEdge, overhang: f64) -> Linear {
        let below = -edge.thickness - BENCH / view.scale;
        let through = (0.0, view.at((0.0, below)).y + 6.0);
        let ends = [(0.0, -edge.thickness), (overhang, below)];
        let mut linear = drawn_between(view, ends, through, (1.0, 0.0), format!("≥ {}", self.bare(overhang)));
        linear.outside = End::Second;
        linear
    }
}
