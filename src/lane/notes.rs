//! What holds of several lanes alike, each thing said once with the lanes that it is of.

use std::collections::{HashMap, HashSet};
use std::hash::Hash;

use super::checks::{Finding, Gravity, Rule};
use super::{Lane, land_assumed};
use crate::units::{Units, Written};

/// What makes lanes doubtful before anything else: lands that nobody measured, once for each blade that is so taken, with
/// the most that it may cost.
pub fn lands<'a>(lanes: impl IntoIterator<Item = &'a Lane>) -> Vec<String> {
    let mut all: Vec<(String, land_assumed::Assumed)> = Vec::new();
    let mut written = Written::of(Units::Mm);
    let mut add = |name: &str, assumed: Option<land_assumed::Assumed>| {
        let Some(assumed) = assumed else { return };
        match all.iter_mut().find(|(of, known)| of == name && known.is_as_high(&assumed)) {
            Some((_, known)) => known.cost = [known.cost, assumed.cost].into_iter().flatten().reduce(f64::max),
            None => all.push((name.to_string(), assumed)),
        }
    };
    for lane in lanes {
        written = lane.request.written;
        if lane.members.is_empty() {
            let (request, setting) = (&lane.request, &lane.setting);
            add(&request.label, land_assumed::assumed(&request.blade, &setting.section, setting.projection));
        }
        for member in &lane.members {
            let projection = super::projection_at(member, lane);
            add(&member.name, land_assumed::assumed(&member.request.blade, &member.section, projection));
        }
    }
    grouped(all.into_iter().map(|(name, assumed)| (assumed.words(written), name)))
        .into_iter()
        .map(|(words, names)| format!("Warning: {}: {words}.", names.join(", ")))
        .collect()
}

/// What could not be checked, as the profile lacks a length: each check once, with its lanes where it is not of all.
pub fn unchecked<'a>(lanes: impl IntoIterator<Item = &'a Lane>) -> Vec<String> {
    let lanes: Vec<&Lane> = lanes.into_iter().collect();
    let of = |lane: &&'a Lane| {
        let id = lane.request.id.clone();
        let missing = lane.findings.iter().filter(|f| f.is_unchecked());
        missing.map(|f| (f.message.clone(), id.clone())).collect::<Vec<_>>()
    };
    let groups = grouped(lanes.iter().flat_map(of));
    groups.into_iter().map(|(what, ids)| format!("{what}{}", of_lanes(&ids, lanes.len()))).collect()
}

/// On which level rollers run that do not run on the stone itself; `said` writes a length with its unit.
pub fn levels<'a>(lanes: impl IntoIterator<Item = &'a Lane>, said: impl Fn(f64) -> String) -> Vec<String> {
    let lanes: Vec<&Lane> = lanes.into_iter().collect();
    let off_the_stone = lanes.iter().filter_map(|lane| {
        let level = level(lane.request.roller_level.mm, &said)?;
        Some((level, lane.request.id.clone()))
    });
    let groups = grouped(off_the_stone);
    groups.into_iter().map(|(what, ids)| format!("{what}{}", of_lanes(&ids, lanes.len()))).collect()
}

/// Where the roller runs, in words, `None` on the stone itself; `mm` is how far its track lies above the stone.
pub fn level(mm: f64, said: impl Fn(f64) -> String) -> Option<String> {
    let side = if mm < 0.0 { "below" } else { "above" };
    (mm != 0.0).then(|| format!("the roller runs {} {side} the top of the stone", said(mm.abs())))
}

/// The lanes that something is of, to stand behind it: nothing where it is of all.
fn of_lanes(ids: &[String], all: usize) -> String {
    let lanes = if ids.len() == 1 { "lane" } else { "lanes" };
    if ids.len() == all { String::new() } else { format!(" ({lanes} {})", ids.join(", ")) }
}

