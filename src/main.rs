//! The `stopwright` program; what it does is in `cli`.

fn main() -> std::process::ExitCode {
    stopwright_program::cli::run()
}
