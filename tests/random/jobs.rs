//! Random jobs: any guide that is built in or one like it, any tools, any options, within and beside what can be made.

use fastrand::Rng;
use serde_json::{Value, json};

use super::guides;

const GUIDES: [&str; 5] = ["narrow-side-clamp", "wide-side-clamp", "top-clamp", "bench-roller", "twin-roller"];
const TOOLS: [&str; 10] = [
    "plane-iron",
    "thick-plane-iron",
    "laminated-iron",
    "block-plane-iron",
    "spokeshave-iron",
    "bench-chisel",
    "firmer-chisel",
    "laminated-chisel",
    "mortise-chisel",
    "paring-chisel",
];
const SPECIES: [&str; 4] = ["american-beech", "douglas-fir", "white-oak", "hickory"];
const PAPERS: [&str; 3] = ["A4", "A3", "Letter"];
const DATES: [&str; 4] = ["2026-11-30", "30 November 2026", "November 30, 2026", "Mon, 30 Nov 2026"];
const TITLES: [&str; 6] =
    ["Drawer", "Ünder the bench", "A <b> & \"c\"", "25° set", "Łódź", "A rather long title for a block of a workshop"];

/// The job of a number; one with a guide of its own has it in itself.
pub fn job(number: u64) -> Value {
    let rng = &mut Rng::with_seed(number);
    let guide = GUIDES[rng.usize(..GUIDES.len())];
    let inches = rng.u8(..8) == 0;
    let mut job = json!({
        "format": 1,
        "title": TITLES[rng.usize(..TITLES.len())],
        "units": if inches { "in" } else { "mm" },
        "guide": guide,
    });
    let mm = |value: f64| if inches { rounded(value / 25.4, 4) } else { rounded(value, 2) };
    if guide == "bench-roller" || rng.u8(..10) == 0 {
        job["roller_level"] = json!(mm(-4.0 - 12.0 * rng.f64()));
    }
    let settings: Vec<Value> = (0..rng.usize(1..5)).map(|i| setting(rng, i, &mm)).collect();
    job["settings"] = json!(settings);
    if rng.u8(..4) > 0 {
        job["block"] = block(rng, &mm);
    }
    if rng.u8(..3) == 0 {
        job["print"] = print(rng, &mm);
    }
    if rng.u8(..4) == 0 {
        job["tolerance"] = json!(rounded(0.1 + rng.f64(), 2));
    }
    if rng.bool() {
        job["sheet"] =
            json!({ "size": PAPERS[rng.usize(..3)], "projection": if rng.bool() { "first" } else { "third" } });
        set(rng, &mut job["sheet"], "date", 3, &|rng| any(rng, &DATES));
    }
    set(rng, &mut job, "honing", 5, &|rng| honing(rng, &mm));
    if rng.bool() {
        job["wood"] = wood(rng, &mm);
    }
    // The last, so that the jobs of before are what they were but for this.
    set(rng, &mut job, "guide", 2, &|rng| guides::own(rng, guide));
    if job["guide"].is_object() && rng.u8(..8) == 0 {
        narrow(rng, &mut job, &mm);
    }
    job
}

/// Blades as narrow as can be, at a guide that does not say that it takes no such: blocks become as short.
fn narrow(rng: &mut Rng, job: &mut Value, mm: &impl Fn(f64) -> f64) {
    job["guide"]["face"]["width"] = Value::Null;
    for seat in job["guide"]["seats"].as_object_mut().into_iter().flat_map(|seats| seats.values_mut()) {
        seat["blade_width"] = Value::Null;
    }
    for setting in job["settings"].as_array_mut().into_iter().flatten() {
        setting["width"] = json!(mm(0.5 + 4.0 * rng.f64()));
    }
    if rng.bool() {
        job["block"]["clearance"] = json!(mm(0.2 + rng.f64()));
    }
}

pub fn rounded(value: f64, decimals: i32) -> f64 {
    let by = 10_f64.powi(decimals);
    (value * by).round() / by
}

/// Sets a field of an object, once in so many times.
pub fn set(rng: &mut Rng, object: &mut Value, name: &str, one_of: u8, value: &dyn Fn(&mut Rng) -> Value) {
    if rng.u8(..one_of) == 0 {
        object[name] = value(rng);
    }
}

/// One of some names.
pub fn any(rng: &mut Rng, names: &[&str]) -> Value {
    json!(names[rng.usize(..names.len())])
}

/// What moves an angle at the bench.
fn honing(rng: &mut Rng, mm: &impl Fn(f64) -> f64) -> Value {
    let mut stone = json!({});
    set(rng, &mut stone, "length", 2, &|rng| json!(mm(120.0 + 120.0 * rng.f64())));
    set(rng, &mut stone, "hollow_along", 3, &|rng| json!(mm(0.4 * rng.f64() - 0.1)));
    set(rng, &mut stone, "hollow_across", 3, &|rng| json!(mm(0.4 * rng.f64() - 0.1)));
    set(rng, &mut stone, "film", 3, &|rng| json!(mm(0.3 * rng.f64())));
    let mut honing = json!({ "stone": stone });
    set(rng, &mut honing, "scatter", 3, &|rng| json!(rounded(0.3 * rng.f64(), 2)));
    set(rng, &mut honing, "out_of_square", 3, &|rng| json!(rounded(rng.f64(), 2)));
    honing
}

