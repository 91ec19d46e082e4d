//! The printed block's sheets: its [`words`] and use, its [`drawing`], its [`picture`], and what is needed for [`printing`]
//! it.

pub mod drawing;
pub mod picture;
pub mod printing;
pub mod words;
