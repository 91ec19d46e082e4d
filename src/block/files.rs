//! A printed block, the cleat beside it, and their files.

use super::check::{self, Mismeasured, Reading};
use super::cleat::{self, Cleat};
use super::sheets;
use super::sheets::picture::{self, Picture};
use super::{Layout, print, slabs};
use crate::cores;
use crate::drawing::axonometric::Direction;
use crate::format::pdf::{self, About};
use crate::format::png::{self, Frame};
use crate::format::{Artifact, ArtifactKind, NotWritten, Wanted, step, stl, svg, threemf};
use crate::job::Job;
use crate::lane::checks::{Finding, Rule};
use crate::layout::Refused;
use crate::shape::stack::Stack;
use crate::solid::levels::{Level, levels_of};
use crate::solid::mesh::Mesh;
use crate::solid::{self, NotSound, shell};
use crate::stages::{Stages, beside};
use crate::units::{EXACT, short};
use crate::views::assembly::TooLarge;

/// Longer side of the picture as PNG, pixels.
const PIXELS: f64 = 1600.0;

/// A printed block.
#[derive(Debug, Clone)]
pub struct Printed {
    /// What its files are called, without the ending.
    pub name: String,
    /// The plan.
    pub layout: Layout,
    /// Its slabs; the mesh went into its files.
    pub stack: Stack,
    /// The cleat to screw under it, where one is asked for and goes.
    pub cleat: Option<Cleat>,
    /// The fence distances measured in the written STL.
    pub readings: Vec<Reading>,
}

