//! Gauges: a blade moved in a notch until it touches, curves and angles of the written files, sheets, faults.
//!
//! The blade's section is moved as a plain polygon along the wall of a notch, the plan's own polygon, and stopped by
//! bisection where the two begin to overlap; where light shows is asked of the polygons, and of no formula.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use kurbo::{Line, ParamCurveNearest, Point, Size};
use proptest::prelude::*;
use serde_json::Value;

use super::support::{demo, home, refusal, run, stdout};
use stopwright::drawing::{Mark, clash};
use stopwright::format::stl;
use stopwright::gauges::bevel::{Asked, End, Notch, claim};
use stopwright::gauges::check::{self, Mismeasured};
use stopwright::gauges::light::{Making, VISIBLE};
use stopwright::gauges::section::{CutSection, Layers};
use stopwright::gauges::sheets::{self, cuts};
use stopwright::gauges::{self, Plate, Shape, Wanted, files};
use stopwright::job::PrintOptions;
use stopwright::profile::job::ScaleFile;
use stopwright::shape::polygon::{doubled_area, millimetres};
use stopwright::solid;
use stopwright::stones::camber::curve::Curve;
use stopwright::terms::PaperSize;
use stopwright::units::{Units, Written};

fn wanted(angles: &[f64], tolerance: f64, thickness: f64) -> Wanted {
    Wanted {
        bevels: angles.iter().map(|&angle| Asked { angle, thickness }).collect(),
        tolerance,
        making: Making::Printed,
        cambers: Vec::new(),
        square_width: None,
        print: PrintOptions::default(),
        title: "Alder Lane".into(),
        written: Written::of(Units::Mm),
        paper: PaperSize::A4,
    }
}

/// The plate's outline in mm, turned so that the notch opens up.
fn outline(plate: &Plate, notch: &Notch) -> Vec<Point> {
    plate.outline.iter().map(|c| turned(plate, notch, millimetres(*c))).collect()
}

/// The notch's apex as it is turned.
fn apex(plate: &Plate, notch: &Notch) -> Point {
    turned(plate, notch, notch.apex)
}

fn turned(plate: &Plate, notch: &Notch, p: Point) -> Point {
    if notch.turned { (plate.size.to_vec2() - p.to_vec2()).to_point() } else { p }
}

/// A blade's section, its edge `up` mm above the apex, its back on the wall.
fn blade(at: Point, up: f64, bevel: f64, thickness: f64) -> Vec<Point> {
    // A hair off the wall, so that lying on it is no overlap.
    let heel = thickness / bevel.to_radians().tan();
    [(0.0, 0.0), (thickness, heel), (thickness, heel + 60.0), (0.0, heel + 60.0)]
        .map(|corner| at + (1e-6, up) + corner)
        .to_vec()
}

fn overlap(a: &[Point], b: &[Point]) -> f64 {
    let [a, b] = [a, b].map(|o| vec![o.iter().map(|p| [p.x, p.y]).collect::<Vec<_>>()]);
    let shapes = a.overlay(&b, OverlayRule::Intersect, FillRule::NonZero);
    let of = |o: &Vec<[f64; 2]>| {
        (0..o.len()).map(|i| o[i][0] * o[(i + 1) % o.len()][1] - o[(i + 1) % o.len()][0] * o[i][1]).sum::<f64>() / 2.0
    };
    shapes.iter().flatten().map(of).sum::<f64>().abs()
}

/// Lowest place of the edge above the apex at which the blade does not run into the plate.
fn stopped(plate: &[Point], at: Point, bevel: f64, thickness: f64) -> f64 {
    let [mut low, mut high] = [-8.0, 60.0];
    for _ in 0..48 {
        let middle = (low + high) / 2.0;
        if overlap(plate, &blade(at, middle, bevel, thickness)) > 1e-9 { low = middle } else { high = middle }
    }
    high
}

/// How far to the right of a point the plate begins.
fn beside(plate: &[Point], Point { x, y }: Point) -> f64 {
    let met = (0..plate.len()).filter_map(|i| {
        let (a, b) = (plate[i], plate[(i + 1) % plate.len()]);
        let crossed = ((a.y <= y) != (b.y <= y)).then(|| a.lerp(b, (y - a.y) / (b.y - a.y)).x);
        crossed.filter(|at| *at > x - 1e-3)
    });
    met.fold(f64::INFINITY, f64::min) - x
}

