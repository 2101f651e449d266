//! Prints the manual's page of the line language: `cargo run -p protocol --example protocol_page > docs/reference/protocol.md`.

fn main() {
    print!("{}", protocol::reference_page());
}
