//! The printed block's sheets, in the order in which they are read: its [`words`] and use, its [`drawing`], and what is
//! needed for [`printing`] it, with its [`picture`].

pub mod drawing;
pub mod picture;
pub mod printing;
pub mod words;

use std::ops::Range;

use super::Layout;
use super::cleat::Cleat;
use crate::drawing::Sheet;
use crate::job::Job;
use crate::shape::stack::Stack;
use crate::views::assembly::{Draft, TooLarge, numbered};
use picture::Picture;

/// All sheets of a block, with their numbers.
#[derive(Debug, Clone)]
pub struct Set {
    /// The sheets.
    pub sheets: Vec<Sheet>,
    /// Which of them are the dimensioned drawing.
    pub drawing: Range<usize>,
}

impl Set {
    /// The sheets of the dimensioned drawing.
    pub fn of_drawing(&self) -> &[Sheet] {
        &self.sheets[self.drawing.clone()]
    }
}

/// Draws all sheets of a block, which looks like `picture`; `name` is what its files are called, and `cleat` the cleat
/// with its own.
///
/// # Errors
/// [`TooLarge`] where no sheet takes the drawing.
pub fn all(
    job: &Job,
    layout: &Layout,
    (name, stack): (&str, &Stack),
    cleat: Option<(&str, &Cleat)>,
    picture: &Picture,
) -> Result<Set, TooLarge> {
    let parts: Vec<(&str, &Stack)> =
        std::iter::once((name, stack)).chain(cleat.map(|(name, cleat)| (name, &cleat.stack))).collect();
    let cleat = cleat.map(|(_, cleat)| cleat);
    let mut drafts: Vec<Draft> = words::sheet(job, layout, cleat, stack).into_iter().collect();
    let first = drafts.len();
    drafts.extend(drawing::sheets(job, layout, cleat, stack, &picture.illustration())?);
    let drawing = first..drafts.len();
    drafts.extend(printing::sheets(job, layout, cleat, &parts, picture));
    Ok(Set { sheets: numbered(drafts), drawing })
}