/// Distance of a point from a run.
fn distance(p: Point, [a, b]: [Point; 2]) -> f64 {
    Line::new(a, b).nearest(p, 1e-9).distance_sq.sqrt()
}

/// The gaps at the heel and just outside the hole's rim of a blade that was pushed in until it stopped.
fn gaps(plate: &Plate, notch: &Notch, bevel: f64, thickness: f64) -> (f64, [f64; 2]) {
    let (polygon, at) = (outline(plate, notch), apex(plate, notch));
    let up = stopped(&polygon, at, bevel, thickness);
    let beta = bevel.to_radians();
    let on_bevel = |above: f64| at + (above * beta.tan(), up + above);
    let heel = thickness / beta.tan();
    // The heel's distance from the flank, along it.
    let at_heel = beside(&polygon, on_bevel(heel - 0.01)) * notch.angle.to_radians().cos();
    // At the other end the nearest of rim and bevel, edge and flank.
    let (sin, cos) = notch.angle.to_radians().sin_cos();
    let on_flank = |far: f64| at + (far * sin, far * cos);
    let rim = on_flank(notch.relief);
    let at_rim =
        distance(rim, [on_bevel(0.0), on_bevel(heel)]).min(distance(on_bevel(0.0), [rim, on_flank(notch.flank)]));
    (up, [at_heel, at_rim])
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// What the sheet says of bevels between the notches and on either side of them.
    #[test]
    fn light_shows_where_the_sheet_says(
        bevel in 15.0..45.0f64, tolerance in 0.2..1.5f64, thickest in 2.5..7.0f64, part in 0.7..1.0f64,
        off in prop::sample::select(vec![-2.2, -1.4, -0.7, 0.0, 0.7, 1.4, 2.2]), metal in any::<bool>(),
    ) {
        let mut asked = wanted(&[bevel, bevel + 3.0], tolerance, thickest);
        asked.making = if metal { Making::Metal } else { Making::Printed };
        let Ok(plates) = gauges::plan(&asked) else { return Err(TestCaseError::reject("too little bevel")) };
        let Shape::Bevel(gauge) = &plates[0].shape else { panic!("a bevel gauge") };
        let span = gauge.notches[1].angle - bevel;
        let real = bevel + off * span;
        let thickness = (part * thickest).max(gauge.notches[1].thinnest(asked.making)).min(thickest);
        let mut lights = Vec::new();
        for notch in &gauge.notches[..2] {
            let (up, [heel, rim]) = gaps(&plates[0], notch, real, thickness);
            let rest = notch.rest(real, thickness);
            prop_assert!((up - rest.edge).abs() < 0.01, "{}: edge {up}, said {}", notch.name(), rest.edge);
            let (lit, dark) = if rest.light == End::Heel { (heel, rim) } else { (rim, heel) };
            prop_assert!(lit > dark, "{}: {heel} {rim}", notch.name());
            // The places are a little inside the flank's ends.
            // The heel of a bevel far too shallow lies past the flank, on the slot's side, and the gap is less.
            let heel_on_flank = up + thickness / real.to_radians().tan() < notch.flank * notch.angle.to_radians().cos();
            let comparable = rest.light == End::Rim || heel_on_flank;
            prop_assert!(!comparable || (lit - rest.gap).abs() < 0.02 * rest.gap + 0.003, "{}: {lit}, said {}", notch.name(), rest.gap);
            lights.push(if heel > rim { End::Heel } else { End::Rim });
        }
        let expected = match off {
            o if o < -1.0 => [End::Heel, End::Heel],
            o if o > 1.0 => [End::Rim, End::Rim],
            _ => [End::Rim, End::Heel],
        };
        prop_assert_eq!(&lights[..], &expected[..], "{} of {} ± {}", real, bevel, span);
    }

    /// A gauge whose walls stray as far as its making allows keeps its claim: light where it should be is never seen of
    /// a bevel further off than is claimed, and always of a bevel just as wanted. Walls stray at both ends of the flank,
    /// the worst way round; gaps are those of the blade moved in the notch.
    #[test]
    fn what_a_gauge_claims_holds_at_its_worst(
        bevel in 12.0..50.0f64, asked in 0.2..1.5f64, thickness in 2.0..6.5f64, metal in any::<bool>(),
    ) {
        let mut wanted = wanted(&[bevel], asked, thickness);
        wanted.making = if metal { Making::Metal } else { Making::Printed };
        let Ok(plates) = gauges::plan(&wanted) else { return Err(TestCaseError::reject("cannot be told")) };
        let Shape::Bevel(gauge) = &plates[0].shape else { panic!("a bevel gauge") };
        let stray = wanted.making.stray();
        // On the thinnest blade that the table gives, which may be thinner than the one asked for.
        let thickness = gauge.thinnest([&gauge.notches[0], &gauge.notches[1]], wanted.making);
        for (notch, outward) in gauge.notches.iter().zip([-1.0, 1.0]) {
            let lit = |real: f64| {
                let (_, [heel, rim]) = gaps(&plates[0], notch, real, thickness);
                if outward > 0.0 { heel - rim } else { rim - heel }
            };
            prop_assert!(notch.within >= asked);
            // Just as wanted, seen even where the wall takes away from the gap.
            prop_assert!(lit(bevel) - stray > VISIBLE - 0.003, "{}: {}", notch.name(), lit(bevel));
            // Off by as much as is claimed: the gap is on the other side, by all that a wall can feign.
            let off = lit(bevel + outward * notch.within);
            prop_assert!(off < 0.003 - 0.97 * stray, "{} ± {}: {off}", notch.name(), notch.within);
        }
    }
}

