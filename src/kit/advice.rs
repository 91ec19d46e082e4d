//! Angles for a blade where its user gave none, each with its reason, and what is unsafe for its edge.
//!
//! All figures here are common practice, no source. What follows from them is arithmetic: a plane with its bevel down
//! cuts at the angle of its bed and clears by the bed less the edge; with its bevel up it cuts at the bed and the edge
//! together and clears by the bed.

use std::borrow::Cow;

use super::{Camber, KitBlade};
use crate::solve::ANGLE_RANGE;
use crate::stones::bevel::back;
use crate::stones::camber::wanted::USUAL_BED;
use crate::terms::{PlaneKind, Steel, Use};
use crate::units::short;

/// Bed of a plane where none is stated, degrees: bevel down, bevel up (common practice, no source).
pub const USUAL_BEDS: [f64; 2] = [USUAL_BED, 12.0];
/// Least clearance behind an edge, degrees: below it the wood springs back against the blade (common practice, no
/// source).
pub const LEAST_CLEARANCE: f64 = 10.0;
/// Cutting angles of a plane, degrees, for end grain, along the grain, and for grain that reverses (common practice,
/// no source).
pub const CUTTING: [f64; 3] = [37.0, 45.0, 50.0];
/// Least micro-bevel over a primary, degrees: less, and the stones touch all of the bevel (common practice, no source).
const LEAST_STEP: f64 = 2.0;
/// How much steeper than usual one flat bevel may be and is kept, degrees: an assumption.
const KEEPS: f64 = 5.0;
/// Below this two angles are the same, degrees.
const SAME: f64 = 1e-9;

/// What is advised of one blade.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// The primary bevel.
    pub primary: Advised,
    /// The micro-bevel; at the primary's angle where there is none.
    pub micro: Advised,
    /// How it cuts in its plane.
    pub cutting: Option<Cutting>,
    /// What is unsafe for the edge, or must be done first.
    pub flags: Vec<Flag>,
}

/// An angle and its reason.
#[derive(Debug, Clone, PartialEq)]
pub struct Advised {
    /// Degrees.
    pub angle: f64,
    /// Whether the user stated it.
    pub stated: bool,
    /// Why, in a sentence.
    pub reason: Cow<'static, str>,
}

/// How an iron cuts in its plane.
#[derive(Debug, Clone, PartialEq)]
pub struct Cutting {
    /// Angle of the bed, degrees.
    pub bed: f64,
    /// Whether the user stated it.
    pub bed_stated: bool,
    /// Whether the bevel looks up.
    pub bevel_up: bool,
    /// Angle between the wood and the face that lifts the shaving, degrees.
    pub angle: f64,
    /// Angle between the wood and the face behind the edge, degrees.
    pub clearance: f64,
    /// A larger cutting angle that its work asks for, and how to come by it.
    pub steeper: Option<Steeper>,
}

/// A way to a larger cutting angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steeper {
    /// Cutting angle wanted, degrees.
    pub wanted: f64,
    /// How.
    pub by: SteeperBy,
}

/// How a plane comes to a larger cutting angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SteeperBy {
    /// Bevel up: a micro-bevel of so many degrees.
    Micro(f64),
    /// Bevel down: as an option, a small bevel on the back of so many degrees.
    BackBevel(f64),
}

impl std::fmt::Display for Steeper {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let wanted = short(self.wanted, 2);
        match self.by {
            SteeperBy::Micro(angle) => {
                write!(
                    f,
                    "Option: a micro-bevel of {}° would cut at {wanted}°, for grain that reverses",
                    short(angle, 2)
                )
            }
            SteeperBy::BackBevel(angle) => write!(
                f,
                "Option: a back bevel of {}° would cut at {wanted}°, for grain that reverses; the clearance stays as it is{}",
                short(angle, 2),
                if back::rules(angle).is_empty() { ". It needs more than a thin rule under the blade" } else { "" }
            ),
        }
    }
}

/// Something that is unsafe for the edge, or must be done first.
#[derive(Debug, Clone, PartialEq)]
pub struct Flag {
    /// What it is about.
    pub kind: FlagKind,
    /// What and by how much, in a sentence.
    pub message: String,
}

