//! Random guides with a blade, a job and a block, and the library's answers for them.

use proptest::prelude::*;
use proptest::test_runner::{RngSeed, TestCaseResult, TestRunner};

use stopwright::guide::{Blade, Guide, WholeSide};
use stopwright::input::length::{Angle, Length};
use stopwright::lane::checks::{Gravity, Rule};
use stopwright::lane::{BlockEdge, Lane, NoLane, Request, build};
use stopwright::solve::measured::Measured;
use stopwright::solve::section::Section;
use stopwright::terms::{Locates, SeatName};
use stopwright::units::{Units, Written};

/// How the profile states its lengths.
#[derive(Debug, Clone, Copy)]
pub enum Form {
    Direct,
    OverRoller { parallel: Option<f64> },
    Inches,
    Text,
}

/// Lengths in mm, angles in degrees, named as in the design's side view.
#[derive(Debug, Clone)]
pub struct Rig {
    pub radius: f64,
    pub roller_level: f64,
    /// Two rollers beside the blade, not one under it.
    pub pair: bool,
    pub seat: f64,
    pub axle_to_face: f64,
    /// Level of the face's lower end, where the profile states it.
    pub bottom: Option<f64>,
    pub square_error: f64,
    pub locates: Locates,
    pub form: Form,
    pub thickness: f64,
    pub taper: f64,
    pub land: f64,
    pub land_taper: f64,
    pub angle: f64,
    /// `None`: one bevel only, at the angle asked for.
    pub primary: Option<f64>,
    pub block: f64,
    pub relief: f64,
    /// A fence distance to try, whatever angle it sets.
    pub fence: f64,
}

pub const TOLERANCE: f64 = 0.5;

/// The range of the length from axle to face decides which rigs come up: a face behind the axle lets the roller out
/// under the block.
pub fn rigs(axle_to_face: std::ops::Range<f64>) -> impl Strategy<Value = Rig> {
    let roller = (4.0..30.0, prop_oneof![Just(0.0), -1.0..1.0], any::<bool>());
    let face = (
        axle_to_face,
        prop_oneof![1 => Just(None), 8 => (0.5..30.0).prop_map(Some)],
        prop_oneof![Just(0.0), -5.0..5.0],
    );
    let locates = prop_oneof![Just(Locates::Underside), Just(Locates::Back), Just(Locates::Sides)];
    let form = prop_oneof![
        Just(Form::Direct),
        Just(Form::OverRoller { parallel: None }),
        (1.0..10.0).prop_map(|g| Form::OverRoller { parallel: Some(g) }),
        Just(Form::Inches),
        Just(Form::Text),
    ];
    let blade = (0.5..10.0, prop_oneof![Just(0.0), -1.0..1.0, -5.0..5.0], 0.2..1.0, prop_oneof![Just(0.0), -2.0..2.0]);
    let bevel = (8.0..59.0, prop_oneof![Just(None), (-12.0..4.0).prop_map(Some)]);
    let block = (4.0..60.0, prop_oneof![Just(0.0), Just(0.6)], 2.0..120.0);
    (roller, (-10.0..40.0, locates, form), face, blade, bevel, block).prop_map(
        |((radius, lift, pair), (seat, locates, form), (axle_to_face, drop, square_error), blade, bevel, block)| Rig {
            radius,
            // The axle stays 3 mm or more above the stone.
            roller_level: if lift < 0.0 { lift * (radius - 3.0) } else { lift * 20.0 },
            pair,
            seat,
            axle_to_face,
            // Not so deep that turning the guide down would lift the face's lower end off the stone again: then more
            // than one pose would be a first touch.
            bottom: drop.map(|drop: f64| f64::max(seat - drop, -0.4 * f64::max(axle_to_face, 0.0))),
            square_error,
            locates,
            form,
            thickness: blade.0,
            taper: blade.1,
            land: blade.0 * blade.2,
            land_taper: blade.3,
            angle: bevel.0,
            primary: bevel.1.map(|off: f64| (bevel.0 + off).clamp(7.0, 60.0)),
            block: block.0,
            relief: block.1,
            fence: block.2,
        },
    )
}

/// Checks `cases` rigs, the same ones at every run; a failure is shrunk and printed.
pub fn each(rigs: impl Strategy<Value = Rig>, cases: u32, check: impl Fn(&Rig) -> TestCaseResult) {
    let config =
        ProptestConfig { cases, rng_seed: RngSeed::Fixed(20), failure_persistence: None, ..ProptestConfig::default() };
    TestRunner::new(config).run(&rigs, |rig| check(&rig)).unwrap_or_else(|e| panic!("{e}"));
}

