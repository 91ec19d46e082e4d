//! The different blades of the known pairs, and the errors they share.
//!
//! Pairs with a blade of the same thickness, written with the same tolerance, are taken to be the same blade, measured
//! once: its error is one unknown and not one a pair. So with taper, lands and roller level. Where no setting of a seat
//! states the thickness (or the lands, where it grips the sides), they are of one blade, of which it is an unknown.

use std::collections::HashMap;

use super::settings::{Pair, Settings};
use crate::input::length::{Angle, Length};
use crate::terms::{Locates, SeatName};

/// Most blades and roller levels whose errors are unknowns of their own.
pub const MOST_SHARED: usize = 32;

/// An unknown: lengths in mm, tapers in radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unknown {
    /// Roller diameter D.
    Diameter,
    /// Height h of a seat (its place in [`Settings::seats`]).
    Height(usize),
    /// Axle to face e.
    AxleToFace,
    /// Error common to what one caliper measured, within the half-width.
    Instrument(f64),
    /// Error of a blade's thickness.
    Thickness(f64),
    /// Error of a blade's taper.
    Taper(f64),
    /// Error of a blade's lands.
    Land(f64),
    /// Error of the taper of a blade's lands.
    LandTaper(f64),
    /// Error of a roller level.
    Level(f64),
    /// Thickness of the one blade that the settings of a seat (its place) are of.
    OwnThickness(usize),
    /// Height of the lands of the one blade that the settings of a seat (its place) are of.
    OwnLand(usize),
}

/// A blade in a seat with the roller at a level: what a projection belongs to beside the angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blade {
    /// The seat's place in [`Settings::seats`].
    pub seat: usize,
    /// The seat's name.
    pub name: SeatName,
    /// What of the blade the seat locates.
    pub locates: Locates,
    /// Thickness at the edge, if it was said.
    pub thickness: Option<Length>,
    /// Taper.
    pub taper: Angle,
    /// Height of the side lands, if it was said.
    pub land: Option<Length>,
    /// Taper of the side lands.
    pub land_taper: Angle,
    /// Roller level z.
    pub level: Length,
    /// Column and half-width of the errors of thickness, taper, lands, level and the lands' taper; no column where the
    /// error counts as independent from pair to pair. A thickness or land that nobody stated is all its own error.
    pub(super) shared: [Option<(Option<usize>, f64)>; 5],
}

/// Seat, then value and tolerance of thickness, taper, lands, level and the lands' taper, as bits.
type Key = [u64; 11];

fn key(pair: &Pair) -> Key {
    let bits = |l: Option<Length>| {
        // An absent length differs from every length, an unstated tolerance from every tolerance.
        l.map_or([u64::MAX, 0], |l| [l.mm.to_bits(), l.within.map_or(u64::MAX, f64::to_bits)])
    };
    let [taper, land_taper] = [pair.taper, pair.land_taper].map(|a| Some(Length { mm: a.degrees, within: a.within }));
    let [t, u, l, z, v] = [pair.thickness, taper, pair.land, Some(pair.level), land_taper].map(bits);
    [pair.seat as u64, t[0], t[1], u[0], u[1], l[0], l[1], z[0], z[1], v[0], v[1]]
}

/// The unknowns, blades and shared errors met so far.
pub(super) struct Registry {
    /// The unknowns, to which shared errors are added.
    pub unknowns: Vec<Unknown>,
    /// The different blades.
    pub blades: Vec<Blade>,
    known: HashMap<Key, usize>,
    shared: HashMap<(usize, [u64; 3]), usize>,
    owned: HashMap<usize, usize>,
}

impl Registry {
    pub fn new(unknowns: Vec<Unknown>) -> Self {
        Self { unknowns, blades: Vec::new(), known: HashMap::new(), shared: HashMap::new(), owned: HashMap::new() }
    }

    /// The place of a pair's blade, new or known.
    pub fn blade(&mut self, settings: &Settings, pair: &Pair) -> usize {
        let key = key(pair);
        if let Some(&known) = self.known.get(&key) {
            return known;
        }
        let seat = &settings.seats[pair.seat];
        let when = |is: bool, within: Option<f64>| within.filter(|w| is && *w > 0.0);
        let (underside, sides) = (seat.locates == Locates::Underside, seat.locates == Locates::Sides);
        let thickness = when(underside, pair.thickness.and_then(|t| t.within));
        let taper = when(underside, pair.taper.within.map(f64::to_radians));
        let land = when(sides, pair.land.and_then(|l| l.within));
        let land_taper = when(sides, pair.land_taper.within.map(f64::to_radians));
        let level = when(true, pair.level.within);
        let own_thickness = underside && pair.thickness.is_none();
        let own_land = sides && pair.land.is_none();
        let shared = [
            thickness.map(|w| (self.column(0, [key[0], key[1], key[2]], Unknown::Thickness(w)), w)),
            taper.map(|w| (self.column(1, [key[0], key[3], key[4]], Unknown::Taper(w)), w)),
            land.map(|w| (self.column(2, [key[0], key[5], key[6]], Unknown::Land(w)), w)),
            // The level is the shop's: whatever the seat.
            level.map(|w| (self.column(3, [0, key[7], key[8]], Unknown::Level(w)), w)),
            land_taper.map(|w| (self.column(4, [key[0], key[9], key[10]], Unknown::LandTaper(w)), w)),
        ];
        let own = |is: bool, unknown, registry: &mut Self| is.then(|| (Some(registry.own(pair.seat, unknown)), 0.0));
        let [thickness, taper, land, level, land_taper] = shared;
        let thickness = thickness.or_else(|| own(own_thickness, Unknown::OwnThickness(pair.seat), self));
        let land = land.or_else(|| own(own_land, Unknown::OwnLand(pair.seat), self));
        let shared = [thickness, taper, land, level, land_taper];
        let (name, locates) = (seat.name, seat.locates);
        let &Pair { thickness, taper, land, land_taper, level, seat, .. } = pair;
        self.blades.push(Blade { seat, name, locates, thickness, taper, land, land_taper, level, shared });
        self.known.insert(key, self.blades.len() - 1);
        self.blades.len() - 1
    }

    /// The column of what nobody stated of a seat's one blade; a seat locates by one of the two.
    fn own(&mut self, seat: usize, unknown: Unknown) -> usize {
        *self.owned.entry(seat).or_insert_with(|| {
            self.unknowns.push(unknown);
            self.unknowns.len() - 1
        })
    }

    /// The column of a shared error, new or known; `None` when there are too many.
    fn column(&mut self, kind: usize, own: [u64; 3], unknown: Unknown) -> Option<usize> {
        if let Some(&column) = self.shared.get(&(kind, own)) {
            return Some(column);
        }
        if self.shared.len() >= MOST_SHARED {
            return None;
        }
        self.unknowns.push(unknown);
        self.shared.insert((kind, own), self.unknowns.len() - 1);
        Some(self.unknowns.len() - 1)
    }
}
