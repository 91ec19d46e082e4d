//! Camber: an edge that falls back toward its corners, so that a plane leaves no tracks.

pub mod curve;
