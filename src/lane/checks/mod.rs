//! The rules a lane must keep, one a file, each with its limit in numbers.

mod blade_fit;
mod blade_length;
pub(super) mod face_bearing;
mod heel_first;
mod known_setting;
pub(crate) mod land_assumed;
mod roller_strikes;
mod roller_under_blade;
mod stone_clearance;
pub(super) mod table_support;
mod uncertain;

use super::{BlockEdge, Lane};
use crate::guide::{Guide, Seat};
use crate::solve::contact::{self, EdgeShape};
use crate::solve::section::Section;

/// How grave a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Gravity {
    /// Nothing is wrong, and the user ought to know of it; a rule that could not be checked among them.
    Note,
    /// It will work, but not well.
    Warning,
    /// No block can be made for it.
    Refusal,
}

impl Gravity {
    /// The word a finding is introduced by.
    pub fn word(self) -> &'static str {
        match self {
            Gravity::Refusal => "refused",
            Gravity::Warning => "Warning",
            Gravity::Note => "Note",
        }
    }
}

/// The rules.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// The blade lies on the table behind its heel.
    TableSupport,
    /// The blade is one that the seat holds.
    BladeFit,
    /// The blade is long enough to stand out and be held.
    BladeLength,
    /// Face and edge bear on each other.
    FaceBearing,
    /// The edge, not the heel, touches the stone first.
    HeelFirst,
    /// The roller does not strike the block.
    RollerStrikes,
    /// The roller clears the blade.
    RollerUnderBlade,
    /// The guide clears the stone.
    StoneClearance,
    /// The blades that share a fence leave room for making it.
    Sharing,
    /// The height of the lands that the seat grips was measured.
    LandAssumed,
    /// A known setting is used.
    KnownSetting,
    /// The limits leave room for making the fence.
    Room,
    /// The angle is known to within its tolerance.
    Uncertain,
    /// The stone is flat enough, and long enough.
    Stone,
    /// The blade is stiff enough for the load on it.
    Flex,
    /// The edge is square enough to the blade.
    Square,
    /// Sizes of the block as a whole.
    Block,
}

impl Rule {
    /// Whether it is kept on the stone, with or without a block.
    pub fn is_of_honing(self) -> bool {
        match self {
            Rule::BladeFit
            | Rule::BladeLength
            | Rule::HeelFirst
            | Rule::RollerUnderBlade
            | Rule::StoneClearance
            | Rule::LandAssumed
            | Rule::KnownSetting
            | Rule::Stone
            | Rule::Flex
            | Rule::Square => true,
            Rule::TableSupport
            | Rule::FaceBearing
            | Rule::RollerStrikes
            | Rule::Sharing
            | Rule::Room
            | Rule::Uncertain
            | Rule::Block => false,
        }
    }
}

/// What a rule found.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The rule.
    pub rule: Rule,
    /// How grave it is.
    pub gravity: Gravity,
    /// What and by how much, with the limit.
    pub message: String,
}

impl Finding {
    /// As reports say it: the word for how grave it is, and the message.
    pub fn said(&self) -> String {
        format!("{}: {}", self.gravity.word(), self.message)
    }

    /// Whether it is worth a warning: it concerns the result, and is more than a note.
    pub fn warns(&self) -> bool {
        self.gravity != Gravity::Note
    }

    pub(crate) fn refusal(rule: Rule, message: String) -> Self {
        Self { rule, gravity: Gravity::Refusal, message }
    }

    pub(crate) fn warning(rule: Rule, message: String) -> Self {
        Self { rule, gravity: Gravity::Warning, message }
    }

    pub(crate) fn not_checked(rule: Rule, check: &str, missing: &str) -> Self {
        Self { rule, gravity: Gravity::Note, message: format!("not checked: {check}, as the profile lacks {missing}") }
    }
}

