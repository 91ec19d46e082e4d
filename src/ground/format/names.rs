//! Names of files from names that people give.

use unicode_normalization::UnicodeNormalization;

use crate::shape::script::is_hidden;

/// The most signs of a name; with an ending they fit into what every disk takes.
const MOST: usize = 60;

/// Names that some systems keep for devices, whatever ending they have.
const DEVICES: [&str; 22] = [
    "CON", "PRN", "AUX", "NUL", "COM1", "COM2", "COM3", "COM4", "COM5", "COM6", "COM7", "COM8", "COM9", "LPT1", "LPT2",
    "LPT3", "LPT4", "LPT5", "LPT6", "LPT7", "LPT8", "LPT9",
];

/// Whether a name may be a file's as it is: up to 60 letters, digits, spaces, `-`, `_` and `.`, beginning with a letter or
/// digit and not ending with a full stop.
pub fn is_file_name(name: &str) -> bool {
    name.chars().next().is_some_and(char::is_alphanumeric)
        && name.chars().all(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_' | '.'))
        && name.chars().count() <= MOST
        && !name.ends_with('.')
}

/// What [`is_file_name`] takes, for messages.
pub const FILE_NAME: &str = "up to 60 letters, digits, spaces, - _ and ., beginning with a letter or digit";

/// The name of a file or folder for something that a person called `name`: one that leads to no other folder, is not
/// hidden, and that every usual system takes. Names that are such already stay as they are.
pub fn file_name(name: &str) -> String {
    let plain = |c: char| match c {
        '/' | '\\' | ':' | '*' | '?' | '"' | '<' | '>' | '|' => '-',
        c if is_hidden(c) => '-',
        c => c,
    };
    let mut name: String = name.nfc().map(plain).take(MOST).collect();
    if name.starts_with(['.', ' ', '-']) {
        name = format!("_{}", name.trim_start_matches(['.', ' ', '-']));
    }
    name.truncate(name.trim_end_matches(['.', ' ']).len());
    let stem = name.split('.').next().unwrap_or_default().trim_end().to_uppercase();
    if name.is_empty() || DEVICES.contains(&stem.as_str()) {
        name.insert(0, '_');
    }
    name
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_never_makes_a_path() {
        for (name, file) in [
            ("jack", "jack"),
            ("Müller's no. 2", "Müller's no. 2"),
            ("../../x", "_x"),
            ("/any/dir", "_any-dir"),
            ("..", "_"),
            ("a/../b", "a-..-b"),
            ("C:\\x", "C--x"),
            ("", "_"),
            ("x. .", "x"),
            ("nul", "_nul"),
            ("Com1.stl", "_Com1.stl"),
            ("a\u{202e}b\n", "a-b-"),
            ("-rf", "_rf"),
        ] {
            assert_eq!(file_name(name), file, "{name:?}");
            assert_eq!(std::path::Path::new(&file_name(name)).components().count(), 1);
            assert_eq!(file_name(&file_name(name)), file_name(name));
        }
        assert_eq!(file_name(&"x".repeat(300)).len(), MOST);
    }

    #[test]
    fn what_may_be_a_name_stays_as_it_is() {
        for name in ["Old guide no. 2", "a", "9", "łódź_1-b"] {
            assert!(is_file_name(name) && file_name(name) == name, "{name}");
        }
        for name in ["", ".a", "a/b", "a.", "-a", " a", "a\tb", &"x".repeat(61)] {
            assert!(!is_file_name(name), "{name}");
        }
    }
}
