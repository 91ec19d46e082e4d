use super::faces::Scene;
use super::visible::{self, Area, Shown};
use super::*;
use crate::drawing::axonometric::corner::place;
use crate::drawing::frame::outline;
use crate::drawing::{Anchor, Mark};

fn random(rng: &mut fastrand::Rng, from: f64, to: f64) -> f64 {
    from + (to - from) * rng.f64()
}

fn rectangle(x: [f64; 2], y: [f64; 2]) -> Vec<Point> {
    outline(Rect::new(x[0], y[0], x[1], y[1])).to_vec()
}

/// A regular polygon, counter-clockwise.
fn round(centre: Point, radius: f64, corners: usize) -> Vec<Point> {
    let angle = |i: usize| std::f64::consts::TAU * (i as f64 + 0.5) / corners as f64;
    (0..corners).map(|i| centre + radius * Vec2::from_angle(angle(i))).collect()
}

fn hole(centre: Point, radius: f64, corners: usize) -> Vec<Point> {
    round(centre, radius, corners).into_iter().rev().collect()
}

fn prism(region: Vec<Vec<Point>>, z: [f64; 2]) -> Prism {
    Prism { region, z, lettering: Vec::new() }
}

fn cuboid(x: [f64; 2], y: [f64; 2], z: [f64; 2]) -> Prism {
    prism(vec![rectangle(x, y)], z)
}

fn bodies(prisms: Vec<Prism>) -> Vec<Body> {
    prisms.into_iter().enumerate().map(|(i, p)| Body { id: i.to_string(), prisms: vec![p] }).collect()
}

fn view(direction: Direction) -> Axonometry {
    Axonometry { origin: Point::new(100.0, 100.0), scale: 1.0, direction }
}

fn doubled(contours: &[Vec<Point>]) -> f64 {
    let next = |o: &Vec<Point>, i: usize| o[(i + 1) % o.len()];
    contours.iter().flat_map(|o| (0..o.len()).map(move |i| o[i].to_vec2().cross(next(o, i).to_vec2()))).sum()
}

fn area(contours: &[Vec<Point>]) -> f64 {
    doubled(contours).abs() / 2.0
}

fn contains(contours: &[Vec<Point>], Point { x, y }: Point) -> bool {
    let crossings = contours.iter().flat_map(|o| (0..o.len()).map(move |i| (o[i], o[(i + 1) % o.len()])));
    let right = |(a, b): &(Point, Point)| (a.y > y) != (b.y > y) && x < a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x);
    crossings.filter(right).count() % 2 == 1
}

/// The straight lines of a picture.
fn segments(groups: &[Group]) -> Vec<[Point; 2]> {
    let mut all = Vec::new();
    for mark in groups.iter().flat_map(|g| &g.marks) {
        if let Mark::Path { contours, closed, pen, .. } = mark
            && *pen != Pen::None
        {
            for c in contours {
                all.extend(c.windows(2).map(|w| [w[0], w[1]]));
                if *closed {
                    all.push([c[c.len() - 1], c[0]]);
                }
            }
        }
    }
    all
}

fn total(groups: &[Group]) -> f64 {
    segments(groups).iter().map(|[a, b]| a.distance(*b)).sum()
}

/// Lengths on paper of edges along the three axes.
fn on_paper(v: &Axonometry, edges: [f64; 3]) -> f64 {
    let unit = |i: usize| [0, 1, 2].map(|k| f64::from(u8::from(k == i)));
    (0..3).map(|i| edges[i] * v.at([0.0; 3]).distance(v.at(unit(i)))).sum()
}

