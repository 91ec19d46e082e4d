//! Shares the lanes out between the near and the far edge, so that the block is short.
//!
//! Lanes whose setting names an edge go there. The rest stay together by seat, then by setting: with two seats in use,
//! plane irons go to the near edge and chisels to the far one, which is easy to remember. Where that makes the block
//! longer than the printer's bed, single lanes are moved to even the two edges out. A lone setting of up to two lanes
//! stays on the near edge; with more, the longer projections are near.

use std::cmp::Ordering;

use crate::lane::{BlockOptions, Lane};
use crate::terms::{Edge, SeatName};

/// A lane to be placed on an edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Which of the lanes it is.
    pub index: usize,
    /// Fence distance, mm.
    pub fence: f64,
    /// Width of the lane: widest blade and clearance, mm.
    pub width: f64,
    /// Width of the widest blade, mm.
    pub blade_width: f64,
    /// Free edge needed beyond the lane when it stands at an end, so that the whole face bears, mm.
    pub margin: f64,
}

/// The lanes of each edge, in no order yet.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shared {
    /// Lanes of the near edge.
    pub near: Vec<Item>,
    /// Lanes of the far edge.
    pub far: Vec<Item>,
}

/// The lanes as items of a plan, in their order.
pub fn items(lanes: &[Lane], options: &BlockOptions, face_width: Option<f64>) -> Vec<Item> {
    let item = |(index, lane): (usize, &Lane)| {
        let blade_width = lane.request.width.unwrap_or(0.0);
        let width = blade_width + 2.0 * options.clearance;
        Item {
            index,
            fence: lane.fence(),
            width,
            blade_width,
            margin: face_width.map_or(0.0, |face| (face / 2.0 - width / 2.0).max(0.0)),
        }
    };
    lanes.iter().enumerate().map(item).collect()
}

/// Shares `lanes` out; see the module.
pub fn share(lanes: &[Lane], options: &BlockOptions, face_width: Option<f64>, bed: f64) -> Shared {
    share_items(lanes, &items(lanes, options, face_width), bed)
}

/// Shares out those of `lanes` that `items` stand for.
pub fn share_items(lanes: &[Lane], items: &[Item], bed: f64) -> Shared {
    let mut shared = Shared::default();
    let mut free = Vec::new();
    for item in items.iter().cloned() {
        match lanes[item.index].request.edge {
            Some(Edge::Near) => shared.near.push(item),
            Some(Edge::Far) => shared.far.push(item),
            None => free.push(item),
        }
    }
    if free.is_empty() {
        return shared;
    }
    let fixed = shared.clone();
    let group_of = |i: &Item| (lanes[i.index].request.seat, lanes[i.index].request.label.as_str());
    let mut groups: Vec<(SeatName, &str)> = free.iter().map(group_of).collect();
    groups.sort();
    groups.dedup();
    let mut seats: Vec<SeatName> = groups.iter().map(|g| g.0).collect();
    seats.dedup();
    if let [seat, _] = seats[..] {
        let (near, far): (Vec<Item>, Vec<Item>) = free.iter().cloned().partition(|i| group_of(i).0 == seat);
        shared.near.extend(near);
        shared.far.extend(far);
    } else if groups.len() > 1 {
        // Whole settings, the widest first, each to the shorter edge.
        let mut sized: Vec<(f64, Vec<Item>)> = groups
            .iter()
            .map(|g| {
                let items: Vec<Item> = free.iter().filter(|i| group_of(i) == *g).cloned().collect();
                (total(&items), items)
            })
            .collect();
        sized.sort_by(|a, b| descending(a.0, b.0));
        for (_, items) in sized {
            shorter(&mut shared).extend(items);
        }
    } else if free.len() + fixed.near.len() <= 2 {
        shared.near.extend(free.clone());
    } else {
        shared = by_single_lanes(fixed.clone(), free.clone());
    }
    if longer(&shared) > bed {
        let evened = by_single_lanes(fixed, free);
        if longer(&evened) < longer(&shared) {
            return evened;
        }
    }
    shared
}

/// The longest projections near, the shortest far, as evenly as they go.
fn by_single_lanes(mut shared: Shared, mut free: Vec<Item>) -> Shared {
    free.sort_by(|a, b| descending(a.fence, b.fence));
    let all = total(&free) + total(&shared.near) + total(&shared.far);
    for item in free {
        let near = total(&shared.near);
        let over = near + item.width - all / 2.0;
        // A lane that straddles the middle goes to the side it lies more on.
        if over <= item.width / 2.0 + 1e-9 { shared.near.push(item) } else { shared.far.push(item) }
    }
    shared
}

