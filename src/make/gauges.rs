//! The gauges' files: a plate's STL, the sheets, and the cuts for machines, each measured as it was written.

use std::time::Duration;

use super::{Artifact, Clock, NotMade};
use crate::drawing::gauge_sheet;
use crate::emit;
use crate::emit::pdf::About;
use crate::gauges::measure::{self, Reading};
use crate::gauges::section::Section;
use crate::gauges::{self, Plate, Wanted, dxf};
use crate::print;
use crate::solid::{self, Block};

/// The gauges and their files.
#[derive(Debug, Clone)]
pub struct Gauges {
    /// The plates.
    pub plates: Vec<Plate>,
    /// Their solids, in the same order.
    pub blocks: Vec<Block>,
    /// What was measured in the written files.
    pub readings: Vec<Reading>,
    /// The files.
    pub artifacts: Vec<Artifact>,
    /// How long each stage took.
    pub timings: Vec<(&'static str, Duration)>,
}

/// Makes all gauges that are wanted: an STL a plate, sheets as SVG and one PDF, one DXF.
///
/// # Errors
/// [`NotMade`]; then nothing is to be written at all.
pub fn gauges(wanted: &Wanted) -> Result<Gauges, NotMade> {
    let mut clock = Clock::start();
    let plates = gauges::plan(wanted)?;
    clock.lap("plan");
    let factors = print::factors(&wanted.print, false);
    let mut blocks = Vec::new();
    let mut readings = Vec::new();
    let mut artifacts = Vec::new();
    for plate in &plates {
        let block = solid::of_stack(plate.stack())?;
        let stl = emit::stl::write(&block.mesh.scaled(factors), &plate.name)
            .map_err(|e| NotMade::NotWritten { what: "a gauge's STL", cause: e.to_string() })?;
        readings.extend(measure::stl(&stl, plate, factors)?);
        artifacts.push(Artifact { name: format!("{}.stl", plate.name), what: "a gauge, to print (mm)", bytes: stl });
        blocks.push(block);
    }
    clock.lap("solids");
    let sheets = gauge_sheet::sheets(wanted, &plates);
    clock.lap("sheets");
    let title = format!("Gauges: {}", wanted.title);
    let about = About { title: &title, subject: "Gauges for the bevel and the edge of blades, at full size" };
    let pages: Vec<_> = sheets.iter().map(|(_, sheet)| sheet.clone()).collect();
    let pdf = emit::pdf::write(&pages, &about)
        .map_err(|e| NotMade::NotWritten { what: "gauges.pdf", cause: e.to_string() })?;
    let drawings = sheets.into_iter().map(|(name, sheet)| Artifact {
        name: format!("{name}.svg"),
        what: "a page of the gauges, at full size",
        bytes: emit::svg::write(&sheet),
    });
    let drawings: Vec<Artifact> = drawings.collect();
    let cuts = emit::dxf::write(&dxf::layers(&plates));
    clock.lap("drawings");
    for (plate, origin) in plates.iter().zip(dxf::origins(&plates)) {
        let cut = Section::of_dxf(&cuts, dxf::cut_layer(plate).as_str(), origin);
        readings.extend(measure::section(&cut, plate, "gauges.dxf")?);
        let group = gauge_sheet::outline_id(plate);
        let on = drawings.iter().find(|d| Section::of_svg(&d.bytes, &group) != Section::default());
        if let Some(drawing) = on {
            readings.extend(measure::section(&Section::of_svg(&drawing.bytes, &group), plate, &drawing.name)?);
        } else {
            return Err(NotMade::NotWritten {
                what: "a gauge's drawing",
                cause: format!("{} is on no sheet", plate.name),
            });
        }
    }
    clock.lap("gauge");
    artifacts.push(Artifact {
        name: "gauges.pdf".into(),
        what: "the gauges at full size, and how to use them",
        bytes: pdf,
    });
    artifacts.extend(drawings);
    artifacts.push(Artifact { name: "gauges.dxf".into(), what: "the gauges, for machines that cut (mm)", bytes: cuts });
    Ok(Gauges { plates, blocks, readings, artifacts, timings: clock.timings })
}