#[test]
fn a_cube_in_isometric_view_is_a_regular_hexagon() {
    let cube = bodies(vec![cuboid([0.0, 10.0], [0.0, 10.0], [0.0, 10.0])]);
    let v = view(Direction::ISOMETRIC);
    let scene = Scene::new(&cube, &v);
    let shown = visible::seen(&scene);
    assert_eq!(shown.len(), 3);
    // Equal angles to all axes: every face keeps 1/√3 of its area, every edge √(2/3) of its length (ISO 5456-3).
    for face in &shown {
        assert!((area(&face.contours()) - 100.0 / 3f64.sqrt()).abs() < 5e-3);
    }
    let edge = 10.0 * (2f64 / 3.0).sqrt();
    let groups = draw(&cube, &v, "figure");
    let lines = segments(&groups);
    assert_eq!(lines.len(), 9);
    assert!(lines.iter().all(|[a, b]| (a.distance(*b) - edge).abs() < 1e-9));
    let centre = v.at([5.0; 3]);
    let wide: Vec<&Mark> =
        groups[1].marks.iter().filter(|m| matches!(m, Mark::Path { pen: Pen::Wide, closed: true, .. })).collect();
    let [Mark::Path { contours, .. }] = wide[..] else { panic!("one outline") };
    assert_eq!(contours[0].len(), 6);
    assert!(contours[0].iter().all(|p| (p.distance(centre) - edge).abs() < 1e-9));
    let drawn = v.extent(&cube);
    assert!((drawn.height() - 2.0 * edge).abs() < 1e-9 && (drawn.width() - 200f64.sqrt()).abs() < 1e-9);
}

#[test]
fn dimetric_axes_lie_at_7_and_42_degrees_and_the_oblique_one_is_halved() {
    // ISO 5456-3, from memory: 7° and 42°, scales 1 : ½ : 1.
    let v = view(Direction::DIMETRIC);
    let o = v.at([0.0; 3]);
    let [x, y, z] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].map(|p| v.at(p));
    let angle = |p: Point| (p.y - o.y).abs().atan2((p.x - o.x).abs()).to_degrees();
    assert!((angle(x) - 7.0).abs() < 0.5 && (angle(y) - 42.0).abs() < 0.7);
    assert!((o.distance(x) - o.distance(z)).abs() < 1e-12);
    assert!((2.0 * o.distance(y) - o.distance(z)).abs() < 1e-12);
}

#[test]
fn a_strip_on_a_board_hides_what_it_stands_on_and_its_shadow() {
    let strip = cuboid([20.0, 50.0], [25.0, 35.0], [12.0, 20.0]);
    let things = bodies(vec![cuboid([0.0, 80.0], [0.0, 60.0], [0.0, 12.0]), strip]);
    for direction in [Direction::ISOMETRIC, Direction { azimuth: 30.0, elevation: 50.0 }] {
        let v = view(direction);
        let scene = Scene::new(&things, &v);
        let shown = visible::seen(&scene);
        let top = scene.faces.iter().position(|f| f.body == 0 && f.side == Side::Top).expect("it is seen");
        // What is hidden on the board is the strip's base moved along the shadow that the viewer's rays throw.
        let (sin_a, cos_a) = direction.azimuth.to_radians().sin_cos();
        let reach = 8.0 / direction.elevation.to_radians().tan();
        let hidden = 30.0 * 10.0 + 30.0 * reach * cos_a + 10.0 * reach * sin_a;
        let seen = (80.0 * 60.0 - hidden) * direction.elevation.to_radians().sin();
        assert!((area(&shown[top].contours()) - seen).abs() < 0.01, "{direction:?}");
        // Nine edges of each, the strip's foot among them, and no line twice.
        let lines = total(&draw(&things, &v, "figure"));
        assert!((lines - on_paper(&v, [3.0 * 110.0, 3.0 * 70.0, 3.0 * 20.0])).abs() < 1e-3);
    }
}

#[test]
fn where_bodies_are_flush_one_line_parts_them_and_within_a_body_none() {
    let board = cuboid([0.0, 80.0], [0.0, 60.0], [0.0, 12.0]);
    let flush = cuboid([0.0, 80.0], [0.0, 10.0], [12.0, 20.0]);
    let v = view(Direction::ISOMETRIC);
    let parted = total(&draw(&bodies(vec![board.clone(), flush.clone()]), &v, "figure"));
    let one = vec![Body { id: "one".into(), prisms: vec![board, flush] }];
    let whole = total(&draw(&one, &v, "figure"));
    // The seam runs along the front and the side.
    assert!((parted - whole - on_paper(&v, [80.0, 10.0, 0.0])).abs() < 1e-3, "{parted} {whole}");
}

