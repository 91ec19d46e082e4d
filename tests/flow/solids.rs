//! The mesh and the shell of stacks of slabs: against solids counted cell by cell, against each other, with lettering.

use std::collections::BTreeSet;

use approx::assert_relative_eq;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::Overlay;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use proptest::prelude::*;
use serde_json::json;
use truck_meshalgo::prelude::{CalcVolume, MeshableShape, MeshedShape, ShellCondition};
use truck_modeling as truck;
use truck_topology::compress::{CompressedEdge, CompressedEdgeIndex, CompressedFace};

use super::support::{any_job, job_of, laid_out, parsed};
use stopwright::block::{self, Layout, check, slabs};
use stopwright::format::stl;
use stopwright::lanes;
use stopwright::shape::polygon::{self, Corner, Outline};
use stopwright::shape::stack::{Slab, Stack};
use stopwright::solid::mesh::Mesh;
use stopwright::solid::{self, NotSound, Solid, shell};
use stopwright::terms::{Edge, Labels};

/// A solid of cells: which are full, column by column, layer by layer, between uneven cuts.
#[derive(Debug, Clone)]
struct Cells {
    cuts: [Vec<i32>; 3],
    full: BTreeSet<[usize; 3]>,
}

impl Cells {
    fn has(&self, x: isize, y: isize, z: isize) -> bool {
        let cell = [x, y, z].map(usize::try_from);
        matches!(cell, [Ok(x), Ok(y), Ok(z)] if self.full.contains(&[x, y, z]))
    }

    /// Size of a cell, mm.
    fn size(&self, cell: &[usize; 3]) -> [f64; 3] {
        [0, 1, 2].map(|axis| f64::from(self.cuts[axis][cell[axis] + 1] - self.cuts[axis][cell[axis]]) / 1000.0)
    }

    fn volume(&self) -> f64 {
        self.full.iter().map(|cell| self.size(cell).iter().product::<f64>()).sum()
    }

    fn surface(&self) -> f64 {
        let bare = |&[x, y, z]: &[usize; 3]| -> f64 {
            let [sx, sy, sz] = self.size(&[x, y, z]);
            let [x, y, z] = [x as isize, y as isize, z as isize];
            let free = |dx: isize, dy: isize, dz: isize| f64::from(u8::from(!self.has(x + dx, y + dy, z + dz)));
            (free(1, 0, 0) + free(-1, 0, 0)) * sy * sz
                + (free(0, 1, 0) + free(0, -1, 0)) * sx * sz
                + (free(0, 0, 1) + free(0, 0, -1)) * sx * sy
        };
        self.full.iter().map(bare).sum()
    }

    /// Whether two cells meet in an edge alone somewhere, so that four faces share it.
    fn touches_itself(&self) -> bool {
        let [nx, ny, nz] = [0, 1, 2].map(|axis| self.cuts[axis].len() as isize);
        let diagonal = |a: bool, b: bool, c: bool, d: bool| a == d && b == c && a != b;
        (-1..nx).any(|x| {
            (-1..ny).any(|y| {
                (-1..nz).any(|z| {
                    let at = |dx, dy, dz| self.has(x + dx, y + dy, z + dz);
                    diagonal(at(0, 0, 0), at(1, 0, 0), at(0, 1, 0), at(1, 1, 0))
                        || diagonal(at(0, 0, 0), at(1, 0, 0), at(0, 0, 1), at(1, 0, 1))
                        || diagonal(at(0, 0, 0), at(0, 1, 0), at(0, 0, 1), at(0, 1, 1))
                })
            })
        })
    }

