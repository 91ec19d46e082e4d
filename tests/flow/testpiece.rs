//! The test piece: its geometry in the written STL, its sheet, and what is told from prints of known scale and growth.
//!
//! A virtual print scales the piece's polygons, offsets them by the growth with a polygon library, and is measured by
//! rays through the polygons; nothing of it knows the formulas that the scale is fitted by.

use kurbo::Size;
use std::fs;
use std::io::Cursor;

use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};
use proptest::prelude::*;
use serde_json::{Value, json};

use super::support::{file, parsed, refusal, run, stdout, tells_of};
use stopwright::drawing::{Mark, clash};
use stopwright::shape::polygon::Region;
use stopwright::terms::PaperSize;
use stopwright::testpiece::judge::{Advice, Judged, judge};
use stopwright::testpiece::piece::{APART, Distance};
use stopwright::testpiece::{Axis, LengthKind, Piece, Readings, files, form, sheet};
use stopwright::units::{Units, Written};

fn piece() -> Piece {
    Piece::for_bed(Size::new(220.0, 220.0)).unwrap()
}

/// Straight-sided areas, mm.
type Shapes = Vec<Vec<Vec<[f64; 2]>>>;

/// A print: bars and walls as they come out.
struct Print {
    bars: Shapes,
    walls: Shapes,
}

impl Print {
    fn new(piece: &Piece, scale: [f64; 2], growth: f64) -> Self {
        let grown = |region: Region| -> Shapes {
            let scaled = |c: &[i32; 2]| [0, 1].map(|k| scale[k] * f64::from(c[k]) / 1000.0);
            let outlines: Shapes = region.iter().map(|o| vec![o.iter().map(scaled).collect()]).collect();
            outlines.outline(&OutlineStyle::new(growth).line_join(LineJoin::Miter(0.5)))
        };
        Self { bars: grown(vec![piece.outline()]), walls: grown(piece.walls()) }
    }

    /// A length as calipers without any error would read it.
    fn measured(&self, d: &Distance) -> f64 {
        let datum = crossings(&self.bars, d).into_iter().fold(f64::INFINITY, f64::min);
        match d.kind {
            LengthKind::SameWay => crossings(&self.walls, d).into_iter().fold(f64::INFINITY, f64::min) - datum,
            LengthKind::Outside => crossings(&self.bars, d).into_iter().fold(f64::NEG_INFINITY, f64::max) - datum,
        }
    }
}

/// Where the line that `d` is measured along crosses the outlines.
fn crossings(shapes: &Shapes, d: &Distance) -> Vec<f64> {
    let (along, across) = (d.axis as usize, 1 - d.axis as usize);
    let sides = shapes.iter().flatten().flat_map(|o| (0..o.len()).map(move |i| (o[i], o[(i + 1) % o.len()])));
    sides
        .filter(|(a, b)| (a[across] < d.line) != (b[across] < d.line))
        .map(|(a, b)| a[along] + (d.line - a[across]) / (b[across] - a[across]) * (b[along] - a[along]))
        .collect()
}

/// The file of readings, several for each length.
fn measured(readings: impl Fn(&Distance) -> Vec<f64>) -> Value {
    let list = |axis: Axis, kind: LengthKind| -> Vec<Value> {
        let of = piece().distances().into_iter().filter(move |d| d.axis == axis && d.kind == kind);
        of.map(|d| json!({ "length": d.length, "readings": readings(&d) })).collect()
    };
    let part =
        |axis| json!({ "same_way": list(axis, LengthKind::SameWay), "outside": list(axis, LengthKind::Outside) });
    json!({ "format": 1, "units": "mm", "x": part(Axis::X), "y": part(Axis::Y) })
}

fn judged(file: &Value) -> Judged {
    let readings = Readings::parse("m.json", file.to_string().as_bytes()).unwrap_or_else(|e| panic!("{e}"));
    judge(&readings).unwrap()
}

