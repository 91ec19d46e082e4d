//! The blade arguments that several commands share.

use crate::cli::args::{BladeArgs, UnitsArgs};
use stopwright::guide::named::{self, Sources};
use stopwright::guide::{Blade, Guide, ToolClass, WholeSide};
use stopwright::input::fault::{Fault, Faults};
use stopwright::input::length::{self, Angle, LENGTH_FORMS, Length};
use stopwright::lane::{Request, id_of};
use stopwright::solve::ANGLE_RANGE;
use stopwright::terms::{BLADE_TAPER, BLADE_THICKNESS, BLADE_WIDTH, Locates, SeatName};
use stopwright::units::{Units, Written, short};

/// Collects the faults of all arguments, so that one run shows them all.
pub(super) struct Reader {
    units: Units,
    written: Written,
    faults: Faults,
}

impl Reader {
    pub(super) fn new(units: Units) -> Self {
        Self { units, written: Written::of(units), faults: Faults::default() }
    }

    /// One that reads as the arguments say, beside a file that is in `of_file`.
    pub(super) fn beside(args: &UnitsArgs, of_file: Units) -> Self {
        let (units, written) = args.beside(of_file);
        Self { written, ..Self::new(units) }
    }

    /// One that reads as the arguments say, beside a guide that is in `of_guide`.
    pub(super) fn for_guide(args: &UnitsArgs, of_guide: Units) -> Self {
        let (units, written) = args.for_guide(of_guide);
        Self { written, ..Self::new(units) }
    }

    /// Another that reads the same units, with faults of its own.
    pub(super) fn alike(&self) -> Self {
        Self { written: self.written, ..Self::new(self.units) }
    }

    /// How lengths are shown.
    pub(super) fn written(&self) -> Written {
        self.written
    }

    pub(super) fn fault(&mut self, field: &str, found: impl Into<String>, allowed: impl Into<String>) {
        self.faults.0.extend(Faults::argument(field, found, allowed).0);
    }

    pub(super) fn add(&mut self, fault: Fault) {
        self.faults.0.push(fault);
    }

    /// A length within `range` mm that counts by its size alone: one with how far it may be off is refused, as that would be
    /// dropped in silence.
    pub(super) fn exact(&mut self, field: &str, text: Option<&String>, range: [f64; 2]) -> Option<f64> {
        let length = self.length(field, text, range)?;
        if length.within.is_none() {
            return Some(length.mm);
        }
        let found = format!("\"{}\"", text.map_or("", String::as_str));
        self.fault(field, found, "a length without \"±\" here, as it counts by its size alone");
        None
    }

    /// A length within `range` mm.
    pub(super) fn length(&mut self, field: &str, text: Option<&String>, range: [f64; 2]) -> Option<Length> {
        let text = text?;
        match length::parse(text, Some(self.units)) {
            Ok(l)
                if (range[0]..=range[1]).contains(&l.mm)
                    && l.within.is_none_or(|w| (0.0..=range[1] - range[0]).contains(&w)) =>
            {
                Some(l)
            }
            Ok(_) => {
                let per = self.units.mm();
                let allowed =
                    format!("{} to {} {}", short(range[0] / per, 4), short(range[1] / per, 4), self.units.symbol());
                self.fault(field, format!("\"{text}\""), allowed);
                None
            }
            Err(cause) => {
                self.add(Fault::new(field, &cause.found, LENGTH_FORMS).mended(cause.mend()));
                None
            }
        }
    }

    /// Degrees within `range`.
    pub(super) fn degrees(&mut self, field: &str, text: Option<&String>, range: [f64; 2]) -> Option<f64> {
        let text = text?;
        match text.trim().parse::<f64>() {
            Ok(d) if (range[0]..=range[1]).contains(&d) => Some(d),
            _ => {
                let allowed = format!("{} to {} degrees", range[0], range[1]);
                let meant = length::degrees_meant(text).filter(|d| (range[0]..=range[1]).contains(d));
                let mend = meant.map(|d| format!("Write {}.", short(d, 6)));
                self.add(Fault::new(field, format!("\"{text}\""), allowed).mended(mend));
                None
            }
        }
    }

    /// A list of bevel angles.
    pub(super) fn angles(&mut self, field: &str, text: &str) -> Vec<f64> {
        let parts: Vec<String> = text.split(',').map(|p| p.trim().to_string()).collect();
        parts.iter().filter_map(|p| self.degrees(field, Some(p), ANGLE_RANGE)).collect()
    }

    pub(super) fn finish(mut self) -> Result<(), Faults> {
        self.take_faults()
    }

    /// The faults so far, if there are any.
    pub(super) fn take_faults(&mut self) -> Result<(), Faults> {
        let mut faults = std::mem::take(&mut self.faults);
        // A flag with two values that are wrong in the same way is told once.
        faults.0.dedup();
        faults.into_result()
    }
}

