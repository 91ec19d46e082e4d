//! Random guides of one's own: a built-in one, measured otherwise and called otherwise.

use fastrand::Rng;
use serde_json::{Value, json};
use stopwright::guide::named::{GUIDES, Sources};

use super::jobs::{any, rounded, set};

const NAMES: [&str; 7] = [
    "mine",
    "the old guide from the box below the window_mended twice",
    // Sixty of the widest letter, which no blank parts.
    "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW",
    "iiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiii",
    "Führung 2.5 mm roller",
    "7",
    "Guide with a rather long name - bought second-hand in Łódź",
];

/// A guide that differs from the built-in one of this name.
pub fn own(rng: &mut Rng, like: &str) -> Value {
    let text = GUIDES.iter().find(|guide| guide.name == like).map_or("null", |guide| guide.text);
    let mut guide: Value = serde_json::from_str(text).unwrap_or_default();
    measured(rng, &mut guide);
    guide["name"] = any(rng, &NAMES);
    set(rng, &mut guide["roller"], "width", 4, &|_| Value::Null);
    set(rng, &mut guide["face"], "width", 4, &|_| Value::Null);
    set(
        rng,
        &mut guide["face"],
        "square_error",
        3,
        &|rng| json!({ "value": rounded(rng.f64() - 0.5, 2), "within": rounded(0.3 * rng.f64(), 2) }),
    );
    if let Some(seats) = guide["seats"].as_object_mut() {
        for seat in seats.values_mut() {
            set(rng, seat, "blade_width", 5, &|_| Value::Null);
            set(rng, seat, "blade_thickness", 5, &|_| Value::Null);
        }
    }
    guide
}

/// Other values, and other bounds of some, wherever a value has bounds.
fn measured(rng: &mut Rng, value: &mut Value) {
    if let (Some(is), Some(within)) = (value["value"].as_f64(), value["within"].as_f64()) {
        let other = rounded(is * (0.85 + 0.3 * rng.f64()), 3);
        *value = match rng.u8(..5) {
            0 => json!(other),
            1 => json!({ "value": other, "within": rounded(within * 4.0 * rng.f64(), 4) }),
            _ => json!({ "value": other, "within": within }),
        };
    } else if let Some(object) = value.as_object_mut() {
        object.values_mut().for_each(|inner| measured(rng, inner));
    }
}

/// The file that a job with a guide of its own refers to.
pub struct Own(pub Value);

/// What that file is called.
pub const FILE: &str = "guide.json";

impl Sources for Own {
    fn load(&self, path: &str) -> Result<(String, Vec<u8>), String> {
        match path {
            FILE => Ok((FILE.into(), self.0.to_string().into_bytes())),
            other => Err(format!("\"{other}\", and there is no such file")),
        }
    }
}
