//! Shares the lanes of a job out over as few blocks as the printer's bed asks for.
//!
//! A block fits if its plan, in one turn or the other, lies on the bed. It is laid out as [`edges`] shares its lanes
//! out where that fits, else as another sharing-out does; lanes whose setting names an edge stay on it.
//!
//! * One block if it fits.
//! * Up to [`EXACT`] lanes: all divisions into blocks and all sharings-out of every block, so no fewer blocks can do.
//!   Every set of lanes is tried for itself, and nothing is inferred from larger or smaller ones: lanes of a block
//!   that fits need not fit without the others, since a shorter block brings far lanes nearer to near ones.
//! * More lanes: the rule of `many`, with the bound of `bound` beside it.
//!
//! Of equally few blocks those are taken that keep settings together, then seats, then differ least in how many lanes
//! they have, then hold lanes that follow each other in the job.
//!
//! A lane that does not fit alone fits in no company: every block that has it is as deep as its fence and the raised
//! middle, and as long as it needs with its margins (taking away an end lane never makes an edge longer, for a lane and
//! its margin take at least half of the face and the next one's margin takes less). It gets a block of its own.

mod bound;
mod exact;
mod many;

use kurbo::Size;

use super::edges::{self, Item, Shared};
use super::order::{self, Rows};
use crate::lane::{BlockOptions, Lane};
use crate::terms::{Edge, SeatName};

/// Up to so many lanes, all divisions are tried.
pub const EXACT: usize = 10;
/// Lengths are sums: those that differ by less are the same, mm.
const ROUNDING: f64 = 1e-9;

/// What a block may take up.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// Width and depth of the printer's bed, mm.
    pub bed: Size,
    /// What is kept free of it on every side of the block, mm.
    pub margin: f64,
    /// Least thickness of the middle, mm.
    pub middle: f64,
}

impl Room {
    /// Whether a block of this length and depth, mm, lies on the bed in one turn or the other.
    pub fn takes(&self, size: Size) -> bool {
        let lies_on = |bed: Size| size.width <= bed.width + ROUNDING && size.height <= bed.height + ROUNDING;
        self.turns().into_iter().any(lies_on)
    }

    /// Most length and depth of a block, mm, in its two turns on the bed.
    fn turns(&self) -> [Size; 2] {
        let bed = self.bed - Size::new(2.0 * self.margin, 2.0 * self.margin);
        [bed, Size::new(bed.height, bed.width)]
    }
}

/// The lanes of a job in blocks.
#[derive(Debug, Clone, PartialEq)]
pub struct Split {
    /// The blocks, in the order of their first lanes.
    pub blocks: Vec<Share>,
    /// No division has fewer blocks than this.
    pub bound: usize,
    /// Lanes that do not fit the bed even alone, by index; each has a block of its own.
    pub oversize: Vec<usize>,
}

impl Split {
    /// Whether it is proved that no division has fewer blocks.
    pub fn proven(&self) -> bool {
        self.blocks.len() == self.bound
    }
}

/// One of the blocks.
#[derive(Debug, Clone, PartialEq)]
pub struct Share {
    /// Its lanes by index, in the order of the job.
    pub lanes: Vec<usize>,
    /// From which edge each is used, so that the block fits; items bear the index of their lane in the whole job.
    pub shared: Shared,
}

/// Divides `lanes` into blocks; `face_width` is the guide's, mm.
pub fn split(lanes: &[Lane], options: &BlockOptions, face_width: Option<f64>, room: &Room) -> Split {
    let mut search = Search { lanes, room, items: edges::items(lanes, options, face_width), rows: Rows::default() };
    let (fitting, oversize): (Vec<usize>, Vec<usize>) =
        (0..lanes.len()).partition(|&lane| search.by_own_rule(&[lane]).is_some());
    let (mut blocks, least) = match search.by_own_rule(&fitting) {
        _ if fitting.is_empty() => (Vec::new(), 0),
        Some(shared) => (vec![Share { lanes: fitting, shared }], 1),
        None if fitting.len() <= EXACT => {
            let blocks = exact::divide(&mut search, &fitting);
            let least = blocks.len();
            (blocks, least)
        }
        None => many::divide(&mut search, &fitting),
    };
    blocks.extend(oversize.iter().map(|&lane| Share { lanes: vec![lane], shared: search.own_rule(&[lane]) }));
    blocks.sort_by_key(|b| b.lanes[0]);
    Split { blocks, bound: least + oversize.len(), oversize }
}

/// What is known of all lanes, and a place to plan blocks in.
struct Search<'a> {
    lanes: &'a [Lane],
    room: &'a Room,
    items: Vec<Item>,
    rows: Rows,
}

/// How hard blocks are to understand, by the rule of the module: the smaller the better.
type Cost = [usize; 5];

