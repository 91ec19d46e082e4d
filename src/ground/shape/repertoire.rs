//! The signs that are lettered: of the scripts that are read from left to right one sign after the other, and the signs of
//! measures, counts and prices beside them.

/// The blocks of Unicode that signs are taken from, first and last sign of each.
const BLOCKS: &[(char, char)] = &[
    // Latin with its accents.
    (' ', '\u{24f}'),
    // Letters that stand for an apostrophe, and accents that stand alone.
    ('\u{2b9}', '\u{2dd}'),
    // Greek and Cyrillic.
    ('\u{370}', '\u{52f}'),
    // Armenian and Georgian.
    ('\u{531}', '\u{58f}'),
    ('\u{10a0}', '\u{10ff}'),
    // Further accents of Latin and Greek.
    ('\u{1e00}', '\u{1fff}'),
    // Dashes, quotation marks, primes.
    ('\u{2010}', '\u{205e}'),
    // Raised and lowered figures, money.
    ('\u{2070}', '\u{20bf}'),
    // №, ™, Ω, fractions, arrows, mathematical signs, the sign of a diameter.
    ('\u{2100}', '\u{2300}'),
    // The check at the end of a step of work, ✓.
    ('\u{2713}', '\u{2713}'),
];

/// Whether a sign is lettered, provided that the font has it.
pub fn is_lettered(sign: char) -> bool {
    BLOCKS.iter().any(|&(first, last)| (first..=last).contains(&sign))
}
