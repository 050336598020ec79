//! Short and long forms of the tests that break things on purpose, and the figures they print.

/// Whether the long form was asked for: `./tests/run faults --long` sets `SWAPCALL_FAULTS=long`.
pub fn long() -> bool {
    std::env::var("SWAPCALL_FAULTS").is_ok_and(|form| form == "long")
}

/// One of two numbers, by the form.
pub fn by_form<T>(short_form: T, long_form: T) -> T {
    if long() { long_form } else { short_form }
}

/// Prints a figure so that `./tests/run faults` can gather it: one line, `figure: WHAT: NUMBERS`.
pub fn figure(what: &str, numbers: &str) {
    println!("figure: {what}: {numbers}");
}