    /// The same as slabs.
    fn stack(&self) -> Stack {
        let square = |&[x, y, _]: &[usize; 3]| -> Outline {
            let ([x0, x1], [y0, y1]) = ([0, 1].map(|i| self.cuts[0][x + i]), [0, 1].map(|i| self.cuts[1][y + i]));
            Outline::through([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
        };
        let slab = |z: usize| Slab {
            z: [self.cuts[2][z], self.cuts[2][z + 1]],
            region: simple(self.full.iter().filter(|c| c[2] == z).map(square).collect()),
        };
        Stack { slabs: (0..self.cuts[2].len() - 1).map(slab).collect() }
    }
}

/// Random cells: boxes put in and taken out, so that holes, overhangs, flush walls and touching corners are common.
fn any_cells() -> impl Strategy<Value = Cells> {
    const COUNT: [usize; 3] = [7, 5, 3];
    let cuts = |n: usize| {
        prop::collection::vec(1..9000i32, n).prop_map(|steps| {
            let ends = steps.iter().scan(0, |at, step| {
                *at += step;
                Some(*at)
            });
            std::iter::once(0).chain(ends).collect::<Vec<i32>>()
        })
    };
    let span = |n: usize| (0..n, 1..=n).prop_map(move |(from, length)| from..(from + length).min(n));
    let boxes = prop::collection::vec((any::<bool>(), COUNT.map(span)), 1..6);
    (COUNT.map(cuts), boxes).prop_map(|(cuts, boxes)| {
        let mut full = BTreeSet::new();
        for (i, (puts_in, [x, y, z])) in boxes.into_iter().enumerate() {
            let cells =
                x.flat_map(|x| y.clone().map(move |y| [x, y])).flat_map(|[x, y]| z.clone().map(move |z| [x, y, z]));
            if puts_in || i == 0 {
                full.extend(cells);
            } else {
                cells.for_each(|cell| {
                    full.remove(&cell);
                });
            }
        }
        Cells { cuts, full }
    })
}

/// Area of all triangles, mm².
fn surface(mesh: &Mesh) -> f64 {
    mesh.triangles.iter().map(|t| area(mesh, t)).sum()
}

fn area(mesh: &Mesh, triangle: &[u32; 3]) -> f64 {
    let [a, b, c] = triangle.map(|i| mesh.corners[i as usize]);
    let (u, v) = ([0, 1, 2].map(|i| b[i] - a[i]), [0, 1, 2].map(|i| c[i] - a[i]));
    let n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    n.iter().map(|v| v * v).sum::<f64>().sqrt() / 2.0
}

/// Two areas or volumes that differ by rounding only; none at all is zero.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

/// A shell of truck's joined parts. That two wires of a face touch in a corner, truck's own way from the numbers refuses.
fn joined(shell: &shell::Shell) -> truck::Shell {
    let vertices: Vec<truck::Vertex> = shell.vertices.iter().map(|point| truck::Vertex::new(*point)).collect();
    let edge = |edge: &CompressedEdge<truck::Curve>| {
        let (from, to) = edge.vertices;
        truck::Edge::new(&vertices[from], &vertices[to], edge.curve.clone())
    };
    let edges: Vec<truck::Edge> = shell.edges.iter().map(edge).collect();
    let side = |side: &CompressedEdgeIndex| match side.orientation {
        true => edges[side.index].clone(),
        false => edges[side.index].inverse(),
    };
    let face = |face: &CompressedFace<truck::Surface>| {
        let wires = face.boundaries.iter().map(|boundary| boundary.iter().map(side).collect()).collect();
        truck::Face::new_unchecked(wires, face.surface.clone())
    };
    shell.faces.iter().map(face).collect()
}

/// Holds a block's shell, as truck closes and meshes it, against its mesh.
pub fn hold_shell_against_mesh(block: &Solid) {
    let shell = joined(&shell::build(&block.stack).unwrap());
    assert_eq!(shell.shell_condition(), ShellCondition::Closed);
    assert_relative_eq!(shell.triangulation(0.01).to_polygon().volume(), block.mesh.volume(), max_relative = 1e-9);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, ..ProptestConfig::default() })]

    /// Volume and surface counted cell by cell; refused exactly where the solid touches itself in an edge.
    #[test]
    fn the_mesh_of_any_cells_bounds_these_cells(cells in any_cells()) {
        match solid::build(cells.stack()) {
            Ok(block) => {
                prop_assert!(!cells.touches_itself());
                prop_assert_eq!(block.mesh.open_edges(), 0);
                prop_assert!(same(block.mesh.volume(), cells.volume()));
                prop_assert!(same(surface(&block.mesh), cells.surface()));
                prop_assert!(block.mesh.triangles.iter().all(|t| area(&block.mesh, t) > 0.0));
                if !cells.full.is_empty() {
                    hold_shell_against_mesh(&block);
                }
            }
            Err(NotSound::Leaks(_)) => prop_assert!(cells.touches_itself()),
            Err(other) => return Err(TestCaseError::fail(other.to_string())),
        }
    }
}