/// What a flag is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FlagKind {
    /// The edge is too thin for its work.
    ThinEdge,
    /// The clearance is too small.
    Clearance,
    /// The present primary must be reground first.
    Regrind,
    /// No fence serves one of its bevels.
    Unserved,
    /// Nobody measured the side lands that hold it.
    Land,
    /// Its angle drifts while it is reground clamped.
    Drift,
}

impl FlagKind {
    /// Its name for machines.
    pub fn name(self) -> &'static str {
        match self {
            FlagKind::ThinEdge => "thin-edge",
            FlagKind::Clearance => "clearance",
            FlagKind::Regrind => "regrind",
            FlagKind::Unserved => "unserved",
            FlagKind::Land => "land",
            FlagKind::Drift => "drift",
        }
    }
}

/// What a blade's work and steel ask of its edge: the least angle that stands it, the angle advised, and why.
struct Demand {
    least: f64,
    advised: f64,
    reason: &'static str,
}

/// Advises on one blade.
pub fn advise(blade: &KitBlade) -> Advice {
    let bed = Bed::of_blade(blade);
    let demand = edge(blade, bed);
    let least = steel(blade).map_or(demand.least, |(least, _)| least.max(demand.least));
    let (primary, micro) = if blade.class.one_bevel {
        let primary = one_bevel(blade, least);
        let micro = micro(blade, &demand, primary.angle);
        (primary, micro)
    } else {
        let (angle, why) = primary(blade, least.max(demand.advised));
        let micro = micro(blade, &demand, angle);
        let reason = why.words(blade, micro.angle > angle + SAME).into();
        (Advised { angle, stated: why == Why::Stated, reason }, micro)
    };
    let cutting = bed.map(|bed| bed.cutting(blade, micro.angle));
    let mut flags = Vec::new();
    if micro.angle < least - SAME {
        flags.push(Flag { kind: FlagKind::ThinEdge, message: thin(blade, micro.angle, least, &demand) });
    }
    if let Some(cutting) = cutting.as_ref().filter(|c| c.clearance < LEAST_CLEARANCE - SAME) {
        let message = format!(
            "only {}° of clearance behind the edge; aim for {LEAST_CLEARANCE}° or more (common practice, no source)",
            short(cutting.clearance, 2)
        );
        flags.push(Flag { kind: FlagKind::Clearance, message });
    }
    flags.extend(regrind(blade, primary.angle, micro.angle));
    Advice { primary, micro, cutting, flags }
}

/// The bed that an iron lies on.
#[derive(Clone, Copy)]
struct Bed {
    angle: f64,
    stated: bool,
    up: bool,
}

impl Bed {
    fn of_blade(blade: &KitBlade) -> Option<Self> {
        let up = blade.bevel_up.unwrap_or(false);
        let angle = blade.bed.unwrap_or(USUAL_BEDS[usize::from(up)]);
        blade.is_plane_iron().then_some(Self { angle, stated: blade.bed.is_some(), up })
    }

    fn cutting(self, blade: &KitBlade, edge: f64) -> Cutting {
        let (angle, clearance) =
            if self.up { (self.angle + edge, self.angle) } else { (self.angle, self.angle - edge) };
        let wanted = CUTTING[2];
        let steeper = (blade.is_used_for(Use::ReversingGrain) && angle < wanted - SAME).then(|| {
            let missing = wanted - self.angle;
            Steeper { wanted, by: if self.up { SteeperBy::Micro(missing) } else { SteeperBy::BackBevel(missing) } }
        });
        Cutting { bed: self.angle, bed_stated: self.stated, bevel_up: self.up, angle, clearance, steeper }
    }
}

/// What the work asks of the edge.
fn edge(blade: &KitBlade, bed: Option<Bed>) -> Demand {
    let used = |work| blade.is_used_for(work);
    let (least, advised, reason) = match bed {
        Some(bed) if bed.up => return bevel_up(blade, bed),
        Some(_) if is_for_rough_work(blade) => {
            (25.0, 30.0, "30° is usual for jacks and spokeshaves, whatever the wood (common practice, no source)")
        }
        Some(_) if used(Use::Hardwood) || used(Use::EndGrain) => {
            (25.0, 33.0, "33° lasts in hardwood or end grain (common practice, no source)")
        }
        Some(_) => (25.0, 30.0, "30° suits a bevel-down iron in most work (common practice, no source)"),
        None if used(Use::Chopping) && used(Use::Hardwood) => {
            (30.0, 35.0, "35° stands up to chopping in hardwood (common practice, no source)")
        }
        None if used(Use::Chopping) => (30.0, 32.0, "30 to 35° stands up to mallet work (common practice, no source)"),
        None if used(Use::Paring) && used(Use::Hardwood) => {
            (25.0, 27.0, "a little over 25° is strong enough for paring hardwood (common practice, no source)")
        }
        None if used(Use::Paring) => {
            (20.0, 25.0, "for hand pressure only, 20 to 25° is strong enough (common practice, no source)")
        }
        None => (25.0, 30.0, "30° suits a bench chisel in most work (common practice, no source)"),
    };
    Demand { least, advised, reason }
}