impl Search<'_> {
    /// Whether a block of near and far lanes, in their order along the edges, fits.
    fn fits(&mut self, halves: [&[Item]; 2]) -> bool {
        let middle = self.room.middle;
        let length = halves.map(order::needed).into_iter().fold(0.0, f64::max);
        // Most of what does not fit is found so, without a plan: the longest fence is the first near or the last far.
        let longest = [halves[0].first(), halves[1].last()].into_iter().flatten().map(|i| i.fence).fold(0.0, f64::max);
        self.room.takes(Size::new(length, longest + middle))
            && self.room.takes(self.rows.size(halves, middle, order::STEP))
    }

    /// Lanes in the order of the job as [`edges`] shares them out.
    fn own_rule(&self, set: &[usize]) -> Shared {
        let items: Vec<Item> = set.iter().map(|&lane| self.items[lane].clone()).collect();
        edges::share_items(self.lanes, &items, self.room.turns()[0].width)
    }

    /// The same, if the block fits then.
    fn by_own_rule(&self, set: &[usize]) -> Option<Shared> {
        let shared = self.own_rule(set);
        let plan = order::plan(&shared, self.room.middle, order::STEP);
        self.room.takes(Size::new(plan.length, plan.depth)).then_some(shared)
    }

    /// The edge that a lane's setting names.
    fn edge(&self, lane: usize) -> Option<Edge> {
        self.lanes[lane].request.edge
    }

    fn setting(&self, lane: usize) -> (SeatName, &str) {
        let request = &self.lanes[lane].request;
        (request.seat, &request.label)
    }

    /// The cost of a block of lanes in the order of the job; the costs of blocks add up.
    fn cost(&self, set: &[usize]) -> Cost {
        let mut settings: Vec<(SeatName, &str)> = set.iter().map(|&lane| self.setting(lane)).collect();
        settings.sort_unstable();
        settings.dedup();
        let mut seats: Vec<SeatName> = settings.iter().map(|s| s.0).collect();
        seats.dedup();
        let gaps = set.windows(2).filter(|w| w[0] + 1 < w[1]).count();
        // For a given number of blocks and lanes the squares add up to least where the blocks are alike.
        [1, settings.len(), seats.len(), set.len() * set.len(), gaps]
    }
}

