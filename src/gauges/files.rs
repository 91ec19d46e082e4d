//! The gauges' files: a plate's STL, the sheets, and the cuts for machines, each measured as it was written.

use foldhash::HashMap;

use super::check::{self, Reading};
use super::light::Making;
use super::section::{CutSection, Layers};
use super::sheets::{self, cuts};
use super::{Plate, Refused, Wanted};
use crate::cores;
use crate::drawing::Sheet;
use crate::format::pdf::{self, About};
use crate::format::{Artifact, NotWritten, dxf, stl, svg};
use crate::solid::{self, NotSound, Solid};
use crate::stages::Stages;

/// The gauges and their files.
#[derive(Debug, Clone)]
pub struct Gauges {
    /// The plates.
    pub plates: Vec<Plate>,
    /// Their solids, in the same order.
    pub blocks: Vec<Solid>,
    /// What was measured in the written files.
    pub readings: Vec<Reading>,
    /// The files.
    pub artifacts: Vec<Artifact>,
}

/// Why no gauges were made.
#[derive(Debug, thiserror::Error)]
pub enum NotMade {
    /// They cannot be made as asked.
    #[error(transparent)]
    Refused(#[from] Refused),
    /// A solid failed its checks.
    #[error(transparent)]
    NotSound(#[from] NotSound),
    /// A written file failed its measurement.
    #[error(transparent)]
    Mismeasured(#[from] check::Mismeasured),
    /// A plate is on no sheet: a fault of the program.
    #[error("a gauge's drawing: {0} is on no sheet")]
    NotDrawn(String),
    /// An emitter failed.
    #[error(transparent)]
    NotWritten(#[from] NotWritten),
}

/// Makes all gauges that are wanted: an STL a plate where they are printed, sheets as SVG and one PDF, one DXF.
///
/// # Errors
/// [`NotMade`]; then nothing is to be written at all.
pub fn gauges(wanted: &Wanted, stages: &dyn Stages) -> Result<Gauges, NotMade> {
    let plates = super::plan(wanted)?;
    stages.end("plan");
    let factors = wanted.print.factors(false);
    let mut blocks = Vec::new();
    let mut readings = Vec::new();
    let mut artifacts = Vec::new();
    for (plate, printed) in plates.iter().zip(cores::each(&plates, 1, |plate| printed(plate, factors))) {
        let (block, stl, measured) = printed?;
        if wanted.making == Making::Printed {
            readings.extend(measured);
            artifacts.push(Artifact {
                name: format!("{}.stl", plate.name),
                what: "a gauge, to print (mm)".into(),
                bytes: stl,
            });
        }
        blocks.push(block);
    }
    stages.end("solids");
    let sheets = sheets::sheets(wanted, &plates);
    stages.end("sheets");
    let title = format!("Gauges: {}", wanted.title);
    let about = About { title: &title, subject: "Gauges for the bevel and the edge of blades, at full size" };
    let pages: Vec<_> = sheets.iter().map(|(_, sheet)| sheet.clone()).collect();
    let pdf = pdf::write(&pages, &about).map_err(NotWritten::of("gauges.pdf"))?;
    let count = sheets.len();
    let numbered: Vec<(usize, &(String, Sheet))> = sheets.iter().enumerate().collect();
    let drawings: Vec<Artifact> = cores::each(&numbered, 1, |(i, (name, sheet))| Artifact {
        name: format!("{name}.svg"),
        what: format!("page {} of {count}, at full size", i + 1).into(),
        bytes: svg::write(sheet),
    });
    let cuts = dxf::write(&cuts::layers(&plates));
    stages.end("drawings");
    // Where each plate's outline is to be found; what is there is read from the file.
    let on: HashMap<&str, usize> =
        numbered.iter().flat_map(|(i, (_, sheet))| sheet.groups.iter().map(|group| (group.id.as_str(), *i))).collect();
    let layers = Layers::of_dxf(&cuts);
    let placed: Vec<_> = plates.iter().zip(cuts::origins(&plates)).collect();
    let measured = cores::each(&placed, 1, |(plate, origin)| -> Result<[Vec<Reading>; 2], NotMade> {
        let cut = layers.section(cuts::cut_layer(plate).as_str(), *origin);
        let group = sheets::outline_id(plate);
        let drawing = on.get(group.as_str()).map(|i| &drawings[*i]);
        let drawn = drawing.map(|drawing| (drawing, CutSection::of_svg(&drawing.bytes, &group)));
        match drawn.filter(|(_, section)| *section != CutSection::default()) {
            Some((drawing, section)) => {
                Ok([check::section(&cut, plate, "gauges.dxf")?, check::section(&section, plate, &drawing.name)?])
            }
            None => Err(NotMade::NotDrawn(plate.name.clone())),
        }
    });
    for both in measured {
        readings.extend(both?.into_iter().flatten());
    }
    stages.end("gauge");
    artifacts.push(Artifact {
        name: "gauges.pdf".into(),
        what: "the gauges at full size, and how to use them".into(),
        bytes: pdf,
    });
    artifacts.extend(drawings);
    artifacts.push(Artifact {
        name: "gauges.dxf".into(),
        what: "the gauges, for machines that cut (mm)".into(),
        bytes: cuts,
    });
    Ok(Gauges { plates, blocks, readings, artifacts })
}

/// The solid of a plate, its STL and what is measured in that.
fn printed(plate: &Plate, factors: [f64; 3]) -> Result<(Solid, Vec<u8>, Vec<Reading>), NotMade> {
    let block = solid::build(plate.stack())?;
    let stl = stl::write(&block.mesh.scaled(factors), &plate.name).map_err(NotWritten::of("a gauge's STL"))?;
    let measured = check::stl(&stl, plate, factors)?;
    Ok((block, stl, measured))
}
