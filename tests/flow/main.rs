//! The tests of the whole flow, one module a stage; see DEVELOPERS.md for how they are arranged.

#![allow(clippy::unwrap_used, missing_docs)]

mod bad_input;
mod blocks;
mod commands;
mod cutsheet;
mod documents;
mod drawings;
mod examples;
mod fit;
mod measure;
mod oracles;
mod profiles;
mod simulation;
mod stock;
mod support;
mod tiles;
mod verify;
