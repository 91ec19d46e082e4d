//! What was made, read by others: meshes by `stl_io`, fences by rays of our own through what it read, numbers out of the
//! drawings' text, and sheets for what clashes, those for the plate and of the wooden jig too.

use std::io::Cursor;

use stl_io::IndexedMesh;
use stopwright::block::files::Printed;
use stopwright::block::sheets::{self, picture};
use stopwright::drawing::{Sheet, clash};
use stopwright::error::chain;
use stopwright::jig::{self, board};
use stopwright::job::Job;
use stopwright::make::Made;
use stopwright::plate;
use stopwright::terms::Edge;
use stopwright::units::fixed;

/// A fence may be so far from its number in a file, mm: an STL has numbers of 32 bits.
const ALLOWED: f64 = 0.002;

/// Nothing, or the first fault; `jig` looks at the sheets of the wooden jig too.
pub fn faults(job: &Job, made: &Made, jig: bool) -> Result<(), String> {
    let placed: usize = made.blocks.iter().map(|block| block.layout.lanes.len()).sum();
    if placed != made.offsets.lanes.len() || placed != made.lanes.lanes.len() {
        return Err(format!("{placed} lanes on the blocks, {} in the table", made.offsets.lanes.len()));
    }
    for artifact in made.artifacts.iter().filter(|artifact| artifact.name.ends_with(".stl")) {
        closed(&artifact.bytes).map_err(|fault| format!("{}: {fault}", artifact.name))?;
    }
    for block in &made.blocks {
        fences(job, made, block)?;
        numbers(made, block)?;
        clear(job, block)?;
    }
    if let Some(proof) = plate::of_job(job, &made.lanes, None) {
        let size = job.sheet_size.unwrap_or(job.home_paper());
        all_clear(&plate::sheet::sheets(&proof, size, job.projection_angle))?;
    }
    if jig { jig_clear(job) } else { Ok(()) }
}

fn read(bytes: &[u8]) -> Result<IndexedMesh, String> {
    stl_io::read_stl(&mut Cursor::new(bytes)).map_err(|e| e.to_string())
}

/// Every edge lies between two facets that run along it in opposite directions, and the volume is not that of a shell turned
/// inside out.
fn closed(bytes: &[u8]) -> Result<(), String> {
    let mesh = read(bytes)?;
    mesh.validate().map_err(|e| format!("not closed: {e}"))?;
    let corner = |i: usize| -> [f64; 3] { std::array::from_fn(|k| f64::from(mesh.vertices[i][k])) };
    let of_facet = |facet: &stl_io::IndexedTriangle| {
        let [a, b, c] = facet.vertices.map(corner);
        a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0])
    };
    let volume: f64 = mesh.faces.iter().map(of_facet).sum::<f64>() / 6.0;
    if volume > 1.0 { Ok(()) } else { Err(format!("a volume of {volume} mm³")) }
}

/// A ray along the block from its edge over the middle of each lane, halfway up the fence, meets the fence where the table says.
fn fences(job: &Job, made: &Made, printed: &Printed) -> Result<(), String> {
    let layout = &printed.layout;
    let name = format!("{}.stl", printed.name);
    let stl = made.artifacts.iter().find(|a| a.name == name).ok_or("no STL")?;
    let mesh = read(&stl.bytes)?;
    let factors = job.print.factors(layout.turned);
    let corner = |i: usize| -> [f64; 3] { std::array::from_fn(|k| f64::from(mesh.vertices[i][k]) / factors[k]) };
    let facets: Vec<[[f64; 3]; 3]> = mesh.faces.iter().map(|f| f.vertices.map(corner)).collect();
    for placed in &layout.lanes {
        let id = &placed.lane.request.id;
        let said = made.offsets.lanes.iter().find(|o| o.id == *id).ok_or(format!("{id} is not in the table"))?;
        // A little beside the middle, where no edge of two facets lies.
        let at = [placed.centre + 0.0137, layout.thickness + 0.5137 * layout.fence_height];
        let met = facets.iter().filter_map(|facet| crossing(facet, at));
        let distance = match placed.edge {
            Edge::Near => met.fold(f64::INFINITY, f64::min),
            Edge::Far => layout.depth - met.fold(f64::NEG_INFINITY, f64::max),
        };
        if (distance - said.fence_distance).abs() > ALLOWED {
            return Err(format!(
                "{id}: the fence is at {distance:.4} mm in {name}, {} in the table",
                said.fence_distance
            ));
        }
    }
    Ok(())
}