/// The bench-truth that was missing: printed, half a degree cannot be told on a usual blade; in metal it can.
#[test]
fn a_print_claims_less_than_metal() {
    let of = |making| claim(25.0, 3.2, 0.5, making, 0.4).expect("told").within;
    assert_eq!(of(Making::Metal), 0.5);
    // The bevel is 7.57 mm long, of which the hole takes some 1.3 mm: 0.11 mm over 6.3 mm is 1.0°.
    assert!((0.9..=1.1).contains(&of(Making::Printed)), "{}", of(Making::Printed));
    // A thin blade at a steep angle is not offered at all: 3.5 mm of bevel.
    assert_eq!(claim(45.0, 2.4, 0.5, Making::Printed, 0.4), None);
    assert!(claim(45.0, 2.4, 0.5, Making::Metal, 0.4).is_some());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// Whatever is asked for: sound solids, measured files, sheets without a clash, or a refusal in words.
    #[test]
    fn gauges_are_sound_or_refused(
        angles in prop::collection::btree_set(12u32..120, 0..20), tolerance in 0.1..2.0f64, thickness in 1.5..14.0f64,
        cambers in prop::collection::vec((8.0..140.0f64, 0.02..2.5f64), 0..4), square in prop::option::of(5.0..130.0f64),
        nozzle in prop::sample::select(vec![0.25, 0.4, 0.6, 0.8]), bed in 110.0..250.0f64,
        inches in any::<bool>(), letter in any::<bool>(), scaled in any::<bool>(), metal in any::<bool>(),
    ) {
        let angles: Vec<f64> = angles.into_iter().map(|a| f64::from(a) / 2.0).collect();
        let mut asked = wanted(&angles, tolerance, thickness);
        asked.cambers = cambers.iter().map(|&(width, depth)| ("jack iron".into(), Curve { width, depth })).collect();
        asked.square_width = square;
        asked.making = if metal { Making::Metal } else { Making::Printed };
        asked.print.nozzle = nozzle;
        asked.print.bed = Size::new(bed, bed);
        asked.print.scale = scaled.then_some(ScaleFile { x: 0.9961, y: 1.0023, within: None });
        asked.written = Written::of(if inches { Units::Inch } else { Units::Mm });
        asked.paper = if letter { PaperSize::Letter } else { PaperSize::A4 };
        match files::gauges(&asked, &()) {
            Ok(made) => {
                for (plate, block) in made.plates.iter().zip(&made.blocks) {
                    prop_assert_eq!(block.mesh.open_edges(), 0);
                    prop_assert!(plate.size.max_side() <= bed, "{} {:?}", plate.name, plate.size);
                    // The foot lies within the plate, and lettering and marks do.
                    prop_assert!(block.stack.slabs.iter().all(|s| s.region.iter().map(|o| doubled_area(o)).sum::<i64>() > 0));
                }
                prop_assert!(made.readings.iter().all(|r| r.difference() <= r.allowed()));
                for (name, sheet) in sheets::sheets(&asked, &made.plates) {
                    prop_assert_eq!(clash::find(&sheet), vec![], "{}", name);
                }
            }
            Err(files::NotMade::Refused(refused)) => prop_assert!(refused.0.iter().all(|r| r.len() > 20)),
            Err(other) => prop_assert!(false, "{other}"),
        }
    }
}

