#!/bin/sh
# rustc with what a fuzzer needs to see where its input leads: cargo calls it for our own crates, as RUSTC_WORKSPACE_WRAPPER,
# and keeps what comes of it apart from what rustc alone makes. The flags are those of cargo-fuzz without a sanitizer.
# Cargo does not look in here: after a change, `touch` the sources.
exec "$@" \
  --cfg fuzzing \
  -Cpasses=sancov-module \
  -Cllvm-args=-sanitizer-coverage-level=4 \
  -Cllvm-args=-sanitizer-coverage-inline-8bit-counters \
  -Cllvm-args=-sanitizer-coverage-pc-table \
  -Cllvm-args=-sanitizer-coverage-trace-compares \
  -Cllvm-args=-sanitizer-coverage-stack-depth \
  -Cllvm-args=-simplifycfg-branch-fold-threshold=0