fn total(items: &[Item]) -> f64 {
    items.iter().map(|i| i.width).sum()
}

fn longer(shared: &Shared) -> f64 {
    total(&shared.near).max(total(&shared.far))
}

fn shorter(shared: &mut Shared) -> &mut Vec<Item> {
    if total(&shared.near) <= total(&shared.far) { &mut shared.near } else { &mut shared.far }
}

fn descending(a: f64, b: f64) -> Ordering {
    b.total_cmp(&a)
}

#[cfg(test)]
pub(super) mod testing {
    //! A lane to make others of, and which lanes an edge has.

    use super::*;
    use crate::guide::named::NoFiles;
    use crate::job::Job;

    /// The lane of a plane iron at 25°.
    pub fn pattern() -> Lane {
        let job = r#"{ "format": 1, "title": "one", "guide": "narrow-side-clamp",
            "settings": [{ "tool": "plane-iron", "angles": [25] }] }"#;
        let job = Job::parse("one.json", job.as_bytes(), &NoFiles).expect("sound");
        crate::lanes::of_job(&job).expect("solved").lanes.remove(0)
    }

    /// The lanes of the near and of the far edge, in order.
    pub fn indices(Shared { near, far }: Shared) -> [Vec<usize>; 2] {
        [near, far].map(|items| {
            let mut indices: Vec<usize> = items.iter().map(|item| item.index).collect();
            indices.sort();
            indices
        })
    }
}

#[cfg(test)]
mod tests {
    use super::testing::{indices, pattern};
    use super::*;

    /// The lanes that come to the near and the far edge of a block for a bed so long, mm: of settings by their names, with
    /// these fences, each so wide, mm.
    fn shared(wanted: &[(&str, f64, f64)], bed: f64) -> [Vec<usize>; 2] {
        let pattern = pattern();
        let lane = |&(setting, ..): &(&str, f64, f64)| {
            let mut lane = pattern.clone();
            lane.request.label = setting.into();
            lane
        };
        let item = |(index, &(_, fence, width)): (usize, &(&str, f64, f64))| Item {
            index,
            fence,
            width,
            blade_width: width - 4.0,
            margin: 0.0,
        };
        let lanes: Vec<Lane> = wanted.iter().map(lane).collect();
        let items: Vec<Item> = wanted.iter().enumerate().map(item).collect();
        indices(share_items(&lanes, &items, bed))
    }

    #[test]
    fn a_lone_setting_has_its_longer_projections_near() {
        let four = [("one", 20.0, 10.0), ("one", 80.0, 10.0), ("one", 40.0, 10.0), ("one", 60.0, 10.0)];
        assert_eq!(shared(&four, 500.0), [vec![1, 3], vec![0, 2]]);
        assert_eq!(shared(&four[..2], 500.0), [vec![0, 1], vec![]]);
    }

    #[test]
    fn single_lanes_share_the_edges_evenly_the_longest_near() {
        let item = |index: usize, width: f64| Item {
            index,
            fence: 90.0 - index as f64,
            width,
            blade_width: width,
            margin: 0.0,
        };
        let near = |widths: &[f64]| {
            let free = widths.iter().enumerate().map(|(i, width)| item(i, *width)).collect();
            indices(by_single_lanes(Shared { near: Vec::new(), far: Vec::new() }, free))
        };
        assert_eq!(near(&[10.0; 4]), [vec![0, 1], vec![2, 3]]);
        // The one in the middle lies half on either side, and stays near; with less of it before the middle, it goes far.
        assert_eq!(near(&[10.0; 3]), [vec![0, 1], vec![2]]);
        assert_eq!(near(&[11.0, 10.0, 10.0]), [vec![0], vec![1, 2]]);
    }

    /// The widest first, each to the edge that is shorter by then; evened out by single lanes where the bed is too short.
    #[test]
    fn whole_settings_share_the_edges_as_long_as_the_bed_takes_them() {
        let wanted = [
            ("small", 30.0, 10.0),
            ("large", 70.0, 20.0),
            ("large", 60.0, 20.0),
            ("large", 50.0, 20.0),
            ("large", 40.0, 20.0),
            ("middle", 35.0, 30.0),
        ];
        assert_eq!(shared(&wanted, 80.0), [vec![1, 2, 3, 4], vec![0, 5]]);
        assert_eq!(shared(&wanted, 79.0), [vec![1, 2, 3], vec![0, 4, 5]]);
    }
}
