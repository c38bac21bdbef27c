//! The `overflown` command.

fn main() -> std::process::ExitCode {
    overflown::cli::main()
}
