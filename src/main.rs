//! The `stopwright` program; everything it does is in the library.

fn main() -> std::process::ExitCode {
    stopwright::cli::run()
}
