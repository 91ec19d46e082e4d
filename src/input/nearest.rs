//! The name that was meant, where one that is not known was written.

/// How much of a name may be mistyped, as a part of its length: a letter in three.
const MISTYPED: usize = 3;

/// Words shorter than this are near to anything.
const SHORTEST: usize = 2;

/// The one of `names` that `word` is nearest to, if it is near at all: the fewest letters put in, left out, changed or
/// swapped.
pub(crate) fn nearest<'a>(word: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let small = word.to_lowercase();
    if small.chars().count() < SHORTEST {
        return None;
    }
    let far = |name: &str| strsim::damerau_levenshtein(&small, &name.to_lowercase());
    let near = names.into_iter().map(|name| (far(name), name)).min_by_key(|(far, _)| *far)?;
    let most = small.chars().count().div_ceil(MISTYPED);
    (near.0 <= most).then_some(near.1)
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
    }
}
