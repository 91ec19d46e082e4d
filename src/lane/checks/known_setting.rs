//! Whether the lane is a setting that was known before.

use super::{Finding, Gravity, Rule};
use crate::lane::{Lane, mm};

pub(super) fn check(lane: &Lane) -> Option<Finding> {
    let known = lane.measured.known()?;
    let message = format!(
        "uses your known setting, {}; the guide fitted to all your settings would give {}",
        mm(known.projection),
        mm(known.fitted)
    );
    Some(Finding { rule: Rule::KnownSetting, gravity: Gravity::Note, message })
}
