//! Lines for a terminal of 80 columns.

/// The columns that are used, so that a terminal of 80 never breaks a line by itself.
const COLUMNS: usize = 78;

/// Indented lines.
pub fn wrapped(text: &str) -> String {
    hanging(text, "  ", "  ")
}

/// Lines of which the first begins with `first` and the others with `rest`; a word that is longer than a line is broken.
pub fn hanging(text: &str, first: &str, rest: &str) -> String {
    let mut lines = vec![first.to_string()];
    let mut fresh = true;
    for word in text.split_whitespace() {
        let mut letters: Vec<char> = word.chars().collect();
        while !letters.is_empty() {
            let Some(line) = lines.last_mut() else { break };
            let (used, gap) = (line.chars().count(), usize::from(!fresh));
            if used + gap + letters.len() <= COLUMNS {
                line.extend((!fresh).then_some(' '));
                line.extend(letters.drain(..));
                fresh = false;
            } else if fresh {
                line.extend(letters.drain(..COLUMNS.saturating_sub(used).clamp(1, letters.len())));
                lines.push(rest.to_string());
            } else {
                lines.push(rest.to_string());
                fresh = true;
            }
        }
    }
    if fresh && lines.len() > 1 {
        lines.pop();
    }
    lines.iter().filter(|line| !line.trim().is_empty()).map(|line| format!("{line}\n")).collect()
}

/// What the user wrote, short enough to be said again.
pub fn echoed(text: &str) -> String {
    const MOST: usize = 60;
    if text.chars().count() <= MOST {
        return text.to_string();
    }
    text.chars().take(MOST).chain(['…']).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_longer_than_a_terminal() {
        for text in ["word ".repeat(60), "w".repeat(400), format!("a {} b", "x".repeat(78)), "é".repeat(77)] {
            let lines = hanging(&text, "  1 ", "    ");
            assert!(lines.lines().all(|line| line.chars().count() <= COLUMNS), "{lines}");
            let letters = |t: &str| t.chars().filter(|c| !c.is_whitespace() && *c != '1').collect::<String>();
            assert_eq!(letters(&lines), letters(&text));
        }
        assert_eq!(wrapped(""), "");
        assert_eq!(wrapped("one two"), "  one two\n");
    }
}
