//! A kit: the blades of a drawer, resolved against their tool classes, as far as that goes without a guide.

pub mod advice;
pub mod another;
pub mod drift;
pub mod fences;
pub mod interval;
mod planned;
pub mod report;

pub use planned::PlannedKit;

use std::path::Path;
use std::sync::Arc;

use foldhash::{HashMap, HashMapExt};

use crate::guide::fields::SizeForms;
use crate::guide::named::{Beside, Sources};
use crate::guide::{Blade, Guide, ToolClass};
use crate::input::fault::Faults;
use crate::input::schema::MOST_SHOWN;
use crate::lane::DEFAULT_TOLERANCE;
use crate::profile;
use crate::profile::fields::Fields;
use crate::profile::kit::{CamberFile, KitBladeFile, KitFile};
use crate::stones::camber::Curve;
use crate::stones::camber::wanted::{self, USUAL_BED, Wanted};
use crate::stones::grits::{Abrasive, Grade};
use crate::terms::{BevelSide, PlaneKind, SeatName, Steel, Use};
use crate::units::{Units, short};
use advice::Advice;

/// The blades of one shop.
#[derive(Debug, Clone, PartialEq)]
pub struct Kit {
    /// What it is called.
    pub title: String,
    /// Unit the kit was written in.
    pub units: Units,
    /// How far off an angle may be, ± degrees.
    pub tolerance: f64,
    /// The abrasives, from coarse to fine; none where none are stated.
    pub abrasives: Vec<Abrasive>,
    /// The blades, in the order of the file.
    pub blades: Vec<KitBlade>,
}

/// One blade.
#[derive(Debug, Clone, PartialEq)]
pub struct KitBlade {
    /// The user's name for it.
    pub name: String,
    /// Its tool class.
    pub class: Arc<ToolClass>,
    /// Width, mm: what is stated, else the class's widest.
    pub width: f64,
    /// Whether the width is the blade's own.
    pub width_stated: bool,
    /// Thickness, taper and lands.
    pub blade: Blade,
    /// From the edge to the blade's end, mm.
    pub length: Option<f64>,
    /// The group of its steel.
    pub steel: Option<Steel>,
    /// What it is used for, each once.
    pub uses: Vec<Use>,
    /// Stated bed angle of its plane, degrees.
    pub bed: Option<f64>,
    /// Whether its bevel looks up in the plane; `None` where nothing is stated.
    pub bevel_up: Option<bool>,
    /// Present primary bevel, degrees.
    pub current: Option<f64>,
    /// Wanted primary bevel, degrees; `None`: to be advised.
    pub primary: Option<f64>,
    /// Wanted micro-bevel, degrees; `None`: to be advised.
    pub micro: Option<f64>,
    /// Wanted camber.
    pub camber: Option<Camber>,
}

/// How much camber is wanted, as the file says it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Camber {
    /// The corners lie so far behind the middle of the edge in the plane of the back, mm.
    Depth(f64),
    /// As usual for such a plane.
    Plane(PlaneKind),
    /// As the thickest shaving needs, mm.
    Shaving(f64),
}

impl KitBlade {
    /// Name of its tool class.
    pub fn tool(&self) -> &str {
        &self.class.name
    }

    /// The seat it goes in, where a guide has two.
    pub fn seat(&self) -> SeatName {
        self.class.seat
    }

    /// Whether it belongs in a plane: its class goes in the seat for irons.
    pub fn is_plane_iron(&self) -> bool {
        self.class.seat == SeatName::Iron
    }

    /// Whether it is used for this.
    pub fn is_used_for(&self, work: Use) -> bool {
        self.uses.contains(&work)
    }

    /// Its width in a guide, mm: where none is stated, the widest of its class that the guide takes.
    pub fn width_in(&self, guide: &Guide) -> f64 {
        if self.width_stated { self.width } else { self.class.widest_in(guide, guide.seat_for(self.seat()).1) }
    }

