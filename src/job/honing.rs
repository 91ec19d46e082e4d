//! What a job says of the bench.

use super::Resolver;
use crate::honing::scatter::Scatter;
use crate::honing::stone::Stone;
use crate::honing::{Honing, flex};
use crate::input::length::LengthForm;
use crate::profile::honing::HoningFile;

/// How many settings a scatter is from where it is not said.
const USUAL_SETTINGS: u32 = 5;

impl Resolver<'_> {
    pub(super) fn honing(&mut self, file: Option<&HoningFile>) -> Honing {
        let Some(file) = file else { return Honing::default() };
        if file.settings.is_some() && file.scatter.is_none() {
            self.fault(
                &["honing", "settings"],
                "settings without scatter",
                "settings beside the scatter that they showed",
            );
        }
        let settings = file.settings.unwrap_or(USUAL_SETTINGS);
        let usual = flex::Load::default();
        let at = |field| ["honing", field];
        let load = flex::Load {
            force: file.load.unwrap_or(usual.force),
            behind: self.mm(&at("load_behind"), file.load_behind.as_ref()).unwrap_or(usual.behind),
            modulus: file.modulus.unwrap_or(usual.modulus),
        };
        let stone = file.stone.clone().unwrap_or_default();
        let mut of_stone = |field, form: &Option<LengthForm>| self.mm(&["honing", "stone", field], form.as_ref());
        let stone = Stone {
            length: of_stone("length", &stone.length),
            width: of_stone("width", &stone.width),
            hollow_along: of_stone("hollow_along", &stone.hollow_along),
            hollow_across: of_stone("hollow_across", &stone.hollow_across),
            film: of_stone("film", &stone.film),
        };
        Honing {
            scatter: file.scatter.map(|s| Scatter { s, freedom: f64::from(settings) - 1.0 }),
            speck: self.mm(&at("speck"), file.speck.as_ref()),
            seat_length: self.mm(&at("seat_length"), file.seat_length.as_ref()),
            creep: file.creep,
            stone,
            load,
            out_of_square: file.out_of_square.unwrap_or(0.0),
        }
    }
}
