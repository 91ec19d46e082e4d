//! A guide from known settings: the engine against certified values, recovery of random guides, the command.

mod command;
mod facts;
mod known;
mod nist;
mod recovery;
mod robust;