#[test]
fn facets_of_a_curve_have_no_lines_between_them_but_its_outline_has() {
    let v = view(Direction { azimuth: 40.0, elevation: 30.0 });
    let upright = |things: &[Body]| {
        let lines = segments(&draw(things, &v, "figure"));
        lines.iter().filter(|[a, b]| (a.x - b.x).abs() < 1e-9).count()
    };
    let post = bodies(vec![prism(vec![round(Point::ORIGIN, 10.0, 32)], [0.0, 30.0])]);
    assert_eq!(upright(&post), 2);
    let drilled = prism(vec![rectangle([-20.0, 20.0], [-20.0, 20.0]), hole(Point::ORIGIN, 10.0, 32)], [0.0, 30.0]);
    assert_eq!(upright(&bodies(vec![drilled])), 3);
    let sharp = bodies(vec![prism(vec![round(Point::ORIGIN, 10.0, 8)], [0.0, 30.0])]);
    assert_eq!(upright(&sharp), 5);
}

#[test]
fn lettering_lies_on_the_top_and_is_hidden_with_it() {
    let mut board = cuboid([-50.0, 50.0], [-20.0, 20.0], [0.0, 5.0]);
    let text = Text::new((0.0, -3.0), 6.0, Anchor::Middle, "plane iron 25°").turned(30.0);
    let flat = visible::filled(&in_plan(&text)).contours();
    board.lettering = vec![text];
    let ink = |things: &[Body], v: &Axonometry| -> Vec<Vec<Point>> {
        let marks = draw(things, v, "figure").into_iter().flat_map(|g| g.marks);
        let inked = marks.filter_map(|m| match m {
            Mark::Path { contours, fill: Fill::Ink, .. } => Some(contours),
            _ => None,
        });
        inked.flatten().collect()
    };
    let v = view(Direction { azimuth: 20.0, elevation: 40.0 });
    let alone = bodies(vec![board.clone()]);
    let sheared = area(&ink(&alone, &v));
    let expected = area(&flat) * 40f64.to_radians().sin();
    assert!((sheared - expected).abs() < 2e-3 * expected, "{sheared} {expected}");
    // A block covers the right half.
    let covered = bodies(vec![board, cuboid([0.0, 50.0], [-20.0, 20.0], [5.0, 6.0])]);
    let left = ink(&covered, &view(Direction { azimuth: 0.0, elevation: 90.0 }));
    assert!(left.iter().flatten().all(|p| p.x <= 100.0 + 1e-4));
    let below = view(Direction { azimuth: 20.0, elevation: -40.0 });
    assert!(ink(&alone, &below).is_empty());
    // Clockwise by 30°: it descends to the right, and the sheet's y grows downward.
    let upright = ink(&alone, &view(Direction { azimuth: 0.0, elevation: 90.0 }));
    let mean = |right: bool| {
        let ys: Vec<f64> = upright.iter().flatten().filter(|p| (p.x > 100.0) == right).map(|p| p.y).collect();
        ys.iter().sum::<f64>() / ys.len() as f64
    };
    assert!(mean(true) > mean(false) + 5.0);
}