/// Found by chance: large figures below notches whose apexes lie to the left ran over the plate's side, where their outline
/// met its own in no whole micrometre.
#[test]
fn figures_stay_on_the_plate() {
    let mut asked = wanted(&[17.5, 18.0, 18.5], 0.1, 13.64841039338666);
    asked.print.nozzle = 0.8;
    asked.print.bed = Size::new(159.4, 159.4);
    assert!(files::gauges(&asked, &()).is_ok());
    for angle in [12.0, 17.5, 25.0, 33.25, 45.0] {
        let mut asked = wanted(&[angle], 1.0, 9.0);
        asked.print.nozzle = 0.8;
        asked.making = Making::Metal;
        for plate in gauges::plan(&asked).unwrap() {
            let [w, h] = [plate.size.width, plate.size.height].map(|side| (1000.0 * side) as i32);
            let on_it = |&[x, y]: &[i32; 2]| x > 0 && x < w && y > 0 && y < h;
            assert!(plate.lettering.region.iter().flatten().all(on_it), "{} {angle}", plate.name);
        }
    }
}

/// A reading fails where a corner of the written file is moved: by more than is allowed along any flank.
#[test]
fn a_file_that_is_off_is_seen() {
    let mut asked = wanted(&[25.0, 30.0], 0.5, 4.0);
    asked.cambers = vec![("jack iron".into(), Curve { width: 51.0, depth: 0.8 })];
    asked.square_width = Some(60.0);
    let plates = gauges::plan(&asked).unwrap();
    for plate in &plates {
        let sound = stl::write(&solid::build(plate.stack()).unwrap().mesh, "x").unwrap();
        assert!(check::stl(&sound, plate, [1.0; 3]).is_ok(), "{}", plate.name);
        let mut sheared = solid::build(plate.stack()).unwrap().mesh;
        for corner in &mut sheared.corners {
            corner[0] += 0.0004 * corner[1];
            corner[1] += 0.0001 * corner[0];
        }
        let off = check::stl(&stl::write(&sheared, "x").unwrap(), plate, [1.0; 3]);
        assert!(matches!(off, Err(Mismeasured::Off(_))), "{}: {off:?}", plate.name);
        assert!(matches!(check::stl(&[0; 10], plate, [1.0; 3]), Err(Mismeasured::Unreadable { .. })));
        assert!(matches!(check::section(&CutSection::default(), plate, "x"), Err(Mismeasured::Missing { .. })));
        // A scale that the file was not written with is seen as well: only right angles do not feel it.
        let scaled = check::stl(&sound, plate, [1.002, 1.0, 1.0]);
        assert!(scaled.is_err(), "{}", plate.name);
    }
    let cuts = String::from_utf8(stopwright::format::dxf::write(&cuts::layers(&plates))).unwrap();
    for (plate, origin) in plates.iter().zip(cuts::origins(&plates)) {
        let layer = cuts::cut_layer(plate);
        let section = |text: &str| Layers::of_dxf(text.as_bytes()).section(layer.as_str(), origin);
        assert!(check::section(&section(&cuts), plate, "gauges.dxf").is_ok());
        assert!(check::section(&section(&cuts.replace(layer.as_str(), "OTHER")), plate, "gauges.dxf").is_err());
    }
}

/// The angles that a sheet states are those of the notches, and its outlines are the plates' at full size.
#[test]
fn sheets_state_what_the_plates_are() {
    for paper in [PaperSize::A4, PaperSize::Letter] {
        let mut asked = wanted(&[20.0, 25.0, 32.5], 0.5, 3.2);
        asked.square_width = Some(60.0);
        asked.paper = paper;
        let plates = gauges::plan(&asked).unwrap();
        let sheets = sheets::sheets(&asked, &plates);
        let group = |id: &str| sheets.iter().flat_map(|(_, s)| &s.groups).find(|g| g.id == id).unwrap();
        for plate in &plates {
            let Some(Mark::Path { contours, .. }) = group(&sheets::outline_id(plate)).marks.first() else {
                panic!("a path")
            };
            let size = clash::around(contours[0].iter().copied()).size();
            assert!((size - plate.size).to_vec2().hypot() < 1e-9);
            assert!(sheets.iter().any(|(_, s)| {
                let has = |id: &str| s.groups.iter().any(|g| g.id == id);
                has(&sheets::outline_id(plate)) && has("check-bar-mm") && has("check-bar-in") && has("cautions")
            }));
        }
        let Shape::Bevel(bevel) = &plates[0].shape else { panic!("a bevel gauge") };
        for notch in &bevel.notches {
            let which = if notch.angle < notch.bevel { "lower" } else { "upper" };
            let cell = group(&format!("angle-{}-{which}", notch.bevel));
            assert_eq!(cell.data[0].1.parse::<f64>().unwrap(), notch.angle);
            let Mark::Text(text) = &cell.marks[0] else { panic!("a text") };
            assert_eq!(text.words.parse::<f64>().unwrap(), notch.angle);
        }
    }
}

