//! Builds the standalone page, `out/stopwright.html`: the library as WebAssembly and the page, put together in one file.
//!
//!     cargo run --release -p stopwright-page-build

mod fonts;
mod toolchain;

// The program's own room, without the program: it builds in seconds.
#[allow(dead_code, reason = "the served body is the program's")]
#[path = "../mod.rs"]
mod page;

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::{env, fs};

use lzma_rust2::{LzmaOptions, LzmaWriter};

use toolchain::{TARGET, Toolchain};

/// The largest page, bytes; a larger one is written, to be looked into, and refused.
const LARGEST: usize = 2_000_000;

fn main() -> ExitCode {
    match built() {
        Ok(said) => {
            println!("{said}");
            ExitCode::SUCCESS
        }
        Err(why) => {
            eprintln!("error: {why}");
            ExitCode::FAILURE
        }
    }
}

/// Builds the page and tells its sizes.
///
/// # Errors
/// What is missing or went wrong; whole sentences.
fn built() -> Result<String, String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).ancestors().nth(3).ok_or("The package has been moved.")?;
    let [library, unpacker] = modules(root)?;
    let (mut library, unpacker) = (module(&library)?, module(&unpacker)?);
    fonts::blank(&mut library)?;
    let packed = packed(&library).map_err(|e| format!("The library cannot be packed: {e}."))?;
    let html = in_utf_16(&page::standalone(&text(&[&unpacker, &packed])).html);
    let out = root.join("out/stopwright.html");
    fs::write(&out, &html).map_err(|e| format!("{} cannot be written: {e}.", out.display()))?;
    let [page, whole, packed] = [html.len(), library.len(), packed.len()];
    let sizes = format!("{page} bytes, of which the library {whole}, packed {packed}");
    if page > LARGEST {
        return Err(format!("The page has {sizes}; {LARGEST} at most."));
    }
    Ok(format!("{}: {sizes}", out.display()))
}

/// The library and what unpacks it, as WebAssembly.
///
/// # Errors
/// That they cannot be built; whole sentences.
fn modules(root: &Path) -> Result<[PathBuf; 2], String> {
    let target = root.join("target/page");
    let mut cargo = Toolchain::found()?.build();
    cargo.current_dir(root.join("src/page/wasm")).arg("--workspace").arg("--target-dir").arg(&target);
    cargo.env("CARGO_ENCODED_RUSTFLAGS", flags(root).join("\x1f"));
    let status = cargo.status().map_err(|e| format!("cargo cannot be run: {e}."))?;
    if !status.success() {
        return Err("The library could not be built as WebAssembly.".into());
    }
    let made = target.join(TARGET).join("release");
    Ok(["library", "unpack"].map(|part| made.join(format!("stopwright_page_{part}.wasm"))))
}

/// A module that was built.
///
/// # Errors
/// That it cannot be read, or imports what a page does not give it; whole sentences.
fn module(path: &Path) -> Result<Vec<u8>, String> {
    let module = fs::read(path).map_err(|e| format!("{} cannot be read: {e}.", path.display()))?;
    match has_imports(&module) {
        Some(false) => Ok(module),
        Some(true) => Err(format!("{} imports something, which a page cannot give it.", path.display())),
        None => Err(format!("{} is no WebAssembly.", path.display())),
    }
}

/// What the compiler is told: no path of this computer in messages, so that everybody builds the same.
fn flags(root: &Path) -> Vec<String> {
    let home = env::var("CARGO_HOME").or_else(|_| env::var("HOME").map(|home| format!("{home}/.cargo")));
    let registry = home.map(|home| format!("{home}/registry/src"));
    let places = registry.into_iter().chain([root.display().to_string()]);
    places.map(|place| format!("--remap-path-prefix={place}=")).collect()
}

/// Whether a module has a section of imports, by its number 2; none where it is no module.
fn has_imports(module: &[u8]) -> Option<bool> {
    let mut rest = module.strip_prefix(b"\0asm\x01\0\0\0")?;
    while let [section, sized @ ..] = rest {
        if *section == 2 {
            return Some(true);
        }
        // The length in groups of seven bits, the lowest first.
        let groups = sized.iter().position(|byte| byte & 0x80 == 0)? + 1;
        let length = sized[..groups].iter().rev().fold(0, |length, byte| length << 7 | usize::from(byte & 0x7f));
        rest = sized.get(groups + length..)?;
    }
    Some(false)
}

/// A module packed as small as it goes.
fn packed(module: &[u8]) -> std::io::Result<Vec<u8>> {
    let nice_len = LzmaOptions::NICE_LEN_MAX;
    let options = LzmaOptions { dict_size: module.len() as u32, nice_len, ..LzmaOptions::with_preset(9) };
    let mut writer = LzmaWriter::new_use_header(Vec::new(), &options, Some(module.len() as u64))?;
    writer.write_all(module)?;
    writer.finish()
}

/// The sign that stands for no bit set; from there on 32,768 signs are all letters of some script.
const FIRST_SIGN: u32 = 0x3400;

/// Bytes as a text that the page's worker reads: parts, each but the last after its length in four bytes, the lowest first;
/// fifteen bits to a sign, the highest first.
fn text([unpacker, library]: &[&[u8]; 2]) -> String {
    let length = (unpacker.len() as u32).to_le_bytes();
    let mut text = String::new();
    let (mut held, mut bits) = (0u32, 0);
    let mut say = |held: u32| text.extend(char::from_u32(FIRST_SIGN + (held & 0x7fff)));
    for byte in length.iter().chain(*unpacker).chain(*library) {
        (held, bits) = (held << 8 | u32::from(*byte), bits + 8);
        if bits >= 15 {
            bits -= 15;
            say(held >> bits);
        }
    }
    if bits > 0 {
        say(held << (15 - bits));
    }
    text
}

/// A text in UTF-16, as its mark at the beginning says: signs of fifteen bits take two bytes in it, and three in UTF-8.
fn in_utf_16(text: &str) -> Vec<u8> {
    std::iter::once(0xfeff).chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect()
}