fn plus(a: Cost, b: Cost) -> Cost {
    std::array::from_fn(|i| a[i] + b[i])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::edges::testing::{indices, pattern};
    use proptest::prelude::*;

    /// Width and fence of a lane, mm, and the edge it is to be on.
    type Wanted = (f64, f64, Option<Edge>);

    fn lanes(wanted: &[Wanted]) -> Vec<Lane> {
        let pattern = pattern();
        let lane = |&(width, fence, edge): &Wanted| {
            let mut lane = pattern.clone();
            lane.request.width = Some(width);
            lane.request.edge = edge;
            lane.setting.fence_distance = fence;
            lane
        };
        wanted.iter().map(lane).collect()
    }

    fn any_lane() -> impl Strategy<Value = Wanted> {
        let edge = prop_oneof![6 => Just(None), 1 => Just(Some(Edge::Near)), 1 => Just(Some(Edge::Far))];
        // Half of them on round numbers, where lengths and depths are met to the hair.
        let size = prop_oneof![
            (6.0..66.0f64, 15.0..85.0f64),
            (2u32..13, 3u32..17).prop_map(|(w, f)| (f64::from(w) * 5.0 - 4.0, f64::from(f) * 5.0))
        ];
        (size, edge).prop_map(|((width, fence), edge)| (width, fence, edge))
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(3000))]
        /// On lanes few enough to try everything.
        #[test]
        fn the_bound_is_never_above_the_fewest_blocks_nor_those_of_the_rule_below(
            wanted in prop::collection::vec(any_lane(), 1..9),
            face in prop::option::of(30.0..75.0f64),
            (width, depth) in (12u32..50, 12u32..50),
            margin in 0.0..3.0f64,
        ) {
            let lanes = lanes(&wanted);
            let bed = Size::new(f64::from(width), f64::from(depth)) * 5.0;
            let room = Room { bed, margin: margin.floor(), middle: 10.0 };
            let items = edges::items(&lanes, &BlockOptions::default(), face);
            let mut search = Search { lanes: &lanes, room: &room, items, rows: Rows::default() };
            let set: Vec<usize> = (0..lanes.len()).filter(|&lane| search.by_own_rule(&[lane]).is_some()).collect();
            prop_assume!(!set.is_empty());
            let fewest = exact::divide(&mut search, &set).len();
            let bound = bound::least(&search, &set);
            let (by_rule, proved) = many::divide(&mut search, &set);
            prop_assert!(bound <= proved && proved <= fewest, "{bound} {proved} {fewest}");
            prop_assert!(by_rule.len() >= fewest, "{} {fewest}", by_rule.len());
        }
    }

    /// How often a bound is as high as it can be, of random lanes: what weakens it shows here.
    #[test]
    fn the_bound_is_as_strong_as_it_was() {
        let mut rng = fastrand::Rng::with_seed(32);
        let mut between = |from: u32, to: u32| f64::from(rng.u32(from..to));
        let mut counts = [0, 0];
        for _ in 0..2000 {
            let count = between(2, 14) as usize;
            let edge = |which: f64| match which as u32 {
                0 => Some(Edge::Near),
                1 => Some(Edge::Far),
                _ => None,
            };
            let mut wanted = Vec::new();
            for _ in 0..count {
                wanted.push((between(3, 30) * 2.5 - 4.0, between(5, 35) * 2.5, edge(between(0, 8))));
            }
            let lanes = lanes(&wanted);
            let bed = Size::new(between(14, 50), between(14, 50)) * 5.0;
            let room = Room { bed, margin: between(0, 3), middle: 10.0 };
            let items = edges::items(&lanes, &BlockOptions::default(), None);
            let search = Search { lanes: &lanes, room: &room, items, rows: Rows::default() };
            let set: Vec<usize> = (0..lanes.len()).filter(|&lane| search.by_own_rule(&[lane]).is_some()).collect();
            if !set.is_empty() {
                counts = [counts[0] + set.len(), counts[1] + bound::least(&search, &set)];
            }
        }
        assert_eq!(counts, [14_723, 3_139]);
    }

    /// Lanes wider than half a block and deeper than half of it: none takes a second one, though two would have the area.
    #[test]
    fn the_bound_knows_what_no_second_lane_fits_beside() {
        let lanes = lanes(&[(61.0, 40.0, None); 5]);
        let room = Room { bed: Size::new(100.0, 60.0), margin: 0.0, middle: 10.0 };
        let items = edges::items(&lanes, &BlockOptions::default(), None);
        let search = Search { lanes: &lanes, room: &room, items, rows: Rows::default() };
        assert_eq!(bound::least(&search, &[0, 1, 2, 3, 4]), 5);
    }

    /// The lanes on the near and on the far edge of one block for all; a setting a seat.
    fn shared(wanted: &[Wanted], seats: &[SeatName]) -> [Vec<usize>; 2] {
        let mut lanes = lanes(wanted);
        for (lane, seat) in lanes.iter_mut().zip(seats) {
            lane.request.seat = *seat;
        }
        let room = Room { bed: Size::new(400.0, 400.0), margin: 0.0, middle: 12.0 };
        let items = edges::items(&lanes, &BlockOptions::default(), None);
        let mut search = Search { lanes: &lanes, room: &room, items, rows: Rows::default() };
        let set: Vec<usize> = (0..lanes.len()).collect();
        indices(exact::Trial::new(&mut search, &set).best().expect("a large bed"))
    }

    /// Beside the deep lane the last one makes the block longer, beside the shallow one it does not.
    #[test]
    fn of_all_ways_to_share_lanes_out_the_smallest_is_taken() {
        let wanted = [(31.0, 80.0, Some(Edge::Near)), (11.0, 15.0, Some(Edge::Far)), (11.0, 15.0, None)];
        assert_eq!(shared(&wanted, &[SeatName::Iron; 3]), [vec![0], vec![1, 2]]);
    }

    /// Opposite each other they would need less.
    #[test]
    fn lanes_of_one_setting_keep_together_on_a_larger_block() {
        let lane = (31.0, 15.0, None);
        assert!(shared(&[lane; 2], &[SeatName::Iron; 2]).contains(&vec![0, 1]));
        // Of two settings, of two seats, each has an edge of its own, whichever that is.
        let [iron, chisel] = [SeatName::Iron, SeatName::Chisel];
        let halves = shared(&[lane; 4], &[iron, chisel, iron, chisel]);
        assert!(halves == [vec![0, 2], vec![1, 3]] || halves == [vec![1, 3], vec![0, 2]], "{halves:?}");
    }

    /// Why no set is judged by another: without its last lane this block is shorter, and its far lanes stand opposite
    /// nearer ones.
    #[test]
    fn lanes_of_a_block_that_fits_need_not_fit_without_the_others() {
        let wanted = [(51.0, 70.0, None), (66.0, 35.0, None), (61.0, 60.0, None), (51.0, 50.0, None)];
        let room = Room { bed: Size::new(115.0, 180.0), margin: 0.0, middle: 12.0 };
        let blocks = |n: usize| split(&lanes(&wanted[..n]), &BlockOptions::default(), None, &room).blocks.len();
        assert_eq!([blocks(4), blocks(3)], [1, 2]);
    }
}
