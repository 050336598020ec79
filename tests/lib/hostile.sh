# Input that a machine makes up, and the long forms of what breaks things on purpose. Sourced by tests/run.

# schemathesis [--long]: the whole API, from its own document.
schemathesis() {
  # A loop without end would be a fault as well: ten times as long as it takes.
  local within=10m
  [ "${1:-}" != --long ] || within=3h
  step schemathesis timeout --kill-after=10s "$within" "$OUT/schemathesis/bin/python" tests/hostile/api/run.py \
    "$SWAPCALL_TEST_HUB" ${1:+"$1"}
}

# Builds the fuzz targets behind whatever else goes on; the step that needs them waits. Machine-made requests leave the
# processors half idle, so the two go well together.
begin_fuzz_programs() {
  FUZZ_PROGRAMS_BEGUN=yes
  rm -f "$OUT/fuzz-programs.end"
  (
    set +e
    build_fuzz_targets >"$OUT/fuzz-programs.begun" 2>&1 </dev/null
    echo $? >"$OUT/fuzz-programs.end"
  ) &
}

end_fuzz_programs() {
  until [ -f "$OUT/fuzz-programs.end" ]; do
    sleep 1
  done
  cat "$OUT/fuzz-programs.begun"
  return "$(cat "$OUT/fuzz-programs.end")"
}

# fuzz SECONDS: every target for so long. The programs are built now, unless somebody began with them before.
fuzz() {
  [ -n "${FUZZ_PROGRAMS_BEGUN:-}" ] || begin_fuzz_programs
  step fuzz-programs end_fuzz_programs
  step fuzz run_fuzz_targets "$1"
}

fuzz_targets() {
  local file
  for file in tests/fuzz/targets/*.rs; do
    basename "$file" .rs
  done
}

# With everything that `cargo build` made of other people's crates: only our own are built anew, for coverage and quick
# enough to make millions of inputs. Stable Rust does: no sanitizer, because our code has no unsafe line to look for.
build_fuzz_targets() {
  local name targets=()
  while read -r name; do
    targets+=(--bin "$name")
  done < <(fuzz_targets)
  # The whole workspace and that example for their features; built is only what is named.
  RUSTC_WORKSPACE_WRAPPER="$TOP/tests/lib/covered-rustc.sh" CARGO_PROFILE_DEV_OPT_LEVEL=2 \
    cargo build --workspace --features swapcall-fuzz/fuzz "${targets[@]}" --example features
}

# One target; what it finds lies in tests/out/fuzz/found-TARGET-*, its log beside it.
run_fuzz_target() {
  local name="$1" seconds="$2"
  mkdir -p "$OUT/fuzz/$name"
  if "$TARGET/debug/$name" -max_total_time="$seconds" -max_len=16384 -timeout=10 -rss_limit_mb=2048 \
    -dict="tests/fuzz/words.dict" -artifact_prefix="$OUT/fuzz/found-$name-" -print_final_stats=1 \
    "$OUT/fuzz/$name" "tests/fuzz/corpus/$name" >"$OUT/fuzz/$name.log" 2>&1; then
    echo well >"$OUT/fuzz/$name.end"
  fi
}

# All of them, two at a time; each counts as one check.
run_fuzz_targets() {
  local seconds="$1" name failed=0 names=()
  mapfile -t names < <(fuzz_targets)
  rm -f "$OUT"/fuzz/found-* "$OUT"/fuzz/*.end
  for name in "${names[@]}"; do
    if [ "$(jobs -rp | wc -l)" -ge 2 ]; then
      wait -n || true
    fi
    run_fuzz_target "$name" "$seconds" &
  done
  wait
  for name in "${names[@]}"; do
    if [ -f "$OUT/fuzz/$name.end" ]; then
      printf 'figure: fuzz %s: %s inputs in %s s, %s covered places, 0 found\n' "$name" \
        "$(fuzz_figure "$name" number_of_executed_units)" "$seconds" "$(fuzz_cover "$name")"
    else
      failed=$((failed + 1))
      printf '%s: found something. The end of its log:\n' "$name"
      tail -n 40 "$OUT/fuzz/$name.log"
      printf 'Make the input small, mend the code, and keep it in tests/fuzz/corpus/%s:\n' "$name"
      printf '%s -minimize_crash=1 -runs=100000 -artifact_prefix=%s %s\n' "$TARGET/debug/$name" "$OUT/fuzz/small-" \
        "$(compgen -G "$OUT/fuzz/found-$name-*" | head -n 1)"
    fi
  done
  printf '# pass %s\n# fail %s\n' "$((${#names[@]} - failed))" "$failed"
  [ "$failed" -eq 0 ]
}

# One of the closing figures of a target's log.
fuzz_figure() {
  awk -v name="stat::$2:" '$1 == name { print $2 }' "$OUT/fuzz/$1.log"
}

# How many places of the program the inputs reach together.
fuzz_cover() {
  sed -n 's/.* cov: \([0-9]*\) .*/\1/p' "$OUT/fuzz/$1.log" | tail -n 1
}

# faults [--long]: everything that breaks something on purpose, and the figures of it.
faults() {
  local mode=() each=60
  if [ "${1:-}" = --long ]; then
    export SWAPCALL_FAULTS=long
    mode=(--release)
    each=900
    export SWAPCALL_TEST_HUB="$TARGET/release/swapcall-hub" SWAPCALL_TEST_PROGRAMS="$TARGET/release"
  elif [ -n "${1:-}" ]; then
    echo "tests/run: faults takes --long or nothing" >&2
    exit 2
  fi
  # The whole workspace, as in every other step: one package alone is built with fewer features, so everything twice.
  step build cargo build "${mode[@]}" --workspace --bins --examples
  step build-faults cargo test "${mode[@]}" --workspace --test faults --no-run
  # First, while the machine is as quiet as it will be.
  if [ "${1:-}" = --long ]; then
    measuring_programs
  fi
  step faults cargo test "${mode[@]}" --workspace --test faults --no-fail-fast -- --show-output
  schemathesis "$@"
  fuzz "$each"
  gather_figures
}

# What measures instead of checking: a million records over the API, and a month of growth.
measuring_programs() {
  step load "$TARGET/release/examples/load" 60 50 300
  step binary "$TARGET/release/examples/binary" 60
  step million "$TARGET/release/examples/million"
  step growth "$TARGET/release/examples/grow"
}

# Every line `figure: …` of this run's logs, once, in the order of the steps.
gather_figures() {
  local name logs=()
  for name in "${STEP_NAMES[@]}"; do
    [ ! -f "$OUT/$name.log" ] || logs+=("$OUT/$name.log")
  done
  grep -h '^figure: ' "${logs[@]}" | sed 's/^figure: //' | awk '!seen[$0]++' >"$OUT/faults-figures.txt" || true
  printf '\nfigures (%s):\n' "${OUT#"$TOP"/}/faults-figures.txt"
  cat "$OUT/faults-figures.txt"
}
