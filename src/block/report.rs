//! What is told of a block that was written: its size, and all of it for machines.

use serde_json::{Value, json};

use super::files::Printed;
use crate::job::Job;
use crate::lane::checks::Finding;
use crate::lane::notes::grouped;
use crate::shape::polygon;
use crate::units::{COARSE, fixed};

/// How large and how heavy a block is.
pub fn size(job: &Job, printed: &Printed) -> String {
    let (layout, stack) = (&printed.layout, &printed.stack);
    let volume = stack.volume();
    format!(
        "{}, {}, {} g of solid {}",
        job.written.sides([layout.length, layout.depth, stack.height()], COARSE),
        job.written.volume(volume),
        fixed(job.print.mass(volume), 0),
        job.print.filament.name(),
    )
}

/// A written block for machines, lengths in mm.
pub fn json(job: &Job, printed: &Printed) -> Value {
    let (layout, stack) = (&printed.layout, &printed.stack);
    let volume = stack.volume();
    json!({
        "name": printed.name,
        "block": {
            "length": layout.length, "depth": layout.depth, "height": stack.height(),
            "thickness": layout.thickness, "fence_height": layout.fence_height, "middle": layout.middle,
            "volume": volume, "mass": job.print.mass(volume), "turned": layout.turned,
            "roller_below_table": layout.roller_below_table, "overhang": layout.overhang,
            "screw_holes": layout.screw_holes.iter().map(|hole| <(f64, f64)>::from(*hole)).collect::<Vec<_>>(),
            "seam_notches": layout.seam_notches,
            "slabs": stack.slabs.iter().map(|s| json!({
                "bottom": f64::from(s.z[0]) / 1000.0, "top": f64::from(s.z[1]) / 1000.0,
                "area": polygon::area(&s.region),
            })).collect::<Vec<_>>(),
        },
        "file_scale": job.print.factors(layout.turned),
        "places": layout.lanes.iter().map(|p| json!({
            "id": p.lane.request.id, "edge": p.edge, "x": p.x, "centre": p.centre, "blade_width": p.blade_width,
        })).collect::<Vec<_>>(),
        "labels": layout.lettering.labels.iter().map(|l| json!({
            "lane": l.lane,
            "extent": [[l.extent.x0, l.extent.y0], [l.extent.x1, l.extent.y1]],
            "frame": l.frame.map(|frame| json!({ "width": frame.width, "radius": frame.radius })),
            "lines": l.lines.iter().map(|line| json!({
                "words": line.words, "height": line.height, "at": <(f64, f64)>::from(line.at), "turned": line.turned,
            })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "readings": printed.readings.iter().map(|r| json!({
            "id": r.id, "wanted": r.wanted, "measured": r.measured, "difference": r.difference(),
        })).collect::<Vec<_>>(),
        "hold_down": layout.hold_down(printed.cleat.is_some()),
        "warnings": layout.findings.iter().map(|f| f.message.clone()).collect::<Vec<_>>(),
    })
}

/// How blocks are held down and what was found of them: each thing once, with its blocks where it is not of all.
pub fn notes(blocks: &[Printed]) -> String {
    let of = |(i, block): (usize, &Printed)| -> Vec<(String, usize)> {
        let findings = block.layout.findings.iter().map(Finding::said);
        std::iter::once(block.layout.hold_down(block.cleat.is_some())).chain(findings).map(|line| (line, i)).collect()
    };
    let line = |(line, of): (String, Vec<usize>)| {
        let whose =
            if of.len() == blocks.len() { String::new() } else { format!("{}: ", runs(|i| &blocks[i].name, &of)) };
        format!("{whose}{line}\n")
    };
    grouped(blocks.iter().enumerate().flat_map(of)).into_iter().map(line).collect()
}

/// The names of blocks by their places in the row, three and more neighbours by the first and the last of them.
fn runs<'a>(name: impl Fn(usize) -> &'a str, of: &[usize]) -> String {
    let run = |run: &[usize]| match run {
        [first, _, .., last] => format!("{} to {}", name(*first), name(*last)),
        run => run.iter().map(|i| name(*i)).collect::<Vec<_>>().join(", "),
    };
    of.chunk_by(|a, b| a + 1 == *b).map(run).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbouring_blocks_are_told_by_the_first_and_the_last() {
        let names = ["a", "b", "c", "d", "e", "f", "g", "h"];
        let told = |of: &[usize]| runs(|i| names[i], of);
        assert_eq!(told(&[2]), "c");
        assert_eq!(told(&[2, 3]), "c, d");
        assert_eq!(told(&[0, 1, 2, 4, 6, 7]), "a to c, e, g, h");
        assert_eq!(told(&[0, 2, 3, 4, 5]), "a, c to f");
    }
}
