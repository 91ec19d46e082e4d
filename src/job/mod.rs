//! A job with everything it refers to: guide, tool classes, settings and sizes, units resolved and defaults filled in.

mod built;
mod corrections;
mod fingerprint;
mod honing;
mod print;
pub(crate) mod wood;

pub use corrections::{Corrections, Of};
pub use print::PrintOptions;
pub use wood::WoodOptions;

use std::path::Path;

use kurbo::Size;

use crate::drawing::frame::takes_date;
use crate::fit;
use crate::guide::fields::SizeForms;
use crate::guide::named::{self, Sources};
use crate::guide::{Blade, Guide, ToolClass};
use crate::honing::Honing;
use crate::input::document::Document;
use crate::input::fault::{Fault, Faults};
use crate::input::length::{Length, LengthForm};
use crate::kit::{self, Kit};
use crate::lane::{BlockOptions, DEFAULT_TOLERANCE};
use crate::log::{self, Log};
use crate::profile;
use crate::profile::fields::Fields;
use crate::profile::job::{BlockFile, JobFile, PrintFile, SettingFile};
use crate::terms::{Edge, LengthsShown, Locates, PaperSize, ProjectionAngle, SeatName};
use crate::units::{Units, Written};

/// A job, ready to be solved.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// Title of the block.
    pub title: String,
    /// Unit the job was written in.
    pub units: Units,
    /// How its lengths are written, in reports and on sheets; of the wooden jig see [`WoodOptions::written`].
    pub written: Written,
    /// The guide.
    pub guide: Guide,
    /// Other guides that use the same block, of a class; none elsewhere.
    pub shared_with: Vec<Guide>,
    /// The blades and their angles; none where there is a kit.
    pub settings: Vec<JobSetting>,
    /// The kit that the lanes come from, in place of settings.
    pub kit: Option<Kit>,
    /// The log that lies beside the kit, where there is one.
    pub log: Option<Log>,
    /// Whether blades of the kit that go in different seats may share a fence.
    pub across_seats: bool,
    /// Height of the roller's track above the honing surface, for blades of the kit.
    pub roller_level: Length,
    /// Whether a blade of the kit that no fence serves refuses the whole; else the rest is made without it.
    pub strict: bool,
    /// How far off an angle may be, ± degrees.
    pub tolerance: f64,
    /// Sizes of the block.
    pub block: BlockOptions,
    /// The printer.
    pub print: PrintOptions,
    /// The wooden jig.
    pub wood: WoodOptions,
    /// Whether the wooden jig is asked for.
    pub asks_for_wood: bool,
    /// Whether the job's file states it: a kit's block and jig then have the same fences, whichever is made.
    pub states_wood: bool,
    /// Whether a jig alone is made of it, of a kit: see [`Job::for_a_jig`].
    pub jig_alone: bool,
    /// What is known of the bench.
    pub honing: Honing,
    /// Sheet size, if the job asks for one.
    pub sheet_size: Option<PaperSize>,
    /// Arrangement of the views.
    pub projection_angle: ProjectionAngle,
    /// The date for its title blocks, as its maker writes dates.
    pub date: Option<String>,
    /// What measurements of an earlier block or jig change of its fences.
    pub corrections: Option<Corrections>,
}

/// One tool class at some angles.
#[derive(Debug, Clone, PartialEq)]
pub struct JobSetting {
    /// Name in ids and labels.
    pub id: String,
    /// Name of the class.
    pub tool: String,
    /// The seat it goes in.
    pub seat: SeatName,
    /// Bevel angles, degrees.
    pub angles: Vec<f64>,
    /// The blade.
    pub blade: Blade,
    /// Width of the widest blade, mm.
    pub width: f64,
    /// Stated primary bevel, degrees.
    pub primary: Option<f64>,
    /// Smallest advised angle of the class, degrees: the primary bevel where none is stated.
    pub usual_primary: f64,
    /// Height of the roller's track above the honing surface.
    pub roller_level: Length,
    /// The edge asked for.
    pub edge: Option<Edge>,
}

