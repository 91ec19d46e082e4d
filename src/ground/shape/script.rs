//! Names as people write them, and which of their signs the drawings cannot show.
//!
//! Drawings, cards, gauges and blocks are lettered sign by sign from left to right in one font, with Latin, Greek and
//! Cyrillic letters, and more; what is not lettered, or needs more than signs in a row, is refused by name before anything
//! is made, alike for all outputs.

use std::borrow::Cow;

use unicode_normalization::char::is_combining_mark;

use super::font;

/// Signs that are named in one message.
const MOST: usize = 5;

/// What of a name cannot be shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unshown {
    /// The signs and why, to stand after "has": `"刨" (U+5228), which the drawings' font cannot show`.
    pub found: String,
    /// What to do, a sentence.
    pub mend: &'static str,
}

/// Why a sign cannot be shown.
#[derive(Clone, Copy, PartialEq)]
enum Why {
    Unseen,
    RightToLeft,
    Mark,
    NoGlyph,
}

/// What of `name`, with its accents composed, the drawings cannot show; `None` where they can show all of it.
pub fn unshown(name: &str) -> Option<Unshown> {
    let (_, why) = name.chars().find_map(|sign| Some((sign, why(sign)?)))?;
    let mut signs: Vec<char> = name.chars().filter(|sign| self::why(*sign) == Some(why)).collect();
    signs.sort_unstable();
    signs.dedup();
    signs.truncate(MOST);
    let named = |sign: &char| match why {
        Why::Unseen | Why::Mark => format!("U+{:04X}", *sign as u32),
        Why::RightToLeft | Why::NoGlyph => format!("\"{sign}\" (U+{:04X})", *sign as u32),
    };
    let signs = signs.iter().map(named).collect::<Vec<_>>().join(", ");
    let (reason, mend) = match why {
        Why::Unseen => ("which nobody can see", "Take it out."),
        Why::RightToLeft => ("which is read from right to left, and the drawings are not", OTHERS),
        Why::Mark => ("a mark that makes no sign of the drawings' font with the letter before it", OTHERS),
        Why::NoGlyph => ("which the drawings' font cannot show", OTHERS),
    };
    Some(Unshown { found: format!("{signs}, {reason}"), mend })
}

/// What may be written instead.
const OTHERS: &str = "Use Latin, Greek or Cyrillic letters.";

fn why(sign: char) -> Option<Why> {
    let lacks = |bold| font::sign(sign, bold).is_none();
    match sign {
        _ if is_unseen(sign) => Some(Why::Unseen),
        _ if is_right_to_left(sign) => Some(Why::RightToLeft),
        _ if is_combining_mark(sign) => Some(Why::Mark),
        _ if lacks(false) || lacks(true) => Some(Why::NoGlyph),
        _ => None,
    }
}

/// Control characters, and what Unicode calls ignorable by default, with its line and paragraph separators.
fn is_unseen(sign: char) -> bool {
    is_hidden(sign)
        || matches!(sign,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}' | '\u{180b}'..='\u{180f}'
            | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{3164}'
            | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffb}' | '\u{e0000}'..='\u{e0fff}')
}

/// Signs that nobody sees and that change how the rest is seen or read: controls, new lines among them, those of the
/// direction of writing, separators of lines and paragraphs, and code points that Unicode keeps from being characters (its
/// chapter 23.7), which XML 1.0 forbids in part.
pub fn is_hidden(sign: char) -> bool {
    sign.is_control()
        || matches!(sign,
            '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}'
            | '\u{fdd0}'..='\u{fdef}')
        || sign as u32 & 0xfffe == 0xfffe
}

/// A text whose hidden signs, but for tabs and new lines, are shown as JSON escapes them, so that none can command a terminal or turn a
/// line around.
pub fn shown(text: &str) -> Cow<'_, str> {
    let hides = |sign: char| is_hidden(sign) && !matches!(sign, '\t' | '\n');
    if !text.contains(hides) {
        return text.into();
    }
    let mut shown = String::with_capacity(text.len() + 16);
    for sign in text.chars() {
        match sign {
            '\r' => shown.push_str("\\r"),
            sign if hides(sign) => {
                shown.extend(sign.encode_utf16(&mut [0; 2]).iter().map(|unit| format!("\\u{unit:04x}")))
            }
            sign => shown.push(sign),
        }
    }
    shown.into()
}

/// The same on one line, with tabs and new lines shown too; of a text of more than `most` signs only its beginning.
pub fn on_a_line(text: &str, most: usize) -> String {
    let end = text.char_indices().nth(most).map_or(text.len(), |(end, _)| end);
    let line = shown(&text[..end]).replace('\n', "\\n").replace('\t', "\\t");
    if end < text.len() { line + "…" } else { line }
}

/// The blocks that Unicode keeps for scripts that run from right to left.
fn is_right_to_left(sign: char) -> bool {
    matches!(sign, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefe}' | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
}

/// What stands in relief for a capital that a nozzle cannot print so small; `None` where its accent is dropped. The first
/// choices of the table for names in machine-readable travel documents (ICAO Doc 9303, part 3, section 6; from memory).
pub(super) fn transliterated(capital: char) -> Option<&'static str> {
    Some(match capital {
        'Ä' | 'Æ' => "AE",
        'Å' => "AA",
        'Ö' | 'Ø' | 'Œ' => "OE",
        'Ü' => "UE",
        'ẞ' => "SS",
        'Þ' => "TH",
        'Ð' | 'Đ' => "D",
        'Ħ' => "H",
        'Ł' => "L",
        'Ŋ' => "N",
        'Ŧ' => "T",
        'Ĳ' => "IJ",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_hidden_is_shown_as_itself() {
        let text = "a\u{202e}b\u{ffff}\u{1fffe}\u{1b}[2J\r\t\n\u{2066}é刨";
        assert_eq!(shown(text), "a\\u202eb\\uffff\\ud83f\\udffe\\u001b[2J\\r\t\n\\u2066é刨");
        assert!(matches!(shown("plain: é 刨 ½"), Cow::Borrowed(_)));
        // As JSON reads it back.
        let hidden = "\u{202e}\u{1fffe}\u{1b}";
        assert_eq!(serde_json::from_str::<String>(&format!("\"{}\"", shown(hidden))).expect("JSON"), hidden);
    }

    #[test]
    fn names_of_europe_are_shown() {
        for name in
            ["Müller's Rauhbank", "Łódź", "smørrebrød", "Straße", "é à ç ñ š ž ő ț", "Стамеска", "Πλάνη", "½″ №1"]
        {
            assert_eq!(unshown(name), None, "{name}");
        }
    }

    #[test]
    fn what_cannot_be_shown_is_told_by_name_and_code_point() {
        for (name, found) in [
            ("刨 x", "\"刨\" (U+5228), which the drawings' font cannot show"),
            ("אב", "\"א\" (U+05D0), \"ב\" (U+05D1), which is read from right to left, and the drawings are not"),
            ("a\u{200b}b", "U+200B, which nobody can see"),
            ("a\tb", "U+0009, which nobody can see"),
            ("x\u{30c}", "U+030C, a mark that makes no sign of the drawings' font with the letter before it"),
            ("🪚", "\"🪚\" (U+1FA9A), which the drawings' font cannot show"),
            ("★", "\"★\" (U+2605), which the drawings' font cannot show"),
        ] {
            assert_eq!(unshown(name).map(|u| u.found), Some(found.to_string()));
        }
    }
}