/// The blade, as the arguments or the tool class say; the angle is put in by the command.
pub(super) struct Asked {
    pub(super) tool: Option<ToolClass>,
    request: Request,
}

impl Asked {
    /// Reads the arguments; faults go to `reader`, and then the values here are placeholders.
    pub(super) fn read(args: &BladeArgs, guide: &Guide, sources: &dyn Sources, reader: &mut Reader) -> Self {
        let tool = args.tool.as_ref().and_then(|name| match named::tool(name, sources) {
            Ok(tool) => Some(tool),
            Err(faults) => {
                reader.faults.0.extend(faults.0);
                None
            }
        });
        let wanted = args.seat.unwrap_or(tool.as_ref().map_or(SeatName::Iron, |t| t.seat));
        let (seat_name, seat) = guide.seat_for(wanted);
        if args.seat.is_some() && seat_name != wanted {
            let names: Vec<&str> = guide.seats().map(|(name, _)| name.name()).collect();
            reader.fault("--seat", format!("no {wanted} seat on {}", guide.name), names.join(" or "));
        }
        let thickness = reader.length("--thickness", args.thickness.as_ref(), BLADE_THICKNESS);
        if thickness.is_none() && args.thickness.is_none() && args.tool.is_none() {
            reader.fault(
                "--thickness",
                "nothing",
                "the blade's thickness at the edge, or --tool with a class that has one",
            );
        }
        let taper = reader.degrees("--taper", args.taper.as_ref(), BLADE_TAPER).map(Angle::exact);
        let thickness = thickness.or(tool.as_ref().map(|t| t.thickness)).unwrap_or(Length::exact(1.0));
        let taper = taper.or(tool.as_ref().map(|t| t.taper)).unwrap_or(Angle::exact(0.0));
        let land = reader.length("--land", args.land.as_ref(), BLADE_THICKNESS);
        let land_taper = reader.degrees("--land-taper", args.land_taper.as_ref(), BLADE_TAPER).map(Angle::exact);
        let blade = match &tool {
            Some(tool) => tool.blade_of(thickness, taper, land, land_taper),
            None => {
                let land_taper = land_taper.unwrap_or(Angle::exact(0.0));
                Blade { thickness, taper, land, land_taper, land_assumed: false, whole_side: WholeSide::default() }
            }
        };
        if seat.locates == Locates::Sides && blade.land.is_none() && args.land.is_none() {
            reader.fault(
                "--land",
                "nothing, and this seat grips the blade's sides",
                "the height of the blade's side lands",
            );
        }
        let width = reader.exact("--width", args.width.as_ref(), BLADE_WIDTH);
        let usual_width = tool.as_ref().map(|t| t.widest_in(guide, seat));
        let level = reader.length("--roller-level", args.roller_level.as_ref(), [-100.0, 100.0]);
        let usual_primary = tool.as_ref().map(ToolClass::usual_primary);
        let label = tool.as_ref().map_or_else(|| seat_name.to_string(), |t| t.name.clone());
        let request = Request {
            id: String::new(),
            label,
            tool: tool.as_ref().map(|t| t.name.clone()),
            seat: seat_name,
            angle: 0.0,
            wanted: 0.0,
            asked: None,
            blade,
            width: width.or(usual_width),
            length: None,
            primary: reader.degrees("--primary", args.primary.as_ref(), ANGLE_RANGE),
            usual_primary,
            roller_level: level.unwrap_or(Length::exact(0.0)),
            edge: None,
            written: reader.written,
        };
        Self { tool, request }
    }

    /// The request for one angle.
    pub(super) fn at(&self, angle: f64) -> Request {
        Request { id: id_of(&self.request.label, angle), angle, wanted: angle, ..self.request.clone() }
    }
}

/// Whether any blade argument was given, for commands where a job says it all.
pub(super) fn given(args: &BladeArgs) -> Vec<&'static str> {
    let mut given = Vec::new();
    let mut see = |name, is: bool| {
        if is {
            given.push(name);
        }
    };
    see("--tool", args.tool.is_some());
    see("--seat", args.seat.is_some());
    see("--thickness", args.thickness.is_some());
    see("--taper", args.taper.is_some());
    see("--land", args.land.is_some());
    see("--land-taper", args.land_taper.is_some());
    see("--width", args.width.is_some());
    see("--primary", args.primary.is_some());
    see("--roller-level", args.roller_level.is_some());
    given
}

/// Faults for arguments that a job leaves no room for.
pub(super) fn not_with_a_job(given: &[&str]) -> Result<(), Faults> {
    let fault = |name: &&str| Fault::new(*name, "the job settles this", "it with a guide only, or change the job");
    Faults(given.iter().map(fault).collect()).into_result()
}