impl JobSetting {
    /// The blades of a class at some angles, degrees, with all that the class tells.
    pub fn of_class(class: &ToolClass, guide: &Guide, angles: Vec<f64>, roller_level: Length) -> Self {
        let (seat_name, seat) = guide.seat_for(class.seat);
        Self {
            id: class.name.clone(),
            tool: class.name.clone(),
            seat: seat_name,
            angles,
            blade: class.blade(),
            width: class.widest_in(guide, seat),
            primary: None,
            usual_primary: class.usual_primary(),
            roller_level,
            edge: None,
        }
    }
}

impl Job {
    /// The job as its wooden jig alone is made of it. The fences of a kit hang on what they can be made to: a jig of a job
    /// that does not state "wood" may have other lanes than its block, and bears the fingerprint of a job that does.
    #[must_use]
    pub fn for_a_jig(self) -> Self {
        let jig_alone = self.kit.is_some();
        Self { jig_alone, ..self }
    }

    /// All guides that use its block.
    pub fn guides(&self) -> impl Iterator<Item = &Guide> {
        std::iter::once(&self.guide).chain(&self.shared_with)
    }

    /// Width of the widest face that is known of its guides, mm.
    pub fn face_width(&self) -> Option<f64> {
        self.guides().filter_map(|guide| guide.face.width).map(|width| width.mm).reduce(f64::max)
    }

    /// The paper that a printer at home takes, by the unit that lengths are written in: Letter for inches, else A4.
    pub fn home_paper(&self) -> PaperSize {
        PaperSize::at_home(self.written.first())
    }

    /// Writes lengths so, those of the wooden jig as well, in fractions as fine as the job asks for.
    pub fn show(&mut self, lengths: LengthsShown) {
        self.written = lengths.written(self.written.denominator);
        self.wood.show(lengths);
    }

    /// Writes fractions of an inch so fine, those of the wooden jig as well.
    pub fn show_fractions(&mut self, denominator: u32) {
        self.written.denominator = denominator;
        self.wood.written.denominator = denominator;
    }

    /// Reads a job and all it refers to.
    ///
    /// # Errors
    /// All faults of the job, or of the first profile it refers to that has any.
    pub fn parse(source: &str, bytes: &[u8], sources: &dyn Sources) -> Result<Self, Faults> {
        let read = profile::read::<JobFile>(source, bytes)?;
        Resolver::of(&read, read.value.units).job(&read.value, sources)
    }

    /// Whether a file's text looks like a job and not like a guide profile; nothing else is checked.
    ///
    /// # Errors
    /// The fault of a text that is no JSON.
    pub fn is_job(source: &str, bytes: &[u8]) -> Result<bool, Faults> {
        let document = Document::glance(source, bytes)?;
        Ok(["settings", "kit"].iter().any(|field| document.root().member(field).is_some()))
    }
}

type Resolver<'a> = Fields<'a, JobFile>;