/// What a ray meets first: the prism, and the outward normal there. Knows nothing of projected faces.
fn first_hit(things: &[Body], v: &Axonometry, p: Point) -> Option<(usize, [f64; 3])> {
    let (sin_a, cos_a) = v.direction.azimuth.to_radians().sin_cos();
    let (sin_e, cos_e) = v.direction.elevation.to_radians().sin_cos();
    let [right, up] = [(p.x - v.origin.x) / v.scale, (v.origin.y - p.y) / v.scale];
    let toward = [cos_e * sin_a, -cos_e * cos_a, sin_e];
    let start = [
        right * cos_a - up * sin_e * sin_a + 1000.0 * toward[0],
        right * sin_a + up * sin_e * cos_a + 1000.0 * toward[1],
        up * cos_e + 1000.0 * toward[2],
    ];
    let at = |t: f64| [0, 1, 2].map(|i| start[i] - t * toward[i]);
    let mut best: Option<(f64, usize, [f64; 3])> = None;
    let mut hit = |t: f64, body: usize, normal: [f64; 3]| {
        if best.is_none_or(|(b, ..)| t < b) {
            best = Some((t, body, normal));
        }
    };
    for (i, body) in things.iter().enumerate() {
        for prism in &body.prisms {
            let [low, high] = prism.z;
            let (z, outward) = if toward[2] > 0.0 { (high, 1.0) } else { (low, -1.0) };
            let t = (start[2] - z) / toward[2];
            let [x, y, _] = at(t);
            if contains(&prism.region, Point::new(x, y)) {
                hit(t, i, [0.0, 0.0, outward]);
            }
            for outline in &prism.region {
                for k in 0..outline.len() {
                    let (a, b) = (outline[k], outline[(k + 1) % outline.len()]);
                    let d = b - a;
                    let normal = [d.y / d.hypot(), -d.x / d.hypot(), 0.0];
                    let facing = normal[0] * toward[0] + normal[1] * toward[1];
                    if facing <= 0.0 {
                        continue;
                    }
                    let t = ((start[0] - a.x) * normal[0] + (start[1] - a.y) * normal[1]) / facing;
                    let [x, y, z] = at(t);
                    let along = (Point::new(x, y) - a).dot(d) / d.hypot2();
                    if low < z && z < high && 0.0 < along && along < 1.0 {
                        hit(t, i, normal);
                    }
                }
            }
        }
    }
    best.map(|(_, body, normal)| (body, normal))
}

/// Random posts of random heights on plates, some drilled, some turned, some floating over others.
fn random_things(rng: &mut fastrand::Rng) -> Vec<Body> {
    let mut prisms = vec![prism(
        vec![rectangle([0.0, 60.0], [0.0, 60.0]), hole(Point::new(30.0, 30.0), random(rng, 2.0, 9.0), 12)],
        [0.0, 6.0],
    )];
    for i in 0..3 {
        for k in 0..3 {
            let [x, y] = [20.0 * f64::from(i), 20.0 * f64::from(k)];
            let top = 6.0 + random(rng, 1.0, 25.0);
            match rng.u8(0..5) {
                0 => prisms.push(cuboid([x, x + 20.0], [y, y + random(rng, 5.0, 20.0)], [6.0, top])),
                1 => {
                    let outer = round(Point::new(x + 10.0, y + 10.0), 9.0, rng.usize(3..9));
                    let inner = hole(Point::new(x + 10.0, y + 10.0), random(rng, 1.0, 3.5), rng.usize(3..9));
                    prisms.push(prism(vec![outer, inner], [6.0, top]));
                }
                2 => prisms.push(cuboid([x + 2.0, x + 18.0], [y + 2.0, y + 18.0], [top, top + random(rng, 1.0, 9.0)])),
                3 => {
                    let l = [(0.0, 0.0), (18.0, 0.0), (18.0, 6.0), (5.0, 6.0), (5.0, 18.0), (0.0, 18.0)];
                    prisms.push(prism(vec![l.map(|c| Point::new(x, y) + c).to_vec()], [6.0, top]));
                    // Through the angle, far above and below the plane of its top.
                    prisms.push(cuboid([x + 8.0, x + 16.0], [y + 8.0, y + 16.0], [6.0, 40.0]));
                }
                _ => {}
            }
        }
    }
    bodies(prisms)
}

/// Points where what is shown is not what a ray meets, out of how many compared.
fn disagreements(things: &[Body], v: &Axonometry, scene: &Scene, shown: &Shown, rng: &mut fastrand::Rng) -> [usize; 2] {
    let areas: Vec<Vec<Vec<Point>>> = shown.iter().map(Area::contours).collect();
    let axes = v.direction.axes();
    let drawn = v.extent(things);
    let (mut wrong, mut compared) = (0, 0);
    for _ in 0..400 {
        let p = Point::new(random(rng, drawn.x0, drawn.x1), random(rng, drawn.y0, drawn.y1));
        let truth = first_hit(things, v, p);
        // Beside an edge the grid decides.
        let around = [(3e-3, 0.0), (-3e-3, 0.0), (0.0, 3e-3), (0.0, -3e-3)];
        if around.iter().any(|d| first_hit(things, v, p + *d) != truth) {
            continue;
        }
        compared += 1;
        let found: Vec<usize> = (0..areas.len()).filter(|&i| contains(&areas[i], p)).collect();
        let right = match (&found[..], truth) {
            ([], None) => true,
            ([i], Some((body, normal))) => {
                let turned = axes.map(|axis| dot(axis, normal));
                scene.faces[*i].body == body && dot(turned, scene.faces[*i].normal) > 1.0 - 1e-9
            }
            _ => false,
        };
        wrong += usize::from(!right);
    }
    [wrong, compared]
}

