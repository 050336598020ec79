//! `swapcall_tests::hostile::tally` with bytes that a machine makes up.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| swapcall_tests::hostile::tally(bytes));
