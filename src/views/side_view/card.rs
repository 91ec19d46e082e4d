//! Something that stands beside a side view.

use kurbo::Size;

use crate::drawing::{Group, clash};

/// Groups that stand beside the view, with their upper left corner at the origin.
pub(super) struct Card {
    /// What is drawn.
    pub groups: Vec<Group>,
    /// Width and height, mm.
    pub size: Size,
    /// The corner of the sheet that it stands nearest to: 0 at the left or at the top, 1 at the right or at the foot.
    pub corner: (f64, f64),
}

impl Card {
    /// A card of groups that are drawn wherever they are.
    pub fn of(groups: Vec<Group>, corner: (f64, f64)) -> Self {
        let extent = clash::extent(&groups);
        let to_origin = -extent.origin().to_vec2();
        let groups = groups.into_iter().map(|g| g.moved(to_origin)).collect();
        Self { groups, size: extent.size(), corner }
    }
}
