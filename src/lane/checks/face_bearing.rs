//! The guide's face must bear on the edge over some height, or it leans.

use super::{Finding, Lane, Rule};
use crate::solve::contact::{self, EdgeShape};
use crate::solve::section::Section;

/// Least bearing height, mm.
const LEAST: f64 = 3.0;

/// Height over which face and edge bear on each other, mm; `None` where the face's lower end is not known.
pub(in crate::lane) fn height(section: &Section<f64>, projection: f64, edge: EdgeShape) -> Option<f64> {
    section.face_bottom.map(|bottom| {
        let (_, y) = contact::on_block(section, projection, edge, section.face_at(bottom), bottom);
        (-y).min(edge.bearing_height)
    })
}

/// Whether that is too little.
pub(super) fn refused(bearing: f64) -> bool {
    bearing < LEAST
}

pub(super) fn check(lane: &Lane) -> Option<Finding> {
    let Some(bearing) = lane.face_bearing else {
        return Some(Finding::not_checked(
            Rule::FaceBearing,
            "how much of the guide's front bears on the edge",
            "face.bottom",
        ));
    };
    refused(bearing).then(|| {
        Finding::refusal(
            Rule::FaceBearing,
            format!(
                "only {} of the guide's front bears on the block's edge; at least {} is needed",
                lane.request.written.under(bearing),
                lane.request.written.size(LEAST)
            ),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::guide::Taken;
    use crate::input::length::Length;
    use crate::lane::checks::Gravity::Note;
    use crate::lane::checks::Gravity::Refusal;
    use crate::lane::checks::testing::*;

    #[test]
    fn sound_then_broken() {
        let mut g = guide();
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::FaceBearing), None);
        g.face.bottom = Some(Taken::Direct(Length::exact(18.4 - 2.9)));
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::FaceBearing), Some(Refusal));
        g.face.bottom = None;
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::FaceBearing), Some(Note));
    }

    #[test]
    fn a_thin_board_bears_too_little() {
        let thin = crate::lane::checks::BlockEdge { thickness: 3.5, ..EDGE };
        assert_eq!(found(&guide(), &request(30.0), thin, Rule::FaceBearing), Some(Refusal));
    }
}
