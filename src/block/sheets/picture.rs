//! How a printed block looks, from any side: drawn from the very slabs that it is built of. From above it is drawn without
//! the relief along its bottom edges, which is so small that its lines would run into one.

use kurbo::{Affine, Point, Rect, Size};

use super::drawing::SCREW_HEAD;
use crate::block::Layout;
use crate::block::cleat::{self, Cleat};
use crate::drawing::axonometric::{self, Axonometry, Body, Direction, Prism, Relief};
use crate::drawing::filled::Illustration;
use crate::drawing::frame::outline as rectangle;
use crate::drawing::paper::{self, Paper};
use crate::drawing::style::WIDE;
use crate::drawing::{Group, Sheet};
use crate::shape::polygon::{Outline, millimetres};
use crate::shape::stack::{Slab, Stack};
use crate::terms::PaperSize;
use crate::trig::toward;

/// From where a block is seen best: from the near edge, a little from the right and from above.
pub const USUAL: Direction = Direction { azimuth: 30.0, elevation: 40.0 };

/// A topmost slab below this height is lettering, mm: fences are at least this high.
const LETTERING: f64 = 2.0;

/// A lowest slab below this height is the foot inside the relief along the bottom edges, mm.
const FOOT: f64 = 1.0;

/// Corners that stand for the round head of a screw.
const HEAD_CORNERS: usize = 24;

/// Class of the picture's groups.
const CLASS: &str = "picture";

/// A picture on a sheet of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// The sheet.
    pub sheet: Sheet,
    /// The part of it that the picture takes with its margin, mm.
    pub area: Rect,
}

impl Picture {
    /// Its size on its own sheet, mm.
    fn size(&self) -> Size {
        self.area.size() - Size::new(2.0 * MARGIN, 2.0 * MARGIN)
    }

    /// What a sheet of the block bears that would else be nearly empty.
    pub fn illustration(&self) -> Illustration<'_> {
        Illustration {
            size: self.size(),
            caption: "The block, from the near edge",
            draw: Box::new(|room| self.within(room)),
        }
    }

    /// The same picture as large as `room`, mm of paper, takes it, its upper left corner at the origin, and its size.
    /// Lines keep their widths.
    pub fn within(&self, room: Size) -> (Vec<Group>, Size) {
        let size = self.size();
        let to_origin = (-(self.area.x0 + MARGIN), -(self.area.y0 + MARGIN));
        let scale = (room.width / size.width).min(room.height / size.height);
        let groups = self.sheet.groups.iter().map(|g| g.clone().moved(to_origin).placed(Affine::scale(scale)));
        (groups.collect(), scale * size)
    }
}

/// Space around a picture, mm: room for half a line.
const MARGIN: f64 = 2.0 * WIDE;

/// The picture of `stack` as large as a sheet takes it.
pub fn picture(stack: &Stack, title: &str, direction: Direction) -> Picture {
    picture_with(stack, &[], title, direction)
}

/// The cleat under a block and the heads of the screws that hold it, in the block's own frame.
pub fn cleat_bodies(layout: &Layout, cleat: &Cleat) -> Vec<Body> {
    let prism = |region: Vec<Point>, z| Prism { region: vec![region], z, lettering: Vec::new() };
    let bar = prism(rectangle(cleat.area).to_vec(), [-cleat::HEIGHT, 0.0]);
    let [diameter, high] = SCREW_HEAD;
    let top = layout.thickness + layout.fence_height;
    let head = |(i, hole): (usize, &Point)| {
        let turn = |k: usize| toward(std::f64::consts::TAU * k as f64 / HEAD_CORNERS as f64);
        let corners = (0..HEAD_CORNERS).map(|k| *hole + diameter / 2.0 * turn(k)).collect();
        Body { id: format!("screw-{}", i + 1), prisms: vec![prism(corners, [top, top + high])] }
    };
    let heads = layout.screw_holes.iter().enumerate().map(head);
    std::iter::once(Body { id: "cleat".into(), prisms: vec![bar] }).chain(heads).collect()
}

/// The same with other bodies around it.
pub fn picture_with(stack: &Stack, others: &[Body], title: &str, direction: Direction) -> Picture {
    let paper = Paper::sheet(PaperSize::A4, true);
    let bounds = paper.frame();
    let room = bounds.size() - Size::new(2.0 * MARGIN, 2.0 * MARGIN);
    let (groups, size) = fitted(stack, others, direction, room);
    let groups = groups.into_iter().map(|g| g.moved((bounds.x0 + MARGIN, bounds.y0 + MARGIN))).collect();
    let end = (bounds.x0 + size.width + 2.0 * MARGIN, bounds.y0 + size.height + 2.0 * MARGIN);
    let area = Rect::from_points(bounds.origin(), end);
    Picture { sheet: Sheet { title: title.into(), paper, scale: paper::NONE.name.into(), groups }, area }
}

