//! What a proof on a plate comes to, for people.

use serde_json::{Value, json};

use super::Proof;
use crate::format::columns::aligned;
use crate::honing::plate::{Packing, PlateAngle};
use crate::honing::scatter::{self, Expanded, Scatter};
use crate::input::length::rectangular;
use crate::solve::uncertainty::COVERAGE;
use crate::units::{FINE, fixed, short};

/// What each lane should come to.
pub fn expected(proof: &Proof) -> String {
    let written = proof.written;
    let unit = written.unit();
    let row = |cells: [&str; 6]| cells.map(String::from).to_vec();
    let mut rows =
        vec![row(["lane", "angle", "Q less P", "from", "to", "packing"]), row(["", "°", unit, unit, unit, ""])];
    let number = |mm: f64| written.fixed(mm, FINE).to_string();
    for lane in &proof.lanes {
        let packing = match lane.packing {
            Packing::None => "none".to_string(),
            Packing::UnderEdge(mm) => format!("edge, {}", written.size(mm)),
            Packing::UnderRoller(mm) => format!("roller, {}", written.size(mm)),
        };
        rows.push(vec![
            lane.words(),
            short(lane.angle, 3),
            number(lane.difference),
            number(lane.limits[0]),
            number(lane.limits[1]),
            packing,
        ]);
    }
    format!(
        "Set a blade, stand the guide with it on a flat plate, and measure how high the blade's back is at two lines, P near the edge and Q {} behind it. Q less P is then:\n\n{}\nFrom, to: within ±{}°. Keep fingers behind the edge; never slide it over the plate.\n",
        written.size(proof.apart),
        aligned(&rows, 1),
        short(proof.tolerance, 3)
    )
}

/// Settings that were measured: the mean, its uncertainty, and what one setting alone has.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Each setting's angle, degrees.
    pub settings: Vec<f64>,
    /// What the readings are uncertain by, one cause each, standard, degrees.
    pub causes: Vec<(&'static str, f64)>,
    /// How settings scatter; none of a single one.
    pub scatter: Option<Scatter>,
}

impl Found {
    /// What settings measured alike come to; `None` of none.
    pub fn of(angles: &[PlateAngle]) -> Option<Self> {
        let worst = angles.iter().max_by(|a, b| a.uncertainty().total_cmp(&b.uncertainty()))?;
        let settings: Vec<f64> = angles.iter().map(|a| a.degrees).collect();
        let scatter = Scatter::of(std::slice::from_ref(&settings));
        Some(Self { settings, causes: worst.causes.clone(), scatter })
    }

    /// The mean angle, degrees.
    pub fn mean(&self) -> f64 {
        scatter::mean(&self.settings)
    }

    /// Uncertainty of the mean as an angle of these settings.
    pub fn of_mean(&self) -> Expanded {
        let n = (self.settings.len() as f64).sqrt();
        Expanded::of(self.parts(n))
    }

    /// Uncertainty of the angle of the next single setting.
    pub fn of_one(&self) -> Expanded {
        Expanded::of(self.parts(1.0))
    }

    fn parts(&self, root: f64) -> Vec<(f64, f64)> {
        let readings = self.causes.iter().map(|(_, u)| (*u, f64::INFINITY));
        readings.chain(self.scatter.map(|s| (s.s / root, s.freedom))).collect()
    }

    /// Half-width of a rectangle with the mean's standard uncertainty, degrees: what a known setting's angle is `within`.
    pub fn within(&self) -> f64 {
        self.of_mean().standard / rectangular(1.0)
    }

    /// In words.
    pub fn text(&self) -> String {
        let of = self.of_mean();
        let causes = self.causes.iter().map(|(name, u)| format!("{name} {}°", fixed(COVERAGE * u, 2)));
        let mut text = match self.settings.len() {
            1 => String::new(),
            n => format!("The mean of {n} settings: "),
        };
        text += &format!("{}° ± {}° (k = {})\n", fixed(self.mean(), 2), fixed(of.expanded(), 2), short(of.k, 1));
        text += &format!("Of that, with k = 2: {}\n", causes.collect::<Vec<_>>().join(", "));
        match self.scatter {
            Some(scatter) => {
                let one = self.of_one();
                text += &format!(
                    "Settings made again differ by s = {}° (standard deviation). One setting alone is within ± {}° (k = {}).\n",
                    fixed(scatter.s, 2),
                    fixed(one.expanded(), 2),
                    short(one.k, 1)
                );
            }
            None => text += "How well you set is not in it: set the blade five times and give all five.\n",
        }
        text + &format!(
            "As the angle of a known setting, for fit: {{ \"value\": {}, \"within\": {} }}\n",
            fixed(self.mean(), 2),
            fixed(self.within(), 2)
        ) + "It holds if the bevel at the edge is no steeper than this; a steeper one stands on its heel.\n"
    }

    /// As JSON.
    pub fn json(&self) -> Value {
        let of = |e: Expanded| {
            json!({ "standard": e.standard, "degrees_of_freedom": e.freedom.is_finite().then_some(e.freedom),
                    "coverage_factor": e.k, "expanded": e.expanded() })
        };
        json!({
            "settings": self.settings,
            "angle": self.mean(),
            "uncertainty": of(self.of_mean()),
            "uncertainty_of_one_setting": of(self.of_one()),
            "causes": self.causes.iter().map(|(name, u)| json!({ "cause": name, "standard": u })).collect::<Vec<_>>(),
            "scatter": self.scatter.map(|s| s.s),
            "known_setting": { "angle": { "value": self.mean(), "within": self.within() } },
        })
    }
}