/// A leg under a plate whose hole in the plate's underside touches its outline in a corner (found by the test above).
#[test]
fn wires_of_a_face_may_touch_in_a_corner() {
    let cuts = [vec![0, 1, 2, 3, 4, 5, 6, 7], vec![0, 1, 2, 3, 4, 5], vec![0, 1, 2, 3]];
    let low = [[1, 2, 0], [1, 2, 1]];
    let top = [[0, 0], [0, 1], [0, 2], [0, 3], [1, 0], [1, 1], [1, 2], [1, 3], [2, 0], [2, 1], [2, 2]];
    let full = low.into_iter().chain(top.map(|[x, y]| [x, y, 2])).collect();
    let block = solid::build(Cells { cuts, full }.stack()).unwrap();
    assert_eq!(joined(&shell::build(&block.stack).unwrap()).shell_condition(), ShellCondition::Closed);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, max_global_rejects: 4000, ..ProptestConfig::default() })]

    /// Lettering on any block, sunk and raised: sound, without an empty triangle, and its fences still measured.
    #[test]
    fn any_block_bears_lettering(value in any_job()) {
        let mut job = parsed(&value);
        for labels in [Labels::Sunk, Labels::Raised] {
            job.block.labels = labels;
            let Ok(set) = lanes::of_job(&job) else { return Err(TestCaseError::reject("no lanes")) };
            let Ok(layout) = block::lay_out(&job, &set) else { return Err(TestCaseError::reject("refused")) };
            let block = slabs::build(&layout).unwrap();
            prop_assert!(block.mesh.triangles.iter().all(|t| area(&block.mesh, t) > 0.0));
            let stl = stl::write(&block.mesh, "lettering").unwrap();
            prop_assert_eq!(check::measure(&stl, &layout, [1.0; 3]).unwrap(), plainly_measured(&stl, &layout));
        }
    }
}

/// The same solid twice: the shell of lettered blocks is closed and has the mesh's volume.
#[test]
fn the_shell_of_a_lettered_block_is_the_solid_of_its_mesh() {
    for labels in ["sunk", "raised"] {
        let mut value = job_of(2, 1);
        value["block"] = json!({ "labels": labels });
        let stack = slabs::stack_of(&laid_out(&value).1);
        assert!(stack.slabs.last().unwrap().region.len() > 40, "lettering");
        hold_shell_against_mesh(&solid::build(stack).unwrap());
    }
}

/// Slabs apart, or one over the other's corner: four corners of one outline meet a side of another, also an oblique one.
#[test]
fn oblique_sides_are_split_where_corners_lie_on_them() {
    let slab = |z: i32, corners: Vec<Corner>| Slab { z: [z, z + 500], region: vec![Outline::through(corners)] };
    let triangle = vec![[0, 0], [900, 0], [0, 600]];
    // Its oblique side bears two of the small one's corners.
    let inner = vec![[300, 100], [600, 200], [300, 400]];
    let block = solid::build(Stack { slabs: vec![slab(0, triangle), slab(500, inner)] }).unwrap();
    assert_relative_eq!(block.mesh.volume(), (0.27 + 0.045) * 0.5, max_relative = 1e-12);
    hold_shell_against_mesh(&block);
}

