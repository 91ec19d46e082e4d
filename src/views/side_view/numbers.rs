//! The numbers of a setting beside its view: what is set, and what it was worked out from.

use super::card::Card;
use super::{Drawn, Stand};
use crate::drawing::table::{Cell, Table};
use crate::guide::Taken;
use crate::input::length::Length;
use crate::units::{FINE, Shown, fixed, short};

/// Decimals of an angle's uncertainty.
const DEGREES: usize = 2;

impl Drawn<'_> {
    /// The setting, and what was measured.
    pub(super) fn tables(&self) -> [Card; 2] {
        let cards = [self.setting_table(), self.measured_table()];
        cards.map(|table| Card { size: table.size(1), groups: table.draw((0.0, 0.0), 1), corner: (1.0, 0.0) })
    }

    fn row(&self, id: &str, name: &str, mm: f64, within: Option<Shown>) -> Vec<Cell> {
        let value = Cell { words: self.bare(mm), value: Some((format!("number-{id}"), mm)) };
        vec![Cell::words(name), value, Cell::words(within.map_or(String::new(), |within| within.to_string()))]
    }

    fn setting_table(&self) -> Table {
        let (lane, request) = (self.lane, &self.lane.request);
        let uncertainty = lane.setting.uncertainty;
        let written = request.written;
        let degrees = |value: f64| format!("{}°", short(value, 3));
        let angle = uncertainty.angle.map_or(String::new(), |u| format!("{}°", fixed(u, DEGREES)));
        let turned = |id: &str, name: &str, value: f64, within: String| {
            let cell = Cell { words: degrees(value), value: Some((format!("number-{id}"), value)) };
            vec![Cell::words(name), cell, Cell::words(within)]
        };
        let mut rows = vec![turned("angle", "bevel angle", request.angle, angle)];
        if request.primary() < request.angle {
            rows.push(turned("primary", "primary bevel", request.primary(), String::new()));
        }
        let projection = uncertainty.projection.map(|mm| written.fixed(mm, FINE));
        rows.push(self.row("projection", "projection", lane.projection(), projection));
        // A tolerance is never read as wider than it is.
        let fence = written.less(lane.fence_tolerance(), FINE);
        rows.push(self.row("fence", "fence distance", lane.finished(), Some(fence)));
        if let Stand::Block { .. } = self.stand {
            rows.push(self.row("below", "roller below table", lane.own_roller_below_table(), None));
        }
        Table::new("setting", &[["the setting", ""], [written.unit(), "or °"], ["±", ""]], rows)
    }

    fn measured_table(&self) -> Table {
        let (guide, seat, blade) = (self.guide, self.seat, &self.lane.request.blade);
        let mut rows = Vec::new();
        let mut measured = |id: &str, name: &str, length: Length| {
            let within = length.within.map(|mm| self.lane.request.written.fixed(mm, FINE));
            rows.push(self.row(id, name, length.mm, within));
        };
        let mut taken = |id: &str, [direct, over]: [&str; 2], taken: Taken| {
            let name = if matches!(taken, Taken::OverRoller(_)) { over } else { direct };
            measured(id, name, taken.measured());
        };
        taken("N", ["axle to face", "N, roller to face"], guide.face.axle_to_face);
        taken("M", ["seat over axle", "M, roller to seat"], seat.height);
        if let Some(bottom) = guide.face.bottom {
            taken("B", ["front's end over axle", "B, roller to front's end"], bottom);
        }
        measured("D", "D, roller diameter", guide.roller.diameter);
        if let Some(parallel) = seat.parallel {
            measured("g", "g, flat parallel", parallel);
        }
        measured("t", "t, blade thickness", blade.thickness);
        Table::new("measured", &[["measured", ""], [self.lane.request.written.unit(), ""], ["±", ""]], rows)
    }

    /// What the tables' columns mean.
    pub(super) fn about_numbers(&self) -> Option<String> {
        let uncertainty = self.lane.setting.uncertainty;
        let known = uncertainty.projection.is_some() || uncertainty.angle.is_some();
        known.then(|| "± of angle and projection: of block and guide, expanded uncertainty, k = 2. ± of the fence: its tolerance.".into())
    }
}
