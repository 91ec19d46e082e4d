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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_table_has_no_marks_and_a_narrow_blade_has_one() {
        // 3 mm from the edge to 2.5 mm from the fence: two millimetres of mark at a fence of 7.5 mm.
        assert_eq!(mark_lines(7.49, 0.0, 50.0), []);
        assert_eq!(mark_lines(7.5, 1.0, 11.9), [(1.0, [3.0, 5.0])]);
        assert_eq!(mark_lines(7.5, 1.0, 12.0).iter().map(|(at, _)| *at).collect::<Vec<_>>(), [-2.0, 1.0, 4.0]);
    }
}
