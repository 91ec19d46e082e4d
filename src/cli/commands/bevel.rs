//! `bevel`: the section of a blade.

use super::blade::Reader;
use crate::cli::Said;
use crate::cli::args::BevelArgs;
use crate::cli::failure::Failure;
use stopwright::solve::ANGLE_RANGE;
use stopwright::stones::bevel::report::{self, BackBevel, Bevel, Micro};
use stopwright::stones::bevel::{Blade, Change, Habit, Hollow, Nick, back, hollow, micro};
use stopwright::terms::{BLADE_TAPER, BLADE_THICKNESS, BLADE_WIDTH};
use stopwright::units::Units;

pub(super) fn bevel(args: &BevelArgs) -> Result<Said, Failure> {
    let mut reader = Reader::beside(&args.lengths, Units::Mm);
    let written = reader.written();
    of(args, &mut reader).map_err(|failure| failure.read_in(written))
}

fn of(args: &BevelArgs, reader: &mut Reader) -> Result<Said, Failure> {
    let thickness = reader.exact("--thickness", Some(&args.thickness), BLADE_THICKNESS);
    let taper = reader.degrees("--taper", args.taper.as_ref(), BLADE_TAPER);
    let width = reader.exact("--width", args.width.as_ref(), BLADE_WIDTH);
    let primary = reader.degrees("--primary", Some(&args.primary), ANGLE_RANGE);
    let second = reader.degrees("--micro", args.micro.as_ref(), ANGLE_RANGE);
    let recession = reader.exact("--recession", args.recession.as_ref(), [0.0, 50.0]);
    let measured = reader.exact("--micro-width", args.micro_width.as_ref(), [0.0, 50.0]);
    let honing = reader.exact("--honing", args.honing.as_ref(), [0.0001, 5.0]);
    let regrind_at = reader.exact("--regrind-at", args.regrind_at.as_ref(), [0.01, 50.0]);
    let wheel = reader.exact("--wheel", args.wheel.as_ref(), hollow::WHEEL);
    let wanted_back = reader.degrees("--back-bevel", args.back_bevel.as_ref(), back::BACK_BEVELS);
    let rule = reader.exact("--rule", args.rule.as_ref(), [0.05, 20.0]);
    let rule_at = reader.exact("--rule-at", args.rule_at.as_ref(), [1.0, 300.0]);
    let change_to = reader.degrees("--change-to", args.change_to.as_ref(), ANGLE_RANGE);
    if let (Some(primary), Some(second)) = (primary, second)
        && second <= primary
    {
        let found = format!("{second}° is not steeper than the primary bevel of {primary}°");
        reader.fault("--micro", found, "a larger angle, or leave --micro out");
    }
    let written = reader.written();
    reader.take_faults()?;
    let (Some(thickness), Some(primary)) = (thickness, primary) else {
        return Err(Failure::Program("a missing argument without a fault".into()));
    };
    let blade = Blade::new(thickness, taper.unwrap_or(0.0))?;
    let habit = Habit { recession: honing.unwrap_or(micro::USUAL_RECESSION), widest: regrind_at };
    let of_micro = |angle: f64| -> Result<Micro, Failure> {
        let back = match (recession, measured) {
            (Some(back), _) => Some(back),
            (None, Some(width)) => Some(micro::recession(primary, angle, width)?),
            (None, None) => None,
        };
        Ok(Micro {
            angle,
            now: back.map(|back| report::Now::worn_back(&blade, primary, angle, back)).transpose()?,
            regrind: micro::regrind(&blade, primary, angle, habit)?,
            habit,
        })
    };
    // With a micro-bevel the recession is what honings have taken; without one it is to be ground off the primary.
    let nick = recession.filter(|_| second.is_none()).map(|back| Nick::new(&blade, primary, back)).transpose()?;
    let by_rule = rule.zip(rule_at).map(|(rule, at)| -> Result<BackBevel, Failure> {
        Ok(BackBevel { angle: back::angle(rule, at)?, by: Some([rule, at]) })
    });
    let bevel = Bevel {
        hollow: wheel.map(|wheel| Hollow::new(&blade, primary, wheel)).transpose()?,
        back: by_rule.transpose()?.or(wanted_back.map(|angle| BackBevel { angle, by: None })),
        blade,
        width,
        primary,
        length: blade.bevel_length(primary)?,
        micro: second.map(of_micro).transpose()?,
        change: change_to.map(|to| Change::new(blade, primary, to).map(|change| (to, change))).transpose()?,
        nick,
        written,
    };
    let out = match args.json {
        true => format!("{:#}\n", report::json(&bevel)?),
        false => report::text(&bevel)?,
    };
    Ok(Said { out, ..Said::default() })
}
