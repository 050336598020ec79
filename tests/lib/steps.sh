# Running steps, keeping their logs, counting, and the table at the end. Sourced by tests/run.

STEP_NAMES=()
STEP_RESULTS=()
STEP_SECONDS=()
STEP_PASSED=()
STEP_FAILED=()

# Adds one row to the table.
note_step() {
  STEP_NAMES+=("$1")
  STEP_RESULTS+=("$2")
  STEP_SECONDS+=("$3")
  STEP_PASSED+=("$4")
  STEP_FAILED+=("$5")
}

# step NAME COMMAND...: runs the command with its output in tests/out/NAME.log; shows the log when it fails.
# A step that runs tests counts them; any other counts as one. Later steps run whatever became of this one.
step() {
  local name="$1" log="$OUT/$1.log" begin status passed failed result=ok
  shift
  printf '== %s\n' "$name"
  begin=$SECONDS
  # Not `|| status=$?`: behind `||` a function would go on after its first failure.
  set +e
  (set -euo pipefail; "$@") >"$log" 2>&1 </dev/null
  status=$?
  set -e
  passed=$(count_in "$log" passed)
  failed=$(count_in "$log" failed)
  if [ "$status" -ne 0 ]; then
    result=FAILED
    [ "$failed" -gt 0 ] || failed=1
    printf -- '-- %s ended with code %s; its whole log:\n' "$name" "$status"
    cat "$log"
  else
    [ "$passed" -gt 0 ] || passed=1
  fi
  summaries "$log"
  note_step "$name" "$result" "$((SECONDS - begin))" "$passed" "$failed"
}

# skip NAME REASON: a row that counts for nothing, so that what was not checked is seen.
skip() {
  printf '== %s: skipped, %s\n' "$1" "$2"
  note_step "$1" "skipped: $2" 0 0 0
}

# The summary lines of Rust's and Node's runners, each of Rust's with the name of what was run.
summaries() {
  awk '
    /^ +Running / { name = $NF; sub(/^.*\/(deps|examples)\//, "", name); sub(/-[0-9a-f]+\)$/, "", name) }
    /^ +Doc-tests / { name = "docs of " $NF }
    /^test result: / { print "   " name ": " substr($0, 14) }
    /^(#|ℹ) (tests|pass|fail|skipped) [0-9]+$/ { print "   " $2 ": " $3 }' "$1"
}

# count_in LOG passed|failed: the tests that Rust's and Node's runners report in a log.
count_in() {
  awk -v what="$2" '
    /^test result: / { for (i = 2; i <= NF; i++) if ($i == what ";") sum += $(i - 1) }
    /^(#|ℹ) pass [0-9]+$/ && what == "passed" { sum += $3 }
    /^(#|ℹ) fail [0-9]+$/ && what == "failed" { sum += $3 }
    END { print sum + 0 }' "$1"
}

# The table and the closing line; false when anything failed.
finish() {
  local index passed=0 failed=0
  printf '\n%-24s %8s %8s %8s  %s\n' step seconds passed failed result
  for index in "${!STEP_NAMES[@]}"; do
    printf '%-24s %8s %8s %8s  %s\n' "${STEP_NAMES[index]}" "${STEP_SECONDS[index]}" \
      "${STEP_PASSED[index]}" "${STEP_FAILED[index]}" "${STEP_RESULTS[index]}"
    passed=$((passed + STEP_PASSED[index]))
    failed=$((failed + STEP_FAILED[index]))
  done
  printf '%-24s %8s\n\n' together "$SECONDS"
  printf '%s passed, %s failed\n' "$passed" "$failed"
  [ "$failed" -eq 0 ]
}
