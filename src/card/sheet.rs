//! Bench cards: what is needed at the stones, a page a blade, and a page for the whole kit.
//!
//! Lettering is as large as the paper takes with room for dates below; on small paper a card goes on over several.

use kurbo::{Point, Size};

use super::{Camber, Card, Reshape};
use crate::drawing::frame::{outline, rectangle};
use crate::drawing::page::{Block, Column, columns};
use crate::drawing::paper::{self, Paper};
use crate::drawing::style::{Fill, Pen, SMALL, VALUE};
use crate::drawing::table::{Cell, Table};
use crate::drawing::{Anchor, Group, Sheet, Text};
use crate::error;
use crate::lane::{Bevel, notes};
use crate::shape::font::{self, fit};
use crate::stones::bevel::change::Begins;
use crate::stones::camber::Curve;
use crate::stones::camber::rock;
use crate::stones::camber::strokes::BY_HAND;
use crate::stones::cautions;
use crate::stones::grits::{Step, Work};
use crate::terms::PaperSize;
use crate::units::{FINE, Written, counted, fixed, short};

/// Space between the frame and what stands in it, mm.
const MARGIN: f64 = 3.0;
/// Space between two paragraphs, mm.
const GAP: f64 = 2.0;
/// Height of a line to write a date on, mm.
const LINE: f64 = 8.0;
/// Height of their heading, mm.
const DATES_HEAD: f64 = 5.0;
/// Height of a card's name and what it is of, with the space below, mm.
const HEAD: f64 = 2.0 * VALUE + 3.0 + SMALL + GAP;
/// Width of the column of leading words, by the height of their lettering.
const LEAD_WIDTH: f64 = 6.2;
/// Fewest such lines that are worth their heading.
const FEWEST_LINES: usize = 2;
/// Sizes of running lettering, mm, the best first.
const SIZES: [f64; 4] = [4.5, VALUE, 3.0, SMALL];

/// Decimals of how far an edge stands out of the guide: what a rule, or calipers in inches, show.
const PROJECTION: [usize; 2] = [1, 3];

const TEST: &str = "Turn the edge under a lamp: no bright line should show. It should pare softwood end grain clean, without white streaks. Never test on skin.";
const BACK: &str = "Lay the back flat on the finest grade only. Alternate with the bevel until the burr is gone.";
const WIPE: &str = "Wipe everything between grades.";
const CAUTION: &str =
    "Sharp edges cut: fingers behind the edge, blade away from you. Makers' instructions and local rules first.";

/// What all cards of a kit bear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct About<'a> {
    /// Title of the kit.
    pub kit: &'a str,
    /// Name of the guide.
    pub guide: &'a str,
    /// Fingerprint of the state of guide and job.
    pub fingerprint: &'a str,
    /// How lengths are written.
    pub written: Written,
    /// The paper.
    pub size: PaperSize,
}

impl About<'_> {
    fn paper(&self) -> Paper {
        Paper { size: self.size, landscape: self.size == PaperSize::Index }
    }

    fn said(&self, mm: f64, decimals: usize) -> String {
        self.written.fixed(mm, [decimals, decimals + 1]).said()
    }
}

/// The card of one blade: a page, or on small paper as many as it takes.
pub fn blade(card: &Card, about: &About<'_>) -> Vec<Sheet> {
    let paper = about.paper();
    let bounds = paper.frame();
    let area = bounds.size() - Size::new(2.0 * MARGIN, 2.0 * MARGIN);
    let words = lines(card, about);
    let blocks = |size: f64| blocks(card, about, &words, size, area.width);
    // The largest lettering that leaves room for dates, else the smallest.
    let room = area.height - FEWEST_LINES as f64 * LINE - DATES_HEAD - GAP;
    let fits = |size: &&f64| columns(blocks(**size), f64::INFINITY, None).iter().all(|c| c.height <= room);
    let size = SIZES.iter().find(fits).copied().unwrap_or(SMALL);
    let pages = columns(blocks(size), area.height, Some(&continued(card, area.width)));
    let of = pages.len();
    let sheet = |(i, page): (usize, Column)| {
        let mut groups = vec![frame(paper)];
        let origin = bounds.origin() + (MARGIN, MARGIN);
        let used = page.height;
        groups.extend(page.groups.into_iter().map(|g| g.moved(origin.to_vec2())));
        if i + 1 == of {
            groups.extend(dates(origin + (0.0, used) + (0.0, GAP), Size::new(area.width, area.height - used - GAP)));
        }
        let title = if of == 1 { String::new() } else { format!(", {} of {of}", i + 1) };
        Sheet { title: format!("Bench card: {}{title}", card.blade), paper, scale: paper::NONE.name.into(), groups }
    };
    pages.into_iter().enumerate().map(sheet).collect()
}

