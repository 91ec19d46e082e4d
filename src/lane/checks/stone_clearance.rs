//! Honing, the guide's front must clear the stone, or the stone lifts it and the bevel comes out wrong.

use super::{Finding, Lane, Rule};
use crate::solve::section::Section;
use crate::trig::Trig;
use crate::units::Written;

/// Least clearance, mm.
const LEAST: f64 = 0.5;

/// Height of the face's lower end above the stone, mm; `None` where that end is not known.
pub(super) fn height(section: &Section<f64>, degrees: f64) -> Option<f64> {
    let bottom = section.face_bottom?;
    let (sin, cos) = section.dip(degrees.to_radians()).sine_cosine();
    Some(section.axle_height() - section.face_at(bottom) * sin + bottom * cos)
}

/// Whether that is too little.
pub(super) fn refused(clearance: f64) -> bool {
    clearance <= LEAST
}

pub(super) fn check(lane: &Lane) -> Option<Finding> {
    let Some(clearance) = height(&lane.setting.section, lane.setting.angle) else {
        return Some(Finding::not_checked(Rule::StoneClearance, "whether the guide clears the stone", "face.bottom"));
    };
    refused(clearance).then(|| {
        Finding::refusal(
            Rule::StoneClearance,
            format!(
                "the lower end of the guide's front is {}; it must clear the stone by more than {}",
                stands(clearance, lane.request.written),
                lane.request.written.size(LEAST)
            ),
        )
    })
}

/// Where that is, in words.
fn stands(clearance: f64, written: Written) -> String {
    if clearance < 0.0 {
        format!("{} below the top of the stone", written.length(-clearance))
    } else {
        format!("{} above the stone", written.under(clearance))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lane::checks::Gravity::Note;
    use crate::lane::checks::Gravity::Refusal;
    use crate::lane::checks::testing::*;

    #[test]
    fn sound_then_broken() {
        let mut g = guide();
        assert_eq!(found(&g, &request(40.0), EDGE, Rule::StoneClearance), None);
        // The steeper the guide stands, the lower its front: 9.5 − 15.8·sin 46° + 3.5·cos 46° = 0.57, at 47° 0.33 mm.
        assert_eq!(found(&g, &request(46.0), EDGE, Rule::StoneClearance), None);
        assert_eq!(found(&g, &request(47.0), EDGE, Rule::StoneClearance), Some(Refusal));
        assert_eq!(
            [-0.35, 0.33].map(|mm| stands(mm, METRIC)),
            ["0.35 mm below the top of the stone", "0.33 mm above the stone"]
        );
        // It never reads like the limit that it falls short of.
        assert_eq!(stands(0.499, METRIC), "0.49 mm above the stone");
        g.face.bottom = None;
        assert_eq!(found(&g, &request(47.0), EDGE, Rule::StoneClearance), Some(Note));
    }
}
