//! Reports as wide as the terminal: sentences are wrapped, tables are made narrow.

use textwrap::{Options, WordSeparator, WordSplitter};

use super::narrow;
use stopwright::shape::font::stay_together;

/// A report with its sentences wrapped and its tables narrowed to `width` columns. Data for machines stay as they are.
pub fn wrapped(report: &str, width: usize) -> String {
    if is_data(report) {
        return report.to_string();
    }
    let lines: Vec<&str> = report.lines().collect();
    let parts = lines.chunk_by(|line, next| is_row(line) == is_row(next));
    let part = |part: &[&str]| match part.first() {
        Some(first) if is_row(first) => narrow::narrowed(part, width),
        _ => part.iter().map(|line| sentence(line, width) + "\n").collect(),
    };
    let mut text: String = parts.map(part).collect();
    if !report.ends_with('\n') {
        text.pop();
    }
    text
}

/// A line of words, wrapped: what goes on stands a little further in than a list's item begins, or as far in as the
/// paragraph.
fn sentence(line: &str, width: usize) -> String {
    let words = line.trim_start();
    let indent = " ".repeat(line.len() - words.len());
    let hanging = if words.starts_with(['-', '*', '·']) { format!("{indent}  ") } else { indent.clone() };
    let options = Options::new(width)
        .initial_indent(&indent)
        .subsequent_indent(&hanging)
        .break_words(false)
        // At blanks alone: a path is not broken behind its stroke.
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation);
    textwrap::fill(&held(words), options).replace(HOLD, " ")
}

/// A blank that no line ends at.
const HOLD: char = '\u{a0}';

/// Words with a [`HOLD`] for each blank that [no line ends at](stay_together).
fn held(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    let mut before = "";
    for word in words.split(' ') {
        if !text.is_empty() || !before.is_empty() {
            text.push(if stay_together(before, word) { HOLD } else { ' ' });
        }
        text += word;
        before = word;
    }
    text
}

/// Whether a text is JSON.
pub fn is_data(text: &str) -> bool {
    text.starts_with(['{', '[']) && serde_json::from_str::<serde::de::IgnoredAny>(text).is_ok()
}

/// Whether a line is a row of a table: it has columns two blanks apart, or begins in a later one.
pub fn is_row(line: &str) -> bool {
    const LATER: usize = 6;
    line.trim().contains("  ") || (line.len() - line.trim_start().len() >= LATER)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_are_wrapped_and_tables_narrowed() {
        let sentence = "  Prove the angle on a plate before you rely on a lane, whatever the figures say.\n";
        let wrapped_to_40 = wrapped(sentence, 40);
        assert!(wrapped_to_40.lines().all(|l| l.chars().count() <= 40 && l.starts_with("  ")), "{wrapped_to_40}");
        assert_eq!(
            wrapped_to_40.split_whitespace().collect::<Vec<_>>(),
            sentence.split_whitespace().collect::<Vec<_>>()
        );
        let row = format!("{:<60}  {:>40}\n", "plane-iron 25°", "60.04");
        assert_eq!(wrapped(&row, 120), row);
        assert_eq!(wrapped(&row, 80), "plane-iron 25°  60.04\n");
        assert_eq!(wrapped("a\n\n  b", 40), "a\n\n  b");
        let data = format!("{{\"a\": \"{}\"}}\n", "word ".repeat(40));
        assert_eq!(wrapped(&data, 40), data);
    }
}
