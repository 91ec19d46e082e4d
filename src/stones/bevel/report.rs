//! The section of a blade, for people and machines.

use serde_json::{Value, json};

use super::change::Begins;
use super::{Blade, Change, Habit, Hollow, Nick, NoBevel, Progress, Regrind, back, micro};
use crate::format::columns::aligned;
use crate::format::marked;
use crate::stones::cautions;
use crate::units::{EXACT, FINE, MINUTE, Written, counted, fixed, short};

/// All that is said of a blade's section.
#[derive(Debug, Clone, PartialEq)]
pub struct Bevel {
    /// The blade.
    pub blade: Blade,
    /// Its width, mm, where the volume of steel is wanted.
    pub width: Option<f64>,
    /// Its primary bevel, degrees.
    pub primary: f64,
    /// Length of the primary bevel, mm.
    pub length: f64,
    /// Its micro-bevel.
    pub micro: Option<Micro>,
    /// What the primary bevel is to become, degrees.
    pub change: Option<(f64, Change)>,
    /// A nick that is to be ground out.
    pub nick: Option<Nick>,
    /// The wheel that hollowed it.
    pub hollow: Option<Hollow>,
    /// A back bevel that is wanted, or that a rule gives.
    pub back: Option<BackBevel>,
    /// How people read lengths.
    pub written: Written,
}

impl Bevel {
    /// Steel that comes off where the change is ground until its edge lies behind the nick, mm² of the section; `None`
    /// where there are not both.
    fn change_past_nick(&self) -> Result<Option<f64>, NoBevel> {
        match (&self.change, &self.nick) {
            (Some((_, change)), Some(nick)) => change.area_with_edge(nick.recession).map(Some),
            _ => Ok(None),
        }
    }
}

/// A micro-bevel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Micro {
    /// Degrees.
    pub angle: f64,
    /// As it is now, where that is known.
    pub now: Option<Now>,
    /// When the primary bevel is due.
    pub regrind: Regrind,
    /// What that rests on.
    pub habit: Habit,
}

/// A micro-bevel as it is now.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Now {
    /// How far the edge has gone back, mm along the back.
    pub recession: f64,
    /// Width of the micro-bevel, mm.
    pub width: f64,
    /// What is left of the primary bevel, mm.
    pub primary_left: f64,
    /// Steel that it took, mm² of the section.
    pub steel: f64,
}

impl Now {
    /// The micro-bevel with the edge `recession` mm back.
    ///
    /// # Errors
    /// [`NoBevel`].
    pub fn worn_back(blade: &Blade, primary: f64, angle: f64, recession: f64) -> Result<Self, NoBevel> {
        Ok(Self {
            recession,
            width: micro::width(primary, angle, recession)?,
            primary_left: micro::primary_left(blade, primary, angle, recession)?,
            steel: micro::steel(primary, angle, recession)?,
        })
    }
}

/// A back bevel by a rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BackBevel {
    /// Degrees.
    pub angle: f64,
    /// The rule that is there, and how far behind the edge it lies, mm; `None` where the angle was asked for.
    pub by: Option<[f64; 2]>,
}

/// Decimals of what one honing wears off: both as one states them.
const WORN: [usize; 2] = [4, 4];
/// Shares of the steel at which a change is shown.
const SHARES: [f64; 6] = [0.0, 0.1, 0.25, 0.5, 0.75, 1.0];

/// The report for people.
///
/// # Errors
/// None for values that were worked out before.
pub fn text(bevel: &Bevel) -> Result<String, NoBevel> {
    let written = bevel.written;
    let mut text = format!(
        "Primary bevel {}° on a blade {} thick: {} long\n",
        short(bevel.primary, 3),
        written.short(bevel.blade.thickness(), EXACT).said(),
        written.length(bevel.length)
    );
    if let Some(hollow) = &bevel.hollow {
        text += &hollow_text(bevel, hollow)?;
    }
    if let Some(of) = &bevel.micro {
        text += &micro_text(bevel, of);
    }
    if let Some(of) = &bevel.back {
        text += &back_text(bevel, of);
    }
    if let Some((to, change)) = &bevel.change {
        text += &change_text(bevel, *to, change)?;
    }
    if let Some(nick) = &bevel.nick {
        text += &nick_text(bevel, nick)?;
    }
    if bevel.micro.is_some() || bevel.change.is_some() || bevel.nick.is_some() {
        text += &format!("\n{}\n", cautions::GRINDER);
    }
    Ok(marked::practice(&text))
}

