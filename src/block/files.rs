//! A printed block, the cleat beside it, and their files.

use super::check::{self, Mismeasured, Reading};
use super::cleat::{self, Cleat};
use super::sheets;
use super::sheets::picture::{self, Picture};
use super::{Layout, print, slabs};
use crate::drawing::axonometric::Direction;
use crate::format::pdf::{self, About};
use crate::format::png::{self, Frame};
use crate::format::{Artifact, ArtifactKind, NotWritten, Wanted, step, stl, svg, threemf};
use crate::job::Job;
use crate::lane::checks::{Finding, Rule};
use crate::layout::Refused;
use crate::shape::stack::Stack;
use crate::solid::mesh::Mesh;
use crate::solid::{self, NotSound, Solid, shell};
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
    /// The solid.
    pub block: Solid,
    /// The cleat to screw under it, where one is asked for and goes.
    pub cleat: Option<(Cleat, Solid)>,
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
    let name = format!("block{suffix}");
    let block = slabs::build(&layout)?;
    let cleat = match job.block.cleat.then(|| cleat::cleat_of(&layout)) {
        None => None,
        Some(Ok(cleat)) => {
            let solid = solid::build(cleat.stack.clone())?;
            Some((cleat, solid))
        }
        Some(Err(why)) => {
            layout.findings.push(Finding::warning(Rule::Block, why));
            None
        }
    };
    layout.findings.extend(print::findings(job, &layout, &block.stack));
    stages.end("solid");
    let factors = job.print.factors(layout.turned);
    let title = layout.with_fingerprint();
    let as_stl = |mesh: &Mesh| stl::write(&mesh.scaled(factors), &title).map_err(NotWritten::of("block.stl"));
    let stl = as_stl(&block.mesh)?;
    stages.end("stl");
    let readings = check::measure(&stl, &layout, factors)?;
    stages.end("gauge");

    let printed = Printed { name, layout, block, cleat, readings };
    let parts = printed.parts(&suffix);
    let mut files = Vec::new();
    if wanted.has(ArtifactKind::Stl) {
        files.push(artifact(&printed.name, "stl", "the block, to print (mm)", stl));
        for (part, what, solid) in &parts[1..] {
            files.push(artifact(part, "stl", what, as_stl(&solid.mesh)?));
        }
        stages.end("stl");
    }
    let (models, views) = beside(
        stages,
        || printed.models(&parts, wanted, factors, stages),
        || printed.views(job, &parts, wanted, &suffix, stages),
    );
    files.extend(models?);
    files.extend(views?);
    Ok((printed, files))
}

fn artifact(name: &str, ending: &str, what: &'static str, bytes: Vec<u8>) -> Artifact {
    Artifact { name: format!("{name}.{ending}"), what: what.into(), bytes }
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
    let png = png::write(&picture.sheet, &frame).map_err(NotWritten::of("picture.png"))?;
    Ok([svg::write_part(&picture.sheet, picture.area), png])
}

impl Printed {
    /// The files for other programs.
    fn models(
        &self,
        parts: &[(String, &'static str, &Solid)],
        wanted: Wanted,
        factors: [f64; 3],
        stages: &dyn Stages,
    ) -> Result<Vec<Artifact>, NotMade> {
        let title = self.layout.titled();
        let mut files = Vec::new();
        if wanted.has(ArtifactKind::ThreeMf) {
            let description = self.description();
            for (part, _, solid) in parts {
                let mesh = solid.mesh.scaled(factors);
                let part = threemf::Part { name: part, mesh: &mesh, place: [0.0; 3] };
                let about = threemf::About { title: &title, description: &description };
                let bytes = threemf::write(&[part], &about).map_err(NotWritten::of("block.3mf"))?;
                files.push(artifact(part.name, "3mf", "the same with names and numbers", bytes));
            }
            stages.end("3mf");
        }
        if wanted.has(ArtifactKind::Step) {
            for (part, _, solid) in parts {
                let shell = shell::build(&solid.stack)?;
                let whole = step::Part { name: part, shell: &shell, place: [0.0; 3] };
                let bytes =
                    step::write(&[whole], &self.layout.with_fingerprint()).map_err(NotWritten::of("block.step"))?;
                files.push(artifact(part, "step", "the same for CAD, without the print's scale", bytes));
            }
            stages.end("step");
        }
        Ok(files)
    }

    /// The files for the eye.
    fn views(
        &self,
        job: &Job,
        parts: &[(String, &'static str, &Solid)],
        wanted: Wanted,
        suffix: &str,
        stages: &dyn Stages,
    ) -> Result<Vec<Artifact>, NotMade> {
        let title = self.layout.titled();
        let mut files = Vec::new();
        if !wanted.has(ArtifactKind::Drawing) && !wanted.has(ArtifactKind::Picture) {
            return Ok(files);
        }
        let below = self.cleat.iter().flat_map(|(cleat, _)| picture::cleat_bodies(&self.layout, cleat));
        let below: Vec<_> = below.collect();
        let picture = picture::picture_with(&self.block.stack, &below, &title, picture::USUAL);
        stages.end("picture");
        let (pictured, drawn) = beside(
            stages,
            || {
                let files = wanted.has(ArtifactKind::Picture).then(|| written(&picture));
                stages.end("picture files");
                files
            },
            || wanted.has(ArtifactKind::Drawing).then(|| self.drawn(job, parts, &picture, stages)),
        );
        files.extend(drawn.transpose()?.into_iter().flatten());
        if let Some([svg, png]) = pictured.transpose()? {
            let name = format!("picture{suffix}");
            files.push(artifact(&name, "svg", "how it looks", svg));
            files.push(artifact(&name, "png", "the same as pixels", png));
        }
        Ok(files)
    }

    /// What is printed: name of its files, what it is, its solid; the block first.
    fn parts(&self, suffix: &str) -> Vec<(String, &'static str, &Solid)> {
        let mut parts = vec![(self.name.clone(), "the block, to print (mm)", &self.block)];
        let cleat = self.cleat.iter();
        parts.extend(cleat.map(|(_, solid)| (format!("cleat{suffix}"), "the cleat to screw under it", solid)));
        parts
    }

    /// The files of the drawing: each of its sheets, and all sheets of the block as one document.
    fn drawn(
        &self,
        job: &Job,
        parts: &[(String, &'static str, &Solid)],
        picture: &Picture,
        stages: &dyn Stages,
    ) -> Result<Vec<Artifact>, NotMade> {
        let cleat = self.cleat.as_ref().zip(parts.get(1)).map(|((cleat, _), (name, ..))| (name.as_str(), cleat));
        let set = sheets::all(job, &self.layout, (&self.name, &self.block.stack), cleat, picture)?;
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
        files.push(artifact(&self.name, "pdf", "the drawing, and how to print it", bytes));
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