fn setting(rng: &mut Rng, number: usize, mm: &impl Fn(f64) -> f64) -> Value {
    let tool = TOOLS[rng.usize(..TOOLS.len())];
    let half_degrees = |rng: &mut Rng| f64::from(rng.u32(36..86)) / 2.0;
    let mut angles: Vec<f64> = (0..rng.usize(1..7)).map(|_| half_degrees(rng)).collect();
    angles.sort_by(f64::total_cmp);
    angles.dedup();
    let mut setting = json!({ "id": format!("set{number}"), "tool": tool, "angles": angles });
    set(rng, &mut setting, "id", 6, &|_| json!(format!("set{number} of the drawer below the window")));
    let mut sometimes = |name, one_of, value: &dyn Fn(&mut Rng) -> Value| set(rng, &mut setting, name, one_of, value);
    let is_chisel = tool.ends_with("chisel");
    sometimes("width", 2, &|rng| json!(mm(if is_chisel { 4.0 + 40.0 * rng.f64() } else { 30.0 + 40.0 * rng.f64() })));
    sometimes("thickness", 2, &|rng| json!(mm(1.2 + 5.0 * rng.f64())));
    sometimes("taper", 6, &|rng| json!(rounded(3.0 * rng.f64() - 1.5, 2)));
    sometimes("edge", 4, &|rng| json!(if rng.bool() { "near" } else { "far" }));
    sometimes("primary", 8, &|rng| json!(f64::from(rng.u32(30..60)) / 2.0));
    if is_chisel {
        sometimes("land", 3, &|rng| json!(mm(0.5 + 2.0 * rng.f64())));
        sometimes("land_taper", 6, &|rng| json!(rounded(rng.f64() - 0.5, 2)));
    }
    sometimes("roller_level", 12, &|rng| json!(mm(-4.0 - 12.0 * rng.f64())));
    setting
}

fn block(rng: &mut Rng, mm: &impl Fn(f64) -> f64) -> Value {
    let mut block = json!({});
    let mut sometimes = |name, one_of, value: &dyn Fn(&mut Rng) -> Value| set(rng, &mut block, name, one_of, value);
    sometimes("thickness", 3, &|rng| json!(mm(6.0 + 14.0 * rng.f64())));
    sometimes("middle", 3, &|rng| json!(mm(5.0 + 30.0 * rng.f64())));
    sometimes("fence_height", 4, &|rng| json!(mm(3.0 + 12.0 * rng.f64())));
    sometimes("clearance", 4, &|rng| json!(mm(0.5 + 4.0 * rng.f64())));
    for option in ["foot_relief", "front_relief", "marks", "screw_holes", "cleat"] {
        sometimes(option, 3, &|rng| json!(rng.bool()));
    }
    sometimes("labels", 3, &|rng| any(rng, &["sunk", "raised", "none"]));
    block
}

fn print(rng: &mut Rng, mm: &impl Fn(f64) -> f64) -> Value {
    let mut print = json!({});
    set(rng, &mut print, "nozzle", 2, &|rng| json!(mm([0.25, 0.4, 0.6, 0.8][rng.usize(..4)])));
    set(rng, &mut print, "layer", 3, &|rng| json!(mm(0.1 + 0.14 * rng.f64())));
    set(rng, &mut print, "filament", 3, &|rng| any(rng, &["PLA", "PETG", "ABS", "ASA"]));
    set(rng, &mut print, "seam_notch", 3, &|rng| json!(rng.bool()));
    let scale = |rng: &mut Rng| rounded(0.99 + 0.02 * rng.f64(), 4);
    set(rng, &mut print, "scale", 4, &|rng| json!({ "x": scale(rng), "y": scale(rng), "within": 0.001 }));
    set(rng, &mut print, "bed", 2, &|rng| json!([mm(120.0 + 200.0 * rng.f64()), mm(120.0 + 200.0 * rng.f64())]));
    print
}

fn wood(rng: &mut Rng, mm: &impl Fn(f64) -> f64) -> Value {
    let mut wood = json!({});
    let species = |rng: &mut Rng| any(rng, &SPECIES);
    let cut = |rng: &mut Rng| any(rng, &["flat", "quarter"]);
    let mut board = match rng.u8(..4) {
        0 => json!({ "material": "mdf" }),
        1 => json!({ "material": "timber", "species": species(rng) }),
        _ => json!({}),
    };
    if board["species"].is_string() {
        set(rng, &mut board, "cut", 2, &cut);
        set(rng, &mut board, "grain", 2, &|rng| any(rng, &["along", "across"]));
    }
    set(rng, &mut board, "thickness", 3, &|rng| json!(mm(9.0 + 15.0 * rng.f64())));
    let mut fences = json!({});
    set(rng, &mut fences, "species", 2, &species);
    set(rng, &mut fences, "cut", 3, &cut);
    set(rng, &mut fences, "width", 4, &|rng| json!(mm(18.0 + 16.0 * rng.f64())));
    set(rng, &mut fences, "height", 4, &|rng| json!(mm(10.0 + 12.0 * rng.f64())));
    set(rng, &mut fences, "facing", 3, &|rng| json!(mm(3.0 * rng.f64())));
    set(rng, &mut wood, "board", 2, &|_| board.clone());
    set(rng, &mut wood, "fences", 2, &|_| fences.clone());
    set(rng, &mut wood, "lengths", 2, &|rng| any(rng, &["mm", "in", "both"]));
    set(rng, &mut wood, "fraction", 3, &|rng| json!([16, 32, 64][rng.usize(..3)]));
    set(rng, &mut wood, "cleat", 3, &|rng| json!(rng.bool()));
    wood
}