/// Where a facet is met along the second axis by the line through `x` and `z`.
fn crossing(facet: &[[f64; 3]; 3], [x, z]: [f64; 2]) -> Option<f64> {
    let side = |a: &[f64; 3], b: &[f64; 3]| (b[0] - a[0]) * (z - a[2]) - (b[2] - a[2]) * (x - a[0]);
    let [a, b, c] = facet;
    let [u, v, w] = [side(b, c), side(c, a), side(a, b)];
    let whole = u + v + w;
    let inside = (u >= 0.0 && v >= 0.0 && w >= 0.0) || (u <= 0.0 && v <= 0.0 && w <= 0.0);
    (inside && whole.abs() > 1e-12).then(|| (u * a[1] + v * b[1] + w * c[1]) / whole)
}

/// Every number of the table stands on the drawing.
fn numbers(made: &Made, printed: &Printed) -> Result<(), String> {
    let layout = &printed.layout;
    let [whole, more] = [format!("{}.svg", printed.name), format!("{}-sheet-", printed.name)];
    let sheets = made.artifacts.iter().filter(|a| a.name == whole || a.name.starts_with(&more));
    let text: String = sheets.map(|a| String::from_utf8_lossy(&a.bytes)).collect();
    for placed in &layout.lanes {
        let id = &placed.lane.request.id;
        let offset = made.offsets.lanes.iter().find(|o| o.id == *id).ok_or(format!("{id} is not in the table"))?;
        // Ids of the drawing have no blanks: the sign's number stands in their place.
        let of_lane = id.replace(' ', "·20·");
        let cell = format!("data-value=\"{}\" id=\"table-{of_lane}-fence_distance\"", offset.fence_distance);
        if !text.contains(&cell) {
            return Err(format!("{id}: the drawing has no cell {cell}"));
        }
        let words = fixed(offset.fence_distance, 2);
        if !layout.written.inches && !text.contains(&words) {
            return Err(format!("{id}: {words} is not on the drawing"));
        }
    }
    Ok(())
}

/// Nothing on any of some sheets clashes.
fn all_clear(sheets: &[Sheet]) -> Result<(), String> {
    for sheet in sheets {
        let clashes = clash::find(sheet);
        if let Some(first) = clashes.first() {
            return Err(format!("{}: {} clashes, {first:?}", sheet.title, clashes.len()));
        }
    }
    Ok(())
}

/// Nothing on the block's sheets clashes.
fn clear(job: &Job, printed: &Printed) -> Result<(), String> {
    let (name, stack) = (printed.name.as_str(), &printed.stack);
    let cleat = printed.cleat.as_ref().map(|cleat| ("cleat", cleat));
    let picture = picture::picture(stack, "A block", picture::USUAL);
    let set = sheets::all(job, &printed.layout, (name, stack), cleat, &picture).map_err(|e| chain(&e))?;
    all_clear(&set.sheets)
}

/// Nor on those of the wooden jig for the same lanes, where there is one; and they show a section with the guide in use.
fn jig_clear(job: &Job) -> Result<(), String> {
    let job = job.clone().for_a_jig();
    let Ok(set) = board::lanes(&job) else { return Ok(()) };
    let Ok(jig) = jig::lay_out(&job, &set) else { return Ok(()) };
    let sheets = jig::sheets::sheets(&job, &jig).map_err(|e| chain(&e))?;
    all_clear(&sheets)?;
    let has_section = sheets.iter().flat_map(|sheet| &sheet.groups).any(|group| group.id == "section-body");
    if has_section { Ok(()) } else { Err("no sheet of the wooden jig has a section".into()) }
}
