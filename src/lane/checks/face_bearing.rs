//! The guide's face must bear on the edge over some height, or it leans.

use super::{Finding, Lane, Rule};
use crate::lane::mm;

/// Least bearing height, mm.
const LEAST: f64 = 3.0;

pub(super) fn check(lane: &Lane) -> Option<Finding> {
    let Some(bearing) = lane.face_bearing else {
        return Some(Finding::not_checked(Rule::FaceBearing, "how much of the face bears on the edge", "face.bottom"));
    };
    (bearing < LEAST).then(|| {
        Finding::refusal(
            Rule::FaceBearing,
            format!(
                "the face bears on the block's edge over a height of {}; at least {LEAST} mm is needed",
                mm(bearing)
            ),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::super::Gravity::{NotChecked, Refusal};
    use super::super::testing::*;
    use super::*;
    use crate::guide::Taken;
    use crate::input::length::Length;

    #[test]
    fn sound_then_broken() {
        let mut g = guide();
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::FaceBearing), None);
        g.face.bottom = Some(Taken::Direct(Length::exact(18.4 - 2.9)));
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::FaceBearing), Some(Refusal));
        g.face.bottom = None;
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::FaceBearing), Some(NotChecked));
    }

    #[test]
    fn a_thin_board_bears_too_little() {
        let thin = super::super::BlockEdge { thickness: 3.5, ..EDGE };
        assert_eq!(found(&guide(), &request(30.0), thin, Rule::FaceBearing), Some(Refusal));
    }
}
