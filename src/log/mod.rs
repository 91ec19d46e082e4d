//! A log of honings and regrinds: what is due, and what the blade itself says of how much a honing takes.
//!
//! A micro-bevel grows by about the same width with every honing since the primary was last ground. Where widths were
//! measured, the growth is their least-squares slope through zero, `Σ w·n / Σ n²`; where none were, the usual recession
//! of a honing stands in ([`crate::stones::bevel::micro::USUAL_RECESSION`], an assumption).

mod day;
mod entries;
pub mod report;

pub use day::{Day, NoDay};
pub use entries::{Counts, Entry, Log};

use std::path::{Path, PathBuf};

use foldhash::{HashMap, HashMapExt};

use crate::kit::{Kit, KitBlade, advice};
use crate::stones::bevel;
use crate::stones::bevel::micro::{self, Habit};
use crate::terms::Done;

/// How a blade stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// The blade.
    pub blade: String,
    /// When it was last honed or ground.
    pub last: Option<(Day, Done)>,
    /// Honings since the primary was last ground, as far as the log knows.
    pub honings: u32,
    /// Width of the micro-bevel now, mm; `None` for a blade that has none.
    pub width: Option<f64>,
    /// Whether that comes from measured widths.
    pub measured: bool,
    /// The width at which the primary is due, mm.
    pub widest: Option<f64>,
    /// Honings left before that; 0 when it is due.
    pub left: Option<u32>,
}

impl Standing {
    /// Whether the primary bevel is to be ground before the next honing.
    pub fn is_due(&self) -> bool {
        self.left == Some(0)
    }
}

/// Where the log of a kit lies unless its user says otherwise: `KIT-log.json` beside the kit.
pub fn beside(kit: &Path) -> PathBuf {
    let mut name = kit.file_stem().unwrap_or(kit.as_os_str()).to_os_string();
    name.push("-log.json");
    kit.with_file_name(name)
}

/// How the blades of a kit stand by their log, in the order of the kit.
pub fn standings(kit: &Kit, log: &Log) -> Vec<Standing> {
    let mut of: HashMap<&str, Vec<&Entry>> = HashMap::with_capacity(kit.blades.len());
    for entry in log.in_time() {
        of.entry(&entry.blade).or_default().push(entry);
    }
    kit.blades.iter().map(|blade| standing(blade, of.get(blade.name.as_str()).map_or(&[], Vec::as_slice))).collect()
}

/// How a blade stands by its own entries, in time.
fn standing(blade: &KitBlade, own: &[&Entry]) -> Standing {
    let since = own.iter().rposition(|e| e.what == Done::Reground).map_or(0, |i| i + 1);
    let mut honings = 0;
    let mut widths = Vec::new();
    for entry in &own[since..] {
        honings += 1;
        widths.extend(entry.micro_width.map(|w| (f64::from(honings), w)));
    }
    let advised = advice::advise(blade);
    let section = bevel::Blade::new(blade.blade.thickness.mm, blade.blade.taper.degrees);
    let due = section.and_then(|s| micro::regrind(&s, advised.primary.angle, advised.micro.angle, Habit::default()));
    let mut standing = Standing {
        blade: blade.name.clone(),
        last: own.last().map(|e| (e.day, e.what)),
        honings,
        width: None,
        measured: false,
        widest: None,
        left: None,
    };
    if let Ok(due) = due {
        let measured = slope(&widths);
        let growth = measured.unwrap_or(due.width_per_honing);
        // What was measured last is nearer the truth than any line.
        let width = match widths.last() {
            Some((at, width)) => width + (f64::from(honings) - at) * growth,
            None => f64::from(honings) * growth,
        };
        standing.width = Some(width);
        standing.measured = measured.is_some();
        standing.widest = Some(due.width);
        standing.left = Some(((due.width - width) / growth + 1e-9).floor().max(0.0) as u32);
    }
    standing
}

/// Growth of the micro-bevel a honing, mm, through zero; `None` without a measured width.
fn slope(widths: &[(f64, f64)]) -> Option<f64> {
    let squares: f64 = widths.iter().map(|(n, _)| n * n).sum();
    (squares > 0.0).then(|| widths.iter().map(|(n, w)| n * w).sum::<f64>() / squares)
}
