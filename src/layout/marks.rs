//! Where lines are marked on a lane's table, for block and jig alike.

/// How far marks keep from the edge and from the fence's foot, mm.
pub const MARK_CLEAR: [f64; 2] = [3.0, 2.5];
/// Shortest mark worth making, mm.
const SHORTEST_MARK: f64 = 2.0;
/// Below this blade width only the centre is marked, mm.
const NARROW: f64 = 12.0;

/// Centre and square lines of a lane: where each lies along the edge, and its extent from the edge, mm.
pub fn mark_lines(fence: f64, centre: f64, blade_width: f64) -> Vec<(f64, [f64; 2])> {
    let span = [MARK_CLEAR[0], fence - MARK_CLEAR[1]];
    if span[1] - span[0] < SHORTEST_MARK {
        return Vec::new();
    }
    let offsets = if blade_width < NARROW { vec![0.0] } else { vec![-blade_width / 4.0, 0.0, blade_width / 4.0] };
    offsets.into_iter().map(|dx| (centre + dx, span)).collect()
}
