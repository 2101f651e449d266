//! Writes the message of every bad fixture night beside it: `cargo run -p scenario --example messages`.

use std::path::Path;

fn main() -> std::io::Result<()> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/scenarios/bad");
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_none_or(|found| found != "toml") {
            continue;
        }
        let source = std::fs::read_to_string(&path)?;
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        let said = match scenario::read(&source) {
            Ok(_) => "(it was accepted)\n".to_owned(),
            Err(complaints) => {
                let pictures: Vec<String> =
                    complaints.iter().map(|complaint| complaint.render(name, &source)).collect();
                pictures.join("\n")
            }
        };
        std::fs::write(path.with_extension("err"), said)?;
    }
    Ok(())
}
