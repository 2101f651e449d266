//! Makes the list of facts in `docs/reference/lesson-files.md` anew.

fn main() -> std::io::Result<()> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/reference/lesson-files.md");
    std::fs::write(path, page::reference_page())
}
