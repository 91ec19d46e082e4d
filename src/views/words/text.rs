//! The figure and the words as plain text.
