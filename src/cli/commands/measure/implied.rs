//! What a measured guide implies: its geometry from the axle, settings of a usual blade, checks that were not made.

use crate::cli::args::{BladeArgs, UnitsArgs};
use crate::cli::commands::blade::{Asked, Reader};
use crate::cli::failure::Failure;
use crate::cli::files::Disk;
use crate::format::svg;
use crate::guide::{Guide, Seat, usual_tool};
use crate::lane::DEFAULT_TOLERANCE;
use crate::lane::report::{self, Shown};
use crate::lane::{BlockOptions, DEFAULT_FENCE_WITHIN, Lane, NoLane, Request};
use crate::lanes;
use crate::terms::{Locates, ProjectionAngle, SeatName};
use crate::units::{EXACT, FINE, Written};
use crate::views::side_view::{self, Stand};

/// Bevel angles that a new guide is tried at, degrees (common practice, no source).
const ANGLES: [f64; 3] = [25.0, 30.0, 35.0];
/// The angle it is drawn at, degrees.
const DRAWN: f64 = 30.0;

/// What a guide implies.
pub(super) struct Implied {
    /// For the user.
    pub(super) text: String,
    /// Side views by seat, as SVG.
    pub(super) views: Vec<(SeatName, Vec<u8>)>,
}

/// Settings and views of every seat of `guide`.
pub(super) fn implied_by(guide: &Guide) -> Result<Implied, Failure> {
    let written = Written::of(guide.units);
    let mut implied = Implied { text: String::new(), views: Vec::new() };
    let (mut lanes, mut failed, mut blades) = (Vec::new(), Vec::new(), Vec::new());
    for (name, seat) in guide.seats() {
        let (asked, blade) = usual_blade(guide, name, seat)?;
        let requests: Vec<Request> = ANGLES.iter().map(|&angle| asked.at(angle)).collect();
        let (solved, refused) = solve(guide, &requests);
        if let Some(lane) = solved.iter().find(|l| l.request.angle == DRAWN).or(solved.first()) {
            implied.text += &geometry(name, seat, lane);
            let sheet = side_view::sheet(guide, None, lane, Stand::Stone, None, ProjectionAngle::Third);
            implied.views.push((name, svg::write(&sheet)));
        }
        lanes.extend(solved);
        failed.extend(refused);
        blades.push(blade);
    }
    let not_made = take_not_made(&mut lanes);
    if !lanes.is_empty() {
        implied.text +=
            &format!("\nYou have not given any blades, so these are typical ones: {}.\n", blades.join("; "));
        implied.text +=
            &report::table(&guide.name, &lanes.iter().collect::<Vec<_>>(), Shown { written, details: false });
    }
    for no_lane in failed {
        implied.text += &format!("No setting: {no_lane}. Did you measure everything where the sheet shows?\n");
    }
    if !not_made.is_empty() {
        implied.text += &format!("\nNot checked, because a measurement is missing:\n{}", not_made.concat());
    }
    Ok(implied)
}

/// A blade of the class that the seat mostly holds.
fn usual_blade(guide: &Guide, name: SeatName, seat: &Seat) -> Result<(Asked, String), Failure> {
    let tool = usual_tool(name, seat);
    let args = BladeArgs {
        tool: Some(tool.into()),
        seat: Some(name),
        thickness: None,
        taper: None,
        land: None,
        land_taper: None,
        width: None,
        primary: None,
        roller_level: None,
        lengths: UnitsArgs { units: None },
    };
    let mut reader = Reader::for_guide(&args.lengths, guide.units);
    let written = reader.written();
    let asked = Asked::read(&args, guide, &Disk::here(), &mut reader);
    reader.finish()?;
    let thickness = asked.at(DRAWN).blade.thickness;
    let within = written.size(thickness.within.unwrap_or(0.0));
    Ok((asked, format!("{tool}, {} ± {within} thick", written.short(thickness.mm, FINE))))
}

/// All settings on one block; should some have none, each by itself, so that the others are still seen.
fn solve(guide: &Guide, requests: &[Request]) -> (Vec<Lane>, Vec<NoLane>) {
    let all = |requests: &[Request]| {
        lanes::build_all(guide, requests, &BlockOptions::default(), DEFAULT_TOLERANCE, Some(DEFAULT_FENCE_WITHIN))
    };
    if let Ok(set) = all(requests) {
        return (set.lanes, Vec::new());
    }
    let (mut lanes, mut failed) = (Vec::new(), Vec::new());
    for request in requests {
        match all(std::slice::from_ref(request)) {
            Ok(set) => lanes.extend(set.lanes),
            Err(none) => failed.extend(none),
        }
    }
    (lanes, failed)
}

/// The guide as it is seen from the axle, with how each length came about.
fn geometry(name: SeatName, seat: &Seat, lane: &Lane) -> String {
    let section = &lane.setting.section;
    let how = match (seat.parallel, seat.locates) {
        (None, _) | (Some(_), Locates::Back) => "M − D/2",
        (Some(_), Locates::Underside) => "M − g − D/2",
        (Some(_), Locates::Sides) => "M − g/2 − D/2",
    };
    let said = |mm: f64| lane.request.written.fixed(mm, EXACT).said();
    let bottom = section.face_bottom.map_or_else(String::new, |n| format!(", n_b = B − D/2 = {}", said(n)));
    format!(
        "{name} seat, {}: from the axle h = {how} = {}, e = N − D/2 = {}{bottom}\n",
        seat.locates.name(),
        said(section.seat_height),
        said(section.axle_to_face),
    )
}

/// Takes the checks that were not made out of the lanes and says each once.
fn take_not_made(lanes: &mut [Lane]) -> Vec<String> {
    let mut said = Vec::new();
    for lane in lanes {
        let seat = lane.request.seat;
        lane.findings.retain(|finding| {
            let keep = !finding.message.starts_with("not checked: ");
            let line = format!("  {seat} seat: {}\n", finding.message.trim_start_matches("not checked: "));
            if !keep && !said.contains(&line) {
                said.push(line);
            }
            keep
        });
    }
    said
}
