//! Prints the JSON Schema of `sweep.json`: `cargo run -p sweep --example sweep_schema > docs/reference/sweep.schema.json`.

fn main() {
    println!("{:#}", sweep::sweep_schema());
}
