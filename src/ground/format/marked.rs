//! What several lines have alike is said once.

/// How a line says in itself that it rests on practice alone, and what stands there instead.
const PRACTICE: [(&str, &str); 2] = [(" (common practice, no source)", "*"), (": common practice, no source)", ")*")];

/// `text` with an asterisk for "common practice, no source", which a line of its own at the end says once, where any line says it.
pub fn practice(text: &str) -> String {
    let marked = PRACTICE.iter().fold(text.to_string(), |text, (words, mark)| text.replace(words, mark));
    if marked == text { marked } else { marked + "* Common practice, no source.\n" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn practice_is_said_once() {
        let text = "A (common practice, no source).\nB (0.2 mm: common practice, no source)\nC\n";
        assert_eq!(practice(text), "A*.\nB (0.2 mm)*\nC\n* Common practice, no source.\n");
        assert_eq!(practice("C\n"), "C\n");
    }
}