/// The picture as large as `room`, mm of paper, takes it, its upper left corner at the origin, and its size.
pub fn fitted(stack: &Stack, others: &[Body], direction: Direction, room: Size) -> (Vec<Group>, Size) {
    let view = |scale: f64, origin: Point| Axonometry { origin, scale, direction };
    let drawn = extent(stack, others, &view(1.0, Point::ORIGIN));
    let scale = (room.width / drawn.width()).min(room.height / drawn.height());
    let groups = draw(stack, others, &view(scale, Point::new(-scale * drawn.x0, -scale * drawn.y0)));
    (groups, scale * drawn.size())
}

/// The box around the picture on the sheet, mm.
pub fn extent(stack: &Stack, others: &[Body], view: &Axonometry) -> Rect {
    let (slabs, _) = parted(stack, false);
    let prisms = slabs.iter().chain(stack.slabs.last()).map(prism).collect();
    let block = Body { id: String::new(), prisms };
    view.extent(&[&[block], others].concat())
}

/// Draws `stack`, the groups `block-faces`, `block` with its edges, and `block-lettering`, and the same of what is around
/// it.
pub fn draw(stack: &Stack, others: &[Body], view: &Axonometry) -> Vec<Group> {
    let (slabs, relief) = parted(stack, view.direction.elevation < 0.0);
    let block = Body { id: "block".into(), prisms: slabs.iter().map(prism).collect() };
    let Some(relief) = relief else {
        return axonometric::draw(&[&[block], others].concat(), view, CLASS);
    };
    if relief.is_behind(view) {
        let bodies = axonometric::draw(&[&[block], others].concat(), view, CLASS);
        return std::iter::once(relief.draw(view, CLASS)).chain(bodies).collect();
    }
    // What stands on the lettered surface is in front of its lettering.
    let stands = |body: &&Body| body.prisms.iter().all(|p| p.z[0] >= relief.surface.min(relief.end));
    let (on_top, below): (Vec<&Body>, Vec<&Body>) = others.iter().partition(stands);
    let below: Vec<Body> = std::iter::once(block).chain(below.into_iter().cloned()).collect();
    let on_top: Vec<Body> = on_top.into_iter().cloned().collect();
    let mut groups = axonometric::draw(&below, view, CLASS);
    groups.push(relief.draw(view, CLASS));
    groups.extend(axonometric::draw(&on_top, view, CLASS));
    groups
}

/// The slabs without lettering, and the lettering. From above the relief along the bottom edges is left out too, which
/// would only double their lines.
fn parted(stack: &Stack, from_below: bool) -> (Vec<Slab>, Option<Relief>) {
    let mut slabs = stack.slabs.clone();
    if let [foot, above, ..] = &mut slabs[..]
        && !from_below
        && mm(foot.z[1] - foot.z[0]) < FOOT
    {
        above.z[0] = foot.z[0];
        slabs.remove(0);
    }
    let relief = match &stack.slabs[..] {
        [.., below, top] if mm(top.z[1] - top.z[0]) < LETTERING => Some((below, top)),
        _ => None,
    };
    let Some((below, top)) = relief else { return (slabs, None) };
    slabs.pop();
    // A slab that has all outlines of the one below it, and more, goes on with cuts in it.
    let is_sunk = below.region.iter().all(|o| top.region.contains(o));
    let (surface, end) = if is_sunk { (top.z[1], top.z[0]) } else { (top.z[0], top.z[1]) };
    if let (true, Some(last)) = (is_sunk, slabs.last_mut()) {
        last.z[1] = top.z[1];
    }
    let letters = top.region.iter().filter(|o| !is_sunk || !below.region.contains(o));
    let relief = Relief {
        id: "block-lettering".into(),
        region: letters.map(outline).collect(),
        surface: mm(surface),
        end: mm(end),
    };
    (slabs, Some(relief))
}

fn prism(slab: &Slab) -> Prism {
    Prism { region: slab.region.iter().map(outline).collect(), z: slab.z.map(mm), lettering: Vec::new() }
}

fn outline(corners: &Outline) -> Vec<Point> {
    corners.iter().copied().map(millimetres).collect()
}

