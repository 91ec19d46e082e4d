//! Answers a request: what a page asks of the library, from standard input to standard output.
//!
//! `echo '{"want":"guide"}' | cargo run --example answer > guide.answer`

use std::io::{Read, Write};

fn main() -> std::io::Result<()> {
    let mut request = Vec::new();
    std::io::stdin().read_to_end(&mut request)?;
    std::io::stdout().write_all(&stopwright::answer::wire::answered(&request))
}
