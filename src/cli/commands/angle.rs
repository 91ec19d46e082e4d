//! `angle`: the inverse.

use serde_json::json;

use super::blade::{Asked, Reader};
use crate::cli::Said;
use crate::cli::args::AngleArgs;
use crate::cli::failure::Failure;
use crate::cli::files::Disk;
use stopwright::fit;
use stopwright::guide::Guide;
use stopwright::lane::checks::{Finding, Gravity};
use stopwright::lane::{BlockEdge, BlockOptions, DEFAULT_TOLERANCE, FRONT_RELIEF, USUAL_THICKNESS};
use stopwright::lanes;
use stopwright::solve::measured::Measured;
use stopwright::solve::section::Section;
use stopwright::solve::{self, NoSetting, contact, projection};
use stopwright::terms::{BLADE_TAPER, BLADE_THICKNESS};
use stopwright::trig::Inverse;
use stopwright::units::{Units, fixed};

/// A primary bevel that is steeper than the answer by less is what is honed, degrees: a fence that is measured to
/// hundredths of a millimetre tells no more.
const SAME: f64 = 0.05;
/// An angle this close to that of a known setting is it, degrees: as far as a projection is written.
const AS_KNOWN: f64 = 0.01;

/// An angle, and what the rules find of the setting that gives it.
struct Answer {
    degrees: f64,
    findings: Vec<Finding>,
}

pub(super) fn angle(args: &AngleArgs) -> Result<Said, Failure> {
    let guide = args.guide.as_ref().map(|name| fit::guide::named(name, &Disk::here())).transpose()?;
    let of_file = guide.as_ref().map_or(Units::Mm, |guide| guide.units);
    let mut reader = Reader::for_guide(&args.blade.lengths, of_file);
    let written = reader.written();
    let fence = reader.exact("--fence", args.fence.as_ref(), [0.1, 300.0]);
    let projection = reader.exact("--projection", args.projection.as_ref(), [0.1, 300.0]);
    let bevel = reader.exact("--bevel-length", args.bevel_length.as_ref(), [0.1, 300.0]);
    let asked = [args.fence.is_some(), args.projection.is_some(), args.bevel_length.is_some()];
    if asked.iter().filter(|a| **a).count() != 1 {
        let found = if asked.contains(&true) { "more than one thing to work from" } else { "nothing to work from" };
        reader.fault("", found, "exactly one of --fence, --projection or --bevel-length");
        reader.finish()?;
        return Ok(Said::default());
    }
    let (Answer { degrees, findings }, note) = match bevel {
        Some(bevel) => {
            let degrees = of_bevel(args, bevel, reader)?;
            let note = "calculated for one flat bevel from its length and the thickness";
            (Answer { degrees, findings: Vec::new() }, note)
        }
        None => (
            of_setting(args, guide, fence, projection, reader).map_err(|failure| failure.read_in(written))?,
            "calculated from the guide's measurements",
        ),
    };
    let is_sound = findings.iter().all(|f| f.gravity != Gravity::Refusal);
    let warnings = findings.iter().map(|f| match f.gravity {
        Gravity::Refusal => format!("the guide cannot hone this angle: {}", f.message),
        Gravity::Warning | Gravity::Note => f.message.clone(),
    });
    let warnings: Vec<String> = warnings.collect();
    let line = |(words, f): (&String, &Finding)| {
        format!("{}: {words}\n", if f.gravity == Gravity::Note { "Note" } else { "Warning" })
    };
    let told = |least: Gravity| -> String {
        let both = warnings.iter().zip(&findings);
        both.filter(|(_, f)| least == Gravity::Note || f.warns()).map(line).collect()
    };
    let out = if args.json {
        format!("{:#}\n", json!({ "angle": degrees, "sound": is_sound, "warnings": warnings }))
    } else {
        format!("{}° ({note})\n", fixed(degrees, 1)) + &told(Gravity::Note)
    };
    Ok(Said::with_warnings(out, told(Gravity::Warning), !args.json))
}

fn of_bevel(args: &AngleArgs, bevel: f64, mut reader: Reader) -> Result<f64, Failure> {
    let written = reader.written();
    let thickness = reader.exact("--thickness", args.blade.thickness.as_ref(), BLADE_THICKNESS);
    let taper = reader.degrees("--taper", args.blade.taper.as_ref(), BLADE_TAPER).unwrap_or(0.0);
    if args.blade.thickness.is_none() {
        reader.fault("--thickness", "nothing", "the blade's thickness at the edge");
    }
    let angle = thickness.and_then(|t| solve::angle_of_bevel(t, bevel, taper));
    if let (Some(t), None) = (thickness, angle) {
        reader.fault(
            "--bevel-length",
            format!("{} on a blade {} thick", written.size(bevel), written.size(t)),
            "longer than the blade is thick",
        );
    }
    reader.finish()?;
    angle.ok_or_else(|| Failure::Program("a bevel without an angle and without a fault".into()))
}

fn of_setting(
    args: &AngleArgs,
    guide: Option<Guide>,
    fence: Option<f64>,
    p: Option<f64>,
    mut reader: Reader,
) -> Result<Answer, Failure> {
    let Some(guide) = guide else {
        reader.fault("guide", "nothing", "a guide, with --fence or --projection");
        reader.finish()?;
        return Err(Failure::Program("a missing guide without a fault".into()));
    };
    let asked = Asked::read(&args.blade, &guide, &Disk::here(), &mut reader);
    reader.finish()?;
    let request = asked.at(solve::ANGLE_RANGE[0]);
    let (_, seat) = guide.seat_for(request.seat);
    let measured =
        Measured::new(&guide, seat, request.blade, request.roller_level).map_err(|e| Failure::Program(e.into()))?;
    let section = measured.section(&measured.values());
    let edge = BlockEdge { thickness: USUAL_THICKNESS, relief: FRONT_RELIEF[1], fence_within: None }.shape();
    let degrees_of = |section: &Section<f64>| match (fence, p) {
        (Some(fence), _) => Ok(solve::angle_of_fence(section, fence, edge)?),
        (None, Some(p)) => {
            let fence = contact::fence_distance(section, p, edge);
            let angle = projection::angle(section, p).ok_or(NoSetting::OutOfReach {
                fence,
                reach: (p + section.axle_to_face).hypotenuse(section.edge_level()),
                axle: section.axle_height(),
            })?;
            projection::projection_checked(section, angle)?;
            Ok(angle)
        }
        (None, None) => Err(Failure::Program("neither a fence nor a projection, and no fault".into())),
    };
    // A known setting goes before what was fitted to all of them.
    let known = seat.known.iter().find_map(|known| {
        let angle = known.angle.degrees;
        let measured = Measured::for_bevel(&guide, seat, request.blade, request.roller_level, angle).ok()?;
        measured.known()?;
        let found = degrees_of(&measured.section(&measured.values())).ok()?;
        ((found - angle).abs() < AS_KNOWN).then_some(angle)
    });
    let degrees = known.map_or_else(|| degrees_of(&section), Ok)?;
    let mut request = asked.at(degrees);
    request.primary =
        request.primary.map(|primary| if primary < degrees + SAME { primary.min(degrees) } else { primary });
    let set = lanes::build_all(&guide, &[request], &BlockOptions::default(), DEFAULT_TOLERANCE, None);
    let found = set.map_err(Failure::NoLanes)?.lanes.into_iter().flat_map(|lane| lane.findings);
    // Without a fence there is no block whose rules must be kept.
    let findings = found.filter(|f| fence.is_some() || f.rule.is_of_honing()).collect();
    Ok(Answer { degrees, findings })
}