    /// The arc that its edge is wanted to have at a width, mm; `None` for a straight edge.
    pub fn curve(&self, width: f64, advice: &Advice) -> Option<Curve> {
        let wanted = match self.camber? {
            Camber::Depth(depth) => Wanted::Depth(depth),
            Camber::Plane(plane) => Wanted::Plane(plane),
            Camber::Shaving(thickness) => Wanted::Shaving { thickness, width: None },
        };
        let bed = advice.cutting.as_ref().map_or(USUAL_BED, |c| c.bed);
        wanted::curve(wanted, width, bed).ok().filter(|curve| curve.depth > 0.0)
    }
}

impl Kit {
    /// The names of its blades, in their order.
    pub fn names(&self) -> impl Iterator<Item = &str> + Clone {
        self.blades.iter().map(|blade| blade.name.as_str())
    }

    /// The grades of its abrasives, in their order.
    pub fn grades(&self) -> Vec<Grade> {
        self.abrasives.iter().map(|a| a.grade).collect()
    }

    /// What is advised of its blades, in their order.
    pub fn advice(&self) -> Vec<Advice> {
        self.blades.iter().map(advice::advise).collect()
    }

    /// Reads a kit and the tool classes it refers to.
    ///
    /// # Errors
    /// All faults of the kit, and of the tool classes it refers to; of a great many the first hundred.
    pub fn parse(source: &str, bytes: &[u8], sources: &dyn Sources) -> Result<Self, Faults> {
        let read = profile::read::<KitFile>(source, bytes)?;
        let file = &read.value;
        let fields = Fields::of(&read, file.units);
        let mut resolver = Resolver { fields, sources, classes: HashMap::new() };
        let mut blades = Vec::with_capacity(file.blades.len());
        let mut names: HashMap<&str, usize> = HashMap::with_capacity(file.blades.len());
        for (i, blade) in file.blades.iter().enumerate() {
            let index = i.to_string();
            resolver.name(&index, blade, i, &mut names);
            blades.extend(resolver.blade(&index, blade));
            if resolver.fields.faults.0.len() >= MOST_SHOWN {
                break;
            }
        }
        let abrasives = resolver.abrasives(file);
        resolver.fields.finish()?;
        Ok(Self {
            title: file.title.clone(),
            units: file.units,
            tolerance: file.tolerance.unwrap_or(DEFAULT_TOLERANCE),
            abrasives,
            blades,
        })
    }
}

/// Reads the kit at `path`; the tool classes it refers to by path lie relative to it.
///
/// # Errors
/// Outer: why the file cannot be read, in words for the user. Inner: all faults of the kit.
pub fn load(path: &str, sources: &dyn Sources) -> Result<Result<Kit, Faults>, String> {
    let (name, bytes) = sources.load(path)?;
    let folder = Path::new(path).parent().unwrap_or(Path::new(""));
    Ok(Kit::parse(&name, &bytes, &Beside { folder, sources }))
}

struct Resolver<'a> {
    fields: Fields<'a, KitFile>,
    sources: &'a dyn Sources,
    /// The tool classes by the words that refer to them; `None` for one that has faults.
    classes: HashMap<&'a str, Option<Arc<ToolClass>>>,
}

impl<'a> Resolver<'a> {
    fn fault(&mut self, index: &str, field: &str, found: impl Into<String>, allowed: &str) {
        self.fields.fault(&["blades", index, field], found, allowed);
    }

    fn name(&mut self, index: &str, file: &'a KitBladeFile, i: usize, names: &mut HashMap<&'a str, usize>) {
        let name = file.name.trim();
        if name.is_empty() {
            self.fault(index, "name", "a name of blanks", "a name that can be read");
        } else if let Some(first) = names.insert(name, i) {
            let found = format!("\"{name}\" a second time, after blades[{first}]");
            self.fault(index, "name", found, "a name of its own for each blade");
        }
    }

    /// The abrasives.
    fn abrasives(&mut self, file: &KitFile) -> Vec<Abrasive> {
        let mut all = Vec::new();
        for (i, text) in file.grits.iter().flatten().enumerate() {
            match text.parse::<Abrasive>() {
                Ok(abrasive) => all.push(abrasive),
                Err(e) => self.fields.add(&["grits", &i.to_string()], |field| e.fault(field)),
            }
        }
        all
    }