impl Rig {
    pub fn axle_height(&self) -> f64 {
        self.radius + self.roller_level
    }

    pub fn primary(&self) -> f64 {
        self.primary.unwrap_or(self.angle)
    }

    /// The guide as the reader makes it of a profile.
    pub fn guide(&self) -> Guide {
        Guide::parse("rig", self.profile().as_bytes()).unwrap_or_else(|e| panic!("{e:?}\n{}", self.profile()))
    }

    fn profile(&self) -> String {
        let (units, mm) = match self.form {
            Form::Inches => ("in", 25.4),
            _ => ("mm", 1.0),
        };
        let length = |l: f64| match self.form {
            Form::Text => format!("\"{l} mm\""),
            _ => format!("{}", l / mm),
        };
        let roller = if self.pair {
            format!(r#""arrangement": "pair", "gap": {}"#, length(60.0))
        } else {
            r#""arrangement": "centre""#.to_string()
        };
        let [axle_to_face, bottom, seat] = self.lengths(length);
        format!(
            r#"{{ "format": 1, "name": "rig", "units": "{units}",
                "roller": {{ "diameter": {}, {roller} }},
                "face": {{ {axle_to_face}, {bottom}"square_error": {} }},
                "seats": {{ "iron": {{ {seat}, "locates": "{}" }} }} }}"#,
            length(2.0 * self.radius),
            self.square_error,
            self.locates.name(),
        )
    }

    /// The fields of axle to face, lower end and seat, from the axle or as calipers take them over the roller.
    fn lengths(&self, length: impl Fn(f64) -> String) -> [String; 3] {
        let r = self.radius;
        let Form::OverRoller { parallel } = self.form else {
            return [
                format!(r#""axle_to_face": {}"#, length(self.axle_to_face)),
                self.bottom.map_or(String::new(), |b| format!(r#""bottom": {}, "#, length(b))),
                format!(r#""height": {}"#, length(self.seat)),
            ];
        };
        // No calipers close on less than nothing.
        let axle_to_face = match self.axle_to_face + r {
            over if over > 0.0 => format!(r#""over_roller": {}"#, length(over)),
            _ => format!(r#""axle_to_face": {}"#, length(self.axle_to_face)),
        };
        // How much of the parallel's thickness lies above the seat line.
        let above = match self.locates {
            Locates::Underside => 1.0,
            Locates::Sides => 0.5,
            Locates::Back => 0.0,
        };
        let seat = match parallel {
            Some(g) => format!(r#""over_roller": {}, "gauge": {}"#, length(self.seat + above * g + r), length(g)),
            None => format!(r#""over_roller": {}"#, length(self.seat + r)),
        };
        let bottom = self.bottom.map_or(String::new(), |b| format!(r#""bottom_over_roller": {}, "#, length(b + r)));
        [axle_to_face, bottom, seat]
    }

    fn blade(&self) -> Blade {
        Blade {
            thickness: Length::exact(self.thickness),
            taper: Angle::exact(self.taper),
            land: Some(Length::exact(self.land)),
            land_taper: Angle::exact(self.land_taper),
            land_assumed: false,
            whole_side: WholeSide::default(),
        }
    }

    pub fn edge(&self) -> BlockEdge {
        BlockEdge { thickness: self.block, relief: self.relief, fence_within: None }
    }

    /// The library's lane.
    pub fn lane(&self) -> Result<Lane, NoLane> {
        let request = Request {
            id: "rig".into(),
            label: "rig".into(),
            tool: None,
            seat: SeatName::Iron,
            angle: self.angle,
            wanted: self.angle,
            asked: None,
            blade: self.blade(),
            width: None,
            length: None,
            primary: self.primary,
            usual_primary: None,
            roller_level: Length::exact(self.roller_level),
            edge: None,
            written: Written::of(Units::Mm),
        };
        build(&self.guide(), &request, self.edge(), TOLERANCE)
    }

    /// The library's side view, which asks for no angle.
    pub fn section(&self) -> Section<f64> {
        let guide = self.guide();
        let (_, seat) = guide.seat_for(SeatName::Iron);
        let measured = Measured::new(&guide, seat, self.blade(), Length::exact(self.roller_level)).unwrap();
        measured.section(&measured.values())
    }
}

/// Whether the lane is refused under `rule`.
pub fn refused(lane: &Lane, rule: Rule) -> bool {
    lane.findings.iter().any(|f| f.rule == rule && f.gravity == Gravity::Refusal)
}
