//! Choosing one of some words.

/// The place of the word that is meant: one in full, its number in the list from 1, or a beginning that no other has.
pub fn chosen<'w>(text: &str, words: impl Iterator<Item = &'w str> + Clone) -> Option<usize> {
    let lower = text.trim().to_lowercase();
    let wanted = lower.strip_prefix("the ").unwrap_or(&lower);
    let number = wanted.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
    if let Some(nth) = number.filter(|nth| *nth < words.clone().count()) {
        return Some(nth);
    }
    let mut places = words.enumerate().map(|(i, word)| (i, word.to_lowercase()));
    if let Some((exact, _)) = places.clone().find(|(_, word)| word == wanted) {
        return Some(exact);
    }
    let mut fitting = places.by_ref().filter(|(_, word)| !wanted.is_empty() && word.starts_with(wanted));
    match (fitting.next(), fitting.next()) {
        (Some((one, _)), None) => Some(one),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::chosen;

    #[test]
    fn words_may_be_short_or_numbered() {
        let words = ["underside", "back", "sides"];
        for text in ["back", "the back", "2", "b", "BACK"] {
            assert_eq!(chosen(text, words.into_iter()), Some(1), "{text}");
        }
        for text in ["0", "4", "top", ""] {
            assert_eq!(chosen(text, words.into_iter()), None, "{text}");
        }
        let chisels = ["bench", "bench-chisel"];
        assert_eq!(["bench", "bench-", "be"].map(|t| chosen(t, chisels.into_iter())), [Some(0), Some(1), None]);
    }
}
