//! `camber`: how deep, how far the guide rocks, and the strokes that make it.

use super::blade::{Asked, Reader};
use super::grits::grade;
use crate::cli::Said;
use crate::cli::args::CamberArgs;
use crate::cli::failure::Failure;
use crate::cli::files::Disk;
use stopwright::fit;
use stopwright::guide::{Guide, named};
use stopwright::lane::Request;
use stopwright::lanes;
use stopwright::solve::measured::Measured;
use stopwright::solve::{ANGLE_RANGE, projection};
use stopwright::stones::bevel::micro;
use stopwright::stones::camber::report::{self, Camber, Held};
use stopwright::stones::camber::rock::{self, Stance};
use stopwright::stones::camber::strokes::{self, Bench, Kernel, NoPlan};
use stopwright::stones::camber::{Wanted, rate, wanted};
use stopwright::stones::grits::Grade;
use stopwright::terms::{BLADE_THICKNESS, PlaneKind};
use stopwright::trig::Trig;
use stopwright::units::Units;

/// Angle that is honed unless the user says otherwise, degrees.
const USUAL_ANGLE: f64 = 25.0;

/// Thickness of an iron where nothing says it, mm: an assumption.
const USUAL_THICKNESS: f64 = 3.0;

/// Steps from the primary to the micro-bevel in which a smoother's camber is made, degrees: an assumption.
const USUAL_STEP: f64 = 5.0;

/// Grades of which one makes the camber unless the user says otherwise, coarse to fine: the finest that does it in few
/// enough strokes, as on a card. An assumption.
const USUAL_GRADES: [&str; 6] = ["P220", "P400", "P600", "P800", "P1500", "P2000"];

pub(super) fn camber(args: &CamberArgs) -> Result<Said, Failure> {
    let guide = args.guide.as_ref().map(|name| fit::guide::named(name, &Disk::here())).transpose()?;
    let of_file = guide.as_ref().map_or(Units::Mm, |guide| guide.units);
    let written = args.blade.lengths.beside(of_file).1;
    of(args, guide, Reader::for_guide(&args.blade.lengths, of_file)).map_err(|failure| failure.read_in(written))
}

fn of(args: &CamberArgs, guide: Option<Guide>, mut reader: Reader) -> Result<Said, Failure> {
    let written = reader.written();
    let width = reader.exact("--width", args.blade.width.as_ref(), wanted::WIDTH_RANGE);
    if args.blade.width.is_none() {
        reader.fault("--width", "nothing", "the blade's width");
    }
    let asked = asked(args, &mut reader);
    let bed = reader.degrees("--bed", args.bed.as_ref(), wanted::BED_RANGE).unwrap_or(wanted::USUAL_BED);
    let primary = reader.degrees("--primary", args.blade.primary.as_ref(), ANGLE_RANGE);
    // A camber is made in the primary bevel.
    let angle = reader.degrees("--angle", args.angle.as_ref(), ANGLE_RANGE).or(primary).unwrap_or(USUAL_ANGLE);
    let finger = reader.exact("--finger", args.finger.as_ref(), strokes::FINGER_RANGE).unwrap_or(rock::USUAL_FINGER);
    let spread = reader.exact("--spread", args.spread.as_ref(), strokes::SPREAD_RANGE);
    let per_stroke = reader.exact("--per-stroke", args.per_stroke.as_ref(), strokes::PER_STROKE_RANGE);
    let stated = args.grit.as_deref().map(|grit| grade("--grit", grit, &mut reader));
    // Where the wear of a stroke is stated, no grade is to be chosen by it.
    let usual = if per_stroke.is_some() { &USUAL_GRADES[..1] } else { &USUAL_GRADES };
    let grades: Option<Vec<Grade>> = match stated {
        Some(stated) => stated.map(|grade| vec![grade]),
        None => usual.iter().map(|usual| grade("--grit", usual, &mut reader)).collect(),
    };
    let thickness = thickness(args, &mut reader);
    if let Some(guide) = guide.as_ref().filter(|_| is_blade_known(args)) {
        Asked::read(&args.blade, guide, &Disk::here(), &mut reader);
    }
    reader.finish()?;
    let (Some(width), Some(asked), Some(grades)) = (width, asked, grades) else {
        return Err(Failure::Program("a missing argument without a fault".into()));
    };
    let curve = wanted::curve(asked, width, bed)?;
    let worked = match asked {
        // Of a micro-bevel, what there is of it with half of the camber made.
        Wanted::Plane(PlaneKind::Smoother) => micro::width(angle, angle + USUAL_STEP, curve.depth / 2.0)?,
        _ => thickness / angle.to_radians().sine(),
    };
    let kernel = spread.map_or(Kernel::Stiff, |spread| Kernel::Local { spread });
    let on = |grit: &Grade| {
        let estimate = rate::per_stroke(grit.grain(), width * worked);
        let per_stroke = per_stroke.unwrap_or(estimate);
        let bench = Bench { curve, angle, finger, kernel, per_stroke, later: 0.0 };
        match bench.plan() {
            Ok(plan) => Ok((*grit, bench, Some(plan))),
            Err(NoPlan::Straight) => Ok((*grit, bench, None)),
            Err(e) => Err(e),
        }
    };
    let mut made = grades.iter().map(on).collect::<Result<Vec<_>, _>>()?;
    let totals = made.iter().map(|(_, _, plan)| plan.as_ref().map_or(0, |plan| plan.rounds.total()));
    let Some(best) = strokes::made_on(totals) else {
        return Err(Failure::Program("no grade to make a camber on".into()));
    };
    let (grit, bench, plan) = made.swap_remove(best);
    let camber = Camber {
        asked,
        bed,
        shaving: wanted::shaving_of(&curve, bed)?,
        rock: rock::rock(&curve, angle),
        bench,
        made_on: per_stroke.is_none().then_some((grit, worked)),
        plan,
        held: guide.map(|guide| held(args, &guide, &bench)).transpose()?,
        written,
    };
    let out = match args.json {
        true => format!("{:#}\n", report::json(&camber)),
        false => report::text(&camber),
    };
    Ok(Said { out, ..Said::default() })
}

