//! Writes the generated pages of the manual: `cargo run -p scenario --example schema`.

use std::path::Path;

fn main() -> std::io::Result<()> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/reference");
    std::fs::create_dir_all(&folder)?;
    let schema = serde_json::to_string_pretty(&scenario::schema())?;
    std::fs::write(folder.join("scenario.schema.json"), schema + "\n")?;
    std::fs::write(folder.join("scenario.md"), scenario::reference_page())
}