/// Applies every rule to a lane whose angle may be off by ± `tolerance` degrees.
pub fn all(guide: &Guide, seat: &Seat, lane: &Lane, edge: BlockEdge, tolerance: f64) -> Vec<Finding> {
    [
        known_setting::check(lane),
        land_assumed::check(lane),
        blade_length::check(lane),
        uncertain::check(lane, tolerance),
        heel_first::check(lane),
        table_support::check(lane),
        face_bearing::check(lane),
        stone_clearance::check(lane),
        roller_under_blade::check(guide, lane),
        roller_strikes::check(lane, edge),
    ]
    .into_iter()
    .flatten()
    .chain(blade_fit::check(seat, lane))
    .collect()
}

/// A blade of a kit at a fence, as far as the rules need it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Standing<'a> {
    pub guide: &'a Guide,
    pub section: &'a Section<f64>,
    pub edge: EdgeShape,
    /// Height over which the face bears, where that is the same for every projection, mm; see [`Standing::bearing`].
    pub bearing: Option<f64>,
    /// Width of the blade, mm.
    pub width: f64,
    /// Primary bevel, degrees: how far the heel reaches back.
    pub primary: f64,
    /// Length of the blade, mm, where it is known.
    pub length: Option<f64>,
    /// Thickness of the block, mm.
    pub thickness: f64,
}

/// How many rules depend on where a fence stands.
pub(crate) const STANDING_RULES: usize = 7;

impl Standing<'_> {
    /// Height over which the face bears at a projection, mm; `None` where the face's lower end is not known.
    pub fn bearing(section: &Section<f64>, projection: f64, edge: EdgeShape) -> Option<f64> {
        face_bearing::height(section, projection, edge)
    }

    /// Which of the rules that depend on where the fence stands refuse the blade at `angle` degrees; quick, for kits of
    /// thousands of blades. Each refuses on one side of some angle, and not on the other.
    pub fn refusals(&self, angle: f64, projection: f64, fence: f64) -> [bool; STANDING_RULES] {
        let bearing = self.bearing.or_else(|| Self::bearing(self.section, projection, self.edge));
        [
            self.primary > angle,
            blade_length::refused(self.length, self.section, projection),
            table_support::length(self.section, fence, self.primary) <= 0.0,
            bearing.is_some_and(face_bearing::refused),
            stone_clearance::height(self.section, angle).is_some_and(stone_clearance::refused),
            roller_under_blade::refused(self.guide, self.section, projection, self.width),
            roller_strikes::refused(self.thickness, contact::thickness_limit(self.section, projection, self.edge)),
        ]
    }
}

/// Whether the seat holds a blade so thick and wide, mm.
pub(crate) fn is_held(seat: &Seat, thickness: f64, width: f64) -> bool {
    !blade_fit::refused(seat, thickness, width)
}

#[cfg(test)]
pub(crate) mod testing {
    //! A sound lane to break one thing of.

    use serde_json::{Value, json};

    use super::*;
    use crate::guide::Blade;
    use crate::guide::named;
    use crate::input::length::Length;
    use crate::lane::Request;
    use crate::lane::build;
    use crate::profile::GuideProfile;
    use crate::terms::SeatName;
    use crate::units::Written;

    /// Cases A and F of the design's reference table.
    pub fn guide() -> Guide {
        let mut profile: Value = serde_json::from_str(named::GUIDES[0].text).expect("built in");
        profile["roller"]["diameter"] = json!({ "value": 19.0, "within": 0.05 });
        profile["face"]["axle_to_face"] = json!({ "value": 15.8, "within": 0.1 });
        profile["seats"]["iron"]["height"] = json!({ "value": 18.4, "within": 0.1 });
        profile["seats"]["chisel"]["height"] = json!({ "value": 13.2, "within": 0.1 });
        let profile: GuideProfile = serde_json::from_value(profile).expect("a profile");
        Guide::try_from(profile).expect("a sound profile")
    }