/// What a wheel leaves, and what rests on the stone.
fn hollow_text(bevel: &Bevel, hollow: &Hollow) -> Result<String, NoBevel> {
    let written = bevel.written;
    let mut text = format!(
        "\nHollow-ground on a wheel of {}\nThe hollow is {} deep. On a flat stone the blade rests on edge and heel: the chord \
         between them is the {}° that a guide sets, and all that the length of the bevel tells. Right at the edge the steel \
         stands at {}°, {}° less; at the heel at {}°.\n",
        written.size(hollow.wheel),
        written.fixed(hollow.depth, FINE).said(),
        short(hollow.chord, 3),
        fixed(hollow.at_edge, 1),
        fixed(hollow.chord - hollow.at_edge, 1),
        fixed(hollow.at_heel, 1)
    );
    let back = bevel.micro.as_ref().and_then(|of| of.now.map(|now| (of.angle, now.recession)));
    text += &match back {
        Some((angle, recession)) => format!(
            "With {} of edge worn away, a micro-bevel of {}° is {} wide on it, as the hollow falls away behind the edge. What \
             is said below is of a flat primary bevel.\n",
            written.short(recession, MINUTE).said(),
            short(angle, 3),
            written.length(hollow.micro_width(angle, recession)?)
        ),
        None => {
            "Honed at the chord's angle, it gets a flat at the edge and one at the heel. A micro-bevel must be steeper than the \
             chord, or the heel touches first; it sits at the edge alone.\n"
                .to_string()
        }
    };
    Ok(text)
}

/// What rule gives a back bevel, and where one does not.
fn back_text(bevel: &Bevel, of: &BackBevel) -> String {
    let written = bevel.written;
    let degrees = short(of.angle, 2);
    let whole = fixed(bevel.micro.map_or(bevel.primary, |micro| micro.angle) + of.angle, 1);
    let mut text = match of.by {
        Some([rule, at]) => format!(
            "\nBack bevel {degrees}°\nA rule {} thick lies on the stone, {} behind the edge, and the back rests on its edge. Edge \
             angle {whole}° in all.\n",
            written.size(rule),
            written.size(at)
        ),
        None => format!("\nBack bevel {degrees}°: edge angle {whole}° in all\n"),
    };
    let rules = back::rules(of.angle);
    if of.by.is_none() {
        text += &match rules.is_empty() {
            false => rules
                .iter()
                .map(|(rule, at)| {
                    format!("A rule {} thick: {} behind the edge.\n", written.size(*rule), written.coarse(*at))
                })
                .collect::<String>(),
            true if of.angle > back::angle(back::RULES[2], back::SERVES[0]).unwrap_or(0.0) => format!(
                "That needs more than a rule: a block {} thick, {} behind the edge; or the blade in a guide, back down.\n",
                written.coarse(back::thickness(back::SERVES[1], of.angle)),
                written.size(back::SERVES[1])
            ),
            true => format!(
                "That needs less than a rule: a strip {} thick, {} behind the edge.\n",
                written.fixed(back::thickness(back::SERVES[1], of.angle), FINE).said(),
                written.size(back::SERVES[1])
            ),
        };
    }
    text + "Measure from the edge along the back. The angle comes out only as well as that: hold the blade down on the rule, and \
            keep fingers behind the edge.\n"
}

fn micro_text(bevel: &Bevel, of: &Micro) -> String {
    let (due, written) = (&of.regrind, bevel.written);
    let mut text = format!("\nMicro-bevel {}°\n", short(of.angle, 3));
    if let Some(now) = &of.now {
        text += &format!(
            "With {} of edge worn away, the micro-bevel is {} wide and {} of primary bevel remains.\n",
            written.short(now.recession, MINUTE).said(),
            written.length(now.width),
            written.length(now.primary_left)
        );
    }
    let estimate = if of.habit.recession == micro::USUAL_RECESSION { " (estimate; measure yours)" } else { "" };
    let usual = if of.habit.widest.is_none() { " (common practice, no source)" } else { "" };
    text += &format!(
        "Each honing wears the edge back {}{estimate} and makes the micro-bevel {} wider. Regrind the primary bevel after \
         {}, when the micro-bevel is {} wide{usual}. The edge has then worn back {}{}.\n",
        written.short(of.habit.recession, WORN).said(),
        written.length(due.width_per_honing),
        counted(due.honings as usize, "honing", "honings"),
        written.size(due.width),
        written.length(due.recession),
        steel(bevel, due.ground)
    );
    text
}