impl Resolver<'_> {
    fn job(mut self, file: &JobFile, sources: &dyn Sources) -> Result<Job, Faults> {
        let guide = match fit::guide::found(&file.guide, sources) {
            Ok(Ok(guide)) => Some(guide),
            Ok(Err(faults)) => {
                self.faults.0.extend(faults.0);
                None
            }
            Err(fault) => {
                self.add(&["guide"], |field| Fault { field, ..*fault });
                None
            }
        };
        let level = self.optional(&["roller_level"], file.roller_level.as_ref()).unwrap_or(Length::exact(0.0));
        let mut settings: Vec<JobSetting> = Vec::new();
        for (i, setting) in file.settings.iter().flatten().enumerate() {
            let resolved = self.setting(i, setting, guide.as_ref(), level, sources);
            settings.extend(resolved);
        }
        self.unique_lanes(&settings);
        let kit = self.kit(file, sources);
        let log = kit.as_ref().and_then(|kit| self.log(file, kit, sources));
        let across_seats = self.across_seats(file);
        let block = self.block(file.block.as_ref());
        let print = self.print(file.print.as_ref());
        let wood = self.wood(file.wood.as_ref());
        let honing = self.honing(file.honing.as_ref());
        let sheet = file.sheet.clone().unwrap_or_default();
        if let Some(date) = sheet.date.as_ref().filter(|date| !takes_date(date)) {
            let allowed = "a date that goes into its field, such as \"2026-11-27\" or \"27 November 2026\"";
            self.fault(&["sheet", "date"], format!("\"{date}\""), allowed);
        }
        self.finish()?;
        Ok(Job {
            title: file.title.clone(),
            units: file.units,
            written: Written { denominator: wood.written.denominator, ..Written::of(file.units) },
            guide: guide.expect("a guide that failed to load is a fault"),
            shared_with: Vec::new(),
            settings,
            roller_level: level,
            tolerance: file.tolerance.unwrap_or(kit.as_ref().map_or(DEFAULT_TOLERANCE, |kit| kit.tolerance)),
            across_seats,
            strict: false,
            log,
            kit,
            block,
            print,
            wood,
            asks_for_wood: file.wood.is_some(),
            states_wood: file.wood.is_some(),
            jig_alone: false,
            sheet_size: sheet.size,
            projection_angle: sheet.projection.unwrap_or_default(),
            date: sheet.date,
            honing,
            corrections: None,
        })
    }

    /// Whether seats may share fences, which only those of a kit can.
    fn across_seats(&mut self, file: &JobFile) -> bool {
        if file.share_across_seats.is_some() && file.kit.is_none() {
            self.fault(&["share_across_seats"], "seats that share fences, without a kit", "only with a \"kit\"");
        }
        file.share_across_seats.unwrap_or(false)
    }

    /// The kit that stands in place of settings; exactly one of both must be there.
    fn kit(&mut self, file: &JobFile, sources: &dyn Sources) -> Option<Kit> {
        match (&file.settings, &file.kit) {
            (None, None) => {
                let found = "neither settings nor a kit";
                self.fault(&["settings"], found, "\"settings\", the blades and their angles, or the path of a \"kit\"");
                None
            }
            (Some(_), Some(_)) => {
                self.fault(&["kit"], "a kit beside settings", "one of the two");
                None
            }
            (Some(_), None) => None,
            (None, Some(path)) => match kit::load(path, sources) {
                Ok(Ok(kit)) => Some(kit),
                Ok(Err(faults)) => {
                    self.faults.0.extend(faults.0);
                    None
                }
                Err(found) => {
                    let fault = named::no_file(path, found, "the path of a kit (*.json)", sources);
                    self.add(&["kit"], |field| Fault { field, ..fault });
                    None
                }
            },
        }
    }

    /// The log beside the kit; a kit that has none is a kit nobody has written down yet.
    fn log(&mut self, file: &JobFile, kit: &Kit, sources: &dyn Sources) -> Option<Log> {
        let path = log::beside(Path::new(file.kit.as_ref()?));
        let (name, bytes) = sources.load(&path.to_string_lossy()).ok()?;
        Log::parse(&name, &bytes, kit).map_err(|faults| self.faults.0.extend(faults.0)).ok()
    }

    fn setting(
        &mut self,
        index: usize,
        file: &SettingFile,
        guide: Option<&Guide>,
        job_level: Length,
        sources: &dyn Sources,
    ) -> Option<JobSetting> {
        let index = index.to_string();
        let path = |field: &'static str| ["settings", index.as_str(), field];
        let tool = self.tool(&path("tool"), &file.tool, sources)?;
        let at = ["settings", index.as_str()];
        let forms = SizeForms {
            thickness: file.thickness.as_ref(),
            taper: file.taper.as_ref(),
            land: file.land.as_ref(),
            land_taper: file.land_taper.as_ref(),
        };
        let blade = self.blade(at, &forms, &tool);
        let stated_width = self.optional(&path("width"), file.width.as_ref());
        let level = self.optional(&path("roller_level"), file.roller_level.as_ref()).unwrap_or(job_level);
        let (seat_name, seat) = guide?.seat_for(tool.seat);
        if seat.locates == Locates::Sides {
            if blade.land.is_none() {
                self.fault(
                    &path("land"),
                    format!("no land, and the {seat_name} seat grips the blade's sides"),
                    "the height of the blade's side lands",
                );
            }
            self.land_on_blade(at, blade.land.filter(|_| file.land.is_some()), blade.thickness);
        }
        let mut setting = JobSetting::of_class(&tool, guide?, file.angles.clone(), level);
        setting.id = file.id.clone().unwrap_or(setting.id);
        setting.width = stated_width.map_or(setting.width, |w| w.mm);
        Some(JobSetting { blade, primary: file.primary, edge: file.edge, ..setting })
    }

    fn unique_lanes(&mut self, settings: &[JobSetting]) {
        let mut seen = std::collections::HashSet::new();
        for (i, setting) in settings.iter().enumerate() {
            for (k, angle) in setting.angles.iter().enumerate() {
                let spoiled = |field: &str| self.read.spoiled(&["settings", &i.to_string(), field]);
                if spoiled("id") || spoiled("angles") {
                    continue;
                }
                if !seen.insert(crate::lane::id_of(&setting.id, *angle)) {
                    let found = format!("{} at {angle}° a second time", setting.id);
                    let (i, k) = (i.to_string(), k.to_string());
                    self.fault(
                        &["settings", &i, "angles", &k],
                        found,
                        "each lane once (give settings their own \"id\")",
                    );
                }
            }
        }
    }

    fn print(&mut self, file: Option<&PrintFile>) -> PrintOptions {
        let mut options = PrintOptions::default();
        let Some(file) = file else { return options };
        if let Some(bed) = &file.bed {
            let [width, depth] = self.pair(&["print", "bed"], bed);
            options.bed = Size::new(width, depth);
        }
        let mut mm = |name: &str, form: &Option<LengthForm>| self.mm(&["print", name], form.as_ref());
        options.nozzle = mm("nozzle", &file.nozzle).unwrap_or(options.nozzle);
        options.layer = mm("layer", &file.layer).unwrap_or(options.layer);
        options.filament = file.filament.unwrap_or_default();
        options.density = file.density.unwrap_or(options.filament.density());
        options.seam_notch = file.seam_notch.unwrap_or(options.seam_notch);
        options.scale = file.scale;
        if options.layer > options.nozzle {
            let written = Written::of(self.units);
            let found = format!(
                "a layer of {} from a nozzle of {}",
                written.printer(options.layer),
                written.printer(options.nozzle)
            );
            self.fault(&["print", "layer"], found, "at most the nozzle's width");
        }
        options
    }

    fn block(&mut self, file: Option<&BlockFile>) -> BlockOptions {
        let mut options = BlockOptions::default();
        let Some(file) = file else { return options };
        let mut mm = |name: &str, form: &Option<LengthForm>| self.mm(&["block", name], form.as_ref());
        options.thickness = mm("thickness", &file.thickness);
        options.fence_height = mm("fence_height", &file.fence_height);
        options.middle = mm("middle", &file.middle);
        options.clearance = mm("clearance", &file.clearance).unwrap_or(options.clearance);
        options.fence_within = mm("fence_within", &file.fence_within).unwrap_or(options.fence_within);
        options.foot_relief = file.foot_relief.unwrap_or(options.foot_relief);
        options.front_relief = file.front_relief.unwrap_or(options.front_relief);
        options.marks = file.marks.unwrap_or(options.marks);
        options.screw_holes = file.screw_holes.unwrap_or(options.screw_holes);
        options.cleat = file.cleat.unwrap_or(options.cleat);
        options.labels = file.labels.unwrap_or(options.labels);
        if options.cleat && !options.screw_holes {
            let found = "a cleat, and no screw holes to fix it by";
            self.fault(&["block", "cleat"], found, "a cleat only with screw holes");
        }
        options
    }
}
