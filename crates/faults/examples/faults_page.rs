//! Writes the manual's page of faults: `cargo run -p faults --example faults_page`.

fn main() -> std::io::Result<()> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/reference/faults.md");
    std::fs::write(path, faults::reference_page())
}