/// Pages with all blades: their lanes, camber, and honings between regrinds.
pub fn kit(cards: &[Card], about: &About<'_>) -> Vec<Sheet> {
    let paper = about.paper();
    let bounds = paper.frame();
    let area = bounds.size() - Size::new(2.0 * MARGIN, 2.0 * MARGIN);
    let origin = bounds.origin() + (MARGIN, MARGIN);
    let foot = Block::paragraph("caution", "", CAUTION, SMALL, area.width);
    let table = kit_table(cards, about).within(area.width);
    let one_row = Table { rows: table.rows.iter().take(1).cloned().collect(), ..table.clone() };
    let left = area.height - HEAD - one_row.size(1).height - foot.height - GAP;
    let per_page = 1 + (left / crate::drawing::table::ROW).floor().max(0.0) as usize;
    let pages = table.rows.chunks(per_page);
    let count = pages.len();
    let page = |(i, rows): (usize, &[Vec<Cell>])| {
        let part = Table { rows: rows.to_vec(), ..table.clone() };
        let number = if count > 1 { format!(", page {} of {count}", i + 1) } else { String::new() };
        let mut content = heading(
            about.kit,
            &format!("lanes of the {} guide's block {}{number}", about.guide, about.fingerprint),
            area.width,
        );
        content.extend(part.draw((0.0, HEAD), 1));
        content.extend(foot.groups.iter().map(|g| g.clone().moved((0.0, area.height - foot.height))));
        let mut groups = vec![frame(paper)];
        groups.extend(content.into_iter().map(|g| g.moved(origin.to_vec2())));
        Sheet { title: format!("Bench card: {}", about.kit), paper, scale: paper::NONE.name.into(), groups }
    };
    pages.enumerate().map(page).collect()
}

fn kit_table(cards: &[Card], about: &About<'_>) -> Table {
    let unit = about.written.unit();
    let heading =
        [["blade", ""], ["primary", "lane, °"], ["micro", "lane, °"], ["camber", unit], ["honings to", "a regrind"]];
    let row = |(i, card): (usize, &Card)| {
        let lane = |bevel: Bevel| {
            let setting = card.settings.iter().find(|s| s.bevel == bevel);
            setting.map_or_else(Cell::default, |s| Cell {
                words: format!("{} {}", s.lane, short(s.wanted, 1)),
                value: Some((format!("kit-{}-{}", i + 1, bevel.name()), s.set)),
            })
        };
        let camber = card.curve.map_or(String::new(), |curve| about.written.fixed(curve.depth, FINE).to_string());
        let due = card.regrind.map_or(String::new(), |r| r.honings.max(1).to_string());
        vec![
            Cell::words(card.blade.as_str()),
            lane(Bevel::Primary),
            lane(Bevel::Micro),
            Cell::words(camber),
            Cell::words(due),
        ]
    };
    Table::new("kit", &heading, cards.iter().enumerate().map(row).collect())
}

/// A card's frame, along which it may be cut.
fn frame(paper: Paper) -> Group {
    let bounds = paper.frame();
    let mut frame = Group::new("frame", "frame");
    frame.path([outline(bounds)], true, Pen::Narrow, Fill::None);
    frame
}

