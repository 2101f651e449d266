//! Prints the manual's page `docs/reference/conformance.md`:
//! `cargo run -p link --example conformance_page > docs/reference/conformance.md`

fn main() {
    print!("{}", link::vet::reference_page());
}
