//! What stands on sheets, packed: in the order of reading, side by side where there is room.

use kurbo::{Point, Rect, Size};

/// What takes a rectangle of a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Item {
    /// Its size, mm.
    pub size: Size,
    /// Least space above it, but at the top of a sheet, mm.
    pub above: f64,
    /// Whether it may be read out of its order, and so fill what an earlier sheet has left.
    pub is_loose: bool,
}

/// Where an item stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Number of the sheet, from 0.
    pub sheet: usize,
    /// Its upper left corner, from that of the sheet's area, mm.
    pub at: Point,
}

/// A rounding error, mm: what is so much too wide goes.
const ROUNDING: f64 = 1e-6;

/// Where the items stand on sheets with room for `area`, `beside` mm from each other to the side: each as high as it goes
/// and then as far to the left, but no higher than the one before it, so that they are read in their order. A loose one
/// fills the first gap that it goes into, else it is the first on the next sheet. What fits on no sheet stands alone on
/// one.
pub fn pack(items: &[Item], area: Size, beside: f64) -> Vec<Place> {
    let mut packing = Packing { items, area, beside, taken: vec![Vec::new()], waiting: Vec::new(), found: Vec::new() };
    // The top of the last one that is not loose.
    let mut top = 0.0;
    for (i, item) in items.iter().enumerate() {
        if item.is_loose {
            if !(0..packing.taken.len()).any(|sheet| packing.put(i, sheet, 0.0).is_some()) {
                packing.waiting.push(i);
            }
            continue;
        }
        let last = packing.taken.len() - 1;
        let mut at = packing.put(i, last, top);
        while at.is_none() {
            let sheet = packing.next_sheet();
            at = packing.put(i, sheet, 0.0);
        }
        top = at.map_or(0.0, |at| at.y);
    }
    while !packing.waiting.is_empty() {
        packing.next_sheet();
    }
    packing.found.sort_by_key(|(i, _)| *i);
    packing.found.into_iter().map(|(_, place)| place).collect()
}

/// Sheets that are being filled.
struct Packing<'a> {
    items: &'a [Item],
    area: Size,
    beside: f64,
    /// What is taken of each sheet.
    taken: Vec<Vec<Rect>>,
    /// Loose items that no sheet has had room for.
    waiting: Vec<usize>,
    /// Where items stand.
    found: Vec<(usize, Place)>,
}

impl Packing<'_> {
    /// Puts an item on a sheet, no higher than `top`, if there is room; on an empty one there always is.
    fn put(&mut self, index: usize, sheet: usize, top: f64) -> Option<Point> {
        let (item, taken) = (&self.items[index], &mut self.taken[sheet]);
        let alone = taken.is_empty().then_some(Point::ORIGIN);
        let at = free(item, taken, top, self.area, self.beside).or(alone)?;
        taken.push(Rect::from_origin_size(at, item.size));
        self.found.push((index, Place { sheet, at }));
        Some(at)
    }

    /// Begins a sheet, with what waits for one.
    fn next_sheet(&mut self) -> usize {
        let sheet = self.taken.len();
        self.taken.push(Vec::new());
        for index in std::mem::take(&mut self.waiting) {
            if self.put(index, sheet, 0.0).is_none() {
                self.waiting.push(index);
            }
        }
        sheet
    }
}

/// The first place from `top` down where an item goes past all that is taken.
fn free(item: &Item, taken: &[Rect], top: f64, area: Size, beside: f64) -> Option<Point> {
    // Beside what is itself too tall for a sheet there is no room.
    if taken.iter().any(|r| r.y1 > area.height + ROUNDING) {
        return None;
    }
    let mut ys: Vec<f64> = taken.iter().map(|r| r.y1 + item.above).chain([top]).filter(|y| *y >= top).collect();
    let mut xs: Vec<f64> = taken.iter().map(|r| r.x1 + beside).chain([0.0]).collect();
    ys.sort_by(f64::total_cmp);
    xs.sort_by(f64::total_cmp);
    let is_free = |at: &Point| {
        let own = Rect::from_origin_size(*at, item.size);
        let goes = own.x1 <= area.width + ROUNDING && own.y1 <= area.height + ROUNDING;
        let is_past = |r: &Rect| {
            let is_beside = own.x0 >= r.x1 + beside - ROUNDING || own.x1 <= r.x0 - beside + ROUNDING;
            is_beside || own.y0 >= r.y1 + item.above - ROUNDING || own.y1 <= r.y0 - item.above + ROUNDING
        };
        goes && taken.iter().all(is_past)
    };
    ys.iter().flat_map(|y| xs.iter().map(|x| Point::new(*x, *y))).find(is_free)
}

