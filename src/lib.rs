//! Stopwright makes setting blocks for honing guides.

pub mod lettering;
pub mod units;

pub mod input;
pub mod profile;

pub mod guide;
pub mod job;
pub mod kit;
pub mod log;

pub mod solve;

pub mod fit;

pub mod lane;
pub mod layout;
pub mod print;
pub mod solid;

pub mod testpiece;

pub mod jig;
pub mod stock;
pub mod timber;

pub mod bevel;
pub mod camber;
pub mod card;
pub mod drawing;
pub mod emit;
pub mod gauge;
pub mod gauges;
pub mod grits;

pub mod verify;

pub mod make;

pub mod measure;

pub mod cli;
