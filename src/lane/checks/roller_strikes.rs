//! A roller that stands out past the face reaches under the block, which must be thin enough for it.

use super::{BlockEdge, Finding, Lane, Rule};
use crate::units::exceeds;

/// Whether the roller strikes a block so thick, mm, where `limit` mm is the thickest that it does not strike.
pub(super) fn refused(thickness: f64, limit: f64) -> bool {
    exceeds(thickness, limit)
}

pub(super) fn check(lane: &Lane, edge: BlockEdge) -> Option<Finding> {
    let (limit, written) = (lane.thickness_limit, lane.request.written);
    refused(edge.thickness, limit).then(|| {
        let what = format!(
            "the roller stands out past the guide's front and strikes a block {} thick",
            written.over(edge.thickness)
        );
        let allowed = if limit > 0.0 {
            format!("at most {}", written.under(limit))
        } else {
            "no thickness would clear it".into()
        };
        Finding::refusal(Rule::RollerStrikes, format!("{what}; {allowed}"))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::guide::Taken;
    use crate::input::length::Length;
    use crate::lane::checks::Gravity::Refusal;
    use crate::lane::checks::testing::*;

    #[test]
    fn sound_then_broken() {
        let mut g = guide();
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::RollerStrikes), None);
        // r = 9.5, e = 6: the limit is 18.4 − √(9.5² − 6²) = 11.03 mm.
        g.face.axle_to_face = Taken::Direct(Length::exact(6.0));
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::RollerStrikes), Some(Refusal));
        let thinner = BlockEdge { thickness: 11.0, ..EDGE };
        assert_eq!(found(&g, &request(30.0), thinner, Rule::RollerStrikes), None);
        // With the axle inside the edge (e < 0) the limit is 18.4 − 9.5 = 8.9 mm.
        g.face.axle_to_face = Taken::Direct(Length::exact(-1.0));
        assert_eq!(
            found(&g, &request(30.0), BlockEdge { thickness: 8.95, ..EDGE }, Rule::RollerStrikes),
            Some(Refusal)
        );
        assert_eq!(found(&g, &request(30.0), BlockEdge { thickness: 8.85, ..EDGE }, Rule::RollerStrikes), None);
    }

    #[test]
    fn no_block_without_thickness_is_advised() {
        let mut lane = lane(30.0);
        let mut told = |limit| {
            lane.thickness_limit = limit;
            check(&lane, EDGE).expect("thicker").message
        };
        assert!(told(8.0).ends_with("; at most 8.00 mm"), "{}", told(8.0));
        for none in [0.0, -1.0] {
            assert!(told(none).ends_with("; no thickness would clear it"), "{}", told(none));
        }
    }
}
