//! Reports as wide as the terminal: sentences are wrapped, tables are made narrow where they are made.

use std::io::IsTerminal;

use textwrap::{Options, WordSplitter};

/// Fewest and most columns that sentences are wrapped to: narrower breaks every other word, wider loses the eye.
const WRAPPED: [usize; 2] = [40, 100];

/// The width of what is printed to: as `COLUMNS` says, else that of the terminal; none for a pipe or a file, where
/// whoever reads wraps.
pub(super) fn width(of: &impl IsTerminal) -> Option<usize> {
    let stated = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse::<usize>().ok());
    let size = || terminal_size::terminal_size().map(|(terminal_size::Width(columns), _)| columns.into());
    stated.or_else(|| of.is_terminal().then(size).flatten()).map(|columns: usize| columns.clamp(WRAPPED[0], WRAPPED[1]))
}

/// A report with its sentences wrapped to `width` columns. Rows of tables, which have their columns two spaces apart, and
/// data for machines stay as they are.
pub(super) fn wrapped(report: &str, width: usize) -> String {
    if is_data(report) {
        return report.to_string();
    }
    let mut text = String::with_capacity(report.len() + report.len() / 40);
    for line in report.split_inclusive('\n') {
        let (words, end) = line.strip_suffix('\n').map_or((line, ""), |words| (words, "\n"));
        if words.chars().count() <= width || is_row(words) {
            text += words;
        } else {
            let indent = " ".repeat(words.len() - words.trim_start().len());
            // What goes on stands a little further in than a list's item begins, or as far in as the paragraph.
            let hanging =
                if words.trim_start().starts_with(['-', '*', '·']) { format!("{indent}  ") } else { indent.clone() };
            let options = Options::new(width)
                .initial_indent(&indent)
                .subsequent_indent(&hanging)
                .break_words(false)
                .word_splitter(WordSplitter::NoHyphenation);
            text += &textwrap::fill(words.trim_start(), options);
        }
        text += end;
    }
    text
}

/// Whether a text is JSON.
fn is_data(text: &str) -> bool {
    text.starts_with(['{', '[']) && serde_json::from_str::<serde::de::IgnoredAny>(text).is_ok()
}

/// Whether a line is a row of a table.
fn is_row(line: &str) -> bool {
    line.trim().contains("  ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_are_wrapped_and_rows_are_not() {
        let sentence = "  Hone a test bevel and measure it before you rely on a lane, whatever the figures say.\n";
        let wrapped_to_40 = wrapped(sentence, 40);
        assert!(wrapped_to_40.lines().all(|l| l.chars().count() <= 40 && l.starts_with("  ")), "{wrapped_to_40}");
        assert_eq!(
            wrapped_to_40.split_whitespace().collect::<Vec<_>>(),
            sentence.split_whitespace().collect::<Vec<_>>()
        );
        let row = format!("{:<60}  {:>40}\n", "plane-iron 25°", "60.04");
        assert_eq!(wrapped(&row, 40), row);
        let data = format!("{{\"a\": \"{}\"}}\n", "word ".repeat(40));
        assert_eq!(wrapped(&data, 40), data);
    }
}
