//! Stopwright makes setting blocks for honing guides.

pub mod error;
pub mod stages;
pub mod terms;
pub mod units;

pub mod shape;
pub mod solid;

pub mod drawing;
pub mod format;

pub mod wood;

pub mod input;
pub mod profile;

pub mod guide;
pub mod solve;

pub mod fit;
pub mod measure;

pub mod lane;
pub mod layout;
pub mod views;

pub mod stones;

pub mod job;
pub mod kit;
pub mod lanes;
pub mod log;

pub mod block;
pub mod card;
pub mod gauges;
pub mod jig;
pub mod testpiece;

pub mod verify;

pub mod make;

pub mod cli;
