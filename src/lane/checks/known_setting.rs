//! Whether the lane is a setting that was known before.

use super::{Finding, Gravity, Rule};
use crate::lane::Lane;

pub(super) fn check(lane: &Lane) -> Option<Finding> {
    let known = lane.measured.known()?;
    let message = format!(
        "uses your known setting, {}; the guide fitted to all your settings would give {}",
        lane.request.written.length(known.projection),
        lane.request.written.length(known.fitted)
    );
    Some(Finding { rule: Rule::KnownSetting, gravity: Gravity::Note, message })
}
