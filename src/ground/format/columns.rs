//! Aligned columns of text for the terminal.

/// `rows` in columns: the first `names` to the left, numbers to the right; two spaces between.
pub fn aligned(rows: &[Vec<String>], names: usize) -> String {
    let columns = rows.first().map_or(0, Vec::len);
    let width = |c: usize| rows.iter().map(|r| r[c].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut text = String::new();
    for row in rows {
        let mut line = String::new();
        for (c, (cell, w)) in row.iter().zip(&widths).enumerate() {
            let pad = " ".repeat(w - cell.chars().count());
            line += &if c < names { format!("{cell}{pad}  ") } else { format!("{pad}{cell}  ") };
        }
        text += line.trim_end();
        text.push('\n');
    }
    text
}
