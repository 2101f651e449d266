//! The published schema is the program's.

#[test]
fn the_published_schema_is_that_of_the_program() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/reference/sweep.schema.json");
    let published = std::fs::read_to_string(path).unwrap_or_default();
    assert!(
        published == format!("{:#}\n", sweep::sweep_schema()),
        "the schema is stale: run `cargo run -p sweep --example sweep_schema > docs/reference/sweep.schema.json`"
    );
}
