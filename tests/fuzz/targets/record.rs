//! `swapcall_tests::hostile::record` with bytes that a machine makes up.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| swapcall_tests::hostile::record(bytes));
