//! The library's fonts, without what it never asks them for.

use std::ops::Range;

use ttf_parser::loca::Table;
use ttf_parser::{Face, GlyphId, RawFace, Tag};

#[path = "../../ground/shape/repertoire.rs"]
mod repertoire;

/// Tables that set signs beside and for each other, which ours are not; their first four bytes stay, a version.
const UNUSED: [&[u8; 4]; 5] = [b"GPOS", b"GSUB", b"GDEF", b"kern", b"MATH"];

/// Blanks, in a module that holds the fonts, the outlines of signs that are not lettered: nothing moves, and zeros pack to
/// almost nothing.
///
/// # Errors
/// That the module does not hold a font, or one that cannot be read; whole sentences.
pub(crate) fn blank(module: &mut [u8]) -> Result<(), String> {
    for font in [dejavu::sans_condensed::regular(), dejavu::sans_condensed::bold()] {
        let at = module.windows(font.len()).position(|bytes| bytes == font);
        let at = at.ok_or("The module does not hold the drawings' fonts as they are.")?;
        let unused = unused(font).ok_or("A font cannot be read.")?;
        unused.into_iter().for_each(|range| module[at..][range].fill(0));
    }
    Ok(())
}

/// Where a font holds what is not asked for.
fn unused(font: &[u8]) -> Option<Vec<Range<usize>>> {
    let raw = RawFace::parse(font, 0).ok()?;
    let table = |name: &[u8; 4]| {
        let record = raw.table_records.into_iter().find(|record| record.tag == Tag::from_bytes(name))?;
        let start = record.offset as usize;
        Some(start..start + record.length as usize)
    };
    let face = Face::parse(font, 0).ok()?;
    let (head, glyphs) = (face.tables().head, table(b"glyf")?);
    let locations =
        Table::parse(face.tables().maxp.number_of_glyphs, head.index_to_location_format, &font[table(b"loca")?])?;
    let outline = |glyph| {
        let range = locations.glyph_range(GlyphId(glyph));
        range.map_or(0..0, |range| glyphs.start + range.start..glyphs.start + range.end)
    };
    let mut is_used = vec![false; usize::from(face.number_of_glyphs())];
    is_used[0] = true;
    let signs = (char::MIN..=char::MAX).filter(|sign| repertoire::is_lettered(*sign));
    let mut used: Vec<u16> = signs.filter_map(|sign| face.glyph_index(sign)).map(|glyph| glyph.0).collect();
    while let Some(glyph) = used.pop() {
        if !std::mem::replace(&mut is_used[usize::from(glyph)], true) {
            used.extend(parts(&font[outline(glyph)]));
        }
    }
    let blank = (0..face.number_of_glyphs()).filter(|glyph| !is_used[usize::from(*glyph)]).map(outline);
    let tables = UNUSED.into_iter().filter_map(table).map(|range| range.start + 4..range.end);
    let names = names(font, table(b"post")?);
    let unused_names = names.into_iter().filter(|(glyph, _)| !is_used[usize::from(*glyph)]).map(|(_, name)| name);
    Some(blank.chain(tables).chain(unused_names).collect())
}

/// The glyphs that have names of their own, and where these are, in a table of version 2 (OpenType 1.9, "post"; from
/// memory).
fn names(font: &[u8], table: Range<usize>) -> Vec<(u16, Range<usize>)> {
    // Smaller numbers are those of a list that the format has.
    const FIRST_OWN: u16 = 258;
    let word = |at: usize| u16::from_be_bytes([font[at], font[at + 1]]);
    let numbers = table.start + 32;
    let count = word(numbers);
    let number = |glyph: u16| word(numbers + 2 + 2 * usize::from(glyph));
    let mut names = Vec::new();
    let mut at = numbers + 2 + 2 * usize::from(count);
    while at < table.end {
        let name = at + 1..at + 1 + usize::from(font[at]);
        at = name.end;
        names.push(name);
    }
    let own = |glyph| Some((glyph, names.get(usize::from(number(glyph).checked_sub(FIRST_OWN)?))?.clone()));
    (0..count).filter_map(own).collect()
}

/// The glyphs that a glyph is put together of (OpenType 1.9, "glyf", composite glyph description; from memory).
fn parts(outline: &[u8]) -> Vec<u16> {
    let word = |at: usize| outline.get(at..at + 2).map_or(0, |bytes| u16::from_be_bytes([bytes[0], bytes[1]]));
    let mut parts = Vec::new();
    let mut at = 10;
    let mut more = word(0) >= 0x8000;
    while more {
        let flags = word(at);
        parts.push(word(at + 2));
        let scale =
            [(0x8, 2), (0x40, 4), (0x80, 8)].iter().find(|(flag, _)| flags & flag != 0).map_or(0, |(_, size)| *size);
        at += 4 + if flags & 1 != 0 { 4 } else { 2 } + scale;
        more = flags & 0x20 != 0;
    }
    parts
}