/// What is wanted, if exactly one thing is.
fn asked(args: &CamberArgs, reader: &mut Reader) -> Option<Wanted> {
    let depth = reader.exact("--depth", args.depth.as_ref(), [0.0, 75.0]);
    let shaving = reader.exact("--shaving", args.shaving.as_ref(), wanted::SHAVING_RANGE);
    let across = reader.exact("--shaving-width", args.shaving_width.as_ref(), [0.1, wanted::WIDTH_RANGE[1]]);
    match (&args.depth, args.plane, &args.shaving) {
        (Some(_), None, None) => depth.map(Wanted::Depth),
        (None, Some(plane), None) => Some(Wanted::Plane(plane)),
        (None, None, Some(_)) => shaving.map(|thickness| Wanted::Shaving { thickness, width: across }),
        _ => {
            let found = "it takes one thing to say how deep the camber is to be";
            reader.fault("", found, "exactly one of --depth, --plane or --shaving");
            None
        }
    }
}

/// How thick the blade is, mm, for the area that is honed: as stated, else its class's, else [`USUAL_THICKNESS`].
fn thickness(args: &CamberArgs, reader: &mut Reader) -> f64 {
    // With a guide the blade is read for it too, and one fault is enough.
    let mut own = reader.alike();
    let reader = if args.guide.is_some() { &mut own } else { reader };
    let stated = reader.length("--thickness", args.blade.thickness.as_ref(), BLADE_THICKNESS);
    let of_class = || Some(named::tool(args.blade.tool.as_ref()?, &Disk::here()).ok()?.thickness);
    stated.or_else(of_class).map_or(USUAL_THICKNESS, |t| t.mm)
}

/// Whether enough is said of the blade to know how far it stands out of the guide.
fn is_blade_known(args: &CamberArgs) -> bool {
    args.blade.tool.is_some() || args.blade.thickness.is_some()
}

/// The roller judged, and the pose where the blade is known.
fn held(args: &CamberArgs, guide: &Guide, bench: &Bench) -> Result<Held, Failure> {
    let Bench { curve, angle, finger, .. } = *bench;
    let judgement = rock::judge(&curve, angle, &guide.roller, finger);
    let request = is_blade_known(args).then(|| request(args, guide, angle)).transpose()?;
    let on_same_stone = request.as_ref().is_none_or(|r| r.roller_level.mm == 0.0);
    let refused =
        request.as_ref().map(|r| lanes::refused_on_the_stone(guide, r)).transpose().map_err(Failure::NoLanes)?;
    let pose = match (judgement, request.filter(|_| on_same_stone)) {
        (Some(judged), Some(request)) => {
            let stance = Stance {
                radius: guide.roller.diameter.mm / 2.0,
                reach: reach(&request, guide, angle)?,
                roller: judged.roller,
            };
            rock::pose(&curve, angle, stance)
        }
        _ => None,
    };
    Ok(Held { guide: guide.name.clone(), judgement, pose, on_same_stone, refused: refused.unwrap_or_default() })
}

/// What is asked of the guide.
fn request(args: &CamberArgs, guide: &Guide, angle: f64) -> Result<Request, Failure> {
    let mut reader = Reader::for_guide(&args.blade.lengths, guide.units);
    let request = Asked::read(&args.blade, guide, &Disk::here(), &mut reader).at(angle);
    reader.finish()?;
    Ok(request)
}

/// How far along the stone the edge is from under the axle, mm.
fn reach(request: &Request, guide: &Guide, angle: f64) -> Result<f64, Failure> {
    let (_, seat) = guide.seat_for(request.seat);
    let measured = Measured::for_bevel(guide, seat, request.blade, request.roller_level, angle)
        .map_err(|e| Failure::Program(e.into()))?;
    let section = measured.section(&measured.values());
    let out = projection::projection_checked(&section, angle)? + section.axle_to_face;
    let (level, axle): (f64, f64) = (section.edge_level(), section.axle_height());
    Ok((out * out + level * level - axle * axle).max(0.0).sqrt())
}