/// Name of the card, and what it is of.
fn heading(name: &str, what: &str, width: f64) -> Vec<Group> {
    let mut group = Group::new("heading", "note");
    let large = 2.0 * VALUE;
    // A long name is smaller, and only the longest is cut; bold is wider than what `fit` measures.
    let bold = font::width(name, 1.0, true);
    let size = (width / bold).clamp(VALUE, large);
    let wider = bold / font::width(name, 1.0, false);
    group.text(Text::new((0.0, large), size, Anchor::Start, fit(name, size, width / wider)).bold());
    let y = large + 3.0 + SMALL;
    group.text(Text::new((0.0, y), SMALL, Anchor::Start, fit(what, SMALL, width)));
    vec![group]
}

/// Something a card says.
struct Line {
    id: &'static str,
    lead: &'static str,
    words: String,
}

/// What stands on a card, from its top.
fn blocks(card: &Card, about: &About<'_>, lines: &[Line], size: f64, width: f64) -> Vec<Block> {
    let [w, t] = card.size.map(|mm| about.written.size(mm));
    let mut what = vec![card.class.clone(), format!("{w} wide, {t} thick")];
    what.extend(card.steel.map(|s| s.name().to_string()));
    what.extend(card.uses.iter().map(|u| u.name().to_string()));
    let table = lanes(card, about);
    let heading =
        Block { height: HEAD, keeps: true, groups: heading(&card.blade, &what.join(", "), width), above: 0.0 };
    let lanes = Block { above: 0.0, ..Block::figure(table.within(width).draw((0.0, 0.0), 1), table.size(1).height) };
    let line = |line: &Line| Block {
        above: GAP,
        ..Block::lines(line.id, line.lead, &line.words, size, LEAD_WIDTH * size, width)
    };
    [heading, lanes].into_iter().chain(lines.iter().map(line)).collect()
}

/// What the pages after the first begin with.
fn continued(card: &Card, width: f64) -> Block {
    let mut group = Group::new("heading", "note");
    let words = format!("{}, continued", card.blade);
    group.text(Text::new((0.0, VALUE), VALUE, Anchor::Start, fit(&words, VALUE, width)));
    Block::figure(vec![group], VALUE + 1.0)
}

/// Which lane for which bevel.
fn lanes(card: &Card, about: &About<'_>) -> Table {
    let unit = about.written.unit();
    let heading =
        [["bevel", ""], ["lane", about.fingerprint], ["angle", "°"], ["lane sets", "°"], ["stands out", unit]];
    let row = |s: &crate::card::Setting| {
        let length = about.written.fixed(s.projection, PROJECTION).to_string();
        let id = |what: &str| format!("{}-{what}", s.bevel.name());
        vec![
            Cell::words(s.bevel.name()),
            Cell::words(s.lane.as_str()),
            Cell { words: short(s.wanted, 2), value: Some((id("wanted"), s.wanted)) },
            Cell { words: fixed(s.set, 1), value: Some((id("set"), s.set)) },
            Cell { words: length, value: Some((id("projection"), s.projection)) },
        ]
    };
    Table::new("lanes", &heading, card.settings.iter().map(row).collect())
}

fn lines(card: &Card, about: &About<'_>) -> Vec<Line> {
    let mut all = Vec::new();
    let mut say = |id, lead, words: String| {
        if !words.is_empty() {
            all.push(Line { id, lead, words });
        }
    };
    // In working order, between what is to be known first and what is to be known afterwards.
    let [shape, hone] = grades(card);
    say("mind", "warning", sentences(&card.flags));
    let level = notes::level(card.roller_level, |mm| about.written.size(mm));
    say("level", "roller", level.map_or(String::new(), |words| error::sentence(&words)));
    say("first", "reshape", card.change.map_or(String::new(), |c| change(&c, card, about)));
    // A camber in the micro-bevel comes with a grade of the micro-bevel's.
    let camber_on = |bevel: Bevel| {
        let there = card.camber.as_ref().filter(|camber| camber.on.1 == bevel);
        there.map_or(String::new(), |c| camber(c, about))
    };
    let unplanned = card.curve.filter(|_| card.camber.is_none());
    say("camber", "camber", unplanned.map_or(String::new(), |curve| unplanned_camber(&curve, card, about)));
    say("camber", "camber", camber_on(Bevel::Primary));
    say("shape", "primary", shape);
    say("hone", if lane(card, Bevel::Micro).is_some() { "micro" } else { "hone" }, hone);
    say("camber", "camber", camber_on(Bevel::Micro));
    say("burr", "burr", format!("{} {BACK}", cautions::BURR));
    say("test", "test", TEST.into());
    say("due", "regrind", due(card, about));
    if card.change.is_some() || card.regrind.is_some() || card.camber.as_ref().is_some_and(Camber::is_for_a_grinder) {
        say("grinder", "grinder", cautions::GRINDER.into());
    }
    let abrasives = card.care.iter().copied().chain((!card.steps.is_empty()).then_some(WIPE));
    say("abrasives", "care", abrasives.collect::<Vec<_>>().join(" "));
    say("unchecked", "guide", sentences(&card.unchecked));
    say("care", "caution", CAUTION.into());
    all
}

