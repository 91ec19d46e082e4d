//! Finds what builds WebAssembly: the toolchain in use, to which rustup adds the target where it is missing; else the one
//! that Debian keeps for the web, which builds the standard library itself.

use std::path::{Path, PathBuf};
use std::process::Command;

/// What is built for.
pub(crate) const TARGET: &str = "wasm32-unknown-unknown";

/// Where Debian puts its toolchain.
const DEBIANS: [&str; 2] = ["/usr/bin/cargo", "/usr/bin/rustc"];

/// A toolchain that builds WebAssembly.
#[derive(Debug)]
pub(crate) enum Toolchain {
    /// The one in use, with its target.
    InUse,
    /// Debian's, with the linker of the one in use: its own is in one more package.
    Debians {
        /// None where there is no other; then its own must be there.
        linker: Option<PathBuf>,
    },
}

impl Toolchain {
    /// The one that is there.
    ///
    /// # Errors
    /// What is to be installed.
    pub(crate) fn found() -> Result<Self, String> {
        let is_there = || {
            let libraries = printed(Command::new("rustc").args(["--print", "target-libdir", "--target", TARGET]));
            libraries.is_some_and(|folder| folder.is_dir())
        };
        let is_added = || Command::new("rustup").args(["target", "add", TARGET]).status().is_ok_and(|s| s.success());
        if is_there() || is_added() && is_there() {
            return Ok(Self::InUse);
        }
        let [cargo, rustc] = DEBIANS;
        let sources =
            printed(debians(rustc).args(["--print", "sysroot"])).map(|root| root.join("lib/rustlib/src/rust"));
        if Path::new(cargo).exists() && sources.is_some_and(|sources| sources.is_dir()) {
            let libraries = printed(Command::new("rustc").args(["--print", "target-libdir"]));
            let linker = libraries.map(|folder| folder.with_file_name("bin/rust-lld")).filter(|linker| linker.exists());
            return Ok(Self::Debians { linker });
        }
        Err(format!(
            "Nothing here builds WebAssembly. Install its target (rustup target add {TARGET}), or Debian's packages \
             rustc-web, cargo-web and rust-web-src."
        ))
    }

    /// Its cargo, told to build the library in release.
    pub(crate) fn build(&self) -> Command {
        let mut cargo = match self {
            Self::InUse => Command::new("cargo"),
            Self::Debians { linker } => {
                let [cargo, rustc] = DEBIANS;
                let mut cargo = debians(cargo);
                // Building the standard library is not stable.
                cargo.env("RUSTC", rustc).env("RUSTC_BOOTSTRAP", "1").args(["-Z", "build-std=std,panic_abort"]);
                linker.iter().for_each(|linker| {
                    cargo.env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER", linker);
                });
                cargo
            }
        };
        cargo.args(["build", "--release", "--locked", "--target", TARGET]);
        cargo
    }
}

/// A program of Debian's, away from the libraries of the toolchain that runs this one.
fn debians(program: &str) -> Command {
    let mut command = Command::new(program);
    command.env_remove("LD_LIBRARY_PATH");
    command
}

/// The path that a compiler prints.
fn printed(rustc: &mut Command) -> Option<PathBuf> {
    let output = rustc.output().ok().filter(|output| output.status.success())?;
    Some(String::from_utf8(output.stdout).ok()?.trim().into())
}
