//! Speed.
fn main() {
    divan::main();
}