fn random_direction(rng: &mut fastrand::Rng) -> Direction {
    Direction { azimuth: random(rng, 0.0, 360.0), elevation: random(rng, -80.0, 80.0) }
}

#[test]
fn what_is_shown_is_what_a_ray_meets_first() {
    let mut rng = fastrand::Rng::with_seed(7);
    let mut seen = 0;
    for round in 0..60 {
        let things = random_things(&mut rng);
        let v = view(random_direction(&mut rng));
        let scene = Scene::new(&things, &v);
        let shown = visible::seen(&scene);
        let [wrong, compared] = disagreements(&things, &v, &scene, &shown, &mut rng);
        assert_eq!(wrong, 0, "round {round}, {:?}", v.direction);
        seen += compared;
        // Nothing is shown twice, and nothing is left out of the silhouette.
        let flat = |f: &faces::Face| f.contours.iter().map(|o| o.iter().copied().map(place).collect()).collect();
        let all: Vec<Vec<Point>> = scene.faces.iter().flat_map(|f| -> Vec<Vec<Point>> { flat(f) }).collect();
        let (parts, whole) =
            (shown.iter().map(|a| area(&a.contours())).sum::<f64>(), area(&visible::filled(&all).contours()));
        assert!((parts - whole).abs() < 0.05, "round {round}: {parts} {whole}");
    }
    assert!(seen > 20_000);
}

#[test]
fn a_picture_that_puts_a_body_behind_everything_is_found_wrong() {
    let mut rng = fastrand::Rng::with_seed(7);
    let things = random_things(&mut rng);
    let v = view(Direction::ISOMETRIC);
    let mut scene = Scene::new(&things, &v);
    let last = things.len() - 1;
    for piece in scene.pieces.iter_mut().filter(|p| scene.faces[p.face].body == last) {
        piece.contours.iter_mut().flatten().for_each(|c| c[2] -= 1000.0);
    }
    let shown = visible::seen(&scene);
    let [wrong, _] = disagreements(&things, &v, &scene, &shown, &mut rng);
    assert!(wrong > 5, "{wrong}");
}

/// Whether two segments cross.
fn cross([a, b]: [Point; 2], [c, d]: [Point; 2]) -> bool {
    let side = |p: Point, q: Point, r: Point| (q - p).cross(r - p) > 0.0;
    side(a, b, c) != side(a, b, d) && side(c, d, a) != side(c, d, b)
}

#[test]
fn lines_are_where_what_a_ray_meets_changes_and_nowhere_twice() {
    let mut rng = fastrand::Rng::with_seed(11);
    let (mut crossed, mut plain) = (0, 0);
    for round in 0..30 {
        let things = random_things(&mut rng);
        let v = view(random_direction(&mut rng));
        let lines = segments(&draw(&things, &v, "figure"));
        let smooth = |a: (usize, [f64; 3]), b: (usize, [f64; 3])| a.0 == b.0 && dot(a.1, b.1) > 0.86;
        for _ in 0..400 {
            let [a, b] = lines[rng.usize(0..lines.len())];
            let t = random(&mut rng, -0.2, 1.2);
            let p = a.lerp(b, t) + (rng.f64() - 0.5, rng.f64() - 0.5);
            let q = p + (rng.f64() - 0.5, rng.f64() - 0.5);
            let number = lines.iter().filter(|l| cross([p, q], **l)).count();
            let (from, to) = (first_hit(&things, &v, p), first_hit(&things, &v, q));
            let same = from == to || from.zip(to).is_some_and(|(a, b)| smooth(a, b));
            // Between two faces there is a line; across one line lie two faces.
            assert!(same || number > 0, "round {round}: nothing between {p:?} and {q:?}");
            assert!(number != 1 || from != to, "round {round}: an idle line between {p:?} and {q:?}");
            crossed += usize::from(number == 1);
            plain += usize::from(number == 0);
        }
        for (i, [a, b]) in lines.iter().enumerate() {
            let middle = a.midpoint(*b);
            let on = |[c, d]: &[Point; 2]| {
                c.distance(middle) + middle.distance(*d) - c.distance(*d) < 1e-12
                    && (*b - *a).cross(*d - *c).abs() < 1e-9
            };
            assert!(lines.iter().enumerate().all(|(k, l)| k == i || !on(l)), "round {round}: a line drawn twice");
        }
    }
    assert!(crossed > 2000 && plain > 2000, "{crossed} {plain}");
}

