//! The edge must touch the stone before the heel does.

use super::{Finding, Lane, Rule};
use crate::units::short;

pub(super) fn check(lane: &Lane) -> Option<Finding> {
    let (primary, angle) = (lane.request.primary(), lane.setting.angle);
    (primary > angle).then(|| {
        let [primary, angle] = [primary, angle].map(|degrees| short(degrees, 3));
        Finding::refusal(
            Rule::HeelFirst,
            format!(
                "at {angle}° the heel of the {primary}° primary bevel touches the stone before the edge does. Regrind the primary to {angle}° or less; if you mean to hone that now, give it as the primary"
            ),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lane::checks::Gravity::Refusal;
    use crate::lane::checks::testing::*;

    #[test]
    fn sound_then_broken() {
        let mut r = request(30.0);
        r.primary = Some(30.0);
        assert_eq!(found(&guide(), &r, EDGE, Rule::HeelFirst), None);
        r.primary = Some(30.5);
        assert_eq!(found(&guide(), &r, EDGE, Rule::HeelFirst), Some(Refusal));
    }
}
