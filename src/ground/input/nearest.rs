//! The name that was meant, where one that is not known was written.

/// How much of a name may be mistyped, as a part of its length: a letter in three.
const MISTYPED: usize = 3;

/// Words shorter than this are near to anything.
const SHORTEST: usize = 2;

/// Words longer than this are near to nothing.
const LONGEST: usize = 200;

/// Words for a name that share no letters with it.
const OTHER_WORDS: [(&str, &str); 8] = [
    ("tolerance", "within"),
    ("±", "within"),
    ("\"", "in"),
    ("″", "in"),
    ("millimetre", "mm"),
    ("millimeter", "mm"),
    ("millimetres", "mm"),
    ("millimeters", "mm"),
];

/// The one of `names` that `word` is nearest to, if it is near at all: the fewest letters put in, left out, changed or
/// swapped; else the only one that it is a part of, or that is a part of it.
pub fn nearest<'a>(word: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let small = word.trim().to_lowercase().replace([' ', '_'], "-");
    let plain = |name: &str| name.to_lowercase().replace([' ', '_'], "-");
    let names: Vec<&str> = names.into_iter().collect();
    let other = OTHER_WORDS.iter().filter(|(other, _)| *other == small);
    if let Some(known) = other.flat_map(|(_, name)| names.iter().find(|known| *known == name)).next() {
        return Some(known);
    }
    let length = small.chars().count();
    if !(SHORTEST..=LONGEST).contains(&length) {
        return None;
    }
    let far = |name: &str| strsim::damerau_levenshtein(&small, &plain(name));
    let near = names.iter().map(|name| (far(name), *name)).min_by_key(|(far, _)| *far)?;
    if near.0 <= length / MISTYPED {
        return Some(near.1);
    }
    let part = |name: &&&str| {
        let name = plain(name);
        let (short, long) = if name.len() < small.len() { (&name, &small) } else { (&small, &name) };
        short.chars().count() >= SHORTEST && (long.starts_with(short.as_str()) || long.ends_with(short.as_str()))
    };
    let mut parts = names.iter().filter(part);
    parts.next().filter(|_| parts.next().is_none()).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_the_finger_is_known() {
        let names = ["narrow-side-clamp", "wide-side-clamp", "top-clamp"];
        assert_eq!(nearest("narow-side-clmp", names), Some("narrow-side-clamp"));
        assert_eq!(nearest("TOP-CLAMP", names), Some("top-clamp"));
        assert_eq!(nearest("vise", names), None);
        assert_eq!(nearest("z", ["x", "y"]), None);
        assert_eq!(nearest("MM", ["mm", "in"]), Some("mm"));
        assert_eq!(nearest("inches", ["mm", "in"]), Some("in"));
        assert_eq!(nearest("carbon", ["plain-carbon", "A2"]), Some("plain-carbon"));
        assert_eq!(nearest("clamp", names), None);
        // Ten times too large, or quite another word.
        assert_eq!(nearest("cm", ["mm", "in"]), None);
        assert_eq!(nearest("grits", ["units", "sheet"]), None);
    }
}