/// Why no block was made.
#[derive(Debug, thiserror::Error)]
pub enum NotMade {
    /// It cannot be made as asked.
    #[error(transparent)]
    Refused(#[from] Refused),
    /// The solid failed its checks.
    #[error(transparent)]
    NotSound(#[from] NotSound),
    /// The written STL failed its measurement.
    #[error(transparent)]
    Mismeasured(#[from] Mismeasured),
    /// No sheet takes the drawing.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
    /// An emitter failed.
    #[error(transparent)]
    NotWritten(#[from] NotWritten),
}

/// Makes a block and the files that are wanted of it.
///
/// # Errors
/// [`NotMade`].
pub fn make(
    job: &Job,
    mut layout: Layout,
    wanted: Wanted,
    stages: &dyn Stages,
) -> Result<(Printed, Vec<Artifact>), NotMade> {
    let suffix = layout.number.map_or(String::new(), |[i, _]| format!("-{i}"));
    let stack = slabs::stack_of(&layout);
    let cleat = match job.block.cleat.then(|| cleat::cleat_of(&layout)) {
        None => None,
        Some(Ok(cleat)) => Some(cleat),
        Some(Err(why)) => {
            layout.findings.push(Finding::warning(Rule::Block, why));
            None
        }
    };
    layout.findings.extend(print::findings(job, &layout, &stack));
    let planned =
        Planned { name: format!("block{suffix}"), cleat_name: format!("cleat{suffix}"), layout, stack, cleat };
    // What is for other programs and what is for the eye has nothing in common but the plan.
    let (modelled, views) =
        beside(stages, || planned.modelled(job, wanted, stages), || planned.views(job, wanted, &suffix, stages));
    let Modelled { readings, mut files } = modelled?;
    files.extend(views?);
    let Planned { name, layout, stack, cleat, .. } = planned;
    Ok((Printed { name, layout, stack, cleat, readings }, files))
}

fn artifact(name: &str, ending: &str, what: &'static str, bytes: Vec<u8>) -> Artifact {
    Artifact { name: format!("{name}.{ending}"), what: what.into(), bytes }
}

/// A file that no page shows: it need not wait for the others.
fn early(stages: &dyn Stages, mut file: Artifact) -> Artifact {
    stages.file(&mut file);
    file
}

/// The picture of a solid from any side, as SVG and as PNG.
///
/// # Errors
/// [`NotWritten`].
pub fn picture(stack: &Stack, title: &str, from: Direction) -> Result<[Vec<u8>; 2], NotWritten> {
    written(&picture::picture(stack, title, from))
}

/// A picture as SVG and as PNG.
fn written(picture: &Picture) -> Result<[Vec<u8>; 2], NotWritten> {
    let frame = Frame { area: picture.area, per_mm: PIXELS / picture.area.width().max(picture.area.height()) };
    let (svg, png) = cores::both(
        || svg::write_part(&picture.sheet, picture.area),
        || png::write(&picture.sheet, &frame).map_err(NotWritten::of("picture.png")),
    );
    Ok([svg, png?])
}

/// A block and its cleat before they are solid.
struct Planned {
    name: String,
    cleat_name: String,
    layout: Layout,
    stack: Stack,
    cleat: Option<Cleat>,
}

/// A part to print.
struct Part<'a> {
    /// What its files are called, without the ending.
    name: &'a str,
    what: &'static str,
    stack: &'a Stack,
    levels: Vec<Level>,
}

impl<'a> Part<'a> {
    fn new(name: &'a str, what: &'static str, stack: &'a Stack) -> Self {
        Self { name, what, stack, levels: levels_of(stack) }
    }

    fn mesh(&self) -> Result<Mesh, NotSound> {
        solid::mesh_on(self.stack, &self.levels)
    }
}

/// What other programs are given.
struct Modelled {
    readings: Vec<Reading>,
    files: Vec<Artifact>,
}

impl Planned {
    /// The solids and the files for other programs.
    fn modelled(&self, job: &Job, wanted: Wanted, stages: &dyn Stages) -> Result<Modelled, NotMade> {
        let block = Part::new(&self.name, "the block, to print (mm)", &self.stack);
        let cleat = self.cleat.as_ref();
        let cleat = cleat.map(|cleat| Part::new(&self.cleat_name, "the cleat to screw under it", &cleat.stack));
        let (meshed, steps) = beside(
            stages,
            || self.meshed(job, &block, cleat.as_ref(), wanted, stages),
            || match wanted.has(ArtifactKind::Step) {
                true => self.steps(std::iter::once(&block).chain(&cleat), stages),
                false => Ok(Vec::new()),
            },
        );
        let mut modelled = meshed?;
        modelled.files.extend(steps?);
        Ok(modelled)
    }

    /// The meshes and their files; what the file of the block has was measured.
    fn meshed(
        &self,
        job: &Job,
        block: &Part<'_>,
        cleat: Option<&Part<'_>>,
        wanted: Wanted,
        stages: &dyn Stages,
    ) -> Result<Modelled, NotMade> {
        let factors = job.print.factors(self.layout.turned);
        let scaled = block.mesh()?.scaled(factors);
        let scaled_cleat = cleat.map(Part::mesh).transpose()?.map(|mesh| mesh.scaled(factors));
        stages.end("solid");
        let title = self.layout.with_fingerprint();
        let as_stl = |mesh: &Mesh| stl::write(mesh, &title).map_err(NotWritten::of("block.stl"));
        let stl = as_stl(&scaled)?;
        stages.end("stl");
        let readings = check::measure(&stl, &self.layout, factors)?;
        stages.end("gauge");
        let mut files = Vec::new();
        let cleat = cleat.zip(scaled_cleat.as_ref());
        if wanted.has(ArtifactKind::Stl) {
            files.push(early(stages, artifact(block.name, "stl", block.what, stl)));
            if let Some((part, mesh)) = cleat {
                files.push(early(stages, artifact(part.name, "stl", part.what, as_stl(mesh)?)));
            }
            stages.end("stl");
        }
        if wanted.has(ArtifactKind::ThreeMf) {
            let (title, description) = (self.layout.titled(), self.description());
            let about = threemf::About { title: &title, description: &description };
            for (part, mesh) in std::iter::once((block, &scaled)).chain(cleat) {
                let whole = threemf::Part { name: part.name, mesh, place: [0.0; 3] };
                let bytes = threemf::write(&[whole], &about).map_err(NotWritten::of("block.3mf"))?;
                files.push(early(stages, artifact(part.name, "3mf", "the same with names and numbers", bytes)));
            }
            stages.end("3mf");
        }
        Ok(Modelled { readings, files })
    }

    /// The parts for CAD.
    fn steps<'a>(
        &self,
        parts: impl Iterator<Item = &'a Part<'a>>,
        stages: &dyn Stages,
    ) -> Result<Vec<Artifact>, NotMade> {
        let title = self.layout.with_fingerprint();
        let mut files = Vec::new();
        for part in parts {
            let shell = shell::build_on(part.stack, &part.levels)?;
            let whole = step::Part { name: part.name, shell: &shell, place: [0.0; 3] };
            let bytes = step::write(&[whole], &title).map_err(NotWritten::of("block.step"))?;
            let file = artifact(part.name, "step", "the same for CAD, without the print's scale", bytes);
            files.push(early(stages, file));
        }
        stages.end("step");
        Ok(files)
    }

    /// The files for the eye.
    fn views(&self, job: &Job, wanted: Wanted, suffix: &str, stages: &dyn Stages) -> Result<Vec<Artifact>, NotMade> {
        let title = self.layout.titled();
        let mut files = Vec::new();
        if !wanted.has(ArtifactKind::Drawing) && !wanted.has(ArtifactKind::Picture) {
            return Ok(files);
        }
        let below = self.cleat.iter().flat_map(|cleat| picture::cleat_bodies(&self.layout, cleat));
        let below: Vec<_> = below.collect();
        let picture = picture::picture_with(&self.stack, &below, &title, picture::USUAL);
        stages.end("picture");
        let (pictured, drawn) = beside(
            stages,
            || {
                let files = wanted.has(ArtifactKind::Picture).then(|| written(&picture));
                stages.end("picture files");
                files
            },
            || wanted.has(ArtifactKind::Drawing).then(|| self.drawn(job, &picture, stages)),
        );
        files.extend(drawn.transpose()?.into_iter().flatten());
        if let Some([svg, png]) = pictured.transpose()? {
            let name = format!("picture{suffix}");
            files.push(artifact(&name, "svg", "how it looks", svg));
            files.push(early(stages, artifact(&name, "png", "the same as pixels", png)));
        }
        Ok(files)
    }

    /// The files of the drawing: each of its sheets, and all sheets of the block as one document.
    fn drawn(&self, job: &Job, picture: &Picture, stages: &dyn Stages) -> Result<Vec<Artifact>, NotMade> {
        let cleat = self.cleat.as_ref().map(|cleat| (self.cleat_name.as_str(), cleat));
        let set = sheets::all(job, &self.layout, (&self.name, &self.stack), cleat, picture)?;
        stages.end("drawing");
        let of_drawing = set.of_drawing().iter().enumerate();
        let mut files: Vec<Artifact> = of_drawing
            .map(|(i, sheet)| {
                let (name, what) = match i {
                    0 => (self.name.clone(), "its drawing"),
                    _ => (format!("{}-sheet-{}", self.name, i + 1), "its drawing, continued"),
                };
                artifact(&name, "svg", what, svg::write(sheet))
            })
            .collect();
        let title = self.layout.titled();
        let about = About { title: &title, subject: "A setting block to print" };
        let bytes = pdf::write(&set.sheets, &about).map_err(NotWritten::of("block.pdf"))?;
        stages.end("pdf");
        files.push(early(stages, artifact(&self.name, "pdf", "the drawing, and how to print it", bytes)));
        Ok(files)
    }

    /// Guide and lanes in words, for files that can hold them.
    fn description(&self) -> String {
        let written = self.layout.written;
        let lane = |p: &crate::layout::Placed| {
            let moved = match p.lane.correction.making {
                0.0 => String::new(),
                _ => format!(" when finished, {} in this file", written.fixed(p.lane.fence(), EXACT).said()),
            };
            format!(
                "{} ({} edge): fence {}{moved}, projection {}",
                p.label(),
                p.edge.name(),
                written.fixed(p.lane.finished(), EXACT).said(),
                written.fixed(p.lane.projection(), EXACT).said()
            )
        };
        let lanes: Vec<String> = self.layout.lanes.iter().map(lane).collect();
        format!(
            "Setting block for the guide {}, fingerprint {}, within {}° of each angle. {}.",
            self.layout.guide,
            self.layout.fingerprint,
            short(self.layout.tolerance, 3),
            lanes.join("; ")
        )
    }
}