/// A jack by its camber, or an iron of a class that is advised no more than 30°, as a spokeshave's is.
fn is_for_rough_work(blade: &KitBlade) -> bool {
    let jack = blade.camber == Some(Camber::Plane(PlaneKind::Jack));
    jack || blade.class.angles.iter().all(|advised| advised.angle <= 30.0)
}

/// With the bevel up the edge makes the cutting angle.
fn bevel_up(blade: &KitBlade, bed: Bed) -> Demand {
    let used = |work| blade.is_used_for(work);
    let (cutting, reason) = if used(Use::ReversingGrain) {
        (
            CUTTING[2],
            "with the bevel up, bed and edge together cut at 50°, for grain that reverses (common practice, no source)",
        )
    } else if used(Use::EndGrain) && !used(Use::Hardwood) && !used(Use::Softwood) {
        (
            CUTTING[0],
            "with the bevel up, bed and edge together cut at about 37°, low, for end grain (common practice, no source)",
        )
    } else {
        (CUTTING[1], "with the bevel up, bed and edge together cut at 45°, for long grain (common practice, no source)")
    };
    Demand { least: 25.0, advised: (cutting - bed.angle).max(25.0), reason }
}

/// The least edge angle that a steel stands, degrees, and why.
fn steel(blade: &KitBlade) -> Option<(f64, &'static str)> {
    match blade.steel? {
        Steel::PlainCarbon | Steel::Laminated => None,
        Steel::A2 => Some((30.0, "A2 tends to chip below about 30° (common practice, no source)")),
        Steel::D2 => Some((30.0, "D2 tends to chip below about 30° (common practice, no source)")),
        Steel::Powder => Some((30.0, "powder steels tend to chip below about 30° (common practice, no source)")),
    }
}

/// Why a primary bevel is advised.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Why {
    /// The user stated it.
    Stated,
    /// The present one reaches the edge's angle.
    ReachesEdge,
    /// The present one is steep enough, and no steeper than the edge.
    Present,
    /// The class's usual one is steeper than the edge.
    NoSteeper,
    /// It is the class's usual one.
    Usual,
}

impl Why {
    /// In words that hold for what is advised above it: a micro-bevel, or none.
    fn words(self, blade: &KitBlade, has_micro: bool) -> &'static str {
        match self {
            Why::Stated => "as you stated",
            Why::ReachesEdge => "your bevel is already at the edge angle: hone the full bevel, with no micro-bevel",
            Why::Present if has_micro => "your bevel leaves room for the micro-bevel: no need to regrind",
            Why::Present => "your bevel is already at the edge angle: no need to regrind",
            Why::NoSteeper if blade.micro.is_some() => "no steeper than the edge angle you stated",
            Why::NoSteeper => "no steeper than the edge angle advised",
            Why::Usual if !has_micro => "usual for this kind of blade (common practice, no source)",
            Why::Usual if blade.bevel_up == Some(true) => {
                "usual for this kind of blade; the micro-bevel makes the cutting angle (common practice, no source)"
            }
            Why::Usual => {
                "usual primary bevel for this kind of blade; quick to grind, and leaves room for a micro-bevel (common practice, no source)"
            }
        }
    }
}

/// The primary bevel, degrees, and why; `edge` is the edge angle that it is to leave room for, degrees.
fn primary(blade: &KitBlade, edge: f64) -> (f64, Why) {
    if let Some(angle) = blade.primary {
        return (angle, Why::Stated);
    }
    let edge = blade.micro.unwrap_or(edge);
    let usual = blade.class.usual_primary();
    match blade.current {
        Some(current) if blade.micro.is_none() && current > edge - LEAST_STEP && current <= edge + SAME => {
            (current, Why::ReachesEdge)
        }
        Some(current) if current >= usual - SAME && current <= edge => (current, Why::Present),
        _ if usual > edge => (edge, Why::NoSteeper),
        _ => (usual, Why::Usual),
    }
}