/// Outlines that neighbouring slabs share cost nothing, and one of them wound the wrong way is not a sound solid.
#[test]
fn a_region_that_winds_the_wrong_way_is_refused() {
    let plate = Outline::through([[0, 0], [9000, 0], [9000, 9000], [0, 9000]]);
    let hole = Outline::through([[3000, 3000], [3000, 6000], [6000, 6000], [6000, 3000]]);
    let stack =
        |hole: &Outline| Stack { slabs: vec![Slab { z: [0, 1000], region: vec![plate.clone(), hole.clone()] }] };
    assert_relative_eq!(solid::build(stack(&hole)).unwrap().mesh.volume(), 72.0, max_relative = 1e-12);
    let wrong: Outline = hole.iter().rev().copied().collect();
    assert!(solid::build(stack(&wrong)).is_err());
}

/// Every ray against every triangle of the file, as `stl_io` indexes it: the plain way to measure, and a slow one.
fn plainly_measured(stl: &[u8], layout: &Layout) -> Vec<check::Reading> {
    let mesh = stl_io::read_stl(&mut std::io::Cursor::new(stl)).unwrap();
    let walls: Vec<[[f64; 3]; 3]> =
        mesh.faces.iter().map(|f| f.vertices.map(|i| <[f32; 3]>::from(mesh.vertices[i]).map(f64::from))).collect();
    let of = |placed: &stopwright::layout::Placed| {
        let at = |x: f64, z: f64| {
            let hits = walls.iter().filter_map(|t| crossing(t, x, z));
            if placed.edge == Edge::Near { hits.reduce(f64::min) } else { hits.reduce(f64::max) }.unwrap()
        };
        let heights = [layout.thickness / 2.0, layout.thickness + placed.lane.setting.section.thickness];
        let measured = [-1.0, 1.0].map(|side| {
            let x = placed.centre + side * (placed.blade_width * 0.4987);
            (at(x, heights[1]) - at(x, heights[0])).abs()
        });
        check::Reading { id: placed.lane.request.id.clone(), wanted: placed.lane.fence(), measured }
    };
    layout.lanes.iter().map(of).collect()
}

fn crossing(triangle: &[[f64; 3]; 3], x: f64, z: f64) -> Option<f64> {
    let [a, b, c] = triangle.map(|p| [p[0] - x, p[2] - z]);
    let area = |p: [f64; 2], q: [f64; 2]| p[0] * q[1] - p[1] * q[0];
    let weights = [area(b, c), area(c, a), area(a, b)];
    let total: f64 = weights.iter().sum();
    let meets = total != 0.0 && weights.iter().all(|w| w * total >= 0.0);
    meets.then(|| (0..3).map(|i| weights[i] * triangle[i][1]).sum::<f64>() / total)
}

/// One fence after the other is moved by 2 µm: the check names that lane.
#[test]
fn the_gauge_notices_each_fence_that_is_moved() {
    let (_, layout) = laid_out(&job_of(6, 6));
    let block = slabs::build(&layout).unwrap();
    for placed in &layout.lanes {
        let y = match placed.edge {
            Edge::Near => placed.lane.fence(),
            Edge::Far => layout.depth - placed.lane.fence(),
        };
        let mut mesh = block.mesh.clone();
        let in_lane = |c: &[f64; 3]| c[0] > placed.x[0] - 0.001 && c[0] < placed.x[1] + 0.001;
        for c in mesh.corners.iter_mut().filter(|c| c[2] >= layout.thickness && in_lane(c) && (c[1] - y).abs() < 0.001)
        {
            c[1] += 0.002;
        }
        let stl = stl::write(&mesh, "moved").unwrap();
        let error = check::measure(&stl, &layout, [1.0; 3]).unwrap_err().to_string();
        assert!(error.contains(&placed.lane.request.id), "{error}");
    }
}

/// The outlines of the area that `outlines` wind around, none of them crossing another.
fn simple(outlines: Vec<Outline>) -> Vec<Outline> {
    let paths: Vec<Vec<IntPoint<i32>>> =
        outlines.iter().map(|o| o.iter().map(|c| IntPoint::new(c[0], c[1])).collect()).collect();
    let shapes = Overlay::from_subj(&paths).overlay(OverlayRule::Subject, FillRule::NonZero);
    let outlines = shapes.into_iter().flatten().map(|o| o.into_iter().map(|p| [p.x, p.y]).collect::<Outline>());
    outlines.filter(|o| polygon::doubled_area(o) != 0).collect()
}