/// How many sheets these places are on.
pub fn sheets(places: &[Place]) -> usize {
    places.iter().map(|place| place.sheet + 1).max().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const AREA: Size = Size::new(170.0, 200.0);

    fn items() -> Vec<Item> {
        let size = |i: u32| {
            let (wide, high) = (15.0 + f64::from(i * 37 % 156), 8.0 + f64::from(i * 53 % 90));
            Size::new(wide, high)
        };
        (0..60).map(|i| Item { size: size(i), above: f64::from(i % 5), is_loose: i % 4 == 3 }).collect()
    }

    #[test]
    fn nothing_overlaps_or_leaves_its_sheet_and_all_is_in_order() {
        for packed in [AREA.height, AREA.height - 20.0].map(|high| pack(&items(), Size::new(AREA.width, high), 6.0)) {
            let all: Vec<(usize, Rect, bool)> = packed
                .iter()
                .zip(items())
                .map(|(p, i)| (p.sheet, Rect::from_origin_size(p.at, i.size), i.is_loose))
                .collect();
            for (i, (sheet, own, own_is_loose)) in all.iter().enumerate() {
                assert!(AREA.to_rect().inset(ROUNDING).contains_rect(*own), "{own:?}");
                for (other_sheet, other, is_loose) in &all[i + 1..] {
                    let in_order = other_sheet > sheet || (other_sheet == sheet && other.y0 >= own.y0);
                    assert!(in_order || *own_is_loose || *is_loose, "{own:?} {other:?}");
                    assert!(other_sheet != sheet || own.intersect(*other).is_zero_area(), "{own:?} {other:?}");
                }
            }
        }
    }

    #[test]
    fn what_goes_side_by_side_shares_a_row_and_what_is_too_tall_a_sheet() {
        let item = |wide, high| Item { size: Size::new(wide, high), above: 4.0, is_loose: false };
        let packed = pack(&[item(80.0, 90.0), item(80.0, 40.0), item(80.0, 40.0), item(170.0, 30.0)], AREA, 6.0);
        let at: Vec<(f64, f64)> = packed.iter().map(|p| (p.at.x, p.at.y)).collect();
        assert_eq!(at, [(0.0, 0.0), (86.0, 0.0), (86.0, 44.0), (0.0, 94.0)]);
        let tall = pack(&[item(20.0, 20.0), item(20.0, 300.0), item(20.0, 20.0)], AREA, 6.0);
        assert_eq!(tall.iter().map(|p| p.sheet).collect::<Vec<_>>(), [0, 1, 2]);
    }

    #[test]
    fn what_is_loose_fills_what_a_sheet_has_left() {
        let item = |high, is_loose| Item { size: Size::new(170.0, high), above: 4.0, is_loose };
        for (is_loose, sheets) in [(true, [0, 1, 0]), (false, [0, 1, 1])] {
            let packed = pack(&[item(120.0, false), item(150.0, false), item(40.0, is_loose)], AREA, 6.0);
            assert_eq!(packed.iter().map(|p| p.sheet).collect::<Vec<_>>(), sheets);
        }
        // One that finds no room leaves the sheet to those that do, and is the first on the next.
        let packed = pack(&[item(120.0, false), item(100.0, true), item(40.0, false), item(60.0, false)], AREA, 6.0);
        assert_eq!(packed.iter().map(|p| p.sheet).collect::<Vec<_>>(), [0, 1, 0, 1]);
        assert_eq!([packed[1].at.y, packed[3].at.y], [0.0, 104.0]);
    }
}