#[test]
fn scale_and_growth_of_a_print_without_noise_are_found_exactly() {
    for (scale, growth) in [([1.0, 1.0], 0.0), ([0.9972, 1.0018], 0.06), ([1.004, 0.996], -0.04), ([0.99, 0.985], 0.15)]
    {
        let print = Print::new(&piece(), scale, growth);
        // Whatever the caliper is off by alike cancels, however large: nothing is stated of it.
        for zero in [0.0, 0.4] {
            let found = judged(&measured(|d| vec![print.measured(d) + zero]));
            for (axis, scale) in found.axes.iter().zip(scale) {
                // The polygon library keeps corners to about 1e-7 mm on a piece of this size.
                assert!((axis.scale - scale).abs() < 1e-8, "{scale} {growth} {zero}: {}", axis.scale);
                assert!((axis.growth.unwrap() - growth).abs() < 1e-6, "{scale} {growth} {zero}: {:?}", axis.growth);
            }
            assert!((found.instrument_error.unwrap() - zero).abs() < 1e-6 && found.agree);
        }
    }
}

/// A small generator (G. Marsaglia, "Xorshift RNGs", J. Stat. Softw. 8 (2003) 14), so that the draws never change.
struct Draws(u64);

impl Draws {
    /// Between −1 and 1.
    fn one(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }
}

/// Each length is off by itself within ±0.05 mm (rectangular), all alike by the caliper's error, and three readings of it
/// scatter by ±0.02 mm and are read to 0.01 mm. U (k = 2) must hold the true scale in 93 % of trials or more; it is two
/// standard deviations, so that the mean square of miss/U is a quarter (JCGM 100:2008, 6.2.1: U = k·u).
#[test]
fn scale_and_growth_lie_within_their_uncertainty_as_often_as_stated() {
    const TRIALS: usize = 4000;
    let mut draws = Draws(0x7e57_91ec_e5ca_1e00);
    for instrument in [None, Some(0.03)] {
        let (mut held, mut squares, mut grown, mut alarms) = (0, 0.0, 0, 0);
        for _ in 0..TRIALS {
            let scale = [1.0 + 0.005 * draws.one(), 1.0 + 0.005 * draws.one()];
            let growth = 0.1 * draws.one();
            let zero = instrument.unwrap_or(0.5) * draws.one();
            let print = Print::new(&piece(), scale, growth);
            let draws = std::cell::RefCell::new(&mut draws);
            let mut file = measured(|d| {
                let own = 0.05 * draws.borrow_mut().one();
                let one = || print.measured(d) + own + zero + 0.02 * draws.borrow_mut().one();
                (0..3).map(|_| (100.0 * one()).round() / 100.0).collect()
            });
            file["instrument"] = json!(instrument);
            let found = judged(&file);
            for (axis, scale) in found.axes.iter().zip(scale) {
                let miss = (axis.scale - scale) / axis.scale_uncertainty;
                held += usize::from(miss.abs() <= 1.0);
                squares += miss * miss;
                grown += usize::from((axis.growth.unwrap() - growth).abs() <= axis.growth_uncertainty.unwrap());
            }
            alarms += usize::from(!found.agree);
        }
        let rate = |n: usize| n as f64 / (2 * TRIALS) as f64;
        let square = squares / (2 * TRIALS) as f64;
        println!(
            "{instrument:?}: scale held {:.4}, growth held {:.4}, mean square of miss/U {square:.4}, alarms {:.4}",
            rate(held),
            rate(grown),
            2.0 * rate(alarms)
        );
        assert!(rate(held) > 0.93 && rate(grown) > 0.93, "{} {}", rate(held), rate(grown));
        assert!((square - 0.25).abs() < 0.015, "{square}");
        assert!(2.0 * rate(alarms) < stopwright::fit::agree::RISK, "{}", rate(alarms));
    }
}

#[test]
fn a_slip_in_one_length_is_seen_and_nothing_is_advised() {
    for slip in 0..8 {
        let count = std::cell::Cell::new(0);
        let file = measured(|d| {
            count.set(count.get() + 1);
            vec![0.998 * d.length + if count.get() == slip + 1 { 0.6 } else { 0.0 }]
        });
        let found = judged(&file);
        assert!(!found.agree && found.failed() && found.scale.is_none(), "{slip}");
        assert_eq!(found.advice, Advice::MeasureAgain);
    }
}

#[test]
fn a_scale_that_is_not_told_from_one_is_left_alone() {
    let of = |x: f64, y: f64| judged(&measured(|d| vec![[x, y][d.axis as usize] * d.length + 0.01]));
    let found = of(1.0001, 0.9999);
    assert_eq!((found.advice, found.scale), (Advice::LeaveAlone, None));
    let found = of(1.0001, 0.996);
    let scale = found.scale.unwrap();
    assert_eq!((found.advice, scale.x, scale.y), (Advice::Scale, 1.0, 0.996));
    assert!((scale.within.unwrap() - found.axes[1].scale_uncertainty).abs() < 1e-5);
    // What is printed for the job is read by it.
    let mut job = super::support::job_of(1, 0);
    job["print"] = json!({ "scale": scale });
    assert_eq!(parsed(&job).print.scale, Some(scale));
    assert_eq!(of(1.0, 0.94).advice, Advice::OutOfRange);
}