/// The bevel of a blade that has no other, which is its edge; `least` is what the edge wants, degrees.
fn one_bevel(blade: &KitBlade, least: f64) -> Advised {
    if let Some(angle) = blade.primary {
        return Advised { angle, stated: true, reason: "as you stated".into() };
    }
    let usual = blade.class.usual_primary().max(least);
    match blade.current.filter(|now| *now >= usual - SAME && *now <= usual + KEEPS) {
        Some(angle) => Advised { angle, stated: false, reason: "your bevel will do: hone it whole".into() },
        None => {
            let reason = "usual for one flat bevel of this kind (common practice, no source)";
            Advised { angle: usual, stated: false, reason: reason.into() }
        }
    }
}

/// The micro-bevel, which is the edge.
fn micro(blade: &KitBlade, demand: &Demand, primary: f64) -> Advised {
    if let Some(angle) = blade.micro {
        let reason = if angle > primary + SAME { "as you stated" } else { "no micro-bevel, as you stated" };
        return Advised { angle, stated: true, reason: reason.into() };
    }
    if blade.class.one_bevel {
        let reason =
            "no micro-bevel: a laminated blade of this kind is honed as one flat bevel (common practice, no source)";
        return Advised { angle: primary, stated: false, reason: reason.into() };
    }
    let (angle, reason) = match steel(blade) {
        Some((least, reason)) if least > demand.advised => (least, reason),
        _ => (demand.advised, demand.reason),
    };
    if primary > angle - LEAST_STEP {
        let reason = "no micro-bevel needed: the primary bevel is already at or near the edge angle";
        return Advised { angle: primary, stated: false, reason: reason.into() };
    }
    Advised { angle: angle.clamp(ANGLE_RANGE[0], ANGLE_RANGE[1]), stated: false, reason: reason.into() }
}

fn thin(blade: &KitBlade, edge: f64, least: f64, demand: &Demand) -> String {
    let why = match steel(blade) {
        Some((least, reason)) if least > demand.least => reason,
        _ => demand.reason,
    };
    format!("a {}° edge may chip on this blade; use {}° or more: {why}", short(edge, 2), short(least, 2))
}

