//! The binary: nothing but the door.

fn main() -> std::process::ExitCode {
    tipring::cli::main()
}