/// Corners and normals of the facets of the written STL, read by a reader that is not ours.
fn facets(stl: &[u8]) -> Vec<([f64; 3], [[f64; 3]; 3])> {
    let mesh = stl_io::read_stl(&mut Cursor::new(stl)).unwrap();
    assert!(mesh.validate().is_ok());
    let corner = |i: usize| [mesh.vertices[i][0], mesh.vertices[i][1], mesh.vertices[i][2]].map(f64::from);
    mesh.faces
        .iter()
        .map(|f| ([f.normal[0], f.normal[1], f.normal[2]].map(f64::from), f.vertices.map(corner)))
        .collect()
}

/// Same-way faces truly look the same way and outside faces apart, in the file, and lie as far apart as meant: found by
/// their normals and planes, not by rays.
#[test]
fn faces_of_the_written_file_look_and_lie_as_meant() {
    for bed in [(220.0, 220.0), (150.0, 300.0)] {
        let piece = Piece::for_bed(bed.into()).unwrap();
        let made = files::test_piece(&piece, PaperSize::A4, Units::Mm, Written::of(Units::Mm), &()).unwrap();
        assert!(made.readings.iter().all(|r| (r.measured - r.distance.length).abs() <= 0.001));
        let facets = facets(&made.artifacts[0].bytes);
        for d in piece.distances() {
            let (along, across) = (d.axis as usize, 1 - d.axis as usize);
            // Planes of facets around the place at that height, with the sense in which they look.
            let at = |height: f64| -> Vec<(f64, f64)> {
                let spans = |t: &[[f64; 3]; 3], i: usize, v: f64| {
                    let (low, high) = (
                        t.map(|p| p[i]).into_iter().fold(f64::MAX, f64::min),
                        t.map(|p| p[i]).into_iter().fold(f64::MIN, f64::max),
                    );
                    low < v && v < high
                };
                let walls = facets
                    .iter()
                    .filter(|(n, t)| n[along].abs() > 0.999 && spans(t, across, d.line) && spans(t, 2, height));
                walls.map(|(n, t)| (t[0][along], n[along].signum())).collect()
            };
            let datum = at(d.heights[0]).into_iter().reduce(|a, b| if a.0 <= b.0 { a } else { b }).unwrap();
            let (want, other) = match d.kind {
                LengthKind::SameWay => {
                    (-1.0, at(d.heights[1]).into_iter().reduce(|a, b| if a.0 <= b.0 { a } else { b }))
                }
                LengthKind::Outside => {
                    (1.0, at(d.heights[1]).into_iter().reduce(|a, b| if a.0 >= b.0 { a } else { b }))
                }
            };
            let other = other.unwrap();
            assert_eq!((datum.1, other.1), (-1.0, want), "{d:?}");
            assert!((other.0 - datum.0 - d.length).abs() <= 0.001, "{d:?}: {datum:?} {other:?}");
        }
        let low = facets.iter().flat_map(|(_, t)| t).map(|p| p[2]).fold(f64::MAX, f64::min);
        assert_eq!(low, 0.0);
    }
}

