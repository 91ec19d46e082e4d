//! Tables made narrow: what is too wide for the terminal gets its words on several lines, then its columns one group
//! below the other.

/// Blanks between two columns, at least.
const GAP: usize = 2;

/// A column as it stands in the text.
struct Column {
    /// One cell a row, without the blanks around it.
    cells: Vec<String>,
    /// Whether its cells end alike, as numbers do.
    right: bool,
    /// Its whole width.
    width: usize,
}

/// A table's `rows` in at most `width` columns: as they are if they go, else with cells of words on several lines, and
/// where that is not enough with groups of columns below each other, each with the first.
pub fn narrowed(rows: &[&str], width: usize) -> String {
    if rows.iter().all(|row| row.chars().count() <= width) {
        return rows.iter().map(|row| format!("{row}\n")).collect();
    }
    let indent = rows.iter().map(|row| row.chars().take_while(|c| *c == ' ').count()).min().unwrap_or(0);
    let columns = columns(rows, indent);
    let room = width.saturating_sub(indent);
    let group = |group: &Vec<&Column>| -> String {
        let widths = widths(group, room);
        (0..rows.len()).map(|row| lines(group, &widths, row, indent)).collect()
    };
    groups(&columns, room).iter().map(group).collect::<Vec<_>>().join("\n")
}

/// The columns of `rows`: where all of them are blank for two places or more, one ends.
fn columns(rows: &[&str], indent: usize) -> Vec<Column> {
    let rows: Vec<Vec<char>> = rows.iter().map(|row| row.chars().skip(indent).collect()).collect();
    let end = rows.iter().map(Vec::len).max().unwrap_or(0);
    let is_blank = |at: usize| rows.iter().all(|row| row.get(at).is_none_or(|c| *c == ' '));
    let mut spans: Vec<[usize; 2]> = Vec::new();
    for at in (0..end).filter(|at| !is_blank(*at)) {
        match spans.last_mut() {
            Some(span) if at - span[1] < GAP => span[1] = at + 1,
            _ => spans.push([at, at + 1]),
        }
    }
    let column = |(i, [from, to]): (usize, &[usize; 2])| {
        let raw: Vec<String> = rows.iter().map(|row| row.iter().take(*to).skip(*from).collect()).collect();
        let ends_alike =
            raw.iter().filter(|cell| !cell.trim().is_empty()).all(|c| c.trim_end().chars().count() == to - from);
        let cells = raw.iter().map(|cell| cell.trim().to_string()).collect();
        Column { cells, right: i > 0 && ends_alike, width: to - from }
    };
    spans.iter().enumerate().map(column).collect()
}

/// The widths of columns side by side: where they have no room, those of words give, the widest first, until all go or
/// none has any to give.
fn widths(columns: &[&Column], room: usize) -> Vec<usize> {
    let mut widths: Vec<usize> = columns.iter().map(|c| c.width).collect();
    let least: Vec<usize> = columns.iter().map(|c| longest_word(c)).collect();
    while total(&widths) > room {
        let gives = widths.iter_mut().zip(&least).filter(|(width, least)| **width > **least);
        let Some((widest, _)) = gives.max_by_key(|(width, _)| **width) else { break };
        *widest -= 1;
    }
    widths
}

fn total(widths: &[usize]) -> usize {
    widths.iter().sum::<usize>() + GAP * widths.len().saturating_sub(1)
}

/// The longest piece of a column that stays on one line: a word, or a whole cell without letters.
fn longest_word(column: &Column) -> usize {
    let pieces = column.cells.iter().flat_map(|cell| pieces(cell));
    pieces.map(|piece| piece.chars().count()).max().unwrap_or(0)
}

/// Where a cell may be broken: between the words of one that has letters.
fn pieces(cell: &str) -> Vec<&str> {
    if cell.chars().any(char::is_alphabetic) { cell.split(' ').collect() } else { vec![cell] }
}

/// Columns that go side by side: all, if they can be made to, else groups in their whole width, each with the first.
fn groups(columns: &[Column], room: usize) -> Vec<Vec<&Column>> {
    let all: Vec<&Column> = columns.iter().collect();
    let Some((first, rest)) = all.split_first() else { return Vec::new() };
    if total(&widths(&all, room)) <= room {
        return vec![all];
    }
    let mut groups = vec![vec![*first]];
    for column in rest {
        if let Some(group) = groups.last_mut() {
            let taken = group.iter().map(|c| c.width + GAP).sum::<usize>() + column.width;
            if taken <= room || group.len() == 1 {
                group.push(column);
                continue;
            }
        }
        groups.push(vec![first, column]);
    }
    groups
}

/// One row of a group, on as many lines as its longest cell takes.
fn lines(group: &[&Column], widths: &[usize], row: usize, indent: usize) -> String {
    let cells: Vec<Vec<String>> = group.iter().zip(widths).map(|(c, width)| broken(&c.cells[row], *width)).collect();
    let count = cells.iter().map(Vec::len).max().unwrap_or(0);
    let mut text = String::new();
    for line in 0..count {
        let mut words = " ".repeat(indent);
        for ((column, width), cell) in group.iter().zip(widths).zip(&cells) {
            let part = cell.get(line).map_or("", String::as_str);
            let pad = " ".repeat(width.saturating_sub(part.chars().count()));
            words += &if column.right { format!("{pad}{part}  ") } else { format!("{part}{pad}  ") };
        }
        text += words.trim_end();
        text.push('\n');
    }
    text
}

/// A cell on lines of at most `width`; none where it is empty.
fn broken(cell: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for piece in pieces(cell).into_iter().filter(|piece| !piece.is_empty()) {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + piece.chars().count() <= width => {
                line.push(' ');
                line.push_str(piece);
            }
            _ => lines.push(piece.to_string()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    const TABLE: [&str; 4] = [
        "lane  needed for                           fence  largest error  bevels set",
        "                                              mm              °",
        "A     spokeshave, primary 25°              60.53           0.30           5",
        "F     1 1/4 bench chisel, micro-bevel 30°  35.74           0.00           1",
    ];

    #[test]
    fn a_table_that_goes_stays_as_it_is() {
        assert_eq!(narrowed(&TABLE, 80), TABLE.map(|row| format!("{row}\n")).concat());
    }

    #[test]
    fn words_go_on_several_lines_before_columns_do() {
        // As wide as lets the shorter of the two names stay on one line.
        let narrow = narrowed(&TABLE, 64);
        assert!(narrow.lines().all(|line| line.chars().count() <= 64), "{narrow}");
        assert!(narrow.contains("A     spokeshave, primary 25°"), "{narrow}");
        assert!(!narrow.contains("\n\n"), "{narrow}");
        assert_eq!(words(&narrow), words(&TABLE.join("\n")));
    }

    #[test]
    fn columns_stand_in_groups_where_nothing_else_goes() {
        let narrow = narrowed(&TABLE, 30);
        assert!(narrow.lines().all(|line| line.chars().count() <= 30), "{narrow}");
        assert_eq!(narrow.matches("lane").count(), narrow.split("\n\n").count(), "{narrow}");
        for number in ["60.53", "0.30", "35.74", "5"] {
            assert!(narrow.contains(number), "{narrow}");
        }
    }

    /// The words of a text in the order of the alphabet.
    fn words(text: &str) -> Vec<&str> {
        let mut words: Vec<&str> = text.split_whitespace().collect();
        words.sort_unstable();
        words
    }
}