/// Findings as sentences.
fn sentences(findings: &[String]) -> String {
    findings.iter().map(|finding| error::sentence(finding)).collect::<Vec<_>>().join(" ")
}

/// The lane that sets a bevel, as a sentence begins.
fn in_lane(lane: Option<&str>) -> String {
    lane.map_or_else(|| "Without the guide".to_string(), |lane| format!("Lane {lane}"))
}

fn lane(card: &Card, bevel: Bevel) -> Option<&str> {
    card.settings.iter().find(|s| s.bevel == bevel).map(|s| s.lane.as_str())
}

fn change(change: &Reshape, card: &Card, about: &About<'_>) -> String {
    let [from, to] = change.angles.map(|a| short(a, 2));
    let how = match change.begins {
        Begins::AtHeel => "Work starts at the heel and reaches the edge last. Stop when a burr comes up.".to_string(),
        Begins::AtEdge => {
            format!(
                "The edge wears back by {}; the old bevel stays at the heel until the end.",
                about.said(change.recession, 2)
            )
        }
    };
    let again = lane(card, Bevel::Primary);
    let again = again.map_or(String::new(), |lane| format!(" Then set the blade again in lane {lane}."));
    let drift = change.drift.map_or(String::new(), |drift| {
        format!(
            " While the blade stays clamped, its angle grows by {}°. Clamp it again at the lane on the way.",
            fixed(drift.degrees, 1)
        )
    });
    format!("Regrind the primary bevel from {from}° to {to}°. {how}{drift}{again}")
}

/// What is done on the first grade, and on the others; without a micro-bevel all are for the primary.
fn grades(card: &Card) -> [String; 2] {
    let on = |work: Work| card.steps.iter().filter(move |s| s.work == work);
    let named = |steps: Vec<&Step>| steps.iter().map(|s| s.grade.to_string()).collect::<Vec<_>>().join(", ");
    let [primary, micro] = [Bevel::Primary, Bevel::Micro].map(|bevel| lane(card, bevel));
    let shape: Vec<&Step> = on(Work::Primary).collect();
    let hone: Vec<&Step> = on(Work::Micro).chain(on(Work::Finest)).collect();
    // A primary bevel that stays as it is has no lane.
    let stays = primary.is_none() && micro.is_some();
    let until = if shape.is_empty() || stays {
        String::new()
    } else {
        format!("{}, {}: until a burr runs along the whole edge.", in_lane(primary), named(shape))
    };
    let took: Vec<String> = card
        .counts
        .iter()
        .map(|(grade, count)| format!("{} on {grade}", counted(*count as usize, "stroke", "strokes")))
        .collect();
    let took = if took.is_empty() { String::new() } else { format!(" Yours took about {}.", took.join(", ")) };
    let strokes = if hone.is_empty() {
        String::new()
    } else {
        format!(
            "{}, {}: on each until the scratches of the grade before are gone.{took}",
            in_lane(if card.freehand.contains(&Bevel::Micro) { None } else { micro.or(primary) }),
            named(hone)
        )
    };
    [until, strokes]
}

/// How deep an arc is at the corners, and its radius where that can be measured.
fn arc(curve: &Curve, about: &About<'_>) -> String {
    let radius = curve.measurable_radius().map_or(String::new(), |mm| format!(", radius {}", about.said(mm, 0)));
    format!("{} at the corners{radius}", about.said(curve.depth, 2))
}