fn regrind(blade: &KitBlade, primary: f64, micro: f64) -> Option<Flag> {
    let current = blade.current?;
    let message = if current > micro + SAME {
        format!(
            "your bevel of {}° is steeper than the edge angle of {}°. Regrind it to {}° first, or the stone touches the heel and not the edge",
            short(current, 2),
            short(micro, 2),
            short(primary, 2)
        )
    } else if current > primary + SAME {
        format!("regrind the bevel from {}° to {}° first", short(current, 2), short(primary, 2))
    } else {
        return None;
    };
    Some(Flag { kind: FlagKind::Regrind, message })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::guide::named::NoFiles;
    use crate::kit::Kit;
    use approx::assert_abs_diff_eq;

    fn advised(fields: &str) -> Advice {
        let text = format!(r#"{{ "format": 1, "title": "one", "blades": [{{ "name": "it", {fields} }}] }}"#);
        advise(&Kit::parse("kit.json", text.as_bytes(), &NoFiles).unwrap_or_else(|e| panic!("{e}")).blades[0])
    }

    fn kinds(advice: &Advice) -> Vec<FlagKind> {
        advice.flags.iter().map(|f| f.kind).collect()
    }

    /// Laminated blades of the Japanese kind have one flat bevel unless their user states a micro-bevel.
    #[test]
    fn a_laminated_blade_has_one_bevel() {
        let iron = advised(r#""tool": "laminated-iron", "use": ["softwood"]"#);
        assert_eq!([iron.primary.angle, iron.micro.angle], [28.0, 28.0]);
        assert!(iron.micro.reason.contains("one flat bevel") && iron.flags.is_empty(), "{iron:?}");
        let chisel = advised(r#""tool": "laminated-chisel", "use": ["chopping", "hardwood"], "current": 32"#);
        assert_eq!([chisel.primary.angle, chisel.micro.angle], [32.0, 32.0]);
        let stated = advised(r#""tool": "laminated-chisel", "micro": 33"#);
        assert_eq!([stated.primary.angle, stated.micro.angle], [30.0, 33.0]);
    }

    /// Where steel and work ask for the same angle it is the work that is named: another steel would change nothing.
    #[test]
    fn work_goes_before_steel_where_both_ask_for_the_same() {
        let reason = |fields| advised(fields).micro.reason;
        assert!(reason(r#""tool": "bench-chisel", "steel": "A2""#).starts_with("30° suits a bench chisel"));
        let paring = r#""tool": "paring-chisel", "steel": "A2", "use": ["paring"], "primary": 25"#;
        assert!(reason(paring).starts_with("A2 tends to chip"), "{}", reason(paring));
    }

    /// Low for end grain alone: an iron that is used along the grain too cuts at 45°, and so does one of unknown use.
    #[test]
    fn only_end_grain_alone_is_cut_low() {
        let edge = |used: &str| {
            let iron = format!(r#""tool": "block-plane-iron", "bevel": "up", "bed": 12{used}"#);
            advised(&iron).micro.angle
        };
        assert_eq!(edge(r#", "use": ["end-grain"]"#), 25.0);
        for used in ["", r#", "use": ["end-grain", "hardwood"]"#, r#", "use": ["end-grain", "softwood"]"#] {
            assert_eq!(edge(used), 33.0, "{used}");
        }
    }

    /// Whichever asks for more is why an edge is thin.
    #[test]
    fn a_thin_edge_is_told_with_what_asks_for_more() {
        let told = |fields| {
            let flags = advised(fields).flags;
            flags.into_iter().find(|flag| flag.kind == FlagKind::ThinEdge).expect("thin").message
        };
        let steel = told(r#""tool": "bench-chisel", "steel": "A2", "micro": 26, "primary": 25"#);
        assert!(steel.contains("use 30° or more: A2 tends to chip"), "{steel}");
        let work = r#""tool": "bench-chisel", "steel": "plain-carbon", "use": ["chopping", "hardwood"], "micro": 26, "primary": 25"#;
        assert!(told(work).contains("use 30° or more: 35° stands up to chopping"), "{}", told(work));
        // Alike, it is the work.
        let alike = told(&work.replace("plain-carbon", "A2"));
        assert!(alike.contains("use 30° or more: 35° stands up to chopping"), "{alike}");
    }

    /// No reason speaks of a micro-bevel that is not advised, and a stated lack of one is said as such.
    #[test]
    fn reasons_fit_what_follows() {
        for (fields, primary, micro) in [
            (
                r#""tool": "block-plane-iron", "bevel": "up", "bed": 25"#,
                "usual for this kind of blade (common",
                "no micro-bevel needed: ",
            ),
            (r#""tool": "bench-chisel", "primary": 30, "micro": 30"#, "as you stated", "no micro-bevel, as you stated"),
            (
                r#""tool": "bench-chisel", "micro": 25"#,
                "usual for this kind of blade (common",
                "no micro-bevel, as you stated",
            ),
            (
                r#""tool": "bench-chisel", "micro": 22"#,
                "no steeper than the edge angle you",
                "no micro-bevel, as you stated",
            ),
            (
                r#""tool": "bench-chisel", "micro": 27, "current": 27"#,
                "your bevel is already at the edge angle",
                "no micro",
            ),
            (
                r#""tool": "bench-chisel", "current": 29"#,
                "your bevel is already at the edge angle: hone the full bevel",
                "no micro-bevel needed",
            ),
            (r#""tool": "bench-chisel", "current": 26"#, "your bevel leaves room for the micro-bevel", "30° suits"),
            (
                r#""tool": "bench-chisel""#,
                "usual primary bevel for this kind of blade; quick to grind, and leaves room for a micro-bevel",
                "30° suits",
            ),
        ] {
            let a = advised(fields);
            assert!(a.primary.reason.starts_with(primary) && a.micro.reason.starts_with(micro), "{fields}: {a:?}");
        }
    }

    #[test]
    fn a_jack_with_nothing_stated() {
        let a = advised(r#""tool": "plane-iron""#);
        assert_eq!([a.primary.angle, a.micro.angle], [25.0, 30.0]);
        let cutting = a.cutting.expect("a plane's");
        assert_eq!([cutting.angle, cutting.clearance], [45.0, 15.0]);
        assert!(a.flags.is_empty() && cutting.steeper.is_none());
    }

    #[test]
    fn bevel_up_the_edge_makes_the_cutting_angle_and_the_bed_the_clearance() {
        let a = advised(r#""tool": "block-plane-iron", "bevel": "up", "bed": 12, "use": ["reversing-grain"]"#);
        let cutting = a.cutting.expect("a plane's");
        assert_eq!(a.micro.angle, 38.0);
        assert_eq!([cutting.angle, cutting.clearance], [50.0, 12.0]);
        let a =
            advised(r#""tool": "block-plane-iron", "bevel": "up", "bed": 12, "micro": 30, "use": ["reversing-grain"]"#);
        let steeper = a.cutting.expect("a plane's").steeper.expect("42° is too low");
        assert_eq!(steeper.by, SteeperBy::Micro(38.0));
    }

    #[test]
    fn bevel_down_a_back_bevel_is_an_option_for_reversing_grain() {
        let a = advised(r#""tool": "plane-iron", "bed": 45, "use": ["reversing-grain"]"#);
        assert_eq!(a.cutting.expect("a plane's").steeper.map(|s| s.by), Some(SteeperBy::BackBevel(5.0)));
        let a = advised(r#""tool": "plane-iron", "bed": 50, "use": ["reversing-grain"]"#);
        assert_eq!(a.cutting.expect("a plane's").steeper, None);
    }

    #[test]
    fn work_and_steel_ask_for_more_edge() {
        let chopping = advised(r#""tool": "bench-chisel", "use": ["chopping", "hardwood"]"#);
        assert_eq!([chopping.primary.angle, chopping.micro.angle], [25.0, 35.0]);
        let paring = advised(r#""tool": "paring-chisel", "use": ["paring"]"#);
        assert_eq!([paring.primary.angle, paring.micro.angle], [20.0, 25.0]);
        let powder = advised(r#""tool": "paring-chisel", "use": ["paring"], "steel": "powder""#);
        assert_eq!(powder.micro.angle, 30.0);
        assert!(powder.micro.reason.contains("powder"));
    }

    #[test]
    fn jacks_and_spokeshaves_stand_at_30_degrees_in_hard_wood_too() {
        let hard = |blade: &str| advised(&format!(r#"{blade}, "use": ["hardwood"]"#)).micro.angle;
        assert_eq!(hard(r#""tool": "plane-iron""#), 33.0);
        assert_eq!(hard(r#""tool": "plane-iron", "camber": { "plane": "jack" }"#), 30.0);
        assert_eq!(hard(r#""tool": "spokeshave-iron""#), 30.0);
    }

    #[test]
    fn what_is_unsafe_is_flagged() {
        assert_eq!(kinds(&advised(r#""tool": "bench-chisel", "steel": "A2", "micro": 27"#)), [FlagKind::ThinEdge]);
        assert_eq!(kinds(&advised(r#""tool": "plane-iron", "micro": 35.5"#)), [FlagKind::Clearance]);
        assert_eq!(kinds(&advised(r#""tool": "plane-iron", "micro": 35"#)), []);
        assert_eq!(kinds(&advised(r#""tool": "plane-iron", "bevel": "up", "bed": 9.5"#)), [FlagKind::Clearance]);
        assert_eq!(kinds(&advised(r#""tool": "plane-iron", "current": 27, "primary": 25"#)), [FlagKind::Regrind]);
        let steep = advised(r#""tool": "plane-iron", "current": 33, "primary": 25, "micro": 30"#);
        assert!(kinds(&steep) == [FlagKind::Regrind] && steep.flags[0].message.contains("heel"));
    }

    #[test]
    fn a_present_bevel_that_serves_is_kept() {
        let a = advised(r#""tool": "plane-iron", "current": 26.5"#);
        assert_eq!([a.primary.angle, a.micro.angle], [26.5, 30.0]);
        let a = advised(r#""tool": "plane-iron", "current": 29"#);
        assert_abs_diff_eq!(a.primary.angle, 29.0);
        assert_abs_diff_eq!(a.micro.angle, 29.0);
        assert!(a.micro.reason.contains("no micro-bevel"));
        let a = advised(r#""tool": "plane-iron", "primary": 32"#);
        assert_eq!([a.primary.angle, a.micro.angle], [32.0, 32.0]);
    }
}
