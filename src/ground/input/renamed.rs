//! Fields that had other names once: who has them in a file is told what they are called now.

use super::form::Field;

/// Old name and new; it counts only among fields of which one has the new name.
const RENAMED: [(&str, &str); 2] = [
    // `face` of a guide, and of what a fit has measured.
    ("reach", "axle_to_face"),
    // `block` of a job.
    ("island", "middle"),
];

/// Which of `fields` the name `old` meant once.
pub(super) fn today(old: &str, fields: &[Field]) -> Option<usize> {
    let (_, new) = RENAMED.iter().find(|(name, _)| *name == old)?;
    fields.iter().position(|f| f.name == *new)
}

/// What is allowed instead of the old name, in words for the user.
pub(super) fn allowed(new: &str) -> String {
    format!("\"{new}\", its name of today")
}