fn mm(microns: i32) -> f64 {
    f64::from(microns) / 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Mark;
    use crate::drawing::clash;
    use crate::drawing::style::Fill;
    use crate::drawing::style::Pen;
    use crate::shape::polygon::reversed;

    fn box_of([x0, x1]: [i32; 2], [y0, y1]: [i32; 2]) -> Outline {
        Outline::through([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    }

    /// A board, a raised middle on it, and a letter: two strokes, one with a counter.
    fn stack(lettering: Option<bool>) -> Stack {
        let middle = box_of([0, 60_000], [20_000, 40_000]);
        let letter = vec![
            box_of([10_000, 18_000], [25_000, 35_000]),
            reversed(&box_of([12_000, 16_000], [27_000, 33_000])),
            box_of([22_000, 24_000], [25_000, 35_000]),
        ];
        let mut slabs = vec![
            Slab { z: [0, 600], region: vec![box_of([400, 59_600], [400, 59_600])] },
            Slab { z: [600, 10_000], region: vec![box_of([0, 60_000], [0, 60_000])] },
            Slab { z: [10_000, 18_000], region: vec![middle.clone()] },
        ];
        if let Some(is_sunk) = lettering {
            let cut = letter.iter().map(reversed);
            let top = if is_sunk { std::iter::once(middle).chain(cut).collect() } else { letter };
            slabs.push(Slab { z: [18_000, 18_600], region: top });
        }
        Stack { slabs }
    }

    fn fills(groups: &[Group]) -> Vec<Fill> {
        let marks = groups.iter().flat_map(|g| &g.marks);
        marks.filter_map(|m| if let Mark::Path { fill, .. } = m { Some(*fill) } else { None }).collect()
    }

    #[test]
    fn lettering_is_told_from_the_middle_by_its_height() {
        for (lettering, sunk) in [(Some(true), true), (Some(false), false)] {
            let (slabs, relief) = parted(&stack(lettering), false);
            let relief = relief.expect("lettering");
            assert_eq!((slabs.len(), relief.region.len()), (2, 3));
            assert_eq!((relief.end < relief.surface, relief.end == 18.0), (sunk, sunk));
            assert_eq!(slabs[1].z[1], if sunk { 18_600 } else { 18_000 });
        }
        assert_eq!(parted(&stack(None), false).1, None);
    }

    #[test]
    fn the_relief_at_the_bottom_is_seen_from_below_alone() {
        let slabs = parted(&stack(None), false).0;
        assert_eq!(slabs[0], Slab { z: [0, 10_000], region: stack(None).slabs[1].region.clone() });
        assert_eq!(slabs[1..], stack(None).slabs[2..]);
        assert_eq!(parted(&stack(None), true).0, stack(None).slabs);
        let lines = |elevation| {
            let direction = Direction { azimuth: 0.0, elevation };
            let groups = draw(&stack(None), &[], &Axonometry { origin: Point::ORIGIN, scale: 1.0, direction });
            let drawn = groups.iter().flat_map(|g| &g.marks).filter(|m| m.pen() != Pen::None);
            drawn.map(|m| m.path().segments().count()).sum::<usize>()
        };
        assert!(lines(-90.0) >= 8, "outline and rebate: {} lines", lines(-90.0));
    }

    #[test]
    fn the_picture_keeps_to_its_area_from_every_side() {
        for lettering in [None, Some(true), Some(false)] {
            for azimuth in [-180.0, -90.0, -37.5, 0.0, 30.0, 45.0, 90.0, 135.0, 180.0] {
                for elevation in [-90.0, -45.0, -3.0, 0.0, 3.0, 40.0, 90.0] {
                    let picture = picture(&stack(lettering), "A block", Direction { azimuth, elevation });
                    let drawn = clash::extent(&picture.sheet.groups);
                    let marks = picture.sheet.groups.iter().flat_map(|g| &g.marks).count();
                    assert!(marks > 1, "{azimuth} {elevation}");
                    assert!(picture.area.contains_rect(drawn), "{azimuth} {elevation}");
                    assert_eq!(clash::find(&picture.sheet), [], "{azimuth} {elevation}");
                }
            }
        }
    }

    #[test]
    fn lettering_is_dark_and_has_no_lines_of_its_own() {
        let lines = |lettering| {
            let groups =
                draw(&stack(lettering), &[], &Axonometry { origin: Point::ORIGIN, scale: 1.0, direction: USUAL });
            let is_line = |m: &&Mark| !matches!(m, Mark::Path { pen: Pen::None, .. });
            (groups.iter().flat_map(|g| &g.marks).filter(is_line).count(), fills(&groups).contains(&Fill::Deep))
        };
        let (plain, _) = lines(None);
        assert_eq!(lines(None), (plain, false));
        assert_eq!(lines(Some(true)), (plain, true));
        assert_eq!(lines(Some(false)), (plain, true));
    }

    #[test]
    fn raised_lettering_is_painted_last_from_above_and_first_from_below() {
        let ids = |elevation: f64| -> Vec<String> {
            let view =
                Axonometry { origin: Point::ORIGIN, scale: 1.0, direction: Direction { azimuth: 30.0, elevation } };
            draw(&stack(Some(false)), &[], &view).into_iter().map(|g| g.id).collect()
        };
        assert_eq!(ids(20.0), ["block-faces", "block", "block-lettering"]);
        assert_eq!(ids(-20.0), ["block-lettering", "block-faces", "block"]);
    }

    #[test]
    fn a_fitted_picture_fills_its_room() {
        let (groups, size) = fitted(&stack(Some(true)), &[], USUAL, Size::new(100.0, 500.0));
        let drawn = clash::extent(&groups);
        assert!((size.width - 100.0).abs() < 1e-9 && size.height < 500.0);
        assert!(drawn.x0.abs() < 1e-3 && (drawn.x1 - size.width).abs() < 1e-3);
        assert!(drawn.y0.abs() < 1e-3 && (drawn.y1 - size.height).abs() < 1e-3);
    }
}
