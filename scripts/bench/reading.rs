//! Times of every stage of a reading.
fn main() {
    divan::main();
}
