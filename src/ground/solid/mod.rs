//! The plan made solid: a stack of slabs, and of it a mesh to print and a shell for other programs.
//!
//! 1. The product stacks its regions as slabs.
//! 2. [`levels`] finds what meets at each height.
//! 3. [`mesh`] makes triangles of the levels, which are checked every time.
//! 4. [`shell`] makes the closed B-rep of the same levels with truck, only where one is asked for: nothing that is
//!    printed is read from it, and it takes many times longer than the mesh.

pub mod levels;
pub mod mesh;
pub mod probe;
pub mod shell;

use crate::shape::stack::Stack;
use levels::Level;
use mesh::Mesh;

/// A solid to print: its slabs, and their mesh, closed and of the slabs' volume.
#[derive(Debug, Clone)]
pub struct Solid {
    /// The slabs.
    pub stack: Stack,
    /// The closed, outward-facing mesh.
    pub mesh: Mesh,
}

/// Why a layout did not become a sound solid. These are faults of the program, not of the user.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NotSound {
    /// The shell is not closed.
    #[error("the block's shell is not closed at {0} edges")]
    Open(usize),
    /// A face has no plane.
    #[error("a face of the block is not flat")]
    NotFlat,
    /// An edge of the mesh does not lie between two facets that run along it in opposite directions.
    #[error("the block's mesh is not watertight at {0} edges")]
    Leaks(usize),
    /// The mesh's volume is not that of the slabs.
    #[error("the block's mesh has a volume of {mesh} mm³, its slabs {slabs} mm³")]
    Volume {
        /// mm³.
        mesh: f64,
        /// mm³.
        slabs: f64,
    },
}

/// Relative difference allowed between the mesh's volume and the slabs': rounding of some thousand facets in doubles.
const VOLUME_CLOSE: f64 = 1e-9;

/// Builds the solid of any stack of slabs.
///
/// # Errors
/// [`NotSound`].
pub fn build(stack: Stack) -> Result<Solid, NotSound> {
    let mesh = mesh_on(&stack, &levels::levels_of(&stack))?;
    Ok(Solid { stack, mesh })
}

/// The checked mesh of `stack`, whose levels are `levels`.
///
/// # Errors
/// [`NotSound`].
pub fn mesh_on(stack: &Stack, levels: &[Level]) -> Result<Mesh, NotSound> {
    let mesh = mesh::triangulate(stack, levels);
    let leaks = mesh.open_edges();
    if leaks > 0 {
        return Err(NotSound::Leaks(leaks));
    }
    let (volume, expected) = (mesh.volume(), stack.volume());
    if (volume - expected).abs() > VOLUME_CLOSE * expected {
        return Err(NotSound::Volume { mesh: volume, slabs: expected });
    }
    Ok(mesh)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::polygon::Outline;
    use crate::shape::stack::Slab;

    /// A plate of a square, so high, µm.
    fn plate(height: i32) -> Stack {
        let square = Outline::through(vec![[0, 0], [10_000, 0], [10_000, 10_000], [0, 10_000]]);
        Stack { slabs: vec![Slab { z: [0, height], region: vec![square] }] }
    }

    #[test]
    fn a_mesh_of_another_volume_than_its_slabs_is_refused() {
        let levels = levels::levels_of(&plate(5000));
        assert!(mesh_on(&plate(5000), &levels).is_ok());
        let refused = mesh_on(&plate(5001), &levels).expect_err("a micrometre less");
        assert!(matches!(refused, NotSound::Volume { .. }), "{refused}");
    }
}
