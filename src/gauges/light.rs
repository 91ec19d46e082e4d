//! What light between a blade and a gauge tells.
//!
//! Of a wall one place stands up to `s` further out than another, and a gap of less than `v` cannot be seen. A gap that
//! ought to be `g` is then `g − s` to `g + s`: light is sure from `v + s` on, and what shows light may have no gap at all
//! but for `s`. So a limit is set `s` inside of what is claimed (a guard band, as ISO 14253-1 has it, from memory), and
//! what is as wanted still shows light where it lies `v + s` inside of the limit: less than `v + 2·s` cannot be told.

/// Gap that shows at a knife edge against a good lamp, mm (the light-gap method, "Lichtspaltverfahren" in the
/// German-language encyclopaedia).
pub const KNIFE_EDGE: f64 = 0.002;
/// Least gap that is taken to be seen, mm: a wall as wide as a plate is thick is taken to need five times that at a knife
/// edge (assumed).
pub const VISIBLE: f64 = 0.01;

/// How a gauge is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Making {
    /// Printed.
    #[default]
    Printed,
    /// Cut in sheet metal, and its sides filed straight.
    Metal,
}

impl Making {
    /// How much further out one place of the walls stands than another, mm. A nozzle of 0.4 mm prints to a tenth of a
    /// millimetre, of which a short straight wall is taken to need half; a side that is filed under a straight edge is
    /// straight to a hundredth (both common practice, no source).
    pub fn stray(self) -> f64 {
        match self {
            Making::Printed => 0.05,
            Making::Metal => 0.01,
        }
    }

    /// The least gap by the plan that surely shows, mm.
    pub fn sure(self) -> f64 {
        VISIBLE + self.stray()
    }

    /// The least difference that it tells, mm.
    pub fn tells(self) -> f64 {
        VISIBLE + 2.0 * self.stray()
    }

    /// In words, after "a gauge": `that is printed`.
    pub fn words(self) -> &'static str {
        match self {
            Making::Printed => "printed",
            Making::Metal => "cut in metal and filed straight",
        }
    }
}