/// A camber without strokes, and why there are none.
fn unplanned_camber(curve: &Curve, card: &Card, about: &About<'_>) -> String {
    let why = if card.steps.is_empty() {
        "No strokes are given, because the kit names no abrasives (grits)"
    } else {
        "The kit's abrasives cannot make it with strokes"
    };
    format!("{}. {why}: work the corners, look at the edge against a straight rule, and go on.", arc(curve, about))
}

fn camber(camber: &Camber, about: &About<'_>) -> String {
    let round: Vec<String> = camber
        .places
        .iter()
        .zip(camber.rounds.counts)
        .filter(|(_, count)| *count > 0)
        .map(|(place, count)| format!("{count} {}", place.name))
        .collect();
    let roller = match camber.roller {
        Some(rock::Verdict::Cannot) => " The roller does not let the guide rock this far: work freehand.",
        Some(rock::Verdict::Tips) => " The wide roller only tips: press over the very corner.",
        Some(rock::Verdict::Freely) | None => "",
    };
    let (grade, bevel) = camber.on;
    // The primary bevel is begun with it, and much of it goes; in a micro-bevel the grades before come first.
    let [turn, again] = match bevel {
        Bevel::Primary if camber.lane.is_none() => ["", ""],
        Bevel::Primary => ["", " Set the blade again afterwards."],
        Bevel::Micro => [" when its turn comes", ""],
    };
    let wanted = about.said(camber.curve.depth, 2);
    let target = about.said(camber.before_later(), 2);
    let made = if camber.is_for_a_grinder() {
        // What is too flat to measure is too little to grind.
        let ground =
            camber.curve.measurable_radius().map(|_| format!("grind it first, to {target} at the corners, or "));
        format!("On {grade} that is more than {BY_HAND} strokes: {}use a coarser grade", ground.unwrap_or_default())
    } else {
        format!("Measure after the first round. Rounds on {grade} = {target} divided by your reading")
    };
    let names: Vec<String> = camber.later.iter().map(ToString::to_string).collect();
    let later = if names.is_empty() {
        String::new()
    } else {
        // Where what they add is too little to be read.
        let done = if target == wanted { "keeps it so".to_string() } else { format!("makes it {wanted}") };
        let on = if names.len() == 1 { "on" } else { "on each of" };
        format!(" Then one such round {on} {}, before its level strokes, {done}.", names.join(", "))
    };
    format!(
        "{}. {}, {grade}{turn}. A round of finger strokes: {}. {made}.{later}{roller}{again}",
        arc(&camber.curve, about),
        in_lane(camber.lane.as_deref()),
        round.join(", "),
    )
}

fn due(card: &Card, about: &About<'_>) -> String {
    card.regrind.map_or(String::new(), |r| {
        let after = match r.honings {
            0 | 1 => "every honing".to_string(),
            honings => format!("about {honings} honings"),
        };
        format!("When the micro-bevel reaches {}, or after {after} (estimate).", about.said(r.width, 1))
    })
}

/// Ruled lines for dates, as many as `room` takes; none where they are too few.
fn dates(at: Point, room: Size) -> Option<Group> {
    let count = ((room.height - DATES_HEAD) / LINE).floor().max(0.0) as usize;
    if count < FEWEST_LINES {
        return None;
    }
    let mut group = Group::new("dates", "table");
    let columns = [("date", 0.24), ("honed", 0.14), ("reground", 0.17), ("micro-bevel", 0.20), ("remarks", 0.25)];
    let bottom = at.y + DATES_HEAD + count as f64 * LINE;
    group.path([rectangle(at, (at.x + room.width, bottom))], true, Pen::Wide, Fill::None);
    for i in 0..count {
        let y = at.y + DATES_HEAD + i as f64 * LINE;
        group.line((at.x, y), (at.x + room.width, y), Pen::Narrow);
    }
    let mut x = at.x;
    for (i, (name, share)) in columns.iter().enumerate() {
        if i > 0 {
            group.line((x, at.y), (x, bottom), Pen::Narrow);
        }
        group.text(Text::new((x + 1.4, at.y + 3.7), SMALL, Anchor::Start, *name));
        x += share * room.width;
    }
    Some(group)
}