    pub fn request(angle: f64) -> Request {
        Request {
            id: "iron".into(),
            label: "iron".into(),
            tool: None,
            seat: SeatName::Iron,
            angle,
            wanted: angle,
            asked: None,
            blade: Blade::even(2.4),
            width: Some(50.0),
            length: None,
            primary: Some(25.0),
            usual_primary: None,
            roller_level: Length::exact(0.0),
            edge: None,
            written: METRIC,
        }
    }

    pub const METRIC: Written = Written { mm: true, inches: false, denominator: 64 };
    pub const EDGE: BlockEdge = BlockEdge { thickness: 12.0, relief: 0.6, fence_within: None };

    /// The lane that every test starts from, at an angle.
    pub fn lane(angle: f64) -> Lane {
        build(&guide(), &request(angle), EDGE, 0.5).expect("has a setting")
    }

    /// What `rule` finds on the lane.
    pub fn found(guide: &Guide, request: &Request, edge: BlockEdge, rule: Rule) -> Option<Gravity> {
        let lane = build(guide, request, edge, 0.5).expect("has a setting");
        lane.findings.iter().find(|f| f.rule == rule).map(|f| f.gravity)
    }

    /// What is quick for kits refuses what the rules refuse of a lane.
    #[test]
    fn the_quick_rules_refuse_what_the_rules_refuse() {
        const RULES: [Rule; STANDING_RULES] = [
            Rule::HeelFirst,
            Rule::BladeLength,
            Rule::TableSupport,
            Rule::FaceBearing,
            Rule::StoneClearance,
            Rule::RollerUnderBlade,
            Rule::RollerStrikes,
        ];
        let mut refused = [0; STANDING_RULES];
        for axle_to_face in [-1.0, 6.0, 15.8, 40.0] {
            for (diameter, gap) in [(19.0, None), (36.0, None), (19.0, Some(50.5)), (19.0, Some(50.0))] {
                for (angle, primary, length, face_bottom) in [
                    (30.0, 25.0, None, None),
                    (20.0, 25.0, Some(70.0), Some(17.0)),
                    (45.0, 7.0, Some(300.0), Some(-9.0)),
                ] {
                    let mut g = guide();
                    g.face.axle_to_face = crate::guide::Taken::Direct(Length::exact(axle_to_face));
                    g.face.bottom = face_bottom.map(|n| crate::guide::Taken::Direct(Length::exact(n)));
                    g.roller.diameter = Length::exact(diameter);
                    if let Some(gap) = gap {
                        g.roller.arrangement = Some(crate::terms::Arrangement::Pair);
                        g.roller.gap = Some(Length::exact(gap));
                    }
                    let mut r = request(angle);
                    r.primary = Some(primary);
                    r.length = length;
                    // Behind the face there is no setting to judge.
                    let Ok(lane) = build(&g, &r, EDGE, 0.5) else { continue };
                    let standing = Standing {
                        guide: &g,
                        section: &lane.setting.section,
                        edge: lane.edge_shape,
                        bearing: None,
                        width: 50.0,
                        primary,
                        length,
                        thickness: EDGE.thickness,
                    };
                    let quick = standing.refusals(angle, lane.setting.projection, lane.setting.fence_distance);
                    let is = |rule: Rule| lane.findings.iter().any(|f| f.rule == rule && f.gravity == Gravity::Refusal);
                    assert_eq!(quick, RULES.map(is), "{axle_to_face} {diameter} {gap:?} {angle}: {:?}", lane.findings);
                    refused.iter_mut().zip(quick).for_each(|(count, is)| *count += usize::from(is));
                }
            }
        }
        assert!(refused.iter().all(|count| *count > 0), "{refused:?}");
    }

    /// The lane every test starts from breaks no rule.
    #[test]
    fn the_sound_lane_is_sound() {
        assert_eq!(lane(30.0).findings, []);
    }
}
