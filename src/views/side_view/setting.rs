//! The guide at the block's edge, with the block, the bench and what hangs over it.

use kurbo::Rect;

use super::{BENCH, Drawn, STEP, drawn_between};
use crate::drawing::Group;
use crate::drawing::dimension::{End, drawn};
use crate::drawing::frame::outline;
use crate::drawing::style::{Fill, Pen};
use crate::drawing::view::View;
use crate::lane::BlockEdge;
use crate::lane::FOOT_RELIEF;
use crate::views::figure::Figure;

impl Drawn<'_> {
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
        let right = fence + 12.0;
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
        let start = overhang.min(right - 4.0);
        let depth = BENCH / view.scale;
        bench.path([view.all(outline(Rect::new(start, -t, right + 6.0, -t - depth)))], true, Pen::Narrow, Fill::Pale);
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
        let left = view.at(figure.at((figure.rear() - 14.0, 0.0))).x - STEP * 0.8;
        let linear = drawn_between(view, [(axle.x, low), (-1.0, 0.0)], (left, 0.0), upright, self.bare(-low));
        groups.push(drawn("roller-below-table", "roller-below-table", -low, &linear));
        let right = view.at((fence + 18.0, 0.0)).x + STEP * 0.7;
        let t = edge.thickness;
        let mut linear = drawn_between(view, [(fence + 18.0, -t), (fence, 0.0)], (right, 0.0), upright, self.bare(t));
        linear.ends[1] = view.at((fence + 12.0, 0.0));
        groups.push(drawn("thickness", "thickness", t, &linear));
        let mut linear = drawn_between(
            view,
            [(fence + 12.0, 0.0), (fence + 12.0, fence_height)],
            (right, 0.0),
            upright,
            self.bare(fence_height),
        );
        linear.outside = End::Second;
        groups.push(drawn("fence-height", "fence-height", fence_height, &linear));
        groups
    }

    /// How far the block stands out over the bench, below the bench.
    pub(super) fn overhang_dimension(&self, view: &View, edge: BlockEdge, overhang: f64) -> Group {
        let below = -edge.thickness - BENCH / view.scale;
        let through = (0.0, view.at((0.0, below)).y + 6.0);
        let ends = [(0.0, -edge.thickness), (overhang, below)];
        let mut linear = drawn_between(view, ends, through, (1.0, 0.0), format!("≥ {}", self.bare(overhang)));
        linear.outside = End::Second;
        drawn("overhang", "overhang", overhang, &linear)
    }
}