    /// A blade; `None` where its class has faults.
    fn blade(&mut self, index: &str, file: &'a KitBladeFile) -> Option<KitBlade> {
        let class = match self.classes.get(file.tool.as_str()) {
            Some(class) => class.clone(),
            None => {
                let class = self.fields.tool(&["blades", index, "tool"], &file.tool, self.sources).map(Arc::new);
                self.classes.insert(&file.tool, class.clone());
                class
            }
        }?;
        let at = ["blades", index];
        let forms = SizeForms {
            thickness: file.thickness.as_ref(),
            taper: file.taper.as_ref(),
            land: file.land.as_ref(),
            land_taper: file.land_taper.as_ref(),
        };
        let blade = self.fields.blade(at, &forms, &class);
        self.fields.land_on_blade(at, blade.land.filter(|_| file.land.is_some()), blade.thickness);
        let width = self.fields.mm(&["blades", index, "width"], file.width.as_ref());
        let length = self.fields.mm(&["blades", index, "length"], file.length.as_ref());
        let uses = file.uses.clone().unwrap_or_default();
        if let Some(twice) = uses.iter().enumerate().find(|(i, work)| uses[..*i].contains(work)) {
            self.fault(index, "use", format!("{} a second time", twice.1.name()), "each use once");
        }
        if class.seat == SeatName::Chisel {
            self.no_plane(index, file);
        }
        if let (Some(primary), Some(micro)) = (file.primary, file.micro)
            && micro < primary
        {
            let found = format!("a micro-bevel of {}° on a primary of {}°", short(micro, 4), short(primary, 4));
            self.fault(index, "micro", found, "the primary bevel or more: below it, it would not touch the stone");
        }
        Some(KitBlade {
            name: file.name.trim().to_string(),
            width: width.unwrap_or(class.width[1]),
            width_stated: width.is_some(),
            class,
            blade,
            length,
            steel: file.steel,
            uses,
            bed: file.bed,
            bevel_up: file.bevel.map(|side| side == BevelSide::Up),
            current: file.current,
            primary: file.primary,
            micro: file.micro,
            camber: file.camber.as_ref().and_then(|camber| self.camber(index, camber)),
        })
    }

    /// What only a plane has cannot be stated of a chisel.
    fn no_plane(&mut self, index: &str, file: &KitBladeFile) {
        let of_plane = [
            ("bed", file.bed.is_some(), "a bed angle of a chisel"),
            ("bevel", file.bevel.is_some(), "a bevel up or down of a chisel"),
        ];
        for (field, stated, found) in of_plane {
            if stated {
                self.fault(index, field, found, "only with an iron, which lies on a plane's bed");
            }
        }
        if file.camber.as_ref().is_some_and(|c| c.plane.is_some() || c.shaving.is_some()) {
            let found = "a camber by plane or shaving of a chisel";
            self.fault(index, "camber", found, "for a chisel, its depth");
        }
    }

    fn camber(&mut self, index: &str, file: &CamberFile) -> Option<Camber> {
        let mm = |fields: &mut Fields<'_, KitFile>, name, form: &Option<_>| {
            fields.mm(&["blades", index, "camber", name], form.as_ref())
        };
        let depth = mm(&mut self.fields, "depth", &file.depth).map(Camber::Depth);
        let shaving = mm(&mut self.fields, "shaving", &file.shaving).map(Camber::Shaving);
        let stated: Vec<Camber> = [depth, file.plane.map(Camber::Plane), shaving].into_iter().flatten().collect();
        if stated.len() != 1 && !self.fields.read.spoiled(&["blades", index, "camber"]) {
            let found = if stated.is_empty() { "none of depth, plane and shaving" } else { "more than one of them" };
            self.fault(index, "camber", found, "one of \"depth\", \"plane\" and \"shaving\"");
        }
        stated.first().copied()
    }
}