#[test]
fn the_sheet_is_clear_and_bears_every_length() {
    for bed in [(220.0, 220.0), (150.0, 150.0), (140.0, 300.0)] {
        let piece = Piece::for_bed(bed.into()).unwrap();
        for size in [PaperSize::A4, PaperSize::Letter] {
            for units in [Units::Mm, Units::Inch] {
                let sheet = sheet::sheet(&piece, size, Written::of(units));
                assert_eq!(clash::find(&sheet), [], "{bed:?} {size:?} {units:?}");
                for (i, d) in piece.distances().iter().enumerate() {
                    let group = sheet.groups.iter().find(|g| g.id == format!("dim-{}", i + 1)).unwrap();
                    let value = |name: &str| group.data.iter().find(|(n, _)| *n == name).unwrap().1.clone();
                    assert_eq!(value("value"), d.length.to_string());
                    // The dimension's ends lie on the paper as far apart as the scale of 1:2 says.
                    let ends = ["from", "to"].map(|end| {
                        let text = value(end);
                        text.split(' ').map(|v| v.parse::<f64>().unwrap()).collect::<Vec<_>>()[d.axis as usize]
                    });
                    assert!(((ends[0] - ends[1]).abs() - 0.5 * d.length).abs() < 1e-9, "{d:?} {ends:?}");
                    assert!(sheet.groups.iter().any(|g| g.id == format!("table-{}", i + 1)));
                }
                let texts = sheet.groups.iter().flat_map(|g| &g.marks);
                assert!(texts.into_iter().all(|m| !matches!(m, Mark::Text(t) if t.height < 2.5)));
                let mut ids: Vec<&String> = sheet.groups.iter().map(|g| &g.id).collect();
                ids.sort();
                ids.dedup();
                assert_eq!(ids.len(), sheet.groups.len(), "ids are unique");
            }
        }
    }
}

#[test]
fn the_command_makes_the_piece_and_judges_its_form() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().display().to_string();
    for units in ["mm", "in"] {
        let said = stdout(&["testpiece", "--units", units, "--out", &out]);
        for name in ["test-piece.stl", "test-piece.svg", "test-piece-measured.json"] {
            assert!(said.contains(name) && folder.path().join(name).exists(), "{name}");
        }
        let form = folder.path().join("test-piece-measured.json");
        let path = form.display().to_string();
        // As it is written it holds no readings: two faults, one an axis.
        let said = refusal(&["testpiece", &path]);
        assert_eq!(said.lines().count(), 2, "{said}");
        assert!(said.contains("x: no readings") && tells_of(&said, "y"), "{said}");
        let mut value: Value = serde_json::from_str(&fs::read_to_string(&form).unwrap()).unwrap();
        let per = if units == "in" { 25.4 } else { 1.0 };
        for (axis, kind) in [("x", "same_way"), ("x", "outside"), ("y", "same_way"), ("y", "outside")] {
            for size in value[axis][kind].as_array_mut().unwrap() {
                let length = match &size["length"] {
                    Value::String(text) => text.strip_suffix(" mm").unwrap().parse().unwrap(),
                    number => number.as_f64().unwrap(),
                };
                // One of three was not taken.
                size["readings"][0] = json!(0.997 * length / per);
                size["readings"][2] = json!(0.997 * length / per);
            }
        }
        let filled = file(folder.path(), "filled.json", &value);
        let said = stdout(&["testpiece", &filled]);
        assert!(said.contains("\"print\": { \"scale\": { \"x\": 0.997, \"y\": 0.997, \"within\": 0.000"), "{said}");
        let json: Value = serde_json::from_str(&stdout(&["testpiece", &filled, "--json"])).unwrap();
        assert_eq!(json["print"]["scale"]["x"], json!(0.997));
        assert_eq!(json["sizes"].as_array().unwrap().len(), 8);
        assert_eq!(json["sizes"][0]["count"], json!(2));
        value["x"]["outside"][1]["readings"] = json!([(0.997 * 146.0 + 0.8) / per]);
        let slip = run(&["testpiece", &file(folder.path(), "slip.json", &value)]);
        assert_eq!(slip.status.code(), Some(1));
        assert!(String::from_utf8(slip.stdout).unwrap().contains("do NOT agree"));
        fs::remove_file(&form).unwrap();
    }
    let json: Value = serde_json::from_str(&stdout(&["testpiece", "--json", "--out", &out])).unwrap();
    assert_eq!(json["lengths"].as_array().unwrap().len(), 8);
    assert_eq!(stdout(&["testpiece", "--quiet", "--out", &out]), "");
}