/// Letters sunk into a plate or standing on it, as prisms and as relief: `floor` is what lies under the letters.
fn lettered(words: &str, sunk: bool) -> (Vec<Prism>, Relief) {
    let letters = visible::filled(&crate::shape::runs(&crate::shape::font::outlines(words, 8.0, true), SAG)).contours();
    let plate = rectangle([-3.0, 30.0], [-5.0, 12.0]);
    let reversed = |o: &Vec<Point>| o.iter().rev().copied().collect::<Vec<_>>();
    let (region, upper, [surface, end]) = if sunk {
        let cut: Vec<_> = letters.iter().map(reversed).collect();
        (cut.clone(), [vec![plate.clone()], cut].concat(), [6.0, 5.0])
    } else {
        (letters.clone(), letters, [5.0, 6.0])
    };
    let prisms = vec![prism(vec![plate], [0.0, 5.0]), prism(upper, [5.0, 6.0])];
    (prisms, Relief { id: "letters".into(), region, surface, end })
}

/// What is filled with a shade.
fn filled_with(group: &Group, shade: Fill) -> Area {
    let all = group.marks.iter().filter_map(|m| match m {
        Mark::Path { contours, fill, .. } if *fill == shade => Some(contours.clone()),
        _ => None,
    });
    visible::filled(&all.flatten().collect::<Vec<_>>())
}

#[test]
fn lettering_in_relief_is_what_the_removal_of_hidden_surfaces_gives() {
    let mut rng = fastrand::Rng::with_seed(5);
    for round in 0..40 {
        let sunk = round % 2 == 0;
        let (prisms, relief) = lettered("S8eg", sunk);
        let direction = Direction { azimuth: random(&mut rng, -180.0, 180.0), elevation: random(&mut rng, 3.0, 88.0) };
        let v = view(direction);
        let scene = Scene::new(&[Body { id: "b".into(), prisms }], &v);
        let shown = visible::seen(&scene);
        let exact = |prism: usize, side: Side| -> f64 {
            let alike = scene.faces.iter().zip(&shown).filter(|(f, _)| f.prism == prism && f.side == side);
            alike.map(|(_, seen)| area(&seen.contours())).sum()
        };
        let group = relief.draw(&v, "figure");
        let [deep, walls] = [Fill::Deep, Fill::Dim].map(|shade| filled_with(&group, shade));
        let [deep_area, covered] = [&deep, &visible::common(&deep, &walls)].map(|a| area(&a.contours()));
        let (flat, expected) = if sunk {
            (deep_area - covered, exact(0, Side::Top))
        } else {
            let seen = area(&walls.contours()) - covered;
            assert!((seen - exact(1, Side::Wall)).abs() < 0.05, "{direction:?}: walls {seen}");
            (deep_area, exact(1, Side::Top))
        };
        assert!((flat - expected).abs() < 0.05, "{direction:?} {sunk}: {flat} {expected}");
    }
}

#[test]
fn lettering_in_relief_is_seen_from_above_and_edge_on_only_where_it_stands_out() {
    for (sunk, elevation, expected) in
        [(true, 90.0, 1), (true, 30.0, 2), (true, 0.0, 0), (true, -30.0, 0), (false, 90.0, 1), (false, 0.0, 1)]
    {
        let (_, relief) = lettered("25", sunk);
        let v = view(Direction { azimuth: 20.0, elevation });
        assert_eq!(relief.draw(&v, "figure").marks.len(), expected, "{sunk} {elevation}");
        assert_eq!(relief.is_behind(&v), elevation < 0.0);
    }
}