#[test]
fn the_command_makes_measures_and_says() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().display().to_string();
    let said = stdout(&["gauges", "--angles", "25,30", "--camber", "51,0.25", "--square", "--out", &out]);
    for file in
        ["gauge-bevel.stl", "gauge-camber.stl", "gauge-square.stl", "gauges.pdf", "gauges.dxf", "gauge-square.svg"]
    {
        assert!(folder.path().join(file).exists(), "{file}: {said}");
    }
    assert!(
        said.contains("Next: Print ") && said.contains("± 1.1°") && said.contains("Good: light at the hole in notch −"),
        "{said}"
    );
    let job = demo().display().to_string();
    // A kit's smoother is too flat for a printed gauge, and `make` says so as well.
    let kit = home().join("examples/alder-lane-kit-job.json").display().to_string();
    let made = stdout(&["make", &kit, "--only", "gauges", "--out", &folder.path().join("kit").display().to_string()]);
    assert!(made.contains("left out: camber gauge, smoother"), "{made}");
    // Of the demo's thinnest blade 35° cannot be told: what is left out is said, and the rest is made.
    let made = run(&["gauges", &job, "--json", "--out", &out, "--force"]);
    let said = String::from_utf8_lossy(&made.stderr);
    assert_eq!((made.status.code(), said.contains("left out: bevel gauge, 35°")), (Some(3), true), "{said}");
    let json: Value = serde_json::from_slice(&made.stdout).unwrap();
    let notches = json["plates"][0]["measures"]["notches"].as_array().unwrap();
    assert!(notches.len() >= 4 && json["readings"].as_array().unwrap().len() > 2 * notches.len());
    assert_eq!(stdout(&["gauges", "--square=2 in", "--quiet", "--out", &out]), "");
}

/// Who cuts a gauge's DXF by machine is warned once on its sheets.
#[test]
fn machines_are_warned_of_once() {
    let wanted = wanted(&[25.0, 30.0], 0.5, 3.2);
    let plates = gauges::plan(&wanted).unwrap_or_else(|e| panic!("{e}"));
    let drawn = sheets::sheets(&wanted, &plates);
    let marks = drawn.iter().flat_map(|(_, s)| &s.groups).flat_map(|g| &g.marks);
    let texts = marks.filter_map(|m| if let Mark::Text(t) = m { Some(t.words.as_str()) } else { None });
    let words = texts.collect::<Vec<_>>().join(" ");
    assert_eq!(words.matches("a CNC machine or a laser").count(), 1, "{words}");
}

#[test]
fn what_cannot_be_gauged_is_refused_in_words() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("made").display().to_string();
    for (arguments, words) in [
        (&[][..], "nothing is asked for"),
        (&["--angles", "61"], "5 to 60 degrees"),
        (&["--angles", "25,x"], "--angles"),
        (&["--angles", "60"], "60° ± 0.5°"),
        (&["--angles", "25", "--tolerance", "4"], "0.1 to 3 degrees"),
        (&["--angles", "25", "--thickness", "30"], "0.5 to 25 mm"),
        (&["--angles", "25", "--thickness", "0.6"], "too little of the bevel"),
        (&["--angles", "6", "--thickness", "20"], "steeper bevels or thinner blades"),
        (&["--camber", "51"], "width and depth"),
        (&["--camber", "51,0.001"], "0.11 to 8.41 mm"),
        (&["--camber", "51,20"], "0.11 to 8.41 mm"),
        (&["--camber", "200,1"], "6 to 145 mm"),
        (&["--square=200"], "a square for blades 200 mm wide"),
        (&["--square=x"], "--square"),
        (&["--square", "2 in"], "Write --square=\"2 in\"."),
    ] {
        let said = refusal(&[&["gauges", "--out", &out], arguments].concat());
        assert!(said.contains(words), "{arguments:?}: {said}");
    }
    assert!(!folder.path().join("made").exists());
    assert!(refusal(&["gauges", &demo().display().to_string(), "--angles", "25"]).contains("cannot be used with"));
}
