//! Prints the JSON Schema of `night.json`, as it is published in `docs/reference/night.schema.json`.

fn main() {
    print!("{}", report::night_schema());
}