/// The names of all that have the same words, each once and in the order in which they come.
pub(crate) fn grouped<W: Clone + Eq + Hash, N: Clone + Eq + Hash>(
    all: impl IntoIterator<Item = (W, N)>,
) -> Vec<(W, Vec<N>)> {
    let mut groups: Vec<(W, Vec<N>)> = Vec::new();
    let (mut known, mut named) = (HashMap::new(), HashSet::new());
    for (words, name) in all {
        let group = *known.entry(words.clone()).or_insert_with(|| {
            groups.push((words, Vec::new()));
            groups.len() - 1
        });
        if named.insert((group, name.clone())) {
            groups[group].1.push(name);
        }
    }
    groups
}

/// Names that are all told.
const NAMED: usize = 24;
/// Of more than those, how many are.
const FIRST: usize = 12;

/// Names in a row; of very many the first, and how many others there are.
pub(crate) fn in_a_row(names: &[String]) -> String {
    match names.len() {
        ..=NAMED => names.join(", "),
        all => format!("{} and {} others", names[..FIRST].join(", "), all - FIRST),
    }
}

/// Findings that are worth a warning, a line each.
pub fn warnings<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> String {
    findings.into_iter().filter(|finding| finding.warns()).map(|finding| finding.said() + "\n").collect()
}

impl Finding {
    /// Whether it says that something could not be checked.
    pub fn is_unchecked(&self) -> bool {
        self.gravity == Gravity::Note && self.rule != Rule::KnownSetting
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::guide::Blade;
    use crate::input::length::Length;
    use crate::lane::build;
    use crate::lane::checks::testing::{EDGE, guide, request};
    use crate::terms::SeatName;

    fn lane(id: &str, angle: f64, level: f64) -> Lane {
        let mut guide = guide();
        guide.face.bottom = None;
        let mut request = request(angle);
        (request.id, request.roller_level) = (id.into(), Length::exact(level));
        build(&guide, &request, EDGE, 0.5).expect("has a setting")
    }

    #[test]
    fn each_thing_is_said_once_with_its_lanes() {
        let lanes = [lane("a", 25.0, -12.0), lane("b", 30.0, -12.0), lane("c", 30.0, 0.0)];
        let mm = |mm: f64| format!("{mm} mm");
        assert_eq!(levels(&lanes, mm), ["the roller runs 12 mm below the top of the stone (lanes a, b)"]);
        assert_eq!(levels(&lanes[..2], mm), ["the roller runs 12 mm below the top of the stone"]);
        let unchecked = unchecked(&lanes);
        let clears: Vec<_> = unchecked.iter().filter(|w| w.contains("clears the stone")).collect();
        assert_eq!(clears, ["not checked: whether the guide clears the stone, as the profile lacks face.bottom"]);
        assert!(lands(&lanes).is_empty());
    }

    #[test]
    fn of_very_many_names_the_first_are_told_and_how_many_others_there_are() {
        let names = |n: usize| (1..=n).map(|i| format!("n{i}")).collect::<Vec<_>>();
        assert_eq!(in_a_row(&names(2)), "n1, n2");
        assert!(in_a_row(&names(24)).ends_with(", n23, n24"));
        assert_eq!(in_a_row(&names(25)), format!("{} and 13 others", names(12).join(", ")));
    }

    #[test]
    fn names_are_grouped_by_their_words_each_once() {
        let all = [("b", 1), ("a", 1), ("b", 2), ("b", 1), ("a", 1)];
        assert_eq!(grouped(all), [("b", vec![1, 2]), ("a", vec![1])]);
    }

    #[test]
    fn lands_that_nobody_measured_are_told_with_the_most_they_cost() {
        let land = Some(Length { mm: 1.5, within: Some(1.0) });
        let of = |angle: f64| {
            let blade = Blade { land, land_assumed: true, ..Blade::even(3.2) };
            let request = crate::lane::Request { blade, seat: SeatName::Chisel, ..request(angle) };
            build(&guide(), &request, EDGE, 0.5).expect("has a setting")
        };
        let [flat, steep] = [25.0, 40.0].map(of);
        let both = lands([&flat, &steep]);
        assert_eq!(both, lands([&steep]));
        assert_ne!(both, lands([&flat]));
        assert!(
            both[0].starts_with("Warning: iron: the height of the blade's side lands was not measured"),
            "{both:?}"
        );
    }
}
