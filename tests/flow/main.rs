//! The tests of the whole flow, one module a stage; see DEVELOPERS.md for how they are arranged.

#![allow(clippy::unwrap_used, missing_docs)]

mod bad_input;
mod batch;
mod bevel;
mod blocks;
mod camber;
mod cards;
mod commands;
mod corrected;
mod cutsheet;
mod documents;
mod drawings;
mod examples;
mod fit;
mod front;
mod gauges;
mod grits;
mod house;
mod kit;
mod labels;
mod measure;
mod models;
mod oracles;
mod outlines;
mod profiles;
mod reading;
mod simulation;
mod solids;
mod split;
mod stock;
mod support;
mod testpiece;
mod tiles;
mod told;
mod verify;