fn change_text(bevel: &Bevel, to: f64, change: &Change) -> Result<String, NoBevel> {
    let written = bevel.written;
    let way = match change.begins() {
        Begins::AtEdge => format!(
            "The new bevel begins at the edge, which wears back {}; the old one stays longest at the heel.",
            written.length(change.recession()?)
        ),
        Begins::AtHeel => {
            "Work starts at the heel and reaches the edge last. Stop at the burr; the edge need not lose length.".into()
        }
    };
    let mut text = format!(
        "\nRegrind the primary bevel from {}° to {}°{}. {way}\n",
        short(bevel.primary, 3),
        short(to, 3),
        steel(bevel, change.area()?)
    );
    let head = |cells: [&str; 4]| cells.map(str::to_string).to_vec();
    let mut rows = vec![
        head(["steel off", "edge back", "new bevel", "old bevel left"]),
        head(["%", written.unit(), written.unit(), "%"]),
    ];
    for p in progress(change)? {
        rows.push(vec![
            short(100.0 * p.removed_share, 0),
            written.fixed(p.recession, FINE).to_string(),
            written.fixed(p.new_length, FINE).to_string(),
            fixed(100.0 * p.untouched_share, 1),
        ]);
    }
    text += &aligned(&rows, 0);
    Ok(text)
}

/// What grinding a nick out takes: of the primary bevel as it is, or of the one that it is to become.
fn nick_text(bevel: &Bevel, nick: &Nick) -> Result<String, NoBevel> {
    let written = bevel.written;
    let depth = written.short(nick.recession, EXACT).said();
    let mut text = format!(
        "\nTo grind out a nick {depth} deep\nMark a line on the back {depth} behind the edge. Grind the primary bevel \
         until it meets the line.\n"
    );
    text += &match bevel.change_past_nick()? {
        Some(area) => format!("Grind it to the new angle at the same time{}.\n", steel(bevel, area)),
        None => format!(
            "That takes {} off the bevel, measured square to it{}. The bevel is then {} long.\n",
            written.length(nick.off_bevel),
            steel(bevel, nick.steel),
            written.length(nick.bevel)
        ),
    };
    Ok(text)
}

fn progress(change: &Change) -> Result<Vec<Progress>, NoBevel> {
    SHARES.into_iter().map(|share| change.progress(share)).collect()
}

/// How much steel comes off, where the blade's width is known: what goes behind the words.
fn steel(bevel: &Bevel, area: f64) -> String {
    bevel.width.map_or_else(String::new, |w| format!(" (about {} of steel)", bevel.written.small_volume(w * area)))
}

/// The same for machines.
///
/// # Errors
/// None for values that were worked out before.
pub fn json(bevel: &Bevel) -> Result<Value, NoBevel> {
    let mut value = json!({
        "thickness": bevel.blade.thickness(),
        "taper": bevel.blade.taper(),
        "width": bevel.width,
        "primary": bevel.primary,
        "length": bevel.length,
    });
    if let Some(of) = &bevel.micro {
        let due = &of.regrind;
        value["micro"] = json!({
            "angle": of.angle,
            "now": of.now.map(|n| json!({
                "recession": n.recession, "width": n.width, "primary_left": n.primary_left, "steel": n.steel,
            })),
            "recession_per_honing": of.habit.recession,
            "regrind": {
                "width": due.width, "recession": due.recession, "width_per_honing": due.width_per_honing,
                "honings": due.honings, "honed": due.honed, "ground": due.ground,
            },
        });
    }
    if let Some(hollow) = &bevel.hollow {
        let micro =
            bevel.micro.and_then(|of| of.now.map(|now| hollow.micro_width(of.angle, now.recession))).transpose()?;
        value["hollow"] = json!({
            "wheel": hollow.wheel, "depth": hollow.depth, "at_edge": hollow.at_edge, "at_heel": hollow.at_heel,
            "micro_width": micro,
        });
    }
    if let Some(of) = &bevel.back {
        value["back_bevel"] = json!({
            "angle": of.angle,
            "rule": of.by.map(|[rule, _]| rule),
            "at": of.by.map(|[_, at]| at),
            "rules": back::rules(of.angle).iter().map(|(rule, at)| json!({ "rule": rule, "at": at })).collect::<Vec<_>>(),
        });
    }
    if let Some(nick) = &bevel.nick {
        value["nick"] = json!({
            "recession": nick.recession, "off_bevel": nick.off_bevel, "bevel": nick.bevel, "steel": nick.steel,
            "steel_with_change": bevel.change_past_nick()?,
        });
    }
    if let Some((to, change)) = &bevel.change {
        value["change"] = json!({
            "to": to,
            "begins": if change.begins() == Begins::AtEdge { "edge" } else { "heel" },
            "steel": change.area()?,
            "recession": change.recession()?,
            "progress": progress(change)?.iter().map(|p| json!({
                "removed_share": p.removed_share, "removed": p.removed, "recession": p.recession,
                "new_length": p.new_length, "untouched": p.untouched, "untouched_share": p.untouched_share,
            })).collect::<Vec<_>>(),
        });
    }
    Ok(value)
}
