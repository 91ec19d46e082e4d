//! A blade must reach from the edge to where the guide holds it.

use super::{Finding, Lane, Rule};
use crate::solve::section::Section;
use crate::units::COARSE;

/// A blade must be held from the face back over the axle, and over so much at least, mm (our own rule of thumb; common
/// practice, no source).
pub const LEAST_HOLD: f64 = 10.0;

/// How much of a blade must lie in the guide behind its face, mm.
fn hold(section: &Section<f64>) -> f64 {
    section.axle_to_face.max(LEAST_HOLD)
}

/// Whether a blade of a length that stands out by `projection` is too short, mm; one of unknown length is not.
pub(super) fn refused(length: Option<f64>, section: &Section<f64>, projection: f64) -> bool {
    length.is_some_and(|length| length < projection + hold(section))
}

pub(super) fn check(lane: &Lane) -> Option<Finding> {
    let (section, projection) = (&lane.setting.section, lane.setting.projection);
    let length = lane.request.length.filter(|&length| refused(Some(length), section, projection))?;
    let (hold, written) = (hold(section), lane.request.written);
    // Rounded apart, so that the two never read alike.
    let message = format!(
        "blade too short for this setting: {} left, {} needed, of which {} are held in the guide (common practice, no source)",
        written.less(length, COARSE).said(),
        written.more(projection + hold, COARSE).said(),
        written.more(hold, COARSE).said()
    );
    Some(Finding::refusal(Rule::BladeLength, message))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lane::checks::Gravity::Refusal;
    use crate::lane::checks::testing::*;
    use crate::lane::{Request, build};

    /// At 30° the blade of case A stands out by 39.2267 mm (the design's reference table), and 15.8 mm lie before the axle.
    #[test]
    fn sound_then_broken() {
        let of = |length| Request { length, ..request(30.0) };
        for sound in [None, Some(55.1), Some(140.0)] {
            assert_eq!(found(&guide(), &of(sound), EDGE, Rule::BladeLength), None, "{sound:?}");
        }
        for short in [55.0, 40.0, 30.0] {
            assert_eq!(found(&guide(), &of(Some(short)), EDGE, Rule::BladeLength), Some(Refusal), "{short}");
        }
        // By less than is shown, and still two lengths.
        let lane = build(&guide(), &of(Some(55.02)), EDGE, 0.5).expect("has a setting");
        assert!(lane.findings[0].message.contains("55.0 mm left, 55.1 mm needed"), "{:?}", lane.findings);
    }
}
