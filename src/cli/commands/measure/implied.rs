//! What a measured guide implies: its geometry from the axle, settings of a usual blade, checks that were not made.

use crate::cli::failure::Failure;
use stopwright::format::svg;
use stopwright::guide::{Guide, Seat};
use stopwright::lane::Lane;
use stopwright::lane::report::{self, Shown};
use stopwright::lanes::usual;
use stopwright::terms::{Locates, ProjectionAngle, SeatName};
use stopwright::units::{EXACT, FINE, Written};
use stopwright::views::side_view::{self, Stand};

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
    for seat in usual::of_guide(guide)? {
        if let Some(lane) = seat.drawn() {
            implied.text += &geometry(seat.name, seat.seat, lane);
            let sheet = side_view::sheet(guide, None, lane, Stand::Stone, None, ProjectionAngle::Third);
            implied.views.push((seat.name, svg::write(&sheet)));
        }
        let thickness = seat.class.thickness;
        let within = written.size(thickness.within.unwrap_or(0.0));
        blades.push(format!("{}, {} ± {within} thick", seat.class.name, written.short(thickness.mm, FINE)));
        lanes.extend(seat.lanes);
        failed.extend(seat.failed);
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
