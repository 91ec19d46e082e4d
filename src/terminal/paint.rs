//! Colour where a terminal is: it repeats what the words say, and never says more.

use anstream::{AutoStream, ColorChoice};
use anstyle::{AnsiColor, Style};

use super::wrap;

const FAILS: Style = AnsiColor::Red.on_default().bold();
const WARNS: Style = AnsiColor::Yellow.on_default();
const PASSES: Style = AnsiColor::Green.on_default();
const HEADING: Style = Style::new().bold();

/// What lines begin with.
const BEGINNINGS: [(&str, Style); 8] = [
    ("NO BLOCK:", FAILS),
    ("LEFT OUT:", FAILS),
    ("refused:", FAILS),
    ("Internal error:", FAILS),
    ("Warning:", WARNS),
    ("wooden jig: Warning:", WARNS),
    ("CORRECTED:", WARNS),
    ("Next:", HEADING),
];

/// What rows of tables end in.
const ENDS: [(&str, Style); 11] = [
    ("  FAILS", FAILS),
    ("  MAKE ANEW", FAILS),
    ("  does not agree", FAILS),
    ("  backward", FAILS),
    ("  REGRIND", WARNS),
    ("  wasted", WARNS),
    ("  long", WARNS),
    ("  passes", PASSES),
    ("  still good", PASSES),
    ("  sound", PASSES),
    ("  no scale error found", PASSES),
];

/// Whether what is printed to `stream` is coloured: as `--color` says, else where a terminal is and neither `NO_COLOR`
/// nor the terminal is against it.
pub fn is_wanted(asked: clap::ColorChoice, stream: &impl anstream::stream::RawStream) -> bool {
    match asked {
        clap::ColorChoice::Always => true,
        clap::ColorChoice::Never => false,
        clap::ColorChoice::Auto => AutoStream::choice(stream) != ColorChoice::Never,
    }
}

/// A report with its headings, warnings and verdicts in colour.
pub fn painted(report: &str) -> String {
    let mut after_table = false;
    let mut after_blank = true;
    let mut text = String::with_capacity(report.len() + report.len() / 8);
    for line in report.split_inclusive('\n') {
        let (words, end) = line.strip_suffix('\n').map_or((line, ""), |words| (words, "\n"));
        let is_row = wrap::is_row(words);
        let is_heading = is_row && !after_table && after_blank && !words.starts_with(' ');
        text += &if is_heading { styled(words, HEADING) } else { painted_line(words, is_row) };
        text += end;
        after_table = is_row;
        after_blank = words.is_empty();
    }
    text
}

fn painted_line(words: &str, is_row: bool) -> String {
    let begins = words.trim_start();
    let indent = &words[..words.len() - begins.len()];
    if let Some((sign, style)) = BEGINNINGS.iter().find(|(sign, _)| begins.starts_with(sign)) {
        return format!("{indent}{}{}", styled(sign, *style), &begins[sign.len()..]);
    }
    match ENDS.iter().find(|(verdict, _)| is_row && words.ends_with(verdict)) {
        Some((verdict, style)) => format!("{}{}", &words[..words.len() - verdict.len()], styled(verdict, *style)),
        None => words.to_string(),
    }
}

fn styled(words: &str, style: Style) -> String {
    format!("{style}{words}{style:#}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use stopwright::stones::grits::Verdict;

    /// The match asks for a new verdict too.
    #[test]
    fn every_verdict_on_a_step_is_painted() {
        for verdict in [Verdict::Sound, Verdict::Long, Verdict::Wasted, Verdict::Backward] {
            let style = match verdict {
                Verdict::Sound => PASSES,
                Verdict::Long | Verdict::Wasted => WARNS,
                Verdict::Backward => FAILS,
            };
            let end = format!("  {}", verdict.word());
            assert_eq!(ENDS.iter().find(|(known, _)| *known == end).map(|(_, known)| *known), Some(style), "{end}");
        }
    }

    #[test]
    fn colour_adds_nothing_to_the_words() {
        let report = "Title\n\nlane   error\n           °\na    +0.10  passes\nb    +0.90  FAILS\n\n  Warning: look twice\nNext:\n";
        let painted = painted(report);
        assert_eq!(anstream::adapter::strip_str(&painted).to_string(), report);
        for (words, style) in [("lane   error", HEADING), ("  passes", PASSES), ("  FAILS", FAILS), ("Warning:", WARNS)]
        {
            assert!(painted.contains(&styled(words, style)), "{words}: {painted:?}");
        }
    }
}