#[test]
fn bad_readings_and_arguments_are_refused_in_words() {
    let folder = tempfile::tempdir().unwrap();
    let sound = measured(|d| vec![d.length]);
    for (change, field, allowed) in [
        (&(|f: &mut Value| f["format"] = json!(2)) as &dyn Fn(&mut Value), "format", "1"),
        (&|f| f["units"] = json!("cm"), "units", "\"mm\" or \"in\""),
        (&|f| f["z"] = json!({}), "z", "Use format"),
        (&|f| f["x"] = json!(null), "x", "object"),
        (&|f| f["x"] = json!({}), "x", &format!("two lengths {APART} mm apart")),
        (&|f| f["y"]["inside"] = json!([]), "y.inside", "Use same_way, outside"),
        (&|f| f["y"]["outside"][0]["length"] = json!(0), "y.outside[0].length", "1 to 2000 mm"),
        (&|f| f["y"]["outside"][0]["length"] = json!("26 mm +- 1 mm"), "y.outside[0].length", "the length alone"),
        (&|f| f["x"]["same_way"][1]["readings"] = json!([140.2, "x"]), "x.same_way[1].readings[1]", "a number"),
        (&|f| f["x"]["same_way"][1]["readings"] = json!([-1]), "x.same_way[1].readings[0]", "0.5 to 2200 mm"),
        (&|f| f["x"]["same_way"][1]["readings"] = json!([104.2]), "x.same_way[1].readings[0]", "131 to 149 mm"),
        (&|f| f["x"]["same_way"][1]["readings"] = json!(140.2), "x.same_way[1].readings", "a list"),
        (
            &|f| f["x"]["same_way"][0] = json!({ "length": 20 }),
            "x.same_way[0].readings",
            "is missing. Add \"readings\": what was read",
        ),
        (
            &|f| f["x"]["same_way"][1]["readings"] = json!([{ "value": 140, "within": 0 }]),
            "x.same_way[1].readings[0]",
            "a tolerance of 0.001 mm or more",
        ),
        (&|f| f["instrument"] = json!(-0.1), "instrument", "0 to 1 mm"),
        (&|f| f["within"] = json!(0), "within", "0.001 to 1 mm"),
    ] {
        let mut value = sound.clone();
        change(&mut value);
        let said = refusal(&["testpiece", &file(folder.path(), "m.json", &value)]);
        assert!(said.contains("m.json:1:") && tells_of(&said, field), "{field}: {said}");
        assert!(said.contains(allowed), "{field}: {said}");
    }
    // Growth and scale cannot be told apart from a short same-way length and a long outside size.
    let mut value = sound.clone();
    for axis in ["x", "y"] {
        value[axis]["same_way"].as_array_mut().unwrap().pop();
        value[axis]["outside"].as_array_mut().unwrap().remove(0);
    }
    assert!(refusal(&["testpiece", &file(folder.path(), "m.json", &value)]).contains("readings at lengths 0 mm apart"));
    for (extra, allowed) in [
        (&["--bed", "100,220"][..], "136 mm each way"),
        (&["--bed", "220"], "width and depth"),
        (&["--bed", "220,x"], "a number"),
        (&["--bed", "10,220"], "50 to 2000 mm"),
        (&["--bed", "-220,220"], "50 to 2000 mm"),
    ] {
        let out = folder.path().join("made");
        let said = refusal(&[&["testpiece", "--out", &out.display().to_string()], extra].concat());
        assert!(tells_of(&said, "--bed") && said.contains(allowed), "{said}");
        assert!(!out.exists(), "something was written");
    }
    let path = file(folder.path(), "m.json", &sound);
    assert!(refusal(&["testpiece", &path, "--bed", "220,220"]).contains("cannot be used with"));
    assert!(refusal(&["testpiece", "no/such.json"]).contains("no/such.json"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]

    /// The form and a filled one, broken by hand: faults in words, or readings that can be judged.
    #[test]
    fn broken_forms_are_refused_or_judged(
        filled in any::<bool>(),
        at in any::<prop::sample::Index>(),
        cut in 0usize..12,
        paste in prop::sample::select(vec!["", "{", "]", "\"", ",", "null", "-1", "1e999", "20", "\"1/0 in\"", "{\"value\":20,\"within\":0}"]),
    ) {
        let mut bytes = match filled {
            true => fs::read(super::support::home().join("examples/test-piece-measured.json")).unwrap(),
            false => form::text(&piece(), Units::Inch).into_bytes(),
        };
        let from = at.index(bytes.len());
        let to = (from + cut).min(bytes.len());
        bytes.splice(from..to, paste.bytes());
        match Readings::parse("x", &bytes) {
            Err(faults) => prop_assert!(faults.0.iter().all(|f| !f.found.is_empty() && (!f.allowed.is_empty() || f.mend.is_some()))),
            Ok(readings) => {
                let found = judge(&readings);
                prop_assert!(found.is_ok_and(|j| j.axes.iter().all(|a| a.scale.is_finite() && a.scale_uncertainty > 0.0)));
            }
        }
    }
}
